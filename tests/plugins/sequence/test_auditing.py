"""A plan held against the steps: what is missed, out of order, too soon, not needed, held, and how it is told."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.contract.findings import Finding
from listel.core.contract.stage import Said, Steps, Words
from listel.core.contract.tables import load_table
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.job import Job, Place, PlanStep, Trim
from listel.core.survey.reading import read_survey
from listel.plugins.bonding import Bond, Bonding, Fill
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.sequence import Audit, JobStep, Sequence
from listel.plugins.sequence.audit import audited, is_clean, pair_weights
from listel.plugins.sequence.command import in_words
from listel.plugins.sequence.held import LAST_RESORT, hold_row, step_holds
from listel.plugins.sequence.needs import finishing
from listel.plugins.sequence.plan_file import plan_from_text
from listel.reports.statement import render

Held = Callable[..., Audit]
LISTS = ("missed", "out_of_order", "too_soon", "not_recognised", "not_needed", "holds")


def with_wait(steps: tuple[JobStep, ...], name: str, hours: float) -> tuple[JobStep, ...]:
    return tuple(replace(step, wait=hours, wait_why="it to dry") if step.name == name else step for step in steps)


def test_a_missed_step_weighs_as_the_step_does(audit: Held, steps: tuple[JobStep, ...]) -> None:
    missed = {each.step: each.weight for each in audit("fix it").missed}
    assert missed["detect-services"] == "hold"
    assert missed["caulk"] == "caution"
    assert missed["cutting-list"] == "caution"
    assert set(missed) == {step.name for step in steps} - {"fix"}


def test_a_done_step_is_not_missed(audit: Held, steps: tuple[JobStep, ...]) -> None:
    done = tuple(replace(step, done=step.name == "consent") for step in steps)
    assert "consent" not in {each.step for each in audit("fix it", against=done).missed}


def test_a_pair_the_wrong_way_round_is_told_with_its_line(audit: Held) -> None:
    found = audit("Paint", "Undercoat").out_of_order
    assert [(each.first, each.then, each.line, each.weight) for each in found] == [
        ("undercoat", "top-coat", 1, "caution")
    ]


@pytest.mark.parametrize(
    ("plan", "wrong"),
    [
        (["Fix the architraves", "Fix skirting"], []),
        (["Fix skirting", "Fix the architraves"], [("fix the architrave", "fix the skirting", 1)]),
        (["Fix the baseboard", "Nail the casings on"], [("fix the architrave", "fix the skirting", 1)]),
        (["Fix skirting and architraves"], []),
        (["Fix the architraves in the hall", "Fix its skirting", "Fix the architraves upstairs"], []),
        (["Fix skirting", "Fix the picture rail"], []),
        (["Fix skirting", "Fix the plinth blocks"], []),
    ],
)
def test_a_member_is_fixed_after_the_one_it_butts_on(
    steps: tuple[JobStep, ...], plan: list[str], wrong: list[tuple[str, str, int]]
) -> None:
    """The job has no plinth block, and a skirting does not meet a picture rail."""
    members = ("skirting", "architrave", "picture-rail")
    schedule = FixingSchedule(
        tuple(Fixing(room="Hall", wall="A", trim=each, member=each, start=0, end=1) for each in members)
    )
    told = audited([PlanStep(line, line=number) for number, line in enumerate(plan, 1)], steps, {}, schedule=schedule)
    assert [(each.first, each.then, each.line) for each in told.out_of_order] == wrong
    assert not (wrong and "Every step stands after what it rests on." in told.good)


def test_a_step_left_out_stands_for_its_own_needs(audit: Held) -> None:
    found = audit("Undercoat", "Fill the holes").out_of_order
    assert [(each.first, each.then) for each in found] == [("fill", "undercoat")]


def test_doing_a_step_again_after_what_it_needs_is_in_order_unless_it_can_hurt(audit: Held) -> None:
    assert audit("Sand", "Fill", "Sand again").out_of_order == ()
    assert [each.first for each in audit("Drill", "Scan the walls", "Drill").out_of_order] == ["detect-services"]


@pytest.mark.parametrize(
    ("lines", "given"),
    [
        (["Undercoat", "Gloss"], None),
        (["Undercoat, leave 4 hours", "Gloss"], 4),
        (["Undercoat", "4 hours then gloss"], 4),
        (["Day 1: undercoat", "Day 2: gloss"], None),
        (["Day 1: undercoat", "Day 1: gloss", "Day 2: snag"], 8),
        (["Mon: undercoat", "Tue: gloss"], None),
        (["Undercoat and gloss", "overnight"], None),
        (["Undercoat, 20 hours", "4 hours more", "Gloss"], None),
        (["Undercoat, wait 12 hours, gloss"], 12),
        (["Undercoat, gloss after 12 hours"], 12),
        (["Undercoat", "24 hours, gloss"], None),
        (["Sand, wait 12 hours, undercoat", "Gloss"], None),
        ([PlanStep("Undercoat", wait=2), PlanStep("Gloss")], 2),
        ([PlanStep("Undercoat", day=1), PlanStep("Gloss", day=1.5)], 12),
    ],
)
def test_waits_cut_short(audit: Held, steps: tuple[JobStep, ...], lines: list[str], given: float | None) -> None:
    soon = audit(*lines, against=with_wait(steps, "undercoat", 24)).too_soon
    assert [(each.step, each.then, each.given, each.needed) for each in soon] == (
        [] if given is None else [("undercoat", "top-coat", given, 24)]
    )


def test_a_wait_between_two_steps_of_a_line_is_not_given_to_a_later_line(
    audit: Held, steps: tuple[JobStep, ...]
) -> None:
    slow = with_wait(with_wait(steps, "undercoat", 24), "top-coat", 24)
    soon = audit("Undercoat, wait 12 hours, gloss", "Snag", against=slow).too_soon
    assert [(each.step, each.given) for each in soon] == [("undercoat", 12)]


@pytest.mark.parametrize(("wants", "given"), [("The lime wants a week", [168]), ("The lime wants four weeks", [])])
def test_a_wait_told_elsewhere_goes_to_what_it_names(
    audit: Held, steps: tuple[JobStep, ...], wants: str, given: list[float]
) -> None:
    soon = audit("Patch the plaster", "Mark the heights", wants, against=with_wait(steps, "make-good", 672)).too_soon
    assert [each.given for each in soon if each.step == "make-good"] == given


def test_each_wait_is_told_once(audit: Held, steps: tuple[JobStep, ...]) -> None:
    soon = audit("Day 1: fill", "Day 1: sand", "Day 2: prime", against=with_wait(steps, "fill", 48)).too_soon
    assert [(each.step, each.then) for each in soon] == [("fill", "sand")]


def test_an_answer_in_hand_is_not_waited_for(audit: Held, steps: tuple[JobStep, ...]) -> None:
    slow = with_wait(steps, "asbestos-check", 72)
    assert audit("Day 1: asbestos survey", "Day 2: take down old trim", against=slow).too_soon
    assert not audit("Day 1: asbestos survey received", "Day 2: take down old trim", against=slow).too_soon


def test_a_step_this_job_does_not_need(audit: Held, steps: tuple[JobStep, ...]) -> None:
    without = tuple(step for step in steps if step.name != "adhesive")
    found = audit("Glue and screw it on", against=without).not_needed
    assert [(each.line, each.steps) for each in found] == [(1, ("adhesive",))]


def test_a_step_key_that_nobody_knows_is_told_with_the_nearest(audit: Held) -> None:
    found = audit(PlanStep("the last one", steps=("top-cote",), line=7)).not_recognised
    assert [(each.line, each.nearest) for each in found] == [(7, "top-coat")]


def test_what_is_good_is_told(audit: Held) -> None:
    good = " ".join(audit("Scan the walls", "Screw it on").good)
    assert "Every step stands after what it rests on." in good
    assert "2 of the " in good


@pytest.mark.parametrize(
    ("lines", "read_as", "nearest"),
    [
        (["Screw the skirting to the studs", "tea", "Then picture rail and dado"], ("fix",), []),
        (["Scribe the skirting", "Then picture rail and dado"], None, ["fix"]),
        (["Then picture rail and dado"], None, ["fix"]),
    ],
)
def test_members_named_alone_go_on_from_a_line_that_fixes(
    audit: Held, lines: list[str], read_as: tuple[str, ...] | None, nearest: list[str]
) -> None:
    found = audit(*lines)
    read = {each.line: each.steps for each in found.recognised}
    assert read.get(len(lines)) == read_as
    assert [each.nearest for each in found.not_recognised if each.line == len(lines)] == nearest


def test_what_a_line_comes_after_is_not_missed_and_has_no_place_in_the_order(audit: Held) -> None:
    found = audit("Hang the rails on screws after drilling")
    assert "lead-holes" not in {each.step for each in found.missed}
    assert found.recognised[0].steps == ("fix",)
    assert "comes after: lead holes." in " ".join(found.good)


@pytest.mark.parametrize(
    ("line", "differs"),
    [
        ("Nail up the skirting", ["the plan nails where the schedule screws; blows are to be avoided on Hall A"]),
        ("Nail up the trim", []),
        ("Nail up the architraves", []),
        ("Screw the architraves on", ["the plan screws where the schedule nails"]),
        ("Screw up the skirting, fill the nail holes", []),
        ("Screw up the skirting, no nails", []),
        ("Pin and screw the skirting on", []),
    ],
)
def test_a_plan_that_fixes_otherwise_than_the_schedule(
    steps: tuple[JobStep, ...], line: str, differs: list[str]
) -> None:
    schedule = FixingSchedule(
        (
            Fixing(
                room="Hall",
                wall="A",
                trim="skirting",
                member="skirting",
                start=0,
                end=1,
                kind="screw",
                avoid=("driving nails with blows",),
            ),
            Fixing(room="Hall", wall="B", trim="casing", member="architrave", start=0, end=1, kind="lost-head-nail"),
        )
    )
    assert [each.says for each in audited([PlanStep(line)], steps, {}, schedule=schedule).differs] == differs


PLAN = (
    "Strip off the old skirting", "dry sand the wall", "fix the new", "drill", "acclimatise a week", "caulk", "paint",
    "call the conservation officer",
)  # fmt: skip


@pytest.mark.parametrize("joint", ["; ", ". ", "; then ", ". After that ", ", "])
def test_the_same_order_faults_in_one_line_as_in_many(audit: Held, joint: str) -> None:
    """In one clause only the pairs that do harm or spoil the work are told, since commas also part what goes on
    together."""
    many, one = audit(*PLAN), audit(joint.join(PLAN))
    faults = {(each.first, each.then, each.weight) for each in many.out_of_order}
    assert ("consent", "fix", "hold") in faults
    listed = {fault for fault in faults if fault[:2] in pair_weights()}
    assert {(each.first, each.then, each.weight) for each in one.out_of_order} == (listed if joint == ", " else faults)
    assert [each.method for each in one.harmful] == [each.method for each in many.harmful] == ["dry-sand"]
    assert not any("stands after" in good for good in one.good)


def test_corners_bevelled_on_the_day_of_the_survey_are_no_fault(audit: Held) -> None:
    """Either may come first; what is cut by them still comes after both."""
    held = audit("Bevel every corner", "Cut to length", "Set out from the level line")
    assert [(each.first, each.then) for each in held.out_of_order if "measure-corners" in (each.first, each.then)] == []
    assert ("set-out", "cut") in [(each.first, each.then) for each in held.out_of_order]


def test_a_step_left_out_on_purpose_weighs_as_one_left_out(audit: Held) -> None:
    missed = {each.step: each for each in audit("Gloss", "Don't bother with the undercoat").missed}
    assert (missed["undercoat"].weight, missed["undercoat"].line) == ("hold", 2)
    assert missed["undercoat"].text == "Don't bother with the undercoat"
    assert missed["fix"].text == ""


@pytest.mark.parametrize(
    ("line", "weight"),
    [
        ("sand the old doors dry", "hold"),
        ("torch the old paint", "hold"),
        ("a heat gun for the casings", "caution"),
        ("sweep up", "hold"),
        ("rip out the old skirting", "hold"),
        ("one coat of gloss", "caution"),
    ],
)
def test_ways_of_working_that_do_harm(audit: Held, steps: tuple[JobStep, ...], line: str, weight: str) -> None:
    assert [each.weight for each in audit(line).harmful] == [weight]
    settled = tuple(
        replace(step, done=step.name not in ("fix", "sand"))
        for step in steps
        if step.name not in ("lead-method", "asbestos-method")
    )
    harmless = {"torch the old paint", "a heat gun for the casings"}
    assert bool(audit(line, against=settled).harmful) == (line in harmless)


def test_a_plan_that_glues_and_putties_otherwise_than_the_statement(steps: tuple[JobStep, ...]) -> None:
    bond = Bond(room="Hall", wall="A", trim="dado", refused=(("acrylic-grab", "it does not hold on lime"),))
    fill = Fill(room="", trim="dado", joint="nail-holes", filler="two-part")
    plan = [PlanStep("Glue the dado with grab adhesive"), PlanStep("putty the holes")]
    said = [each.says for each in audited(plan, steps, {}, bonding=Bonding((bond,), (fill,))).differs]
    assert said == [
        "the plan glues where the statement fixes without glue: it does not hold on lime",
        "the plan stops with putty where the statement has two part",
    ]
    glued = Bonding((replace(bond, adhesive="lime-dabs"),), (replace(fill, filler="linseed-putty"),))
    assert audited(plan, steps, {}, bonding=glued).differs == ()


def test_a_steps_own_title_is_that_step(steps: tuple[JobStep, ...]) -> None:
    own = replace(steps[0], name="ashlar-bat-survey", title="Have the loft looked through for bats")
    found = audited([PlanStep("Have the loft looked through for bats.", line=1)], (own,), {})
    assert found.recognised[0].steps == ("ashlar-bat-survey",)
    assert found.missed == ()


@pytest.mark.parametrize(
    ("line", "copes", "does_not"),
    [
        ("cut the scribes in the corners", ("cut", "cope"), ("cut", "scribe")),
        ("Scribe the bottoms to the boards and cut the scribes in the corners", ("scribe", "cope"), ("scribe",)),
        ("Scribe the corners", ("cope",), ("scribe",)),
        ("Internal corners scribed, externals mitred", ("cope", "cut"), ("cope", "cut")),
        ("scribe the skirting to the wall at the corner by the bay", ("scribe",), ("scribe",)),
        ("Scribe and mitre the corners", ("scribe", "cut"), ("scribe", "cut")),
        ("Scribe skirting to the flags", ("scribe",), ("scribe",)),
    ],
)
def test_a_scribe_in_a_corner_is_a_cope_where_the_job_copes(
    audit: Held, steps: tuple[JobStep, ...], line: str, copes: tuple[str, ...], does_not: tuple[str, ...]
) -> None:
    without = tuple(step for step in steps if step.name != "cope")
    assert [each.steps for each in audit(line).recognised] == [copes]
    assert [each.steps for each in audit(line, against=without).recognised] == [does_not]


def test_no_scribing_in_the_corners_leaves_the_copes_out(audit: Held) -> None:
    missed = {each.step: each.text for each in audit("Scribe the floors", "No scribing in the corners").missed}
    assert missed["cope"] == "No scribing in the corners" and "scribe" not in missed


def test_what_is_left_out_and_not_missed_is_told(audit: Held, steps: tuple[JobStep, ...]) -> None:
    some = tuple(replace(step, done=step.name == "lead-check") for step in steps if step.name != "gas-check")
    plan = plan_from_text(
        "undercoat\n\nNot to do:\n- gas check\n- undercoat\n- lead test\n- prime the backs", "plan.md"
    )
    spared = [(each.line, each.step, each.because) for each in audit(*plan, against=some).spared]
    assert spared == [
        (4, "gas-check", "this job does not ask for it"),
        (5, "undercoat", "another line does it"),
        (6, "lead-check", "the survey records it as done"),
    ]


def test_a_step_left_out_between_two_gives_the_reason_of_their_order(audit: Held, steps: tuple[JobStep, ...]) -> None:
    why = {"cut": "Cut to the long points.", "prime": "Bare places drink the paint."}
    told = tuple(replace(step, because=why.get(step.name, "asked for")) for step in steps)
    found = audit("Undercoat", "Fill the holes", against=told).out_of_order
    assert [each.because for each in found] == ["prime comes between them. Bare places drink the paint."]
    found = audit("Dry fit it", "Cut to length", against=told).out_of_order
    assert [each.because for each in found] == ["Cut to the long points."]


@pytest.mark.parametrize(
    ("line", "methods"),
    [
        ("Burn the old paint off the alcove skirting with the hot air gun", ["hot-air"]),
        ("Burn off the old paint with a heat gun, no blowlamp", ["hot-air"]),
        ("Burn off the old paint with a blow lamp or a heat gun", ["burn-off", "hot-air"]),
        ("Burn off the old paint", ["burn-off"]),
    ],
)
def test_hot_air_is_no_flame(audit: Held, line: str, methods: list[str]) -> None:
    assert sorted(each.method for each in audit(line).harmful) == methods


HARMS = {
    "asbestos-worked": [
        "Scrape off the textured coating behind the skirting",
        "Skim the old stipple coating off with a wallpaper steamer",
        "Chip the old floor tiles up, and the black glue",
        "Snap off the boxing boards round the pipes",
        "Take the wall lining board off in the alcove with a crowbar",
    ],
    "house-vacuum": ["Vacuum up with the shop vac"],
    "own-gas": ["Turn the gas off ourselves and cap the pipe with a compression fitting"],
    "before-consent": [
        "Start on Monday, the consent will come through later",
        "Carry on while we wait for the listed building consent",
    ],
    "before-search": [
        "The electrician is coming next week, we can drill before that",
        "Check for cables with a bit of luck and a long drill",
    ],
    "check-if-found": ["Ring the surveyor about asbestos if we find anything funny"],
    "old-trim-thrown": ["Throw the old skirting in the skip", "Chuck the old skirting in the dumpster"],
    "burn-timber": ["Burn the old trim in the grate"],
    "tank-dip": ["Dip the old skirting in the caustic tank"],
    "forced-dry": ["Put the heating on full to dry the wall out"],
    "vent-shut": ["Block the air brick behind the skirting"],
    "alarm-covered": ["Cover the smoke alarms till Friday"],
    "old-paper-stripped": ["Peel back the green wallpaper and bin it"],
}
CHECKS = {"asbestos-check", "lead-check", "consent", "gas-check", "detect-services"}


@pytest.mark.parametrize(("way", "line"), [(way, line) for way, lines in HARMS.items() for line in lines])
def test_what_does_harm_is_told_and_is_never_the_check_that_it_breaks(
    steps: tuple[JobStep, ...], way: str, line: str
) -> None:
    asked = (JobStep(name, name, "asked for") for name in sorted(CHECKS.difference(step.name for step in steps)))
    found = audited([PlanStep(line, line=1)], (*steps, *asked), {name: ["it is held"] for name in CHECKS})
    assert [each.method for each in found.harmful] == [way]
    assert CHECKS.isdisjoint(step for each in found.recognised for step in each.steps)
    assert [step.perhaps for step in found.missed if step.step in CHECKS and step.perhaps] == []


@pytest.mark.parametrize(
    "line",
    [
        "Do not start until the consent is in our hands",
        "A licensed contractor strips the textured coating",
        "The gas engineer caps the old pipe",
        "Have the asbestos survey done before we start",
        "Nobody covers a smoke alarm",
    ],
)
def test_what_is_forbidden_or_done_by_the_right_people_is_no_harm(steps: tuple[JobStep, ...], line: str) -> None:
    assert audited([PlanStep(line, line=1)], steps, {}).harmful == ()


# ---------------------------------------------------------------- holds


def test_a_step_that_holds_stand_on_is_not_there_on_a_reading_in_doubt(steps: tuple[JobStep, ...]) -> None:
    plan = [PlanStep("second fix the lot", line=7), PlanStep("Then picture rail and dado", line=8)]
    found = audited(plan, steps, {"fix": ["it is held"]})
    assert [(each.step, each.perhaps) for each in found.missed if each.step == "fix"] == [("fix", (7, 8))]
    assert [each.step for each in found.holds] == ["fix"]
    assert not any("open holds" in good for good in found.good)
    assert "fix (hold), unless line 7 or 8 is it" in "\n".join(dict(in_words(found))["Left out"])
    assert "fix" not in {each.step for each in audited(plan, steps, {}).missed}
    sure = audited([*plan, PlanStep("Screw the skirting to the studs", line=9)], steps, {"fix": ["it is held"]})
    assert "fix" not in {each.step for each in sure.missed} and sure.holds == ()


def test_a_step_that_holds_stand_on_is_not_there_since_a_line_comes_after_it(steps: tuple[JobStep, ...]) -> None:
    found = audited([PlanStep("Hang the rails on screws after drilling", line=3)], steps, {"lead-holes": ["held"]})
    assert [each.perhaps for each in found.missed if each.step == "lead-holes"] == [(3,)]
    assert not any("comes after" in good for good in found.good)


def test_a_reading_in_doubt_does_not_put_a_held_step_in_time(steps: tuple[JobStep, ...]) -> None:
    plan = [PlanStep(text) for text in ("second fix the lot", "Punch the nails", "Screw the skirting to the studs")]
    pairs = [{(e.first, e.then) for e in audited(plan, steps, held).out_of_order} for held in ({}, {"fix": ["held"]})]
    assert [("fix", "punch") in each for each in pairs] == [False, True]


def test_holds_are_told_once_for_each_rule_and_stand_on_a_step_of_the_job() -> None:
    said = Said(
        (
            Finding("safety/fixing-in-zone", "hold", "One. Two."),
            Finding("safety/fixing-in-zone", "hold", "Three. Four."),
            Finding("bonding/adhesive-refused", "hold", "Five."),
            Finding("somebody/else", "hold", "Six."),
            Finding("safety/asbestos", "caution", "Seven."),
        )
    )
    holds = step_holds(said, {"detect-services", "fix"})
    assert holds == {"detect-services": ["One. Two. (And 1 more of this kind.)"], LAST_RESORT: ["Five.", "Six."]}


@pytest.fixture(scope="module", params=["stair-hall", "plain-room", "us-house"])
def outcome(request: pytest.FixtureRequest, examples: Path) -> Outcome:
    return examine(read_survey(examples / f"{request.param}.yaml"), load([]))


def test_every_hold_of_the_demos_stands_on_a_step_of_its_own(outcome: Outcome) -> None:
    holds = [finding for finding in outcome.findings if finding.open_hold]
    assert holds
    steps = {step.name for step in outcome.sheet[Sequence].steps}
    for finding in holds:
        row = hold_row(finding.rule)
        assert row is not None, finding.rule
        assert not (row.name == "safety/" and finding.rule.startswith("safety/")), (
            f"{finding.rule} has no row of its own"
        )
        assert row["step"] in steps


def test_held_steps_are_short(outcome: Outcome) -> None:
    held = [step for step in outcome.sheet[Sequence].steps if step.hold]
    assert held
    assert all(len(step.hold) < 1200 for step in held)


@pytest.mark.parametrize("then", ["make-good", "lead-holes", "fix"])
def test_old_paint_is_known_before_walls_are_opened(audit: Held, then: str) -> None:
    found = audit(PlanStep("the work", (then,)), PlanStep("swabs", ("lead-check",))).out_of_order
    assert ("lead-check", then, "hold") in {(each.first, each.then, each.weight) for each in found}


# ---------------------------------------------------------------- the command


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    status = main(["audit", *map(str, words)])
    told = capsys.readouterr()
    return status, told.out, told.err


def test_a_plan_with_faults(capsys: pytest.CaptureFixture[str], examples: Path) -> None:
    plan = examples / "stair-hall-plan.md"
    status, out, _ = run(capsys, examples / "stair-hall.yaml", "--plan", plan, "--json")
    found = json.loads(out)
    assert status == 1
    assert {"line": 25, "text": "cut & dry fit", "steps": ["cut", "dry-fit"]} in found["recognised"]
    assert "detect-services" in {each["step"] for each in found["missed"]}
    pairs = {(each["first"], each["then"], each["weight"]) for each in found["out_of_order"]}
    assert {("lead-check", "take-down", "hold"), ("lead-holes", "fix", "caution")} <= pairs
    assert ("undercoat", "top-coat", 4.0) in {(each["step"], each["then"], each["given"]) for each in found["too_soon"]}
    assert [each["text"] for each in found["not_recognised"]] == ["Ask Wilf about the whatsit for the arch"]
    assert "adhesive" in {step for each in found["not_needed"] for step in each["steps"]}
    lines = plan.read_text(encoding="utf-8").splitlines()
    assert all(each["text"] in lines[each["line"] - 1] for each in found["recognised"])


def test_a_faultless_plan(capsys: pytest.CaptureFixture[str], examples: Path) -> None:
    plan = examples / "stair-hall-plan-whole.md"
    status, out, _ = run(capsys, examples / "stair-hall.yaml", "--plan", plan, "--json")
    found = json.loads(out)
    assert {name: found[name] for name in LISTS} == {name: [] for name in LISTS}
    assert found["differs"] == []
    assert status == 0
    assert len(found["recognised"]) > 20
    assert "All " in found["good"]


def test_the_surveys_own_plan_is_audited_and_told_on_the_terminal(
    capsys: pytest.CaptureFixture[str], examples: Path
) -> None:
    status, out, err = run(capsys, examples / "stair-hall.yaml")
    assert (status, err) == (1, "")
    assert (
        "Left out\n  record existing (hold): " in out
        and "\n  gas check (hold): " in out
        and "\n  lead check (hold): " in out
    )
    assert all(len(line) <= 110 for line in out.splitlines())
    assert len(out.splitlines()) < 100


def test_a_plan_with_any_step_missed_is_not_clean(audit: Held, steps: tuple[JobStep, ...]) -> None:
    named = [PlanStep(step.title, (step.name,)) for step in steps if step.required]
    found = replace(audit(*named), out_of_order=())
    assert {each.weight for each in found.missed} == {"caution"}
    assert not is_clean(found)
    assert is_clean(replace(found, missed=()))
    assert not is_clean(replace(found, missed=(), holds=("fix: it is held",)))


def test_cautions_of_order_alone_leave_a_plan_clean(audit: Held, steps: tuple[JobStep, ...]) -> None:
    found = audit(*[PlanStep(step.title, (step.name,)) for step in steps if step.required])
    assert {each.weight for each in found.out_of_order} == {"caution"}
    assert is_clean(replace(found, missed=()))


def test_what_the_audit_comes_to_is_one_finding_and_the_section_lists_it_in_words(examples: Path) -> None:
    outcome = examine(read_survey(examples / "stair-hall.yaml"), load([]))
    told = [finding for finding in outcome.findings if finding.rule.startswith("sequence/plan")]
    assert len(told) == 1
    assert re.search(r"leaves out \d+ steps that this job needs and has 1 pair of steps the wrong way", told[0].says)
    section = re.sub(r"\s+", " ", render(outcome).split("held against these steps")[1])
    assert "<strong>Cope the internal corners" in section
    assert "recorded for a part of the walls only" in section
    assert "held against these steps" not in render(outcome, readers="client")


def test_consent_in_hand_is_not_told_as_left_out(examples: Path) -> None:
    sequence = examine(read_survey(examples / "stair-hall.yaml"), load([])).sheet[Sequence]
    assert sequence.audit is not None
    assert "consent" not in {missed.step for missed in sequence.audit.missed}


def test_a_firms_own_step_is_read_by_its_title_and_a_firms_words_mean_steps():
    bats = JobStep(name="bat-survey", title="Have the loft looked through", because="b", who="specialist")
    plan = [PlanStep("Have the loft looked through", line=1), PlanStep("Dock the lengths", line=2)]
    audit = audited(plan, [bats], {}, Steps((), (Words("cut", ("dock the lengths",)),)))
    assert [each.steps for each in audit.recognised] == [("bat-survey",), ("cut",)]


@pytest.mark.parametrize(
    ("line", "steps"),
    [
        ("Frame the wainscot on the bench", ("make-panelling",)),
        ("Frame up the panels on the bench", ("make-panelling",)),
        ("Frame the panels at the bench", ("make-panelling",)),
        ("Frame the window backs in the workshop", ("make-panelling",)),
        ("Glue up the frames at the bench", ("make-panelling",)),
        ("Make the shutters on the bench", ("make-shutters",)),
        ("Make the boxings at the bench", ("make-shutters",)),
        ("Mend the old wainscot on the bench", ("bench-repair",)),
        ("Repair the shutters on the bench", ("bench-repair",)),
        ("Make the shutters, mend the old architrave on the bench", ("make-shutters", "bench-repair")),
        ("Scarf the new lengths into the old skirting, date the new wood on the back", ("bench-repair", "mark-new")),
        ("Date each new length on the back", ("mark-new",)),
    ],
)
def test_what_is_made_new_on_the_bench_is_no_repair_there(line: str, steps: tuple[str, ...]) -> None:
    rows = [row for plugin in ("existing", "panelling") for row in load_table(f"listel.plugins.{plugin}", "steps")]
    offered = Steps((), tuple(Words(row.name, tuple(row["words"])) for row in rows))
    assert [each.steps for each in audited([PlanStep(line, line=1)], (), {}, offered).recognised] == [steps]


@pytest.mark.parametrize(
    ("line", "read"),
    [
        ("Wax the dining room", True),
        ("Wax the oak rail.", True),
        ("Wax the parlour", False),
        ("Fill the dining room with wax", False),
    ],
)
def test_a_room_is_waxed_where_wax_is_a_finish_of_its_trim(line: str, read: bool) -> None:
    rails = [Trim(name, "dado-rail", finish="wax", where=(Place("Dining room"),)) for name in ("oak rail", "oak cap")]
    found = audited([PlanStep(line, line=1)], (), {}, called=tuple(finishing(Job("t", trim=tuple(rails)))))
    assert (("top-coat",) in [each.steps for each in found.recognised]) is read


LEFT_OUT_LISTS = (
    "1. cut it\n2. fix it\n\nNot to do:\n- prime the backs\n\n- sanding the old paint dry\n\nundercoat",
    "fix the skirting\nWe won't be doing:\n\nprime the backs\nsanding the old paint dry\n\nundercoat",
    "## Plan\n- fix it\n## To be left out\n- prime the backs\n- sanding the old paint dry\n## Painting\n- undercoat",
)


@pytest.mark.parametrize("text", LEFT_OUT_LISTS)
def test_what_stands_under_a_heading_of_what_is_not_to_be_done_is_left_out(text: str, audit: Held) -> None:
    found = audit(*plan_from_text(text, "plan.md"))
    read = {step for line in found.recognised for step in line.steps}
    assert {"fix", "undercoat"} <= read
    assert not {"back-prime", "sand"} & read
    assert found.harmful == found.not_recognised == ()
    missed = next(each for each in found.missed if each.step == "back-prime")
    assert missed.text == "Not to do: prime the backs"


@pytest.mark.parametrize("heading", ["Do not forget:", "Before you start:", "If not done already:", "Paint:"])
def test_another_heading_leaves_nothing_out(heading: str, audit: Held) -> None:
    found = audit(*plan_from_text(f"{heading}\n- prime the backs\n", "plan.md"))
    assert any("back-prime" in line.steps for line in found.recognised)


def test_the_same_list_in_a_survey_or_a_yaml_plan_is_left_out(audit: Held) -> None:
    found = audit("fix it", "Leave out:", "undercoat", "Then:", "sand it")
    assert [line.steps for line in found.recognised] == [("fix",), ("sand",)]
    assert next(each for each in found.missed if each.step == "undercoat").text
