"""What the rail's band meets on the walls, and the nearest height that clears it all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import ceil, floor

from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Fitting, Wall
from listel.plugins.heights.case import Case
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import Clash

SLACK = 1e-6
"""Less than this, mm, is no overlap."""


MET = 3.0
"""An edge of the rail this close to a line, mm, is taken to meet it; our own setting."""


@dataclass(frozen=True, kw_only=True)
class Obstacle:
    """Something on a wall from ``low`` to ``high`` above the floor there. ``line``: a level line that an edge of the
    rail should meet or stand well clear of. ``moves``: it can be put elsewhere. ``stands``: on the floor. ``shift``:
    how much higher above its own floor the rail runs there than where heights are counted from."""

    kind: str
    wall: str
    printed: str
    station: float
    low: float
    high: float
    needs: float
    line: bool = False
    moves: bool = False
    stands: bool = False
    shift: float = 0.0
    assumed_depth: bool = False
    survey_line: int = 0

    def clearance(self, top: float, face: float) -> float:
        """Clear height between the rail and this, mm; negative where they overlap.

        ``top``: of the rail where heights are counted from; ``face``: its depth.
        """
        there = top + self.shift
        return max(self.low - there, there - face - self.high)

    def hits(self, face: float) -> tuple[float, ...]:
        """The rail's tops, mm, rising, at which an edge of it meets an edge of this line; none for what is no line."""
        edges = {edge - self.shift + down for edge in (self.low, self.high) for down in (0.0, face)}
        return tuple(sorted(edges)) if self.line else ()

    def forbids(self, face: float) -> tuple[tuple[float, float], ...]:
        """The open spans of the rail's top, mm, in which it comes too near; those of a line end where it is met."""
        low, high = self.low - self.shift - self.needs, self.high - self.shift + face + self.needs
        return tuple(pairwise((low, *self.hits(face), high)))

    def fills(self, low: float, high: float, face: float) -> bool:
        """Whether it stands on the floor so tall that no top of the rail from ``low`` to ``high`` [mm] clears it: the
        rail stops at each side of it wherever it runs."""
        spans = self.forbids(face)
        return self.stands and spans[0][0] < low and high < spans[-1][1]

    def met(self, top: float, face: float) -> bool:
        """Whether an edge of a rail with that top meets this line."""
        return any(abs(top - hit) <= MET for hit in self.hits(face))

    def clashes(self, top: float, face: float) -> bool:
        """Whether a rail with that top comes too near."""
        return not self.met(top, face) and any(inside(top, span) for span in self.forbids(face))


def inside(top: float, span: tuple[float, float]) -> bool:
    """Whether a height lies within an open span."""
    return span[0] + SLACK < top < span[1] - SLACK


Shift = Callable[[Wall, float], float]


def obstacles(case: Case, shift: Shift) -> Iterator[Obstacle]:
    """Everything of known height on the walls that a rail runs along. ``shift``: of the rail's line at a station."""
    for wall, fitting in case.fittings():
        if fitting.height is not None:
            yield _fitting(case, wall, fitting, fitting.height, shift(wall, fitting.at))
    for wall, opening in case.openings():
        sill = opening.sill if opening.kind == "window" else None
        for kind, key, height in (("window-sill", "sill", sill), ("lock-rail", "lock-rail", opening.lock_rail)):
            if height is not None:
                row = clearance_row(kind)
                line = case.job.line(opening, key)
                yield Obstacle(
                    kind=kind,
                    wall=wall.name,
                    printed=row["printed"],
                    station=opening.at,
                    low=height,
                    high=height,
                    needs=row["needs"],
                    line=True,
                    shift=shift(wall, opening.at),
                    survey_line=line,
                )


def _fitting(case: Case, wall: Wall, fitting: Fitting, height: float, shift: float) -> Obstacle:
    """A fitting as an obstacle; a depth that was not surveyed is taken from the table and marked so."""
    row = clearance_row(fitting.kind)
    usual = row["depth-us" if case.job.building.region == "united-states" else "depth"]
    depth = fitting.depth if fitting.depth is not None else usual
    return Obstacle(
        kind=row.name,
        wall=wall.name,
        printed=fitting.name or row["printed"],
        station=fitting.at,
        low=height,
        high=height + depth,
        needs=row["needs"],
        line=bool(row.get("line")),
        moves=bool(row.get("moves")),
        stands=bool(row.get("stands")),
        shift=shift,
        assumed_depth=fitting.depth is None,
        survey_line=case.job.line(fitting, "height"),
    )


def clearance_row(kind: str) -> Row:
    """The row of the table ``clearances`` for a kind of fitting, or for any other fitting."""
    return table("clearances").find(kind) or table("clearances").row("other")


def clash_of(obstacle: Obstacle, top: float, face: float) -> Clash:
    """The clash of a rail with an obstacle."""
    misses = obstacle.clearance(top, face)
    return Clash(obstacle.wall, obstacle.printed, obstacle.station, misses, obstacle.needs)


def half_span(height: float | None) -> tuple[tuple[float, float], ...]:
    """The span about half of the room height in which a rail seems to cut the wall in two; none without a height."""
    if height is None:
        return ()
    near = table("limits").row("half-within")["value"] * height / 2
    return ((height / 2 - near, height / 2 + near),)


def nearest_clear(
    top: float, spans: Sequence[tuple[float, float]], reach: float, step: float = 1.0, hits: Sequence[float] = ()
) -> float | None:
    """The height nearest to ``top`` that lies in none of the open spans, the lower of two as near.

    It is ``top`` itself, one of ``hits`` (where a line is met), or the edge of a span, moved outwards to a whole
    ``step`` (mm). None where nothing within ``reach`` (mm) clears. Source: geometry.
    """
    edges = [floor(low / step) * step for low, _ in spans] + [ceil(high / step) * step for _, high in spans]
    clear = [
        one
        for one in (top, *hits, *edges)
        if one > 0 and abs(one - top) <= reach and not any(inside(one, span) for span in spans)
    ]
    return min(clear, key=lambda one: (abs(one - top), one), default=None)
