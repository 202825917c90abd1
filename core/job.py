"""The job: one survey as frozen objects. Lengths are mm, angles degrees, moisture % MC, temperatures C.

What the survey does not say is ``None`` (or an empty tuple): the model holds no assumed value. A stage
that must assume one says so in its grounds. Every object knows its ``path`` in the survey
("rooms/0/walls/1"), so that :meth:`Job.line` can tell the survey line of each value.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
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


def _path() -> str:
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
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Air:
    """Air: ``temperature`` in C, ``humidity`` in % RH."""

    temperature: float | None = None
    humidity: float | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Climate:
    """``heating``: heated, intermittent, unheated, conservation. ``day``: the air when adhesives and paint go on."""

    heating: str | None = None
    winter: Air | None = None
    summer: Air | None = None
    day: Air | None = None
    path: str = _path()


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
    path: str = _path()

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
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Ground:
    """A timber ground or plate behind the plaster: ``height`` of its centre above the floor, ``width`` up the wall."""

    height: float
    width: float | None = None
    thickness: float | None = None
    start: float | None = None
    end: float | None = None
    path: str = _path()


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
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Bow:
    """A bowed wall: ``rise`` over a ``chord``. ``hollow``: concave seen from the room, else it bulges."""

    chord: float
    rise: float
    hollow: bool | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class LevelReading:
    """``to_datum``: tape from floor (or ceiling) to the datum line, at station ``at``."""

    at: float
    to_datum: float
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Opening:
    """A door, window, arch, fireplace, hatch ... ``at``: its near edge along the wall; ``height`` its own, above
    ``sill``."""

    kind: str
    at: float
    width: float
    height: float | None = None
    sill: float | None = None
    architrave: float | None = None
    plinth_block: float | None = None
    lock_rail: float | None = None
    name: str = ""
    path: str = _path()

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
    path: str = _path()


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
    path: str = _path()


@dataclass(frozen=True, slots=True)
class HeightReading:
    """Floor to ceiling; ``wall`` and ``at`` where it was taken ("" and None: not said)."""

    height: float
    wall: str = ""
    at: float | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Evidence:
    """A trace of the old trim. ``edge`` of the member that the mark is: top, underside or centre."""

    kind: str
    member: str
    height: float
    wall: str = ""
    edge: str | None = None
    note: str = ""
    path: str = _path()


@dataclass(frozen=True, slots=True)
class FlightWall:
    """A wall that a flight runs along: the pitch line meets the floor at ``foot`` and climbs ``up`` towards the
    wall's end or its start."""

    wall: str
    foot: float | None = None
    up: Literal["towards-end", "towards-start"] = "towards-end"
    path: str = _path()


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
    path: str = _path()


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
    path: str = _path()

    def wall(self, name: str) -> Wall:
        """The wall of that name; KeyError if the room has none."""
        for wall in self.walls:
            if wall.name == name:
                return wall
        raise KeyError(name)


# ---------------------------------------------------------------- trim and timber


@dataclass(frozen=True, slots=True)
class Place:
    """Where a trim goes: a room, its walls by name (empty: all), and from/to stations when only part of one wall."""

    room: str
    walls: tuple[str, ...] = ()
    start: float | None = None
    end: float | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class ProfileElement:
    """One element of a profile, from the underside up. ``height`` it takes up the wall; ``projection``: how far its
    upper
    end stands further out (+) or further in (-) than its lower end. ``kind``: fillet, ovolo, cavetto, cyma-recta ..."""

    kind: str
    height: float
    projection: float = 0.0
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Section:
    """``height`` on the wall, ``projection`` out from it, ``thickness`` of the timber if it differs from the
    projection (built-up
    or sprung); ``spring``: angle between the back of a sprung moulding and the wall, degrees."""

    height: float | None = None
    projection: float | None = None
    thickness: float | None = None
    spring: float | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Trim:
    """One trim of the job. ``top``: the height of its top edge above the floor that the person wants, judged like
    any other.
    ``load``: what a picture rail is to carry, N per metre. ``rings``: flat-sawn, quarter-sawn. ``match``: groups of
    pieces
    (room/wall names) whose grain must run on. ``longest``: the longest piece that can be had or carried in."""

    name: str
    member: str
    where: tuple[Place, ...] = ()
    section: Section = Section()
    profile: tuple[ProfileElement, ...] = ()
    foot: float | None = None
    timber: str | None = None
    density: float | None = None
    rings: str | None = None
    finish: str | None = None
    grade: str | None = None
    moisture: float | None = None
    state: str | None = None
    top: float | None = None
    load: float | None = None
    longest: float | None = None
    internal: Literal["mitre", "cope"] | None = None
    match: tuple[tuple[str, ...], ...] = ()
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Defect:
    """A defect of a board, ``start`` to ``end`` from its marked end. ``sound``: firm and tight. ``face``: share of
    the face, %."""

    start: float
    end: float
    kind: str
    size: float | None = None
    face: float | None = None
    sound: bool | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Board:
    """A board: new ``stock`` (with ``price`` each and ``quantity`` to be had, None: no limit) or a ``rack`` offcut
    with a name.
    ``bow``, ``spring``, ``twist``, ``cup``: departure from straight, mm over the board; ``wane``: width lost."""

    trim: str
    length: float
    name: str = ""
    price: float | None = None
    quantity: int | None = None
    defects: tuple[Defect, ...] = ()
    moisture: float | None = None
    bow: float | None = None
    spring: float | None = None
    twist: float | None = None
    cup: float | None = None
    wane: float | None = None
    path: str = _path()


# ---------------------------------------------------------------- what the person chooses, means and has done


@dataclass(frozen=True, slots=True)
class Choices:
    """What the person wants to use: judged, not obeyed."""

    fixing: str | None = None
    fixing_diameter: float | None = None
    fixing_length: float | None = None
    spacing: float | None = None
    adhesive: str | None = None
    filler: str | None = None
    sealant: str | None = None
    paint: str | None = None
    author: str | None = None
    order: str | None = None
    line: Literal["level", "parallel", "split"] | None = None
    code: Literal["eurocode-5", "nds"] | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Cutting:
    """Saw and bench: ``kerf``, ``end_trim`` at each board end, shortest remnant to ``keep``, ``defect_margin`` each
    side, ``spare``
    pieces in per cent of the count, ``share_cuts``: two like ends may share one cut, ``rack_price``: share of the
    new price, %."""

    kerf: float | None = None
    end_trim: float | None = None
    keep: float | None = None
    defect_margin: float | None = None
    spare: float | None = None
    share_cuts: bool | None = None
    rack_price: float | None = None
    currency: str | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Tolerances:
    """One-sigma uncertainty of the survey: ``tape`` mm, ``bevel`` degrees, ``level`` mm."""

    tape: float | None = None
    bevel: float | None = None
    level: float | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class ToolUse:
    """A tool and its trigger time per day: ``hours``, ``noise`` dB(A) at the ear, ``vibration`` m/s2."""

    tool: str
    hours: float | None = None
    noise: float | None = None
    vibration: float | None = None
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Work:
    """How the work is to be done: ``start`` date, ``crew``, hours a day, tools, laser class, hot work, access;
    ``durations`` of
    steps as the person puts them: (step name, hours)."""

    start: str | None = None
    crew: int | None = None
    hours_per_day: float | None = None
    tools: tuple[ToolUse, ...] = ()
    laser_class: str | None = None
    hot_work: bool | None = None
    access: str | None = None
    strip_paint: bool | None = None
    durations: tuple[tuple[str, float], ...] = ()
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Record:
    """Something that was done and found, so that a hold can be resolved: the ``step`` (asbestos-check ...), where,
    what was found, by whom, when."""

    step: str
    found: str
    by: str
    date: str = ""
    room: str = ""
    wall: str = ""
    path: str = _path()


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One line of what the person means to do. ``steps``: step names that settle what the text means; ``day`` and
    ``wait`` (hours) if given."""

    text: str
    steps: tuple[str, ...] = ()
    day: float | None = None
    wait: float | None = None
    line: int = field(default=0, compare=False)
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Departure:
    """A finding settled against the rule: which ``rule``, in which room or wall ("" everywhere), the ``reason``, who
    ``agreed``."""

    rule: str
    reason: str
    agreed: str
    room: str = ""
    wall: str = ""
    trim: str = ""
    path: str = _path()


@dataclass(frozen=True, slots=True)
class Job:
    """One job, read from one survey. ``units`` is how the survey writes lengths, and how they are shown: "mm" or
    "inches"."""

    title: str
    reference: str = ""
    revision: str = ""
    client: str = ""
    site: str = ""
    surveyor: str = ""
    surveyed: str = ""
    invented: bool = False
    note: str = ""
    units: Literal["mm", "inches"] = "mm"
    building: Building = Building()
    climate: Climate = Climate()
    rooms: tuple[Room, ...] = ()
    trim: tuple[Trim, ...] = ()
    stock: tuple[Board, ...] = ()
    rack: tuple[Board, ...] = ()
    choices: Choices = Choices()
    cutting: Cutting = Cutting()
    tolerances: Tolerances = Tolerances()
    work: Work = Work()
    records: tuple[Record, ...] = ()
    plan: tuple[PlanStep, ...] = ()
    departures: tuple[Departure, ...] = ()
    source: str = field(default="", compare=False)
    digest: str = field(default="", compare=False)
    lines: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}), compare=False, repr=False)

    def line(self, thing: HasPath, key: str = "") -> int:
        """The survey line of an object of the job, or of one of its keys (as the survey spells it); 0 if it has
        none."""
        path = f"{thing.path}/{key}" if key and thing.path else key or thing.path
        return self.lines.get(path, 0)

    def room(self, name: str) -> Room:
        """The room of that name; KeyError if there is none."""
        for room in self.rooms:
            if room.name == name:
                return room
        raise KeyError(name)

    def places(self, trim: Trim) -> list[tuple[Room, Wall, float, float | None]]:
        """Every wall a trim runs along, in survey order, as (room, wall, from, to); ``to`` None: to the end of a
        wall of no length."""
        found: list[tuple[Room, Wall, float, float | None]] = []
        for place in trim.where:
            room = self.room(place.room)
            for wall in room.walls:
                if place.walls and wall.name not in place.walls:
                    continue
                end = place.end if place.end is not None else (wall.length.value if wall.length else None)
                found.append((room, wall, place.start or 0.0, end))
        return found

    def recorded(self, step: str, room: str = "", wall: str = "") -> Record | None:
        """The record of a step done, for that room and wall or for the whole job; None if it was not recorded."""
        for record in self.records:
            if record.step == step and record.room in ("", room) and record.wall in ("", wall):
                return record
        return None
