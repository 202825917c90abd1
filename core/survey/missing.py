"""What a survey leaves out, and what each missing fact decides (``x-decides`` in the survey's schema)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from listel.core.quick import dataclass
from listel.core.survey.messages import KeyPath, path_words
from listel.core.survey.yaml_places import Document


@dataclass(frozen=True)
class Missing:
    """A missing ``fact`` ("rooms > walls > corner > angle") and what it ``decides``.

    ``places``: each place that lacks it, as (path in words, survey line).
    """

    fact: str
    decides: str
    places: tuple[tuple[str, int], ...]


def missing_facts(document: Document, schema: Mapping[str, Any]) -> list[Missing]:
    """Every fact that decides something and is left out, in the schema's order, like facts together."""
    found: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for path, decides in absent_facts(document.data, schema):
        fact = " > ".join(key for key in path if isinstance(key, str))
        above = path[:-1]
        while above and above not in document.values:
            above = above[:-1]
        line = document.fault(above, "", at_key=True).line if above else 0
        found.setdefault((fact, decides), []).append((path_words(document.data, above), line))
    return [Missing(fact, decides, tuple(places)) for (fact, decides), places in found.items()]


def absent_facts(data: Any, schema: Mapping[str, Any]) -> Iterator[tuple[KeyPath, str]]:
    """The path of each fact that decides something and is left out, and what it decides."""
    return _absent(data, schema, (schema, data), ())


def counts(beside: Mapping[str, Any], known: Mapping[str, Any], survey: Any) -> bool:
    """Whether a fact decides anything, by the facts that stand beside it (``x-when`` in the survey's schema): by key,
    or by keys one in the other with a dot between, in a list any item's; behind a stroke from the top of the survey.
    Each is to be one of its values (null where it is not there), or ``given``: anything at all."""
    found = {
        other: _beside(survey if other[0] == "/" else beside, other.lstrip("/").split("."))
        for other in known.get("x-when", {})
    }
    return all(
        any(one is not None if values == "given" else one in values for one in found[other])
        for other, values in known.get("x-when", {}).items()
    )


def _beside(data: Any, keys: Sequence[str]) -> list[Any]:
    """All that stands under keys one in the other, None where nothing does."""
    if isinstance(data, list):
        return [found for item in data for found in _beside(item, keys)]
    if not keys:
        return [data]
    return _beside(data.get(keys[0]) if isinstance(data, Mapping) else None, keys[1:])


def _absent(
    data: Any, schema: Mapping[str, Any], whole: tuple[Mapping[str, Any], Any], path: KeyPath
) -> Iterator[tuple[KeyPath, str]]:
    """``whole``: the whole schema, and the whole survey."""
    if "$ref" in schema:
        schema = whole[0]["$defs"][schema["$ref"].rpartition("/")[2]]
    if isinstance(data, list):
        for at, item in enumerate(data):
            yield from _absent(item, schema.get("items", {}), whole, (*path, at))
    if not isinstance(data, dict):
        return
    for key, known in schema.get("properties", {}).items():
        if key in data:
            yield from _absent(data[key], known, whole, (*path, key))
        elif "x-decides" not in known:
            if known.get("type") == "object":
                yield from _absent({}, known, whole, (*path, key))
        elif counts(data, known, whole[1]):
            yield (*path, key), known["x-decides"]
