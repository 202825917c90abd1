"""What the survey tells of the site, worked out once: every stage and every drawing takes it from here.

Lengths mm, angles degrees. Stations run along a wall from its start; levels count from the room's level line.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import cached_property
from math import inf, radians, tan

from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Evidence, ExistingTrim, Fitting, Flight, FlightWall, Ground, Opening, Room, Wall
from listel.plugins.site.levels import Levels
from listel.plugins.site.plan import Plan
from listel.plugins.site.two_sides import Key, Side


def traces_in(room: Room) -> tuple[Evidence, ...]:
    """Every trace of old trim in a room: the marks it left, and what of it stands with its height. A length that is
    listed as a mark too counts once, as the mark; one later than the room tells of a member only where nothing else in
    the room does."""
    stands = [
        (wall, old)
        for wall in room.walls
        for old in wall.existing
        if old.top is not None and not any(_same(mark, wall, old) for mark in room.evidence)
    ]
    tells = {mark.member for mark in room.evidence} | {old.member for _, old in stands if old.original != "later"}
    return room.evidence + tuple(
        Evidence(
            "later-trim" if old.original == "later" else "surviving",
            old.member,
            old.top,
            wall.name,
            "top",
            note=old.note,
            at=old.start,
            photos=old.photos,
            path=old.path,
        )
        for wall, old in stands
        if old.top is not None and not (old.original == "later" and old.member in tells)
    )


def _same(mark: Evidence, wall: Wall, old: ExistingTrim) -> bool:
    """Whether a mark is a surviving length that stands in the survey as a piece of old trim."""
    return (
        (mark.kind, mark.member, mark.wall, mark.height) == ("surviving", old.member, wall.name, old.top)
        and mark.edge in (None, "top")
        and (mark.at is None or (old.start or 0.0) <= mark.at <= (old.end or inf))
    )


@dataclass(frozen=True, kw_only=True)
class Protection:
    """How the law protects the building.

    ``kind`` as surveyed, None where it was not; ``inside``: whether it controls the inside, None where that is not
    known: nobody may then be laxer in silence. ``says``: in words ("listed at grade II"); ``law``: whose law says so;
    ``row``: of the table ``protection``, None where nothing was surveyed; ``grounds``: whether it stands in those of a
    protected building.
    """

    kind: str | None = None
    inside: bool | None = None
    says: str = ""
    law: str = ""
    row: Row | None = None
    grounds: bool = False

    @property
    def free(self) -> bool:
        """Whether nobody has a say inside, as far as is known."""
        return self.inside is False and not self.grounds

    @property
    def asked(self) -> bool:
        """Whether somebody is to be asked before work: it is protected by name, and the inside is not known to be
        free."""
        return self.kind not in (None, "unknown") and self.inside is not False


MOST_STEPS = 60
"""Risers that a flight has at most."""


@dataclass(frozen=True, kw_only=True)
class Winding:
    """Steps that wind round a corner, as they stand against one wall: the stations of their ``risers``, in the order
    of climbing; ``beyond`` the head of the flight there, or before its foot. ``corner``: the station of the corner they
    go on round, and how far ``over`` it the next riser stands; None where the last of them stands on this wall [mm].
    ``behind``: the same two of the corner that they come from, on a wall with no straight steps.
    ``reckoned``: from the newel, not marked on the wall."""

    risers: tuple[float, ...]
    beyond: bool
    corner: float | None = None
    over: float = 0.0
    behind: tuple[float, float] | None = None
    reckoned: bool = False


@dataclass(frozen=True, kw_only=True)
class PitchLine:
    """The line through the nosings of a stair along a wall: its ``knots`` in the order of climbing, each a station and
    a height above the floor at the foot of the flight [mm]; whether it begins on the level ``floor`` and ends on a
    level ``landing``. Between knots it is straight."""

    knots: tuple[tuple[float, float], ...]
    floor: bool = True
    landing: bool = True


def straight_nosings(flight: Flight, along: FlightWall) -> tuple[float, ...]:
    """The stations of the first and the top nosing of the straight steps on a wall; empty where not known [mm].

    The first nosing stands over the first riser, and the top one a going further for each riser after it. Source: stair
    geometry, derived.
    """
    if along.foot is None or not flight.going or not flight.steps:
        return ()
    ahead = 1.0 if along.up == "right" else -1.0
    return along.foot, along.foot + ahead * flight.going * (flight.steps - 1)


@dataclass(frozen=True, kw_only=True)
class FlightSite:
    """A flight of stairs: its ``pitch`` from rise and going where both were taken, else as surveyed; the ``climb`` of
    all its straight risers and how far they go in plan (``advance``); None where not known. ``windings``: its winders
    by wall, where their risers are known."""

    flight: Flight
    pitch: float | None = None
    climb: float | None = None
    advance: float | None = None
    windings: Mapping[str, Winding] = field(default_factory=dict)

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

    def wound(self, wall: str) -> tuple[tuple[float, float], ...]:
        """The nosings of its winders along a wall in the order of climbing: station, and height above the floor at the
        foot of its straight steps [mm]."""
        winding, rise = self.windings.get(wall), self.flight.rise or 0.0
        if winding is None:
            return ()
        along, count = self.on(wall), len(winding.risers)
        straight = along is not None and along.foot is not None
        first = ((self.climb or 0.0) if straight else 0.0) + rise if winding.beyond else rise * (1 - count)
        return tuple((at, first + rise * number) for number, at in enumerate(winding.risers))

    def nosings(self, wall: str, length: float) -> tuple[tuple[float, float], ...]:
        """Every nosing along a wall of that length, in the order of climbing: station, and height above the floor at
        the foot of its straight steps [mm]; where their number is not known, as many as the wall takes."""
        along, rise, going = self.on(wall), self.flight.rise, self.flight.going
        wound = self.wound(wall)
        straight: list[tuple[float, float]] = []
        if along is not None and along.foot is not None and rise and going:
            ahead = 1.0 if along.up == "right" else -1.0
            room = length - along.foot if ahead > 0 else along.foot
            count = min(MOST_STEPS, self.flight.steps or int(max(0.0, room) // going) + 1)
            straight = [(along.foot + ahead * going * number, rise * (number + 1)) for number in range(count)]
        before = wall in self.windings and not self.windings[wall].beyond
        return (*wound, *straight) if before else (*straight, *wound)

    def line(self, wall: str, far: float) -> PitchLine | None:
        """Its pitch line along a wall; where its climb is not known, to the end of the wall at ``far`` and no landing.
        None where the survey does not tell it."""
        along, foot, rise = self.on(wall), self.line_foot(wall), self.flight.rise or 0.0
        winding, wound = self.windings.get(wall), self.wound(wall)
        if along is None or (foot is None and not wound):
            return None
        ahead = 1.0 if along.up == "right" else -1.0
        knots: list[tuple[float, float]] = []
        landing = True
        if foot is not None:
            slope = tan(radians(self.pitch or 0.0))
            knots = [(foot, 0.0)]
            if self.climb is not None and self.advance is not None:
                knots.append((foot + ahead * self.advance, self.climb))
            else:
                reach = max(1.0, ahead * (far - foot))
                knots.append((foot + ahead * reach, reach * slope))
                landing = False
        if winding is None:
            return PitchLine(knots=tuple(knots), landing=landing)
        knots = (
            [*knots, *wound]
            if winding.beyond
            else [*wound, (along.foot or 0.0, rise), *(each for each in knots[1:] if each[1] > rise)]
        )
        corner = None if winding.corner is None else (winding.corner, winding.over)
        before, behind = (corner, winding.behind) if winding.beyond else (None, corner)
        if before is not None:
            knots.append(_at_corner(knots[-1], *before, rise))
        if behind is not None:
            knots.insert(0, _at_corner(knots[0], *behind, -rise))
        floor, landing = behind is None, landing and before is None
        if len(knots) < 2:
            return None
        if floor and (foot is None or not winding.beyond):
            knots.insert(0, _at_floor(knots, knots[0][1] - rise))
        return PitchLine(knots=tuple(knots), floor=floor, landing=landing)


def _at_corner(nosing: tuple[float, float], corner: float, over: float, rise: float) -> tuple[float, float]:
    """Where the straight line from a nosing to the next one, ``over`` round the corner, turns it."""
    short = abs(corner - nosing[0])
    return corner, nosing[1] + rise * short / (short + over)


def _at_floor(knots: Sequence[tuple[float, float]], floor: float) -> tuple[float, float]:
    """Where a line through nosings comes down to the floor below the first, as steep as it goes on from there."""
    (near, low), (far, high) = knots[0], knots[1]
    return near - (far - near) * (low - floor) / (high - low), floor


@dataclass(frozen=True, kw_only=True)
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
        """Timber grounds in the plaster, and plates and noggins behind it."""
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

    def opening_by(self, station: float) -> Opening | None:
        """The opening of which an edge is nearest to a station, of those as near the first; None where there is
        none."""
        after = bisect_left(self._edges, (station,))
        near = self._edges[after : after + 1]
        if after:
            near.append(self._edges[bisect_left(self._edges, self._edges[after - 1][:1])])
        return self.openings[min((abs(at - station), number) for at, number in near)[1]] if near else None

    @cached_property
    def _edges(self) -> list[tuple[float, int]]:
        return sorted((at, number) for number, hole in enumerate(self.openings) for at in (hole.at, hole.end))

    @cached_property
    def flue(self) -> str:
        """Whether a flue runs up in it: yes, no or unknown; a chimney breast that does not say is unknown."""
        hearth = any(opening.kind == "fireplace" for opening in self.openings)
        return self.wall.flue or ("unknown" if hearth else "no")

    @property
    def fittings(self) -> tuple[Fitting, ...]:
        """What stands on its face."""
        return self.wall.fittings

    @property
    def behind(self) -> tuple[Fitting, ...]:
        """What stands on its other face."""
        return self.wall.behind

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


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
class Site:
    """The site: how it is protected, its rooms by name, and the other side of each opening that is listed twice."""

    protection: Protection = Protection()
    rooms: Mapping[str, RoomSite] = field(default_factory=dict)
    across: Mapping[Key, Side] = field(default_factory=dict)

    def wall(self, room: str, wall: str) -> WallSite:
        """A wall by its room and name; KeyError where there is none."""
        return self.rooms[room].walls[wall]

    def other_side(self, room: Room, wall: Wall, opening: Opening) -> Side | None:
        """The same opening as the room behind it lists it; None where it does not, or that was not said."""
        return self.across.get(Side(room=room, wall=wall, opening=opening).key)
