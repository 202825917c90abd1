"""The level line against the floor, and members against the ceiling, the floor and the corners."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listel.core.survey.job import HeightReading, LevelReading, Opening, Room, Section

FLOOR = (LevelReading(0, 1000), LevelReading(4000, 1015))


@pytest.fixture
def room(wall) -> Room:
    return Room(
        "Parlour", extent="part", datum=1000, height=(HeightReading(2747),), walls=(wall("A", 4000, floor=FLOOR),)
    )


def test_a_level_line_that_belies_the_tapes_holds_the_job(set_out, trim, room) -> None:
    assert "datum-against-floor" not in set_out(room, trim()).rules()
    told = set_out(replace(room, datum=1.0), trim())
    hold = told.finding("datum-against-floor")
    assert hold.weight == "hold" and "1 mm" in hold.says and "1000 mm to 1015 mm" in hold.says
    assert [mark.above_floor for mark in told.out.marks if mark.edge == "top"] == [1949, 1964]


def test_a_rail_over_the_ceiling_or_in_the_cornice_is_a_hold(set_out, trim, room) -> None:
    def rules(top: float, cornice: float | None = None) -> list[str]:
        return set_out(replace(room, cornice=cornice), trim("picture-rail", 45, top=top)).rules()

    assert "over-the-ceiling" in rules(3297) and "over-the-ceiling" not in rules(2400)
    assert "into-the-cornice" in rules(2650, 150) and "into-the-cornice" not in rules(2500, 150)


def test_an_architrave_that_meets_the_cornice_is_a_caution(set_out, trim, room) -> None:
    window = Opening("window", 1000, 900, 1750, sill=750, architrave=120)
    wall = replace(room.walls[0], openings=(window,))
    found = set_out(replace(room, cornice=150, walls=(wall,)), trim("architrave", 120, top=None))
    assert found.finding("into-the-cornice").weight == "caution"


def test_a_rail_that_runs_into_a_rising_floor_is_a_hold(set_out, trim, room) -> None:
    rising = replace(room.walls[0], floor=(LevelReading(0, 1000), LevelReading(4000, 40)))
    found = set_out(replace(room, walls=(rising,)), trim(top=950))
    hold = found.finding("into-the-floor")
    assert hold.weight == "hold" and "below the floor there, 4000 mm along wall A" in hold.says
    assert "into-the-floor" not in set_out(room, trim(top=950)).rules()


@pytest.mark.parametrize(("at", "past"), [(90, True), (125, False), (3010, False), (3090, True)])
def test_an_architrave_wider_than_the_wall_beside_its_door_is_a_caution(set_out, trim, room, at, past) -> None:
    wall = replace(room.walls[0], openings=(Opening("door", at, 838, 2032, architrave=120),))
    found = set_out(replace(room, walls=(wall,)), trim("architrave", 120, top=None))
    assert ("past-the-corner" in found.rules()) is past


def test_a_profile_of_nothing_is_no_profile(set_out, trim, room) -> None:
    from listel.core.survey.job import ProfileElement

    assert set_out(room, trim(profile=(ProfileElement("chamfer", 0.0, 0.0),))).out.runs


def test_a_plinth_block_as_high_as_the_architrave_leaves_no_leg_and_holds_the_job(set_out, trim, room) -> None:
    door = Opening("door", 1000, 838, 2032, architrave=120, plinth_block=130, plinth_block_height=2400)
    found = set_out(replace(room, walls=(replace(room.walls[0], openings=(door,)),)), trim("architrave", 120, top=None))
    assert found.finding("plinth-block-too-high").weight == "hold"
    assert found.out.runs == ()


def test_plinth_blocks_of_no_height_are_not_set_out(set_out, trim, room) -> None:
    door = Opening("door", 1000, 838, 2032, architrave=120, plinth_block=130, plinth_block_height=0)
    blocks = replace(trim("plinth-block", 130, top=None), section=Section(None, 30))
    found = set_out(replace(room, walls=(replace(room.walls[0], openings=(door,)),)), blocks)
    assert "plinth-block-height" in found.rules()
    assert found.out.runs == ()


def test_a_skirting_asked_for_over_a_floor_keeps_its_top_where_the_board_is_not_known(set_out, trim, room) -> None:
    skirting = replace(trim("skirting", 150, top=90), section=Section(None, 20))
    out = set_out(room, skirting).out
    assert min(mark.above_floor for mark in out.marks if mark.edge == "top") == pytest.approx(90)
