"""The chosen line against what is on the walls: what it meets, and the nearest height that clears."""

from __future__ import annotations

from collections.abc import Callable

from listel.core.quick import dataclass
from listel.core.survey.job import Wall
from listel.plugins.heights import levels
from listel.plugins.heights.candidates import band
from listel.plugins.heights.case import Case
from listel.plugins.heights.obstacles import Obstacle, clash_of, half_span, inside, nearest_clear, obstacles
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import Clash
from listel.plugins.site import RoomSite


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What a rail's line comes too near, what lines it meets, lock rails beside it (a sight line, no clash), whether it
    halves the wall, and the nearest clear top."""

    near: tuple[Obstacle, ...] = ()
    met: tuple[Obstacle, ...] = ()
    beside: tuple[Obstacle, ...] = ()
    at_half: bool = False
    offered: float | None = None
    clashes: tuple[Clash, ...] = ()

    @property
    def clears(self) -> bool:
        """Whether the line clears everything."""
        return not self.near and not self.at_half


def judge(case: Case, top: float, kind: str) -> Judged:
    """Test a rail's top, mm, against the walls it runs along and against half of the room height; not against what
    fills the trade's whole band for it, such as a cupboard."""
    found = tuple(obstacles(case, shift_of(case.site, kind)))
    limits = band(case.member, case.room.use, case.job.units)
    standing = tuple(
        one for one in found if one.kind != "lock-rail" and not one.fills(limits.low, limits.high, case.depth)
    )
    near = tuple(one for one in standing if one.clashes(top, case.depth))
    half = half_span(case.orders.height)
    at_half = any(inside(top, span) for span in half)
    offered = None
    if near or at_half:
        spans = [*half, *(span for one in standing for span in one.forbids(case.depth))]
        hits = [hit for one in standing for hit in one.hits(case.depth)]
        step = 25.4 / 16 if case.job.units == "inches" else 1.0
        offered = nearest_clear(top, spans, table("limits").row("reach")["value"], step, hits)
    return Judged(
        near=near,
        met=tuple(one for one in found if one.met(top, case.depth)),
        beside=tuple(one for one in found if one.kind == "lock-rail" and one.clashes(top, case.depth)),
        at_half=at_half,
        offered=offered,
        clashes=tuple(clash_of(one, top, case.depth) for one in near),
    )


def shift_of(site: RoomSite, kind: str) -> Callable[[Wall, float], float]:
    """How much higher above its own floor the rail runs at a station than where heights are counted from, as a
    function of wall and station."""

    def shift(wall: Wall, station: float) -> float:
        there = site.walls[wall.name].floor(station)
        return 0.0 if there is None else levels.above_floor(0.0, site.room.reference or 0.0, there, kind)

    return shift
