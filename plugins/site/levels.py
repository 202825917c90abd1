"""A line of levels along a wall: the one way in which a floor or a ceiling is known between its readings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import accumulate, pairwise

from listel.core.quick import dataclass

NEAR = 2.0
"""A reading taken this close to a station [mm] counts as taken there."""


@dataclass(frozen=True, kw_only=True)
class Levels:
    """Readings along a wall as (station, reading) [mm], stations rising: straight between them, and to what is
    ``carried`` to its corners from the readings of the walls next to it; level beyond the outermost. It is true where
    anything was read on the wall itself."""

    readings: tuple[tuple[float, float], ...] = ()
    carried: tuple[tuple[float, float], ...] = ()

    @staticmethod
    def of(readings: Iterable[tuple[float, float]]) -> Levels:
        """The line through readings in any order; the last of several at one station stands."""
        return Levels(readings=tuple(sorted(dict(readings).items())))

    def __bool__(self) -> bool:
        return bool(self.readings)

    @cached_property
    def line(self) -> tuple[tuple[float, float], ...]:
        """What was read and what is carried, stations rising."""
        return tuple(sorted((*self.readings, *self.carried)))

    def at(self, station: float) -> float | None:
        """The line at a station [mm]; None where there is none at all."""
        line = self.line
        if not line:
            return None
        if station <= line[0][0]:
            return line[0][1]
        for (a, first), (b, second) in pairwise(line):
            if station <= b:
                return first + (second - first) * (station - a) / (b - a)
        return line[-1][1]

    def read_at(self, station: float) -> bool:
        """Whether a reading was taken there."""
        return any(abs(at - station) <= NEAR for at, _ in self.readings)

    def spans(self, station: float) -> bool:
        """Whether the station lies between readings, or at one: level beyond them is only assumed."""
        return bool(self.readings) and self.readings[0][0] - NEAR <= station <= self.readings[-1][0] + NEAR

    def points(self, start: float, end: float) -> tuple[tuple[float, float], ...]:
        """The line from one station to another, with each bend between them; empty where there is none."""
        first, last = self.at(start), self.at(end)
        if first is None or last is None:
            return ()
        return ((start, first), *((at, value) for at, value in self.line if start < at < end), (end, last))


def carried_along(walls: Sequence[tuple[float | None, Levels]], ring: bool) -> list[Levels]:
    """Of walls that share a floor or a ceiling, each at the right of the one before it, by length and readings: their
    levels with what is carried to corners that were not read, straight along the walls from the reading before to the
    one after.

    ``ring``: whether they come round to the first again; else the line is level beyond the outermost readings.
    """
    starts = [0.0, *accumulate(length or 0.0 for length, _ in walls)]
    known = [(start + at, value) for start, (_, own) in zip(starts, walls, strict=False) for at, value in own.readings]
    if ring:
        known = [(at + way * starts[-1], value) for way in (-1, 0, 1) for at, value in known]
    line = Levels.of(known)
    found = []
    for start, (length, own) in zip(starts, walls, strict=False):
        corners = [at for at in (0.0, length) if at is not None and not own.spans(at)]
        carried = [(at, value) for at in corners if (value := line.at(start + at)) is not None]
        found.append(Levels(readings=own.readings, carried=tuple(carried)))
    return found
