"""A wall as its elevation needs it: floor, ceiling and members as lines, heights from one level line."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import radians, tan

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Room, Wall
from listel.plugins.heights import RailHeights
from listel.plugins.setting_out import Mark, Run, SettingOut

Line = tuple[tuple[float, float], ...]
"""Points (station, height above the level line), stations rising."""


def height_at(line: Line, station: float) -> float:
    """The height of a line at a station; level beyond its ends."""
    if station <= line[0][0]:
        return line[0][1]
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        if station <= x1:
            return y0 + (y1 - y0) * (station - x0) / (x1 - x0) if x1 > x0 else y1
    return line[-1][1]


def between(line: Line, start: float, end: float) -> Line:
    """The stretch of a line from one station to another."""
    inner = [(x, y) for x, y in line if start < x < end]
    return ((start, height_at(line, start)), *inner, (end, height_at(line, end)))


def drawn_length(wall: Wall) -> float | None:
    """The wall's length; where it was not taped, as far as anything on it reaches; None where nothing does."""
    if wall.length:
        return wall.length.value
    ends = [opening.end for opening in wall.openings]
    ends += [fitting.at + (fitting.width or 0.0) for fitting in wall.fittings]
    ends += [reading.at for reading in (*wall.floor, *wall.ceiling)]
    return max(ends, default=0.0) or None


def floor_line(room: Room, wall: Wall, length: float) -> Line:
    """The floor as surveyed from the datum; level where no reading was taken."""
    readings = sorted((reading.at, -reading.to_datum) for reading in wall.floor)
    if not readings:
        return ((0.0, -(room.datum or 0.0)), (length, -(room.datum or 0.0)))
    line: Line = tuple(readings)
    return between(line, 0.0, length)


def ceiling_line(room: Room, wall: Wall, length: float, floor: Line) -> Line | None:
    """The ceiling from its own readings, else from the heights taken on this wall, else from the room's mean height."""
    readings = sorted((reading.at, reading.to_datum) for reading in wall.ceiling)
    if readings and (wall.floor or room.datum is not None):
        return between(tuple(readings), 0.0, length)
    here = sorted((r.at or 0.0, r.height) for r in room.height if r.wall == wall.name)
    if here:
        return between(tuple((at, height_at(floor, at) + height) for at, height in here), 0.0, length)
    if not room.height:
        return None
    mean = sum(reading.height for reading in room.height) / len(room.height)
    level = height_at(floor, 0.0) + mean
    return ((0.0, level), (length, level))


@dataclass(frozen=True)
class Band:
    """A member on a wall between two stations: its underside and its top as lines from the level line."""

    trim: str
    member: str
    underside: Line
    top: Line
    pieces: tuple[tuple[float, float, str], ...] = ()

    @property
    def start(self) -> float:
        """Its first station."""
        return self.top[0][0]

    @property
    def end(self) -> float:
        """Its last station."""
        return self.top[-1][0]


def bands(sheet: Sheet, room: Room, wall: Wall, length: float, floor: Line) -> list[Band]:
    """Every member that runs along the wall, from the setting out; the rails alone where there is none."""
    setting_out = sheet.get(SettingOut)
    if setting_out is None:
        return _rails(sheet, room, wall, length, floor)
    here = (room.name, wall.name)
    wall_marks = [mark for mark in setting_out.marks if (mark.room, mark.wall) == here]
    wall_pieces = [piece for piece in setting_out.pieces if (piece.room, piece.wall) == here and not piece.upright]
    found = []
    for run in setting_out.runs:
        if (run.room, run.wall) != here or run.upright or run.top is None or run.end <= run.start:
            continue
        marks = [mark for mark in wall_marks if mark.trim == run.trim]
        top, underside = _edge("top", run, marks, floor), _edge("underside", run, marks, floor)
        if top is None:
            continue
        pieces = tuple(
            (piece.start, piece.end, piece.label)
            for piece in wall_pieces
            if piece.trim == run.trim and run.start - 1 <= piece.start < run.end
        )
        found.append(Band(run.trim, run.member, underside or top, top, pieces))
    return found


def _edge(edge: str, run: Run, marks: list[Mark], floor: Line) -> Line | None:
    """One edge of a run: through the marks on the wall where there are at least two, else from the run itself."""
    height = run.top if edge == "top" else run.underside
    own = sorted(
        (m.station, height_at(floor, m.station) + m.above_floor)
        for m in marks
        if m.edge == edge and run.start - 1 <= m.station <= run.end + 1
    )
    if edge == "underside" and run.member in ("skirting", "plinth-block"):
        return between(floor, run.start, run.end)
    if len({station for station, _ in own}) >= 2 and not run.pitch:
        return between(tuple(own), run.start, run.end)
    if height is None:
        return None
    level = height_at(floor, run.start) + height
    rise = (run.end - run.start) * tan(radians(run.pitch))
    return ((run.start, level), (run.end, level + rise))


def _rails(sheet: Sheet, room: Room, wall: Wall, length: float, floor: Line) -> list[Band]:
    heights = sheet.get(RailHeights)
    found = []
    for rail in heights.lines if heights else ():
        if rail.room == room.name and rail.top is not None:
            base = height_at(floor, 0.0)
            top = ((0.0, base + rail.top), (length, base + rail.top))
            low = rail.top if rail.underside is None else rail.underside
            underside = ((0.0, base + low), (length, base + low))
            found.append(Band(rail.trim or rail.member, rail.member, underside, top))
    return found


def stud_stations(wall: Wall, length: float) -> list[float]:
    """Where the studs stand, as found one by one or by their centres."""
    studs = wall.substrate.studs if wall.substrate else None
    if studs is None:
        return []
    if studs.positions:
        return [at for at in studs.positions if 0 <= at <= length]
    if not studs.centres or studs.centres <= 0:
        return []
    first = studs.first if studs.first is not None else studs.centres
    count = int(max(length - first, 0) // studs.centres) + 1
    return [first + number * studs.centres for number in range(min(count, 500))]


def pitch_line(room: Room, wall: Wall, length: float, floor: Line) -> list[tuple[str, Line]]:
    """Each flight along the wall as its steps, from the foot of its pitch line: (name, points)."""
    found = []
    for flight in room.stairs:
        for side in flight.walls:
            if side.wall != wall.name or side.foot is None or not flight.rise or not flight.going:
                continue
            steps = flight.steps or int(length // flight.going)
            way = 1.0 if side.up == "right" else -1.0
            x, y = side.foot, height_at(floor, side.foot)
            points = [(x, y)]
            for _ in range(min(steps, 60)):
                y += flight.rise
                points.append((x, y))
                x += way * flight.going
                points.append((x, y))
                if not 0 <= x <= length:
                    break
            found.append((flight.name, tuple(points)))
    return found
