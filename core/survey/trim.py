"""Trim and timber of a job: what goes where, how it is made, and the boards it may come from."""

from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, field
from functools import cached_property
from typing import Any, Literal

from listel.core.quick import dataclass
from listel.core.survey.existing import ProfileElement, Section
from listel.core.survey.rooms import Ends
from listel.core.survey.surveyed import Surveyed, spelt
from listel.core.survey.units import Length, Load, Percent


@dataclass(frozen=True)
class Place(Surveyed):
    """Where a trim goes: a room, its walls by name (empty: all), and from/to stations when only part of one wall.
    ``top``: of its top edge above the floor there, before that of the trim."""

    room: str
    walls: tuple[str, ...] = spelt("", (), read=lambda value: () if value == "all" else tuple(value))
    start: Length | None = spelt("from", None)
    end: Length | None = spelt("to", None)
    top: Length | None = None
    _: KW_ONLY
    ends: Ends | None = None


@dataclass(frozen=True, kw_only=True)
class MiddleRail(Surveyed):
    """A rail between two rows of panels: its ``top`` edge above the foot of the frame, its ``width``."""

    top: Length
    width: Length


@dataclass(frozen=True, kw_only=True)
class Framing(Surveyed):
    """How panelling is framed; its stiles are as wide as the trim's section. Widths of its ``top_rail``,
    ``bottom_rail`` and ``muntin``s; ``panels``: the most that a panel may show between them; ``panel``: its thickness;
    depth of the ``groove``; length of a ``tenon``."""

    top_rail: Length
    bottom_rail: Length
    muntin: Length
    panels: Length
    panel: Length | None = None
    groove: Length | None = None
    tenon: Length | None = None
    middle_rails: tuple[MiddleRail, ...] = ()

    def rails(self, top: float) -> tuple[tuple[float, float], ...]:
        """The lower and upper edge of each rail of a frame so high, above its foot, the lowest rail first."""
        middle = sorted((rail.top - rail.width, rail.top) for rail in self.middle_rails)
        return (0.0, self.bottom_rail), *middle, (top - self.top_rail, top)


@dataclass(frozen=True)
class Trim(Surveyed):
    """One trim of the job. ``top``: the height of its top edge above the floor that the person wants, judged like
    any other.
    ``load``: what a picture rail is to carry, N per metre. ``margin``: what an architrave leaves showing of its
    lining. ``rings``: flat-sawn, quarter-sawn. ``match``: groups of pieces (room/wall names) whose grain must run on.
    ``longest``: the longest piece that can be had or carried in.
    ``leaves``: of shutters, the thickness of each at one side, front first. ``horn``: how far a window board goes past
    the architrave at each side."""

    name: str
    member: str
    where: tuple[Place, ...] = ()
    section: Section = Section()
    profile: tuple[ProfileElement, ...] = ()
    _: KW_ONLY
    foot: Length | None = None
    timber: str | None = None
    density: float | None = None
    rings: str | None = None
    finish: str | None = None
    grade: str | None = None
    moisture: Percent | None = None
    top: Length | None = None
    load: Load | None = None
    margin: Length | None = None
    horn: Length | None = None
    longest: Length | None = None
    internal: Literal["mitre", "cope"] | None = None
    match: tuple[tuple[str, ...], ...] = ()
    framing: Framing | None = None
    leaves: tuple[Length, ...] = ()
    own: Mapping[str, Mapping[str, Any]] = field(default_factory=dict, hash=False)
    """Facts that plugins from outside ask for, by plugin and key."""

    def places_in(self, room: str) -> Sequence[Place]:
        """Where it goes in the room of that name."""
        return self._places.get(room, ())

    @cached_property
    def _places(self) -> dict[str, list[Place]]:
        found: dict[str, list[Place]] = {}
        for place in self.where:
            found.setdefault(place.room, []).append(place)
        return found

    @property
    def clear(self) -> bool:
        """Whether its finish leaves the timber to be seen."""
        return self.finish in ("clear", "wax", "oil")


@dataclass(frozen=True)
class Defect(Surveyed):
    """A defect of a board, ``start`` to ``end`` from its marked end. ``sound``: firm and tight. ``face``: share of
    the face, %."""

    start: Length = spelt("from")
    end: Length = spelt("to")
    kind: str  # type: ignore[misc]
    size: Length | None = None
    face: Percent | None = None
    _: KW_ONLY
    sound: bool | None = None


@dataclass(frozen=True)
class Board(Surveyed):
    """A board: new ``stock`` (with ``price`` each and ``quantity`` to be had, None: no limit) or a ``rack`` offcut
    with a name.
    ``bow``, ``spring``, ``twist``, ``cup``: departure from straight, mm over the board; ``wane``: width lost."""

    trim: str = spelt("for")
    length: Length  # type: ignore[misc]
    name: str = ""
    price: float | None = None
    quantity: int | None = None
    _: KW_ONLY
    defects: tuple[Defect, ...] = ()
    moisture: Percent | None = None
    bow: Length | None = None
    spring: Length | None = None
    twist: Length | None = None
    cup: Length | None = None
    wane: Length | None = None
