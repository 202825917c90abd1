"""What firms set: a row for each author and kind of line, what was and is now, and where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from listel.core.contract.lines import Amendment
from listel.core.host.outcome import Outcome
from listel.core.house.filters import shown_value, shown_values
from listel.core.quick import dataclass
from listel.core.survey.units import Units


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


def _changes(group: Iterable[Amendment], units: Units) -> Iterator[str]:
    """What each key was set to, and what it was."""
    by_key: dict[tuple[str, str, str], list[Any]] = {}
    for each in group:
        now = shown_value(each.now, each.unit, units)
        by_key.setdefault((each.key.replace("_", " "), now, each.unit), []).append(each.was)
    for (key, now, unit), was in by_key.items():
        yield f"{key} {now} (was {shown_values(was, unit, units)})"


def _places(group: Iterable[Amendment]) -> tuple[tuple[str, int], ...]:
    """Each room with its walls, and how many lines they have."""
    lines = {(each.result, each.field, each.index): each.where for each in group}
    walls: dict[str, dict[str, None]] = {}
    counts: dict[str, int] = {}
    for where in lines.values():
        walls.setdefault(where.room, {})[where.wall] = None
        counts[where.room] = counts.get(where.room, 0) + 1
    return tuple((_room(room, [name for name in names if name]), counts[room]) for room, names in walls.items())


def _room(room: str, walls: Sequence[str]) -> str:
    names = f"wall{'s' if len(walls) > 1 else ''} {', '.join(walls)}" if walls else ""
    return ", ".join(filter(None, (room, names))) or "the whole job"
