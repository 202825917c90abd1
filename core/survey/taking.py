"""Everyday words in a survey: one that means one thing is taken as the survey's own word for it, and told.

The composed schema says what they may mean (``x-also``, :mod:`listel.core.survey.words`). A word that differs from ours
in capitals, dashes or spaces alone, and yes or no where we write true or false, is taken and not told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from listel.core.survey.job import Taken
from listel.core.survey.messages import KeyPath, path_words
from listel.core.survey.yaml_places import Document

Node = Mapping[str, Any]
YES_OR_NO = {"yes": True, "no": False}


def everyday(word: str) -> str:
    """A word as it is looked up: in small letters, with single spaces for dashes."""
    return " ".join(word.lower().replace("-", " ").replace("_", " ").split())


def take_words(document: Document, schema: Node) -> tuple[Taken, ...]:
    """Put the survey's own words in the place of everyday ones that mean one thing, and tell each."""
    return tuple(_taken(document, schema, schema))


def _taken(document: Document, schema: Node, whole: Node) -> Iterator[Taken]:
    for holder, key, path, node in list(_words(document.data, schema, whole, ())):
        said = holder[key]
        holder[key] = own = own_word(said, node)
        if own != said and _alike(said, node) is None:
            yield Taken(said, own, path_words(document.data, path), document.fault(path, "").line)


def own_word(said: Any, node: Node) -> Any:
    """The survey's own word for one that is said where the schema is ``node``; the same where it means no one thing."""
    if (alike := _alike(said, node)) is not None:
        return alike
    meant = node.get("x-also", {}).get(everyday(str(said)), ())
    return meant[0] if said not in node.get("enum", ()) and len(meant) == 1 else said


def _alike(said: str | bool, node: Node) -> str | bool | None:
    """The same word as the survey's form writes it; None where it is no such word, or written so."""
    if node.get("type") == "boolean":
        return YES_OR_NO.get(everyday(said)) if isinstance(said, str) else None
    known = [word for word in node["enum"] if isinstance(word, str)]
    word = everyday(said) if isinstance(said, str) else "yes" if said else "no"
    if said in known or len(node.get("x-also", {}).get(word, ())) > 1:
        return None
    return next((each for each in known if everyday(each) == word), None)


def _words(held: Any, node: Node, whole: Node, path: KeyPath) -> Iterator[tuple[Any, Any, KeyPath, Node]]:
    """Each word that stands where the schema gives the words, or a yes or no: what holds it, under which key, its path
    and its schema."""
    parts = held.items() if isinstance(held, dict) else enumerate(held) if isinstance(held, list) else ()
    for key, part in parts:
        for inner in _inside(node, key, whole):
            if isinstance(part, (str, bool)) and ("enum" in inner or inner.get("type") == "boolean"):
                yield held, key, (*path, key), inner
            elif isinstance(part, (dict, list)):
                yield from _words(part, inner, whole, (*path, key))


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
