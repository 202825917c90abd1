"""The job: one survey as frozen objects. Lengths are mm, angles degrees, moisture % MC, temperatures C.

What the survey does not say is ``None`` (or an empty tuple): the model holds no assumed value. A stage
that must assume one says so in its grounds. Every object knows its ``path`` in the survey
("rooms/0/walls/1"), so that :meth:`Job.line` can tell the survey line of each value.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, field
from functools import cached_property
from itertools import count
from typing import Any, Literal

from listel.core.quick import dataclass
from listel.core.survey.done import (
    AsFixed,
    BoughtBoards,
    Done,
    DonePiece,
    GivenJoints,
    SiteChange,
    SnagClosed,
    Used,
)
from listel.core.survey.existing import Damage, ExistingTrim, Hole, Offset, ProfileElement, Section
from listel.core.survey.messages import Fault
from listel.core.survey.notes import OUTCOMES, Actual, Departure, Outcome, Photo, PlanStep, Record
from listel.core.survey.rooms import (
    UK,
    Air,
    Bow,
    Building,
    Climate,
    Corner,
    Earlier,
    Ends,
    Evidence,
    Fitting,
    Flight,
    FlightWall,
    Ground,
    HeightReading,
    LevelReading,
    Newel,
    Opening,
    Panel,
    Reading,
    Region,
    Room,
    Seasons,
    Studs,
    Substrate,
    Wall,
    Winders,
)
from listel.core.survey.surveyed import Surveyed
from listel.core.survey.trim import Board, Defect, Framing, MiddleRail, Place, Trim
from listel.core.survey.units import Angle, Length, Percent, Temperature

__all__ = [
    "Actual",
    "Air",
    "AsFixed",
    "Board",
    "BoughtBoards",
    "Bow",
    "Building",
    "Choices",
    "Climate",
    "Corner",
    "Cutting",
    "Damage",
    "Defect",
    "Departure",
    "Done",
    "DonePiece",
    "Earlier",
    "Ends",
    "Evidence",
    "ExistingTrim",
    "Fitting",
    "Flight",
    "FlightWall",
    "Framing",
    "GivenJoints",
    "Ground",
    "HeightReading",
    "Hole",
    "Job",
    "LevelReading",
    "MiddleRail",
    "OUTCOMES",
    "Newel",
    "Offset",
    "OldTrim",
    "Opening",
    "Outcome",
    "Panel",
    "Photo",
    "Place",
    "PlanStep",
    "ProfileElement",
    "Protector",
    "Reading",
    "Record",
    "Region",
    "Room",
    "Seasons",
    "Section",
    "SiteChange",
    "SnagClosed",
    "Studs",
    "Substrate",
    "Surveyed",
    "Taken",
    "Tolerances",
    "ToolUse",
    "Trim",
    "UK",
    "Used",
    "Wall",
    "Winders",
    "Work",
]


@dataclass(frozen=True)
class Choices(Surveyed):
    """What the person wants to use: judged, not obeyed. ``fixing``: of several kinds a wall has the first that may bear
    in it."""

    fixing: tuple[str, ...] = ()
    fixing_diameter: Length | None = None
    fixing_length: Length | None = None
    spacing: Length | None = None
    adhesive: str | None = None
    _: KW_ONLY
    filler: str | None = None
    sealant: str | None = None
    paint: str | None = None
    author: str | None = None
    order: str | None = None
    line: Literal["level", "parallel", "split"] | None = None
    code: Literal["eurocode-5", "nds"] | None = None


@dataclass(frozen=True)
class Cutting(Surveyed):
    """Saw and bench: ``kerf``, ``end_trim`` at each board end, shortest remnant to ``keep``, ``defect_margin`` each
    side, ``spare`` timber in per cent of the length, ``rack_price``: share of the new price, %; ``saw_limit``: the
    greatest reading the saw turns to, 0 being square."""

    kerf: Length | None = None
    end_trim: Length | None = None
    keep: Length | None = None
    defect_margin: Length | None = None
    spare: Percent | None = None
    _: KW_ONLY
    rack_price: Percent | None = None
    currency: str | None = None
    saw_limit: Angle | None = None


@dataclass(frozen=True)
class Tolerances(Surveyed):
    """One-sigma uncertainty of the survey: ``tape`` mm, ``bevel`` degrees, ``level`` mm."""

    tape: Length | None = None
    bevel: Angle | None = None
    level: Length | None = None


@dataclass(frozen=True)
class ToolUse(Surveyed):
    """A tool and its trigger time per day: ``hours``, ``noise`` dB(A) at the bare ear and ``noise_c`` dB(C) there,
    ``vibration`` m/s2."""

    tool: str
    hours: float | None = None
    noise: float | None = None
    vibration: float | None = None
    noise_c: float | None = None


@dataclass(frozen=True, kw_only=True)
class Protector(Surveyed):
    """The hearing protection worn: what its maker says it takes off, dB: ``snr``, or ``high``, ``medium``, ``low``."""

    snr: float | None = None
    high: float | None = None
    medium: float | None = None
    low: float | None = None


@dataclass(frozen=True)
class Work(Surveyed):
    """How the work is to be done: ``start`` date, ``crew``, number of ``contractors``, hours a day, tools, laser class,
    hot work, access; ``durations`` of steps as the person puts them: (step name, hours)."""

    start: str | None = None
    crew: int | None = None
    hours_per_day: float | None = None
    tools: tuple[ToolUse, ...] = ()
    laser_class: str | None = None
    _: KW_ONLY
    hot_work: bool | None = None
    access: str | None = None
    strip_paint: bool | None = None
    contractors: int | None = None
    strip_method: str | None = None
    strip_heat: Temperature | None = None
    hearing_protection: Protector | None = None
    durations: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, kw_only=True)
class OldTrim:
    """Old trim as surveyed, and where: on a wall, round an opening of it, or up a flight along it."""

    label: str
    said: ExistingTrim
    room: Room
    wall: Wall
    opening: Opening | None = None
    flight: Flight | None = None

    @property
    def at_work(self) -> bool:
        """Whether it is to be more than kept."""
        return self.said.intent not in (None, "keep")

    @property
    def where(self) -> str:
        """Where it is, in words."""
        on = f"wall {self.wall.name} of the {self.room.name}"
        if self.opening is not None:
            side = {"left": "left of ", "right": "right of ", "head": "over ", None: "round "}[self.said.side]
            return f"{side}the {self.opening.called} in {on}"
        return f"{self.flight.called} along {on}" if self.flight else on


@dataclass(frozen=True)
class Taken:
    """An everyday word that was ``said`` in a survey and what it was taken to have ``meant``; ``where`` in words."""

    said: str
    meant: str
    where: str
    line: int


@dataclass(frozen=True)
class Job:
    """One job, read from one survey. ``units`` is how the survey writes lengths, and how they are shown: "mm" or
    "inches"."""

    title: str
    reference: str = ""
    revision: str = ""
    client: str = ""
    site: str = ""
    _: KW_ONLY
    surveyor: str = ""
    surveyed: str = ""
    invented: bool = False
    note: str = ""
    units: Literal["mm", "inches"] = "mm"
    building: Building = Building()
    climate: Climate = Climate()
    rooms: tuple[Room, ...] = ()
    photos: tuple[Photo, ...] = ()
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
    own: Mapping[str, Mapping[str, Any]] = field(default_factory=dict, hash=False)
    """Facts that plugins from outside ask for, by plugin and key."""
    actual: tuple[Actual, ...] = ()
    joints: tuple[GivenJoints, ...] = ()
    done: Done = Done()
    changes: tuple[SiteChange, ...] = ()
    source: str = field(default="", compare=False)
    digest: str = field(default="", compare=False)
    taken: tuple[Taken, ...] = field(default=(), compare=False)
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)
    columns: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)

    def line(self, thing: Surveyed, key: str = "") -> int:
        """The survey line of an object of the job, or of one of its keys (as the survey spells it); 0 if it has
        none."""
        path = f"{thing.path}/{key}" if key and thing.path else key or thing.path
        return self.lines.get(path, 0)

    def room(self, name: str) -> Room:
        """The room of that name; KeyError if there is none."""
        return self._rooms[name]

    def departed(self, rule: str, room: str = "", wall: str = "", trim: str = "") -> Departure | None:
        """The departure from a rule that settles its finding at that place; None: none does."""
        return next((each for each in self.departures if each.covers(rule, room, wall, trim)), None)

    def trim_named(self, name: str) -> Trim:
        """The trim of that name; KeyError if there is none."""
        return self._trims[name]

    def seasons(self, trim: Trim | None) -> dict[Seasons, list[str]]:
        """The air of the rooms that a trim goes to, each with its rooms; the building's where it goes to none."""
        building = Seasons(self.climate.heating, self.climate.winter, self.climate.summer, path=self.climate.path)
        found: dict[Seasons, list[str]] = {}
        for place in trim.where if trim else ():
            room = self._rooms.get(place.room)
            found.setdefault(room.climate if room and room.climate else building, []).append(place.room)
        return found or {building: []}

    def trims_in(self, room: str) -> Sequence[Trim]:
        """The trims that go to the room of that name, in survey order."""
        return self._trims_in.get(room, ())

    @cached_property
    def _rooms(self) -> dict[str, Room]:
        return {room.name: room for room in self.rooms}

    @cached_property
    def _trims(self) -> dict[str, Trim]:
        return {trim.name: trim for trim in self.trim}

    @cached_property
    def _trims_in(self) -> dict[str, list[Trim]]:
        found: dict[str, list[Trim]] = {}
        for trim in self.trim:
            for room in dict.fromkeys(place.room for place in trim.where):
                found.setdefault(room, []).append(trim)
        return found

    def places(self, trim: Trim, within: str = "") -> list[tuple[Room, Wall, float, float | None]]:
        """Every wall a trim runs along, ``within`` one room where that is named, in survey order, as (room, wall, from,
        to), to not before from; ``to`` None: to the end of a wall of no length."""
        found: list[tuple[Room, Wall, float, float | None]] = []
        for place in trim.places_in(within) if within else trim.where:
            room = self._rooms.get(place.room)
            if room is None:
                continue
            for wall in room.walls:
                if place.walls and wall.name not in place.walls:
                    continue
                start = place.start or 0.0
                end = place.end if place.end is not None else (wall.length.value if wall.length else None)
                found.append((room, wall, start, None if end is None else max(start, end)))
        return found

    @property
    def old_at_work(self) -> list[tuple[str, str]]:
        """(room, wall) of old trim that is to be more than kept, each once."""
        return list(dict.fromkeys((old.room.name, old.wall.name) for old in self.old_trim() if old.at_work))

    @property
    def walls_at_work(self) -> list[tuple[Room, Wall]]:
        """Every wall that takes trim or whose old trim is to be more than kept, each once, in survey order."""
        wanted = {(room.name, wall.name) for trim in self.trim for room, wall, _, _ in self.places(trim)}
        wanted.update(self.old_at_work)
        return [(room, wall) for room in self.rooms for wall in room.walls if (room.name, wall.name) in wanted]

    def old_trim(self) -> Iterator[OldTrim]:
        """Every piece of old trim of the survey, numbered in its order."""
        number = count(1)
        for room in self.rooms:
            for wall in room.walls:
                for said in wall.existing:
                    yield OldTrim(label=f"old {next(number)}", said=said, room=room, wall=wall)
                for opening in wall.openings:
                    for said in opening.existing:
                        yield OldTrim(label=f"old {next(number)}", said=said, room=room, wall=wall, opening=opening)
            for flight in room.stairs:
                for said in flight.existing:
                    wall = room.wall(said.wall)
                    yield OldTrim(label=f"old {next(number)}", said=said, room=room, wall=wall, flight=flight)

    @property
    def works(self) -> list[str]:
        """What the job does to the building, as a consent names it: "skirting in Hall", "old 1 refix"."""
        new = [f"{trim.name} in {room}" for trim in self.trim for room in dict.fromkeys(p.room for p in trim.where)]
        old = [f"{old.label} {old.said.intent}" for old in self.old_trim() if old.at_work]
        return [*new, *old, *["paint stripped"] * bool(self.work.strip_paint)]

    def top_asked(self, trim: Trim, room: str) -> tuple[float | None, int]:
        """The height asked for a trim's top edge in a room [mm], and its survey line: the room's own before the
        trim's; None where none is asked for."""
        own = next((place for place in trim.places_in(room) if place.top is not None), None)
        return (own.top, self.line(own, "top")) if own else (trim.top, self.line(trim, "top"))

    def fault(self, thing: Surveyed, key: str, says: str) -> Fault:
        """A fault at a key of an object of the job, for what can be judged only beside the rules."""
        path = f"{thing.path}/{key}" if f"{thing.path}/{key}" in self.lines else thing.path
        words = " > ".join(f"item {int(part) + 1}" if part.isdigit() else part for part in path.split("/"))
        return Fault(self.source, self.lines.get(path, 0), self.columns.get(path, 1), words, says)
