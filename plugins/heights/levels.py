"""The rail's line over a floor that is out of level: level, parallel to the floor, or split between the two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from listel.core.survey.job import LevelReading, Room, Wall
from listel.core.survey.units import Units, show_length
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import StationHeight

SHARES = {"level": 0.0, "split": 0.5, "parallel": 1.0}
"""How much of the floor's fall each line follows."""


@dataclass(frozen=True, slots=True)
class Line:
    """A rail's line: which it is, its height at every station, its fall (mm per m), what the eye sees."""

    kind: str
    stations: tuple[StationHeight, ...]
    slope: float
    error: str
    fall: float


def readings(room: Room) -> list[tuple[Wall, LevelReading]]:
    """Every floor reading of the room with its wall, in survey order."""
    return [(wall, reading) for wall in room.walls for reading in wall.floor]


def to_datum(wall: Wall, station: float) -> float | None:
    """Tape from the floor up to the datum at a station, mm, drawn straight between the readings of the wall."""
    known = sorted(wall.floor, key=lambda reading: reading.at)
    if not known:
        return None
    for near, far in pairwise(known):
        if near.at <= station <= far.at and far.at > near.at:
            return near.to_datum + (far.to_datum - near.to_datum) * (station - near.at) / (far.at - near.at)
    return known[0].to_datum if station < known[0].at else known[-1].to_datum


def above_floor(top: float, reference: float, there: float, kind: str) -> float:
    """Height of the rail's top above the floor at a station, mm.

    ``top``: above the floor at the reference station; ``reference``, ``there``: tape from the floor up to the
    datum at the two stations. A level line keeps its distance from the datum, a parallel one from the floor,
    a split one halves the difference. Source: geometry.
    """
    return top + (1 - SHARES[kind]) * (there - reference)


def chosen_kind(room: Room, wanted: str | None) -> str:
    """Level where the floor falls little, split where it falls more, unless the survey chooses."""
    if wanted:
        return wanted
    return "level" if floor_fall(room) <= table("limits").row("level-fall")["value"] else "split"


def floor_fall(room: Room) -> float:
    """Highest floor reading less lowest, mm; 0 where there are fewer than two."""
    tapes = [reading.to_datum for _, reading in readings(room)]
    return max(tapes) - min(tapes) if tapes else 0.0


def rail_line(room: Room, top: float, kind: str, units: Units) -> Line:
    """The line at every surveyed station, with its visible error."""
    found = readings(room)
    fall = floor_fall(room)
    stations = []
    for wall, reading in found:
        above = above_floor(top, found[0][1].to_datum, reading.to_datum, kind)
        stations.append(StationHeight(wall.name, reading.at, above, above - reading.to_datum))
    slope = 0.0 - 1000 * SHARES[kind] * _floor_gradient(room)
    return Line(kind, tuple(stations), slope, visible_error(kind, fall, bend(room), units), fall)


def visible_error(kind: str, fall: float, floor_bend: float, units: Units) -> str:
    """What the eye will see of a line over a floor that falls by some mm, in a sentence."""
    if fall < 0.5:
        return ""
    whole, half = show_length(fall, units), show_length(fall / 2, units)
    says = {
        "level": f"The rail is level; the wall below it is {whole} taller at one place than at another.",
        "parallel": f"The wall below the rail keeps its height; the rail itself is {whole} out of level.",
        "split": f"The rail is {half} out of level, and the wall below it {half} taller at one place than at another.",
    }[kind]
    if kind != "level" and floor_bend > table("limits").row("bend")["value"]:
        says += f" The floor is {show_length(floor_bend, units)} off straight along a wall, and the rail follows it."
    return says


def bend(room: Room) -> float:
    """The greatest departure of the floor from a straight line between the end readings of one wall, mm."""
    worst = 0.0
    for wall in room.walls:
        known = sorted(wall.floor, key=lambda reading: reading.at)
        if len(known) > 2 and known[-1].at > known[0].at:
            first, last = known[0], known[-1]
            rate = (last.to_datum - first.to_datum) / (last.at - first.at)
            worst = max(worst, *(abs(one.to_datum - first.to_datum - rate * (one.at - first.at)) for one in known))
    return worst


def _floor_gradient(room: Room) -> float:
    """Rise of the floor along the walls taken as one line, mm per mm, by least squares over the readings."""
    points: list[tuple[float, float]] = []
    passed = 0.0
    for wall in room.walls:
        points += [(passed + reading.at, -reading.to_datum) for reading in wall.floor]
        if wall.length is None:
            break
        passed += wall.length.value
    return _gradient(points)


def _gradient(points: Sequence[tuple[float, float]]) -> float:
    if len(points) < 2:
        return 0.0
    mean_x = sum(x for x, _ in points) / len(points)
    mean_y = sum(y for _, y in points) / len(points)
    spread = sum((x - mean_x) ** 2 for x, _ in points)
    return sum((x - mean_x) * (y - mean_y) for x, y in points) / spread if spread else 0.0
