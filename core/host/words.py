"""The survey's schema with its words: what the tables of the plugins call a make-up, a timber, a period ...

Where the schema says ``x-words: makeups``, the rows of the tables of that name are the words that may stand there. The
composed schema lists them (``enum``), and beside them the everyday words of the column ``also``, each with the words it
may mean (``x-also``).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any

from listel.core.contract.tables import Table
from listel.core.files import beside
from listel.core.survey.taking import everyday

if TYPE_CHECKING:
    from listel.core.host.registry import Plugin

WITH_WORDS = ("site", "timber")
"""The built-in plugins whose tables give words of the survey: to read one, no other need be loaded."""


@cache
def built_in_schema() -> dict[str, Any]:
    """The JSON Schema of a survey with the words of the built-in plugins."""
    return survey_schema(_built_in())


def schema_with(plugins: Iterable[Plugin]) -> dict[str, Any]:
    """The same with the words of these plugins from outside as well."""
    more = [table for plugin in plugins for table in plugin.tables()]
    return survey_schema([*_built_in(), *more]) if more else built_in_schema()


def _built_in() -> list[Table]:
    modules = [import_module(f"listel.plugins.{name}") for name in WITH_WORDS]
    return [table for module in modules for table in module.listel_tables()]


def survey_schema(tables: Iterable[Table]) -> dict[str, Any]:
    """The JSON Schema of a survey with the words of these tables; those of one name add to each other."""
    words: dict[str, dict[str, list[str]]] = {}
    for table in tables:
        for row in table:
            names = row[table.words] if table.words else [row.name]
            for name in names:
                words.setdefault(table.name, {}).setdefault(name, [])
                words[table.name][name] += (everyday(said) for said in row.get("also", ()))
    text = beside("listel.schemas", "survey.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = _composed(json.loads(text), words)
    return schema


def _composed(node: Any, words: Mapping[str, Mapping[str, list[str]]]) -> Any:
    if isinstance(node, list):
        return [_composed(item, words) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: _composed(value, words) for key, value in node.items()}
    if isinstance(node.get("x-words"), str):
        named = words.get(node["x-words"], {})
        also: dict[str, list[str]] = {}
        for name, said in named.items():
            for word in dict.fromkeys((everyday(name), *said)):
                also.setdefault(word, []).append(name)
        made["enum"] = list(dict.fromkeys((*node.get("enum", ()), *named)))
        made["x-also"] = also
    return made


def for_editors(node: Any) -> Any:
    """The composed schema with the everyday words that mean one thing among those that may stand in a place."""
    if isinstance(node, list):
        return [for_editors(item) for item in node]
    if not isinstance(node, dict):
        return node
    made = {key: for_editors(value) for key, value in node.items() if key != "x-also"}
    taken = [word for word, names in node.get("x-also", {}).items() if len(names) == 1]
    return {**made, "enum": list(dict.fromkeys((*node["enum"], *taken)))} if taken else made
