"""What ``closure`` gives: for each room, whether its survey closes and which readings could be wrong."""

from __future__ import annotations

from functools import cached_property
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import Lines, told
from listel.core.quick import dataclass
from listel.plugins.site import Point


@dataclass(frozen=True, kw_only=True)
class Suspect:
    """One reading that alone, corrected, would close the room. ``what``: "wall C length" or "corner B/C angle"."""

    what: str = told("the reading")
    wall: str = told("the wall it stands on")
    reads: float = told("what the survey says", "mm or deg")
    would_close: float = told("what would close the room", "mm or deg")
    leaves: float = told("misclosure left then", "mm")
    slip: str = told("the slip that would explain it, or empty", default="")
    likelihood: float = told("rank weight, greatest first", default=0.0)


@dataclass(frozen=True, kw_only=True)
class Closure:
    """Whether a room's survey closes. ``closed`` None: not enough was surveyed to tell."""

    LINE: ClassVar[str] = "closure"
    room: str = told("the room")
    closed: bool | None = told("whether it closes within the tolerances; none: cannot be told", default=None)
    says: str = told("the verdict in words", default="")
    misclosure: float | None = told("length of the misclosure", "mm", None)
    allowed: float | None = told("misclosure that tape and bevel explain", "mm", None)
    angle_error: float | None = told("sum of interior angles less what it should be", "deg", None)
    precision: float | None = told("perimeter over misclosure, the n of 1:n", "", None)
    points: tuple[Point, ...] = told("where it closes: the left end of each wall in plan, adjusted", "mm", ())
    suspects: tuple[Suspect, ...] = told("readings that could be wrong, the likeliest first", default=())
    apart: tuple[str, ...] = told("of each wall that was read twice and not alike, what is said of it", default=())
    grounds: Grounds = told("why", default=Grounds())

    @property
    def likeliest(self) -> Suspect | None:
        """The reading to look at first where the room does not close."""
        return self.suspects[0] if self.closed is False and self.suspects else None


@dataclass(frozen=True)
class Closures:
    """The closure of every room with walls, in the order of the survey."""

    lines: tuple[Closure, ...] = ()

    def of(self, room: str) -> Closure | None:
        """The closure of the room of that name; None where it has no walls."""
        return next(iter(self._lines.of(room=room)), None)

    @cached_property
    def _lines(self) -> Lines[Closure]:
        return Lines(self.lines)
