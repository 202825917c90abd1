"""Laws of the site: levels pass through their readings and are continuous; studs are surveyed ones; plans close."""

from __future__ import annotations

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listel.core.survey.job import (
    Building,
    Corner,
    Flight,
    FlightWall,
    HeightReading,
    LevelReading,
    Newel,
    Reading,
    Room,
    Studs,
    Wall,
    Winders,
)
from listel.plugins.site import Levels, pitch_of
from listel.plugins.site.plan import plan_of, walk
from listel.plugins.site.survey import protection_of, room_of, studs_of

stations = st.floats(0, 6000)
readings = st.dictionaries(st.integers(0, 6000).map(float), st.floats(900, 1100), min_size=1, max_size=6)


@given(readings, stations, st.floats(0.001, 1.0))
def test_a_line_of_levels_passes_through_its_readings_and_never_jumps(known, station, step):
    line = Levels.of(known.items())
    for at, reading in known.items():
        assert line.at(at) == reading and line.read_at(at) and line.spans(at)
    here, there = line.at(station), line.at(station + step)
    assert here is not None and there is not None
    assert min(known.values()) - 1e-9 <= here <= max(known.values()) + 1e-9
    assert abs(here - there) <= 200 * step + 1e-9  # no steeper than the steepest two readings 1 mm apart


@given(readings, stations)
def test_beyond_the_outermost_reading_a_line_is_level_and_says_that_nothing_was_read_there(known, station):
    line = Levels.of(known.items())
    first, last = min(known), max(known)
    assert line.at(first - 50 - station) == known[first] and line.at(last + 50 + station) == known[last]
    assert not line.spans(first - 2.03) and not line.spans(last + 2.03)
    assert line.spans(first - 1.97) and line.spans(last + 1.97)


def test_a_line_without_readings_tells_nothing():
    assert Levels().at(0) is None and not Levels().spans(0) and Levels().points(0, 100) == ()


@given(
    st.none() | st.floats(50, 900),
    st.none() | st.floats(0, 900),
    st.lists(stations, max_size=5),
    st.none() | st.floats(500, 6000),
)
def test_studs_are_those_surveyed_or_stepped_from_the_first_and_never_from_a_spacing_alone(
    centres, first, positions, length
):
    found = studs_of(Studs(centres=centres, first=first, positions=tuple(positions)), length)
    if positions:
        assert found == tuple(sorted(positions))
    elif None in (first, centres, length):
        assert found == ()
    else:
        assert all(abs((at - first) / centres - round((at - first) / centres)) < 1e-6 for at in found)
        assert all(first <= at <= length + 1e-3 for at in found)
        assert first > length or length - found[-1] < centres + 1e-3


def hall(*walls: Wall, **more) -> Room:
    return Room("Hall", walls=walls, **more)


def wall(name: str, *floor: tuple[float, float], ceiling=(), length: float | None = 3000) -> Wall:
    return Wall(
        name,
        length=None if length is None else Reading(length),
        corner=Corner("internal", 90),
        floor=tuple(LevelReading(*each) for each in floor),
        ceiling=tuple(LevelReading(*each) for each in ceiling),
    )


def test_a_floor_read_in_a_corner_holds_for_both_walls():
    room = room_of(hall(wall("A", (0, 1000), (2999, 994)), wall("B", (1500, 990)), extent="part"))
    assert room.walls["B"].floor(0) == 994
    assert room.walls["A"].floor(3000) == 994
    back = room_of(hall(wall("A", (0, 1000)), wall("B", (1, 990)), extent="part"))
    assert back.walls["A"].floor(3000) == 990


def test_a_floor_read_in_a_corner_does_not_reach_a_wall_with_stairs():
    stairs = (Flight("main", walls=()),)
    assert room_of(hall(wall("A", (3000, 994)), wall("B"), extent="part", stairs=stairs)).walls["B"].floor(0) == 994
    from listel.core.survey.job import FlightWall

    stairs = (Flight("main", walls=(FlightWall("B"),)),)
    assert room_of(hall(wall("A", (3000, 994)), wall("B"), extent="part", stairs=stairs)).walls["B"].floor(0) is None


def test_a_height_comes_from_the_tapes_else_from_the_heights_taken_there_else_from_the_rooms():
    levelled = room_of(hall(wall("A", (0, 1000), (3000, 990), ceiling=[(0, 1700), (3000, 1720)]), extent="part"))
    assert levelled.walls["A"].height(1500) == pytest.approx(995 + 1710)
    taken = (HeightReading(2700, "A", 0), HeightReading(2720, "A", 3000))
    room = room_of(hall(wall("A", (0, 1000), (3000, 990)), wall("B"), extent="part", height=taken))
    assert room.walls["A"].height(3000) == 2720
    assert room.walls["A"].ceiling(0) == 1700 and room.walls["A"].ceiling(1500) == 1715
    assert room.walls["B"].height(0) == 2720, "the same corner"
    bare = room_of(hall(wall("A"), extent="part", height=(HeightReading(2700), HeightReading(2710))))
    assert bare.walls["A"].height(0) == 2705 and bare.walls["A"].ceiling(0) is None
    assert room_of(hall(wall("A"), extent="part")).walls["A"].height(0) is None


@given(st.lists(st.floats(-30, 30), min_size=4, max_size=4), st.lists(st.floats(-0.5, 0.5), min_size=4, max_size=4))
def test_a_plan_goes_clockwise_keeps_near_its_readings_and_shares_out_its_misfit(longer, wider):
    sides = [4000 + longer[0], 3000 + longer[1], 4000 + longer[2], 3000 + longer[3]]
    walls = [
        Wall(name, length=Reading(side), corner=Corner("internal", 90 + turn))
        for name, side, turn in zip("ABCD", sides, wider, strict=True)
    ]
    plan = plan_of(hall(*walls))
    assert plan is not None
    assert sum(plan.angles) == pytest.approx(360) and plan.turn == pytest.approx(sum(wider))
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(plan.points, plan.points[1:] + plan.points[:1], strict=True))
    assert area < 0, "clockwise seen from above"
    for (x0, y0), (x1, y1), side in zip(plan.points, plan.points[1:] + plan.points[:1], sides, strict=True):
        assert abs(hypot(x1 - x0, y1 - y0) - side) <= plan.misfit + 1e-6
    end = walk(sides, plan.angles)[-1]
    assert plan.misfit == pytest.approx(hypot(*end))


def test_a_room_surveyed_in_part_has_no_plan():
    assert plan_of(hall(wall("A"), wall("B"), wall("C"), extent="part")) is None
    assert plan_of(hall(wall("A"), wall("B"), wall("C", length=None))) is None


@pytest.mark.parametrize(
    ("kind", "region", "inside"),
    [
        (None, "england", None),
        ("unknown", "england", None),
        ("none", None, False),
        ("conservation-area", "england", False),
        ("conservation-area", "scotland", False),
        ("listed-grade-2", None, True),
        ("category-b", "scotland", True),
        ("protected-structure", "ireland", True),
        ("scheduled", "northern-ireland", True),
        ("national-register", "united-states", None),
        ("local-landmark", "united-states", None),
    ],
)
def test_protection_is_yes_no_or_not_known(kind, region, inside):
    # Planning (Listed Buildings and Conservation Areas) Act 1990, s.7; National Register: 36 CFR 60.2 (from memory)
    assert protection_of(Building(protection=kind, region=region)).inside is inside


@given(st.floats(100, 250), st.floats(150, 400))
def test_a_flight_takes_its_pitch_from_its_steps_where_they_were_measured(rise, going):
    room = room_of(hall(stairs=(Flight("main", rise=rise, going=going, steps=12, pitch=50.0),)))
    flight = room.flights["main"]
    assert flight.pitch == pitch_of(rise, going)
    assert flight.climb == pytest.approx(12 * rise) and flight.advance == pytest.approx(12 * going)


def test_a_flight_without_steps_keeps_the_pitch_surveyed():
    room = room_of(hall(stairs=(Flight("main", rise=180, steps=10, pitch=45.0), Flight("other"))))
    assert room.flights["main"].pitch == 45.0 and room.flights["main"].advance == pytest.approx(1800)
    assert room.flights["other"].pitch is None and room.flights["other"].advance is None


@pytest.mark.parametrize(
    ("foot", "steps", "winders"),
    [
        (1000, 5, Winders(2200, 3000, risers=(1500.0, 2400.0))),  # one stands on the straight steps
        (1000, 5, Winders(2200, 2900, risers=(2950.0,))),  # it stands beyond their stretch
        (1000, 5, Winders(2200, 2900, risers=())),  # none meets the wall, and they turn no corner
        (1000, None, Winders(2200, 2900, risers=(2500.0,))),  # how high they begin is not known
        (1000, 5, Winders(2200, 3000, number=3, newel=Newel(2100, 900))),  # its corner was not surveyed
        (1000, 5, Winders(2200, 3000, risers=(2500.0,))),  # they go on round a corner, where nothing was marked
    ],
)
def test_winders_whose_risers_do_not_add_up_are_not_known(foot: float, steps: int | None, winders: Winders) -> None:
    stair = Flight("main", 200, 240, steps, walls=(FlightWall("A", foot, "right", winders),))
    room = Room("Hall", extent="part", walls=(Wall("A", Reading(3000)), Wall("B", Reading(2000))), stairs=(stair,))
    assert room_of(room).flights["main"].windings == {}


@pytest.mark.parametrize(("steps", "risers"), [(1, (400.0, 700.0)), (4, (400.0, 700.0))])
def test_winders_before_the_foot_come_down_to_the_floor_as_steep_as_they_go_on(
    steps: int, risers: tuple[float, ...]
) -> None:
    along = FlightWall("A", 900, "right", Winders(300, 900, risers=risers))
    stair = Flight("main", 200, 240, steps, walls=(along,))
    room = Room("Hall", extent="part", walls=(Wall("A", Reading(3000)),), stairs=(stair,))
    line = room_of(room).flights["main"].line("A", 3000)
    head = ((900 + 240 * (steps - 1), 200 * steps),) if steps > 1 else ()
    assert line is not None and line.floor and line.landing
    knots = [(100, -400), (400, -200), (700, 0), (900, 200), *head]
    assert list(line.knots) == [pytest.approx(knot) for knot in knots]
