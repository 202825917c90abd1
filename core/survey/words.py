"""The survey's schema with its words: what the tables of the plugins call a make-up, a timber, a period ...

Where the schema says ``x-words: makeups``, the rows of the tables of that name are the words that may stand there. The
composed schema lists them (``enum``), and beside them the everyday words of the column ``also`` (by word where a row
holds several), each with the words it may mean (``x-also``). Where it says ``x-known-in: region``, a word is known only
where the column ``regions`` of its rows says (``x-known-where``), but for rows that are ``unplaced``: those stand for a
survey that gives no region.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import import_module
from typing import Any

from listel.core.contract.tables import Row, Table
from listel.core.files import beside
from listel.core.survey.taking import everyday

Named = Mapping[str, list[tuple[str, Row]]]
"""By table, each word with its row."""

WITH_WORDS = ("existing", "site")
"""The built-in plugins whose tables give words of the survey: to read one, no other is loaded."""


@cache
def built_in_schema() -> dict[str, Any]:
    """The JSON Schema of a survey with the words of the built-in plugins."""
    return survey_schema(built_in_tables())


def built_in_tables() -> list[Table]:
    """The tables of the built-in plugins that give words of the survey."""
    modules = [import_module(f"listel.plugins.{name}") for name in WITH_WORDS]
    return [table for module in modules for table in module.listel_tables()]


def survey_schema(tables: Iterable[Table]) -> dict[str, Any]:
    """The JSON Schema of a survey with the words of these tables; those of one name add to each other."""
    text = beside("listel.schemas", "survey.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = _composed(json.loads(text), _by_table(tables))
    return schema


def words_schema(name: str, more: Iterable[Table] = ()) -> dict[str, Any]:
    """The JSON Schema of one word of the table of that name, to which ``more`` tables may add."""
    schema: dict[str, Any] = _composed({"x-words": name}, _by_table([*built_in_tables(), *more]))
    return schema


def _by_table(tables: Iterable[Table]) -> Named:
    rows: dict[str, list[tuple[str, Row]]] = {}
    for table in tables:
        for row in table:
            names = row[table.words] if table.words else [row.name]
            rows.setdefault(table.name, []).extend((name, row) for name in names)
    return rows


def _composed(node: Any, rows: Named) -> Any:
    if isinstance(node, list):
        return [_composed(item, rows) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: _composed(value, rows) for key, value in node.items()}
    if isinstance(node.get("x-words"), str):
        named = rows.get(node["x-words"], [])
        made["enum"] = list(dict.fromkeys((*node.get("enum", ()), *(name for name, _ in named))))
        also: dict[str, list[str]] = {}
        for name, row in named:
            said = row.get("also", ())
            for word in map(everyday, (name, *(said.get(name, ()) if isinstance(said, Mapping) else said))):
                if name not in also.setdefault(word, []):
                    also[word].append(name)
        made["x-also"] = also
        if "x-known-in" in node:
            made["x-known-where"] = {name: _known_where(name, named) for name, _ in named}
    if isinstance(node.get("x-when"), dict):
        made["x-when"] = {key: _meant(values, rows) for key, values in node["x-when"].items()}
    return made


def _known_where(name: str, rows: list[tuple[str, Row]]) -> list[str]:
    """Where a word is known, by the column ``regions`` of its rows; empty for anywhere."""
    places = [row.get("regions", ()) for word, row in rows if word == name and not row.get("unplaced")]
    return [] if any(not place for place in places) else [place for each in places for place in each]


def _meant(values: Any, rows: Named) -> Any:
    """The words on which a fact counts: listed, those of a table whose column has one of the values, or ``given``."""
    if isinstance(values, list | str):
        return values
    ((column, wanted),) = ((key, value) for key, value in values.items() if key != "table")
    return [name for name, row in rows.get(values["table"], []) if row.get(column) in wanted]


def for_editors(node: Any) -> Any:
    """The composed schema with the everyday words that mean one thing among those that may stand in a place."""
    if isinstance(node, list):
        return [for_editors(item) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: for_editors(value) for key, value in node.items() if key != "x-also"}
    taken = [word for word, names in node.get("x-also", {}).items() if len(names) == 1]
    return {**made, "enum": list(dict.fromkeys((*node["enum"], *taken)))} if taken else made
