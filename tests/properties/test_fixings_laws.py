"""Laws of fixing: density holds, longer runs take no fewer, and every point lies where it may."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import (
    Building,
    Choices,
    Corner,
    Job,
    Place,
    Reading,
    Room,
    Section,
    Studs,
    Substrate,
    Trim,
    Wall,
)
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule, american, eurocode, johansen, layout, respaced
from listel.plugins.fixings.load import overhang_pull
from listel.plugins.fixings.schedule import examine, follow, judge
from listel.plugins.safety.moving import moved_line
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, site_of

SUBSTRATES = [row.name for row in load_table("listel.plugins.site", "makeups")]
KINDS = [row.name for row in load_table("listel.plugins.fixings", "kinds")]
MEMBERS = ["dado-rail", "plate-rail", "picture-rail", "skirting", "frieze", "cornice"]

densities = st.floats(250, 500)
diameters = st.floats(1.0, 6.0)
lengths = st.floats(20, 12000)
spacings = st.floats(60, 1200)


@given(densities, densities, diameters, st.floats(5, 100), st.floats(8, 40), st.floats(2, 12))
def test_denser_timber_never_holds_a_nail_less(
    one: float, other: float, diameter: float, deep: float, trim: float, head: float
) -> None:
    light, dense = sorted((one, other))
    assert eurocode.nail_withdrawal(light, diameter, deep, trim, head) <= eurocode.nail_withdrawal(
        dense, diameter, deep, trim, head
    )
    assert eurocode.embedment(light, diameter) <= eurocode.embedment(dense, diameter)
    assert american.nds_nail_withdrawal(light / 1000, diameter) <= american.nds_nail_withdrawal(dense / 1000, diameter)


@given(densities, densities, diameters, st.floats(8, 40), st.floats(10, 80))
def test_denser_timber_never_bears_a_nail_less(
    one: float, other: float, diameter: float, trim: float, deep: float
) -> None:
    light, dense = sorted((one, other))
    moment = eurocode.yield_moment(diameter)

    def bears(density: float) -> float:
        strength = eurocode.embedment(density, diameter)
        return johansen.single_shear(trim, deep, strength, strength, moment, diameter)[1]

    assert bears(light) <= bears(dense) + 1e-6


@given(diameters, st.floats(5, 40), st.floats(0, 60), st.floats(0, 60))
def test_a_wider_gap_never_carries_more(diameter: float, strength: float, one: float, other: float) -> None:
    near, far = sorted((one, other))
    moment = eurocode.yield_moment(diameter)
    across = [johansen.across_gap(18, 30, strength, strength, moment, diameter, each)[1] for each in (near, far)]
    masonry = [johansen.across_gap_from_masonry(18, strength, moment, diameter, each)[1] for each in (near, far)]
    assert across[1] <= across[0] + 1e-9 and masonry[1] <= masonry[0] + 1e-9


def collapse(head: float, point: float, gap: float, bears: tuple[float, float], moment: float, held: bool) -> float:
    """The greatest shear that any pressure along a shank can carry, no moment over the yield: limit analysis, N."""
    steps = 40
    cells = [(head / steps, bears[0])] * steps + [(gap / steps, 0.0)] * steps * (gap > 0)
    cells += [] if held else [(point / steps, bears[1])] * steps
    width = np.array([each[0] for each in cells])
    ends = np.cumsum(width)
    middles = ends - width / 2
    # The moment at the end of a cell is the sum of the forces before it, each times its distance.
    turning = np.tril(ends[:, None] - middles[None, :] + 0.0) * width[None, :]
    shear = np.where(np.arange(len(cells)) < steps, width, 0.0)
    limits = [LinearConstraint(turning, -moment, moment)]
    if not held:
        limits.append(LinearConstraint(np.vstack((width, turning[-1])), 0, 0))
    most = np.array([each[1] for each in cells])
    found = milp(-shear, constraints=limits, bounds=Bounds(-most, most))
    return float(-found.fun)


def test_a_shank_across_a_gap_carries_what_limit_analysis_allows() -> None:
    """500 random sections of every mode, against the lower bound theorem solved as a linear programme."""
    dice = random.Random(15)
    seen: set[str] = set()
    for number in range(500):
        head, point, diameter = dice.uniform(6, 40), dice.uniform(6, 60), dice.uniform(1.6, 6)
        gap, held = dice.choice((0.0, dice.uniform(2, 50))), number % 5 == 0
        strengths = dice.uniform(12, 40), dice.uniform(12, 40)
        moment = eurocode.yield_moment(diameter) * dice.choice((0.2, 1, 1, 4))
        if held:
            mode, carries = johansen.across_gap_from_masonry(head, strengths[0], moment, diameter, gap)
        else:
            mode, carries = johansen.across_gap(head, point, *strengths, moment, diameter, gap)
        seen.add(mode)
        most = collapse(head, point, gap, (strengths[0] * diameter, strengths[1] * diameter), moment, held)
        assert carries == pytest.approx(most, rel=0.02)
    assert seen == set("abcdef")


@given(lengths, lengths, spacings)
def test_a_longer_span_never_needs_fewer_fixings(one: float, other: float, most: float) -> None:
    short, long = sorted((one, other))
    near = layout.evenly(0, short, most, 50, 150, 30)
    far = layout.evenly(0, long, most, 50, 150, 30)
    assert len(near) <= len(far)


@given(lengths, spacings, st.floats(-500, 500), st.floats(20, 60))
def test_even_fixings_lie_inside_and_apart_as_allowed(length: float, most: float, start: float, least: float) -> None:
    end = start + length
    stations = layout.evenly(start, end, most, max(50, least), max(150, least + 60), least)
    assert stations == sorted(stations)
    assert all(start + least - 1e-6 <= station <= end - least + 1e-6 for station in stations)
    assert all(far - near <= most + 1e-6 for near, far in pairwise(stations))
    if length >= 2 * max(50, least) + 20:
        assert len(stations) >= 2


@given(st.lists(st.floats(0, 5000), max_size=12), st.floats(300, 5000), spacings)
def test_old_plugs_are_kept_and_gaps_filled(plugs: list[float], length: float, most: float) -> None:
    stations = layout.between_plugs(plugs, 0, length, most, 50, 30)
    assert all(far - near <= most + 1e-6 for near, far in pairwise(stations))
    assert all(50 - 1e-6 <= station <= length - 50 + 1e-6 for station in stations)
    inside = {plug for plug in plugs if 50 <= plug <= length - 50}
    assert inside <= set(stations)


@given(st.floats(0, 500), st.floats(1, 60), st.floats(5, 60))
def test_a_longer_overhang_pulls_more(weight: float, out: float, up: float) -> None:
    assert overhang_pull(weight, out, up) <= overhang_pull(weight, out + 1, up)


def fixed(
    substrate: str,
    member: str,
    length: float,
    height: float,
    choices: Choices,
    studs: Studs | None,
    sets: dict[str, Any] | None = None,
) -> tuple[Fixing, list[Finding]]:
    wall = Wall("A", Reading(length), substrate=Substrate(substrate, studs=studs))
    trim = Trim("rail", member, (Place("Hall"),), Section(height, 22.0), timber="european-redwood")
    job = Job(
        "laws", building=Building(region="england"), rooms=(Room("Hall", walls=(wall,)),), trim=(trim,), choices=choices
    )
    run = Run(
        room="Hall", wall="A", trim="rail", member=member, start=0.0, end=length, underside=800.0, top=800.0 + height
    )
    sheet: dict[type, object] = {Site: site_of(job), SettingOut: SettingOut(runs=(run,))}
    (schedule,) = examine(job, Sheet(sheet))
    if sets:
        wanted = FixingSchedule(tuple(replace(line, **sets) for line in schedule.lines))
        schedule = follow(job, Sheet(sheet | {FixingSchedule: schedule}), wanted)
    return schedule.lines[0], list(judge(job, Sheet(sheet | {FixingSchedule: schedule})))


chosen = st.builds(
    Choices,
    fixing=st.lists(st.sampled_from(KINDS), max_size=2, unique=True).map(tuple),
    fixing_diameter=st.none() | st.floats(1.2, 8),
    fixing_length=st.none() | st.floats(15, 200),
    spacing=st.none() | st.floats(60, 1500),
    code=st.sampled_from(["eurocode-5", "nds"]),
)
studded = st.none() | st.builds(Studs, first=st.floats(0, 400), centres=st.floats(200, 700))


wanted = st.fixed_dictionaries(
    {},
    optional={
        "kind": st.sampled_from(KINDS),
        "diameter": st.floats(1.2, 8),
        "length": st.floats(15, 200),
        "most_spacing": st.floats(60, 1500),
    },
)


@example("lime-on-brick", "dado-rail", 20.0, 20.0, Choices(spacing=60.0), None, {"kind": "screw", "most_spacing": 60.0})
@example("brick", "dado-rail", 900.0, 60.0, Choices(fixing_length=15.0), None, {"kind": "screw", "length": 15.0})
@given(st.sampled_from(SUBSTRATES), st.sampled_from(MEMBERS), lengths, st.floats(20, 300), chosen, studded, wanted)
def test_every_run_is_fixed_or_says_why_not_whatever_a_firm_sets(
    substrate: str,
    member: str,
    length: float,
    height: float,
    choices: Choices,
    studs: Studs | None,
    sets: dict[str, Any],
) -> None:
    line, findings = fixed(substrate, member, length, height, choices, studs, sets)
    for key in sets.keys() - {"diameter"} if line.kind else ():
        assert getattr(line, key) == sets[key]
    rules = {finding.rule for finding in findings}
    assert line.count == len(line.points)
    assert line.count >= 2 or not line.kind or "fixings/fewer-than-two" in rules
    assert all(0 < point.station < length for point in line.points)
    assert all(point.height is not None and 800 < point.height < 800 + height for point in line.points)
    if line.ratio is not None and line.ratio > 1:
        assert "fixings/overloaded" in rules
    if line.ratio is not None and line.demand:
        assert line.ratio == pytest.approx(line.demand / line.capacity)


@given(st.sampled_from(SUBSTRATES), st.sampled_from(MEMBERS), st.floats(100, 8000), st.floats(0, 3000))
def test_a_longer_run_never_gets_fewer(substrate: str, member: str, length: float, more: float) -> None:
    near, _ = fixed(substrate, member, length, 60.0, Choices(), None)
    far, _ = fixed(substrate, member, length + more, 60.0, Choices(), None)
    assert near.count <= far.count


@given(st.lists(st.floats(10, 2990), min_size=1, max_size=12, unique=True))
def test_respacing_keeps_the_line_true(stations: list[float]) -> None:
    line, _ = fixed("brick", "dado-rail", 3000.0, 60.0, Choices(), None)
    points = tuple(FixingPoint(station, 830.0, "masonry") for station in sorted(stations))
    moved = respaced(line, points)
    assert moved.count == len(stations)
    assert moved.from_ends == pytest.approx(min(stations))
    assert moved.spacing is None or moved.spacing == pytest.approx(max(b - a for a, b in pairwise(sorted(stations))))
    assert moved.ratio is not None and line.ratio is not None and moved.ratio >= line.ratio
    assert moved.ratio == pytest.approx(moved.demand / moved.capacity)


def test_respacing_in_place_changes_nothing() -> None:
    line, _ = fixed("brick", "dado-rail", 3000.0, 60.0, Choices(), None)
    again = respaced(line, line.points)
    assert again.points == line.points
    assert (again.spacing, again.from_ends, again.second, again.ratio) == pytest.approx(
        (line.spacing, line.from_ends, line.second, line.ratio)
    )
    with pytest.raises(ValueError, match="at least one point"):
        respaced(line, ())


@settings(max_examples=40)
@given(st.sampled_from(("lime-on-brick", "brick", "ashlar")), st.floats(300, 5000), st.booleans(), st.booleans())
def test_no_fixing_stands_near_an_arris_on_either_side_of_a_corner(
    kind: str, length: float, before: bool, after: bool
) -> None:
    kept = {"lime-on-brick": 60.0, "brick": 60.0, "ashlar": 75.0}[kind]
    corners = [Corner("external" if each else "internal", 90) for each in (before, after)]
    walls = (
        Wall("Z", Reading(2000), corners[0]),
        Wall("A", Reading(length), corners[1], substrate=Substrate(kind, plaster=15)),
        Wall("B", Reading(2000), Corner("internal", 90)),
    )
    trim = Trim("rail", "dado-rail", (Place("Hall"),), Section(60.0, 22.0), timber="european-redwood")
    job = Job("laws", building=Building(region="england"), rooms=(Room("Hall", walls=walls),), trim=(trim,))
    run = Run(room="Hall", wall="A", trim="rail", member="dado-rail", start=0.0, end=length, underside=800.0, top=860.0)
    sheet: dict[type, object] = {Site: site_of(job), SettingOut: SettingOut(runs=(run,))}
    schedule = next(each for each in examine(job, Sheet(sheet)) if isinstance(each, FixingSchedule))
    (line,) = (line for line in schedule.lines if line.wall == "A")
    for each in (line, moved_line(job, site_of(job), line)):
        stations = [point.station for point in each.points]
        assert len(stations) >= 2
        assert min(stations) >= (kept if before else 30) - 1e-6
        assert max(stations) <= length - (kept if after else 30) + 1e-6
    gaps = np.diff(sorted(stations))
    if length > 1200:  # out of the corner's zone a pair goes as a pair, and the rest stand evenly
        assert min(stations) >= 150 and [gaps[0], gaps[-1]] == pytest.approx([100, 100])
        assert np.ptp(gaps[1:-1]) == pytest.approx(0, abs=1e-6) and max(gaps) <= 450 + 1e-6
