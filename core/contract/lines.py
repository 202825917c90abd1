"""Lines: the rows of typed results, each field with its meaning and unit.

A line class is a frozen dataclass with ``LINE`` (its kind: "fixing", "piece", "bond" ...), fields made
by :func:`told`, a ``grounds`` field and a ``set_by`` field. House rules judge and amend lines by their
JSON form, and ``listel plugins --lines KIND`` prints it with the meaning of every key.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import MISSING, field, fields, is_dataclass
from typing import TYPE_CHECKING, Any, get_args, get_type_hints

if TYPE_CHECKING:
    from listel.core.survey.job import Job


def told(says: str, unit: str = "", default: Any = MISSING) -> Any:
    """A dataclass field with its meaning and unit ("" for words and counts); required without ``default``."""
    return field(default=default, metadata={"says": says, "unit": unit})


def meanings(line_class: type) -> dict[str, tuple[str, str]]:
    """Each key of a line class with its (meaning, unit)."""
    return {f.name: (f.metadata.get("says", ""), f.metadata.get("unit", "")) for f in fields(line_class)}


def plain(value: Any) -> Any:
    """A value as JSON holds it: dataclasses become objects, tuples lists; numbers are rounded to 1e-6."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, (tuple, list, frozenset)):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, float):
        return round(value, 6) + 0.0
    return value


def line_kinds(result_types: Iterable[type]) -> dict[str, tuple[type, type]]:
    """Every kind of line that results of these types hold, with (result type, line class)."""
    kinds: dict[str, tuple[type, type]] = {}
    for result_type in result_types:
        if not is_dataclass(result_type):
            continue
        for hint in get_type_hints(result_type).values():
            for held in get_args(hint):
                if hasattr(held, "LINE"):
                    kinds[held.LINE] = (result_type, held)
    return kinds


ABOUT_JOB = ("region", "protection", "built", "occupied", "use")
"""What of the building goes with every line's form, under ``job``."""


def line_form(job: Job, line: Any) -> dict[str, Any]:
    """The JSON form of a line as house rules see it: its own keys, and under ``job`` what they may ask of the
    building."""
    form: dict[str, Any] = plain(line)
    return {**form, "job": {key: getattr(job.building, key) for key in ABOUT_JOB}}


def lines_of(result: object) -> list[tuple[str, int, Any]]:
    """Every line in a result as (field name, index, line), in order."""
    if not is_dataclass(result) or isinstance(result, type):
        return []
    found: list[tuple[str, int, Any]] = []
    for f in fields(result):
        held = getattr(result, f.name)
        if isinstance(held, tuple):
            found += [(f.name, number, item) for number, item in enumerate(held) if hasattr(item, "LINE")]
    return found
