"""Levels and the marking-out table."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import (
    Choices,
    Flight,
    FlightWall,
    Job,
    LevelReading,
    Place,
    Reading,
    Room,
    Section,
    Trim,
    Wall,
)
from listel.plugins.closure import Closures
from listel.plugins.heights import RailHeight, RailHeights, StationHeight
from listel.plugins.setting_out import WholeRuns
from listel.plugins.setting_out.levels import (
    standing_top,
)
from listel.plugins.setting_out.stage import examine, examine_runs
from listel.plugins.site import Site, site_of

STAFF = [1003.0, 1009, 1014, 1012, 1021, 1026]
STATIONS = [0.0, 800, 1600, 2400, 3200, 4000]


@pytest.fixture
def sloping(wall) -> Room:
    floor = tuple(LevelReading(at, reading) for at, reading in zip(STATIONS, STAFF, strict=True))
    return Room("Parlour", extent="part", datum=1003, walls=(wall("A", 4000, floor=floor),))


def test_skirting_marks_follow_one_level_line(set_out, trim, sloping) -> None:
    found = set_out(sloping, trim("skirting", 168, 20, top=145))
    marks = [mark for mark in found.out.marks if mark.edge == "top"]
    assert [round(mark.above_floor) for mark in marks] == [145, 151, 156, 154, 163, 168]
    assert {round(mark.from_datum) for mark in marks} == {-858}
    assert [mark.scribe for mark in marks] == [23, 17, 12, 14, 5, 0]
    assert all(mark.read for mark in marks)


def test_rail_marks_stand_on_the_datum(set_out, trim, sloping) -> None:
    marks = [mark for mark in set_out(sloping, trim()).out.marks if mark.edge == "top"]
    assert {mark.from_datum for mark in marks} == {950 - 1003}
    assert [mark.above_floor for mark in marks] == [950 + reading - 1003 for reading in STAFF]


def test_heights_between_readings_are_marked_as_reckoned(set_out, trim, sloping) -> None:
    from listel.core.survey.job import Opening

    door = Opening("door", 1000, 800, 2040, architrave=100)
    room = replace(sloping, walls=(replace(sloping.walls[0], openings=(door,)),))
    mark = next(m for m in set_out(room, trim()).out.marks if m.station == 900 and m.edge == "top")
    assert not mark.read
    assert mark.above_floor == pytest.approx(950 + 1009 + 5 * 100 / 800 - 1003)


def test_board_too_low_is_a_caution(set_out, trim, sloping) -> None:
    assert "168 mm" in set_out(sloping, trim("skirting", 150, 20, top=145)).finding("skirting-too-low").says
    assert "scribe-too-deep" in set_out(sloping, trim("skirting", 120, 20, top=None)).rules()


def test_a_board_that_the_scribe_would_take_whole_holds_the_job(set_out, trim, sloping) -> None:
    found = set_out(sloping, trim("skirting", 15, 20, top=None))
    assert found.finding("scribed-away").weight == "hold"
    assert "scribe-too-deep" not in found.rules()
    assert "scribe" in set_out(sloping, trim("skirting", 225, 20, top=None)).rules()


@pytest.mark.parametrize(("line", "tops"), [("level", {-858}), ("parallel", {-858, -881}), ("split", {-858, -869.5})])
def test_line_follows_the_floor_as_chosen(set_out, trim, sloping, line, tops) -> None:
    marks = set_out(sloping, trim("skirting", 225, 20, top=145), choices=Choices(line=line)).out.marks
    assert {marks[0].from_datum, marks[-1].from_datum} == tops


def test_a_line_out_of_level_misses_itself_at_a_corner(set_out, trim, wall) -> None:
    """Both walls fall 5 mm in a metre past a square corner: 2 x 24 x 0.005 = 0.24 mm at the face of a projection of
    24."""
    falling = (
        wall("A", 4000, floor=(LevelReading(0, 1000), LevelReading(4000, 1020))),
        wall("B", 3000, floor=(LevelReading(0, 1020), LevelReading(3000, 1035))),
    )
    room, skirting = Room("Parlour", extent="part", datum=1000, walls=falling), trim("skirting", 225, 24, top=145)
    told = set_out(room, skirting, choices=Choices(line="parallel")).finding("out-of-level-corner")
    assert (told.weight, told.grounds.result) == ("record", "0.24 mm") and "corner A/B" in told.says
    half = set_out(room, skirting, choices=Choices(line="split")).finding("out-of-level-corner")
    assert half.grounds.result == "0.12 mm"
    assert "out-of-level-corner" not in set_out(room, skirting, choices=Choices(line="level")).rules()
    wide = trim("skirting", 225, 60, top=145)
    assert set_out(room, wide, choices=Choices(line="parallel")).finding("out-of-level-corner").weight == "advice"


def test_the_worst_corner_of_a_rail_is_named(trim, wall) -> None:
    """A floor that rises into a corner from both sides gives a ridge there, and equal sections meet; a step does not
    hide."""
    walls = (wall("A", 4000), wall("B", 3000), wall("C", 4000))
    levels = (("A", 0, -60), ("A", 4000, -40), ("B", 0, -40), ("B", 3000, -55), ("C", 0, -58), ("C", 4000, -58))
    rail = RailHeight(
        room="Parlour",
        trim="dado",
        top=950,
        line="parallel",
        stations=tuple(StationHeight(name, at, 950, level) for name, at, level in levels),
    )
    job = Job("test", rooms=(Room("Parlour", extent="part", walls=walls),), trim=(trim(projection=20),))
    given = {Site: site_of(job), Closures: Closures(), RailHeights: RailHeights((rail,))}
    *_, runs = examine_runs(job, Sheet(given))
    found = list(examine(job, Sheet({**given, WholeRuns: runs})))
    told = [each for each in found if isinstance(each, Finding) and each.rule == "setting-out/out-of-level-corner"]
    assert [finding.where.wall for finding in told] == ["B"]
    assert told[0].grounds.result == "3.10 mm" and told[0].weight == "advice"


def test_floor_not_surveyed_is_said_once_for_a_room(set_out, trim, square_room) -> None:
    found = set_out(square_room, trim(), trim("skirting", 145, 20, top=145))
    assert found.rules().count("floor-not-surveyed") == 1
    assert not any(mark.read for mark in found.out.marks)


def test_a_reading_in_a_corner_counts_for_both_walls(set_out, trim, wall) -> None:
    readings = (LevelReading(0, 1000), LevelReading(3001, 1010))
    room = Room("Parlour", extent="part", datum=1000, walls=(wall("A", 3000, floor=readings), wall("B", 2000)))
    marks = [mark for mark in set_out(room, trim()).out.marks if mark.edge == "top"]
    assert [(mark.wall, mark.station, mark.above_floor, mark.read) for mark in marks] == [
        ("A", 0, 950, True),
        ("A", 3000, pytest.approx(960, abs=0.01), True),
        ("B", 0, 960, True),
        ("B", 2000, 960, False),
    ]


def test_marks_on_a_stair_are_counted_from_what_is_under_them(set_out, trim, wall) -> None:
    """Above the floor at the foot and at the head, above the nosings between them: never from the floor far below."""
    stair = Flight("main", 190, 240, 12, handrail=860, walls=(FlightWall("C", 1040),))
    room = Room("Parlour", extent="part", datum=1000, walls=(wall("C", 5000),), stairs=(stair,))
    marks = [mark for mark in set_out(room, trim()).out.marks if mark.edge == "top" and "there" not in mark.over]
    knee = 800 + (950 - 860) / (190 / 240)
    assert [(mark.station, mark.above_floor, mark.over) for mark in marks] == [
        (pytest.approx(1040), 860, "the first nosing of the flight main"),
        (pytest.approx(800 + 12 * 240), 860, "the top nosing of the flight main"),
        (pytest.approx(knee + 12 * 240), 950, "the floor at the head of the flight main"),
    ]


def test_the_knee_at_the_foot_is_counted_from_the_floor_there(set_out, trim, wall) -> None:
    stair = Flight("first flight", 190, 240, 12, walls=(FlightWall("C", 1040),))
    floor = (LevelReading(0, 1000), LevelReading(500, 1004))
    room = Room("Parlour", extent="part", datum=1000, walls=(wall("C", 5000, floor=floor),), stairs=(stair,))
    mark = next(mark for mark in set_out(room, trim()).out.marks if mark.station == 800 and mark.edge == "top")
    assert (mark.above_floor, mark.over) == (950, "the floor at the foot of the first flight")


def test_a_level_rail_stands_at_one_height_from_the_datum(examples: Path) -> None:
    """Wherever it is marked: at the stations another stage reckoned, at corners, at openings."""
    from listel.core.host.engine import examine
    from listel.core.host.registry import load
    from listel.core.survey.reading import read_survey
    from listel.plugins.setting_out import SettingOut

    outcome = examine(read_survey(examples / "stair-hall.yaml"), load([]))
    marks = [mark for mark in outcome.sheet[SettingOut].marks if mark.room == "Front parlour" and mark.edge == "top"]
    levels = {trim: {mark.from_datum for mark in marks if mark.trim == trim} for trim in ("dado rail", "picture rail")}
    assert all(max(found) - min(found) < 0.01 for found in levels.values()), levels


def test_a_skirting_touches_the_lowest_floor(set_out, trim, wall) -> None:
    """Tapes of 1000 and 1015 and a board of 225: its top stands 1015 - 225 = 790 below the datum, cut by 15 to 0."""
    floor = (LevelReading(0, 1000), LevelReading(4200, 1015))
    room = Room("Parlour", extent="part", datum=1000, walls=(wall("A", 4200, floor=floor),))
    found = set_out(room, trim("skirting", 225, 20, top=None))
    marks = [(mark.above_floor, mark.from_datum, mark.scribe) for mark in found.out.marks]
    assert marks == [(210, -790, 15), (225, -790, 0)]
    assert [(run.underside, run.top) for run in found.out.runs] == [(0, 210)]
    deep = set_out(room, trim("skirting", 225, 20, top=180)).out.marks
    assert [(mark.above_floor, mark.scribe) for mark in deep] == [(180, 45), (195, 30)]


@given(
    st.lists(st.floats(900, 1100), min_size=2, max_size=12),
    st.floats(60, 300),
    st.none() | st.floats(20, 400),
    st.sampled_from([0.0, 0.5, 1.0]),
)
def test_no_skirting_hangs_off_its_floor(
    floor: list[float], board: float, wanted: float | None, follows: float
) -> None:
    """Its uncut bottom edge is nowhere above the floor; set for its whole board, it touches the lowest."""
    top, reference = standing_top(board if wanted is None else wanted, board, floor, follows)
    over = [top - reference - follows * (tape - reference) - board + tape for tape in floor]
    assert max(over) <= 1e-6
    if wanted is None:
        assert over[floor.index(max(floor))] == pytest.approx(0, abs=1e-6)


def test_a_level_run_is_counted_from_the_floor_at_its_own_start(set_out, trim, wall) -> None:
    first = wall("A", 3000, 90, floor=(LevelReading(0, 1000), LevelReading(3000, 1030)))
    second = wall("B", 2000, floor=(LevelReading(0, 1030), LevelReading(2000, 1042)))
    out = set_out(Room("Parlour", extent="part", datum=1000, walls=(first, second)), trim(top=950)).out
    tops = {(mark.wall, mark.station): mark.above_floor for mark in out.marks if mark.edge == "top"}
    assert [run.top for run in out.runs] == [tops["A", 0.0], tops["B", 0.0]] == [950, 980]
    assert len({round(run.top - run.underside, 6) for run in out.runs}) == 1


@settings(max_examples=40)
@given(st.floats(160, 220), st.floats(220, 300), st.integers(3, 9), st.booleans(), st.integers(0, 400))
def test_the_first_nosing_is_one_place_on_the_wall_in_the_table_and_in_the_drawing(
    rise: float, going: float, steps: int, left: bool, more: int
) -> None:
    """The tape's own: the first riser at floor level. Nosings by counting steps, the rail plumb over them."""
    from setting import set_out

    from listel.reports.drawings.walls import pitch_line

    foot = 5000.0 - more if left else 1000.0 + more
    way = -1 if left else 1
    stair = Flight(
        "main", rise, going, steps, handrail=880, walls=(FlightWall("C", foot, "left" if left else "right"),)
    )
    wall = Wall("C", Reading(6000), floor=(LevelReading(0, 1000), LevelReading(6000, 1000)))
    room = Room("Parlour", extent="part", datum=1000, walls=(wall,), stairs=(stair,))
    rail = Trim("dado", "dado-rail", (Place("Parlour"),), Section(70, 25), finish="paint", top=900)
    job = Job("law", rooms=(room,), trim=(rail,))
    out, _ = set_out(job)
    ((_, points),) = pitch_line(site_of(job).rooms["Parlour"], "C", 6000, ((0.0, -1000.0), (6000.0, -1000.0)))
    marks = {mark.over: mark.station for mark in out.marks if mark.edge == "top"}
    assert marks["the first nosing of the flight main"] == points[1][0] == pytest.approx(foot)
    assert marks["the top nosing of the flight main"] == pytest.approx(foot + way * going * (steps - 1))
    (rake,) = (run for run in out.runs if run.pitch)
    for step in range(1, steps + 1):
        at = foot + way * going * (step - 1)
        if rake.start <= at <= rake.end:
            line = rake.top + (at - rake.start) * np.tan(np.radians(rake.pitch))
            assert line == pytest.approx(step * rise + 880)
