"""What plugins from outside add to the tables and to the form of a survey: judged by what listel's own hold."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from listel.core.contract.firms import Options, OptionsForm
from listel.core.contract.tables import Row, Table
from listel.core.survey.messages import did_you_mean
from listel.core.survey.own import FORMATS


def added_tables(
    plugin: str, tables: Iterable[Table], ours: Mapping[str, Table], taken: Iterable[Table] = ()
) -> tuple[tuple[Table, ...], list[str]]:
    """The tables with the rows that can stand beside listel's, and what is wrong with the others: a row holds what
    every row of that table holds, each value of a kind that stands there. One of a name that is there already, or in
    the tables ``taken`` by other plugins, is put into the plugin's own space: ``acme-oak``."""
    kept, faults = [], []
    others = {(table.name, row.name) for table in taken for row in table}
    for table in tables:
        base = ours.get(table.name)
        if base is None:
            meant = did_you_mean(table.name, ours, "rows may be added to")
            faults.append(f"its table {table.name} is left out: there is none of that name.{meant}")
            continue
        rows = []
        for row in table:
            if slips := row_slips(row, base):
                faults.append(f"its row {row.name} of the table {table.name} is left out: {'; '.join(slips)}")
            else:
                clash = row.name in base or (table.name, row.name) in others
                rows.append(replace(row, name=f"{plugin}-{row.name}") if clash else row)
        kept.append(replace(table, rows=tuple(rows), words=base.words))
    return tuple(kept), faults


def row_slips(row: Row, base: Table) -> list[str]:
    """What is wrong with a row that is to stand in a table of listel's."""
    needed = set.intersection(*(set(each.values) for each in base))
    known = {*base.columns, *(key for each in base for key in each.values), "also", "because", "applies"}
    lacks = ", ".join(_column(key, base) for key in sorted(needed - set(row.values)))
    slips = [f"it lacks what every row there has: {lacks}"] if lacks else []
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", row.name):
        slips.append("its name is not in kebab-case, as lime-on-lath")
    if not row.sources:
        slips.append("it names no source")
    for key, value in row.values.items():
        held = [each[key] for each in base if key in each.values]
        if key not in known:
            slips.append(f"the table has no column {key}")
        elif says := _misfit(key, value, held, closed=base.columns.get(key, {}).get("closed", False)):
            slips.append(says)
    return slips


def _column(key: str, base: Table) -> str:
    """A column with what it holds, as the head of its table says it."""
    about = base.columns.get(key, {})
    says = ", ".join(filter(None, (about.get("says"), about.get("unit"))))
    return f"{key} ({says})" if says else key


def _misfit(key: str, value: Any, held: Sequence[Any], *, closed: bool) -> str:
    """Why a value cannot stand under a key beside those that do; "" where it can."""
    kinds = {_kind(each) for each in held}
    if kinds and _kind(value) not in kinds:
        return f"its {key} is {_kind(value)}; in that table it is {' or '.join(sorted(kinds))}"
    words = sorted({each for each in held if isinstance(each, str)})
    if closed and isinstance(value, str) and value not in words:
        return f"its {key} is never {value}.{did_you_mean(value, words, 'it may be')}"
    lists = [each for each in held if isinstance(each, list)]
    if not isinstance(value, list) or not lists:
        return ""
    inside = {_kind(item) for each in lists for item in each}
    if any(_kind(item) not in inside for item in value):
        return f"its {key} lists what is not {' or '.join(sorted(inside))}"
    if inside == {"a number"} and (len(value) not in map(len, lists) or value != sorted(value)):
        return f"its {key} is the least and the greatest, as {lists[0]}"
    return ""


def _kind(value: Any) -> str:
    if isinstance(value, bool):
        return "true or false"
    return {int: "a number", float: "a number", str: "text", list: "a list", dict: "a map"}.get(type(value), "nothing")


@cache
def own_tables() -> Mapping[str, Table]:
    """The tables of listel's own plugins that others may add rows to, by name."""
    from importlib import import_module

    modules = [import_module(f"listel.plugins.{name}") for name in ("existing", "safety", "site")]
    return {table.name: table for module in modules for table in module.listel_tables()}


def form_slips(properties: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    """What is wrong with the JSON Schemas by which a plugin asks for facts or options."""
    from jsonschema import Draft202012Validator
    from jsonschema.exceptions import SchemaError

    for key, about in properties.items():
        try:
            Draft202012Validator.check_schema(about)
        except SchemaError as error:
            yield f"{key} is no JSON Schema: {error.message[:160]}"
        else:
            if not about.get("description"):
                yield f"{key} has no description"
            if about.get("format", FORMATS[0]) not in FORMATS:
                yield f"{key} has the format {about['format']}; there are {', '.join(FORMATS)}"


def options_schema(forms: Iterable[tuple[str, OptionsForm]]) -> dict[str, Any]:
    """The JSON Schema of all options, by plugin; of a plugin without a form anything goes."""
    own: dict[str, Any] = {}
    for plugin, form in forms:
        known = own.setdefault(plugin, {"type": "object", "additionalProperties": False, "properties": {}})
        known["properties"] |= {key: dict(told) for key, told in form.properties.items()}
    return {"type": "object", "properties": {"options": {"type": "object", "properties": own}}}


def options_told(forms: Iterable[tuple[str, OptionsForm]], *told: Mapping[str, Mapping[str, Any]]) -> Options:
    """What every plugin was told, the last word standing, defaults filled in."""
    found: dict[str, dict[str, Any]] = {}
    for plugin, form in forms:
        defaults = {key: about["default"] for key, about in form.properties.items() if "default" in about}
        found.setdefault(plugin, {}).update(defaults)
    for each in told:
        for plugin, values in each.items():
            found.setdefault(plugin, {}).update(values)
    return Options(found)
