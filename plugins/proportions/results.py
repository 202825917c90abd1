"""What ``proportions`` gives: size and height of the other members against room and period."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import Lines, told
from listel.core.quick import dataclass
from listel.plugins.site import tables


@dataclass(frozen=True, kw_only=True)
class Suggestion:
    """One rule's answer for a member: a size (its height on the wall) and, where the rule places it, its underside."""

    rule: str = told("the rule that gives it, in words")
    low: float | None = told("least height on the wall", "mm", None)
    high: float | None = told("greatest height on the wall", "mm", None)
    underside: float | None = told("underside above the floor", "mm", None)
    top_low: float | None = told("lowest place of its top edge above the floor", "mm", None)
    top_high: float | None = told("highest place of its top edge above the floor", "mm", None)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class PanelFrame:
    """One closed frame of panel mould: its outer edges on the wall."""

    LINE: ClassVar[str] = "panel"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    number: int = told("its number along the wall, from the left")
    start: float = told("station of its left outer edge", "mm")
    end: float = told("station of its right outer edge", "mm")
    underside: float | None = told("its lower outer edge above the floor, or the line of nosings", "mm", None)
    top: float | None = told("its upper outer edge above the floor, or the line of nosings", "mm", None)
    proposed: bool = told("whether it is shared out here; false: as surveyed", default=False)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class MemberProportion:
    """One member in one room: what the survey gives, what the rules suggest, where it goes. ``top``/``underside``
    are None
    for members that follow an opening (architrave, plinth block)."""

    LINE: ClassVar[str] = "proportion"
    room: str = told("the room")
    member: str = told("the member", words=tables.words("members"))
    trim: str = told("the trim's name, or empty", default="")
    size: float | None = told("height on the wall as surveyed", "mm", None)
    top: float | None = told("top edge above the floor", "mm", None)
    underside: float | None = told("underside above the floor", "mm", None)
    below_ceiling: float | None = told("top edge below the ceiling, or below the cornice", "mm", None)
    suggestions: tuple[Suggestion, ...] = told("what each rule gives", default=())
    chosen_rule: str = told("the rule that placed it", default="")
    gives_way: str = told(
        "a mark of it in the room that the top asked for is set before, in words; or empty", default=""
    )
    verdict: str = told("how the surveyed size sits with the rules, in words", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class OrderShares:
    """The wall against an author's order: heights from floor to ceiling of each part, for the proportion diagram."""

    room: str = told("the room")
    author: str = told("the author")
    order: str = told("the order")
    height: float = told("wall height", "mm")
    parts: tuple[tuple[str, float], ...] = told("each part with its height, from the floor up", "mm")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Proportions:
    """Proportions of every member but the rails placed by ``heights``."""

    lines: tuple[MemberProportion, ...] = ()
    orders: tuple[OrderShares, ...] = ()
    panels: tuple[PanelFrame, ...] = ()

    def lines_in(self, room: str) -> Sequence[MemberProportion]:
        """The members of a room."""
        return self._lines.of(room=room)

    def panels_on(self, room: str, wall: str, trim: str) -> Sequence[PanelFrame]:
        """The frames of a trim on a wall, from the left."""
        return self._panels.of(room=room, wall=wall, trim=trim)

    @cached_property
    def _lines(self) -> Lines[MemberProportion]:
        return Lines(self.lines)

    @cached_property
    def _panels(self) -> Lines[PanelFrame]:
        return Lines(self.panels)
