"""The rail against what is on the walls, over floors out of level, and on stairs."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from listel.core.contract.testing import StageRun
from listel.plugins.heights import RailHeight, RailHeights, StairHeight

Run = Callable[..., StageRun]


def line(ran: StageRun) -> RailHeight:
    return ran.result(RailHeights).lines[0]


def fitting(kind: str, height: float, depth: float = 86) -> str:
    return f"[{{kind: {kind}, at: 1000, height: {height}, width: 86, depth: {depth}}}]"


@pytest.mark.parametrize(
    ("kind", "height", "rule", "weight"),
    [
        ("switch", 650, "heights/rail-meets-fitting", "hold"),
        ("socket", 690, "heights/rail-near-fitting", "caution"),
        ("vent", 600, "heights/rail-meets-fitting", "hold"),
        ("radiator", 620, "heights/rail-meets-fitting", "caution"),
        ("mantel", 700, "heights/rail-against-line", "caution"),
        ("handrail", 700, "heights/rail-near-fitting", "caution"),
    ],
)
def test_a_fitting_in_the_way_is_told_with_the_nearest_clear_height(
    run: Run, kind: str, height: float, rule: str, weight: str
) -> None:
    ran = run(fittings=fitting(kind, height), trim="    top: 675")
    found = next(one for one in ran.findings if one.rule == rule)
    assert found.weight == weight
    assert not line(ran).clears
    assert line(ran).offered is not None
    assert f"{line(ran).offered:.0f} mm" in found.mend


@pytest.mark.parametrize(("kind", "height"), [("switch", 1100), ("socket", 300), ("mantel", 675), ("switch", 700)])
def test_a_fitting_that_clears_or_a_line_that_is_met_is_no_clash(run: Run, kind: str, height: float) -> None:
    assert line(run(fittings=fitting(kind, height))).clears


@pytest.mark.parametrize(
    ("sill", "clears"), [(675, True), (640, False), (615, True), (700, False), (590, False), (760, True)]
)
def test_a_rail_meets_a_sill_or_stands_well_clear_of_it(run: Run, sill: float, clears: bool) -> None:
    opening = f"[{{kind: window, at: 500, width: 1000, height: 1500, sill: {sill}}}]"
    ran = run(openings=opening, trim="    top: 675")
    assert line(ran).clears is clears
    assert ("nearly" in " ".join(one.says for one in ran.findings if one.rule.endswith("against-line"))) is not clears
    assert not any("move the" in one.mend.lower() for one in ran.findings), "a sill cannot be moved"


def test_a_mark_that_misses_a_line_stays_and_is_only_an_advice(run: Run) -> None:
    ran = run(
        room="    height: 2700\n    evidence: [{kind: ghost-line, member: dado-rail, height: 800, edge: top}]",
        openings="[{kind: door, at: 500, width: 800, lock-rail: 830}]",
    )
    assert next(one for one in ran.findings if one.rule == "heights/rail-against-line").weight == "advice"
    assert line(ran).top == 800


def test_a_rail_near_half_of_the_room_is_a_caution(run: Run) -> None:
    ran = run(trim="    top: 1340")
    assert "heights/rail-at-half" in ran.rules()
    assert line(ran).offered is not None
    assert abs((line(ran).offered or 0) - 1350) >= 0.05 * 1350 - 1e-6


def test_a_depth_that_was_not_surveyed_is_assumed_and_said(run: Run) -> None:
    ran = run(fittings="[{kind: switch, at: 1000, height: 640}]", trim="    top: 675")
    found = next(one for one in ran.findings if one.rule == "heights/rail-meets-fitting")
    assert any(one.assumed and "switch" in one.name for one in found.grounds.inputs)


def test_a_fitting_without_a_height_and_a_window_without_a_sill_are_told_together(run: Run) -> None:
    ran = run(fittings="[{kind: switch, at: 1000}]", openings="[{kind: window, at: 2000, width: 900}]")
    missing = [one for one in ran.findings if one.rule == "heights/fitting-height-not-surveyed"]
    assert len(missing) == 1
    assert "a switch on wall A" in missing[0].says and "window sill" in missing[0].says


def test_nothing_within_reach_is_said(run: Run) -> None:
    ran = run(fittings=fitting("vent", 300, 900), trim="    top: 675")
    assert line(ran).offered is None
    assert "no height within 150 mm" in next(
        one.mend for one in ran.findings if one.rule == "heights/rail-meets-fitting"
    )


def test_a_clash_is_judged_over_the_floor_where_it_stands(run: Run) -> None:
    level = run(
        trim="    top: 675",
        room="    height: 2700\n    datum: 1000",
        floor="[{at: 0, to-datum: 1000}, {at: 4000, to-datum: 900}]",
        fittings="[{kind: switch, at: 3900, height: 600, width: 86, depth: 86}]",
        tail="choices: {line: level}",
    )
    assert line(level).clashes[0].misses == pytest.approx(600 - (675 - 97.5))
    parallel = run(
        trim="    top: 675",
        room="    height: 2700\n    datum: 1000",
        floor="[{at: 0, to-datum: 1000}, {at: 4000, to-datum: 900}]",
        fittings="[{kind: switch, at: 3900, height: 600, width: 86, depth: 86}]",
        tail="choices: {line: parallel}",
    )
    assert line(parallel).clashes[0].misses == pytest.approx(675 - 60 - 686)


def test_a_rail_that_stands_proud_of_the_architrave_is_an_advice(run: Run) -> None:
    architrave = "  - {name: casing, member: architrave, where: [{room: Room}], section: {height: 100, projection: 18}}"
    ran = run(openings="[{kind: door, at: 500, width: 800}]", tail=architrave)
    assert "heights/rail-proud-of-architrave" in ran.rules()


@pytest.mark.parametrize(
    ("kind", "far", "datum"),
    [("level", 695, -325), ("parallel", 675, -345), ("split", 685, -335)],
)
def test_the_line_over_a_floor_that_falls(run: Run, kind: str, far: float, datum: float) -> None:
    floor = "[{at: 0, to-datum: 1000}, {at: 4000, to-datum: 1020}]"
    found = line(run(floor=floor, tail=f"choices: {{line: {kind}}}"))
    assert [one.above_floor for one in found.stations] == pytest.approx([675, far])
    assert [one.from_datum for one in found.stations] == pytest.approx([-325, datum])
    assert ("20 mm" if kind != "split" else "10 mm") in found.error


@pytest.mark.parametrize(("fall", "kind", "weight"), [(10, "level", "record"), (40, "split", "advice")])
def test_the_line_is_chosen_by_the_fall_and_all_three_are_shown(run: Run, fall: int, kind: str, weight: str) -> None:
    ran = run(floor=f"[{{at: 0, to-datum: 1000}}, {{at: 4000, to-datum: {1000 + fall}}}]")
    assert line(ran).line == kind
    found = next(one for one in ran.findings if one.rule == "heights/floor-out-of-level")
    assert found.weight == weight
    assert all(f"If {way}:" in found.says for way in ("level", "parallel", "split"))


def test_a_floor_that_dips_bends_a_parallel_rail(run: Run) -> None:
    floor = "[{at: 0, to-datum: 1000}, {at: 2000, to-datum: 1012}, {at: 4000, to-datum: 1000}]"
    assert "12 mm off straight" in line(run(floor=floor, tail="choices: {line: parallel}")).error


def test_a_floor_that_was_not_levelled_is_told(run: Run) -> None:
    assert "heights/floor-not-levelled" in run(floor="[]").rules()


def stair(run: Run, flight: str, trim: str = "") -> tuple[StageRun, StairHeight]:
    ran = run(use="stair", room=f"    height: 2700\n    stairs: [{{name: flight{flight}}}]", trim=trim)
    return ran, ran.result(RailHeights).stairs[0]


def test_a_stair_rail_takes_the_height_of_the_handrail_plumb(run: Run) -> None:
    ran, found = stair(run, ", rise: 190, going: 230, handrail: 900")
    assert found.plumb == 900
    assert found.square == pytest.approx(693.9, abs=0.05)
    assert "heights/dado-is-no-handrail" in ran.rules()


def test_a_pitch_alone_gives_the_head_knee_but_not_the_foot(run: Run) -> None:
    _, found = stair(run, ", pitch: 40, handrail: 900")
    assert found.foot_knee is None and found.head_knee is not None
    assert found.pitch == 40


def test_what_a_flight_lacks_is_told(run: Run) -> None:
    ran, found = stair(run, "")
    assert {"heights/pitch-not-surveyed", "heights/handrail-not-surveyed"} <= set(ran.rules())
    assert found.pitch is None and found.plumb == 850
