"""The stage: a height for every dado and plate rail in every room, tested against what is on the walls."""

from __future__ import annotations

from collections.abc import Generator, Iterator

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim
from listel.plugins.heights import candidates as rules
from listel.plugins.heights import clashing, levels, telling
from listel.plugins.heights.case import Case
from listel.plugins.heights.clash_telling import clash_findings
from listel.plugins.heights.results import RailHeight, RailHeights, RoomOrders, StairHeight, WallOrders
from listel.plugins.heights.rooms import room_orders
from listel.plugins.heights.stairs import stair_height
from listel.plugins.site import FlightSite, RoomSite, Site

MEMBERS = ("dado-rail", "plate-rail")


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Every rail in every room where it runs or has left a mark; then the rails on stairs."""
    lines: list[RailHeight] = []
    stairs: list[StairHeight] = []
    rooms = tuple(sheet[Site].rooms[room.name] for room in job.rooms)
    orders = tuple(room_orders(job, room) for room in rooms)
    for site, against in zip(rooms, orders, strict=True):
        for case in _cases(job, site, against):
            line = yield from _rail(case)
            lines.append(line)
            for flight in _flights(case):
                found = stair_height(
                    job, site.name, flight, trim=case.trim_name, face=case.surveyed_face, level=line.top
                )
                yield from telling.stair_findings(job, site.room, flight.flight, found)
                stairs.append(found)
    yield RailHeights(tuple(lines), tuple(stairs))
    yield WallOrders(orders)


def _cases(job: Job, site: RoomSite, orders: RoomOrders) -> Iterator[Case]:
    """Every rail in a room, or the mark of one."""
    for member in MEMBERS:
        for trim in _rails(job, site.room, member):
            yield Case(job=job, site=site, member=member, trim=trim, orders=orders)


def _rails(job: Job, room: Room, member: str) -> list[Trim | None]:
    """The trims of that member in a room; one None where there is none but a mark of it was found."""
    trims: list[Trim | None] = [
        trim for trim in job.trim if trim.member == member and any(place.room == room.name for place in trim.where)
    ]
    marked = any(evidence.member == member for evidence in room.evidence)
    return trims if trims or not marked else [None]


def _flights(case: Case) -> list[FlightSite]:
    """The flights a dado rail runs along: those on its walls, and those whose walls were not surveyed."""
    if case.trim is None or case.member != "dado-rail":
        return []
    walls = {wall.name for room, wall, _, _ in case.job.places(case.trim) if room.name == case.room.name}
    flights = case.site.flights.values()
    return [one for one in flights if not one.flight.walls or any(one.on(wall) for wall in walls)]


def _rail(case: Case) -> Generator[Finding, None, RailHeight]:
    """One rail in one room: yields its findings and returns its line."""
    offers = rules.offers(case)
    departed = any(one.rule == rules.WANTED and one.room in ("", case.room.name) for one in case.job.departures)
    chosen = rules.choose(case, offers, departed)
    band = rules.band(case.member, case.room.use, case.job.units)
    kind = levels.chosen_kind(case.room, case.job.choices.line)
    if chosen is not None:
        clear = rules.clearing(case, offers, chosen, band, lambda top: clashing.judge(case, top, kind).clears)
        chosen = clear or chosen
    answers = rules.candidates(case, offers, chosen, band)
    yield from telling.missing_facts(case)
    yield from telling.evidence_findings(case, offers)
    yield from telling.misfits(case, offers)
    if chosen is None:
        yield from telling.undecided(case)
        return RailHeight(room=case.room.name, trim=case.trim_name, member=case.member, candidates=answers)
    line = levels.rail_line(case.room, chosen.height, kind, case.job.units)
    grounds = rules.with_range(case, chosen.grounds)
    judged = clashing.judge(case, chosen.height, kind)
    yield from telling.choice_findings(case, offers, chosen, band, grounds)
    yield from telling.line_findings(case, line)
    yield from clash_findings(case, judged, chosen)
    return RailHeight(
        room=case.room.name,
        trim=case.trim_name,
        member=case.member,
        top=chosen.height,
        underside=chosen.height - case.depth,
        depth=case.depth,
        counted=levels.counted_from(case.room, case.job.units),
        line=kind,
        error=line.error,
        candidates=answers,
        clashes=judged.clashes,
        stations=line.stations,
        clears=judged.clears,
        offered=judged.offered,
        grounds=grounds,
    )
