"""What is told of a job in the words of its region and the units of its survey: baseboard for skirting, inches for mm.

Papers, what the commands print and the files for the bench all pass here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from itertools import groupby
from operator import itemgetter
from typing import Any

from markupsafe import Markup

from listel.core.contract.tables import load_table, open_table
from listel.core.house.filters import MONTHS, in_units
from listel.core.survey.job import Job

REGIONS = {"united-states": "us", "scotland": "scotland"}
"""The regions with words of their own, and the column that has them."""
_OF_AN_ORDER = r"(?!,? +\d|, frieze)"
"""What follows an architrave that is part of a column's order, which has one name everywhere."""


_STOP = {True: re.compile(r"\.(?!\d)|(?<!&#\d\d);|[<>]"), False: re.compile(r"\.(?!\d)|[;\n]")}
"""Where a part of a sentence ends: in HTML, where a line does not, and elsewhere."""
_FAR = 400
"""Letters within which a sentence is looked through."""
GIVEN = {"name", "title", "client", "site", "surveyor", "note", "shows", "says", "reason", "considered"}
GIVEN |= {"list_entry", "significance", "consulted", "benefit", "agreed", "cause", "by", "reference", "text"}
"""Where a survey holds people's own words, which nobody changes."""


PLUGIN = "listel.plugins.site"
"""Whose tables have the words."""
KEPT = {
    True: r'<\w+ class="published"[^>]*>[^<]*|<code[^>]*>[^<]*|<[^>]*>|',
    False: r"^ *source  .*\(published [\w ]+\)$|",
}
"""What stays as it is in HTML and elsewhere: the title of what others published, code, and tags."""
DATE = rf"\b\d{{1,2}} (?:{'|'.join(MONTHS)}) \d{{4}}\b"
MEASURE = r"(?<![\w.])-?\d+(?:\.\d+)?(?: to -?\d+(?:\.\d+)?)? mm\b(?!/)|"


def wording(job: Job, *, html: bool = False) -> Callable[[str], str]:
    """What puts some text, or ``html``, as the region of a job says it, each word where its sentence means that and not
    another thing of the name (a flue has a lining too), a length in mm in feet and inches where the survey has them,
    and in the United States a day with its month first. What its survey itself says, every tag, the title of what
    others published, and the name of a rule, a step, a key or a command stay as they are; what of it holds no such word
    guards nothing, lest it end amid a name that does."""
    column = REGIONS.get(job.building.region or "")
    if column is None and job.units == "mm":
        return lambda text: text
    said, unless = _said(column) if column else {}, _unless()
    given = {_plain(str(Markup.escape(words)) if html else words) for words in _given(job)}
    given = {
        words for words in given if " mm" in words or re.search(DATE, words, re.I) or any(one in words for one in said)
    }
    words = given | said.keys()
    first = "".join(re.escape(letter) for letter in sorted({"a", *(word[0] for word in words)}))
    found = re.compile(
        f"{KEPT[html]}{MEASURE if job.units == 'inches' else ''}{f'{DATE}|' if column == 'us' else ''}"
        rf"(?<![\w/-])(?=[{first}])(?:(an?) )?({_any_of(words) or '(?!)'})(?![-/]?\w)",
        re.IGNORECASE | re.MULTILINE,
    )

    def put(match: re.Match[str]) -> str:
        article, word = match.groups("")
        if match[0].endswith(" mm") and not word:
            told = in_units(match[0], job.units)
            return str(Markup.escape(told)) if html else told
        if not word and re.fullmatch(DATE, match[0]):
            day, month, year = match[0].split()
            return f"{month} {day}, {year}"
        plain = _plain(word)
        new = said.get(plain, "")
        if plain in given or not new or _sentence(match, html).intersection(unless.get(plain, ())):
            return match[0]
        new = new[:1].upper() + new[1:] if word[:1].isupper() else new
        return f"{article[:1]}{'n' * (new[:1].lower() in 'aeiou')} {new}" if article else new

    return lambda text: found.sub(put, text)


def _plain(words: str) -> str:
    return " ".join(words.lower().split())


def _sentence(match: re.Match[str], html: bool) -> set[str]:
    """The words of the sentence, or the part of one, that something stands in; a tag ends it."""
    before = _STOP[html].split(match.string[: match.start()][-_FAR:])[-1]
    after = _STOP[html].split(match.string[match.end() :][:_FAR])[0]
    return set(re.findall(r"\w+", f"{before} {after}".lower()))


def _any_of(words: Iterable[str]) -> str:
    """A pattern for any of some words, the longest first, by first letter: so it is found in a third of the time."""
    ways = []
    for letter, alike in groupby(sorted(words, key=lambda word: (word[0], -len(word))), itemgetter(0)):
        ends = (re.escape(word[1:]).replace(r"\ ", r"\s+") + _OF_AN_ORDER * (word == "architrave") for word in alike)
        ways.append(f"{re.escape(letter)}(?:{'|'.join(ends)})")
    return "|".join(ways)


def _given(thing: Any) -> Iterator[str]:
    """What people wrote in their own words, all through a survey."""
    for each in fields(thing):
        value = getattr(thing, each.name)
        if isinstance(value, str) and value and each.name in GIVEN:
            yield value
        for inner in value if isinstance(value, tuple) else (value,):
            if is_dataclass(inner):
                yield from _given(inner)


@cache
def _said(column: str) -> dict[str, str]:
    """Each word of England with the region's; what the table of words says outranks a member's and a timber's."""
    found: dict[str, str] = {}
    for row in (*open_table(PLUGIN, "timbers").rows, *open_table(PLUGIN, "members").rows):
        name, new = row.get("says") or row.name.replace("-", " "), row.get(column)
        if new and new != name:
            found |= {name.lower(): new, f"{name.lower()}s": f"{new}s"}
    return found | {row.name: row[column] for row in load_table(PLUGIN, "words").rows if row.get(column)}


@cache
def _unless() -> dict[str, frozenset[str]]:
    """Of each word with more than one meaning, and of more than one of it, what tells that another is meant."""
    rows = [row for row in load_table(PLUGIN, "words").rows if row.get("unless")]
    return {word: frozenset(row["unless"]) for row in rows for word in (row.name, f"{row.name}s")}
