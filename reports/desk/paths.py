"""Paths and values of a survey as the page writes them, and as a person says them."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any

from listel.core.survey.messages import KeyPath
from listel.core.survey.splice import found

ONE_OF = {"evidence": "old mark", "floor": "floor reading", "ceiling": "ceiling reading", "stairs": "flight"}
ONE_OF |= {"height": "height reading", "behind": "fitting on the other face", "plan": "step", "where": "place"}
ONE_OF |= {"stock": "board to buy", "rack": "board on the rack", "profile": "element", "match": "grain group"}
"""What one entry of a list is called; of every other, the key without its s."""


def id_of(path: KeyPath) -> str:
    """A path as the page writes it: rooms/0/walls/1/length."""
    return "/".join(map(str, path))


def path_of(name: str) -> KeyPath:
    """The path that the page wrote."""
    return tuple(int(key) if key.isascii() and key.isdecimal() else key for key in name.split("/"))


def mark_of(value: Any) -> str:
    """Two values that differ have two marks."""
    return sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:16]


def said(value: Any) -> str:
    """A value as it stands in a field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(said, value))
    if isinstance(value, dict):
        return ", ".join(f"{key}: {said(part)}" for key, part in value.items())
    return str(value)


def words_of(data: Any, path: KeyPath) -> str:
    """A path as a person says it: Parlour, wall B, window, width."""
    words: list[str] = []
    for at, key in enumerate(path):
        if isinstance(key, str):
            words.append(key.replace("-", " "))
        elif words:
            of = str(path[at - 1])
            one = found(data, path[: at + 1])
            name = one if isinstance(one, str) else said(found(one, ("name",)))
            words[-1] = f"wall {name}" if of == "walls" and name else name or f"{one_of(of)} {key + 1}"
    return ", ".join(words)


def one_of(key: str) -> str:
    """What one entry of a list is called."""
    return ONE_OF.get(key, key.removesuffix("s")).replace("-", " ")
