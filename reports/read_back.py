"""A room read back in words: figures alone never show that it was listed the wrong way round."""

from __future__ import annotations

from listel.core.survey.job import Room, Wall
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.site import corner_pairs


def read_back(room: Room, units: Units) -> str:
    """A room in one line, as one walks it: "wall A 4862 mm, then right at an inside corner of 91.3° to wall B ..."."""
    if not room.walls:
        return "no walls"
    said = [f"wall {_wall(room.walls[0], units)}"]
    said += [f"then {_turn(wall)} to wall {_wall(after, units)}" for wall, after in corner_pairs(room)]
    if len(said) > len(room.walls):
        wall, after = corner_pairs(room)[-1]
        said[-1] = f"then {_turn(wall)} back to wall {after.name}"
    elif room.walls[-1].corner:
        said.append(f"then {_turn(room.walls[-1])} and on, not surveyed")
    return ", ".join(said)


def _wall(wall: Wall, units: Units) -> str:
    return f"{wall.name} {show_length(wall.length.value, units) if wall.length else 'of unknown length'}"


def _turn(wall: Wall) -> str:
    """The turn at a wall's right end, as one who faces the wall and walks to the right makes it."""
    corner = wall.corner
    if corner is None:
        return "a corner that was not surveyed"
    side, kind = ("right", "an inside") if corner.kind == "internal" else ("left", "an outside")
    angle = "of unknown angle" if corner.angle is None else f"of {show_angle(corner.angle)}"
    return f"{side} at {kind} corner {angle}"
