"""A room read back in words: figures alone never show that it was listed the wrong way round."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.own import On, Schema, own_facts
from listel.core.survey.references import ELSEWHERE
from listel.core.survey.units import Units, show_angle, show_length, show_load
from listel.plugins.site import FlightSite, corner_pairs, joining, site_of, straight_nosings, tables


def read_back(room: Room, units: Units) -> str:
    """A room in one line, as one walks it: "wall A 4862 mm, then right at an inside corner of 91.3° to wall B ..."."""
    if not room.walls:
        return "no walls"
    met = {wall.name for wall, _ in corner_pairs(room)}
    said = [f"wall {_wall(room.walls[0], units)}"]
    said += [
        f"then {_turn(wall)} to wall {_wall(after, units)}"
        if wall.name in met
        else f"apart from that wall {_wall(after, units)}"
        for wall, after in pairwise(room.walls)
    ]
    last = room.walls[-1]
    if last.name in met:
        said.append(f"then {_turn(last)} back to wall {room.walls[0].name}")
    elif last.corner:
        said.append(f"then {_turn(last)} and on, not surveyed")
    return ", ".join(said)


def flights_in_words(job: Job, room: Room) -> Iterator[str]:
    """Each flight of a room, wall by wall: how far it climbs, from where to where."""
    for flight in site_of(job).rooms[room.name].flights.values():
        for along in flight.flight.walls:
            nosings = straight_nosings(flight.flight, along)
            if len(nosings) < 2 or flight.climb is None:
                yield f"{flight.flight.called}, wall {along.wall}: how far it climbs there was not surveyed"
                continue
            foot, head, climb = (show_length(mm, job.units) for mm in (nosings[0], nosings[-1], flight.climb))
            begins = _begins(room.wall(along.wall), job.units) + _winds(flight, along.wall, before=True)
            yield (
                f"{flight.flight.called}, wall {along.wall}: from {foot}, on {begins}, it climbs {climb} to the "
                f"{along.up}, to its top nosing at {head}{_winds(flight, along.wall, before=False)}"
            )


def _begins(wall: Wall, units: Units) -> str:
    """The floor that a flight starts from on a wall."""
    if not wall.raised:
        return "the floor of the room"
    side = "above" if wall.raised > 0 else "below"
    return f"a floor {show_length(abs(wall.raised), units)} {side} that of the room"


def _winds(flight: FlightSite, wall: str, before: bool) -> str:
    """The winders before the foot of a flight's straight steps on a wall, or beyond their head, after a comma; empty
    where none are known."""
    winding = flight.windings.get(wall)
    if winding is None or winding.beyond is before:
        return ""
    at = "" if winding.corner is None else f" round the corner at its {'right' if winding.corner else 'left'} end"
    return f", {'after' if before else 'then'} winders{at}"


def trims_in_words(job: Job) -> Iterator[str]:
    """Each trim with the walls it goes on, room by room, and those of these rooms that it was not given."""
    for trim in job.trim:
        rooms: dict[str, list[str]] = {}
        for room, wall, _, _ in job.places(trim):
            rooms.setdefault(room.name, []).append(wall.name)
        told = "; ".join(f"{name}, {_on(trim, job.room(name), walls)}" for name, walls in rooms.items())
        load = f"; carries {show_load(trim.load, job.units)}" if trim.load else ""
        yield f"{trim.name}: {told or 'no wall, it only mends old trim'}{load}"


def _on(trim: Trim, room: Room, walls: list[str]) -> str:
    """The walls of a room that a trim goes on; of one that goes along walls those it leaves out are named."""
    named = list(dict.fromkeys(walls))
    left = [wall.name for wall in room.walls if wall.name not in named]
    if not left and len(named) > 1:
        return "all walls"
    on = f"wall{'s' if len(named) > 1 else ''} {', '.join(named)}"
    return f"{on}, not {', '.join(left)}" if left and tables.goes_along_walls(trim.member) else on


def ways_through(job: Job) -> Iterator[str]:
    """Each opening of which it was said where it leads, once, with the same one as that room lists it."""
    across, told = site_of(job).across, set()
    for side in joining(job):
        other = across.get(side.key)
        told.add(side.key)
        if other and other.key not in told:
            yield f"the {side.named(job)} is the {other.named(job)}"
        elif not other and side.opening.leads_to:
            room = side.opening.leads_to
            yield f"the {side.named(job)} leads {'to no room of this survey' if room == ELSEWHERE else f'to {room}'}"


def own_in_words(job: Job, schema: Schema) -> Iterator[tuple[str, str]]:
    """Each place with the facts of it that firms ask for, by firm."""
    holders: list[tuple[On, str, Any]] = [("job", "the job", job)]
    holders += [("room", room.name, room) for room in job.rooms]
    holders += [("wall", f"{room.name}, wall {wall.name}", wall) for room in job.rooms for wall in room.walls]
    holders += [("trim", trim.name, trim) for trim in job.trim]
    for on, place, holder in holders:
        told = [(fact, fact.told(holder.own, job.units)) for fact in own_facts(schema, on)]
        says = "; ".join(f"{fact.says} ({fact.plugin}) {value}" for fact, value in told if value)
        if says:
            yield place, says


def _wall(wall: Wall, units: Units) -> str:
    return f"{wall.name} {show_length(wall.length.value, units) if wall.length else 'of unknown length'}"


def _turn(wall: Wall) -> str:
    """The turn at a wall's right end, as one who faces the wall and walks to the right makes it."""
    corner = wall.corner
    if corner is None:
        return "a corner that was not surveyed"
    side, kind = ("right", "an inside") if corner.kind == "internal" else ("left", "an outside")
    angle = "of unknown angle" if corner.angle is None else f"of {show_angle(corner.angle)}"
    return f"{side} at {kind} corner {angle}"
