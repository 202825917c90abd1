"""Every rule's answer for a rail's height in one room, and the choice among them by order of precedence."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, replace

from listel.core.contract.findings import Grounds, Input, Source
from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.units import Units, show_length
from listel.plugins.heights.case import Case
from listel.plugins.heights.orders import pedestal_range, table
from listel.plugins.heights.results import HeightCandidate, RoomOrders

WANTED = "heights/wanted-height-gives-way"
"""The finding that the height asked for gives way to a mark in the room; a departure from it puts the wish first."""


@dataclass(frozen=True)
class Offer:
    """One rule's answer: the ``group`` decides its precedence, ``rank`` its place within the group (lowest first)."""

    group: str
    rule: str
    height: float
    grounds: Grounds
    rank: float = 0
    _: KW_ONLY
    author: str = ""


@dataclass(frozen=True)
class Band:
    """The trade's band for a rail's top edge, mm, in words."""

    low: float
    high: float
    says: str
    sources: tuple[Source, ...]

    def held(self, height: float) -> float:
        """The height, moved to the nearer edge where it lies outside the band."""
        return min(max(height, self.low), self.high)

    def misses(self, height: float) -> float:
        """How far outside the band a height lies, mm: negative below it, positive above it, 0 within."""
        return height - self.held(height)


def band(member: str, use: str | None, units: Units = "mm") -> Band:
    """The trade's band for a member in a room of some use, told in the job's units."""
    rows = [row for row in table("canons") if row["member"] == member and row.get("low") is not None]
    row = min(rows, key=lambda row: (use not in row.get("uses", ()), bool(row.get("uses"))))
    says = f"{row['says']} of {show_length(row['low'], units)} to {show_length(row['high'], units)}"
    return Band(row["low"], row["high"], says, row.sources)


def offers(case: Case) -> list[Offer]:
    """Every rule's answer for a rail in a room: marks, the wish, lines of the room, authors, the trade."""
    found = [*evidence_offers(case), *wanted_offer(case), *firm_offers(case)]
    if case.member == "dado-rail":
        found += wall_offers(case)
        found += order_offers(case.orders, case.job.choices.author is not None)
    if case.orders.height is not None:
        found += rule_offers(case)
    return found


def evidence_offers(case: Case) -> Iterator[Offer]:
    """What each trace of the member in the survey gives."""
    for mark in case.orders.marks:
        if mark.member == case.member:
            group = "room-evidence" if mark.here else "near-evidence"
            yield Offer(group, mark.says, mark.top, mark.grounds, mark.rank)


def firm_offers(case: Case) -> Iterator[Offer]:
    """What the rules of firms offer: a height, or a share of the room's where that was surveyed."""
    for rank, offer in enumerate(case.firms):
        found = offer.reckoned(case.orders.height, case.room.cornice, case.height_input, case.show)
        if found is not None:
            yield Offer("firm", offer.says, *found, rank)


def rule_offers(case: Case) -> Iterator[Offer]:
    """What the trade's shares and fixed heights give in a room whose height was surveyed."""
    height = case.orders.height or 0.0
    yield from share_offers(case.member, height, case.orders.spans, case.room.use, case.job.units, case.height_input)


def share_offers(
    member: str, height: float, spans: Sequence[str], use: str | None, units: Units, given: Input
) -> Iterator[Offer]:
    """Every share and fixed height of the table ``rules`` for a room of some height, mm, then the trade's."""
    for row in table("canons"):
        if row["member"] != member or (row.get("periods") and not set(row["periods"]) & set(spans)):
            continue
        if row.get("share"):
            yield Offer("share", row["says"], *share_of(row, height, units, given))
        elif row.get("fixed"):
            shown = show_length(row["fixed"], units)
            yield Offer("share", row["says"], row["fixed"], Grounds((), row["says"], shown, shown, row.sources))
    yield trade_offer(member, height, use, units, given)


def share_of(row: Row, height: float, units: Units, given: Input) -> tuple[float, Grounds]:
    """A rule's share of the room height, mm, with its grounds."""
    upper, lower = row["share"]
    top = height * upper / lower
    shown = show_length(top, units)
    worked = f"{show_length(height, units)} x {upper}/{lower} = {shown}"
    return top, Grounds((given,), row["says"], worked, shown, row.sources)


def trade_offer(member: str, height: float, use: str | None, units: Units, given: Input) -> Offer:
    """The trade's share held to its band: a quarter of the room for a dado rail, two thirds for a plate rail.

    The quarter comes before the fifth because it lies in the band in ordinary rooms, 2440 to 3660 mm high; the
    fifth does not reach the band below 3050 mm.
    """
    row = table("canons").row("quarter" if member == "dado-rail" else "two-thirds")
    limits = band(member, use, units)
    share, grounds = share_of(row, height, units, given)
    top = limits.held(share)
    held = "within the band" if top == share else f"held to the band: {show_length(top, units)}"
    says = f"{row['says']}, held to {limits.says}"
    low_high = f"{show_length(limits.low, units)} to {show_length(limits.high, units)}"
    return Offer(
        "trade",
        says,
        top,
        replace(
            grounds,
            inputs=(given, Input("band", low_high)),
            formula=says,
            worked=f"{grounds.worked}; {held}",
            result=show_length(top, units),
            sources=tuple(dict.fromkeys(row.sources + limits.sources)),
        ),
    )


def order_offers(orders: RoomOrders, named: bool) -> Iterator[Offer]:
    """The top of the pedestal after every author. ``named``: the survey chose the one that is followed."""
    for line in orders.orders:
        top = line.part("pedestal")
        if top is not None:
            group = "named-author" if named and line.followed else "author"
            yield Offer(
                group, f"{line.order.title()} pedestal after {line.printed}", top, line.grounds, author=line.printed
            )


def wall_offers(case: Case) -> Iterator[Offer]:
    """Heights that lines already in the room give: lock rails of its doors, handrails of its stairs."""
    for wall in case.room.walls:
        for opening in wall.openings:
            if opening.lock_rail is not None:
                line = case.job.line(opening, "lock-rail")
                yield _line_offer(case, "lock-rail", f"on wall {wall.name}", "share", opening.lock_rail, line)
    for flight in case.room.stairs:
        if flight.handrail is not None:
            line = case.job.line(flight, "handrail")
            yield _line_offer(case, "handrail", f"of {flight.called}", "handrail", flight.handrail, line)


def _line_offer(case: Case, rule: str, of: str, group: str, height: float, line: int) -> Offer:
    row = table("canons").row(rule)
    says = f"{row['says']} {of}"
    shown = case.show(height)
    return Offer(group, says, height, Grounds((Input(says, height, "mm", line),), says, shown, shown, row.sources))


def wanted_offer(case: Case) -> Iterator[Offer]:
    """The top the survey asks for."""
    if case.trim is None:
        return
    top, line = case.job.top_asked(case.trim, case.room.name)
    if top is not None:
        given = Input(f"top asked for {case.trim.name}", top, "mm", line)
        sources = table("precedence").row("wanted").sources
        grounds = Grounds((given,), "as the survey asks", "", case.show(top), sources)
        yield Offer("wanted", "the height the survey asks for", top, grounds)


def set_offer(case: Case, top: float) -> Offer:
    """The top that a firm's rule or plugin sets."""
    source = Source("A firm's rule", standing="house-rule")
    grounds = Grounds((Input("top set", top, "mm"),), "as a firm sets it", "", case.show(top), (source,))
    return Offer("set", "the height a firm sets", top, grounds)


def choose(case: Case, found: Iterable[Offer], wish_first: bool = False) -> Offer | None:
    """The offer within the room that comes first in the table ``precedence``; None where none of them can decide.

    ``wish_first``: the person has departed from the rule that a mark in the room comes before the height asked for.
    """
    order = [row.name for row in table("precedence") if row.name not in ("share", "set")]
    if wish_first:
        order.remove("wanted")
        order.insert(0, "wanted")
    deciding = [offer for offer in found if offer.group in order and not case.misfit(offer.height)]
    return min(deciding, key=lambda offer: (order.index(offer.group), offer.rank), default=None)


def clearing(
    case: Case, found: Sequence[Offer], chosen: Offer, limits: Band, clears: Callable[[float], bool]
) -> Offer | None:
    """Of the other rules' heights within the band the nearest that clears everything on the walls, where the trade's
    own share does not; None where none does."""
    if chosen.group != "trade" or clears(chosen.height):
        return None
    named = [
        one for one in found if one.group == "share" and not case.misfit(one.height) and not limits.misses(one.height)
    ]
    clear = [one for one in named if clears(one.height)]
    return min(clear, key=lambda one: abs(one.height - chosen.height), default=None)


def candidates(case: Case, found: Sequence[Offer], chosen: Offer | None, limits: Band) -> tuple[HeightCandidate, ...]:
    """Every offer as a candidate of the result, with the reason why each one that was not chosen gave way."""
    return tuple(
        HeightCandidate(
            rule=offer.rule,
            height=offer.height,
            chosen=offer is chosen,
            set_aside="" if offer is chosen else case.misfit(offer.height) or why_set_aside(offer, chosen),
            misses=_outside(offer, chosen, limits),
            author=offer.author,
            grounds=offer.grounds,
            group=offer.group,
        )
        for offer in found
    )


def why_set_aside(offer: Offer, chosen: Offer | None) -> str:
    """Why an offer gave way, in a few words."""
    if chosen is None:
        return "nothing in the survey decides between the rules"
    if abs(offer.height - chosen.height) < 0.5:
        return "agrees with the chosen height"
    if offer.group == chosen.group:
        return "gave way to a stronger mark" if "evidence" in offer.group else "gave way"
    return f"gave way to {table('precedence').row(chosen.group)['short']}"


def _outside(offer: Offer, chosen: Offer | None, limits: Band) -> float:
    """How far an offer that gave way lies outside the band, mm; 0 within half a millimetre of it."""
    miss = limits.misses(offer.height)
    told = chosen is not None and offer.group != chosen.group and abs(offer.height - chosen.height) >= 0.5
    return miss if told and abs(miss) >= 0.5 else 0.0


def with_range(case: Case, grounds: Grounds) -> Grounds:
    """Grounds of a dado rail with the span of the pedestal over all authors and orders set beside them."""
    if case.orders.height is None or case.member != "dado-rail" or not case.orders.orders:
        return grounds
    low, high = pedestal_range(case.orders.height)
    span = Input("pedestal over all authors and orders", f"{case.show(low)} to {case.show(high)}")
    return replace(grounds, inputs=(*grounds.inputs, span))
