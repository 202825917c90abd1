"""Tables with sources: the figures a plugin reckons with, in YAML beside its rules.

A table file::

    table: substrates
    about: what holds a fixing in each make-up of wall
    sources:
      project-text: {title: ..., author: ..., year: "2014", locator: ..., standing: published-seen}
    columns:
      plaster: {says: usual thickness of plaster, unit: mm}
    rows:
      - {name: lime-on-lath, plaster: [15, 25], source: project-text}
      - {name: cob, plaster: 25, source: [project-text, other], note: one builder's notes}

Every row names its source or sources; ``schemas/table.schema.json`` demands it, and a test holds every
table to it. ``columns`` gives the meaning and unit of each key a row may hold; ``closed: true``: a row that is added
from outside may hold only words that stand there.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import KW_ONLY, field, replace
from functools import cache, cached_property
from typing import Any

from listel.core.contract.findings import Source
from listel.core.files import beside, keep_made, read_made, shipped
from listel.core.quick import dataclass


@dataclass(frozen=True)
class Row:
    """One row: its ``name``, its values by column, its sources and a note."""

    name: str
    values: dict[str, Any]
    sources: tuple[Source, ...]
    note: str = ""

    def __getitem__(self, column: str) -> Any:
        """The value in that column; KeyError if the row has none."""
        return self.values[column]

    def get(self, column: str, default: Any = None) -> Any:
        """The value in that column, or the default where the row leaves it out."""
        return self.values.get(column, default)


@dataclass(frozen=True)
class Table:
    """A table: its rows in order, and what each column means (says, unit). ``words``: the column that lists the words
    of the survey a row is for, where its name is not the word itself."""

    name: str
    about: str
    rows: tuple[Row, ...]
    columns: dict[str, dict[str, Any]] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    _: KW_ONLY
    words: str = ""

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    @cached_property
    def _by_name(self) -> dict[str, Row]:
        return {row.name: row for row in reversed(self.rows)}

    def __contains__(self, name: object) -> bool:
        return name in self._by_name

    def row(self, name: str) -> Row:
        """The row of that name; KeyError, naming the table, if there is none."""
        row = self.find(name)
        if row is None:
            raise KeyError(f"table {self.name} has no row {name!r}")
        return row

    def find(self, name: str) -> Row | None:
        """The row of that name, or None."""
        return self._by_name.get(name)


_ADDED: ContextVar[tuple[Table, ...]] = ContextVar("added", default=())


@contextmanager
def adding(tables: tuple[Table, ...]) -> Iterator[None]:
    """Within the block the rows of these tables, of plugins from outside, are at work beside those of listel's."""
    before = _ADDED.set(tables)
    try:
        yield
    finally:
        _ADDED.reset(before)


def with_added(table: Table) -> Table:
    """A table with the rows that the plugins at work add to it, by its name."""
    more = tuple(row for each in _ADDED.get() if each.name == table.name for row in each)
    return replace(table, rows=(*table.rows, *more)) if more else table


@cache
def load_table(package: str, name: str) -> Table:
    """The table ``NAME.yaml`` that lies in a plugin's package (pass ``__package__``).

    Raises ValueError if the file is no table or a row names a source that the table does not list.
    """
    return table_from(data_beside(package, name), name)


def open_table(package: str, name: str) -> Table:
    """A table that others may add rows to, one that its plugin lists under ``listel_tables``, with the rows that the
    plugins at work add. Raises ValueError as :func:`load_table` does."""
    return with_added(load_table(package, name))


def row_names(package: str, name: str) -> Callable[[], tuple[str, ...]]:
    """Asked for when somebody wants to know: the names of a table's rows, those that plugins add among them."""
    return lambda: tuple(row.name for row in open_table(package, name))


def data_beside(package: str, name: str) -> Any:
    """The data of ``NAME.yaml`` in a package. Raises FileNotFoundError, or SurveyFaults where it cannot be read.

    Parsing YAML is slow, so the data is kept beside the file as JSON.
    """
    path = beside(package, f"{name}.yaml")
    text = shipped(path)
    made = read_made(path, "json", text)
    if made is not None:
        return json.loads(made)
    from listel.core.survey.yaml_places import read_text

    data = read_text(text.decode("utf-8"), path.name, "table").data
    keep_made(path, "json", json.dumps(data).encode(), text)
    return data


def sources_of(data: Mapping[str, Any]) -> dict[str, Source]:
    """The sources that a table or a file of rules lists, by key. Raises TypeError for one that is no source."""
    return {key: Source(**{k: str(v) for k, v in value.items()}) for key, value in data.get("sources", {}).items()}  # type: ignore[arg-type]


def table_from(data: Any, name: str) -> Table:
    """A table from its parsed YAML; ``name`` is used in messages.

    Raises ValueError as :func:`load_table` does.
    """
    try:
        sources = sources_of(data)
        rows = tuple(_row(entry, sources) for entry in data["rows"])
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError(
            f"table {name}: {error!r}; every row needs a name and a source listed under sources"
        ) from error
    return Table(
        data.get("table", name),
        data.get("about", ""),
        rows,
        data.get("columns") or {},
        sources,
        words=data.get("words", ""),
    )


def _row(entry: dict[str, Any], sources: dict[str, Source]) -> Row:
    named = entry["source"]
    keys = named if isinstance(named, list) else [named]
    values = {key: value for key, value in entry.items() if key not in ("name", "source", "note")}
    return Row(str(entry["name"]), values, tuple(sources[key] for key in keys), entry.get("note", ""))
