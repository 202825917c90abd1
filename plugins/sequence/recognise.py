"""What a line of a plan means, in the words people use.

A line is parted at its commas, stops and "then". Each part is searched for the phrases of the vocabulary; the longest
phrase wins, its words are used up, and the search goes on, so that one line may hold several steps. Words are compared
by their stem, and a word that is nearly one of the vocabulary's counts as a slip of spelling. What stands behind
"before", "after", "until", "when" is a mention, and what stands behind "no" or "don't" is a denial: neither is a step.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from rapidfuzz import fuzz, process

from listel.core.tables import load_table

MOST_BETWEEN = 2
"""So many other words may stand between two words of a phrase."""

NEAR_ENOUGH = 84
"""Likeness, of 100, at which a word counts as a slip of spelling."""

SHORTEST_SLIP = 4
"""Shorter words are never taken for a slip of spelling."""

OVERNIGHT = 16.0
UNITS = {
    "minute": 1 / 60,
    "min": 1 / 60,
    "hour": 1.0,
    "hr": 1.0,
    "h": 1.0,
    "day": 24.0,
    "week": 168.0,
    "night": OVERNIGHT,
}
NUMBERS = {
    word: number
    for number, word in enumerate(
        ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    )
} | {"a": 1, "an": 1, "couple": 2, "few": 3, "half": 0.5}  # fmt: skip

_SPAN = re.compile(
    r"(?P<number>\d+(?:\.\d+)?|\b(?:" + "|".join(NUMBERS) + r")\b)\s*(?:of\s+|an?\s+)?"
    r"(?P<unit>minutes?|mins?|hours?|hrs?|h|days?|weeks?|nights?)\b"
)
_DRYING = re.compile(
    r"\b(?:once|when|after|until|till|let|leave|allow|wait(?:ing)?(?: for)?|give)\s+(?:[a-z']+\s+){0,6}?"
    r"(?:dry|dries|dried|drying|set|sets|cured?|cures|harden(?:s|ed)?|hard|gone off|goes off|go off|going off)\b"
)
"""Words that only say something is to dry or set: no step of their own."""

_DAY = re.compile(r"^\W*day\s+(\d+)\b")
_PARTS = re.compile(r"[,;.:()\u2014\u2013]|\s-\s|->|\bthen\b|\n")
_WORD = re.compile(r"[a-z][a-z']*|\d+")


@dataclass(frozen=True)
class Reading:
    """A line read: the ``steps`` it holds, in the order it names them, hours it says to ``wait``, the ``day`` it names.

    ``lost``: it means something and was not recognised; ``nearest``: the step it is nearest to.
    """

    steps: tuple[str, ...] = ()
    wait: float | None = None
    day: float | None = None
    lost: bool = False
    nearest: str = ""


@dataclass(frozen=True)
class Phrase:
    """One phrase of the vocabulary: the step it means, and for each of its words the stems that may stand there."""

    step: str
    words: tuple[frozenset[str], ...]


def read_line(text: str, settled: tuple[str, ...] = ()) -> Reading:
    """One line of a plan; ``settled`` are step names that the person gave for it, which outrank its words."""
    lowered = text.lower().replace("&", " and ").replace("\u2019", "'").replace("+", " and ")
    day_match = _DAY.match(lowered)
    day = float(day_match[1]) if day_match else None
    if day_match:
        lowered = lowered[day_match.end() :]
    wait = _wait(lowered)
    if settled:
        return Reading(settled, wait, day)
    told = _DRYING.sub(" ", lowered)
    steps: list[str] = []
    denied = False
    for part in _PARTS.split(told):
        found, refused = _steps_in(part)
        denied = denied or refused
        steps += found
    steps = list(dict.fromkeys(steps))
    lost = not steps and not denied and wait is None and day is None and told == lowered and bool(_WORD.search(told))
    return Reading(tuple(steps), wait, day, lost, nearest_step(lowered) if lost else "")


def stem(word: str) -> str:
    """A word without its ending, so that fix, fixes, fixed and fixing are one."""
    word = word.replace("'", "")
    for ending in ("ing", "ed", "es", "s", "er"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "sle":
        word = word[:-1]
    return word.removesuffix("e") if len(word) > 3 else word


@cache
def vocabulary() -> tuple[Phrase, ...]:
    """Every phrase, longest first."""
    phrases = [
        Phrase(row["step"], tuple(frozenset(stem(word) for word in choice.split("/")) for choice in phrase.split()))
        for row in load_table(__package__, "vocabulary")
        for phrase in row["phrases"]
    ]
    return tuple(sorted(phrases, key=lambda phrase: -len(phrase.words)))


@cache
def _plain(name: str) -> frozenset[str]:
    return frozenset(stem(word) for word in load_table(__package__, "plain_words").row(name)["words"].split())


@cache
def _known() -> tuple[str, ...]:
    return tuple(sorted({word for phrase in vocabulary() for choice in phrase.words for word in choice}))


@cache
def mended(word: str) -> str:
    """The stem of a word, its spelling mended where it is nearly a word of the vocabulary."""
    root = stem(word)
    if root in _known() or root in _plain("common") or root in _plain("mentions") or root in _plain("denials"):
        return root
    if len(word) < SHORTEST_SLIP or word.isdecimal():
        return root
    near = [known for known in _known() if len(known) >= SHORTEST_SLIP - 1 and known[0] == root[0]]
    found = process.extractOne(root, near, scorer=fuzz.ratio, score_cutoff=NEAR_ENOUGH)
    return str(found[0]) if found else root


def _steps_in(part: str) -> tuple[list[str], bool]:
    """The steps of one part of a line in the order it names them, and whether it denies one."""
    words = [mended(word) for word in _WORD.findall(part)]
    told, denials = _told(words)
    used = [False] * len(words)
    found: list[tuple[int, str]] = []
    denied = False
    for phrase in vocabulary():
        for places in _matches(phrase, words, used):
            for place in places:
                used[place] = True
            if any(place in denials for place in places):
                denied = True
            elif all(place in told for place in places):
                found.append((places[0], phrase.step))
    return [step for _, step in sorted(found)], denied


def _told(words: list[str]) -> tuple[set[int], set[int]]:
    """The places of words that are told rather than mentioned, and of those that are denied."""
    told: set[int] = set()
    denials: set[int] = set()
    mention = False
    deny = 0
    for place, word in enumerate(words):
        if word in _plain("mentions"):
            mention = True
        elif word in _plain("denials"):
            deny = 3
        if deny:
            denials.add(place)
            deny -= 1
        if not mention:
            told.add(place)
    return told, denials


def _matches(phrase: Phrase, words: list[str], used: list[bool]) -> Iterator[list[int]]:
    for first, word in enumerate(words):
        if used[first] or word not in phrase.words[0]:
            continue
        places = [first]
        for choice in phrase.words[1:]:
            window = range(places[-1] + 1, min(places[-1] + 2 + MOST_BETWEEN, len(words)))
            after = next((place for place in window if not used[place] and words[place] in choice), None)
            if after is None:
                break
            places.append(after)
        else:
            yield places


def _wait(text: str) -> float | None:
    """Hours a line says to wait: "overnight", "24 hrs", "two days", "a week"; None if it says nothing of the kind."""
    spans = []
    for match in _SPAN.finditer(text):
        number = NUMBERS.get(match["number"])
        hours = (float(match["number"]) if number is None else number) * UNITS[match["unit"].rstrip("s")]
        spans.append(hours)
    if re.search(r"\bovernight\b|\bnext (?:day|morning)\b", text):
        spans.append(OVERNIGHT)
    return sum(spans) if spans else None


def nearest_step(text: str) -> str:
    """The step whose words are nearest to a line that was not recognised, or "" if none is near."""
    names = {row["step"]: " ".join(row["phrases"]).replace("/", " ") for row in load_table(__package__, "vocabulary")}
    words = " ".join(word for word in _WORD.findall(text) if stem(word) not in _plain("common"))
    if not words:
        return ""
    found = process.extractOne(words, names, scorer=fuzz.partial_token_set_ratio, score_cutoff=60)
    best = process.extractOne(
        words, {name: name.replace("-", " ") for name in names}, scorer=fuzz.ratio, score_cutoff=50
    )
    return str(best[2] if best else found[2]) if best or found else ""
