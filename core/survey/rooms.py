"""The building, its rooms and walls, as the survey tells them. Lengths are mm, angles degrees, temperatures C.

Part of the job model (core/survey/job.py): what the survey does not say is ``None`` or an empty tuple.
"""

from collections.abc import Mapping
from dataclasses import KW_ONLY, field
from typing import Any, Literal

from listel.core.quick import dataclass
from listel.core.survey.existing import ExistingTrim
from listel.core.survey.surveyed import Surveyed, spelt
from listel.core.survey.units import Angle, Length, Percent, Temperature

Region = Literal[
    "england", "wales", "scotland", "northern-ireland", "ireland", "united-states", "european-union", "other"
]
UK: tuple[str, ...] = ("england", "wales", "scotland", "northern-ireland")


# ---------------------------------------------------------------- the building


def _year(value: Any) -> int:
    """The first four figures: a decade or a span counts from its first year."""
    return int("".join(letter for letter in str(value) if letter.isdigit())[:4])


def _about(value: Any) -> bool:
    return isinstance(value, str) and not value.isdigit()


def _built(building: Any) -> Any:
    return f"about {building.built}" if building.built_about else building.built


@dataclass(frozen=True)
class Building(Surveyed):
    """``built``: year; ``built_about``: the year is approximate. ``protection``: kind of protection or "none"; None is
    not surveyed. ``curtilage``: in the grounds of a protected one. ``refurbished``: years of later works. ``state``,
    ``city``: in the United States, for rules of their own. ``client_kind``: domestic, landlord, trust, firm, public.
    ``harm``: none, less-than-substantial, substantial; ``benefit``: what is weighed against it. ``exempt``:
    of a church."""

    built: int | None = spelt("", None, read=_year, write=_built)
    built_about: bool = spelt("built", False, read=_about, write=lambda building: None)
    region: Region | None = None
    protection: str | None = None
    occupied: str | None = None
    _: KW_ONLY
    children: bool | None = None
    curtilage: bool | None = None
    list_entry: str | None = None
    significance: str | None = None
    consulted: str | None = None
    harm: str | None = None
    benefit: str | None = None
    refurbished: tuple[int, ...] = ()
    use: str | None = None
    exempt: bool | None = None
    state: str | None = None
    city: str | None = None
    client_kind: str | None = None


@dataclass(frozen=True)
class Air(Surveyed):
    """Air: ``temperature`` in C, ``humidity`` in % RH."""

    temperature: Temperature | None = None
    humidity: Percent | None = None


@dataclass(frozen=True)
class Seasons(Surveyed):
    """The air that timber lives in. ``heating``: heated, intermittent, unheated, conservation."""

    heating: str | None = None
    winter: Air | None = None
    summer: Air | None = None


@dataclass(frozen=True)
class Climate(Seasons):
    """The air of the building; ``day``: when adhesives and paint go on."""

    day: Air | None = None


# ---------------------------------------------------------------- rooms and walls


@dataclass(frozen=True)
class Reading(Surveyed):
    """A taped length, with a second reading if one was taken. ``value`` is their mean."""

    first: Length = spelt(alone=True)
    second: Length | None = None

    @property
    def value(self) -> float:
        """The mean of the readings, mm."""
        return self.first if self.second is None else (self.first + self.second) / 2


@dataclass(frozen=True)
class Corner(Surveyed):
    """Where a wall meets the next. ``kind`` internal or external; ``angle`` as the bevel reads it: internal is the
    angle of the room, external the angle of the solid that sticks out."""

    kind: Literal["internal", "external"]
    angle: Angle | None = None

    @property
    def through_room(self) -> float | None:
        """The plan angle between the two wall faces measured through the room, 0 to 360 degrees."""
        if self.angle is None:
            return None
        return self.angle if self.kind == "internal" else 360.0 - self.angle


@dataclass(frozen=True)
class Studs(Surveyed):
    """``centres`` apart, the ``first`` at that station; ``width`` of each; ``positions`` where they were found one
    by one."""

    centres: Length | None = None
    first: Length | None = None
    width: Length | None = None
    positions: tuple[Length, ...] = ()


@dataclass(frozen=True)
class Ground(Surveyed):
    """A timber ground that the plaster stops at, a plate or noggin behind it, or packing in front of it: ``height`` of
    its centre above the floor, ``width`` up the wall; ``behind``: how far its face lies behind that of the plaster, 0
    where flush, negative in front."""

    height: Length
    width: Length | None = None
    thickness: Length | None = None
    start: Length | None = spelt("from", None)
    end: Length | None = spelt("to", None)
    _: KW_ONLY
    behind: Length | None = None

    @property
    def proud(self) -> float:
        """How far its face stands out past that of the plaster, mm; 0 where it does not."""
        return max(0.0, -(self.behind or 0.0))


@dataclass(frozen=True)
class Substrate(Surveyed):
    """What a wall is made of. ``plaster``: thickness over the bearing material; ``void`` behind it, as deep as
    battens are thick; ``finish``: what is on it, from the face inward. ``read_as``: what it was surveyed to be, where a
    record has shown it to be something else."""

    kind: str | None = None
    plaster: Length | None = None
    void: Length | None = None
    condition: str | None = None
    finish: tuple[str, ...] = ()
    _: KW_ONLY
    studs: Studs | None = None
    grounds: tuple[Ground, ...] = ()
    plugs: tuple[Length, ...] = ()
    read_as: str = field(default="", compare=False)

    @property
    def face(self) -> str | None:
        """The outermost finish; None where it is not surveyed."""
        return self.finish[0] if self.finish else None


@dataclass(frozen=True)
class Bow(Surveyed):
    """A bowed wall: ``rise`` over a ``chord``. ``hollow``: concave seen from the room, else it bulges."""

    chord: Length
    rise: Length
    hollow: bool | None = None


@dataclass(frozen=True)
class LevelReading(Surveyed):
    """``to_datum``: tape from floor (or ceiling) to the datum line, at station ``at``."""

    at: Length
    to_datum: Length


@dataclass(frozen=True, kw_only=True)
class Earlier(Surveyed):
    """What a wall read before it was measured again: its ``length``, the ``angle`` of its corner, its
    ``floor`` at some stations; the day it was measured again, by whom, and why."""

    length: Length | None = None
    angle: Angle | None = None
    floor: tuple[LevelReading, ...] = ()
    on: str = ""
    by: str = ""
    why: str = ""


@dataclass(frozen=True)
class Opening(Surveyed):
    """A door, window, arch, fireplace, hatch ... ``at``: its left edge along the wall; ``height`` its own, above
    ``sill``; ``apron``: what hangs below the sill, 0 for nothing; ``plinth_block``: width of its plinth blocks,
    ``plinth_block_height`` theirs above the floor; ``leads_to``: the room behind it, or "elsewhere";
    ``reveal``: from a frame that stands in it to the face of the wall; ``splay`` of its sides, from square to that;
    ``fire_door``: whether it is a door that keeps a fire out; ``beside``: what is behind the wall's face at its sides,
    sash-weights, pocket or solid."""

    kind: str
    at: Length
    width: Length
    height: Length | None = None
    sill: Length | None = None
    _: KW_ONLY
    architrave: Length | None = None
    apron: Length | None = None
    plinth_block: Length | None = None
    plinth_block_height: Length | None = None
    lock_rail: Length | None = None
    leads_to: str = ""
    fire_door: bool | None = None
    beside: str = ""
    reveal: Length | None = None
    splay: Angle | None = None
    name: str = ""
    existing: tuple[ExistingTrim, ...] = ()

    @property
    def end(self) -> float:
        """The station of its right edge."""
        return self.at + self.width

    @property
    def called(self) -> str:
        """What it is called: its name, else its kind."""
        return self.name or self.kind


@dataclass(frozen=True)
class Panel(Surveyed):
    """A closed frame of panel mould on a wall: ``at`` its left outer edge, ``width`` and ``height`` over all, plumb on
    a flight too, ``underside`` its lower outer edge above the floor, or above the line of nosings on a flight."""

    at: Length
    width: Length
    underside: Length | None = None
    height: Length | None = None

    @property
    def end(self) -> float:
        """The station of its right outer edge."""
        return self.at + self.width


@dataclass(frozen=True)
class Fitting(Surveyed):
    """Something on the wall: ``at`` its left edge, ``height`` its underside above the floor, ``width`` along,
    ``depth`` up the wall; ``taken_off``: whether it comes off while the trim goes up."""

    kind: str
    at: Length
    height: Length | None = None
    width: Length | None = None
    depth: Length | None = None
    _: KW_ONLY
    projection: Length | None = None
    taken_off: bool | None = None
    name: str = ""


FreeEnd = Literal["return", "butt", "newel", "run-on"]


@dataclass(frozen=True)
class Ends(Surveyed):
    """What the free ends of a wall, or of a trim on it, come to: a return into itself; a butt against what stands there
    or a newel; or trim that runs on beyond what was surveyed. None: not surveyed."""

    left: FreeEnd | None = None
    right: FreeEnd | None = None

    def at(self, left: bool) -> FreeEnd | None:
        """What the left or the right end comes to."""
        return self.left if left else self.right


@dataclass(frozen=True)
class Wall(Surveyed):
    """One wall, as a person in the room faces it: stations run from its left end, ``corner`` is what stands at its
    right end, and the next wall of the room is the one to its right. ``raised``: its floor above the floor of the
    room, as on a landing; its heights and tapes count from its own floor and a line as high above that."""

    name: str
    length: Reading | None = None
    corner: Corner | None = None
    substrate: Substrate | None = None
    bow: Bow | None = None
    _: KW_ONLY
    lean: Angle | None = None
    external: bool | None = None
    flue: Literal["yes", "no", "unknown"] | None = None
    party: bool | None = None
    thickness: Length | None = None
    moisture: Percent | None = None
    raised: Length | None = None
    ends: Ends | None = None
    floor: tuple[LevelReading, ...] = ()
    ceiling: tuple[LevelReading, ...] = ()
    openings: tuple[Opening, ...] = ()
    panels: tuple[Panel, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    behind: tuple[Fitting, ...] = ()
    existing: tuple[ExistingTrim, ...] = ()
    earlier: tuple[Earlier, ...] = ()
    own: Mapping[str, Mapping[str, Any]] = field(default_factory=dict, hash=False)
    """Facts that plugins from outside ask for, by plugin and key."""

    @property
    def turn(self) -> float | None:
        """The plan angle through the room to the next wall, degrees; None where it was not surveyed."""
        return self.corner.through_room if self.corner else None


@dataclass(frozen=True)
class HeightReading(Surveyed):
    """Floor to ceiling; ``wall`` and ``at`` where it was taken ("" and None: not said)."""

    height: Length = spelt(alone=True)
    wall: str = ""
    at: Length | None = None


@dataclass(frozen=True)
class Evidence(Surveyed):
    """A trace of the old trim: ``height`` above the floor of its own ``wall``, ``at`` that station. ``edge`` of the
    member that the mark is: top, underside or centre."""

    kind: str
    member: str
    height: Length
    wall: str = ""
    edge: str | None = None
    _: KW_ONLY
    note: str = ""
    at: Length | None = None
    photos: tuple[str, ...] = ()


@dataclass(frozen=True)
class Newel(Surveyed):
    """The newel that steps wind round: the station of its centre on a wall, and how far ``out`` from it that is."""

    at: Length
    out: Length


@dataclass(frozen=True)
class Winders(Surveyed):
    """The stretch of a wall along which steps wind round a corner. ``risers``: where theirs meet this wall (none
    may), None: not marked; else the ``number`` of steps that wind round the whole corner, and their ``newel``."""

    start: Length = spelt("from")
    end: Length = spelt("to")
    _: KW_ONLY
    risers: tuple[Length, ...] | None = None
    number: int | None = None
    newel: Newel | None = None


@dataclass(frozen=True)
class FlightWall(Surveyed):
    """A wall that a flight runs along: its first riser stands at ``foot``, at floor level, and it climbs ``up`` to the
    right or to the left of a person who faces the wall; ``winders`` before its foot or beyond its head, or
    winders alone, between two corners."""

    wall: str
    foot: Length | None = None
    up: Literal["right", "left"] = "right"
    winders: Winders | None = None


@dataclass(frozen=True)
class Flight(Surveyed):
    """A flight of stairs: ``rise`` and ``going`` of one step, nosing to nosing, ``steps`` risers; or the ``pitch``
    alone. ``handrail``: top of the handrail plumb above the pitch line."""

    name: str
    rise: Length | None = None
    going: Length | None = None
    steps: int | None = None
    pitch: Angle | None = None
    _: KW_ONLY
    handrail: Length | None = None
    walls: tuple[FlightWall, ...] = ()
    existing: tuple[ExistingTrim, ...] = ()

    @property
    def called(self) -> str:
        """What it is called in a sentence."""
        return f"the {self.name}" if "flight" in self.name.lower() else f"the flight {self.name}"


def _period(value: Any) -> str:
    return value if isinstance(value, str) else str(int(value))


def _year_or_name(room: Any) -> Any:
    return int(room.period) if room.period and room.period.isdecimal() else room.period


@dataclass(frozen=True)
class Room(Surveyed):
    """One room. ``rank``: principal, secondary, upper, service. ``extent``: "whole" when every wall was surveyed,
    "part" when not.
    ``climate``: its air, where it is another than the building's. ``cornice``: depth of a cornice that is there.
    ``datum``: height of the level line above the floor where it was struck."""

    name: str
    period: str | None = spelt("", None, read=_period, write=_year_or_name)
    use: str | None = None
    rank: str | None = None
    storey: str | None = None
    _: KW_ONLY
    extent: Literal["whole", "part"] | None = None
    height: tuple[HeightReading, ...] = ()
    datum: Length | None = None
    cornice: Length | None = None
    climate: Seasons | None = None
    evidence: tuple[Evidence, ...] = ()
    walls: tuple[Wall, ...] = ()
    stairs: tuple[Flight, ...] = ()
    own: Mapping[str, Mapping[str, Any]] = field(default_factory=dict, hash=False)
    """Facts that plugins from outside ask for, by plugin and key."""

    @property
    def reference(self) -> float | None:
        """Tape from the floor that heights are counted from up to the level line [mm]: where the line was struck, else
        where the floor is highest; None where neither is known."""
        floor = (reading.to_datum for wall in self.walls for reading in wall.floor)
        return self.datum if self.datum is not None else min(floor, default=None)

    def wall(self, name: str) -> Wall:
        """The wall of that name; KeyError if the room has none."""
        for wall in self.walls:
            if wall.name == name:
                return wall
        raise KeyError(name)
