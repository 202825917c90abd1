"""What the sheets for the wall show, gathered so that a room takes as few lines as it can."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from listel.plugins.setting_out import CornerCut, Mark, SettingOut

LEVEL = 0.5
"""Marks within this of each other are one level line, mm."""


@dataclass(frozen=True)
class Station:
    """A station on a wall with the heights of a trim's edges there; a height that is not set out is None."""

    wall: str
    at: float
    top: Mark | None
    underside: Mark | None


@dataclass(frozen=True)
class Marks:
    """The marks of one trim. ``level_top`` and ``level_underside``: from the level line, where all marks agree."""

    trim: str
    stations: tuple[Station, ...]
    level_top: float | None
    level_underside: float | None

    @property
    def undersides(self) -> bool:
        """Whether any underside is marked."""
        return any(station.underside for station in self.stations)


@dataclass(frozen=True)
class Corner:
    """Trims that are cut alike at a corner."""

    trims: tuple[str, ...]
    cut: CornerCut


def marks(setting_out: SettingOut, room: str) -> list[Marks]:
    """The marks of a room, trim by trim and station by station in the order they were set out."""
    mine = [mark for mark in setting_out.marks if mark.room == room]
    found = []
    for trim in dict.fromkeys(mark.trim for mark in mine):
        at: dict[tuple[str, float], dict[str, Mark]] = {}
        for mark in mine:
            if mark.trim == trim:
                at.setdefault((mark.wall, round(mark.station, 1)), {})[mark.edge] = mark
        stations = tuple(
            Station(wall, station, edges.get("top"), edges.get("underside")) for (wall, station), edges in at.items()
        )
        tops, undersides = _level([s.top for s in stations]), _level([s.underside for s in stations])
        found.append(Marks(trim, stations, tops, undersides))
    return found


def _level(edges: list[Mark | None]) -> float | None:
    """The one distance of all these marks from the level line; None where they differ or it is not known."""
    distances = [edge.from_datum for edge in edges if edge]
    known = [distance for distance in distances if distance is not None]
    if not known or len(known) < len(distances) or max(known) - min(known) > LEVEL:
        return None
    return known[0]


def corners(setting_out: SettingOut, room: str) -> list[Corner]:
    """The corners of a room in order, with the trims that are cut alike told together."""
    mine = [corner for corner in setting_out.corners if corner.room == room]
    places = list(dict.fromkeys((corner.first, corner.second) for corner in mine))
    mine.sort(key=lambda corner: (places.index((corner.first, corner.second)), str(_setting(corner))))
    found = []
    for _, alike in groupby(mine, key=lambda corner: (corner.first, corner.second, _setting(corner))):
        held = list(alike)
        found.append(Corner(tuple(corner.trim for corner in held), held[0]))
    return found


def _setting(corner: CornerCut) -> tuple[object, ...]:
    return (corner.kind, corner.angle, corner.joint, corner.coped, corner.cut_angle, corner.saw_reading, corner.bevel)
