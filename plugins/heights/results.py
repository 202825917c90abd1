"""What ``heights`` gives: where each dado or plate rail goes, and why there."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import Lines, told
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Evidence, Room
from listel.plugins.site import tables


@dataclass(frozen=True, kw_only=True)
class HeightCandidate:
    """One rule's answer: ``height`` of the rail's top edge above the floor, whether it was chosen, or why it gave
    way."""

    rule: str = told("the rule that gives it, in words")
    height: float = told("top edge above the floor", "mm")
    chosen: bool = told("whether this one was chosen")
    set_aside: str = told("why it gave way", default="")
    misses: float = told("how far outside the trade's band, negative below it", "mm", 0.0)
    author: str = told("the author whose order gives it, or empty", default="")
    grounds: Grounds = told("why it is what it is", default=Grounds())
    group: str = told("the kind of rule: a mark, the wish, a named author, another author, a share ...", default="")


@dataclass(frozen=True)
class Clash:
    """A thing on a wall that the rail's band meets or nearly meets. ``misses``: clearance left, mm (negative:
    overlap)."""

    wall: str = told("the wall")
    what: str = told("what it meets")
    station: float = told("where along the wall", "mm")
    misses: float = told("clearance left; negative where they overlap", "mm")
    needs: float = told("clearance wanted", "mm")


@dataclass(frozen=True)
class StationHeight:
    """The rail's top edge at one station: above the floor there, and from the datum line (negative: below it)."""

    wall: str = told("the wall")
    station: float = told("along the wall", "mm")
    above_floor: float = told("top edge above the floor there", "mm")
    from_datum: float | None = told("top edge from the datum line, negative below", "mm", None)


@dataclass(frozen=True, kw_only=True)
class RailHeight:
    """Where one rail goes in one room. ``top`` and ``underside`` are above the floor that heights are counted from:
    where the level line was struck, else where the floor is highest."""

    LINE: ClassVar[str] = "height"
    room: str = told("the room")
    trim: str = told("the trim's name, or empty where the survey names none", default="")
    member: str = told("dado-rail or plate-rail", default="dado-rail", words=tables.words("members"))
    top: float | None = told(
        "top edge above the floor; none where nothing decides it", "mm", None, settable=True, least=0.0, most=6000.0
    )
    underside: float | None = told("underside above the floor", "mm", None)
    line: str = told("level, parallel or split", default="level", words=lambda: ("level", "parallel", "split"))
    counted: str = told("the floor its height is counted from, in words", default="")
    error: str = told("the visible error of that choice, in words", default="")
    candidates: tuple[HeightCandidate, ...] = told("every rule's answer", default=())
    clashes: tuple[Clash, ...] = told("what the chosen line meets", default=())
    stations: tuple[StationHeight, ...] = told("the line at each surveyed station", default=())
    clears: bool = told("whether the line clears everything on the walls", default=True)
    offered: float | None = told("nearest top edge that clears everything, where the chosen one does not", "mm", None)
    grounds: Grounds = told("why this height", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class StairHeight:
    """A rail on a flight: measured plumb above the pitch line. Knees: where the raked line meets the level ones."""

    LINE: ClassVar[str] = "stair-height"
    room: str = told("the room")
    flight: str = told("the flight")
    trim: str = told("the trim's name", default="")
    pitch: float | None = told("pitch of the line through the nosings", "deg", None)
    plumb: float | None = told("top edge plumb above the pitch line", "mm", None)
    square: float | None = told("the same, square to the pitch line", "mm", None)
    plumb_face: float | None = told("depth of the raked rail's face measured plumb", "mm", None)
    knee_cut: float | None = told("cut of each piece at a knee, from square", "deg", None)
    foot_knee: float | None = told("knee in front of the first nosing", "mm", None)
    head_knee: float | None = told("knee beyond the top nosing", "mm", None)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class WallOrder:
    """One author's order laid on a wall. ``parts``: pedestal, base, plinth, die, cap, column, entablature,
    architrave, frieze and cornice, as far as the author is known for them."""

    author: str = told("the author's short name")
    printed: str = told("the author as printed")
    order: str = told("the order")
    followed: bool = told("whether this job follows it", default=False)
    parts: tuple[tuple[str, float], ...] = told("each part with its height", "mm", ())
    grounds: Grounds = told("why", default=Grounds())

    def part(self, name: str) -> float | None:
        """The height of a part, mm; None where the author does not give it."""
        return dict(self.parts).get(name)


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A trace of old trim, as the top of the member it tells of. ``here``: it is in the room itself."""

    member: str = told("the member it tells of")
    says: str = told("the trace in words")
    kind: str = told("the kind of trace")
    measured: float = told("the height that was measured, above the floor there", "mm")
    edge: str = told("the edge that was measured: top, centre or underside")
    top: float = told("top edge of the member above the floor that the room's heights are counted from", "mm")
    here: bool = told("whether it is in the room itself", default=True)
    wall: str = told("the wall it is on, or empty", default="")
    at: float | None = told("its station on that wall", "mm", None)
    note: str = told("what the surveyor wrote of it", default="")
    rank: int = told("its strength, 1 the strongest", default=1)
    grounds: Grounds = told("how the top was found", default=Grounds())


def covered_marks(room: Room) -> list[Evidence]:
    """The marks on the walls of a room that new trim goes over: no length that stands, nothing that is elsewhere."""
    kinds = load_table(__package__, "evidence")
    return [mark for mark in room.evidence if kinds.row(mark.kind)["covered"]]


@dataclass(frozen=True, kw_only=True)
class RoomOrders:
    """What a room is measured against: its height floor to ceiling, the spans of years its trim is judged by,
    and every author's order on its wall (none where the height was not surveyed)."""

    room: str = told("the room")
    height: float | None = told("floor to ceiling", "mm", None)
    spans: tuple[str, ...] = told("the spans of years its trim is of", default=())
    period: str = told("the period in words, and where it is taken from", default="")
    orders: tuple[WallOrder, ...] = told("every author's order on this wall", default=())
    marks: tuple[Mark, ...] = told("traces of old trim in the survey of the room", default=())
    grounds: Grounds = told("how the height and the period were taken", default=Grounds())
    ceiling: float | None = told("ceiling above the floor that heights are counted from", "mm", None)

    @property
    def followed(self) -> WallOrder | None:
        """The order this job follows in this room."""
        return next((order for order in self.orders if order.followed), None)


@dataclass(frozen=True)
class WallOrders:
    """Every room against the orders."""

    rooms: tuple[RoomOrders, ...] = ()

    def of(self, room: str) -> RoomOrders | None:
        """The orders of that room, or None."""
        return next(iter(self._rooms.of(room=room)), None)

    @cached_property
    def _rooms(self) -> Lines[RoomOrders]:
        return Lines(self.rooms)


@dataclass(frozen=True)
class RailHeights:
    """The heights of dado and plate rails."""

    lines: tuple[RailHeight, ...] = ()
    stairs: tuple[StairHeight, ...] = ()

    def lines_in(self, room: str) -> Sequence[RailHeight]:
        """The rails of a room."""
        return self._lines.of(room=room)

    def stairs_in(self, room: str) -> Sequence[StairHeight]:
        """The rails on the stairs of a room."""
        return self._stairs.of(room=room)

    @cached_property
    def _lines(self) -> Lines[RailHeight]:
        return Lines(self.lines)

    @cached_property
    def _stairs(self) -> Lines[StairHeight]:
        return Lines(self.stairs)
