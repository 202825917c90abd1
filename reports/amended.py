"""The lines that a firm's own rules amended: who set what, to what, and where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from listel.core.contract.lines import lines_of, meanings
from listel.core.host.engine import Outcome


@dataclass(frozen=True)
class Amended:
    """One key that one rule set to one value: ``places`` in words, each with its number of lines."""

    by: str
    kind: str
    key: str
    value: Any
    unit: str
    places: tuple[tuple[str, int], ...]


def amended(outcome: Outcome) -> list[Amended]:
    """What firms' rules and plugins set on the lines of the results, by rule, in the order it came."""
    found: dict[tuple[str, str, str, Any, str], dict[str, int]] = {}
    for by, line, key in _set(outcome):
        value, unit = getattr(line, key), meanings(type(line))[key][1]
        places = found.setdefault((by, line.LINE, key.replace("_", " "), value, unit), {})
        place = _place(line)
        places[place] = places.get(place, 0) + 1
    return [Amended(*told, tuple(places.items())) for told, places in found.items()]


def _set(outcome: Outcome) -> Iterator[tuple[str, Any, str]]:
    for result in outcome.sheet:
        for _, _, line in lines_of(result):
            for key, by in getattr(line, "set_by", ()):
                if hasattr(line, key):
                    yield by, line, key


def _place(line: Any) -> str:
    """Room and wall, else what else says which line it is."""
    wall = getattr(line, "wall", "")
    parts = [getattr(line, "room", ""), f"wall {wall}" if wall else "", getattr(line, "trim", "")]
    return ", ".join(part for part in parts if part) or str(getattr(line, "name", "")) or "the whole job"
