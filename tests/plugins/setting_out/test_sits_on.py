"""A mould on the skirting: its height follows from the board under it, new or old."""

from __future__ import annotations

import json
from dataclasses import replace
from math import radians, tan

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listel.core.contract.cases import base, changed
from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.job import Choices, Flight, FlightWall, LevelReading, Opening, Room
from listel.core.survey.reading import job_from_text
from listel.plugins.fixings import FixingSchedule
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out import SettingOut

REGISTRY = load(entry_points=False, reckoners=False)
DOOR = Opening("door", 1500, 900, 2040, architrave=70, plinth_block=85)


@pytest.fixture
def board_and_mould(trim):
    return trim("skirting", 168, 20, top=None), replace(trim("skirting-mould", 40, 16, top=None), name="mould")


@given(readings=st.lists(st.integers(990, 1015), min_size=2, max_size=4), line=st.sampled_from((None, "parallel")))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_its_foot_lies_on_the_board_all_along(set_out, wall, board_and_mould, readings, line) -> None:
    """The mould follows its board, set level and scribed or following the floor."""
    floor = tuple(LevelReading(1200.0 * number, to) for number, to in enumerate(readings))
    room = Room("Parlour", extent="part", datum=1000, walls=(wall("A", 4000, floor=floor),))
    marks = set_out(room, *board_and_mould, choices=Choices(line=line)).out.marks
    board = {(mark.wall, mark.station): mark.above_floor for mark in marks if mark.trim == "skirting"}
    for edge, over in (("underside", 0), ("top", 40)):
        mould = {(m.wall, m.station): m.above_floor - over for m in marks if (m.trim, m.edge) == ("mould", edge)}
        assert mould == pytest.approx(board)


@pytest.mark.parametrize(
    ("tall", "stops"),
    [(None, [(0, 1415), (2485, 4200)]), (169, [(0, 1415), (2485, 4200)]), (168, [(0, 1430), (2470, 4200)])],
)
def test_it_stops_at_plinth_blocks_that_are_taller_than_its_board(set_out, wall, board_and_mould, tall, stops) -> None:
    door = replace(DOOR, plinth_block_height=tall)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(door,)),))
    found = set_out(room, *board_and_mould)
    assert found.runs("mould") == stops and found.runs("skirting") == [(0, 1415), (2485, 4200)]


def test_it_stops_at_the_wall_string_as_its_board_does(set_out, wall, board_and_mould) -> None:
    stair = Flight("main", rise=190, going=240, steps=12, walls=(FlightWall("C", 1040, "right"),))
    found = set_out(Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(stair,)), *board_and_mould)
    assert found.runs("mould") == found.runs("skirting")


@pytest.mark.parametrize(("more", "top"), [({}, 190), ({"top": 155}, 195)])
def test_it_sits_on_old_skirting_that_is_kept(more, top) -> None:
    old = {"member": "skirting", "section": {"height": 150, "projection": 19}, "state": "sound", "intent": "keep"}
    mould = {"member": "skirting-mould", "section": {"height": 40, "projection": 16}}
    sets = {f"trim.dado.{key}": value for key, value in mould.items()}
    data = changed(base("one-wall"), {"rooms.0.walls.0.existing": [{**old, **more}], **sets})
    told = examine(job_from_text(json.dumps(data)), REGISTRY, [])
    (run,) = (run for run in told.sheet[SettingOut].runs if run.trim == "dado")
    assert (run.underside, run.top) == (top - 40, top)
    assert any("which stays" in each.name for each in run.grounds.inputs)


def test_a_top_over_its_board_leaves_one_height_for_board_mould_fixings_and_proportions() -> None:
    sets = {"trim.skirting.top": 500, "trim.dado.member": "skirting-mould"}
    sheet = examine(job_from_text(json.dumps(changed(base("one-wall"), sets))), REGISTRY, []).sheet
    assert {run.trim: (run.underside, run.top) for run in sheet[SettingOut].runs} == {
        "skirting": (0, 168),
        "dado": (168, 231),
    }
    assert [line.top for line in sheet[Proportions].lines if line.trim == "skirting"] == [168]
    rows = [line.rows_down for line in sheet[FixingSchedule].lines if line.trim == "skirting"]
    assert rows and all(down < 168 for line in rows for down in line)


@pytest.mark.parametrize(("high", "end"), [(231, "old-corner"), (168.6, "old-corner"), (168.4, "corner")])
def test_it_is_coped_to_old_skirting_round_the_corner_that_stands_over_its_foot(high, end) -> None:
    """However thick the old is, as its board beside it is."""
    old = {"member": "skirting", "section": {"height": high, "projection": 24}, "state": "sound", "intent": "keep"}
    walls = [
        {"name": "A", "length": 3600, "corner": {"kind": "internal", "angle": 90}},
        {"name": "B", "length": 3000, "existing": [old]},
    ]
    on_a = [{"room": "Hall", "walls": ["A"]}]
    sets = {"trim.dado.member": "skirting-mould", "trim.dado.where": on_a, "trim.skirting.where": on_a}
    sheet = examine(
        job_from_text(json.dumps(changed(base("one-wall"), {"rooms.0.walls": walls, **sets}))), REGISTRY, []
    )
    out = sheet.sheet[SettingOut]
    assert {run.trim: run.end_at for run in out.runs} == {"skirting": "old-corner", "dado": end}
    mould = next(piece for piece in out.pieces if piece.trim == "dado")
    assert mould.right.kind == ("cope" if end == "old-corner" else "square")
    assert mould.face - mould.back == pytest.approx(-24 if end == "old-corner" else 0), (
        "its face ends at that of the old"
    )
    if end == "old-corner":
        assert 25 / tan(radians(mould.right.cut_angle or 0.0)) == pytest.approx(24), "and so does its cut"
        (line,) = (corner for corner in out.corners if corner.trim == "dado")
        assert (line.cut_angle, line.saw_reading) == (mould.right.cut_angle, mould.right.saw_reading)


def test_it_stops_at_old_skirting_as_high_as_both_that_is_thicker() -> None:
    old = {"member": "skirting", "from": 2000, "section": {"height": 231, "projection": 24}}
    sets = {
        "trim.dado.member": "skirting-mould",
        "rooms.0.walls.0.existing": [{**old, "state": "sound", "intent": "keep"}],
    }
    told = examine(job_from_text(json.dumps(changed(base("one-wall"), sets))), REGISTRY, [])
    assert {run.trim: (run.start, run.end) for run in told.sheet[SettingOut].runs} == {
        "skirting": (0, 2000),
        "dado": (0, 2000),
    }


@pytest.mark.parametrize(
    ("high", "intent", "ends", "end"),
    [
        (231, "keep", {}, "old-work"),
        (231, "refix", {}, "old-work"),
        (168, "keep", {}, "return"),
        (231, "keep", {"ends": {"right": "return"}}, "return"),
    ],
)
def test_stopped_by_hand_beside_old_skirting_it_butts_or_is_returned_and_nothing_is_asked(
    high, intent, ends, end
) -> None:
    """As high as both the old takes its end; over a lower one that end shows. What the survey says goes before."""
    old = {"member": "skirting", "from": 2000, "section": {"height": high, "projection": 24}, "state": "loose"}
    sets = {
        "trim.dado.member": "skirting-mould",
        "trim.dado.where": [{"room": "Hall", "walls": ["A"], "to": 2000, **ends}],
        "rooms.0.walls.0.existing": [{**old, "intent": intent}],
    }
    told = examine(job_from_text(json.dumps(changed(base("one-wall"), sets))), REGISTRY, [])
    (run,) = (run for run in told.sheet[SettingOut].runs if run.trim == "dado")
    assert (run.end, run.end_at) == (2000, end)
    assert not [finding for finding in told.findings if finding.rule == "setting-out/free-end-not-said"]
