"""Short marks for trims, rooms and walls, so that every piece has a readable label that no other piece has."""

from __future__ import annotations

import re
from collections.abc import Iterable

SHORT = 3


def marks(names: Iterable[str]) -> dict[str, str]:
    """A distinct short mark for each name: the name itself if it is short, else its initials, with a number where two
    agree."""
    found: dict[str, str] = {}
    for name in names:
        words = re.findall(r"\w+", name)
        mark = (
            words[0].upper()
            if len(words) == 1 and len(words[0]) <= SHORT
            else "".join(word[0] for word in words).upper()
        )
        mark, number = mark or "X", 1
        while (tried := mark if number == 1 else f"{mark}{number}") in found.values():
            number += 1
        found[name] = tried
    return found
