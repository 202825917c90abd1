"""A line of levels along a wall: the one way in which a floor or a ceiling is known between its readings."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from listel.core.quick import dataclass

NEAR = 2.0
"""A reading taken this close to a station [mm] counts as taken there."""


@dataclass(frozen=True, kw_only=True)
class Levels:
    """Readings along a wall as (station, reading) [mm], stations rising: straight between them, level beyond the
    outermost."""

    readings: tuple[tuple[float, float], ...] = ()

    @staticmethod
    def of(readings: Iterable[tuple[float, float]]) -> Levels:
        """The line through readings in any order; the last of several at one station stands."""
        return Levels(readings=tuple(sorted(dict(readings).items())))

    def __bool__(self) -> bool:
        return bool(self.readings)

    def at(self, station: float) -> float | None:
        """The reading at a station [mm]; None where there is none at all."""
        if not self.readings:
            return None
        if station <= self.readings[0][0]:
            return self.readings[0][1]
        for (a, first), (b, second) in pairwise(self.readings):
            if station <= b:
                return first + (second - first) * (station - a) / (b - a)
        return self.readings[-1][1]

    def read_at(self, station: float) -> bool:
        """Whether a reading was taken there."""
        return any(abs(at - station) <= NEAR for at, _ in self.readings)

    def spans(self, station: float) -> bool:
        """Whether the station lies between readings, or at one: level beyond them is only assumed."""
        return bool(self.readings) and self.readings[0][0] - NEAR <= station <= self.readings[-1][0] + NEAR

    def points(self, start: float, end: float) -> tuple[tuple[float, float], ...]:
        """The line from one station to another, with each reading between them; empty where there is none."""
        first, last = self.at(start), self.at(end)
        if first is None or last is None:
            return ()
        return ((start, first), *((at, value) for at, value in self.readings if start < at < end), (end, last))
