"""What the survey tells of the site, worked out once: every stage and every drawing takes it from here.

Lengths mm, angles degrees. Stations run along a wall from its start; levels count from the room's level line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import radians, tan

from listel.core.contract.tables import Row
from listel.core.survey.job import Evidence, Fitting, Flight, FlightWall, Ground, Opening, Room, Wall
from listel.plugins.site import tables
from listel.plugins.site.levels import Levels
from listel.plugins.site.plan import Plan


def traces_in(room: Room) -> tuple[Evidence, ...]:
    """Every trace of old trim in a room: the marks it left, and what of it stands with its height."""
    stands = (
        Evidence(
            "surviving",
            old.member,
            old.top,
            wall.name,
            "top",
            note=old.note,
            at=old.start,
            photos=old.photos,
            path=old.path,
        )
        for wall in room.walls
        for old in wall.existing
        if old.top is not None
    )
    return (*room.evidence, *stands)


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """How the law protects the building.

    ``kind`` as surveyed, None where it was not; ``inside``: whether it controls the inside, None where that is not
    known: nobody may then be laxer in silence. ``says``: in words ("listed at grade II"); ``law``: whose law says so;
    ``row``: of the table ``protection``, None where nothing was surveyed.
    """

    kind: str | None = None
    inside: bool | None = None
    says: str = ""
    law: str = ""
    row: Row | None = None

    @property
    def asked(self) -> bool:
        """Whether somebody is to be asked before work: it is protected by name, and the inside is not known to be
        free."""
        return self.kind not in (None, "unknown") and self.inside is not False


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightSite:
    """A flight of stairs: its ``pitch`` from rise and going where both were taken, else as surveyed; the ``climb`` of
    all its risers and how far it goes in plan (``advance``); None where not known."""

    flight: Flight
    pitch: float | None = None
    climb: float | None = None
    advance: float | None = None

    @property
    def name(self) -> str:
        """The flight's name."""
        return self.flight.name

    def on(self, wall: str) -> FlightWall | None:
        """How it runs along the wall of that name; None where it does not."""
        return next((along for along in self.flight.walls if along.wall == wall), None)

    def line_foot(self, wall: str) -> float | None:
        """The station where the pitch line meets the lower floor: one going before the first riser, for the line runs
        through the nosings. None where the riser's place, or the rise and the pitch, were not surveyed [mm]. Source:
        geometry of stairs, derived."""
        along = self.on(wall)
        if along is None or along.foot is None or not self.flight.rise or not self.pitch:
            return None
        before = self.flight.rise / tan(radians(self.pitch))
        return along.foot - before if along.up == "right" else along.foot + before


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSite:
    """One wall. ``length`` None where not taped; ``floors``: tapes from the floor up to the level line, ``ceilings``:
    from the line up to the ceiling (from its own readings, else from the heights taken); ``datum``: the line above the
    floor where it was struck; ``usual``: floor to ceiling where no level tells it. ``studs``: stations of those
    surveyed, none where only their spacing is known."""

    wall: Wall
    length: float | None = None
    floors: Levels = Levels()
    ceilings: Levels = Levels()
    datum: float | None = None
    usual: float | None = None
    studs: tuple[float, ...] = ()

    @property
    def name(self) -> str:
        """The wall's name."""
        return self.wall.name

    @property
    def plugs(self) -> tuple[float, ...]:
        """Stations of old timber plugs, rising."""
        return tuple(sorted(self.wall.substrate.plugs)) if self.wall.substrate else ()

    @property
    def grounds(self) -> tuple[Ground, ...]:
        """Timber grounds behind the plaster."""
        return self.wall.substrate.grounds if self.wall.substrate else ()

    @property
    def stud_spacing(self) -> float | None:
        """The centres of the studs where they were told, whether or not it is known where they stand."""
        studs = self.wall.substrate.studs if self.wall.substrate else None
        return studs.centres if studs else None

    @property
    def stud_width(self) -> float | None:
        """The face of a stud; None where not surveyed."""
        studs = self.wall.substrate.studs if self.wall.substrate else None
        return studs.width if studs else None

    @property
    def openings(self) -> tuple[Opening, ...]:
        """Doors, windows and the like in it."""
        return self.wall.openings

    @property
    def fittings(self) -> tuple[Fitting, ...]:
        """What stands on its face."""
        return self.wall.fittings

    @property
    def behind(self) -> tuple[Fitting, ...]:
        """What stands on its other face."""
        return self.wall.behind

    @property
    def makeup(self) -> Row | None:
        """Its row of the table of make-ups; None where not surveyed."""
        return tables.makeup(self.wall)

    @property
    def finishes(self) -> tuple[Row, ...]:
        """What is on it, from the face inward; empty where not surveyed."""
        return tables.finishes_on(self.wall)

    def floor(self, station: float) -> float | None:
        """Tape from the floor up to the level line at a station; None where none was read on this wall."""
        return self.floors.at(station)

    def ceiling(self, station: float) -> float | None:
        """The ceiling above the level line at a station; None where nothing tells."""
        return self.ceilings.at(station)

    def height(self, station: float) -> float | None:
        """Floor to ceiling at a station; None where nothing tells."""
        above, below = self.ceiling(station), self.floor(station)
        below = self.datum if below is None else below
        return self.usual if above is None or below is None else above + below

    def rise(self, station: float) -> float:
        """How far the floor at a station stands above the floor at its left end; 0 where it was not levelled."""
        start, here = self.floor(0.0), self.floor(station)
        return 0.0 if start is None or here is None else start - here


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSite:
    """One room: its ``plan`` where it goes all the way round, its walls and flights by name."""

    room: Room
    plan: Plan | None = None
    walls: Mapping[str, WallSite] = field(default_factory=dict)
    flights: Mapping[str, FlightSite] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The room's name."""
        return self.room.name

    @property
    def traces(self) -> tuple[Evidence, ...]:
        """Every trace of old trim in the room: the marks it left, and what of it stands with its height."""
        return traces_in(self.room)

    @property
    def floor_readings(self) -> tuple[float, ...]:
        """Every tape from the floor to the level line, wall by wall."""
        return tuple(reading for wall in self.walls.values() for _, reading in wall.floors.readings)

    def flight_on(self, wall: str) -> FlightSite | None:
        """The flight that runs along a wall; None where none does."""
        return next((flight for flight in self.flights.values() if flight.on(wall)), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The site: how it is protected, and its rooms by name."""

    protection: Protection = Protection()
    rooms: Mapping[str, RoomSite] = field(default_factory=dict)

    def wall(self, room: str, wall: str) -> WallSite:
        """A wall by its room and name; KeyError where there is none."""
        return self.rooms[room].walls[wall]
