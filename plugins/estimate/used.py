"""When hire is used: the days, or the weeks from the covering of the floors, in which somebody is at work, each with
the stage of payment that carries it. Common practice, no source: what the hirer asks for keeping it through the waits
between is the firm's to add."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from listel.core.contract.tables import load_table
from listel.plugins.sequence import Sequence as OrderOfWork

LENGTHS = {"day": 1, "week": 7}
"""The spans that hire is counted by, in days."""


def used(order: OrderOfWork, per: str) -> Counter[str]:
    """How many spans somebody is at work in, by the stage of payment that is the first to be worked at in each."""
    spans: dict[int, list[str]] = {}
    for day, steps in order.at_work:
        spans.setdefault(day // LENGTHS[per], []).extend(steps)
    return Counter(first_stage(steps) for steps in spans.values())


def stage_of(order: OrderOfWork, step: str) -> str:
    """The stage of payment in which a step is begun; empty for one before the floors are covered, or that is not
    worked at."""
    return next((first_stage(steps) for _, steps in order.at_work if step in steps), "")


def first_stage(steps: Iterable[str]) -> str:
    """The first stage of payment that any of these steps belongs to; the first of all where no work names them."""
    works = [row for row in load_table(__package__, "works").rows if not set(steps).isdisjoint(row.get("steps", ()))]
    stages = [row.name for row in load_table(__package__, "stages").rows]
    return min((row["stage"] for row in works), key=stages.index, default=stages[0])
