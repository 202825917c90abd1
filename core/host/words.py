"""The survey's schema with the words and own facts of plugins from outside."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from listel.core.host.plugin import Plugin
from listel.core.survey.own import own_schema
from listel.core.survey.words import built_in_schema, built_in_tables, survey_schema


def schema_with(plugins: Iterable[Plugin]) -> dict[str, Any]:
    """The JSON Schema of a survey with the words of these plugins from outside as well."""
    plugins = list(plugins)
    more = [table for plugin in plugins for table in plugin.tables()]
    if not more and not any(plugin.fields for plugin in plugins):
        return built_in_schema()
    schema = survey_schema([*built_in_tables(), *more])
    for plugin in plugins:
        for asked in plugin.fields:
            own = own_schema(schema, asked.on)["properties"]
            known = own.setdefault(plugin.name, {"type": "object", "additionalProperties": False, "properties": {}})
            known["properties"] |= {key: dict(told) for key, told in asked.properties.items()}
            known["required"] = [*known.get("required", ()), *asked.required]
    return schema
