"""The rail's line over a floor that is out of level: level, parallel to the floor, or split between the two."""

from __future__ import annotations

from listel.core.quick import dataclass
from listel.core.survey.job import LevelReading, Room, Wall
from listel.core.survey.units import Units, show_length
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import StationHeight

SHARES = {"level": 0.0, "split": 0.5, "parallel": 1.0}
"""How much of the floor's fall each line follows."""


@dataclass(frozen=True)
class Line:
    """A rail's line: which it is, its height at every station, what the eye sees, how far the floor falls."""

    kind: str
    stations: tuple[StationHeight, ...]
    error: str
    fall: float


def readings(room: Room) -> list[tuple[Wall, LevelReading]]:
    """Every floor reading of the room with its wall, in survey order."""
    return [(wall, reading) for wall in room.walls for reading in wall.floor]


def above_floor(top: float, reference: float, there: float, kind: str) -> float:
    """Height of the rail's top above the floor at a station, mm.

    ``top``: above the floor that heights are counted from; ``reference``, ``there``: tapes from that floor and from
    the floor there up to the level line. A level rail keeps its distance from that line, a parallel one from the
    floor, a split one halves the difference. Source: geometry.
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
    fall = floor_fall(room)
    stations = []
    for wall, reading in readings(room):
        above = above_floor(top, room.reference or 0.0, reading.to_datum, kind)
        stations.append(StationHeight(wall.name, reading.at, above, above - reading.to_datum))
    return Line(kind, tuple(stations), visible_error(kind, fall, bend(room), units), fall)


def counted_from(room: Room, units: Units) -> str:
    """The floor that a room's heights are counted from, in words, where it is out of level; else ""."""
    if room.reference is None or floor_fall(room) < 0.5:
        return ""
    if room.datum is not None:
        return f"the floor where the level line is {show_length(room.datum, units)} up"
    wall, reading = min(readings(room), key=lambda one: (one[1].to_datum, one[0].name, one[1].at))
    return f"the floor where it is highest, wall {wall.name} at {show_length(reading.at, units)}"


def visible_error(kind: str, fall: float, floor_bend: float, units: Units) -> str:
    """What the eye will see of a line over a floor that falls by some mm, in a sentence."""
    if fall < 0.5:
        return ""
    whole, half = show_length(fall, units), show_length(fall / 2, units)
    says = {
        "level": f"The wall below the rail is {whole} taller at one place than at another.",
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
