"""How long steps take and how long they wait: by product, depth, temperature, humidity, and as the person says."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from listel.core.contract.cases import base, changed
from listel.core.contract.findings import Finding
from listel.core.contract.stage import Said, Sheet, Step, Steps
from listel.core.contract.tables import load_table
from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.job import (
    Air,
    Choices,
    Climate,
    Job,
    Place,
    PlanStep,
    Reading,
    Room,
    Substrate,
    Trim,
    Wall,
    Work,
)
from listel.core.survey.reading import job_from_text
from listel.plugins.bonding import Bond, Bonding, Fill
from listel.plugins.panelling import Frame, Panelling
from listel.plugins.sequence import Sequence
from listel.plugins.sequence.held import barred
from listel.plugins.sequence.rules import examine as sequenced
from listel.plugins.sequence.times import size, slowing, wait_after, wait_for, working_hours
from listel.plugins.setting_out import SettingOut

PINE = Trim("rail", "dado-rail", timber="european-redwood", finish="paint")


def job(**parts: object) -> Job:
    where = tuple(Place(room.name) for room in parts.get("rooms", ()))  # type: ignore[attr-defined]
    return Job("a job", trim=(replace(PINE, where=where),), **parts)  # type: ignore[arg-type]


def wall(kind: str, plaster: float | None, condition: str = "hollow") -> Room:
    return Room("R", walls=(Wall("A", Reading(3000), substrate=Substrate(kind, plaster, condition=condition)),))


@pytest.mark.parametrize(
    ("paint", "step", "hours"),
    [
        ("waterborne", "undercoat", 6),
        ("alkyd", "undercoat", 24),
        ("linseed-oil", "undercoat", 72),
        (None, "undercoat", 24),
        ("waterborne", "back-prime", 6),
        ("alkyd", "top-coat", 48),
        ("waterborne", "top-coat", 30),
        ("linseed-oil", "top-coat", 144),
        ("alkyd", "seal-knots", 2),
        ("alkyd", "cut", 0),
    ],
)
def test_waits_by_paint(paint: str | None, step: str, hours: float) -> None:
    assert wait_after(step, job(choices=Choices(paint=paint)), Sheet())[0] == hours


def test_a_paint_that_was_not_surveyed_is_told_as_assumed() -> None:
    wait = wait_for("prime", job(), Sheet())
    assert [each.value for each in wait.inputs if each.assumed and each.name == "paint"] == ["alkyd"]
    assert not [
        each for each in wait_for("prime", job(choices=Choices(paint="alkyd")), Sheet()).inputs if each.name == "paint"
    ]


@pytest.mark.parametrize(
    ("kind", "plaster", "hours"),
    [
        ("lime-on-lath", 20, 480),
        ("lime-on-lath", 5, 168),
        ("lime-on-lath", None, 672),
        ("gypsum-on-brick", 13, 312),
        ("gypsum-on-brick", 2, 72),
        ("gypsum-on-brick", None, 168),
    ],
)
def test_plaster_waits_by_its_depth(kind: str, plaster: float | None, hours: float) -> None:
    """A day a millimetre, by the custom of the trade."""
    assert wait_after("make-good", job(rooms=(wall(kind, plaster),)), Sheet())[0] == hours


def test_sound_plaster_makes_no_wait() -> None:
    assert wait_after("make-good", job(rooms=(wall("lime-on-lath", 20, "sound"),)), Sheet()) == (0, "")


@pytest.mark.parametrize(
    ("filler", "depth", "hours"),
    [
        ("cellulose", 10, 8),
        ("cellulose", 1, 1),
        ("cellulose", None, 4),
        ("two-part", 10, 0.5),
        ("linseed-putty", 3, 336),
    ],
)
def test_filler_waits_by_product_and_depth(filler: str, depth: float | None, hours: float) -> None:
    sheet = Sheet(
        {Bonding: Bonding(fills=(Fill(room="", trim="rail", joint="nail-holes", filler=filler, depth=depth),))}
    )
    assert wait_after("fill", job(), sheet)[0] == pytest.approx(hours)


def test_what_seals_the_wall_edge_is_waited_for_after_the_caulk() -> None:
    sheet = Sheet({Bonding: Bonding(fills=(Fill(room="", trim="rail", joint="wall-edge", filler="hybrid-polymer"),))})
    assert wait_after("caulk", job(), sheet)[0] == 48
    assert wait_after("caulk", job(), Sheet())[0] == 4


def test_the_slowest_adhesive_is_waited_for_after_fixing() -> None:
    cures = (("pva", (12, 24)), ("hide-glue", (24, 48)))
    bonds = tuple(
        Bond(room="R", wall="A", trim="rail", adhesive=adhesive, cure_hours=hours) for adhesive, hours in cures
    )
    assert wait_after("fix", job(), Sheet({Bonding: Bonding(bonds)})) == (24, "the adhesive to cure")
    assert wait_after("fix", job(), Sheet()) == (0, "")


@pytest.mark.parametrize(
    ("temperature", "humidity", "factor"),
    [
        (20, 50, 1),
        (25, 50, 1),
        (10, 50, 2),
        (0, 50, 4),
        (20, 76, 1.5),
        (20, 75, 1),
        (10, 90, 3),
        (None, None, 1),
        (15, None, 2**0.5),
    ],
)
def test_cold_and_damp_air_stretch_drying(temperature: float | None, humidity: float | None, factor: float) -> None:
    airy = job(climate=Climate(day=Air(temperature, humidity)), choices=Choices(paint="alkyd"))
    assert slowing(airy) == pytest.approx(factor)
    assert wait_after("undercoat", airy, Sheet())[0] == pytest.approx(24 * factor, abs=0.01)


SURVEY = """\
listel: 1
job: {title: One wall}
rooms:
  - {name: Box room, walls: [{name: A, length: 3000}]}
trim:
  - {name: skirting, member: skirting, where: [{room: Box room}], finish: paint, moisture: 20}
work: {crew: 1, start: 2026-04-17, durations: {set-out: 11.5, consent: 2}}
building: {protection: none}
"""


def test_durations_written_in_the_survey_are_taken_and_grounded() -> None:
    read = job_from_text(SURVEY, "one.yaml")
    steps = {step.name: step for step in examine(read, load([])).sheet[Sequence].steps}
    assert steps["set-out"].hours == 11.5
    given = steps["set-out"].grounds.inputs[0]
    assert (given.value, given.line, given.assumed) == (11.5, 7, False)
    assert steps["cut"].grounds.inputs[0].assumed
    assert "consent" not in steps


@pytest.mark.parametrize(
    ("told", "after", "hours"),
    [
        ({}, {"bench-repair"}, 0.5),
        ({"work": {"durations": {"bench-repair": 16}}}, {"bench-repair"}, 1.5),
        ({"work": {"durations": {"bench-repair": 16}, "hours-per-day": 8}}, {"bench-repair"}, 1),
        ({"work": {"durations": {"bench-repair": 16, "clean-lead": 3}}}, {"bench-repair"}, 3),
        ({"rooms.0.walls.0.existing.0.state": "loose"}, {"take-down"}, 1),
    ],
)
def test_lead_dust_is_cleaned_up_after_each_shift_that_raises_it(told, after, hours) -> None:
    old = {"member": "skirting", "to": 1500, "section": {"height": 168, "projection": 19}, "finish": "paint"}
    old |= {"state": "damaged", "intent": "repair", "damage": [{"from": 500, "to": 600, "kind": "broken"}]}
    data = changed(base("one-wall"), {"building.built": 1795, "rooms.0.walls.0.existing": [old], **told})
    steps = {step.name: step for step in examine(job_from_text(json.dumps(data)), load([])).sheet[Sequence].steps}
    cleaned = steps["clean-lead"]
    assert (set(cleaned.needs) - {"survey"}, cleaned.hours) == (after, hours)
    assert "clean-lead" in steps["sand"].needs


@pytest.mark.parametrize(("hours", "days"), [(7.5, 1), (9, 2), (15, 2), (37.5, 5), (38, 8)])
@pytest.mark.parametrize("crew", [1, 3])
def test_the_programme_ends_with_the_last_day_it_works_on_and_says_whose_hours_it_has(hours, days, crew) -> None:
    step = Step("fix", "Fix", lambda job, sheet: "It is asked for.", hours=lambda job, sheet: hours, shared=True)
    found = list(sequenced(job(work=Work(crew=crew)), Sheet({Steps: Steps((step,))})))
    (record,) = [each.says for each in found if isinstance(each, Finding) and each.rule == "sequence/earliest-finish"]
    assert found[-1].days == days and record.startswith(f"The work takes {days} calendar days")
    assert (f"of one person they are {3 * hours:.0f}" in record) is (crew == 3)


def begun(state: str = "", of: int | None = None, on: str = "2026-05-08") -> dict[str, Any]:
    """The order of work of one wall of whose pieces all, or so many, are told as in a state."""
    data = changed(base("one-wall"), {"work": {"start": "2026-05-04", "crew": 1, "durations": {"cut": 8, "fix": 6}}})
    labels = [piece.label for piece in examine(job_from_text(json.dumps(data)), load([])).sheet[SettingOut].pieces]
    told = {"state": state, "by": "a joiner", "on": on}
    data["done"] = {"pieces": [{"piece": label, **told} for label in labels[:of] if state]}
    order = examine(job_from_text(json.dumps(data)), load([])).sheet[Sequence]
    return {"order": order, "pieces": len(labels), **{step.name: step for step in order.steps}}


def test_what_is_told_as_made_drops_out_of_the_programme() -> None:
    bare, one = begun(), begun("fixed", 1)
    left = (bare["pieces"] - 1) / bare["pieces"]
    assert 0 < left < 1 and (bare["cut"].hours, bare["fix"].hours) == (8, 6)
    assert [one[name].hours for name in ("cut", "fix")] == [round(hours * left, 2) for hours in (8, 6)]
    cut = begun("cut")
    assert cut["cut"].done and not cut["fix"].done and cut["fix"].hours == 6
    assert begun("dry-fitted")["scribe"].done and begun("fixed")["punch"].done
    assert begun("spoilt")["cut"].hours == 8


def test_the_programme_goes_on_after_the_last_day_told() -> None:
    """Told on Friday the eighth, it goes on with the Monday: no step before it is planned, and hire is as it was."""
    bare, one = begun()["order"], begun("cut", 1)["order"]
    assert min(step.starts for step in bare.steps if step.hours and step.starts is not None) == 0
    assert min(step.starts for step in one.steps if step.hours and step.starts is not None) == 7 * 24
    assert one.at_work == bare.at_work
    assert begun("cut", 1, on="2026-04-30")["order"].days == bare.days


def test_work_takes_no_weekend() -> None:
    read = job_from_text(SURVEY, "one.yaml")
    steps = {step.name: step for step in examine(read, load([])).sheet[Sequence].steps}
    dated = [step.starts for step in steps.values() if step.hours and not step.done and step.starts is not None]
    assert dated and all(not 24 <= starts < 72 for starts in dated)


def test_what_a_hold_bars_has_no_date_and_what_may_go_on_meanwhile_is_told() -> None:
    outcome = examine(job_from_text(SURVEY, "one.yaml"), load([]))
    sequence = outcome.sheet[Sequence]
    steps = {step.name: step for step in sequence.steps}
    assert (steps["fix"].starts, steps["fix"].ends, steps["fix"].free) == (None, None, None)
    assert steps["protect-finishes"].starts is not None
    assert "protect-finishes" in sequence.meanwhile and "fix" not in sequence.meanwhile
    (told,) = [finding.says for finding in outcome.findings if finding.rule == "sequence/earliest-finish"]
    assert "if each hold is settled in the time reckoned for its step" in told
    assert steps["protect-finishes"].title.lower() in told


NEEDS = {
    "detect-services": (),
    "set-out": ("detect-services",),
    "fix": ("set-out",),
    "clean": (),
    "snag": ("fix",),
}


def test_a_hold_that_doing_its_step_settles_bars_only_what_comes_after() -> None:
    near = Finding("safety/service-near", "hold", "A cable is near.")
    assert barred(Said((near,)), NEEDS, ()) == dict.fromkeys(("set-out", "fix", "snag"), "detect-services")
    odd = Finding("acme/anything", "hold", "Odd.")
    assert barred(Said((odd,)), NEEDS, ()) == {"fix": "fix", "snag": "fix"}
    assert barred(Said((odd,)), NEEDS, {"snag"}) == {"fix": "fix"}
    assert barred(Said((Finding("safety/service-near", "caution", "A cable is near."),)), NEEDS, ()) == {}


def test_more_hands_take_fewer_hours() -> None:
    alone = examine(job_from_text(SURVEY, "one.yaml"), load([])).sheet[Sequence]
    two = examine(job_from_text(SURVEY.replace("crew: 1", "crew: 2"), "one.yaml"), load([])).sheet[Sequence]
    hours = {step.name: step.hours for step in two.steps}
    assert all(
        hours[step.name] <= step.hours for step in alone.steps if step.name in hours and step.who != "electrician"
    )
    assert sum(hours.values()) < sum(step.hours for step in alone.steps)


def test_trim_too_wet_to_paint_is_told_with_its_line() -> None:
    found = [
        f
        for f in examine(job_from_text(SURVEY, "one.yaml"), load([])).findings
        if f.rule == "sequence/too-wet-to-paint"
    ]
    assert [(f.where.trim, f.where.line, f.weight) for f in found] == [("skirting", 6, "caution")]


def test_a_bare_job_has_no_steps_and_nothing_fails() -> None:
    outcome = examine(Job("nothing", rooms=(Room("R"),), plan=(PlanStep("fix it"),)), load([]))
    assert outcome.sheet[Sequence].steps == ()
    assert [line.steps for line in outcome.sheet[Sequence].audit.not_needed] == [("fix",)]


def test_finishing_panelling_takes_our_allowance_for_each_square_metre() -> None:
    """Our own setting of hours for a square metre, of 1000 of them."""
    at: dict[str, Any] = {"room": "R", "wall": "A", "trim": "panelling", "left": "", "right": "", "rails": ()}
    frame = Frame(label="Frame 1", start=0.0, end=1e6, height=1000.0, panels=1, sight_width=1.0, **at)
    sheet = Sheet({Panelling: Panelling(frames=(frame,))})
    rows = [row for row in load_table("listel.plugins.sequence", "steps") if row.get("per_m2")]
    taken = {row.name: working_hours(row, Job("a job"), sheet) - row["base"] for row in rows}
    assert taken == {"seal-knots": 50, "back-prime": 200, "sand": 100, "undercoat": 200, "top-coat": 350}


def test_where_nothing_was_set_out_a_job_is_as_big_as_its_walls() -> None:
    """Our own setting: a fixing every 400 mm."""
    trim = Trim("rail", "dado-rail", (Place("R"),), timber="european-redwood", finish="paint")
    whole = Job("a job", rooms=(wall("gypsum-on-brick", 13),), trim=(trim,))
    assert size(whole, Sheet()) == {
        "per_old_metre": 0,
        "per_metre": 3,
        "per_m2": 0,
        "per_piece": 1,
        "per_corner": 1,
        "per_fixing": pytest.approx(7.5),
    }
