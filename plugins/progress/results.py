"""What ``progress`` gives: every piece as planned and as done, readings before and after, changes and who agreed."""

from __future__ import annotations

from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass
from listel.core.survey.job import SnagClosed, Used


@dataclass(frozen=True, kw_only=True)
class PieceDone:
    """One piece set out, a frame of panelling or the shutters of a window, and how far it is."""

    LINE: ClassVar[str] = "piece-done"
    label: str = told("its mark")
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    planned: float = told(
        "its length as set out now, long point to long point; of a frame its width, of shutters their window's", "mm"
    )
    state: str = told("cut, dry-fitted, fixed or spoilt; empty: nothing is told of it", default="")
    length: float | None = told("its length as cut", "mm", None)
    board: str = told("the board it came from, or empty", default="")
    by: str = told("who did it", default="")
    on: str = told("the day", default="")
    note: str = told("what was noted", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class MeasuredAgain:
    """A wall that was measured again: what it ``was`` and what it reads ``now``."""

    LINE: ClassVar[str] = "measured-again"
    room: str = told("the room")
    wall: str = told("the wall")
    what: str = told("length, corner or floor")
    station: float | None = told("of the floor: where it was read", "mm", None)
    was: float = told("what it read", "mm or deg")
    now: float = told("what it reads now", "mm or deg")
    by: str = told("who measured again", default="")
    on: str = told("the day", default="")
    why: str = told("why", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Changed:
    """Something done otherwise than the statement said. ``consent``: whether it touches what consent covered (None: not
    said)."""

    LINE: ClassVar[str] = "site-change"
    what: str = told("what is done otherwise")
    reason: str = told("why")
    agreed: str = told("who agreed")
    on: str = told("the day", default="")
    where: str = told("where", default="")
    consent: bool | None = told("whether it touches what consent covered; none: not said", "", None)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class FixedOtherwise:
    """A trim on a wall that was fixed otherwise than scheduled."""

    LINE: ClassVar[str] = "fixed-otherwise"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    planned: str = told("the fixing scheduled, or empty", default="")
    planned_length: float | None = told("its length", "mm", None)
    planned_spacing: float | None = told("its spacing", "mm", None)
    kind: str = told("the fixing that went in")
    length: float | None = told("its length", "mm", None)
    spacing: float | None = told("its spacing", "mm", None)
    count: int | None = told("how many", "", None)
    why: str = told("why otherwise", default="")
    by: str = told("who fixed it", default="")
    on: str = told("the day", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Progress:
    """How far the job is. ``begun``: whether anything is told at all."""

    pieces: tuple[PieceDone, ...] = ()
    measured: tuple[MeasuredAgain, ...] = ()
    changes: tuple[Changed, ...] = ()
    fixings: tuple[FixedOtherwise, ...] = ()
    products: tuple[Used, ...] = ()
    snags: tuple[SnagClosed, ...] = ()
    begun: bool = False
