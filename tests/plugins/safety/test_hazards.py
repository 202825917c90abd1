from __future__ import annotations

from dataclasses import replace

import pytest

from listel.core.contract.records import Records
from listel.core.contract.rules import SURE, load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import (
    Air,
    Board,
    Building,
    Choices,
    Climate,
    ExistingTrim,
    Flight,
    FlightWall,
    Job,
    Place,
    Protector,
    Reading,
    Record,
    Room,
    Section,
    Substrate,
    ToolUse,
    Trim,
    Wall,
    Work,
)
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.reading import job_from_text
from listel.plugins.existing import Existing
from listel.plugins.existing.stage import examine as what_stands
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.safety.consent import law_of
from listel.plugins.safety.duty import emergency
from listel.plugins.safety.fabric import wildlife
from listel.plugins.safety.steps import steps
from listel.plugins.safety.work import UNKNOWN
from listel.plugins.site import Site, site_of

WALL = Wall("A", length=Reading(4000), thickness=100)
LOOSE = ExistingTrim(member="dado-rail", state="loose", intent="refix")
OLD = Trim("dado", "dado-rail", (Place("Parlour"),), section=Section(150, 20))


LISTED = Building(region="england", protection="listed-grade-2")
GRANTED = Record(
    step="consent",
    outcome="granted",
    by="the council",
    competence="authority",
    on="2026-02-02",
    reference="LBC 1",
    covers_works=("dado in Parlour",),
)


def names(notes):
    """The hazards by name."""
    return {hazard.name for hazard in notes.hazards}


@pytest.mark.parametrize(
    ("building", "lead", "asbestos"),
    [
        (Building(built=1838, region="england"), True, "hold"),
        (Building(built=1975, region="scotland"), True, "hold"),
        (Building(built=1995, region="england"), False, "hold"),
        (Building(built=2005, region="england"), False, None),
        (Building(built=1979, region="united-states"), False, "hold"),
        (Building(built=1977, region="united-states"), True, "hold"),
        (Building(built=1982, region="united-states"), False, None),
        (Building(region="england"), True, "hold"),
    ],
)
def test_lead_and_asbestos_follow_year_and_region(job_of, examined, building, lead, asbestos):
    notes, found = examined(job_of(WALL, building=building))
    assert ("Lead in old paint" in names(notes)) is lead
    assert ("asbestos" in found) is (asbestos is not None)
    if asbestos:
        assert found["asbestos"][0].open_hold and found["asbestos"][0].protects


def test_a_recorded_check_settles_asbestos(job_of, examined):
    report = Record(
        step="asbestos-check",
        outcome="clear",
        by="a surveyor",
        competence="asbestos-surveyor",
        on="2026-03-12",
        reference="report 7",
        kind="refurbishment",
        room="Parlour",
    )
    assert [f.weight for f in examined(job_of(WALL, records=(report,)))[1]["asbestos"]] == ["record"]
    for lacking in ("competence", "on", "reference", "kind", "room"):
        job = job_of(WALL, records=(replace(report, **{lacking: ""}),))
        assert [f.weight for f in examined(job)[1]["asbestos"]] == ["hold"], lacking


@pytest.mark.parametrize(("length", "weight"), [(3716, "record"), (3717, "hold")])
def test_the_federal_lead_rule_starts_over_six_square_feet(job_of, examined, length, weight):
    building = Building(built=1920, region="united-states", use="dwelling")
    job = job_of(Wall("A", length=Reading(length), existing=(LOOSE,)), building=building, trim=(OLD,))
    assert [f.weight for f in examined(job)[1]["renovation-rule"]] == [weight]


def test_open_flame_on_lead_paint_is_never_minor(job_of, examined):
    building = Building(built=1920, region="united-states")
    job = job_of(
        Wall("A", length=Reading(500), existing=(LOOSE,)),
        building=building,
        trim=(OLD,),
        work=Work(hot_work=True, strip_paint=True),
    )
    found = examined(job)[1]
    assert found["renovation-rule"][0].weight == found["rough-on-lead"][0].weight == "hold"


def test_only_hazards_this_job_has(job_of, examined):
    notes, _ = examined(
        job_of(
            WALL,
            building=Building(built=2010, region="england", occupied="empty"),
            work=Work(tools=(ToolUse("tenon saw", 1),)),
        )
    )
    assert names(notes) == {"Hidden cables and pipes", "Wood dust"}


@pytest.mark.parametrize(
    ("work", "rule", "weight"),
    [
        (Work(laser_class="2"), "laser-class", None),
        (Work(laser_class="3R"), "laser-class", "caution"),
        (Work(laser_class="3B"), "laser-class", "hold"),
        (Work(tools=(ToolUse("drill", 8, vibration=5),)), "vibration-dose", "hold"),
        (Work(tools=(ToolUse("drill", 2, vibration=5),)), "vibration-dose", "caution"),
        (Work(tools=(ToolUse("drill", 1, vibration=5),)), "vibration-dose", "record"),
        (Work(tools=(ToolUse("saw", 8, noise=79),)), "noise-dose", "record"),
        (Work(tools=(ToolUse("saw", 4, noise=88),)), "noise-dose", "caution"),
        (Work(hot_work=True), "hot-work", "caution"),
    ],
)
def test_the_weight_follows_what_is_planned(job_of, examined, work, rule, weight):
    found = examined(job_of(WALL, work=work))[1].get(rule, [])
    assert [f.weight for f in found] == ([] if weight is None else [weight])


@pytest.mark.parametrize(("snr", "left", "quiet"), [(28.0, 73, False), (30.0, 71, False), (34.0, 67, True)])
def test_a_protector_is_too_strong_by_what_it_leaves_while_it_is_worn(job_of, examined, snr, left, quiet):
    """97 dB(C) - SNR + 4, as HSE L108 reckons; an hour and a half of it is some 7 dB less in the day."""
    work = Work(tools=(ToolUse("saw", 1.5, noise=98, noise_c=97),), hearing_protection=Protector(snr=snr))
    told = examined(job_of(WALL, work=work))[1]["noise-dose"][0].says
    assert ("lighter protector" in told) is quiet
    assert (f"the loudest tool is {left} dB(A)" in told) is quiet


def test_hot_work_on_lath_is_a_hold(job_of, examined):
    lath = replace(WALL, substrate=Substrate("lime-on-lath"))
    assert examined(job_of(lath, work=Work(hot_work=True)))[1]["hot-work"][0].open_hold


def test_a_high_rail_asks_how_it_is_reached(job_of, examined):
    job = job_of(WALL)
    assert "work-at-height" in examined(job, None, 2350, 2400)[1]
    assert "work-at-height" not in examined(replace(job, work=Work(access="podium")), None, 2350, 2400)[1]


@pytest.mark.parametrize(
    ("building", "records", "rule", "weight"),
    [
        (LISTED, (), "consent", "hold"),
        (LISTED, (GRANTED,), "consent", "record"),
        (LISTED, (replace(GRANTED, outcome="applied-for"),), "consent", "hold"),
        (LISTED, (replace(GRANTED, outcome="refused"),), "consent", "hold"),
        (Building(region="ireland", protection="protected-structure"), (), "consent", "hold"),
        (Building(region="england", protection="conservation-area"), (), "conservation-area", "advice"),
        (Building(region="england", protection="none"), (), "consent", None),
    ],
)
def test_consent(job_of, examined, building, records, rule, weight):
    found = examined(job_of(WALL, building=building, records=records))[1].get(rule, [])
    assert [f.weight for f in found] == ([] if weight is None else [weight])
    assert all("not legal advice" in f.says for f in found)


def test_protection_that_was_not_surveyed_is_asked_for(job_of, examined):
    assert "protection-not-surveyed" in examined(job_of(WALL))[1]


def test_conjecture_is_likely_alteration_and_evidence_is_a_question(job_of, examined):
    listed = Building(region="england", protection="listed-grade-2")
    notes, _ = examined(job_of(WALL, building=listed))
    assert ("likely alteration", True) in {(c.view, "no trace" in c.what) for c in notes.consents}


def test_the_dew_point_of_the_day_is_told(job_of, examined):
    job = job_of(WALL, climate=Climate(day=Air(20, 60)))
    assert "12.0 C" in examined(job)[1]["dew-point"][0].says


def test_every_hazard_names_signs_that_were_checked():
    signs = {row.name for row in load_table("listel.plugins.safety", "signs")}
    for row in load_table("listel.plugins.safety", "hazards"):
        assert set(row["signs"]) <= signs, row.name
        assert {code for code in row["signs"] if code[0] == "M"} <= {"M003", "M016"}, (
            "what is worn is read out, not put up"
        )
    assert not signs & {"P010", "P022", "P028", "P031", "M006", "E011", "E012", "F005"}


def test_findings_defer_to_local_codes_and_a_job_without_anything_is_quiet(job_of, examined):
    _, found = examined(job_of(WALL))
    assert all("ocal codes" in f.says for fs in found.values() for f in fs if f.weight == "hold")
    assert examined(job_of(trim=()))[0].hazards == ()


def test_steps_apply_with_a_reason_and_need_what_is_there(job_of):
    listed = Building(built=1838, region="england", protection="listed-grade-2")
    mine = {step.name: step for step in steps()}
    usual = {"consent", "lead-check", "asbestos-check", "protect-finishes", "detect-services", "restore-power"}
    assert {n for n, s in mine.items() if s.applies(job_of(WALL, building=listed), Sheet())} == usual
    assert set(mine) - usual == {
        "gas-check", "deal-with-asbestos", "asbestos-method", "lead-method", "hot-work-permit", "fire-watch",
        "settle-paint", "clean-lead", "stair-platform", "arsenic-check", "bat-look",
    }  # fmt: skip
    found = Sheet({Records: Records(against=(Record(step="asbestos-check", outcome="found", by="a surveyor"),))})
    assert "a surveyor" in mine["deal-with-asbestos"].applies(job_of(WALL), found)
    modern = job_of(WALL, building=Building(built=2010, region="england", protection="none"))
    assert {n for n, s in mine.items() if s.applies(modern, Sheet())} == {
        "protect-finishes",
        "detect-services",
        "restore-power",
    }
    wait = mine["consent"].wait
    assert wait and wait(job_of(WALL, building=listed), Sheet())[0] == 8 * 168
    assert wait(job_of(WALL, building=listed), Sheet({Records: Records((GRANTED,))}))[0] == 0


def test_an_american_job_is_told_in_american_words_and_sources():
    from listel.plugins.safety.american import american
    from listel.plugins.safety.hazards import hazard

    found = american(hazard("lead", "because"))
    assert found.wear[0] == "P100 respirator, fit-tested" and "1100 F" in " ".join(found.controls)
    assert [source.title for source in found.grounds.sources if "Control of Lead" in source.title] == []
    assert any("1926.62" in source.title for source in found.grounds.sources)


@pytest.mark.parametrize(
    ("surveyed", "reckoned", "density"), [(None, 510.0, 510.0), (600.0, 600.0, 600.0), (480.0, None, 480.0)]
)
def test_a_length_weighs_what_its_fixings_are_said_to_carry(job_of, examined, schedule, surveyed, reckoned, density):
    job = job_of(WALL, trim=(replace(OLD, density=surveyed),), stock=(Board("dado", 4800.0),))
    notes, _ = examined(job, schedule(400, 1000, density=reckoned))
    (heavy,) = [hazard for hazard in notes.hazards if hazard.name == "Long and heavy lengths"]
    assert heavy.grounds.result == f"{4800 * 150 * 20 * density / 1e9:.1f} kg a length"


def test_no_weight_is_told_of_a_timber_nobody_knows(job_of, examined):
    notes, _ = examined(job_of(WALL, trim=(OLD,), stock=(Board("dado", 4800.0),)))
    (heavy,) = [hazard for hazard in notes.hazards if hazard.name == "Long and heavy lengths"]
    assert "kg" not in heavy.grounds.result


GRADES = {
    "england": ("listed-grade-1", "listed-grade-2-star", "listed-grade-2"),
    "wales": ("listed-grade-1", "listed-grade-2-star", "listed-grade-2"),
    "scotland": ("category-a", "category-b", "category-c"),
    "northern-ireland": ("listed-grade-a", "listed-grade-b-plus", "listed-grade-b1", "listed-grade-b2"),
    "ireland": ("protected-structure",),
    "united-states": ("national-register", "local-landmark"),
}
"""Each region's own grades; those of Northern Ireland are used by its Historic Environment Division (seen)."""


@pytest.mark.parametrize("region", GRADES)
@pytest.mark.parametrize(
    "grade", sorted({grade for grades in GRADES.values() for grade in grades} - {"local-landmark"})
)
def test_another_regions_grades_are_refused(region: str, grade: str) -> None:
    text = f"listel: 1\njob: {{title: x}}\nbuilding: {{region: {region}, protection: {grade}}}\n"
    with pytest.raises(SurveyFaults) as told:
        job_from_text(text)
    about = [fault for fault in told.value.faults if "protection" in fault.path]
    assert bool(about) == (grade not in GRADES[region])
    assert all(own in fault.says for fault in about for own in GRADES[region])


@pytest.mark.parametrize(
    ("region", "gas", "power"),
    [
        ("england", "0800 111 999", "105"),
        ("northern-ireland", "0800 002 001", "03457 643 643"),
        ("ireland", "1800 20 50 50", "1800 372 999"),
        ("united-states", "", ""),
    ],
)
def test_whom_to_call_is_of_the_region(region: str, gas: str, power: str) -> None:
    """As other public pages give the numbers of the networks (published, second-hand)."""
    job = Job(title="x", building=Building(region=region), trim=(OLD,))
    calls = {line.what.split(":")[0]: line.call for line in emergency(job)}
    assert (calls["A smell of gas"], calls["A cable struck, or the supply down"]) == (gas, power)
    assert calls["Where the gas is shut off"] == ""


@pytest.mark.parametrize("region", ["wales", "scotland", "northern-ireland", "ireland", "united-states"])
def test_englands_guidance_is_cited_in_england_alone(region: str) -> None:
    """Advice Note 16 is Historic England's (published, seen)."""
    for kind in GRADES[region]:
        law = law_of(Job(title="x", building=Building(region=region, protection=kind)))
        assert not any("Advice Note 16" in source.title for source in law.sources)
        assert "Historic England" not in law["decides"]


def test_in_england_who_is_told_of_an_application_at_the_higher_grades_is_named() -> None:
    """Arrangements for Handling Heritage Applications Direction, 2021: grades I and II* (published, seen)."""
    law = law_of(Job(title="x", building=Building(region="england", protection="listed-grade-2-star")))
    assert "Historic England of an application at grade I or II*" in law["decides"]


@pytest.mark.parametrize(
    ("region", "law"),
    [("wales", "2023"), ("northern-ireland", "1995"), ("scotland", "1979"), ("england", "1979")],
)
def test_scheduled_monuments_fall_under_their_own_law(region: str, law: str) -> None:
    """Historic Environment (Wales) Act 2023 s.11; Order of 1995 art. 4; Act of 1979 s.2."""
    sources = law_of(Job(title="x", building=Building(region=region, protection="scheduled"))).sources
    assert any(law in f"{source.year} {source.title}" for source in sources)


def test_every_rule_of_safety_says_what_it_rests_on_but_those_that_tell_what_is_missing():
    rules = load_rules("listel.plugins.safety", "safety")
    unsure = {rule.name.partition("/")[2] for rule in rules if not rule.sure}
    about_the_survey = {"fitting-height", "wall-height", "wall-length", "rail-height", "painted-area", "ask-the-state"}
    assert {name for name in unsure if not name.endswith("-not-surveyed")} == about_the_survey
    for rule in rules:
        if rule.sure:
            assert rule.told(rule.weights[0], "It is so.").says == f"It is so ({SURE[rule.sure]})."
            assert rule.lacking("a", "b").says.endswith("it decides b.") if "caution" in rule.weights else True


def test_heat_is_permitted_first_and_watched_after(job_of):
    mine = {step.name: step for step in steps()}
    heat = job_of(WALL, work=Work(hot_work=True, strip_paint=True))
    for name in ("hot-work-permit", "fire-watch"):
        assert mine[name].applies(heat, Sheet()) and not mine[name].applies(job_of(WALL), Sheet())
    assert "strip-paint" in mine["hot-work-permit"].before
    assert {"hot-work-permit", "strip-paint"} <= set(mine["fire-watch"].needs)


def test_circuits_are_tested_after_the_work_for_a_reason_of_their_own(job_of):
    mine, job = {step.name: step for step in steps()}, job_of(WALL)
    searched, tested = (mine[name].applies(job, Sheet()) for name in ("detect-services", "restore-power"))
    assert searched and tested and searched != tested


def test_lead_dust_is_cleaned_up_each_shift_before_timber_lies_in_the_room(job_of):
    cleaned = {step.name: step for step in steps()}["clean-lead"]
    stripped = job_of(WALL, work=Work(strip_paint=True))
    assert "stripped" in cleaned.applies(stripped, Sheet()) and not cleaned.applies(job_of(WALL), Sheet())
    assert {"take-down", "strip-paint", "settle-paint"} <= set(cleaned.needs)
    assert {"make-good", "acclimatise", "sand"} <= set(cleaned.before)


@pytest.mark.parametrize(("paint", "settled"), [("sound", False), ("", False), ("flaking", True), ("chalky", True)])
def test_loose_paint_comes_off_first_and_sound_paint_stays(job_of, paint, settled):
    old = replace(LOOSE, state="sound", intent="keep", paint=paint or None)
    job = job_of(Wall("A", length=Reading(3600), existing=(old,)), trim=(OLD,))
    site = {Site: site_of(job)}
    sheet = Sheet({**site, Existing: list(what_stands(job, Sheet(site)))[-1]})
    assert bool({step.name: step for step in steps()}["settle-paint"].applies(job, sheet)) is settled


@pytest.mark.parametrize(
    "name", ["consents", "duties", "regional", "materials", "programmes", "exposure_limits", "dust", "emergencies"]
)
def test_what_was_seen_of_the_law_says_when(name):
    sources = {source for row in load_table("listel.plugins.safety", name) for source in row.sources}
    seen = [each for each in sources if each.standing in ("published-seen", "published-second-hand")]
    assert seen and [str(each) for each in seen if not each.checked] == []


@pytest.mark.parametrize(
    ("way", "words"),
    [
        ("alkaline", "water for the eyes"),
        ("solvent", "dichloromethane"),
        ("poultice", "neutral"),
        ("dipping", "a firm"),
    ],
)
def test_what_strips_paint_has_its_own_hazards(job_of, examined, way, words):
    job = job_of(WALL, trim=(OLD,), work=Work(strip_paint=True, strip_method=way))
    notes, _ = examined(job)
    (found,) = [each for each in notes.hazards if each.name == "Vapours and skin contact"]
    assert words in " ".join(found.controls) and "face shield" in found.wear and found.rooms == ("Parlour",)
    scraped, _ = examined(replace(job, work=Work(strip_paint=True, strip_method="scraping")))
    assert "Vapours and skin contact" not in names(scraped)


@pytest.mark.parametrize(
    ("region", "law"),
    [
        ("wales", "Control of Substances Hazardous to Health Regulations 2002"),
        ("northern-ireland", "Control of Substances Hazardous to Health Regulations (Northern Ireland) 2003"),
        ("ireland", "Reprotoxic"),
        ("united-states", "29 CFR 1926.55"),
        ("other", ""),
    ],
)
def test_the_law_of_wood_dust_is_named_by_region(job_of, examined, region, law):
    notes, _ = examined(job_of(WALL, trim=(OLD,), building=Building(region=region, protection="none")))
    (dust,) = [each for each in notes.hazards if each.name == "Wood dust"]
    assert law in dust.law and bool(law) is bool(dust.law)
    assert "cancer of the nose" in dust.because


def test_detectors_are_thought_of_where_somebody_lives(job_of, examined):
    lived = Building(region="england", protection="none", occupied="occupied")
    notes, _ = examined(job_of(WALL, trim=(OLD,), building=lived))
    (found,) = [each for each in notes.hazards if each.name == "People living in the house"]
    assert "smoke alarms covered for the shift alone" in " ".join(found.controls)
    empty, _ = examined(job_of(WALL, trim=(OLD,), building=replace(lived, occupied="empty")))
    assert found.name not in names(empty)


@pytest.mark.parametrize(
    ("keys", "storey", "intent", "told"),
    [
        ({"external": True}, "first", "refix", True),
        ({}, "first", "refix", True),
        ({"external": False}, "first", "refix", False),
        ({"external": False}, "Attic", "keep", True),
        ({"external": True}, "first", "keep", False),
    ],
)
def test_bats_are_looked_for_where_a_void_that_they_reach_is_opened(job_of, examined, keys, storey, intent, told):
    old = replace(LOOSE, intent=intent)
    wall = replace(WALL, substrate=Substrate("lime-on-lath"), existing=(old,), **keys)
    job = job_of(wall, trim=(OLD,), building=Building(region="scotland", protection="none"))
    job = replace(job, rooms=(replace(job.rooms[0], storey=storey),))
    sheet = Sheet({Site: site_of(job)})
    sheet = Sheet({Site: site_of(job), Existing: list(what_stands(job, sheet))[-1]})
    (step,) = [step for step in steps() if step.name == "bat-look"]
    assert bool(step.applies(job, sheet)) is told
    found = list(wildlife(job, sheet))
    assert bool(found) is told and all("whom to ask: NatureScot" in each.controls[-1] for each in found)


def test_stairs_and_neighbours_are_told_where_the_work_meets_them(job_of, examined):
    flight = Flight("first flight", walls=(FlightWall("A"),))
    plain = job_of(replace(WALL, party=True), Wall("B", length=Reading(3000)))
    room = plain.rooms[0]
    assert {"Neighbours behind a party wall"} == names(examined(plain)[0]) - names(examined(job_of(WALL))[0])
    for thick, kept in ((360.0, "no hole deeper than 75 mm"), (120.0, "no hole deeper than 35 mm"), (None, UNKNOWN)):
        job = job_of(replace(WALL, party=True, thickness=thick), Wall("B", length=Reading(3000)))
        (found,) = [each for each in examined(job)[0].hazards if each.name.startswith("Neighbours")]
        assert found.controls[0].startswith(kept), "one figure with the rule that holds too deep a hole"
    over = replace(plain, rooms=(replace(room, stairs=(flight,)),))
    assert "Work over stairs" in names(examined(over)[0])
    elsewhere = replace(over, trim=(replace(plain.trim[0], where=(Place("Parlour", walls=("B",)),)),))
    assert not {"Work over stairs", "Neighbours behind a party wall"} & names(examined(elsewhere)[0])


def test_what_is_alike_of_several_walls_or_products_is_one_hazard(job_of, examined):
    rubble = [Wall(name, length=Reading(4000), substrate=Substrate("lime-on-rubble")) for name in "AB"]
    job = job_of(*rubble, choices=Choices(paint="linseed-oil", filler="linseed-putty"))
    lines = [
        Fixing(
            room="Parlour",
            wall=name,
            trim="dado",
            member="dado-rail",
            start=0,
            end=4000,
            substrate="lime-on-rubble",
            kind="plug-and-screw",
            plug="6 mm",
        )
        for name in "AB"
    ]
    notes, _ = examined(job, FixingSchedule(tuple(lines)))
    told = [hazard.because for hazard in notes.hazards]
    assert any(
        because.startswith("Holes are drilled in lime on rubble: walls A, B of the Parlour.") for because in told
    )
    assert len([because for because in told if because.startswith("Linseed oil")]) == 1


def test_rooms_have_their_article_and_stand_in_the_surveys_order(job_of, examined):
    job = job_of(Wall("A", length=Reading(4000)))
    cellar = Room("Cellar", walls=(Wall("A", length=Reading(3000)),))
    dado = replace(job.trim[0], where=(*job.trim[0].where, Place("Cellar")))
    _, found = examined(replace(job, rooms=(*job.rooms, cellar), trim=(dado,)))
    assert "is to be known in the Parlour, the Cellar before" in found["asbestos"][0].says
