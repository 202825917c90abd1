"""Laws of the service zones: what moves, what may not, and what more or fewer fittings do."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Building, Fitting, HeightReading, Job, Place, Reading, Room, Section, Trim, Wall
from listel.plugins.fixings import Fixing, FixingPoint
from listel.plugins.fixings.layout import evenly
from listel.plugins.safety.crossings import Band, holds_point, joined, left_by, met
from listel.plugins.safety.exposure import daily_noise, daily_vibration
from listel.plugins.safety.moving import Rule, allowed, evened, in_zone, moved_line, moved_row, rule_for, thinned
from listel.plugins.safety.results import Zone
from listel.plugins.safety.rows import clear_heights, cleared_line, part_of_board
from listel.plugins.safety.services import faces
from listel.plugins.safety.zones import zones_of
from listel.plugins.site import Site, site_of

spans = st.lists(
    st.tuples(st.integers(-200, 4200), st.integers(0, 700)).map(lambda t: (float(t[0]), float(t[0] + t[1]))), max_size=5
)
rows = st.lists(st.integers(60, 3940), min_size=1, max_size=9, unique=True).map(lambda xs: sorted(float(x) for x in xs))


@st.composite
def rules(draw, row):
    """A rule such as a schedule gives, that the row as it stands keeps but for the zones."""
    gaps = [b - a for a, b in itertools.pairwise(row)]
    on_studs = draw(st.booleans())
    studs = draw(st.lists(st.integers(0, 4000).map(float), max_size=12)) if on_studs else []
    return Rule(
        zones=tuple(joined(draw(spans))),
        low=min(60.0, row[0]),
        high=max(3940.0, row[-1]),
        most=max([float(draw(st.integers(300, 900))), *gaps]),
        least=min([40.0, *gaps]),
        first=max(200.0, row[0]),
        last=min(3800.0, row[-1]),
        clear=10.0,
        places={x: tuple(sorted({*studs, x})) for x in row} if on_studs else {},
    )


cases = rows.flatmap(lambda row: st.tuples(st.just(row), rules(row)))


EDGE = Rule(
    zones=((0.0, 190.0),), low=60.0, high=3940.0, most=300.0, least=40.0, first=200.0, last=60.0, clear=10.0, places={}
)
"""A zone that leaves the first fixing one mere point."""


@given(spans, st.integers(-50, 4050), st.integers(0, 900))
def test_what_is_free_lies_strictly_within_no_span(spans, start, more):
    end = start + more
    left = left_by(spans, float(start), float(end))
    assert all(start <= a <= b <= end for a, b in left)
    for x in {start, end, *range(start, end, 7), *(int(x) for span in spans for x in span if start <= x <= end)}:
        assert any(a <= x <= b for a, b in left) == (not any(a < x < b for a, b in spans)), x


@example(([60.0], EDGE))
@given(cases)
def test_a_fixing_never_ends_in_a_zone_it_could_have_left(case):
    row, rule = case
    moved = moved_row(row, rule)
    now = [at for at, _ in moved]
    for number, (at, first) in enumerate(moved):
        if not in_zone(rule, at):
            continue
        before, after = now[:number], now[number + 1 :]
        for x in rule.places.get(first, range(0, 4001, 5)):  # a second way: try every place
            fits = (
                rule.low <= x <= rule.high
                and not any(a - rule.clear < x < b + rule.clear for a, b in rule.zones)
                and (x - before[-1] <= rule.most and x - before[-1] >= rule.least if before else x <= rule.first)
                and (after[0] - x <= rule.most and after[0] - x >= rule.least if after else x >= rule.last)
            )
            assert not fits, (at, x)


@given(cases)
def test_moving_keeps_ends_spacing_order_and_bearers(case):
    row, rule = case
    moved = [at for at, _ in moved_row(row, rule)]
    assert moved == sorted(moved) and len(moved) >= len(row)
    assert rule.low <= moved[0] <= rule.first and rule.last <= moved[-1] <= rule.high
    gaps = [b - a for a, b in itertools.pairwise(moved)]
    assert all(rule.least - 1e-9 <= gap <= rule.most + 1e-9 for gap in gaps)
    for at, first in moved_row(row, rule):
        assert first not in rule.places or at in rule.places[first]
        assert at == first or not in_zone(rule, at) or in_zone(rule, first)


@given(cases)
def test_fixings_clear_of_every_zone_stay_and_a_second_pass_moves_nothing_new(case):
    row, rule = case
    if not any(in_zone(rule, x) for x in row):
        assert [at for at, _ in moved_row(row, rule)] == row
    once = [at for at, _ in moved_row(row, rule)]
    assert all(not in_zone(rule, b) for a, b in zip(row, once, strict=False) if len(row) == len(once) and a != b)


@given(cases)
def test_leaving_out_a_crowded_fixing_keeps_ends_and_spacing_and_moves_none(case):
    row, rule = case
    moved = moved_row(row, rule)
    kept = thinned(moved, rule, 80.0)
    assert len(kept) >= min(2, len(moved))
    assert set(kept) <= set(moved)
    assert all(at != first for at, first in set(moved) - set(kept))
    assert kept[0][0] <= rule.first and rule.last <= kept[-1][0]
    assert all(b[0] - a[0] <= rule.most + 1e-9 for a, b in itertools.pairwise(kept))


def test_of_two_fixings_moved_out_of_a_corner_one_is_left_out():
    rule = Rule(zones=((0.0, 150.0),), low=50.0, high=950.0, most=450.0, least=40.0, first=250.0, last=800.0)
    row = [(160.0, 50.0), (200.0, 120.0), (500.0, 500.0), (900.0, 900.0)]
    assert thinned(row, rule, 80.0) == [(160.0, 50.0), (500.0, 500.0), (900.0, 900.0)]
    assert thinned(row, replace(rule, most=330.0, first=180.0), 80.0) == row
    assert thinned(row[:2], rule, 80.0) == row[:2]


@settings(max_examples=100)
@given(st.integers(400, 6000), st.integers(250, 700), spans, st.lists(st.integers(300, 5700), max_size=2))
def test_a_row_laid_out_round_zones_is_even_on_each_side_of_every_one(length, most, zones, joints):
    """Pairs stand at its ends; between them the spacing changes only at the edge of a zone and at a joint."""
    joints = [float(at) for at in joints if at < length - 300]
    marks = evenly(0, length, most, 50, 150, 30, joints)
    rule = Rule(
        zones=tuple(zones), low=50, high=length - 50, most=max(most, *np.diff(marks)), least=40, first=200,
        last=length - 200, clear=10,
    )  # fmt: skip
    row = moved_row(marks, rule)
    even = [at for at, _ in evened(marks, row, replace(rule, most=most), joints)]
    if not even:
        return
    gaps = np.diff(even)
    assert (even[0], even[-1]) == (row[0][0], row[-1][0])
    assert not any(in_zone(rule, at) for at in even) and max(gaps) <= most + 1e-6
    edges = [edge for a, b in zones for edge in (a - 10, b + 10)]
    stops = {even[0], even[-1], *joints, *edges}
    if len(marks) > 3 and marks[2] - marks[1] > 101 and even[-1] - even[0] >= 400:
        for pair, zone_at in ((even[1] - even[0], even[0] + 100), (even[-1] - even[-2], even[-1] - 100)):
            assert pair == pytest.approx(100) or any(a - 10 < zone_at < b + 10 for a, b in zones)
        stops |= {even[1], even[-2]}
    for before, at, after in zip(even, even[1:], even[2:], strict=False):
        if not any(abs(at - stop) < 1e-6 for stop in stops):
            assert at - before == pytest.approx(after - at)
    within = [at for at in joints if even[1] + 40 <= at <= even[-2] - 40 and not in_zone(rule, at)]
    assert all(any(abs(at - joint) < 1e-6 for at in even) for joint in within)


@given(rows, spans, st.floats(0, 300))
def test_widening_a_zone_never_removes_a_crossing(row, zones, more):
    for a, b in zones:
        for height in (None, 900.0, 2650.0):
            small = Zone(room="R", wall="A", kind="vertical", x0=a, x1=b, y0=800.0, y1=1000.0)
            wide = replace(small, x0=a - more, x1=b + more, y0=800.0 - more, y1=1000.0 + more)
            assert all(holds_point(wide, x, height) for x in row if holds_point(small, x, height))
            band = Band(
                room="R",
                wall="A",
                trim="t",
                start=0,
                end=4000,
                knots=((0.0, 850.0, 900.0), (4000.0, 700.0, 1400.0)),
            )
            inner, outer = met(small, band), met(wide, band)
            assert all(any(c <= x and y <= d for c, d in outer) for x, y in inner)


fittings = st.lists(
    st.builds(
        Fitting,
        kind=st.sampled_from(["socket", "switch", "light", "radiator", "pipe", "gas-bracket", "shelf", "data"]),
        at=st.integers(0, 3900).map(float),
        height=st.none() | st.integers(0, 2500).map(float),
        width=st.none() | st.integers(20, 200).map(float),
        depth=st.none() | st.integers(20, 200).map(float),
    ),
    max_size=5,
).map(tuple)
regions = st.sampled_from(["england", "ireland", "united-states", "other", None])


def job_with(region, fittings, behind=()):
    """One room, one wall, one dado."""
    wall = Wall("A", length=Reading(4000), thickness=100, fittings=fittings, behind=behind)
    room = Room("R", height=(HeightReading(2700),), walls=(wall,))
    trim = Trim("dado", "dado-rail", (Place("R"),), section=Section(60, 25))
    return Job("law", building=Building(region=region), rooms=(room,), trim=(trim,))


def crossings(job):
    """Every crossing of the job as (start, end, zone)."""
    return {(c.start, c.end, c.zone) for face in faces(job, Sheet({Site: site_of(job)})) for c in face.crossings}


@given(regions, fittings.filter(bool), fittings)
def test_removing_a_fitting_never_adds_a_crossing(region, here, behind):
    assert crossings(job_with(region, here[1:], behind)) <= crossings(job_with(region, here, behind))
    assert crossings(job_with(region, here, behind[1:])) <= crossings(job_with(region, here, behind))


@given(regions, fittings, rows, st.sampled_from(["masonry", "stud", "ground"]), st.none() | st.integers(0, 2600))
def test_a_moved_line_keeps_what_the_schedule_demands(region, fitted, row, on, height):
    job = job_with(region, fitted)
    site = site_of(job)
    wall = site.wall("R", "A")
    points = tuple(FixingPoint(x, height, on) for x in row)
    line = Fixing(
        room="R",
        wall="A",
        trim="dado",
        member="dado-rail",
        start=0,
        end=4000,
        most_spacing=600,
        from_ends=60,
        points=points,
        count=len(row),
    )
    moved = moved_line(job, site, line)
    rule = rule_for(line, job, wall, zones_of(job, job.rooms[0], wall))
    stations = [p.station for p in moved.points]
    assert moved.count == len(moved.points) >= min(2, len(row))
    assert stations == sorted(stations) and stations[0] >= rule.low and stations[-1] <= rule.high
    assert all(b - a <= rule.most + 1e-9 for a, b in itertools.pairwise(stations))
    assert all(p.height == height for p in moved.points)
    assert all(p.station in row or p.moved for p in moved.points)


@given(st.integers(60, 300), st.integers(0, 300), st.integers(5, 100), st.sampled_from(["masonry", "stud", "ground"]))
def test_a_row_moved_up_or_down_stays_on_its_share_of_the_board_and_out_of_the_zone(high, foot, deep, on):
    """No more fixings are in a zone than where rows may not be moved, each row stands where it may, and what is told as
    clear is clear."""
    pipe = Fitting("pipe", 500.0, float(foot), 3000.0, float(deep))
    job = job_with("european-union", (pipe,))
    job = replace(job, trim=(replace(job.trim[0], section=Section(float(high), 20)),))
    site, down = site_of(job), (high / 4, high * 3 / 4) if high > 150 else (high / 2,)
    wall, zones = site.wall("R", "A"), zones_of(job, job.rooms[0], site.wall("R", "A"))
    points = tuple(FixingPoint(float(x), high - each, on) for each in down for x in range(60, 3960, 540))
    common = {"room": "R", "wall": "A", "trim": "dado", "member": "dado-rail", "start": 0.0, "end": 4000.0}
    line = Fixing(**common, most_spacing=600, from_ends=60, points=points, count=8, rows=len(down), rows_down=down)

    def held(tried):
        return sum(holds_point(z, p.station, p.height) for p in tried.points for z in zones)

    moved = cleared_line(job, site, line)
    assert held(moved) <= held(moved_line(job, site, line))
    assert {round(high - point.height, 6) for point in moved.points} == {round(each, 6) for each in moved.rows_down}
    if moved.rows_first:
        assert on != "ground" and moved.rows_first == down
        for number, each in enumerate(moved.rows_down):
            low, least = part_of_board(number, len(down), float(high))
            assert low - 1e-9 <= each <= least + 1e-9
    for a, b in clear_heights(line, wall, zones, float(high)):
        middle = high - (a + b) / 2
        assert 0 < middle < high and not any(holds_point(z, 1000.0, middle) for z in zones)


@given(
    st.lists(st.tuples(st.floats(60, 120), st.floats(0.01, 4)), min_size=1, max_size=5),
    st.floats(60, 120),
    st.floats(0.01, 2),
)
def test_more_use_never_lowers_a_dose(uses, level, hours):
    assert daily_noise([*uses, (level, hours)]) >= daily_noise(uses)
    assert daily_vibration([*uses, (level, hours)]) >= daily_vibration(uses)


def test_allowed_is_empty_where_the_zones_cover_all():
    rule = Rule(zones=((0.0, 4000.0),), low=60, high=3940, most=600, least=40, first=200, last=3800, clear=10)
    assert allowed(rule, 500.0, [100.0], [900.0]) == []
