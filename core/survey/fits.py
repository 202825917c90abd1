"""Whether data keeps to a schema, judged in one quick pass without words: what does not fit is told elsewhere, slowly.

Every survey is judged by this each time it is read. It says yes only where it is sure: a word of JSON Schema that is
not judged here means no, and the judge with words (:mod:`listel.core.survey.schema_words`) has the last say.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sized
from typing import Any

Parsers = Mapping[str, Callable[[Any], Any]]
_NUMBER = (int, float)


def fits(data: Any, schema: Mapping[str, Any], parsers: Parsers) -> bool:
    """Whether the data surely keeps to the schema; ``parsers`` read and judge the values of its formats."""
    return _Judge(schema, parsers).fits(data, schema)


class _Judge:
    def __init__(self, whole: Mapping[str, Any], parsers: Parsers) -> None:
        self._whole, self._parsers = whole, parsers

    def fits(self, value: Any, schema: Mapping[str, Any]) -> bool:
        for word, limit in schema.items():
            if word in _SAYS_NOTHING:
                continue
            judge = _JUDGES.get(word)
            if judge is None or not judge(self, value, limit, schema):
                return False
        return True

    def _ref(self, value: Any, limit: str, schema: Mapping[str, Any]) -> bool:
        head, _, name = limit.rpartition("/")
        return head == "#/$defs" and self.fits(value, self._whole["$defs"][name])

    def _type(self, value: Any, limit: str | list[str], schema: Mapping[str, Any]) -> bool:
        return any(_is(value, kind) for kind in ([limit] if isinstance(limit, str) else limit))

    def _enum(self, value: Any, limit: list[Any], schema: Mapping[str, Any]) -> bool:
        return any(type(one) is type(value) and one == value for one in limit)

    def _const(self, value: Any, limit: Any, schema: Mapping[str, Any]) -> bool:
        return type(limit) is type(value) and bool(limit == value)

    def _any_of(self, value: Any, limit: list[dict[str, Any]], schema: Mapping[str, Any]) -> bool:
        return any(self.fits(value, one) for one in limit)

    def _properties(self, value: Any, limit: Mapping[str, Any], schema: Mapping[str, Any]) -> bool:
        return not isinstance(value, dict) or all(
            self.fits(part, limit[key]) for key, part in value.items() if key in limit
        )

    def _additional(self, value: Any, limit: Any, schema: Mapping[str, Any]) -> bool:
        if limit is True or not isinstance(value, dict):
            return True
        known = schema.get("properties", {})
        others = [part for key, part in value.items() if key not in known]
        return not others if limit is False else all(self.fits(part, limit) for part in others)

    def _names(self, value: Any, limit: Mapping[str, Any], schema: Mapping[str, Any]) -> bool:
        return not isinstance(value, dict) or all(self.fits(key, limit) for key in value)

    def _required(self, value: Any, limit: list[str], schema: Mapping[str, Any]) -> bool:
        return not isinstance(value, dict) or all(key in value for key in limit)

    def _items(self, value: Any, limit: Mapping[str, Any], schema: Mapping[str, Any]) -> bool:
        return not isinstance(value, list) or all(self.fits(item, limit) for item in value)

    def _pattern(self, value: Any, limit: str, schema: Mapping[str, Any]) -> bool:
        return not isinstance(value, str) or re.search(limit, value) is not None

    def _format(self, value: Any, limit: str, schema: Mapping[str, Any]) -> bool:
        """The format, and the bounds of what was read (x-least, x-most)."""
        parse = self._parsers.get(limit)
        if parse is None or isinstance(value, bool) or not isinstance(value, (str, *_NUMBER)):
            return True
        try:
            read = parse(value)
        except ValueError:
            return False
        return not ("x-least" in schema and read < schema["x-least"]) and not (
            "x-most" in schema and read > schema["x-most"]
        )

    def _least(self, value: Any, limit: float, schema: Mapping[str, Any]) -> bool:
        return not _is(value, "number") or value >= limit

    def _most(self, value: Any, limit: float, schema: Mapping[str, Any]) -> bool:
        return not _is(value, "number") or value <= limit


def _is(value: Any, kind: str) -> bool:
    """Whether a value is of a kind as JSON Schema counts them: true is no number, and 4.0 is a whole one."""
    if isinstance(value, bool):
        return kind == "boolean"
    if kind == "integer":
        return isinstance(value, int) or (isinstance(value, float) and value.is_integer())
    return isinstance(value, _KINDS.get(kind, ()))


_Judged = Callable[["_Judge", Any, Any, Mapping[str, Any]], bool]


def _size(kind: type[Sized], within: Callable[[int, int], bool]) -> _Judged:
    return lambda judge, value, limit, schema: not isinstance(value, kind) or within(len(value), limit)


_KINDS: dict[str, Any] = {"object": dict, "array": list, "string": str, "number": _NUMBER, "null": type(None)}
_JUDGES: dict[str, _Judged] = {
    "$ref": _Judge._ref,
    "type": _Judge._type,
    "enum": _Judge._enum,
    "const": _Judge._const,
    "anyOf": _Judge._any_of,
    "properties": _Judge._properties,
    "additionalProperties": _Judge._additional,
    "propertyNames": _Judge._names,
    "required": _Judge._required,
    "items": _Judge._items,
    "pattern": _Judge._pattern,
    "format": _Judge._format,
    "minimum": _Judge._least,
    "maximum": _Judge._most,
    "minItems": _size(list, lambda size, limit: size >= limit),
    "maxItems": _size(list, lambda size, limit: size <= limit),
    "minLength": _size(str, lambda size, limit: size >= limit),
    "maxLength": _size(str, lambda size, limit: size <= limit),
}
_SAYS_NOTHING = frozenset(
    [
        "$schema",
        "$id",
        "$defs",
        "$comment",
        "title",
        "description",
        "examples",
        "x-least",
        "x-most",
        "x-decides",
        "x-when",
        "x-words",
        "x-also",
        "x-known-in",
        "x-known-where",
    ]
)
"""Words that judge nothing by themselves; the bounds go with their format."""
