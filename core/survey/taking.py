"""Everyday words in a survey: one that means one thing is taken as the survey's own word for it, and told.

The composed schema says what they may mean (``x-also``, :mod:`listel.core.host.words`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from listel.core.survey.job import Taken
from listel.core.survey.messages import KeyPath, path_words
from listel.core.survey.yaml_places import Document

Node = Mapping[str, Any]


def everyday(word: str) -> str:
    """A word as it is looked up: in small letters, with single spaces for dashes."""
    return " ".join(word.lower().replace("-", " ").replace("_", " ").split())


def take_words(document: Document, schema: Node) -> tuple[Taken, ...]:
    """Put the survey's own words in the place of everyday ones that mean one thing, and tell each."""
    return tuple(_taken(document, schema, schema))


def _taken(document: Document, schema: Node, whole: Node) -> Iterator[Taken]:
    for holder, key, path, node in list(_texts(document.data, schema, whole, ())):
        said = holder[key]
        meant = node["x-also"].get(everyday(said), ())
        if said not in node["enum"] and len(meant) == 1:
            holder[key] = meant[0]
            line = document.fault(path, "").line
            yield Taken(said, meant[0], path_words(document.data, path), line)


def _texts(held: Any, node: Node, whole: Node, path: KeyPath) -> Iterator[tuple[Any, Any, KeyPath, Node]]:
    """Each text that stands where a table gives the words: what holds it, under which key, its path and its schema."""
    parts = held.items() if isinstance(held, dict) else enumerate(held) if isinstance(held, list) else ()
    for key, part in parts:
        for inner in _inside(node, key, whole):
            if isinstance(part, str) and "x-also" in inner:
                yield held, key, (*path, key), inner
            elif isinstance(part, (dict, list)):
                yield from _texts(part, inner, whole, (*path, key))


def _inside(node: Node, key: str | int, whole: Node) -> Iterator[Node]:
    """What the schema may say of a key's value, alternatives one by one."""
    for one in _alternatives(node, whole):
        inner = one.get("items") if isinstance(key, int) else one.get("properties", {}).get(key)
        if inner is not None:
            yield from _alternatives(inner, whole)


def _alternatives(node: Node, whole: Node) -> Iterator[Node]:
    if "$ref" in node:
        node = whole["$defs"][node["$ref"].rpartition("/")[2]]
    if "anyOf" in node:
        for one in node["anyOf"]:
            yield from _alternatives(one, whole)
    else:
        yield node
