"""Many jobs by one firm's rates: what they come to by trade and heading, and what boards bought together save."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from math import fsum

from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.plugins.cutting import PooledTrim, Purchase
from listel.plugins.estimate.pricing import board_price, by_the_length, rounded
from listel.plugins.estimate.rates import Rates
from listel.plugins.estimate.results import NOUGHT, Estimate, about_what


@dataclass(frozen=True, kw_only=True)
class Sum:
    """What lines of one ``kind`` come to: the ``trade`` of labour, the ``heading`` they are read under, their hours and
    amount; ``unpriced``: how many of them the rates have no price for."""

    kind: str
    trade: str
    heading: str
    hours: float
    amount: float
    unpriced: int


def sums(estimate: Estimate, members: Mapping[str, str]) -> tuple[Sum, ...]:
    """An estimate by trade and heading; labour at a trim stands under its member, by the trim's name."""
    return summed(
        Sum(
            kind=item.kind,
            trade=item.trade,
            heading=about_what("", members.get(item.trim, "")) if item.heading == item.trim else item.heading,
            hours=float(item.hours or 0),
            amount=float(item.amount or 0),
            unpriced=int(item.amount is None),
        )
        for item in estimate.items
    )


def summed(of: Iterable[Sum]) -> tuple[Sum, ...]:
    """Those of one kind, trade and heading as one, in the order of the kinds; each amount to its hundredth."""
    order = [row.name for row in load_table(__package__, "kinds").rows]
    found: dict[tuple[int, str, str], list[Sum]] = {}
    for one in of:
        found.setdefault((order.index(one.kind), one.trade, one.heading), []).append(one)
    return tuple(
        Sum(
            kind=order[kind],
            trade=trade,
            heading=heading,
            hours=round(fsum(one.hours for one in alike), 4),
            amount=round(fsum(one.amount for one in alike), 2),
            unpriced=sum(one.unpriced for one in alike),
        )
        for (kind, trade, heading), alike in sorted(found.items())
    )


def saved_together(line: PooledTrim, rates: Rates) -> Decimal:
    """What the boards of a trim cost less bought together than house by house, as the estimate prices them; nothing
    where a board has no price in the money of the rates, or pieces are left uncut."""
    apart, together = (_worth(bought, line, rates) for bought in (line.bought_apart, line.bought))
    if apart is None or together is None or line.unmade:
        return NOUGHT
    return max(NOUGHT, apart - together)


def _worth(bought: Iterable[Purchase], line: PooledTrim, rates: Rates) -> Decimal | None:
    worth, by_length = NOUGHT, rates.timber_for(line.trim, line.alike[0])
    for boards in bought:
        own = board_price(line.currency, rates, boards.price) if line.priced else None
        price = by_the_length(by_length, boards.length) if own is None else own
        if price is None:
            return None
        worth += boards.count * price
    return worth


def laid_on(amount: Decimal, rates: Rates) -> Decimal:
    """An amount with the shares of overheads, margin, contingency and taxes that are laid on it."""
    for share in (rates.overheads, rates.margin, rates.contingency):
        if share is not None and share.rate is not None:
            amount += rounded(amount * share.rate / 100)
    return amount + sum((rounded(amount * tax.rate / 100) for tax in rates.tax if tax.rate is not None), NOUGHT)
