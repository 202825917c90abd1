"""``listel plugins --sources``: what the tables and rules rest on, by standing, looked at longest ago first."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from functools import cache
from typing import Any

from listel.core.contract.findings import STANDINGS, Source
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import data_beside, table_from
from listel.core.files import beside

Leaning = dict[Source, list[str]]
"""Of each source, the rows and rules that lean on it."""


def print_sources(*, as_json: bool) -> int:
    """Print every source under its standing: when it was last looked at, and how much leans on it."""
    rows = _rows()
    if as_json:
        print(json.dumps(rows, indent=1))
        return 0
    for standing in STANDINGS:
        some = [row for row in rows if row["standing"] == standing]
        if some:
            print(f"{standing.replace('-', ' ')} ({len(some)})")
        for row in some:
            checked = row["checked"] or "not dated"
            named = ", ".join(part for part in (row["author"], row["title"], row["year"], row["locator"]) if part)
            print(f"  {checked:<10} {named}\n             leaned on by {len(row['leans'])}: {_few(row['leans'])}")
    return 0


def _few(leans: list[str]) -> str:
    """The tables and rules that lean on a source, each once, the first few by name."""
    wholes = list(dict.fromkeys(each.rpartition("/")[0] for each in leans))
    return ", ".join(wholes[:4]) + (f" and {len(wholes) - 4} more" if len(wholes) > 4 else "")


def _rows() -> list[dict[str, Any]]:
    leaning = _leaning()
    rows = [{**asdict(source), "leans": leans} for source, leans in leaning.items()]
    return sorted(rows, key=lambda row: (STANDINGS.index(row["standing"]), row["checked"], row["year"], row["title"]))


@cache
def _leaning() -> Leaning:
    leaning: Leaning = {}
    for place, sources in _cited():
        for source in sources:
            leaning.setdefault(source, []).append(place)
    return leaning


def _cited() -> Iterator[tuple[str, tuple[Source, ...]]]:
    """Every row of a table and every rule of the built-in plugins, as plugin/table/row, with its sources."""
    for folder in sorted(path for path in beside("listel.plugins", "__init__.py").parent.iterdir() if path.is_dir()):
        package = f"listel.plugins.{folder.name}"
        for file in sorted(folder.glob("*.yaml")):
            if file.name == "rules.yaml":
                yield from ((f"rules/{rule.name}", rule.sources) for rule in load_rules(package))
                continue
            data = data_beside(package, file.stem)
            if isinstance(data, dict) and "rows" in data:
                table = table_from(data, file.stem)
                yield from ((f"{folder.name}/{file.stem}/{row.name}", row.sources) for row in table)
