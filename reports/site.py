"""What the sheets for the wall show, gathered so that a room takes as few lines as it can."""

from __future__ import annotations

from dataclasses import dataclass

from listel.plugins.setting_out import CornerCut, Mark, Piece, SettingOut

LEVEL = 0.5
"""Marks within this of each other are one level line, mm."""
SAME = 2.0
"""Stations no further apart than this are one, mm."""


@dataclass(frozen=True)
class Line:
    """A trim that is marked, with how far its edges stand from the level line where that is the same all round.
    ``apart``: whether some of its marks are counted from the stairs, not from that line."""

    trim: str
    top: float | None
    underside: float | None
    scribed: bool
    apart: bool


@dataclass(frozen=True)
class Station:
    """A station on a wall with the mark of each trim's top there; None where the trim has none."""

    wall: str
    at: float
    tops: tuple[Mark | None, ...]


@dataclass(frozen=True)
class Marks:
    """The marks of a room: its trims, and the stations, each with a mark for each trim in the same order."""

    lines: tuple[Line, ...]
    stations: tuple[Station, ...]


@dataclass(frozen=True)
class Corner:
    """A corner that is cut to one setting, with the joint of its trims in words."""

    cut: CornerCut
    joint: str


def marks(setting_out: SettingOut, room: str) -> Marks:
    """The marks of a room: of a trim that stands level, those where the floor was read and at the ends of each wall;
    of any other, all of them."""
    mine = [mark for mark in setting_out.marks if mark.room == room]
    trims = list(dict.fromkeys(mark.trim for mark in mine))
    lines = tuple(_line(trim, [mark for mark in mine if mark.trim == trim]) for trim in trims)
    level = {line.trim for line in lines if line.top is not None}
    stations: list[Station] = []
    for wall in dict.fromkeys(mark.wall for mark in mine):
        tops = sorted((m for m in mine if m.wall == wall and m.edge == "top"), key=lambda m: m.station)
        groups: list[list[Mark]] = []
        for mark in tops:
            if groups and mark.station - groups[-1][0].station <= SAME:
                groups[-1].append(mark)
            else:
                groups.append([mark])
        for number, group in enumerate(groups):
            at_end = number in (0, len(groups) - 1)
            if at_end or any(mark.read or mark.from_datum is None or mark.trim not in level for mark in group):
                found = {mark.trim: mark for mark in group}
                stations.append(Station(wall, group[0].station, tuple(found.get(trim) for trim in trims)))
    return Marks(lines, tuple(stations))


def _line(trim: str, mine: list[Mark]) -> Line:
    tops, undersides = (_level([mark for mark in mine if mark.edge == edge]) for edge in ("top", "underside"))
    scribed = any(mark.scribe is not None for mark in mine)
    return Line(trim, tops, undersides, scribed, any(mark.from_datum is None for mark in mine))


def _level(edges: list[Mark]) -> float | None:
    """The one distance from the level line of all these marks that have one; None where they differ or none has."""
    known = [edge.from_datum for edge in edges if edge.from_datum is not None]
    return known[0] if known and max(known) - min(known) <= LEVEL else None


def corners(setting_out: SettingOut, room: str) -> list[Corner]:
    """The corners of a room in order, each once for all the trims that are cut to one setting there."""
    groups: dict[tuple[object, ...], list[CornerCut]] = {}
    mine = [corner for corner in setting_out.corners if corner.room == room]
    places = list(dict.fromkeys((corner.first, corner.second) for corner in mine))
    for corner in sorted(mine, key=lambda corner: places.index((corner.first, corner.second))):
        key = (corner.first, corner.second, corner.kind, corner.angle, corner.cut_angle, corner.saw_reading)
        groups.setdefault((*key, corner.bevel), []).append(corner)
    whole = {place: len({c.trim for c in mine if (c.first, c.second) == place}) for place in places}
    return [Corner(group[0], _joint(group, whole[group[0].first, group[0].second])) for group in groups.values()]


def _joint(group: list[CornerCut], trims: int) -> str:
    """How the trims of a corner meet; they are named where they do not all meet alike."""
    ways: dict[str, list[str]] = {}
    for corner in group:
        ways.setdefault(f"{corner.coped}\u00a0coped" if corner.coped else corner.joint, []).append(corner.trim)
    if len(ways) == 1 and len(group) == trims:
        return next(iter(ways))
    return "; ".join(f"{way}: {', '.join(names)}" for way, names in ways.items())


def pieces(setting_out: SettingOut, room: str) -> dict[str, list[Piece]]:
    """The pieces of a room by trim, in the order of fixing."""
    found: dict[str, list[Piece]] = {}
    for piece in sorted((p for p in setting_out.pieces if p.room == room), key=lambda piece: piece.order):
        found.setdefault(piece.trim, []).append(piece)
    return found
