"""What ``setting_out`` gives: levels, corners, runs, pieces with their cuts, and marks on the wall.

Angles: ``cut_angle`` is from the length of the moulding; ``saw_reading`` is what a saw shows whose scale reads 0 for a
square cut (90 less the cut angle). Both are always given.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cached_property
from math import cos, radians
from typing import ClassVar

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.lines import Lines, told
from listel.core.quick import dataclass
from listel.plugins.setting_out.curve import drawn_in
from listel.plugins.site import tables

Point = tuple[float, float]
RunKey = tuple[str, str, str, float]
"""Room, wall, trim and first station of a run."""
FLOOR_THERE = "the floor there"
"""What the height of a mark is counted from, away from stairs."""


@dataclass(frozen=True, kw_only=True)
class CornerCut:
    """One corner for one trim. ``first``/``second``: the walls left and right of it; ``joint``: mitre, cope, scribe,
    butt."""

    LINE: ClassVar[str] = "corner"
    room: str = told("the room")
    trim: str = told("the trim")
    first: str = told("the wall left of the corner, as one faces it")
    second: str = told("the wall right of the corner, as one faces it")
    kind: str = told("internal or external", words=lambda: ("internal", "external"))
    angle: float | None = told("corner angle as the bevel reads it; none: not surveyed", "deg", None)
    joint: str = told("mitre, cope, butt", default="mitre")
    to: str = told("the trim of another section, or height, that it is cut to there; empty: its own", default="")
    coped: str = told("which wall's piece is coped", default="")
    cut_angle: float | None = told("cut from the length of the moulding", "deg", None)
    saw_reading: float | None = told("the same on a saw that reads 0 for a square cut", "deg", None)
    bevel: float | None = told("blade tilt, for sprung or raking pieces", "deg", None)
    undercut: float | None = told("undercut of a cope", "deg", None)
    gap: float | None = told("joint gap to expect from the survey's uncertainty", "mm", None)
    measure_again: bool = told("whether the corner is worth measuring again", default=False)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Run:
    """One unbroken stretch of a trim on one wall, from ``start`` to ``end`` in stations. ``underside``/``top`` above
    the floor at ``start`` (None: height unknown). ``start_at``/``end_at``: what bounds it: corner, architrave,
    plinth-block, fitting, close-fitting, opening, string, skirting, knee; return, butt, newel, run-on or (not said)
    free; at a stepped corner step-out or step-in."""

    LINE: ClassVar[str] = "run"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    member: str = told("the member", words=tables.words("members"))
    start: float = told("station of its left end", "mm")
    end: float = told("station of its right end", "mm")
    underside: float | None = told("underside above the floor at its left end", "mm", None)
    top: float | None = told("top edge above the floor at its left end", "mm", None)
    pitch: float = told("slope of the run, 0 when level; positive rises with the stations", "deg", 0.0)
    upright: bool = told("true for an architrave leg or an upright of a panel", default=False)
    start_at: str = told("what bounds it at its left end, or its foot", default="corner")
    end_at: str = told("what bounds it at its right end, or its head", default="corner")
    opening: str = told("the opening an architrave goes round or a lining stands in", default="")
    side: str = told("of a frame: the panel and which piece of it, or empty", default="")
    base: float = told("the floor of its wall above the floor of the room", "mm", 0.0)
    wide: float | None = told("width its board is ripped to, of a lining or a window board", "mm", None)
    reach: float | None = told("top edge above the floor, landing or nosings plumb under its left end", "mm", None)
    off: float = told("how far its back stands off the wall: what the trim on whose face it is takes", "mm", 0.0)
    board: str = told("the board in front of which it stands and into which it is fixed, or empty", default="")
    board_thick: float | None = told("how thick that board is", "mm", None)
    left_short: float = told("how far short of the wall's left corner the faces cross where it ends", "mm", 0.0)
    right_short: float = told("how far short of the wall's right corner the faces cross where it ends", "mm", 0.0)
    left_old: float | None = told("how far old work round its left corner, that it is cut to, stands out", "mm", None)
    right_old: float | None = told("how far old work round its right corner, that it is cut to, stands out", "mm", None)
    grounds: Grounds = told("why", default=Grounds())

    @property
    def length(self) -> float:
        """Length of the run, mm: along the wall, along the rake where it slopes, up the wall where it stands
        upright; none of what is counted by the window."""
        if tables.goes_at_windows(self.member):
            return 0.0
        if self.upright and self.top is not None and self.underside is not None:
            return self.top - self.underside
        return (self.end - self.start) / cos(radians(self.pitch))

    @property
    def taken(self) -> tuple[Input, ...]:
        """Of what goes round an opening: the lengths it is set out by that nobody surveyed."""
        if not tables.goes_round_openings(self.member) or tables.goes_through_openings(self.member):
            return ()
        return tuple(each for each in self.grounds.inputs if each.assumed and each.unit == "mm")


@dataclass(frozen=True, kw_only=True)
class PieceEnd:
    """One end of a piece. ``kind``: internal-mitre, external-mitre, cope, square, butt, scarf, return, plumb,
    knee, head-mitre, frame-mitre; of a lining scribed, rebated, splayed.
    ``gives``: how much shorter (-) or longer (+) the face is than the back at this end, mm; ``past``: how far the back
    goes on past (+) or stops short of (-) the station of this end, mm."""

    kind: str = told("the kind of end")
    cut_angle: float | None = told("from the length of the moulding", "deg", 90.0)
    saw_reading: float | None = told("on a saw that reads 0 for square", "deg", 0.0)
    bevel: float = told("blade tilt", "deg", 0.0)
    gives: float = told("face less back at this end", "mm", 0.0)
    past: float = told("the back past the station of this end", "mm", 0.0)
    note: str = told("what to mind", default="")
    long_edge: str = told("of an end cut in the plane of the wall: its longer edge, top or underside", default="")


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One piece to cut. ``overall``: long point to long point, what the cutting list needs. ``left`` and ``right`` are
    its ends as one faces the wall, at its first and last station; of an upright piece ``left`` is the foot."""

    LINE: ClassVar[str] = "piece"
    label: str = told("its mark, unique in the job")
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    start: float = told("station of its left end", "mm")
    end: float = told("station of its right end", "mm")
    back: float = told("length on the wall side", "mm")
    face: float = told("length on the room side", "mm")
    overall: float = told("long point to long point", "mm")
    left: PieceEnd = told("the left end as one faces the wall; the foot of an upright piece")
    right: PieceEnd = told("the right end as one faces the wall; the head of an upright piece")
    order: int = told("order of fixing in the room", default=0)
    match: str = told("grain group it belongs to, or empty", default="")
    upright: bool = told("true for an architrave leg", default=False)
    pitch: float = told("slope, 0 when level", "deg", 0.0)
    side: str = told("of a frame: the panel and which piece of it, or empty", default="")
    part_of: str = told("of a return or a splice: the piece it is glued to, or empty", default="")
    section: tuple[float, float] | None = told(
        "of a splice that is higher or thicker than its trim: height and thickness of what it is cut from", "mm", None
    )
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One mark of the marking-out table: where a member's edge stands at a station."""

    LINE: ClassVar[str] = "mark"
    room: str = told("the room")
    wall: str = told("the wall")
    station: float = told("along the wall", "mm")
    trim: str = told("the trim")
    edge: str = told("top or underside; foot or head of a panel")
    above_floor: float = told("above the floor there", "mm")
    from_datum: float | None = told("from the datum line, negative below", "mm", None)
    scribe: float | None = told("depth to scribe off a skirting there", "mm", None)
    read: bool = told("true where the floor was read there; false: reckoned between readings", default=False)
    over: str = told("what the height is counted from", default=FLOOR_THERE)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class BowCheck:
    """A trim against a bowed wall."""

    LINE: ClassVar[str] = "bow"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    chord: float = told("chord", "mm")
    rise: float = told("rise", "mm")
    radius: float = told("radius of the wall", "mm")
    arc_excess: float = told("arc less chord", "mm")
    stress: float | None = told("bending stress if drawn to the wall", "N/mm2", None)
    share: float | None = told("share of bending strength", "", None)
    stiff: float | None = told("stiffness of the strip, E x I", "N mm2", None)
    gap: float = told("gap to fill if left straight", "mm", 0.0)
    way: str = told("bend, thin, kerf, laminate, scribe or pack", default="")
    why: str = told("why that way, in words", default="")
    face_change: float = told("face less back along the curve", "mm", 0.0)
    spacing: float = told("spacing of fixings it was judged at", "mm", 600.0)
    longer: float = told("its back past the wall's own length, of a straight board drawn round it", "mm", 0.0)
    grounds: Grounds = told("why", default=Grounds())

    @property
    def drawn(self) -> bool:
        """Whether the fixings draw it to the wall and go on holding its spring."""
        return self.way in ("bend", "thin")

    def pull(self, spacing: float) -> float:
        """The greatest pull on one fixing of those that stand so far apart [mm], N; 0 where it is not drawn to the
        wall or its stiffness is not known. Source: beam theory, see ``curve``."""
        if not self.drawn or self.stiff is None:
            return 0.0
        return drawn_in(self.chord, self.rise, self.stiff, spacing)[0]


@dataclass(frozen=True, kw_only=True)
class RakedProfile:
    """The section of a raking member that meets a level one at a plan corner: ordinates (x out, level y, raked y)."""

    room: str = told("the room")
    trim: str = told("the trim")
    at: str = told("which corner")
    pitch: float = told("pitch", "deg")
    angle: float = told("plan angle through the room", "deg")
    ordinates: tuple[tuple[float, float, float], ...] = told("x, y level, y raked", "mm", ())
    mismatch: float = told("how far the level section would miss the raked one at its face", "mm", 0.0)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Blocked:
    """A stretch of wall a trim cannot take, and what is in the way."""

    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    start: float = told("from", "mm")
    end: float = told("to", "mm")
    by: str = told("what is in the way")


@dataclass(frozen=True, kw_only=True)
class Notched:
    """A rectangle of wall that a level moulding is cut out round, clearances included; heights above the floor there
    [mm]."""

    room: str
    wall: str
    trim: str
    start: float
    end: float
    low: float
    high: float
    by: str


@dataclass(frozen=True, kw_only=True)
class Notch:
    """A notch in the edge of a piece, or a hole through it, to be cut before it is fixed."""

    LINE: ClassVar[str] = "notch"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    piece: str = told("the mark of the piece")
    start: float = told("from the left end of the piece's back", "mm")
    end: float = told("to, from the left end of its back", "mm")
    upper: float = told("its upper edge down from the top edge of the piece; 0: open above", "mm")
    lower: float = told("its lower edge down from the top edge", "mm")
    open_below: bool = told("true where it goes through the bottom edge")
    by: str = told("what stands in it")

    @property
    def kind(self) -> str:
        """A notch in an edge, or a hole."""
        return "notch" if self.upper <= 0 or self.open_below else "hole"


@dataclass(frozen=True, kw_only=True)
class SettingOut:
    """Everything from the survey to what the saw is set to. ``returns`` are cut like pieces, and glued to one before it
    is fixed; so are ``splices``, to old work. ``panelled``: the stretches of wall that panelling takes, from its foot,
    level over the highest floor, to its top; ``shuttered``: the windows that shutters do. No piece is cut of either."""

    corners: tuple[CornerCut, ...] = ()
    runs: tuple[Run, ...] = ()
    pieces: tuple[Piece, ...] = ()
    marks: tuple[Mark, ...] = ()
    bows: tuple[BowCheck, ...] = ()
    raked: tuple[RakedProfile, ...] = ()
    blocked: tuple[Blocked, ...] = ()
    notches: tuple[Notch, ...] = ()
    returns: tuple[Piece, ...] = ()
    splices: tuple[Piece, ...] = ()
    panelled: tuple[Run, ...] = ()
    shuttered: tuple[Run, ...] = ()

    @cached_property
    def laid(self) -> Lines[Run]:
        """Every stretch that new trim takes, panelling and shutters too, of which no piece is cut."""
        return Lines((*self.runs, *self.panelled, *self.shuttered))

    @property
    def shutters(self) -> Mapping[str, Run]:
        """The windows that shutters take, by the mark of each."""
        return {f"Shutters {number}": run for number, run in enumerate(self.shuttered, 1)}

    @cached_property
    def in_order(self) -> list[Piece]:
        """The pieces room by room, in the order of fixing."""
        rooms = {room: place for place, room in enumerate(dict.fromkeys(piece.room for piece in self.pieces))}
        return sorted(self.pieces, key=lambda piece: (rooms[piece.room], piece.order))

    @cached_property
    def numbers(self) -> Mapping[str, str]:
        """The one name of each piece on paper, by its label: a running number through the job in the order of fixing;
        a return has its piece's and a letter, a splice the old piece's. A spare, which is no piece here, has none."""
        found = {piece.label: str(place) for place, piece in enumerate(self.in_order, 1)}
        letters = Counter[str]()
        for piece in self.returns:
            letters[piece.part_of] += 1
            found[piece.label] = f"{found.get(piece.part_of, '')}{chr(96 + letters[piece.part_of])}"
        return found | {piece.label: piece.label for piece in self.splices}

    def returns_of(self, piece: str) -> Sequence[Piece]:
        """The returns that are glued to a piece."""
        return self._returns.of(part_of=piece)

    def pieces_on(self, room: str, wall: str = "", trim: str = "") -> Sequence[Piece]:
        """The pieces in a room; on one wall and of one trim, where they are named."""
        return self._pieces.of(room=room, wall=wall, trim=trim)

    def marks_on(self, room: str, wall: str = "", trim: str = "") -> Sequence[Mark]:
        """The marks in a room; on one wall and of one trim, where they are named."""
        return self._marks.of(room=room, wall=wall, trim=trim)

    def runs_on(self, room: str, wall: str = "", trim: str = "") -> Sequence[Run]:
        """The runs in a room; on one wall and of one trim, where they are named."""
        return self._runs.of(room=room, wall=wall, trim=trim)

    def joints_in(self, run: Run) -> list[float]:
        """Stations inside a run where two of its pieces meet."""
        ends = self._ends.get((run.room, run.wall, run.trim), [])
        return ends[bisect_right(ends, run.start) : bisect_left(ends, run.end)]

    def edge_on(self, edge: str, room: str, wall: str, trim: str) -> Sequence[tuple[float, float]]:
        """Stations along a wall with the height of an edge of a trim above the floor there, from left to right."""
        return self._edges.get((edge, room, wall, trim), ())

    @cached_property
    def _ends(self) -> dict[tuple[str, str, str], list[float]]:
        found: dict[tuple[str, str, str], set[float]] = {}
        for piece in self.pieces:
            if not piece.upright:
                found.setdefault((piece.room, piece.wall, piece.trim), set()).add(piece.end)
        return {key: sorted(ends) for key, ends in found.items()}

    @cached_property
    def _edges(self) -> dict[tuple[str, str, str, str], list[tuple[float, float]]]:
        found: dict[tuple[str, str, str, str], set[tuple[float, float]]] = {}
        for mark in self.marks:
            at = (mark.station, mark.above_floor)
            found.setdefault((mark.edge, mark.room, mark.wall, mark.trim), set()).add(at)
        return {key: sorted(marks) for key, marks in found.items()}

    def corners_of(self, room: str) -> Sequence[CornerCut]:
        """The corners of a room, one for each trim."""
        return self._corners.of(room=room)

    def notches_in(self, piece: str) -> Sequence[Notch]:
        """The notches and holes of a piece."""
        return self._notches.of(piece=piece)

    @cached_property
    def _returns(self) -> Lines[Piece]:
        return Lines(self.returns)

    @cached_property
    def _pieces(self) -> Lines[Piece]:
        return Lines(self.pieces)

    @cached_property
    def _marks(self) -> Lines[Mark]:
        return Lines(self.marks)

    @cached_property
    def _runs(self) -> Lines[Run]:
        return Lines(self.runs)

    @cached_property
    def _corners(self) -> Lines[CornerCut]:
        return Lines(self.corners)

    @cached_property
    def _notches(self) -> Lines[Notch]:
        return Lines(self.notches)
