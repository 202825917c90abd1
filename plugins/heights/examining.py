"""The stages: a height for every dado and plate rail in every room, and what is told of each in the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.contract.findings import Finding
from listel.core.contract.firms import FirmHeights
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim
from listel.plugins.heights import candidates as rules
from listel.plugins.heights import clashing, levels, telling
from listel.plugins.heights.candidates import Offer
from listel.plugins.heights.case import Case
from listel.plugins.heights.clash_telling import clash_findings
from listel.plugins.heights.results import RailHeight, RailHeights, WallOrders
from listel.plugins.heights.rooms import room_orders
from listel.plugins.heights.stairs import stair_height
from listel.plugins.site import FlightSite, Site, traces_in

MEMBERS = ("dado-rail", "plate-rail")


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Every rail in every room where it runs or has left a mark; the rails on stairs; every room against the orders."""
    rooms = tuple(sheet[Site].rooms[room.name] for room in job.rooms)
    orders = WallOrders(tuple(room_orders(job, room) for room in rooms))
    cases = _cases(job, sheet, orders)
    lines = []
    for case in cases:
        offers = rules.offers(case)
        lines.append(_line(case, offers, _chosen(case, offers)))
    yield _rails(cases, lines)
    yield orders


def follow(job: Job, sheet: Sheet, rails: RailHeights) -> RailHeights:
    """The rails with what follows from a top that was set: underside, stations, what it clears, the rails on stairs.

    A top that would put the rail outside the room is not followed.
    """
    cases = _cases(job, sheet, sheet[WallOrders])
    lines = []
    for case, was, now in zip(cases, sheet[RailHeights].lines, rails.lines, strict=True):
        if now.top is None or now.top == was.top or case.misfit(now.top):
            lines.append(was)
        else:
            as_set = rules.set_offer(case, now.top)
            lines.append(_line(case, [*rules.offers(case), as_set], as_set))
    return _rails(cases, lines)


def tell(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """What is told of every rail at the height where it stands in the end, and of the rails on stairs."""
    rails = sheet[RailHeights]
    cases = _cases(job, sheet, sheet[WallOrders])
    for case, line in zip(cases, rails.lines, strict=True):
        yield from _told(case, line)
        for flight in _flights(case):
            here = rails.stairs_in(case.room.name)
            found = next(one for one in here if (one.flight, one.trim) == (flight.name, case.trim_name))
            yield from telling.stair_findings(job, case.room, flight.flight, found)


def _cases(job: Job, sheet: Sheet, orders: WallOrders) -> list[Case]:
    """Every rail in every room, or the mark of one, in the order of the survey."""
    site, firms = sheet[Site], sheet.get(FirmHeights) or FirmHeights()
    return [
        Case(
            job=job,
            site=site.rooms[room.name],
            member=member,
            trim=trim,
            orders=against,
            firms=tuple(firms.of(room.name, member)),
        )
        for room, against in zip(job.rooms, orders.rooms, strict=True)
        for member in MEMBERS
        for trim in _trims(job, room, member)
    ]


def _trims(job: Job, room: Room, member: str) -> list[Trim | None]:
    """The trims of that member in a room; one None where there is none but a mark of it was found."""
    trims: list[Trim | None] = [trim for trim in job.trims_in(room.name) if trim.member == member]
    marked = any(evidence.member == member for evidence in traces_in(room))
    return trims if trims or not marked else [None]


def _flights(case: Case) -> list[FlightSite]:
    """The flights a dado rail runs along: those on its walls, and those whose walls were not surveyed."""
    if case.trim is None or case.member != "dado-rail":
        return []
    walls = {wall.name for _, wall, _, _ in case.job.places(case.trim, case.room.name)}
    flights = case.site.flights.values()
    return [one for one in flights if not one.flight.walls or any(one.on(wall) for wall in walls)]


def _rails(cases: Sequence[Case], lines: Sequence[RailHeight]) -> RailHeights:
    """The lines, with the rails on the stairs that they run along."""
    stairs = tuple(
        stair_height(case.job, case.room.name, flight, trim=case.trim_name, face=case.surveyed_face, level=line.top)
        for case, line in zip(cases, lines, strict=True)
        for flight in _flights(case)
    )
    return RailHeights(tuple(lines), stairs)


def _kind(case: Case) -> str:
    return levels.chosen_kind(case.room, case.job.choices.line)


def _chosen(case: Case, offers: Sequence[Offer]) -> Offer | None:
    """The height that decides: by precedence, or one that clears where the trade's share does not."""
    departed = case.job.departed(rules.WANTED, case.room.name) is not None
    chosen = rules.choose(case, offers, departed)
    if chosen is None:
        return None
    band, kind = rules.band(case.member, case.room.use, case.job.units), _kind(case)
    return rules.clearing(case, offers, chosen, band, lambda top: clashing.judge(case, top, kind).clears) or chosen


def _line(case: Case, offers: Sequence[Offer], chosen: Offer | None) -> RailHeight:
    """One rail in one room at the height chosen."""
    band = rules.band(case.member, case.room.use, case.job.units)
    answers = rules.candidates(case, offers, chosen, band)
    if chosen is None:
        return RailHeight(room=case.room.name, trim=case.trim_name, member=case.member, candidates=answers)
    kind = _kind(case)
    line = levels.rail_line(case.room, chosen.height, kind, case.job.units)
    judged = clashing.judge(case, chosen.height, kind)
    return RailHeight(
        room=case.room.name,
        trim=case.trim_name,
        member=case.member,
        top=chosen.height,
        underside=chosen.height - case.depth,
        counted=levels.counted_from(case.room, case.job.units),
        line=kind,
        error=line.error,
        candidates=answers,
        clashes=judged.clashes,
        stations=line.stations,
        clears=judged.clears,
        offered=judged.offered,
        grounds=rules.with_range(case, chosen.grounds),
    )


def _told(case: Case, rail: RailHeight) -> Iterator[Finding]:
    """What is told of one rail in one room."""
    offers = rules.offers(case)
    if len(rail.candidates) > len(offers) and rail.top is not None:
        offers.append(rules.set_offer(case, rail.top))
    yield from telling.missing_facts(case)
    yield from telling.evidence_findings(case, offers)
    yield from telling.misfits(case, offers)
    chosen = next((offer for offer, one in zip(offers, rail.candidates, strict=True) if one.chosen), None)
    if chosen is None:
        yield from telling.undecided(case)
        return
    band = rules.band(case.member, case.room.use, case.job.units)
    yield from telling.choice_findings(case, offers, chosen, band, rail.grounds)
    yield from telling.line_findings(case, levels.rail_line(case.room, chosen.height, rail.line, case.job.units))
    yield from clash_findings(case, clashing.judge(case, chosen.height, rail.line), chosen)
