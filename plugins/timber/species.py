"""The timbers of trim, and every published estimate of how far each moves."""

from __future__ import annotations

from typing import Literal

from listel.core.contract.findings import Source
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.plugins.site import tables
from listel.plugins.timber.sorption import board_moisture, moisture_in_room
from listel.plugins.timber.swelling import (
    FIBRE_SATURATION,
    change_by_coefficient,
    change_by_shrinkage,
    coefficient_from_shrinkage,
    in_linear_range,
)

Direction = Literal["radial", "tangential", "plane", "through"]
SOLID: tuple[Direction, ...] = ("radial", "tangential")


def limit(name: str) -> Row:
    """A row of the table of limits."""
    return load_table(__package__, "limits").row(name)


@dataclass(frozen=True)
class Species:
    """One row of the table of timbers."""

    row: Row

    @property
    def name(self) -> str:
        """Its name in the survey."""
        return self.row.name

    @property
    def kind(self) -> str:
        """softwood, hardwood or board."""
        return str(self.row["kind"])

    @property
    def is_board(self) -> bool:
        """Whether it is a board without growth rings."""
        return self.kind == "board"

    @property
    def sources(self) -> tuple[Source, ...]:
        """Where its figures come from."""
        return self.row.sources

    def face(self, rings: str | None) -> tuple[Direction, ...]:
        """The directions that may lie across the face."""
        if self.is_board:
            return ("plane",)
        return SOLID if rings is None else ("tangential",) if rings == "flat-sawn" else ("radial",)

    def depth(self, rings: str | None) -> tuple[Direction, ...]:
        """The directions that may lie through the thickness."""
        if self.is_board:
            return ("through",)
        return SOLID if rings is None else ("radial",) if rings == "flat-sawn" else ("tangential",)

    def moisture_in(self, temperature: float, humidity: float) -> float:
        """The moisture [% MC] it comes to in air of that temperature [C] and humidity [% RH]."""
        return board_moisture(humidity) if self.is_board else moisture_in_room(temperature, humidity)

    def coefficients(self, direction: Direction) -> tuple[float, float]:
        """Handbook coefficients, least and greatest, a share per 1 % MC; from the shrinkage where none is printed."""
        printed = self.row.get(direction)
        if printed is not None:
            return tables.both(printed)
        low, high = tables.both(self.row[f"shrinkage_{direction}"])
        saturation = self.row.get("fibre_saturation", FIBRE_SATURATION)
        return coefficient_from_shrinkage(low, saturation), coefficient_from_shrinkage(high, saturation)

    def handbook_changes(self, direction: Direction, size: float, first: float, last: float) -> tuple[float, ...]:
        """Changes of a size [mm] between moistures [% MC] by the handbook: equation 13-2 in its range, 13-3 outside."""
        if self.is_board:
            return tuple(size * c * (last - first) for c in self.coefficients(direction))
        if in_linear_range(first, last):
            return tuple(change_by_coefficient(size, c, first, last) for c in self.coefficients(direction))
        saturation = self.row.get("fibre_saturation", FIBRE_SATURATION)
        shrinkages = tables.both(self.row[f"shrinkage_{direction}"])
        return tuple(change_by_shrinkage(size, s, first, last, saturation) for s in shrinkages)

    def swelling_changes(self, direction: Direction, size: float, first: float, last: float) -> tuple[float, ...]:
        """The same by the published differential swelling of European timbers; empty where none is published."""
        saturation = self.row.get("fibre_saturation", FIBRE_SATURATION)
        moved = min(last, saturation) - min(first, saturation)
        return tuple(size * q / 100 * moved for q in self.swelling(direction))

    def swelling(self, direction: Direction) -> tuple[float, ...]:
        """Its differential swelling, % per 1 % MC, least and greatest published; empty where none is."""
        published = self.row.get(f"q_{direction}")
        return () if published is None else tables.both(published)

    def changes(self, direction: Direction, size: float, first: float, last: float) -> tuple[float, ...]:
        """Every estimate of the change, mm, positive when it swells."""
        return self.handbook_changes(direction, size, first, last) + self.swelling_changes(direction, size, first, last)

    def along(self) -> tuple[float, float]:
        """Change along the length, a share of it per 1 % MC, least and greatest."""
        if self.is_board:
            return self.coefficients("plane")
        row = limit("along-grain")
        return row["low"], row["high"]


def species_named(name: str) -> Species:
    """The timber of that name; KeyError if the table has none."""
    return Species(tables.timber(name))


def possible_species(name: str | None) -> tuple[Species, ...]:
    """The timber of that name, or every timber where the survey names none."""
    return tuple(Species(row) for row in tables.timbers() if name in (None, row.name))
