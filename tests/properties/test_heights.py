"""Laws that every height obeys."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import FEW, jobs

from listel.core.contract.stage import Sheet
from listel.core.contract.testing import StageRun, run_stage
from listel.core.survey.job import (
    Choices,
    Evidence,
    Fitting,
    HeightReading,
    Job,
    LevelReading,
    Place,
    Reading,
    Room,
    Section,
    Trim,
    Wall,
)
from listel.plugins.heights import RailHeight, RailHeights, listel_stages
from listel.plugins.heights.levels import above_floor
from listel.plugins.heights.obstacles import inside, nearest_clear
from listel.plugins.heights.orders import order_parts, table
from listel.plugins.proportions import Proportions
from listel.plugins.proportions import listel_stages as proportion_stages
from listel.plugins.site import Levels, site_of

ORDERS = st.sampled_from([(row["author"], row["order"]) for row in table("orders")])
HEIGHTS = st.floats(1800, 6000)


@given(ORDERS, HEIGHTS)
def test_shares_sum_to_the_wall_and_parts_to_their_whole(order: tuple[str, str], height: float) -> None:
    parts = order_parts(*order, height=height)
    for whole, names in (("pedestal", ("base", "die", "cap")), ("entablature", ("architrave", "frieze", "cornice"))):
        if names[0] in parts:
            assert sum(parts[name] for name in names) == pytest.approx(parts[whole], abs=1e-9)
    if "column" in parts:
        assert parts["pedestal"] + parts["column"] + parts["entablature"] == pytest.approx(height, abs=1e-9)
    assert all(size > 0 for size in parts.values())


@given(ORDERS, HEIGHTS, st.floats(0.5, 2))
def test_a_higher_wall_scales_every_part(order: tuple[str, str], height: float, factor: float) -> None:
    small, large = order_parts(*order, height=height), order_parts(*order, height=height * factor)
    assert large == pytest.approx({name: size * factor for name, size in small.items()})


SPANS = st.lists(st.tuples(st.floats(400, 1400), st.floats(1, 200)).map(lambda s: (s[0], s[0] + s[1])), max_size=8)


@given(st.floats(500, 1300), SPANS, st.sampled_from([1.0, 25.4 / 16]))
def test_the_height_offered_clears_and_none_nearer_does(
    top: float, spans: list[tuple[float, float]], step: float
) -> None:
    found = nearest_clear(top, spans, 150, step)
    if found is not None:
        assert not any(inside(found, span) for span in spans)
        assert abs(found - top) <= 150
        nearer = [top + sign * share * abs(found - top) for sign in (-1, 1) for share in (0.2, 0.5, 0.8)]
        whole = [round(one / step) * step for one in nearer]
        for one in whole:
            if abs(one - top) < abs(found - top) - step:
                assert any(inside(one, span) for span in spans)


def rail_job(room: Room, line: str | None = None, top: float | None = None) -> Job:
    trim = Trim("rail", "dado-rail", (Place("Room"),), Section(60, 25), top=top)
    return Job("a job", rooms=(room,), trim=(trim,), choices=Choices(line=line))


def room_line(room: Room, line: str | None = None, top: float | None = None) -> RailHeight:
    job = rail_job(room, line, top)
    return run_stage(listel_stages()[0], job, site_of(job)).result(RailHeights).lines[0]


@given(HEIGHTS, st.floats(300, 1500), st.sampled_from(["ghost-line", "plugs", "photograph", "twin-house"]))
@settings(max_examples=25)
def test_a_mark_is_never_lost(height: float, mark: float, kind: str) -> None:
    bare = Room("Room", "georgian", "reception", height=(HeightReading(height),))
    marked = replace(bare, evidence=(Evidence(kind, "dado-rail", mark, edge="top"),))
    before, after = room_line(bare), room_line(marked)
    assert {one.rule for one in before.candidates} < {one.rule for one in after.candidates}
    assert after.top == mark


TAPES = st.lists(st.floats(950, 1050), min_size=2, max_size=5)


@given(TAPES, st.sampled_from(["level", "parallel", "split"]), st.floats(600, 1000))
@settings(max_examples=40)
def test_the_line_keeps_its_law_and_a_mirrored_wall_gives_mirrored_stations(
    tapes: list[float], kind: str, top: float
) -> None:
    step = 4000 / (len(tapes) - 1)
    readings = tuple(LevelReading(number * step, tape) for number, tape in enumerate(tapes))
    mirrored = tuple(LevelReading(4000 - one.at, one.to_datum) for one in readings)
    lines = [
        room_line(Room("Room", walls=(Wall("A", Reading(4000), floor=floor),)), kind, top)
        for floor in (readings, mirrored)
    ]
    for found in lines:
        for one, tape in zip(found.stations, tapes, strict=True):
            assert one.from_datum is not None
            assert one.above_floor - one.from_datum == pytest.approx(tape)
    if kind == "level":
        assert len({round(one.from_datum or 0, 6) for one in lines[0].stations}) == 1
    if kind == "parallel":
        assert all(one.above_floor == pytest.approx(top) for one in lines[0].stations)
    assert [one.above_floor for one in lines[0].stations] == pytest.approx(
        [one.above_floor for one in lines[1].stations]
    )


@given(TAPES, TAPES, st.floats(0, 4000), st.floats(600, 1000), st.sampled_from(["level", "parallel", "split"]))
@settings(max_examples=40)
def test_a_rail_passes_through_its_mark_at_the_wall_of_the_mark(
    first: list[float], second: list[float], station: float, height: float, kind: str
) -> None:
    walls = tuple(
        Wall(
            name,
            Reading(4000),
            floor=tuple(LevelReading(number * 4000 / (len(tapes) - 1), tape) for number, tape in enumerate(tapes)),
        )
        for name, tapes in (("A", first), ("B", second))
    )
    mark = Evidence("ghost-line", "dado-rail", height, "B", "top", at=station)
    found = room_line(Room("Room", walls=walls, evidence=(mark,)), kind)
    assert found.top is not None
    there = Levels.of((one.at, one.to_datum) for one in walls[1].floor).at(station)
    assert there is not None
    assert above_floor(found.top, min(*first, *second), there, kind) == pytest.approx(height)
    if kind == "level":
        assert all(one.from_datum == pytest.approx(height - there) for one in found.stations)


@given(st.floats(500, 1200), st.floats(900, 1100), st.floats(900, 1100))
def test_a_split_line_lies_half_way(top: float, reference: float, there: float) -> None:
    level, parallel = (above_floor(top, reference, there, kind) for kind in ("level", "parallel"))
    assert above_floor(top, reference, there, "split") == pytest.approx((level + parallel) / 2)


def both(job: Job) -> StageRun:
    """What the two stages of the plugin give and tell."""
    gives, tells = listel_stages()
    site = site_of(job)
    ran = run_stage(gives, job, site)
    return replace(ran, findings=run_stage(tells, job, site, *ran.results).findings)


def turned(room: Room, by: int) -> Room:
    """The room with its walls listed from another corner."""
    return replace(room, walls=room.walls[by:] + room.walls[:by])


@given(jobs(), st.integers(1, 4))
@FEW
def test_listing_the_walls_from_another_corner_moves_nothing(job: Job, by: int) -> None:
    turned_job = replace(job, rooms=tuple(turned(room, by % max(1, len(room.walls))) for room in job.rooms))
    first, second = (both(one) for one in (job, turned_job))
    for one, other in zip(first.result(RailHeights).lines, second.result(RailHeights).lines, strict=True):
        assert one.top == pytest.approx(other.top)
        assert one.clears == other.clears and one.offered == pytest.approx(other.offered)
        assert sorted((each.wall, each.station, round(each.above_floor, 6)) for each in one.stations) == sorted(
            (each.wall, each.station, round(each.above_floor, 6)) for each in other.stations
        )
    assert sorted(one.rule for one in first.findings) == sorted(one.rule for one in second.findings)
    before, after = (run_stage(proportion_stages()[0], job, *ran.results) for ran in (first, second))
    for one, other in zip(before.result(Proportions).lines, after.result(Proportions).lines, strict=True):
        assert one.top == pytest.approx(other.top)


@given(jobs())
@FEW
def test_any_job_gives_heights_and_proportions(job: Job) -> None:
    ran = both(job)
    for line in ran.result(RailHeights).lines:
        assert (line.top is None) == (not any(one.chosen for one in line.candidates))
        assert line.clears == (
            not line.clashes
            and not any(
                one.rule == "heights/rail-at-half"
                for one in ran.findings
                if one.where.room == line.room and one.where.trim == line.trim
            )
        )
    after = run_stage(proportion_stages()[0], job, *ran.results)
    for shares in after.result(Proportions).orders:
        assert sum(size for _, size in shares.parts) == pytest.approx(shares.height)
    for member in after.result(Proportions).lines:
        if member.top is not None and member.underside is not None:
            assert member.top >= member.underside
    assert all(one.says and one.rule for one in (*ran.findings, *after.findings))


@given(TAPES, st.floats(600, 1000), st.floats(600, 1000), st.sampled_from(["level", "parallel", "split"]))
@settings(max_examples=30)
def test_all_that_hangs_on_a_top_follows_one_that_is_set(
    tapes: list[float], first: float, second: float, kind: str
) -> None:
    step = 4000 / (len(tapes) - 1)
    floor = tuple(LevelReading(number * step, tape) for number, tape in enumerate(tapes))
    switch = Fitting("switch", 1000, height=800, width=86, depth=86)
    room = Room("Room", walls=(Wall("A", Reading(4000), floor=floor, fittings=(switch,)),))
    job, asked = rail_job(room, kind, first), rail_job(room, kind, second)
    stage = listel_stages()[0]
    sheet = Sheet({type(one): one for one in (site_of(job), *run_stage(stage, job, site_of(job)).results)})
    given = sheet[RailHeights]
    assert stage.follow is not None
    followed = stage.follow(job, sheet, replace(given, lines=(replace(given.lines[0], top=second),))).lines[0]
    wanted = run_stage(stage, asked, site_of(asked)).result(RailHeights).lines[0]
    same = ("top", "underside", "stations", "clashes", "clears", "offered", "line", "error")
    assert all(getattr(followed, key) == getattr(wanted, key) for key in same)
