"""The site from the job: what was read, between readings, and what follows from both."""

from __future__ import annotations

from collections.abc import Mapping
from math import atan2, degrees, radians, tan

from listel.core.contract.tables import open_table
from listel.core.survey.job import Building, Flight, Job, Room, Studs, Wall
from listel.plugins.site.levels import NEAR, Levels, carried_along
from listel.plugins.site.plan import corner_pairs, plan_of
from listel.plugins.site.results import FlightSite, Protection, RoomSite, Site, WallSite, Winding
from listel.plugins.site.two_sides import joining, two_sided
from listel.plugins.site.winders import windings_of

SLACK = 1e-6


def site_of(job: Job) -> Site:
    """The whole site of a job."""
    return Site(
        protection=protection_of(job.building),
        rooms={room.name: room_of(room) for room in job.rooms},
        across=two_sided(joining(job)),
    )


def protection_of(building: Building) -> Protection:
    """What the kind of protection means inside, by the law of the region; where no row holds there, that is not known.
    Source: the table ``protection``."""
    if building.protection is None:
        return Protection()
    rows = [row for row in open_table(__package__, "protection") if building.protection in row["kinds"]]
    by_law = [row for row in rows if building.region in row.get("regions", ())]
    holding = [*by_law, *(row for row in rows if not row.get("regions"))]
    row = (holding or rows)[0]
    says = row["says"].get(building.protection, "protected")
    inside = row.get("inside") if holding else None
    return Protection(
        kind=building.protection, inside=inside, says=says, law=row["law"], row=row, grounds=bool(building.curtilage)
    )


def room_of(room: Room) -> RoomSite:
    """One room, with what its corners tell of two walls and its heights of all."""
    floors = _floors(room)
    line = _ceiling_line(room, floors)
    ceilings = _carried(room, {wall.name: _ceiling_read(room, wall, floors[wall.name]) for wall in room.walls})
    walls = {wall.name: _wall(room, wall, floors[wall.name], ceilings[wall.name], line) for wall in room.walls}
    windings = windings_of(room)
    flights = {flight.name: flight_of(flight, windings) for flight in room.stairs}
    return RoomSite(room=room, plan=plan_of(room), walls=walls, flights=flights)


def _floors(room: Room) -> dict[str, Levels]:
    """The floor readings of each wall, and what is carried to it from the walls next to it. A reading in a corner
    counts for both of its walls, where they have one floor."""
    found = {wall.name: [(each.at, each.to_datum) for each in wall.floor] for wall in room.walls}
    shared: dict[str, list[tuple[float, float]]] = {wall.name: [] for wall in room.walls}
    for first, second in _one_floor(room):
        end = first.length.value if first.length else 0.0
        at_end = [reading for at, reading in found[first.name] if abs(at - end) <= NEAR]
        at_start = [reading for at, reading in found[second.name] if at <= NEAR]
        if at_end and not at_start:
            shared[second.name].append((0.0, at_end[0]))
        elif at_start and not at_end:
            shared[first.name].append((end, at_start[0]))
    return _carried(room, {name: Levels.of([*found[name], *shared[name]]) for name in found})


def _one_floor(room: Room) -> list[tuple[Wall, Wall]]:
    """The walls that meet at a corner, left one first, and stand on one floor: none of which a flight runs along, nor
    one on a floor raised over the other's."""
    stairs = {along.wall for flight in room.stairs for along in flight.walls}
    return [
        (first, second)
        for first, second in corner_pairs(room)
        if first.length is not None
        and (first.raised or 0.0) == (second.raised or 0.0)
        and not {first.name, second.name} & stairs
    ]


def _carried(room: Room, read: dict[str, Levels]) -> dict[str, Levels]:
    """The levels of each wall, with what is carried from one to the next of those that stand on one floor."""
    meet = {second.name: first.name for first, second in _one_floor(room)}
    walls = list(room.walls)
    ring = len(meet) == len(walls) > 1
    first = next((number for number, wall in enumerate(walls) if wall.name not in meet), 0)
    chains: list[list[Wall]] = []
    for wall in walls[first:] + walls[:first]:
        if chains and wall.name in meet:
            chains[-1].append(wall)
        else:
            chains.append([wall])
    return {
        wall.name: levels
        for chain in chains
        for wall, levels in zip(
            chain,
            carried_along([(wall.length.value if wall.length else None, read[wall.name]) for wall in chain], ring),
            strict=True,
        )
    }


def _ceiling_line(room: Room, floors: dict[str, Levels]) -> float | None:
    """The mean ceiling above the level line, from the heights taken, each over its own floor."""
    over = []
    for each in room.height:
        under = floors[each.wall].at(each.at or 0.0) if each.wall in floors else None
        under = room.datum if under is None else under
        if under is not None:
            over.append(each.height - under)
    return sum(over) / len(over) if over else None


def _wall(room: Room, wall: Wall, floors: Levels, ceilings: Levels, line: float | None) -> WallSite:
    here = [each for each in room.height if each.wall == wall.name]
    heights = [each.height for each in here or (() if wall.raised else room.height)]
    length = wall.length.value if wall.length else None
    return WallSite(
        wall=wall,
        length=length,
        floors=floors,
        ceilings=ceilings if ceilings.line or line is None or wall.raised else Levels(readings=((0.0, line),)),
        datum=room.datum,
        usual=sum(heights) / len(heights) if heights else None,
        studs=studs_of(wall.substrate.studs if wall.substrate else None, length),
    )


def _ceiling_read(room: Room, wall: Wall, floors: Levels) -> Levels:
    """The ceiling above the level line as read on a wall, else from the heights taken on it."""
    if wall.ceiling:
        return Levels.of((each.at, each.to_datum) for each in wall.ceiling)
    here = [(each.at, each.height) for each in room.height if each.wall == wall.name and each.at is not None]
    return Levels.of((at, height - under) for at, height in here if (under := _under(room, floors, at)) is not None)


def _under(room: Room, floors: Levels, at: float) -> float | None:
    under = floors.at(at)
    return room.datum if under is None else under


def studs_of(studs: Studs | None, length: float | None) -> tuple[float, ...]:
    """Stations of the studs that were surveyed: found one by one, or stepped off from the first to the wall's end.
    None where only their spacing is known, or how far the wall goes is not."""
    if studs is None:
        return ()
    if studs.positions:
        return tuple(sorted(studs.positions))
    if studs.first is None or not studs.centres or length is None:
        return ()
    count = int((length - studs.first) / studs.centres + SLACK) + 1 if length >= studs.first else 0
    return tuple(studs.first + studs.centres * number for number in range(count))


def pitch_of(rise: float, going: float) -> float:
    """Pitch of a stair [deg] from rise and going of one step [mm]. Source: trigonometry."""
    return degrees(atan2(rise, going))


def flight_of(flight: Flight, windings: Mapping[tuple[str, str], Winding] | None = None) -> FlightSite:
    """A flight, with its pitch, climb and advance as far as the survey tells; ``windings`` of the room by flight and
    wall. Source: trigonometry."""
    stepped = bool(flight.rise and flight.going)
    pitch = pitch_of(flight.rise or 0.0, flight.going or 0.0) if stepped else flight.pitch
    climb = flight.rise * flight.steps if flight.rise and flight.steps else None
    advance = flight.going * flight.steps if flight.going and flight.steps else None
    if advance is None and climb is not None and pitch:
        advance = climb / tan(radians(pitch))
    mine = {wall: winding for (name, wall), winding in (windings or {}).items() if name == flight.name}
    return FlightSite(flight=flight, pitch=pitch, climb=climb, advance=advance, windings=mine)
