"""What ``safety`` gives: hazards, controls, signs, service zones and consents."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import Lines, told
from listel.core.quick import dataclass


@dataclass(frozen=True)
class Sign:
    """A safety sign by its ISO 7010 number and referent."""

    code: str = told("ISO 7010 number")
    title: str = told("its referent")
    why: str = told("why it is up", default="")


@dataclass(frozen=True, kw_only=True)
class Hazard:
    """A hazard this job really has."""

    LINE: ClassVar[str] = "hazard"
    name: str = told("the hazard")
    because: str = told("what makes it apply to this job")
    controls: tuple[str, ...] = told("what is done about it", default=())
    wear: tuple[str, ...] = told("what is worn", default=())
    signs: tuple[Sign, ...] = told("signs to put up", default=())
    prove: str = told("what to prove before work", default="")
    law: str = told("the law it falls under there, as far as it is known here", default="")
    rooms: tuple[str, ...] = told("the rooms it is met in, or empty for the whole job", default=())
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Zone:
    """A part of a wall face in which a concealed cable or pipe may run: stations ``x0``..``x1``, heights
    ``y0``..``y1`` above the floor."""

    LINE: ClassVar[str] = "zone"
    room: str = told("the room")
    wall: str = told("the wall")
    kind: str = told("top, corner, vertical, horizontal, pipe, gas")
    x0: float = told("from station", "mm")
    x1: float = told("to station", "mm")
    y0: float = told("from height", "mm")
    y1: float = told("to height", "mm")
    by: str = told("what makes it", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Crossing:
    """A rail line or a fixing that lies in a zone."""

    LINE: ClassVar[str] = "crossing"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    start: float = told("from station", "mm")
    end: float = told("to station", "mm")
    zone: str = told("the zone, in words")
    kind: str = told("the kind of zone: top, corner, vertical, horizontal, pipe, gas")
    fixing: bool = told("true: a fixing stands in it; false: only the rail passes", default=False)
    height: float | None = told(
        "height of the fixing above the floor; none: not known, or only the rail passes", "mm", None
    )


@dataclass(frozen=True, kw_only=True)
class Consent:
    """What is likely repair and what alteration, who decides, what to have in hand."""

    LINE: ClassVar[str] = "consent"
    what: str = told("the work")
    view: str = told("likely repair, likely alteration, or ask")
    decides: str = told("who decides", default="")
    have: str = told("what to have in hand before work", default="")
    law: str = told("what the law asks, in words", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class WallServices:
    """What is known of the services in one wall that trim is fixed to."""

    LINE: ClassVar[str] = "wall-services"
    room: str = told("the room")
    wall: str = told("the wall")
    fittings: bool = told("whether any fitting was surveyed on this face")
    behind: str = told("what is known of the other face, in words")
    zones: int = told("zones on this face", default=0)
    in_zone: int = told("fixings that stand in a zone", default=0)
    detected: str = told("what the record of the search says, or empty where none is recorded", default="")
    free: tuple[tuple[float, float], ...] = told("stretches of wall clear of every full-height zone", "mm", ())


@dataclass(frozen=True, kw_only=True)
class ExposureLine:
    """A day's dose of noise or vibration from the tools planned."""

    LINE: ClassVar[str] = "exposure"
    kind: str = told("noise or vibration")
    tools: tuple[str, ...] = told("the tools it comes from")
    dose: float = told("daily exposure: dB(A) or m/s2 A(8); in the United States the share of the permitted noise dose")
    unit: str = told("its unit")
    points: float | None = told("exposure points; none where the region's rules have no such scale", default=None)
    reached: str = told("the action or limit value reached, in words; empty for none", default="")
    unstruck: str = told("the dose with the hammer off, where no wall is drilled with blows; else empty", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class LeftInPlace:
    """Asbestos that stays in the building: whoever lives or works there is told where."""

    LINE: ClassVar[str] = "left-in-place"
    room: str = told("the room, or empty for the whole job")
    wall: str = told("the wall, or empty for the whole room")
    where: str = told("the place in words")
    how: str = told("sealed, or in textured coating")
    never: str = told("what nobody does there")
    plan: bool = told("whether it is drilled by a written plan", default=False)
    by: str = told("who sealed it or wrote the plan, when, on what paper")
    note: str = told("what was noted of it, or empty", default="")


@dataclass(frozen=True, kw_only=True)
class Emergency:
    """Whom to call, and what is to be filled in before work begins."""

    what: str = told("what has happened, or what is to be known")
    call: str = told("the number, or empty where the firm is to fill it in", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class SafetyNotes:
    """Hazards, zones, crossings, consents, what is known wall by wall, the day's doses,
    the signs of all hazards, what to prove before the first hole, whom to call, and what is left in place. ``client``:
    what the law asks of the client, each said to him; ``several``: firms at work where the law then wants one of them
    in control."""

    hazards: tuple[Hazard, ...] = ()
    zones: tuple[Zone, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    consents: tuple[Consent, ...] = ()
    walls: tuple[WallServices, ...] = ()
    exposures: tuple[ExposureLine, ...] = ()
    signs: tuple[Sign, ...] = ()
    prove: tuple[str, ...] = ()
    emergency: tuple[Emergency, ...] = ()
    left: tuple[LeftInPlace, ...] = ()
    client: tuple[str, ...] = ()
    several: bool = False

    def zones_on(self, room: str, wall: str) -> Sequence[Zone]:
        """The zones of a wall."""
        return self._zones.of(room=room, wall=wall)

    def crossings_on(self, room: str, wall: str) -> Sequence[Crossing]:
        """What crosses the zones of a wall."""
        return self._crossings.of(room=room, wall=wall)

    @cached_property
    def _zones(self) -> Lines[Zone]:
        return Lines(self.zones)

    @cached_property
    def _crossings(self) -> Lines[Crossing]:
        return Lines(self.crossings)
