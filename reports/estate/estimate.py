"""The estimate over all houses: the sum of theirs by trade and heading, less what timber bought together saves."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from listel.core.quick import dataclass
from listel.plugins.cutting import PooledTrim
from listel.plugins.estimate import Rates, Sum, laid_on, saved_together, summed
from listel.reports.estate.house import House


@dataclass(frozen=True, kw_only=True)
class OverAll:
    """``apart``: the houses' totals, which the ``rows`` sum to; ``saved``: by trim, what its boards cost less bought
    together; ``laid_on``: the overheads, margin, contingency and tax that fall away with it."""

    firm: str
    currency: str
    houses: int
    rows: tuple[Sum, ...]
    apart: float
    saved: tuple[tuple[str, float], ...]
    laid_on: float

    @property
    def together(self) -> float:
        """What all come to with their timber bought together."""
        return round(self.apart - fsum(saving for _, saving in self.saved) - self.laid_on, 2)

    @property
    def unpriced(self) -> int:
        """Lines the rates have no price for."""
        return sum(row.unpriced for row in self.rows)


def over_all(houses: Sequence[House], timber: Sequence[PooledTrim], rates: Rates | None) -> OverAll | None:
    """The estimate over all; None without rates, and where no house could be priced."""
    priced = [house for house in houses if house.total is not None]
    if rates is None or not priced:
        return None
    saved = [(line.named, saved_together(line, rates)) for line in timber]
    return OverAll(
        firm=rates.firm,
        currency=rates.currency,
        houses=len(priced),
        rows=summed(one for house in priced for one in house.sums),
        apart=round(fsum(house.total or 0.0 for house in priced), 2),
        saved=tuple((name, float(saving)) for name, saving in saved if saving),
        laid_on=float(sum(laid_on(saving, rates) - saving for _, saving in saved)),
    )
