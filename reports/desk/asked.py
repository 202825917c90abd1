"""What the survey's schema asks for at a path, and what a text that was typed there stands for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from listel.core.survey.messages import KeyPath
from listel.core.survey.splice import found

Node = Mapping[str, Any]
_NUMBER = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,12})?")
_DAY = re.compile(r"([0-9]{1,2})[/. ]([0-9]{1,2})[/. ]([0-9]{4})")
_APART = re.compile(r"\s*[,;]\s*")


class Asked:
    """A schema, walked beside the ``data`` of a survey, whose region decides which words are known."""

    def __init__(self, schema: Node, data: Any) -> None:
        self._schema, self._data = schema, data

    def node(self, path: KeyPath) -> Node | None:
        """The schema of what may stand at a path."""
        node: Node = self._schema
        for key in path:
            inner: Node | None = None
            for one in self.branches(node):
                inner = one.get("items") if isinstance(key, int) else one.get("properties", {}).get(key)
                if inner is not None:
                    break
            if inner is None:
                return None
            node = inner
        return self.resolved(node)

    def resolved(self, node: Node) -> Node:
        """A node with what it refers to; what it says itself comes first."""
        while "$ref" in node:
            there = self._schema["$defs"][node["$ref"].rpartition("/")[2]]
            node = {**there, **{key: value for key, value in node.items() if key != "$ref"}}
        return node

    def branches(self, node: Node) -> Iterator[Node]:
        """Its alternatives one by one."""
        node = self.resolved(node)
        if "anyOf" not in node:
            yield node
        for one in node.get("anyOf", ()):
            yield from self.branches(one)

    def map(self, node: Node) -> Node:
        """That of its alternatives which is a map of known keys; empty where none is."""
        return next((one for one in self.branches(node) if "properties" in one), {})

    def is_map(self, node: Node) -> bool:
        """Whether one of its alternatives is such a map."""
        return bool(self.map(node))

    def items(self, node: Node) -> Node:
        """What stands in the list that it may be; empty where it may be none."""
        return next((one["items"] for one in self.branches(node) if "items" in one), {})

    def words(self, node: Node) -> list[Any]:
        """The words that may stand there, those known in the region where one is said."""
        if type_of(node) == "array":
            return [word for one in self.branches(node["items"]) for word in self.words(one)]
        if "const" in node:
            return [node["const"]]
        where, region = node.get("x-known-where", {}), found(self._data, ("building", "region"))
        return [word for word in node.get("enum", ()) if not region or not where.get(word) or region in where[word]]

    def meant(self, node: Node, text: str) -> Any:
        """What a text that was typed stands for."""
        branches = list(self.branches(node))
        listed = next((one for one in branches if type_of(one) == "array"), None)
        if listed is not None:
            alone = any(text in map(str, self.words(one)) for one in branches if one is not listed)
            if alone or (len(branches) > 1 and self.is_map(listed["items"])):
                return self._plain([one for one in branches if one is not listed], text)
            return [self.meant(listed["items"], part) for part in _APART.split(text) if part]
        pairs = next((one for one in branches if is_pairs(one)), None)
        if pairs is not None:
            told = [part.rpartition(":") for part in _APART.split(text.strip("{} ")) if part]
            return {
                key.strip() or part.strip(): self.meant(pairs["additionalProperties"], part.strip())
                for key, _, part in told
            }
        return self._plain(branches, text)

    def _plain(self, branches: list[Node], text: str) -> Any:
        kinds = {kind for one in branches for kind in types_of(one)}
        if "boolean" in kinds and text.lower() in ("yes", "no", "true", "false"):
            return text.lower() in ("yes", "true")
        if kinds & {"number", "integer"} and _NUMBER.fullmatch(text):
            return float(text) if "." in text else int(text)
        return self._day(text) if any(one.get("format") == "date" for one in branches) else text

    def _day(self, text: str) -> str:
        """A day as the file has it: 14/3/2026 is 2026-03-14, 3/14/2026 in the United States; as it is where it says no
        day, or where the region is not said and it could be two."""
        if (numbers := _DAY.fullmatch(text)) is None:
            return text
        first, second, year = map(int, numbers.groups())
        region = found(self._data, ("building", "region"))
        if not region and first <= 12 and second <= 12 and first != second:
            return text
        day, month = (second, first) if second > 12 or (region == "united-states" and first <= 12) else (first, second)
        try:
            return date(year, month, day).isoformat()
        except ValueError:
            return text


def types_of(node: Node) -> list[str]:
    """The kinds of value that may stand there, as JSON Schema names them."""
    kind = node.get("type", "")
    return [kind] if isinstance(kind, str) else list(kind)


def type_of(node: Node) -> str:
    """What kind of value: number where text may stand for one."""
    kinds = types_of(node)
    return "number" if "number" in kinds else kinds[0] if kinds else ""


def is_pairs(node: Node) -> bool:
    """Whether it is a map whose keys are anybody's."""
    return type_of(node) == "object" and "properties" not in node
