"""The shape of a room as it was listed, to be looked at before anything is cut: what was not surveyed is drawn by
guess, broken, and said."""

from __future__ import annotations

from itertools import pairwise

from listel.core.survey.job import Room, Wall
from listel.core.survey.messages import KeyPath
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.closure import Closure
from listel.plugins.site import RoomSite, corner_pairs, is_ring, walk
from listel.reports.drawings.layout import Entry, legend, nothing, scale_line
from listel.reports.drawings.layout import note as written
from listel.reports.drawings.paper import HEAVY, HIDDEN, PLAIN, WIDTH, Box, Drawing, Sheet
from listel.reports.drawings.plan import (
    Side,
    along,
    arrow,
    arrow_sample,
    beside_wall,
    fitted,
    fitting,
    in_corner,
    keep_off_walls,
    stair,
    stair_samples,
    wall_line,
)
from listel.reports.drawings.walls import drawn_length

_RING = 2.8
"""Radius of the ring round the reading to look at first, mm."""
GUESSED = 1000.0
"""Length that a wall is drawn with of which nothing is known, mm."""


def shape(site: RoomSite, units: Units, closure: Closure | None) -> Drawing:
    """The walls walked as listed, each with its name and length, each corner with its kind and angle, flights and what
    is fitted to the walls; where the room does not close, the reading to look at first is marked."""
    room = site.room
    title = f"{room.name}, its shape as listed"
    if not room.walls:
        return nothing(title, "No wall was listed.")
    angles = [_angle(wall) for wall in room.walls]
    points = walk([drawn_length(wall) or GUESSED for wall in room.walls], angles)
    scale, walls = fitted(list(pairwise(points)), units)
    paper = Sheet()
    for wall, side in zip(room.walls, walls, strict=True):
        if wall.length:
            wall_line(paper, wall, side)
        else:
            paper.line(*side, HIDDEN)
    keep_off_walls(paper, walls)
    arrow(paper, walls[0])
    number = {wall.name: place for place, wall in enumerate(room.walls)}
    suspect = closure.likeliest if closure else None
    samples: list[Entry] = [(arrow_sample, "the first wall listed; each next one is to its right, seen from inside")]
    if suspect:
        doubted = walls[number[suspect.wall]]
        at = doubted[1] if suspect.what.startswith("corner") else along(doubted, 0.5)
        _doubt(paper, *at)
        samples.append((_doubt_sample, f"the reading to look at first: {suspect.what}"))
    for place, wall in enumerate(room.walls):
        for item, each in enumerate(wall.fittings):
            if box := fitting(paper, room, walls, wall, each, scale):
                paper.shows(("walls", place, "fittings", item), box)
    samples += stair_samples([stair(paper, walls, room, flight, scale) for flight in site.flights.values()])
    for place, (wall, side) in enumerate(zip(room.walls, walls, strict=True)):
        _shown(
            paper,
            ("walls", place, "length"),
            side,
            beside_wall(paper, side, f"{wall.name}  {_length(wall, units)}{_landing(wall, units)}"),
        )
    for wall, after in corner_pairs(room):
        words = f"{wall.name}/{after.name} {_corner(wall)}"
        box = in_corner(paper, walls[number[wall.name]], walls[number[after.name]], words)
        if box:
            paper.shows(("walls", number[wall.name], "corner"), box)
    legend(paper, samples, WIDTH)
    for says in (_guessed(room), closure.says if closure else ""):
        if says:
            written(paper, says, WIDTH)
    said = scale_line(paper, scale, units)
    listed = ", ".join(f"{wall.name} {_length(wall, units)}" for wall in room.walls)
    return paper.finish(title, f"The shape of {room.name} as listed, clockwise: {listed}. {_guessed(room)}", said)


def _doubt(paper: Sheet, x: float, y: float) -> None:
    """A question mark in a heavy ring."""
    ring = Box(x - _RING, y - _RING, x + _RING, y + _RING)
    paper.circle(x, y, _RING, HEAVY, "white")
    paper.words(x, y + 0.36 * PLAIN, "?", PLAIN, "middle", bold=True, ring=ring)


def _doubt_sample(paper: Sheet, box: Box) -> None:
    _doubt(paper, (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)


def _shown(paper: Sheet, path: KeyPath, side: Side, words: Box | None) -> None:
    """Where a wall is drawn, and its name."""
    (x0, y0), (x1, y1) = side
    paper.shows(path, Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)), *([words] if words else []))


def _angle(wall: Wall) -> float:
    """The corner at a wall's right end through the room [deg]; square where it was not measured."""
    if wall.corner is None:
        return 90.0
    through = wall.corner.through_room
    return through if through is not None else 90.0 if wall.corner.kind == "internal" else 270.0


def _length(wall: Wall, units: Units) -> str:
    return show_length(wall.length.value, units).removesuffix(" mm") if wall.length else "length?"


def _landing(wall: Wall, units: Units) -> str:
    """Of a wall that stands on another floor than its room how far over that of the room it lies."""
    if not wall.raised:
        return ""
    return f", floor {'+' if wall.raised > 0 else '-'}{show_length(abs(wall.raised), units).removesuffix(' mm')}"


def _corner(wall: Wall) -> str:
    if wall.corner is None:
        return "not surveyed"
    kind = "inside" if wall.corner.kind == "internal" else "outside"
    return f"{kind} {show_angle(wall.corner.angle) if wall.corner.angle is not None else 'angle?'}"


def _guessed(room: Room) -> str:
    """What was not surveyed and is drawn by guess, as a sentence; empty where nothing is."""
    said = [f"the length of wall {wall.name}" for wall in room.walls if not wall.length]
    said += [
        f"corner {wall.name}/{after.name}, drawn square"
        for wall, after in corner_pairs(room)
        if wall.corner is None or wall.corner.angle is None
    ]
    part = "" if is_ring(room) else "The walls that were surveyed do not come round. "
    return part + (f"Not surveyed, drawn by guess: {'; '.join(said)}." if said else "")
