"""A map of checked survey data, read key by key: lengths in mm, angles in degrees, temperatures in C."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from listel.core.survey.units import Units, parse_angle, parse_length, parse_percent, parse_temperature

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Checked:
    """A map of checked data: its keys as the survey spells them, its path, and the survey's units and lines."""

    data: Mapping[str, Any]
    path: str
    units: Units
    lines: Mapping[str, int]

    def get(self, key: str, default: Any = None) -> Any:
        """The value as written, or the default."""
        return self.data.get(key, default)

    def length(self, key: str) -> float | None:
        """A length in mm, or None."""
        return parse_length(self.data[key], self.units) if key in self.data else None

    def mm(self, key: str) -> float:
        """A length in mm that must be there."""
        return parse_length(self.data[key], self.units)

    def angle(self, key: str) -> float | None:
        """An angle in degrees, or None."""
        return parse_angle(self.data[key]) if key in self.data else None

    def percent(self, key: str) -> float | None:
        """A percentage, or None."""
        return parse_percent(self.data[key]) if key in self.data else None

    def temperature(self, key: str) -> float | None:
        """A temperature in C, or None."""
        return parse_temperature(self.data[key]) if key in self.data else None

    def number(self, key: str) -> float | None:
        """A plain number, or None."""
        return float(self.data[key]) if key in self.data else None

    def count(self, key: str) -> int | None:
        """A whole number, or None (JSON Schema counts 4.0 as whole)."""
        return int(self.data[key]) if key in self.data else None

    def lengths(self, key: str) -> tuple[float, ...]:
        """A list of lengths in mm."""
        return tuple(parse_length(value, self.units) for value in self.data.get(key, ()))

    def inside(self, key: str) -> Checked:
        """The map under that key, empty if there is none."""
        return Checked(self.data.get(key, {}), self._at(key), self.units, self.lines)

    def one(self, key: str, read: Callable[[Checked], T]) -> T | None:
        """The object under that key, or None."""
        return read(self.inside(key)) if key in self.data else None

    def many(self, key: str, read: Callable[[Checked], T]) -> tuple[T, ...]:
        """The objects in the list under that key."""
        return tuple(
            read(Checked(item, self._at(f"{key}/{at}"), self.units, self.lines))
            for at, item in enumerate(self.data.get(key, ()))
        )

    def _at(self, key: str) -> str:
        return f"{self.path}/{key}" if self.path else key
