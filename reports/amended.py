"""What firms set: a row for each author and kind of line, what was and is now, and where."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from listel.core.contract.lines import Amendment
from listel.core.host.engine import Outcome
from listel.core.house.filters import shown_value
from listel.core.survey.units import Units

MOST_CHANGES = 6
"""So many changes of one key are written out; of more only what it is now."""


@dataclass(frozen=True)
class Amended:
    """What one author set in lines of one kind: each change in words, and the places in words with their lines
    counted."""

    by: str
    kind: str
    changes: tuple[str, ...]
    places: tuple[tuple[str, int], ...]


def amended(outcome: Outcome) -> list[Amended]:
    """What firms' rules and plugins set on the lines of the results, by author and kind, in the order it came."""
    groups: dict[tuple[str, str], list[Amendment]] = {}
    for each in outcome.amendments:
        groups.setdefault((each.by, each.kind), []).append(each)
    return [
        Amended(by, kind, tuple(_changes(group, outcome.job.units)), _places(group))
        for (by, kind), group in groups.items()
    ]


def _changes(group: Iterable[Amendment], units: Units) -> Iterable[str]:
    by_key: dict[str, dict[str, None]] = {}
    for each in group:
        was, now = (shown_value(value, each.unit, units) for value in (each.was, each.now))
        by_key.setdefault(each.key.replace("_", " "), {})[f"{now} (was {was})"] = None
    for key, changes in by_key.items():
        if len(changes) <= MOST_CHANGES:
            yield from (f"{key} {change}" for change in changes)
        else:
            yield f"{key} in {len(changes)} ways"


def _places(group: Iterable[Amendment]) -> tuple[tuple[str, int], ...]:
    lines = {(each.result, each.field, each.index): str(each.where) for each in group}
    counts: dict[str, int] = {}
    for place in lines.values():
        counts[place] = counts.get(place, 0) + 1
    return tuple(counts.items())
