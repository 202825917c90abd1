"""What ``existing`` gives: old trim piece by piece, what mends it, and the officer's table with its totals."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import Lines, told
from listel.core.contract.tables import row_names
from listel.core.quick import dataclass
from listel.core.survey.job import Room, Trim, Wall
from listel.plugins.site import tables

NEW = ("splice", "piece let in")
"""Repairs that bring new timber."""


TAKING_OFF = (
    "Photograph it first. Cut the paint line; begin at an outside corner or a door; a broad scraper, then a bar on a "
    "board, little by little; draw the nails through from the back. Tag its back: number, arrow up. "
    "Store it flat on bearers 600 mm apart at most, covered, in air like the room's, 45 to 60 % of humidity, within 2 "
    "points of its own moisture. Where papers, writing or older trim come to light: stop, cover, report."
)


@dataclass(frozen=True, kw_only=True)
class OldPiece:
    """One piece of old trim. Stations run along the wall; of a side of an opening from the foot up."""

    LINE: ClassVar[str] = "existing"
    label: str = told("its number, for the tag on its back and the plan")
    member: str = told("the member", words=tables.words("members"))
    room: str = told("the room")
    wall: str = told("the wall")
    opening: str = told("the opening it goes round, or empty", default="")
    side: str = told("left, right or head of that opening; empty: all round, or on a wall", default="")
    flight: str = told("the flight it climbs with, or empty", default="")
    trim: str = told("the trim of the job whose timber mends it, or empty", default="")
    start: float = told("station where it begins", "mm", 0.0)
    end: float | None = told("station where it ends", "mm", None)
    length: float | None = told("its length; 0 of what is counted by the window", "mm", None)
    height: float | None = told("height of its section", "mm", None)
    thick: float | None = told("thickness of its timber", "mm", None)
    out: float | None = told("how far its face stands out from the wall", "mm", None)
    top: float | None = told("its top edge above the floor", "mm", None)
    state: str = told("the state it is in; empty: not surveyed", default="", words=row_names(__package__, "states"))
    intent: str = told(
        "what is to happen to it; empty: not surveyed", default="", words=row_names(__package__, "intents")
    )
    stays: bool = told("whether it stands in its place when the work is done", default=True)
    comes_off: bool = told("whether it comes off the wall", default=False)
    painted: bool = told("whether its face is painted", default=True)
    paint: str = told("how its paint holds: sound, chalky, flaking or blistered; empty: not surveyed", default="")
    original: str = told("original, later or unknown; empty: not surveyed", default="")
    what: str = told("what it is, in words")
    where: str = told("where it is, in words")
    worth: str = told("its age and worth, in words")
    happens: str = told("what happens to it, in words")
    why: str = told("why that, in words")
    given: bool = told("whether the survey gives a reason", default=False)
    hides: tuple[str, ...] = told("what lies behind it", default=())
    arsenic: bool = told("whether what lies behind it may hold arsenic", default=False)
    alive: bool = told(
        "whether its decay is not told to be cured, or it reads wetter than decay stops at", default=False
    )
    spreads: bool = told("whether its rot goes on behind plaster and through masonry", default=False)
    considered: str = told("what else was looked at", default="")
    agreed: str = told("who agreed", default="")
    refixing: str = told("how it goes back, in words; empty where it does not", default="")
    undone: str = told("how it is undone")
    kept_at: str = told("where it is kept, set aside", default="")
    counted: str = told("what its length is counted as: kept in place, refixed ...", default="not decided")
    photos: tuple[str, ...] = told("the photographs that show it", default=())
    line: int = told("its line in the survey", default=0)
    grounds: Grounds = told("why", default=Grounds())

    @property
    def named(self) -> str:
        """What it is called in a sentence."""
        return f"{self.label}, the {tables.member(self.member)['says']} {'' if self.opening else 'on '}{self.where}"

    @property
    def opened(self) -> bool:
        """Whether what lies behind it is laid open: it comes off, or is cut into."""
        return self.comes_off or self.intent == "repair"

    @property
    def rots_on(self) -> bool:
        """Whether it is mended or renewed, or may be, where decay may go on."""
        return self.alive and self.intent in ("refix", "repair", "replace", "")

    @property
    def tells(self) -> str:
        """What it tells of new trim of its member, as far as it was surveyed."""
        taken = ["section"] * (self.height is not None or self.thick is not None) + ["height"] * (self.top is not None)
        return f"its {' and '.join(taken)}" if taken else "where it ran"


@dataclass(frozen=True, kw_only=True)
class Mend:
    """One repair of an old piece. ``overall`` of a splice is what the cutting list needs."""

    LINE: ClassVar[str] = "mend"
    label: str = told("its number")
    piece: str = told("the old piece it mends")
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim whose timber it is cut from, or empty", default="")
    kind: str = told("splice, piece let in, filling or glueing")
    damage: str = told("what was found, in words")
    start: float = told("where its long points begin", "mm")
    end: float = told("where its long points end", "mm")
    cut_from: float = told("where sound timber ends at its left, or below", "mm")
    cut_to: float = told("where sound timber begins again", "mm")
    overall: float = told("its length from long point to long point", "mm")
    height: float | None = told("how far up the face it reaches; none: all of it", "mm", None)
    depth: float | None = told("how deep it goes; none: all through", "mm", None)
    left: str = told("its left end or foot: scarf or the old end", default="")
    right: str = told("its right end or head: scarf or the old end", default="")
    slope: float = told("run of its scarfs to one of thickness", "", 0.0)
    scarf: float = told("length of each scarf", "mm", 0.0)
    how: str = told("how it is made, in words")
    lost: float = told("old timber that goes with it, along the piece, each scarf at half its length", "mm", 0.0)
    glued: float = told("area that is glued", "mm2", 0.0)
    glue_kind: str = told("the glue in words", default="")
    glue: str = told("the glue and how it lets go, in words")
    pin_count: int = told("pins or slender screws through its scarfs", default=0)
    pins: str = told("what holds it beside the glue, in words", default="")
    grounds: Grounds = told("why", default=Grounds())

    @property
    def ends(self) -> str:
        """Its two ends in words, once where they are alike."""
        return f"both ends: {self.left}" if self.left == self.right else f"{self.left}; {self.right}"


@dataclass(frozen=True, kw_only=True)
class Existing:
    """Old trim and its repairs."""

    pieces: tuple[OldPiece, ...] = ()
    mends: tuple[Mend, ...] = ()

    def pieces_on(self, room: str, wall: str = "", member: str = "") -> Sequence[OldPiece]:
        """The old pieces in a room; on one wall and of one member, where they are named."""
        return self._pieces.of(room=room, wall=wall, member=member)

    def mends_of(self, piece: str) -> Sequence[Mend]:
        """What mends an old piece."""
        return self._mends.of(piece=piece)

    def only_mend(self, trims: Iterable[Trim], laid: Iterable[str]) -> set[str]:
        """The names of those ``trims`` that only mend old trim: that go nowhere, or whose every piece is a splice;
        ``laid``: the names of those that are set out along a wall."""
        mended = {mend.trim for mend in self.mends}
        return {trim.name for trim in trims if not trim.where or trim.name in mended}.difference(laid)

    @cached_property
    def _pieces(self) -> Lines[OldPiece]:
        return Lines(self.pieces)

    @cached_property
    def _mends(self) -> Lines[Mend]:
        return Lines(self.mends)

    def stays_at(self, room: str, wall: str, member: str) -> tuple[OldPiece, ...]:
        """The old pieces of a member along a wall that new trim leaves alone."""
        return tuple(piece for piece in self.pieces_on(room, wall, member) if piece.stays and not piece.opening)

    def stays_round(self, room: str, wall: str, opening: str, member: str) -> tuple[str, ...]:
        """Which of left, right and head of an opening's architrave, or lining, stay."""
        mine = [piece for piece in self.pieces_on(room, wall, member) if piece.stays and piece.opening == opening]
        return tuple(
            dict.fromkeys(
                side for piece in mine for side in ((piece.side,) if piece.side else ("left", "right", "head"))
            )
        )

    @property
    def taking_off(self) -> str:
        """How old trim is taken off, labelled and stored, in words; empty where none comes off. Common practice, no
        source, but for nails drawn from the back."""
        return TAKING_OFF if any(piece.comes_off for piece in self.pieces) else ""

    def repainted(self) -> tuple[OldPiece, ...]:
        """The painted pieces that are worked at and stay."""
        return tuple(piece for piece in self.disturbed() if piece.stays)

    def loose_paint(self) -> tuple[OldPiece, ...]:
        """The painted pieces whose paint comes off by itself, or at a touch."""
        return tuple(piece for piece in self.pieces if piece.painted and piece.paint not in ("", "sound"))

    def disturbed(self) -> tuple[OldPiece, ...]:
        """The painted pieces that come off or are cut into."""
        cut = {mend.piece for mend in self.mends}
        return tuple(piece for piece in self.pieces if piece.painted and (piece.comes_off or piece.label in cut))


# ---------------------------------------------------------------- what is worked at


@dataclass(frozen=True, kw_only=True)
class Part:
    """A stretch of wall, from ``start`` to ``end`` in its stations [mm]; ``underside`` and ``top`` above the floor at
    its left end, None where not known; ``upright``: up the side of an opening; ``pitch``: degrees up a flight."""

    start: float
    end: float
    underside: float | None
    top: float | None
    upright: bool = False
    pitch: float = 0.0


@dataclass(frozen=True, kw_only=True)
class OldHole:
    """A place where old trim was fixed: its station, or its height above the floor on an upright [mm]; and how far over
    it the new hole goes, 0 where a fixing still bites in it."""

    at: float
    off: float


@dataclass(frozen=True, kw_only=True)
class Touched:
    """Old trim that is worked at and stays, or a splice let into it, by its ``label``.

    ``trim``: the trim of the job that mends it, with the section, timber and finish of the old, or one of its member's
    name where the job has none. ``length`` of the piece or the splice, mm; ``painted`` as the old is. ``fixed``: if it
    is fixed to its wall again, along ``parts``, by its ``holes`` where they were surveyed; a splice by those
    behind it that still bite.
    """

    label: str
    room: Room
    wall: Wall
    trim: Trim
    length: float
    painted: bool
    fixed: bool
    parts: tuple[Part, ...]
    holes: tuple[OldHole, ...] = ()
    splice: bool = False
