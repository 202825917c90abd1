"""Words as people write them: endings off, slips of spelling mended, short forms written out, spans of time read."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache

from listel.core.contract.tables import load_table

OVERNIGHT = 16.0
UNITS = {
    "minute": 1 / 60,
    "min": 1 / 60,
    "hour": 1.0,
    "hr": 1.0,
    "h": 1.0,
    "day": 24.0,
    "week": 168.0,
    "wk": 168.0,
    "fortnight": 336.0,
    "night": OVERNIGHT,
    "month": 720.0,
}
"""Hours of each span of time; a month is taken as thirty days."""

NUMBERS = {
    word: number
    for number, word in enumerate(
        ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
         "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty")
    )
} | {"a": 1, "an": 1, "couple": 2, "few": 3, "half": 0.5, "twa": 2}  # fmt: skip
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
NUMBERS |= TENS | {
    f"{tens}{joint}{one}": value + NUMBERS[one]
    for tens, value in TENS.items()
    for one in list(NUMBERS)[1:10]
    for joint in ("-", " ")
}

_SPAN = re.compile(
    r"(?<!\bin )(?P<number>(?<!not )\b\d{1,6}(?:\.\d{1,6})?|(?<!not )\b(?:"
    + "|".join(sorted(NUMBERS, key=len, reverse=True))
    + r")\b|(?=\bfortnight\b))\s*(?:of\s+|an?\s+|full\s+|whole\s+|clear\s+|good\s+|more\s+)?"
    r"(?P<unit>minutes?|mins?|hours?|hrs?|h(?! and s\b)|days?|weeks?|wks?|fortnights?|nights?|months?)\b"
)
_RANGE = re.compile(r"\b\d{1,6}(?:\.\d{1,6})?\s*(?:-|to|or)\s*(?=\d)")
_NIGHT = re.compile(r"\bovernight\b|\b(?:next|following) (?:day|morning)\b")
_WORD = re.compile(r"[a-z][a-z']*|\d+")
_ASKED = re.compile(r"(?:^|(?<=[\s?.]))[qa]\.\s")
"""The marks of question and answer."""
_COUNTS = {"1": "one", "2": "two", "3": "three", "4": "four", "6": "six"}
_KEPT_DOUBLE = frozenset("sle")
_WHOLE = frozenset({"pine", "bare"})
"""Words whose stem without its ending would be another's."""


@cache
def stem(word: str) -> str:
    """A word without its ending, so that fix, fixes, fixed and fixing are one."""
    word = word.replace("'", "")
    word = _irregular().get(word, word)
    if word in _WHOLE:
        return word
    if word.endswith(("ies", "ied")) and len(word) > 4:
        return f"{word[:-3]}y"
    for ending in ("ing", "ed", "es", "s"):
        if word.endswith(ending) and not word.endswith("ss") and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    if len(word) > 3 and word[-1] == word[-2] and word[-1] not in _KEPT_DOUBLE:
        word = word[:-1]
    return word.removesuffix("e") if len(word) > 3 else word


@cache
def _irregular() -> dict[str, str]:
    return {form: row.name for row in load_table(__package__, "irregular") for form in row["forms"].split()}


@cache
def plain_words(name: str) -> frozenset[str]:
    """One row of the plain words."""
    return frozenset(str(load_table(__package__, "plain_words").row(name)["words"]).split())


@cache
def _shorts() -> tuple[tuple[str, str], ...]:
    """Each short form with what it means, the longest first."""
    rows = sorted(load_table(__package__, "shorts"), key=lambda row: -len(row.name))
    return tuple((row.name, f" {row['means']} ") for row in rows)


@lru_cache(maxsize=4096)
def written_out(text: str) -> str:
    """A line in small letters, its signs and short forms written out."""
    text = _ASKED.sub(" ", text.lower().replace("\u2019", "'"))
    for short, means in _shorts():
        if short in text:
            text = _standing_alone(short).sub(means, text)
    return text.replace("&", " and ").replace("+", " and ")


@cache
def _standing_alone(short: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![a-z0-9]){re.escape(short)}(?![a-z0-9])")


def words_of(text: str) -> list[str]:
    """The words and numbers of a text, those that coats and sides are counted by as words."""
    return [_COUNTS.get(word, word) for word in _WORD.findall(text)]


def mended(word: str, known: Iterable[str]) -> str:
    """The known word that a word was meant for, or the word itself.

    A slip is a letter left out, doubled, added or changed, or two that changed places: one in a word of five letters or
    more, two from nine; in a shorter word only a doubling or a changing of places.
    """
    if word.isdecimal() or len(word) < 3:
        return word
    from rapidfuzz.distance import OSA

    best, least = word, 3
    for other in known:
        if other[0] != word[0] or abs(len(other) - len(word)) > 2 or len(other) < 3:
            continue
        slips = OSA.distance(word, other, score_cutoff=2)
        if slips < least and _may_be_slip(word, other, slips):
            best, least = other, slips
    return best


def _may_be_slip(word: str, other: str, slips: int) -> bool:
    if _squeezed(word) == _squeezed(other):
        return True
    if len(word) < 5 or len(other) < 5:
        return len(word) >= 4 and slips == 1 and sorted(word) == sorted(other)
    return slips <= (2 if len(word) >= 9 else 1)


def _squeezed(word: str) -> str:
    return re.sub(r"(.)\1", r"\1", word)


def waits_told(text: str) -> list[tuple[int, int, float]]:
    """Each span of time a line says to wait ("overnight", "24 hrs", "two days"): where it begins and ends in the text,
    and its hours. Of a range ("2-3 days") the greater is taken.
    """
    spans = []
    for match in _SPAN.finditer(_RANGE.sub(lambda least: " " * len(least[0]), text)):
        number = NUMBERS.get(match["number"] or "a")
        hours = (float(match["number"]) if number is None else number) * UNITS[match["unit"].rstrip("s")]
        spans.append((match.start(), match.end(), hours))
    if night := _NIGHT.search(text):
        spans.append((night.start(), night.end(), OVERNIGHT))
    return sorted(spans)
