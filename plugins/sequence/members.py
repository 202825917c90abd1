"""The members of trim that a line of a plan names, and in what turn they are fixed."""

from __future__ import annotations

from functools import cache

from listel.plugins.sequence.wording import words_of
from listel.plugins.site import tables

LAST = 99
"""When a member goes up of which no table tells."""
LONGEST = 3
"""The words of the longest name of a member that is looked for."""


def turn(member: str) -> int:
    """When a member goes up among the others. Source: the table of members."""
    return tables.member(member).get("order") or LAST


def members_named(text: str) -> set[str]:
    """The members that a text names by their names in the table of members, the longest first; all that a word may
    mean."""
    words, found, at = words_of(text.lower()), set[str](), 0
    while at < len(words):
        size = next((size for size in range(LONGEST, 0, -1) if tuple(words[at : at + size]) in _names()), 0)
        found |= _names().get(tuple(words[at : at + size]), set())
        at += size or 1
    return found


@cache
def _names() -> dict[tuple[str, ...], set[str]]:
    names: dict[tuple[str, ...], set[str]] = {}
    for row in tables.members():
        for said in filter(None, (row["says"], row.get("us"), row.get("scotland"), *row.get("also", ()))):
            for each in (said, f"{said}s"):
                names.setdefault(tuple(each.split()), set()).add(row.name)
    return names
