"""What ``fixings`` gives: the fixing schedule."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import KW_ONLY, replace
from functools import cached_property
from math import cos, radians
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import Lines, told
from listel.core.contract.tables import Row, load_table, row_names
from listel.core.quick import dataclass
from listel.core.survey.units import Units, custom
from listel.plugins.site import tables


@dataclass(frozen=True)
class FixingPoint:
    """One fixing: ``station`` along the wall, ``height`` above the floor at that station, what it is ``on`` (stud,
    ground, masonry, plug ...)."""

    station: float = told("along the wall", "mm")
    height: float | None = told("above the floor", "mm", None)
    on: str = told("what it goes into", default="")
    moved: str = told("why it was moved from where it first stood, or empty", default="")
    first: float | None = told("where it first stood, if it was moved: along the wall, or up it", "mm", None)
    _: KW_ONLY
    joint: bool = told("whether it backs a joint between two pieces", default=False)


def kind_of(name: str) -> Row:
    """The row of a kind of fixing: how it comes out, what that harms, whether its head is sunk. KeyError for none."""
    return load_table(__package__, "kinds").row(name)


@dataclass(frozen=True, kw_only=True)
class Fixing:
    """The fixing of one run of one trim on one wall."""

    LINE: ClassVar[str] = "fixing"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    member: str = told("the member", words=tables.words("members"))
    start: float = told("first station of the run", "mm")
    end: float = told("last station of the run", "mm")
    substrate: str = told("make-up of the wall; empty: not surveyed", default="", words=tables.words("makeups"))
    into: str = told("what the fixing bears in", default="")
    kind: str = told(
        "the fixing; empty where none can be named yet",
        default="",
        settable=True,
        words=row_names(__package__, "kinds"),
    )
    diameter: float | None = told("shank diameter", "mm", None, settable=True, least=1.0, most=12.0)
    gauge: str = told("screw gauge, where it has one", default="")
    length: float | None = told("length to order", "mm", None, settable=True, least=10.0, most=300.0)
    through: float | None = told("trim, what that stands on, plaster and gap it passes before it bears", "mm", None)
    off: float = told("how far the trim on whose face its trim stands holds that off the wall", "mm", 0.0)
    embedment: float | None = told("embedment in what bears it", "mm", None)
    lead_hole: float | None = told("lead hole in what bears it", "mm", None)
    clearance_hole: float | None = told("clearance hole in the trim; none: not drilled", "mm", None)
    plug: str = told("the plug, where there is one", default="")
    spacing: float | None = told("distance between fixings, actual", "mm", None)
    most_spacing: float | None = told("greatest spacing allowed", "mm", None, settable=True, least=50.0, most=2000.0)
    from_ends: float | None = told("first fixing from each end", "mm", None)
    second: float | None = told("second fixing from each end", "mm", None)
    rows: int = told("rows of fixings up the member", default=1)
    rows_down: tuple[float, ...] = told("each row down from the top edge", "mm", ())
    rows_first: tuple[float, ...] = told("each row down from the top edge before one was moved out of a zone", "mm", ())
    count: int = told("number in this run", default=0)
    points: tuple[FixingPoint, ...] = told("where each one goes", default=())
    metal: str = told("its metal", default="")
    demand: float | None = told("weight and pull on the hardest-worked fixing, together", "N", None)
    capacity: float | None = told("working load one fixing may carry in that direction; 0: none that lasts", "N", None)
    ratio: float | None = told("demand over capacity", "", None)
    avoid: tuple[str, ...] = told("what not to do on this wall", default=())
    find: str = told("how to find what bears, where it was not surveyed", default="")
    pitch: float = told("slope of the run", "deg", 0.0)
    upright: bool = told("true for an architrave leg, whose fixings are spaced up it", default=False)
    pull: float | None = told("pull in the demand, straight out of the wall", "N", None)
    shear: float | None = told("weight in the demand, along the wall", "N", None)
    carries: float | None = told("length of run on the hardest-worked fixing that the demand is for", "mm", None)
    density: float | None = told("mean density of the trim, which its weight is reckoned with", "kg/m3", None)
    safety: str = told("the safety factor in the capacity, in words", default="")
    old: str = told("the old piece it puts back, or the splice it holds; empty: new trim", default="")
    old_holes: int = told("how many of them go into old holes", default=0)
    grounds: Grounds = told("why", default=Grounds())

    @property
    def new_holes(self) -> int:
        """How many holes are made for it; those that are used again are none."""
        return self.count - self.old_holes


LOOSE_END = 200.0


def loose_end(units: Units) -> float:
    """Farthest the first fixing may stand from the end of a run, mm: our own setting, no authority."""
    return custom(LOOSE_END, units)


@dataclass(frozen=True)
class FixingSchedule:
    """The fixing schedule of the job."""

    lines: tuple[Fixing, ...] = ()

    def lines_on(self, room: str, wall: str = "", trim: str = "") -> Sequence[Fixing]:
        """The fixings in a room; on one wall and of one trim, where they are named."""
        return self._lines.of(room=room, wall=wall, trim=trim)

    @property
    def new_holes(self) -> int:
        """How many holes are made."""
        return sum(line.new_holes for line in self.lines)

    @cached_property
    def _lines(self) -> Lines[Fixing]:
        return Lines(self.lines)


def respaced(fixing: Fixing, points: tuple[FixingPoint, ...]) -> Fixing:
    """The same fixing with its points moved: number, spacing, first and second from the ends, and what it is asked
    follow.

    Where the moved points leave one of them a longer stretch than the demand was reckoned for (``carries``), demand,
    pull, weight and ratio rise in proportion, which is on the safe side of what a springback adds; they are not let
    fall. Raises ValueError without points.
    """
    if not points:
        raise ValueError("a fixing that is respaced keeps at least one point")
    slope = 1.0 if fixing.upright else cos(radians(fixing.pitch))
    was, now = axis(fixing, fixing.points), axis(fixing, points)
    reckoned = fixing.carries or share(was)
    more = max(1.0, share(now) / reckoned) if reckoned else 1.0
    gap = max((far - near for near, far in itertools.pairwise(now[1:-1])), default=None)
    return replace(
        fixing,
        points=points,
        count=len(points),
        spacing=None if gap is None else gap / slope,
        from_ends=now[1] - now[0],
        second=now[2] - now[0] if len(now) > 3 else None,
        carries=reckoned * more or None,
        **{
            key: value * more
            for key in ("demand", "pull", "shear", "ratio")
            if (value := getattr(fixing, key)) is not None
        },
    )


def axis(fixing: Fixing, points: tuple[FixingPoint, ...]) -> list[float]:
    """The run's first end, its fixings in order and its last end: by station, or by height where it is upright."""
    if not fixing.upright:
        return [fixing.start, *sorted({point.station for point in points}), fixing.end]
    heights = sorted({point.height for point in points if point.height is not None})
    if not heights:
        return []
    low = heights[0] - (fixing.from_ends or 0.0)
    return [low, *heights, heights[-1] + (fixing.from_ends or 0.0)]


def share(marks: list[float]) -> float:
    """The longest stretch one fixing carries: half way to its neighbours, all of it to an end; 0 with none."""
    if len(marks) < 3:
        return 0.0
    inner = marks[1:-1]
    bounds = [marks[0], *((near + far) / 2 for near, far in itertools.pairwise(inner)), marks[-1]]
    return max(far - near for near, far in itertools.pairwise(bounds))
