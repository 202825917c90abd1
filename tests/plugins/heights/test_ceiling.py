"""The ceiling over the floor that heights are counted from."""

from __future__ import annotations

from dataclasses import replace

from listel.core.survey.job import HeightReading, Job, LevelReading, Reading, Room, Wall
from listel.plugins.heights.rooms import ceiling_at_reference
from listel.plugins.site import site_of


def ceiling(room: Room) -> float | None:
    return ceiling_at_reference(site_of(Job("a job", rooms=(room,))).rooms[room.name])


def test_ceiling_is_counted_from_the_reference_floor() -> None:
    """By the mean of the ceiling tapes; else a height taken over another floor is brought to it by the level line."""
    floor = (LevelReading(0, 1000), LevelReading(4000, 1015))
    wall = Wall("A", Reading(4000), floor=floor)
    room = Room("Parlour", walls=(wall,), height=(HeightReading(2755, wall="A", at=4000),))
    assert ceiling(room) == 2740
    taped = replace(wall, ceiling=(LevelReading(0, 1742), LevelReading(4000, 1738)))
    assert ceiling(replace(room, walls=(taped,))) == 2740
    assert ceiling(replace(room, datum=1004.0)) == 2744
    assert ceiling(replace(room, walls=(replace(wall, floor=()),))) is None
