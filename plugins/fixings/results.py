"""What ``fixings`` gives: the fixing schedule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from listel.core.findings import Grounds
from listel.core.lines import told


@dataclass(frozen=True)
class FixingPoint:
    """One fixing: ``station`` along the wall, ``height`` above the floor at that station, what it is ``on`` (stud,
    ground, masonry, plug ...)."""

    station: float = told("along the wall", "mm")
    height: float | None = told("above the floor", "mm", None)
    on: str = told("what it goes into", default="")
    moved: str = told("why it was moved from where it first stood, or empty", default="")


@dataclass(frozen=True)
class Fixing:
    """The fixing of one run of one trim on one wall."""

    LINE: ClassVar[str] = "fixing"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    member: str = told("the member")
    start: float = told("first station of the run", "mm")
    end: float = told("last station of the run", "mm")
    substrate: str = told("make-up of the wall; empty: not surveyed", default="")
    into: str = told("what the fixing bears in", default="")
    kind: str = told("the fixing; empty where none can be named yet", default="")
    diameter: float | None = told("shank diameter", "mm", None)
    gauge: str = told("screw gauge, where it has one", default="")
    length: float | None = told("length to order", "mm", None)
    through: float | None = told("trim, plaster and gap it passes before it bears", "mm", None)
    embedment: float | None = told("embedment in what bears it", "mm", None)
    lead_hole: float | None = told("lead hole in what bears it", "mm", None)
    clearance_hole: float | None = told("clearance hole in the trim; none: not drilled", "mm", None)
    plug: str = told("the plug, where there is one", default="")
    spacing: float | None = told("distance between fixings, actual", "mm", None)
    most_spacing: float | None = told("greatest spacing allowed", "mm", None)
    from_ends: float | None = told("first fixing from each end", "mm", None)
    second: float | None = told("second fixing from each end", "mm", None)
    rows: int = told("rows of fixings up the member", default=1)
    count: int = told("number in this run", default=0)
    points: tuple[FixingPoint, ...] = told("where each one goes", default=())
    metal: str = told("its metal", default="")
    demand: float | None = told("pull on the hardest-worked fixing", "N", None)
    capacity: float | None = told("what one fixing may carry", "N", None)
    ratio: float | None = told("demand over capacity", "", None)
    avoid: tuple[str, ...] = told("what not to do on this wall", default=())
    find: str = told("how to find what bears, where it was not surveyed", default="")
    pitch: float = told("slope of the run", "deg", 0.0)
    grounds: Grounds = told("why", default=Grounds())
    set_by: tuple[tuple[str, str], ...] = told("keys set by a house rule, with the rule's name", default=())


@dataclass(frozen=True)
class FixingSchedule:
    """The fixing schedule of the job."""

    lines: tuple[Fixing, ...] = ()
