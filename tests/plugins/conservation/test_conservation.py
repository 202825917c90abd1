"""Old and new set against each other: what bears new trim out, and the officer's table of both."""

from __future__ import annotations

import json

import pytest

from listel.core.contract.cases import base, changed
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.conservation import OfficerTable
from listel.plugins.safety import SafetyNotes
from listel.plugins.setting_out import SettingOut
from listel.reports.papers.holds import by_wall, holds
from listel.reports.papers.workshop.room import room_sheet
from listel.reports.statement import render

REGISTRY = load(entry_points=False, reckoners=False)


def outcome(*pieces: dict[str, object], **sets: object) -> Outcome:
    data = changed(base("one-wall"), {"rooms.0.walls.0.existing": list(pieces), **sets})
    return examine(job_from_text(json.dumps(data)), REGISTRY, [])


def skirting(**said: object) -> dict[str, object]:
    return {"member": "skirting", "section": {"height": 168, "projection": 19}, **said}


def test_the_officers_table_has_every_piece_and_the_totals():
    told = outcome(
        skirting(state="sound", intent="keep", to=900, original="original", photos=[]),
        skirting(state="loose", intent="refix", **{"from": 900, "to": 1500}),
        skirting(state="damaged", intent="replace", reason="crushed", **{"from": 1500, "to": 2100}),
        **{"building.protection": "listed-grade-2"},
    )
    table = told.sheet[OfficerTable]
    assert {total.name: (total.length, round(total.share)) for total in table.totals} == {
        "kept in place": (900, 43),
        "refixed": (600, 29),
        "repaired": (0, 0),
        "replaced": (600, 29),
        "of these lost": (600, 29),
        "new": (5700.0, 79),
    }
    shown = render(told, readers="officer")
    for words in ("item by item", "In figures", "kept in place", "old 3", "crushed"):
        assert words in shown
    assert shown.count("To have in hand: ") == shown.count("with its conditions and the drawings it names") == 1


@pytest.mark.parametrize(("high", "departs"), [(168.5, False), (168.6, True)])
def test_new_trim_unlike_what_survives_is_not_said_to_follow_it(high, departs):
    told = outcome(skirting(state="sound", intent="keep", to=900, section={"height": high, "projection": 19}))
    (new,) = [item for item in told.sheet[OfficerTable].items if item.label == "skirting"]
    assert (new.departs, new.proved) == (departs, not departs)
    assert ("the old is not followed" in render(told, readers="client")) == departs


@pytest.mark.parametrize(("asked", "follows"), [(966, True), (968, False)])
def test_a_mark_that_gives_way_is_not_said_to_be_followed(asked, follows):
    mark = {"kind": "ghost-line", "member": "wainscot-cap", "height": 962, "edge": "top", "wall": "A"}
    cap = {"trim.dado.member": "wainscot-cap", "trim.dado.top": asked, "rooms.0.evidence": [mark]}
    told = outcome(**cap)
    (new,) = [item for item in told.sheet[OfficerTable].items if item.label == "dado"]
    assert (new.proved, new.departs) == (follows, not follows)
    assert ("the old is not followed" in render(told, readers="client")) != follows


@pytest.mark.parametrize(("high", "follows"), [(230.5, True), (240, False)])
def test_a_board_and_its_mould_together_follow_old_skirting_in_one_piece(high, follows):
    old = skirting(state="sound", intent="keep", to=900, section={"height": high, "projection": 19})
    told = outcome(old, **{"trim.dado.member": "skirting-mould", "building.protection": "listed-grade-2"})
    new = {item.label: item for item in told.sheet[OfficerTable].items if item.new}
    assert (new["skirting"].proved, new["dado"].proved) == (follows, follows)
    assert ("old 1 (its upper part)" in new["dado"].worth) == follows
    mould = [(run.start, run.end) for run in told.sheet[SettingOut].runs if run.trim == "dado"]
    assert mould == [(900 if follows else 0, 3600)], "it goes on where the old one ends"
    asked = [each.what for each in told.sheet[SafetyNotes].consents]
    assert any("known from evidence (skirting, dado)" in what for what in asked) == follows


@pytest.mark.parametrize(
    ("region", "protection", "words"),
    [
        ("england", "listed-grade-2", "Justification"),
        ("wales", "listed-grade-2", "Effect on character and significance"),
        ("scotland", "category-b", "Cultural significance"),
        ("northern-ireland", "listed-grade-b1", "Effect on it, repairs included"),
        ("united-states", "local-landmark", "Standard 6, repaired rather than replaced"),
    ],
)
def test_each_region_is_asked_in_its_own_words(region, protection, words):
    told = outcome(
        skirting(state="sound", intent="keep"), **{"building.region": region, "building.protection": protection}
    )
    page = render(told, readers="officer").lower()
    assert words.lower() in page
    assert "3.6 m kept in place (100 %)" in page, "it answers with this job's figures"


def test_what_an_authority_reads_first_is_asked_of_the_survey_and_answered_from_it():
    told = outcome(**{"building.region": "england", "building.protection": "listed-grade-2"})
    asks = dict(told.sheet[OfficerTable].asks)
    for heading in ("The fabric", "Significance", "Impact"):
        assert "Not surveyed: " in asks[heading]
    assert "Not surveyed" not in asks["Justification"], "no benefit is weighed before there is harm"
    said = {"list-entry": "1 000 001, Invented House", "significance": "its stair", "consulted": "the county record"}
    said |= {"harm": "less-than-substantial", "benefit": "the house is lived in again"}
    told = outcome(building={"region": "england", "protection": "listed-grade-2", **said})
    shown = render(told, readers="officer")
    for words in (*said.values(), "less than substantial"):
        assert (words in shown) is (words != "less-than-substantial"), words


@pytest.mark.parametrize(
    ("protection", "grounds", "made"),
    [
        ("none", False, False),
        ("none", True, True),
        ("conservation-area", False, False),
        ("unknown", False, True),
        ("listed-grade-2", False, True),
    ],
)
def test_no_paper_is_made_for_an_authority_that_has_no_say_inside(protection, grounds, made):
    sets = {"building.region": "england", "building.protection": protection, "building.curtilage": grounds}
    told = outcome(**sets)
    shown = render(told, readers="officer")
    assert ("What happens to each thing" in shown) is made and ("So no paper is made" in shown) is not made
    everything = render(told)
    for words in ("fixed as conjecture", "Statement of heritage significance", "Conservation officer"):
        assert (words in everything) is made, words
    assert ("alters a listed building" in everything) is (protection == "listed-grade-2")
    assert ("marked and dated" in everything) is (protection == "listed-grade-2"), (
        "nothing old survives to be taken for"
    )


@pytest.mark.parametrize(("reason", "says"), [({}, "no reason is given"), ({"reason": "split behind"}, "split behind")])
def test_why_what_goes_goes_is_answered(reason, says):
    told = outcome(skirting(state="sound", intent="replace", original="original", **reason))
    assert any(f"old 1 ({says})" in answer for _, answer in told.sheet[OfficerTable].asks)


def test_a_job_that_makes_no_hole_asks_for_none_and_has_no_trial_of_new_trim():
    holes = [{"at": at} for at in (60, 700, 1300, 1750)]
    loose = skirting(state="loose", intent="refix", to=1800, holes=holes)
    sets = {"building.protection": "listed-grade-2", "trim": [], "stock": []}
    told = outcome(loose, **sets)
    page = render(told, readers="officer")
    for words in ("New fixings into historic plaster", "A trial length", "Plaster and walls", "Drill lead holes"):
        assert words not in page, words
    plaster = {"rooms.0.walls.0.substrate.condition": "hollow"}
    assert "Make good loose or hollow plaster" in render(outcome(loose, **sets, **plaster))
    kept = outcome(skirting(state="sound", intent="keep"), **sets, **plaster)
    assert "Make good loose or hollow plaster" not in render(kept), "no work is done on that wall"


@pytest.mark.parametrize(
    ("choices", "words", "harms"),
    [
        ({"fixing": "nail", "adhesive": "none"}, "it prises off with damage", True),
        ({"fixing": "screw", "adhesive": "none", "filler": "timber-pellet"}, "bored out over each head", False),
        ({"fixing": "screw", "adhesive": "none", "filler": "none"}, "it unscrews", False),
        ({"fixing": "screw", "adhesive": "polyurethane"}, "does not come off without harm", True),
        ({"fixing": "screw", "adhesive": "none", "sealant": "hybrid-polymer"}, "is cut through at the wall", False),
    ],
)
def test_how_new_trim_comes_off_follows_what_holds_covers_and_sticks_it(choices, words, harms):
    told = outcome(choices=choices, **{"building.protection": "unknown"})
    for line in told.sheet[OfficerTable].undoing:
        assert words in line.comes_off and line.harms is harms and line.holes
    (skirting_,) = [item for item in told.sheet[OfficerTable].items if item.label == "skirting"]
    assert words in skirting_.undone and "new holes, stopped and not undone" in skirting_.undone
    for readers in ("officer", "handover", "all"):
        assert words in render(told, readers=readers)
    assert ("does not come off again without harm" in render(told, readers="client")) is harms


def test_a_repair_names_its_glue_what_is_cut_away_and_the_new_screws_of_all_its_splices():
    broken = [{"from": at, "to": at + 100, "kind": "broken"} for at in (700, 2000)]
    told = outcome(skirting(state="damaged", intent="repair", to=2700, damage=broken), choices={"fixing": "screw"})
    lines = [each for each in told.sheet[OfficerTable].undoing if each.old]
    (old,) = [item for item in told.sheet[OfficerTable].items if not item.new]
    assert [line.what for line in lines] == ["old 1/1", "old 1/2"] and "come apart" in lines[0].glue
    assert old.undone.startswith("the 468 mm cut away is not got back; ") and lines[0].comes_off in old.undone
    assert old.undone.count("new hole") == 1
    assert old.undone.endswith(f"{sum(line.holes for line in lines)} new holes, stopped and not undone")


@pytest.mark.parametrize(
    ("old", "choices", "said"),
    [
        ({"top": 175}, {}, True),
        ({"top": 175}, {"line": "parallel"}, False),
        ({"top": 168, "section": {"height": 168, "projection": 21}}, {"line": "level"}, False),
    ],
)
def test_a_step_in_the_top_edge_says_what_lets_the_new_follow_the_floor(old, choices, said):
    pieces = skirting(state="sound", intent="keep", to=900, **old)
    told = outcome(pieces, choices=choices, **{"rooms.0.walls.0.floor": []})
    (step,) = [each for each in told.findings if each.rule == "conservation/step-at-joint"]
    assert ("line: parallel" in step.mend) is said


def test_a_boxing_of_shutters_is_a_row_and_no_length_of_trim():
    window = {"kind": "window", "at": 1200, "width": 1200, "height": 1800, "sill": 600}
    boxing = {"member": "shutter-box", "state": "sound", "intent": "keep", "original": "original"}
    told = [
        outcome(skirting(to=900), **{"rooms.Hall.walls.A.openings": [{**window, "existing": old}]})
        for old in ([], [boxing])
    ]
    bare, boxed = (each.sheet[OfficerTable] for each in told)
    assert {each.label: each.length for each in boxed.items}["old 2"] == 0
    assert [(each.name, each.length) for each in boxed.totals] == [(each.name, each.length) for each in bare.totals]
    assert "by the window" in render(told[1], readers="all")


@pytest.mark.parametrize(
    ("rule", "choices", "finish", "words"),
    [
        ("adhesive-refused", {"adhesive": "hybrid-polymer"}, "distemper", "hybrid polymer adhesive on the wall"),
        ("sealant-refused", {"sealant": "silicone"}, "emulsion", "silicone sealant at the wall"),
        ("filler-refused", {"filler": "linseed-putty"}, "emulsion", "linseed putty over its heads"),
    ],
)
def test_what_a_departure_puts_first_is_what_is_reckoned_and_told(rule, choices, finish, words):
    sets = {"choices": {"fixing": "screw", **choices}, "rooms.0.walls.0.substrate.finish": finish}
    sets |= {"building.protection": "unknown"}
    kept = outcome(**sets)
    assert any(found.rule == f"bonding/{rule}" for found in kept.findings) and words not in render(
        kept, readers="officer"
    )
    departure = {"rule": f"bonding/{rule}", "reason": "as it was", "agreed": "the client"}
    told = outcome(**sets, departures=[departure])
    settled = [found for found in told.findings if found.rule == f"bonding/{rule}"]
    assert settled and all(found.settled for found in settled)
    assert words in render(told, readers="officer")


def test_a_reason_is_that_of_its_own_piece_alone():
    told = outcome(
        skirting(state="sound", intent="replace", original="original", to=900, reason="it is split behind"),
        skirting(state="sound", intent="keep", original="original", **{"from": 900, "to": 1500}),
    )
    lost, stays = [item for item in told.sheet[OfficerTable].items if not item.new]
    assert lost.why == "it is split behind" and "split" not in stays.why


def test_an_old_piece_that_goes_back_stands_beside_the_drill_table_and_not_in_it():
    back = skirting(state="loose", intent="refix", to=900, top=168, holes=[60, 450, 840])
    told = outcome(back, choices={"fixing": "screw"})
    held = by_wall(holds(told))
    sheet = room_sheet(told, told.sheet[SettingOut], told.job.rooms[0], held)
    assert sheet
    (row,) = sheet.walls
    drilled = {int(at) for drills in row.drills for drill in drills for at, _ in drill.stations if at in ("60", "840")}
    assert not drilled
    (note,) = [said for said in row.notes if said.startswith("Old 1: ")]
    assert "at 60* 450 840, 3 of 3 in its old holes. A star: prove it dead first, and move none." in note


@pytest.mark.parametrize(
    ("age", "view"), [("later", "ask"), ("original", "likely alteration"), ("unknown", "likely alteration")]
)
def test_what_was_put_in_later_is_asked_about_before_it_goes(age, view):
    old = skirting(state="damaged", intent="replace", original=age, reason="crushed", agreed="the officer")
    told = outcome(old, **{"building.protection": "listed-grade-2"})
    (out,) = [each for each in told.sheet[SafetyNotes].consents if "old 1" in each.what]
    assert out.view == view


@pytest.mark.parametrize(("kind", "cut"), [("split", False), ("broken", True)])
def test_old_trim_that_is_only_glued_has_nothing_let_in_and_nothing_to_cut_out(kind: str, cut: bool) -> None:
    split = {"from": 200, "to": 600, "kind": kind}
    found = outcome(
        skirting(to=1500, state="damaged", intent="repair", damage=[split]), **{"building.protection": "listed-grade-2"}
    )
    old = found.sheet[OfficerTable].items[0]
    assert ("cut out" in old.undone) == cut and ("glue" in old.undone or cut)
    told = [each.what for each in found.sheet[SafetyNotes].consents if "old 1" in each.what]
    assert [each.startswith("Pieces let in") for each in told] == [cut]
