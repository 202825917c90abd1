"""One value of a survey's text changed by the place of its YAML node: comments, order and layout stay.

What was made is read again, and must hold the old data with that one change; where it does not, the text is written
anew by a round trip that keeps comments, and held to the same.
"""

from __future__ import annotations

import copy
import io
import json
import re
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any

from listel.core.files import beside
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import KeyPath, SurveyFaults, path_words
from listel.core.survey.yaml_places import read_text

GONE = object()
"""Stands for a value that is taken out."""

_IN_LINES = frozenset(["rooms", "walls", "trim", "stairs"])
"""Lists whose entries are long: each of their keys has a line of its own."""
_PLAIN = re.compile(r"[A-Za-z0-9][\w ./'\"%°-]*")


def found(data: Any, path: KeyPath) -> Any:
    """What stands at a path, None where nothing does."""
    for key in path:
        try:
            data = data[key]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def changed(text: str, path: KeyPath, value: Any) -> str:
    """The text with that value at that path: one that is there, a new key, or one more entry of a list; ``GONE`` takes
    it out, and with it the map or list that would be left empty.

    Raises SurveyFaults where the text cannot be read, InputFault where the change cannot be made.
    """
    before = _data(text)
    path, value = _whole(before, path, value)
    try:
        wanted = _told(_with(before, path, value))
    except (LookupError, TypeError):
        raise InputFault(f"{path_words(before, path[:-1])}: something else stands there; mend it in the file") from None
    for way in (_spliced, _written_anew):
        try:
            new = way(text, path, value)
            if _told(_data(new)) == wanted:
                return new
        except (LookupError, SurveyFaults):
            continue
    where = path_words(before, path)
    raise InputFault(f"{where}: this cannot be changed here; it may be repeated by an alias: change it in the file")


@lru_cache(2)
def _data(text: str) -> Any:
    """What a text holds, not to be changed. What one change made is what the next one begins with."""
    return read_text(text, "survey").data


@lru_cache(1)
def _composed(text: str) -> Any:
    """A text's nodes, with their marks."""
    from ruamel.yaml import YAML

    return YAML(typ="safe").compose(text)


def _told(data: Any) -> str:
    """Data to be compared: 1, 1.0 and true are three things."""
    return json.dumps(data, sort_keys=True)


def _whole(data: Any, path: KeyPath, value: Any) -> tuple[KeyPath, Any]:
    """The change as one of what is there: maps and lists that are not there are begun, those left empty go."""
    if value is GONE:
        while len(path) > 1 and len(found(data, path[:-1])) == 1:
            path = path[:-1]
            if isinstance(path[-1], int) and isinstance(found(data, path), dict):
                return path, {}
        return path, GONE
    while len(path) > 1 and found(data, path[:-1]) is None:
        path, value = path[:-1], [value] if isinstance(path[-1], int) else {path[-1]: value}
    return path, value


def _with(data: Any, path: KeyPath, value: Any) -> Any:
    """The data with that change, only what stands above it copied."""
    whole = above = copy.copy(data)
    for key in path[:-1]:
        above[key] = copy.copy(above[key])
        above = above[key]
    _put(whole, path, value)
    return whole


def _put(data: Any, path: KeyPath, value: Any) -> None:
    """Change data in place. Raises LookupError where there is nothing to change."""
    for above in path[:-1]:
        data = data[above]
    key: Any = path[-1]
    if not isinstance(data, (dict, list)):
        raise LookupError(path)
    if value is GONE:
        del data[key]
    elif isinstance(data, list) and key == len(data):
        data.append(value)
    else:
        data[key] = value


def _written_anew(text: str, path: KeyPath, value: Any) -> str:
    """By ruamel's round trip: comments stay, layout mostly."""
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 1_000_000
    yaml.brace_single_entry_mapping_in_flow_sequence = True
    yaml.indent(mapping=2, sequence=4, offset=2)
    data = yaml.load(text)
    _put(data, path, value)
    out = io.StringIO()
    yaml.dump(data, out)
    return out.getvalue()


def _spliced(text: str, path: KeyPath, value: Any) -> str:
    """The text with only that value's own letters changed. Raises LookupError where its place is not plain to see."""
    node = _composed(text)
    for key in path[:-1]:
        _, node = _inside(node, key)
        if node is None:
            raise LookupError(path)
    return _Splice(text, node, path).made(value)


class _Splice:
    """A change in one map or list, ``node``, of the text."""

    def __init__(self, text: str, node: Any, path: KeyPath) -> None:
        self.text, self.node, self.path, self.key = text, node, path, path[-1]
        self.end = "\r\n" if "\r\n" in text else "\n"

    def made(self, value: Any) -> str:
        name, there = _inside(self.node, self.key)
        if there is None:
            if value is GONE or not isinstance(self.node.value, list):
                raise LookupError(self.path)
            return self._more(value)
        if value is not GONE:
            return self._replaced(name, there, value)
        return self._out_of_flow() if self.node.flow_style else self._out_of_block(name, there)

    def _replaced(self, name: Any, there: Any, value: Any) -> str:
        start, stop = there.start_mark.index, _last(self.text, there)
        if start == stop and name is not None:  # a key with nothing after it
            colon = self.text.index(":", name.end_mark.index) + 1
            return f"{self.text[:colon]} {_flow(value)}{self.text[colon:]}"
        return self.text[:start] + _flow(value) + self.text[stop:]

    def _out_of_flow(self) -> str:
        parts = [_pair(entry) for entry in self.node.value]
        spans = [((name or part).start_mark.index, _last(self.text, part)) for name, part in parts]
        at = next(
            number for number, (name, _) in enumerate(parts) if (name.value if name is not None else number) == self.key
        )
        if at + 1 < len(spans):
            return self.text[: spans[at][0]] + self.text[spans[at + 1][0] :]
        return self.text[: spans[at - 1][1] if at else spans[at][0]] + self.text[spans[at][1] :]

    def _out_of_block(self, name: Any, there: Any) -> str:
        first = (name or there).start_mark.index
        start = self.text.rfind("\n", 0, first) + 1
        before = self.text[start:first].strip()
        end = _last(self.text, there)
        if (
            name is not None and before
        ):  # the first key of an entry stands beside its dash: the next one takes its place
            after = _pair(self.node.value[1])[0].start_mark.index
            if self.text[end:after].strip():
                raise LookupError(self.path)
            return self.text[:first] + self.text[after:]
        if name is None and before != "-":
            raise LookupError(self.path)
        stop = self.text.find("\n", end)
        return self.text[:start] + ("" if stop < 0 else self.text[stop + 1 :])

    def _more(self, value: Any) -> str:
        """A new key of the map, or a new entry of the list."""
        listed = self.node.id == "sequence"
        if self.node.flow_style:
            stop = self.node.end_mark.index - 1
            words = _flow(value) if listed else f"{self.key}: {_flow(value)}"
            held = self.text[self.node.start_mark.index + 1 : stop].rstrip()
            comma = ", " if held and not held.endswith(",") else " " if held else ""
            return self.text[:stop].rstrip() + comma + words + self.text[stop:]
        if listed:
            lines = _entry(str(self.path[-2]), value, self.node.start_mark.column)
        else:
            lines = _lines(str(self.key), value, self.node.value[0][0].start_mark.column)
            example = self._example()
            if example:
                return self.text[: example.start()] + self.end.join(lines) + self.text[example.end() :]
        stop = self._line_end(_last(self.text, self.node))
        return self.text[:stop] + self.end + self.end.join(lines) + self.text[stop:]

    def _example(self) -> re.Match[str] | None:
        """The starter's own example of that key, commented out inside this map: the value takes its line."""
        first = self.node.value[0][0].start_mark
        lines = re.compile(rf"^ {{{first.column}}}#{re.escape(str(self.key))}:[^\r\n]*", re.MULTILINE)
        stands = lines.finditer(self.text, first.index, self.node.end_mark.index)
        return next((one for one in stands if one[0] in _starter_lines()), None)

    def _line_end(self, at: int) -> int:
        stop = self.text.find("\n", at)
        stop = len(self.text) if stop < 0 else stop
        return stop - 1 if self.text[stop - 1 : stop] == "\r" else stop


@cache
def _starter_lines() -> frozenset[str]:
    return frozenset(beside("listel.schemas", "starter.yaml").read_text(encoding="utf-8").splitlines())


def _pair(entry: Any) -> tuple[Any, Any]:
    return entry if isinstance(entry, tuple) else (None, entry)


def _inside(node: Any, key: str | int) -> tuple[Any, Any]:
    """The key's own node and its value's in a map or list; (None, None) where there is none."""
    if not isinstance(node.value, list):
        return None, None
    for number, (name, part) in enumerate(map(_pair, node.value)):
        if (number if name is None else name.value) == key:
            return name, part
    return None, None


def _last(text: str, node: Any) -> int:
    """Where a node's own text ends: the marks of blocks run on past the comments below them."""
    if isinstance(node.value, list) and node.value and not node.flow_style:
        return _last(text, _pair(node.value[-1])[1])
    start, stop = node.start_mark.index, node.end_mark.index
    return int(start + len(text[start:stop].rstrip()))


def _lines(key: str, value: Any, column: int) -> list[str]:
    """A key and its value as lines of a block."""
    if _is_list_of_maps(value):
        return [f"{' ' * column}{key}:", *(line for item in value for line in _entry(key, item, column + 2))]
    if isinstance(value, dict) and any(map(_is_list_of_maps, value.values())):
        inside = (line for name, part in value.items() for line in _lines(name, part, column + 2))
        return [f"{' ' * column}{key}:", *inside]
    return [f"{' ' * column}{key}: {_flow(value)}"]


def _is_list_of_maps(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)


def _entry(key: str, item: Any, column: int) -> list[str]:
    """One entry of the list under that key."""
    if key not in _IN_LINES or not item or not isinstance(item, Mapping):
        return [f"{' ' * column}- {_flow(item)}"]
    lines = [line for name, value in item.items() for line in _lines(name, value, column + 2)]
    return [f"{' ' * column}- {lines[0].lstrip()}", *lines[1:]]


def _flow(value: Any) -> str:
    """A value on one line, plain where it reads back as itself, else in quotes."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {_flow(part)}" for key, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, str) and _PLAIN.fullmatch(value) and not value.endswith(" "):
        try:
            if read_text(f"a: {{a: {value}}}", "survey").data == {"a": {"a": value}}:
                return value
        except SurveyFaults:
            pass
    return json.dumps(value, ensure_ascii=False)
