"""The chosen line against what is on the walls: what it meets, and the nearest height that clears."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from listel.core.survey.job import Room, Wall
from listel.plugins.heights import levels
from listel.plugins.heights.case import Case
from listel.plugins.heights.obstacles import Obstacle, clash_of, half_span, inside, nearest_clear, obstacles
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import Clash


@dataclass(frozen=True, slots=True)
class Judged:
    """What a rail's line meets: each clash with its obstacle, whether it halves the wall, and the nearest clear top."""

    met: tuple[tuple[Obstacle, Clash], ...] = ()
    at_half: bool = False
    offered: float | None = None

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """The clashes alone."""
        return tuple(clash for _, clash in self.met)

    @property
    def clears(self) -> bool:
        """Whether the line clears everything."""
        return not self.met and not self.at_half


def judge(case: Case, top: float, kind: str) -> Judged:
    """Test a rail's top, mm, against the walls it runs along and against half of the room height."""
    found = tuple(obstacles(case, shift_of(case.room, kind)))
    met = tuple((one, clash_of(one, top, case.depth)) for one in found if one.clashes(top, case.depth))
    half = half_span(case.orders.height)
    at_half = any(inside(top, span) for span in half)
    if not met and not at_half:
        return Judged()
    spans = [*half, *(span for one in found for span in one.forbids(case.depth))]
    step = 25.4 / 16 if case.job.units == "inches" else 1.0
    return Judged(met, at_half, nearest_clear(top, spans, table("limits").row("reach")["value"], step))


def shift_of(room: Room, kind: str) -> Callable[[Wall, float], float]:
    """How much higher above its own floor the rail runs at a station than at the reference, as a function of both."""
    found = levels.readings(room)

    def shift(wall: Wall, station: float) -> float:
        there = levels.to_datum(wall, station)
        return 0.0 if there is None else levels.above_floor(0.0, found[0][1].to_datum, there, kind)

    return shift
