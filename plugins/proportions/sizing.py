"""How big a member should be: usual sizes by period, shares of the room, and what the authors' orders give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.tables import Row
from listel.plugins.proportions.case import LESSER_RANKS, Case, limit, table
from listel.plugins.proportions.results import Suggestion

ORDER_PARTS = {"skirting": "base", "frieze": "frieze", "cornice": "cornice"}
"""Which part of an order each member answers to."""


def suggestions(case: Case) -> Iterator[Suggestion]:
    """Every rule's size for a member in its room."""
    for row in table("sizes"):
        if row["member"] == case.member and applies(row, case):
            sized = _sized(row, case)
            if sized is not None:
                yield sized
    yield from classical(case)


def applies(row: Row, case: Case) -> bool:
    """Whether a row is for the period and the place of a room."""
    periods = row.get("periods")
    return (not periods or bool(set(periods) & set(case.orders.spans))) and (case.american or not row.get("american"))


def _sized(row: Row, case: Case) -> Suggestion | None:
    height = case.orders.height
    inputs: tuple[Input, ...] = ()
    if row.get("share-low") is None:
        low, high = float(row["low"]), float(row["high"])
    elif height is None:
        return None
    else:
        low, high = height * row["share-low"], height * row["share-high"]
        inputs = (case.height_input,)
    says = row["says"]
    if row.get("ranked") and case.room.rank in LESSER_RANKS:
        low, high = lesser(low, high)
        says += ", less in an upper or service room"
    shown = case.show(low) if low == high else f"{case.show(low)} to {case.show(high)}"
    return Suggestion(rule=says, low=low, high=high, grounds=Grounds(inputs, says, "", shown, row.sources))


def lesser(low: float, high: float) -> tuple[float, float]:
    """A range of sizes for an upper or service room, mm, from that of a principal room, mm.

    Source: our own setting (allowance), the table ``limits``.
    """
    return low * limit("lesser-low"), high * limit("lesser-high")


def classical(case: Case) -> Iterator[Suggestion]:
    """What the order followed gives, and the range over all authors."""
    part = ORDER_PARTS.get(case.member)
    if part is None:
        return
    followed = case.orders.followed
    if followed is not None:
        size = followed.part(part)
        if size is not None:
            shown = case.show(size)
            says = f"the {part} of the {followed.order.title()} order after {followed.printed}"
            grounds = replace(followed.grounds, formula=says, worked=shown, result=shown)
            yield Suggestion(rule=says, low=size, high=size, grounds=grounds)
    sizes = [size for order in case.orders.orders if (size := order.part(part)) is not None]
    if sizes:
        low, high = min(sizes), max(sizes)
        sources = tuple(dict.fromkeys(source for order in case.orders.orders for source in order.grounds.sources))
        shown = f"{case.show(low)} to {case.show(high)}"
        says = f"the {part} of an order over all authors"
        grounds = Grounds((case.height_input,), says, "", shown, sources)
        yield Suggestion(rule=says, low=low, high=high, grounds=grounds)


def verdict(case: Case, found: Sequence[Suggestion]) -> str:
    """How the surveyed size sits with the rules, in a sentence; empty where it or they are lacking."""
    size, sized = case.size, [one for one in found if one.low is not None and one.high is not None]
    if size is None or not sized:
        return ""
    shown = case.show(size)
    low, high = min(one.low or 0.0 for one in sized), max(one.high or 0.0 for one in sized)
    reach = case.show(low) if low == high else f"{case.show(low)} to {case.show(high)}"
    outside = outside_all(case, found)
    if outside:
        way = "smaller" if outside < 0 else "larger"
        return f"At {shown} it is {way} than any rule gives: {reach}."
    agree = [one.rule for one in sized if _side(size, one) == 0]
    if not agree:
        return f"At {shown} it fits the range of the rules, {reach}, not any one of them."
    if len(agree) == len(sized):
        return f"At {shown} it agrees with {'every rule' if len(sized) > 1 else agree[0]}."
    more = f", and with {len(agree) - 1} more" if len(agree) > 1 else ""
    return f"At {shown} it agrees with {agree[0]}{more}."


def _side(size: float, one: Suggestion) -> int:
    """-1 where a size is smaller than a suggestion, 1 where it is larger, 0 where it agrees to half a millimetre."""
    if one.low is None or one.high is None or one.low - 0.5 <= size <= one.high + 0.5:
        return 0
    return -1 if size < one.low else 1


def outside_all(case: Case, found: Sequence[Suggestion]) -> int:
    """-1 where the surveyed size is smaller than every rule's, 1 where it is larger, else 0."""
    sides = {_side(case.size, one) for one in found if one.low is not None} if case.size is not None else set()
    return sides.pop() if len(sides) == 1 else 0
