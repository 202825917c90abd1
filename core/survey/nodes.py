"""A survey's plain data as the judges of sense read it, whatever its form; and what they all ask of a place on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from listel.core.quick import dataclass
from listel.core.survey.messages import KeyPath, did_you_mean, shown
from listel.core.survey.units import Units, parse_angle, parse_length, show_length

Told = tuple[KeyPath, str]
"""A fault: where, and what is wrong there."""
TAPE_SLACK = 5.0
"""mm by which a station may pass a wall's taped length before it is a fault: two tape readings seldom agree."""


@dataclass(frozen=True)
class Node:
    """A map of the survey's data with its path; what has not the form it should have reads as nothing."""

    data: dict[str, Any]
    path: KeyPath
    units: Units

    def maps(self, key: str) -> list[Node]:
        """The maps in the list under that key."""
        items = self.data.get(key)
        if not isinstance(items, list):
            return []
        return [
            Node(item, (*self.path, key, at), self.units) for at, item in enumerate(items) if isinstance(item, dict)
        ]

    def map(self, key: str) -> Node:
        """The map under that key, empty if there is none."""
        held = self.data.get(key)
        return Node(held if isinstance(held, dict) else {}, (*self.path, key), self.units)

    def texts(self, key: str) -> list[tuple[KeyPath, str]]:
        """The texts in the list under that key, each with its path."""
        items = self.data.get(key)
        if not isinstance(items, list):
            return []
        return [((*self.path, key, at), item) for at, item in enumerate(items) if isinstance(item, str)]

    def text(self, key: str) -> str:
        """The text under that key, or ""."""
        held = self.data.get(key)
        return held if isinstance(held, str) else ""

    def length(self, key: str) -> float | None:
        """The length under that key in mm, or None."""
        return parsed(self.data.get(key), lambda value: parse_length(value, self.units))

    def angle(self, key: str) -> float | None:
        """The angle under that key in degrees, or None."""
        return parsed(self.data.get(key), parse_angle)

    def at(self, key: str) -> KeyPath:
        """The path of that key."""
        return (*self.path, key)


def parsed(value: object, parse: Callable[[object], float]) -> float | None:
    """A value as it is read; None where it cannot be, which the schema tells."""
    try:
        return parse(value)
    except ValueError:
        return None


def named(path: KeyPath, name: str, known: Iterable[str], what: str) -> Iterator[Told]:
    """A fault where a name is none of those known; an empty one tells nothing."""
    names = [one for one in known if one]
    if name and name not in names:
        yield path, f"there is no {what} called {shown(name)}.{did_you_mean(name, names, 'it may be')}"


def names_of(nodes: list[Node]) -> list[str]:
    """The names of these maps."""
    return [node.text("name") for node in nodes]


def span_faults(node: Node, end: float | None, what: str) -> Iterator[Told]:
    """Faults of a from and a to: reversed, or past the end of what they lie on."""
    start, stop = node.length("from"), node.length("to")
    if start is not None and stop is not None and stop < start:
        yield (
            node.at("to"),
            f"it ends at {show_length(stop, node.units)}, before it begins at {show_length(start, node.units)}",
        )
    for key, at in (("from", start), ("to", stop)):
        if at is not None and end is not None and at > end + TAPE_SLACK:
            yield (
                node.at(key),
                f"{show_length(at, node.units)} is past the end of {what} at {show_length(end, node.units)}",
            )


def past_end(path: KeyPath, at: float | None, end: float | None, what: str, units: Units) -> Iterator[Told]:
    """A fault where a station lies past the end of its wall by more than two tapes may differ."""
    if at is not None and end is not None and at > end + TAPE_SLACK:
        yield path, f"{what} at {show_length(at, units)}, past the end of the wall at {show_length(end, units)}"
