"""Rates proposed from finished jobs: hours for one of each kind of work, from the hours that jobs took in the end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from decimal import Decimal
from typing import Any

from listel.core.contract.lines import told
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.plugins.estimate.rates import Labour, Rates
from listel.plugins.estimate.results import Estimate, Item
from listel.plugins.estimate.summing import matching

Key = tuple[str, tuple[tuple[str, str], ...]]
"""A kind of work, and what its row of rates is for."""


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """Hours for one of a kind of work: as in the rates ``now``, and as the jobs have it. ``low`` to ``high``: where it
    falls when each of the records is left out in turn; None where there are too few to tell."""

    work: str = told("the kind of work")
    particulars: Mapping[str, str] = field(default_factory=dict)
    now: Decimal | None = told("hours for one as the rates have it", "h", None)
    proposed: float | None = told("hours for one by the jobs", "h", None)
    low: float | None = told("least of it, a record left out", "h", None)
    high: float | None = told("most of it, a record left out", "h", None)
    records: int = told("how many records speak of it", default=0)


@dataclass(frozen=True, kw_only=True)
class Fit:
    """What finished jobs propose. ``says``: what is to be minded, in words."""

    proposals: tuple[Proposal, ...] = ()
    records: int = 0
    says: str = ""


def fitted(jobs: Sequence[Estimate], rates: Rates | None) -> Fit:
    """Non-negative least squares over all records of hours; a record tells the hours of the lines it names.

    Raises InputFault without scipy. Source: C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, 1974,
    chapter 23 (from memory); the spread is the jackknife's.
    """
    records = list(_records(jobs, rates))
    keys = list(dict.fromkeys(key for quantities, _ in records for key in quantities))
    if not records:
        return Fit(says="No survey tells under actual how many hours work took.")
    try:
        import numpy
        from scipy.optimize import nnls
    except ImportError as error:
        raise InputFault("--fit needs scipy: pip install 'listel[office]'") from error
    counts: Any = numpy.array([[float(quantities.get(key, 0)) for key in keys] for quantities, _ in records])
    hours: Any = numpy.array([taken for _, taken in records])
    told_apart = len(records) >= len(keys) and numpy.linalg.matrix_rank(counts) == len(keys)
    best: Any = nnls(counts, hours)[0] if told_apart else None
    spread = _left_out(counts, hours, nnls, numpy) if told_apart and len(records) > len(keys) else None
    rows = _rows(rates)
    proposals = tuple(
        Proposal(
            work=key[0],
            particulars=dict(key[1]),
            now=rows[key].hours if key in rows else None,
            proposed=None if best is None else float(best[number]),
            low=None if spread is None else float(spread[:, number].min()),
            high=None if spread is None else float(spread[:, number].max()),
            records=sum(1 for quantities, _ in records if key in quantities),
        )
        for number, key in enumerate(keys)
    )
    return Fit(proposals=proposals, records=len(records), says=_says(len(records), len(keys), told_apart, spread))


def _left_out(counts: Any, hours: Any, nnls: Any, numpy: Any) -> Any:
    """The solution with each record left out in turn, where the rest still tell the kinds of work apart; else None."""
    found = []
    for number in range(len(hours)):
        rest = numpy.delete(counts, number, axis=0)
        if numpy.linalg.matrix_rank(rest) == counts.shape[1]:
            found.append(nnls(rest, numpy.delete(hours, number))[0])
    return numpy.array(found) if found else None


def _says(records: int, kinds: int, told_apart: bool, spread: Any) -> str:
    if not told_apart:
        return (
            f"{records} records are too few to tell {kinds} kinds of work apart: no rate is proposed. "
            "Record the hours of each kind of work by itself, or add finished jobs."
        )
    if spread is None:
        return (
            f"{records} records for {kinds} kinds of work give rates, but not how far they spread; add finished jobs."
        )
    return ""


def _records(jobs: Sequence[Estimate], rates: Rates | None) -> Iterator[tuple[dict[Key, Decimal], float]]:
    for found in jobs:
        for record in found.actual:
            if record.hours is None:
                continue
            quantities: dict[Key, Decimal] = {}
            for item in matching(found.items, record.work, record.room, record.trim):
                key = _key(item, rates)
                quantities[key] = quantities.get(key, Decimal(0)) + item.quantity
            if quantities:
                yield quantities, record.hours


def _key(item: Item, rates: Rates | None) -> Key:
    about = {key: getattr(item, key) for key in ("trim", "member", "substrate", "state")}
    row = rates.hours_for(item.work, **about) if rates else None
    return (item.work, tuple(row.particulars.items()) if row else ())


def _rows(rates: Rates | None) -> dict[Key, Labour]:
    rows = reversed(rates.labour) if rates else ()
    return {(row.work, tuple(row.particulars.items())): row for row in rows}
