"""The tables of the form: what is known is printed in them as one writes it, what is not is left open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.own import On, OwnFact, Schema, own_facts
from listel.core.survey.units import Units, show_length
from listel.reports.drawings.paper import Drawing

LEAST = {"walls": 6, "openings": 4, "fittings": 5, "old": 4, "trim": 4, "flights": 2}
"""Rows of a table at the least, those that the survey fills among them."""
SPARE = 2
"""Rows left open at the least where the survey fills some."""


@dataclass(frozen=True, kw_only=True)
class Table:
    """A table to fill in: its caption, the heads of its columns, its rows ("" to be written)."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Form:
    """One sheet: what to mind, tables, squares to sketch on."""

    way: Drawing | None
    hints: str
    tables: tuple[Table, ...]
    sketch: Drawing | None


def table(caption: str, heads: tuple[str, ...], known: Iterable[tuple[str, ...]], least: int = 0) -> Table:
    """The rows known and, after them, rows left open: ``least`` in all, and some to spare; none where it is 0."""
    rows = tuple(known)
    spare = max(least - len(rows), SPARE) if least else 0
    return Table(caption=caption, heads=heads, rows=(*rows, *[("",) * len(heads)] * spare))


class Words:
    """What is known, as it is printed."""

    def __init__(self, units: Units) -> None:
        self.units = units

    def length(self, mm: float | None) -> str:
        return "" if mm is None else show_length(mm, self.units).removesuffix(" mm")

    def span(self, start: float | None, end: float | None) -> str:
        return "" if end is None else f"{self.length(start or 0.0)} to {self.length(end)}"

    def lengths(self, *several: float | None) -> str:
        return ", ".join(self.length(mm) for mm in several if mm is not None)


@dataclass(frozen=True)
class Firm:
    """The facts that firms ask for, with what is known of them."""

    schema: Schema | None
    units: Units

    def asked(self, on: On) -> Sequence[OwnFact]:
        return tuple(own_facts(self.schema, on)) if self.schema else ()

    def facts(self, on: On, holder: Job | Room) -> Iterator[tuple[str, str]]:
        """Facts of one thing, each with what is known."""
        for fact in self.asked(on):
            yield fact.says.capitalize(), fact.told(holder.own, self.units)

    def table(self, on: On, caption: str, name: str, holders: Sequence[Wall | Trim]) -> Iterator[Table]:
        """A table of the facts of several things; none where nobody asks for any."""
        asked = self.asked(on)
        if asked:
            rows = tuple((each.name, *(fact.told(each.own, self.units) for fact in asked)) for each in holders)
            heads = (name, *(fact.says.capitalize() for fact in asked))
            yield table(caption, heads, rows, LEAST["walls"])


def number(value: float | None) -> str:
    """A number as it is printed."""
    return "" if value is None else f"{value:g}"


def yes_no(value: bool | None) -> str:
    """Yes or no, as far as it is known."""
    return "" if value is None else "yes" if value else "no"


def joined(*known: str | None) -> str:
    """What is known of several things asked in one row."""
    return "; ".join(filter(None, known))


def plain(word: str | None) -> str:
    """A word of the survey as people write it."""
    return (word or "").replace("-", " ")
