"""The building, its rooms and walls, as the survey tells them. Lengths are mm, angles degrees, temperatures C.

Part of the job model (core/survey/job.py): what the survey does not say is ``None`` or an empty tuple.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, Protocol

Region = Literal[
    "england", "wales", "scotland", "northern-ireland", "ireland", "united-states", "european-union", "other"
]
UK: tuple[str, ...] = ("england", "wales", "scotland", "northern-ireland")
GREAT_BRITAIN: tuple[str, ...] = ("england", "wales", "scotland")


class HasPath(Protocol):
    """Anything of the job that knows where in the survey it stands."""

    @property
    def path(self) -> str: ...


def path_field() -> str:
    """The field of an object's place in the survey: it takes no part in comparing."""
    return field(default="", compare=False, repr=False)


# ---------------------------------------------------------------- the building


@dataclass(frozen=True, slots=True)
class Building:
    """``built``: year; ``built_about``: the year is approximate. ``protection``: kind of protection or "none";
    None is not surveyed. ``consent``: reference of the consent in hand. ``refurbished``: years of later works."""

    built: int | None = None
    built_about: bool = False
    region: Region | None = None
    protection: str | None = None
    consent: str | None = None
    occupied: str | None = None
    children: bool | None = None
    significance: str | None = None
    refurbished: tuple[int, ...] = ()
    use: str | None = None
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Air:
    """Air: ``temperature`` in C, ``humidity`` in % RH."""

    temperature: float | None = None
    humidity: float | None = None
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Climate:
    """``heating``: heated, intermittent, unheated, conservation. ``day``: the air when adhesives and paint go on."""

    heating: str | None = None
    winter: Air | None = None
    summer: Air | None = None
    day: Air | None = None
    path: str = path_field()


# ---------------------------------------------------------------- rooms and walls


@dataclass(frozen=True, slots=True)
class Reading:
    """A taped length, with a second reading if one was taken. ``value`` is their mean."""

    first: float
    second: float | None = None

    @property
    def value(self) -> float:
        """The mean of the readings, mm."""
        return self.first if self.second is None else (self.first + self.second) / 2


@dataclass(frozen=True, slots=True)
class Corner:
    """Where a wall meets the next. ``kind`` internal or external; ``angle`` as the bevel reads it: internal is the
    angle of the room, external the angle of the solid that sticks out."""

    kind: Literal["internal", "external"]
    angle: float | None = None
    path: str = path_field()

    @property
    def through_room(self) -> float | None:
        """The plan angle between the two wall faces measured through the room, 0 to 360 degrees."""
        if self.angle is None:
            return None
        return self.angle if self.kind == "internal" else 360.0 - self.angle


@dataclass(frozen=True, slots=True)
class Studs:
    """``centres`` apart, the ``first`` at that station; ``width`` of each; ``positions`` where they were found one
    by one."""

    centres: float | None = None
    first: float | None = None
    width: float | None = None
    positions: tuple[float, ...] = ()
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Ground:
    """A timber ground or plate behind the plaster: ``height`` of its centre above the floor, ``width`` up the wall."""

    height: float
    width: float | None = None
    thickness: float | None = None
    start: float | None = None
    end: float | None = None
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Substrate:
    """What a wall is made of. ``plaster``: thickness over the bearing material; ``void`` behind it; ``finish`` on
    it."""

    kind: str | None = None
    plaster: float | None = None
    void: float | None = None
    condition: str | None = None
    finish: str | None = None
    studs: Studs | None = None
    grounds: tuple[Ground, ...] = ()
    plugs: tuple[float, ...] = ()
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Bow:
    """A bowed wall: ``rise`` over a ``chord``. ``hollow``: concave seen from the room, else it bulges."""

    chord: float
    rise: float
    hollow: bool | None = None
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class LevelReading:
    """``to_datum``: tape from floor (or ceiling) to the datum line, at station ``at``."""

    at: float
    to_datum: float
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Opening:
    """A door, window, arch, fireplace, hatch ... ``at``: its near edge along the wall; ``height`` its own, above
    ``sill``; ``plinth_block``: width of its plinth blocks, ``plinth_block_height`` theirs above the floor."""

    kind: str
    at: float
    width: float
    height: float | None = None
    sill: float | None = None
    architrave: float | None = None
    plinth_block: float | None = None
    plinth_block_height: float | None = None
    lock_rail: float | None = None
    name: str = ""
    path: str = path_field()

    @property
    def end(self) -> float:
        """The station of its far edge."""
        return self.at + self.width


@dataclass(frozen=True, slots=True)
class Fitting:
    """Something on the wall: ``at`` its near edge, ``height`` its underside above the floor, ``width`` along,
    ``depth`` up the wall."""

    kind: str
    at: float
    height: float | None = None
    width: float | None = None
    depth: float | None = None
    projection: float | None = None
    name: str = ""
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall, walked with the room on the left hand; stations run from its start. ``corner`` is at its end."""

    name: str
    length: Reading | None = None
    corner: Corner | None = None
    substrate: Substrate | None = None
    bow: Bow | None = None
    lean: float | None = None
    external: bool | None = None
    thickness: float | None = None
    moisture: float | None = None
    floor: tuple[LevelReading, ...] = ()
    ceiling: tuple[LevelReading, ...] = ()
    openings: tuple[Opening, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    behind: tuple[Fitting, ...] = ()
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class HeightReading:
    """Floor to ceiling; ``wall`` and ``at`` where it was taken ("" and None: not said)."""

    height: float
    wall: str = ""
    at: float | None = None
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Evidence:
    """A trace of the old trim: ``height`` above the floor of its own ``wall``, ``at`` that station. ``edge`` of the
    member that the mark is: top, underside or centre."""

    kind: str
    member: str
    height: float
    wall: str = ""
    edge: str | None = None
    note: str = ""
    at: float | None = None
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class FlightWall:
    """A wall that a flight runs along: the pitch line meets the floor at ``foot`` and climbs ``up`` towards the
    wall's end or its start."""

    wall: str
    foot: float | None = None
    up: Literal["towards-end", "towards-start"] = "towards-end"
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Flight:
    """A flight of stairs: ``rise`` and ``going`` of one step, nosing to nosing, ``steps`` risers; or the ``pitch``
    alone. ``handrail``: top of the handrail plumb above the pitch line."""

    name: str
    rise: float | None = None
    going: float | None = None
    steps: int | None = None
    pitch: float | None = None
    handrail: float | None = None
    walls: tuple[FlightWall, ...] = ()
    path: str = path_field()


@dataclass(frozen=True, slots=True)
class Room:
    """One room. ``rank``: principal, secondary, upper, service. ``extent``: "whole" when every wall was surveyed,
    "part" when not.
    ``cornice``: depth of a cornice that is there. ``datum``: height of the level line above the floor where it was
    struck."""

    name: str
    period: str | None = None
    use: str | None = None
    rank: str | None = None
    storey: str | None = None
    extent: Literal["whole", "part"] | None = None
    height: tuple[HeightReading, ...] = ()
    datum: float | None = None
    cornice: float | None = None
    evidence: tuple[Evidence, ...] = ()
    walls: tuple[Wall, ...] = ()
    stairs: tuple[Flight, ...] = ()
    path: str = path_field()

    def wall(self, name: str) -> Wall:
        """The wall of that name; KeyError if the room has none."""
        for wall in self.walls:
            if wall.name == name:
                return wall
        raise KeyError(name)
