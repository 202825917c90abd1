"""The stage: size and height of every member but the rails placed by ``heights``, against room and period."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence

from listel.core.contract.findings import Finding
from listel.core.contract.firms import FirmHeights
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim
from listel.plugins.heights import RailHeights, RoomOrders, WallOrders
from listel.plugins.proportions import openings, panels, placing, sizing, telling
from listel.plugins.proportions.case import Case
from listel.plugins.proportions.results import MemberProportion, OrderShares, PanelFrame, Proportions, Suggestion
from listel.plugins.site import traces_in

MEMBERS = (
    "skirting",
    "panel-mould",
    "wainscot-cap",
    "architrave",
    "plinth-block",
    "picture-rail",
    "frieze",
    "cornice",
)
"""The members this stage places and measures, from the floor up."""

STACKS = (("base", "die", "cap"), ("architrave", "frieze", "cornice"))
"""The parts of a pedestal and of an entablature, from the floor up."""


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Every member in every room where it goes or has left a mark; the order followed on each wall."""
    against = sheet[WallOrders]
    rails, firms = sheet.get(RailHeights) or RailHeights(), sheet.get(FirmHeights) or FirmHeights()
    lines: list[MemberProportion] = []
    shares: list[OrderShares] = []
    frames: list[PanelFrame] = []
    for room in job.rooms:
        orders = against.of(room.name) or RoomOrders(room=room.name)
        shares += order_shares(orders)
        yield from telling.out_of_time(job, room, orders)
        here = tuple(rails.lines_in(room.name))
        for member, trim in members_in(job, room):
            offered = tuple(firms.of(room.name, member))
            case = Case(job=job, room=room, member=member, trim=trim, orders=orders, rails=here, firms=offered)
            mine = panels.panel_frames(case, panels.panel_zone(case)) if member == "panel-mould" else []
            frames += mine
            yield from telling.panels_not_surveyed(case, mine)
            lines.append((yield from _member(case, mine)))
    yield from telling.in_two_pieces(job)
    yield Proportions(tuple(lines), tuple(shares), tuple(frames))


def members_in(job: Job, room: Room) -> list[tuple[str, Trim | None]]:
    """The members of a room with their trims, from the floor up; None for one that has only left a mark."""
    found: list[tuple[str, Trim | None]] = []
    for member in MEMBERS:
        trims = [trim for trim in job.trims_in(room.name) if trim.member == member]
        found += [(member, trim) for trim in trims]
        if not trims and any(evidence.member == member for evidence in traces_in(room)):
            found.append((member, None))
    return found


def order_shares(orders: RoomOrders) -> Iterator[OrderShares]:
    """The order followed in a room as parts from floor to ceiling, which sum to the room height."""
    order = orders.followed
    if order is None or orders.height is None:
        return
    parts: list[tuple[str, float]] = []
    for whole, names in zip(("pedestal", "entablature"), STACKS, strict=True):
        sizes = [(name, order.part(name)) for name in names]
        known = [(name, size) for name, size in sizes if size is not None]
        total = order.part(whole)
        if known:
            parts += known
        elif total is not None:
            parts.append((whole, total))
        column = order.part("column")
        if whole == "pedestal" and column is not None:
            parts.append(("column", column))
    rest = orders.height - sum(size for _, size in parts)
    if rest > 1e-6:
        parts.append(("the rest of the order", rest))
    yield OrderShares(
        room=orders.room,
        author=order.printed,
        order=order.order,
        height=orders.height,
        parts=tuple(parts),
        grounds=order.grounds,
    )


def _suggestions(case: Case, frames: Sequence[PanelFrame]) -> list[Suggestion]:
    if case.member == "architrave":
        return [*openings.architrave_suggestions(case), *sizing.suggestions(case)]
    if case.member == "plinth-block":
        return list(openings.block_suggestions(case))
    if case.member == "panel-mould":
        return list(panels.panel_suggestions(frames, case))
    found = list(sizing.suggestions(case))
    return [*found, *placing.picture_rail_suggestions(case)] if case.member == "picture-rail" else found


def _place(case: Case) -> tuple[placing.Place | None, list[placing.Place]]:
    """Where the member goes, with every ground that was weighed."""
    if ranked := {"picture-rail": placing.picture_rail_places, "wainscot-cap": placing.capping_places}.get(case.member):
        places = ranked(case)
        return (places[0] if places else None), places
    if case.member in ("skirting", "plinth-block"):
        return placing.standing_place(case), []
    if case.member in ("cornice", "frieze"):
        return placing.hanging_place(case), []
    return None, []


def _member(case: Case, frames: Sequence[PanelFrame]) -> Generator[Finding, None, MemberProportion]:
    """One member in one room: yields its findings and returns its line."""
    found = _suggestions(case, frames)
    place, places = _place(case)
    found += [Suggestion(rule=one.rule, top_low=one.top, top_high=one.top, grounds=one.grounds) for one in places]
    yield from telling.missing_facts(case, place)
    yield from telling.size_findings(case, found)
    yield from telling.place_findings(case, place, places)
    top = place.top if place else None
    underside = top - case.size if top is not None and case.size is not None else None
    if case.member in ("skirting", "plinth-block"):
        underside = 0.0
    if case.member == "panel-mould":
        zone = panels.panel_zone(case)
        underside, top = zone if zone else (None, None)
    line = placing.ceiling_line(case)
    below = None
    if top is not None and case.ceiling is not None and line is not None and case.member in telling.BY_ROOM_HEIGHT:
        below = max(0.0, (case.ceiling if case.member == "cornice" else line[0]) - top)
    sized = [] if case.member == "panel-mould" else found
    return MemberProportion(
        room=case.room.name,
        member=case.member,
        trim=case.trim_name,
        size=case.size,
        top=top,
        underside=underside,
        below_ceiling=below,
        suggestions=tuple(found),
        chosen_rule=place.rule if place else "",
        gives_way=mark.rule if (mark := placing.gives_way(case, places)) else "",
        verdict=sizing.verdict(case, sized),
        grounds=place.grounds if place else telling.size_grounds(case, found),
    )
