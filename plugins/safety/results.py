"""What ``safety`` gives: hazards, controls, signs, service zones and consents."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from listel.core.findings import Grounds
from listel.core.lines import told

SetBy = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Sign:
    """A safety sign by its ISO 7010 number and referent."""

    code: str = told("ISO 7010 number")
    title: str = told("its referent")
    why: str = told("why it is up", default="")


@dataclass(frozen=True)
class Hazard:
    """A hazard this job really has."""

    LINE: ClassVar[str] = "hazard"
    name: str = told("the hazard")
    because: str = told("what makes it apply to this job")
    controls: tuple[str, ...] = told("what is done about it", default=())
    wear: tuple[str, ...] = told("what is worn", default=())
    signs: tuple[Sign, ...] = told("signs to put up", default=())
    prove: str = told("what to prove before work", default="")
    room: str = told("the room, or empty for the whole job", default="")
    grounds: Grounds = told("why", default=Grounds())
    set_by: SetBy = told("keys set by a house rule", default=())


@dataclass(frozen=True)
class Zone:
    """A part of a wall face in which a concealed cable or pipe may run: stations ``x0``..``x1``, heights ``y0``..``y1`` above the floor."""

    LINE: ClassVar[str] = "zone"
    room: str = told("the room")
    wall: str = told("the wall")
    kind: str = told("top, corner, vertical, horizontal, pipe")
    x0: float = told("from station", "mm")
    x1: float = told("to station", "mm")
    y0: float = told("from height", "mm")
    y1: float = told("to height", "mm")
    by: str = told("what makes it", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Crossing:
    """A rail line or a fixing that lies in a zone."""

    LINE: ClassVar[str] = "crossing"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    start: float = told("from station", "mm")
    end: float = told("to station", "mm")
    zone: str = told("the zone, in words")
    fixing: bool = told("true: a fixing stands in it; false: only the rail passes", default=False)


@dataclass(frozen=True)
class Consent:
    """What is likely repair and what alteration, who decides, what to have in hand."""

    LINE: ClassVar[str] = "consent"
    what: str = told("the work")
    view: str = told("likely repair, likely alteration, or ask")
    decides: str = told("who decides", default="")
    have: str = told("what to have in hand before work", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class SafetyNotes:
    """Hazards, zones, crossings, consents."""

    hazards: tuple[Hazard, ...] = ()
    zones: tuple[Zone, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    consents: tuple[Consent, ...] = ()
