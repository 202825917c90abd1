"""Faults of a file a person wrote, in words: where, what stands there, what was expected, how to mend it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import KW_ONLY, field, replace
from operator import attrgetter

from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault

MOST_FAULTS = 200
"""So many faults are told at once; the rest are counted."""

KeyPath = tuple[str | int, ...]
"""Where a value stands in the data: keys of maps and places in lists, from 0."""


@dataclass(frozen=True)
class Fault:
    """One fault: ``file``, ``line`` and ``column`` from 1 (0: the file), ``path`` in words, and what it ``says``;
    ``keys``, the path as the data has it, where it is known."""

    file: str
    line: int
    column: int
    path: str
    says: str
    _: KW_ONLY
    keys: KeyPath | None = field(default=None, compare=False)

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{place}: {self.path}: {self.says}" if self.path else f"{place}: {self.says}"


class SurveyFaults(InputFault):
    """Everything that is wrong with one file; ``faults`` in the order of the file. In words, what stands in one place
    (an anchor) and is wrong at several is told once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = sorted(set(faults), key=attrgetter("file", "line", "column", "path", "says"))
        super().__init__(self.faults)

    def __str__(self) -> str:
        alike: dict[Fault, Fault] = {}
        for each in self.faults:
            alike.setdefault(replace(each, path="") if each.line else each, each)
        told = list(alike.values())
        lines = [str(fault) for fault in told[:MOST_FAULTS]]
        if len(told) > MOST_FAULTS:
            lines.append(f"{told[0].file}: and {len(told) - MOST_FAULTS} faults more; mend these first")
        return "\n".join(lines)


def path_words(data: object, path: KeyPath) -> str:
    """A path as a person says it, ``rooms > Parlour > walls > B``: items of lists by their name where they have one."""
    words = []
    for key in path[:12]:
        data = inside(data, key)
        if isinstance(key, str):
            words.append(shown(key))
        else:
            name = data.get("name") if isinstance(data, dict) else None
            words.append(shown(name) if isinstance(name, str) and name else f"item {key + 1}")
    return " > ".join(words)


def inside(data: object, key: str | int) -> object:
    """What stands in a map or a list under a key; None where nothing does."""
    if isinstance(data, dict):
        return data.get(key)
    if isinstance(data, list) and isinstance(key, int) and key < len(data):
        return data[key]
    return None


def shown(value: object) -> str:
    """A value as it may stand in a message: short, on one line, and only letters that print."""
    if isinstance(value, dict):
        return "a map"
    if isinstance(value, list):
        return "a list"
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = " ".join(str(value).split())
    text = "".join(letter if letter.isprintable() else "?" for letter in text)
    if not text:
        return "empty text"
    return text if len(text) <= 60 else f"{text[:57]}..."


_THOUSANDS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+(?!\d)")


def comma_words(text: str) -> str:
    """What is said of a number with a comma, which may stand for its point, or part thousands."""
    ways = [] if "." in text or text.count(",") > 1 else [f"{text.replace(',', '.')} with a point"]
    if not ways or _THOUSANDS.match(text):
        ways.append(text.replace(",", "") + (" if the comma parts thousands" if ways else " without it"))
    return f'"{text}" has a comma; write {", or ".join(ways)}'


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word nearest to one that was written, or None if none is near."""
    from rapidfuzz import fuzz, process

    found = process.extractOne(
        word[:80].lower(), {name: name.lower() for name in known}, scorer=fuzz.ratio, score_cutoff=60
    )
    return str(found[2]) if found else None


def did_you_mean(word: str, known: Iterable[str], otherwise: str = "known here") -> str:
    """A sentence that names the nearest known word, or up to 24 that may stand there ("" where there is none)."""
    names = list(dict.fromkeys(known))
    near = nearest(word, names)
    if near:
        return f" Did you mean {shown(near)}?"
    if not names:
        return ""
    listed = ", ".join(shown(name) for name in names[:24])
    return f" {otherwise[0].upper()}{otherwise[1:]}: {listed}{' and more' if len(names) > 24 else ''}."
