"""A line of a plan cut into clauses and their parts, and in each part what is told, only mentioned, or denied.

What stands behind "before", "after", "until", "when" is mentioned, up to a comma or to where a new subject begins
("when it comes we cut it"). What stands behind "no" or "don't bother with" is denied, and so is what stands before "not
needed" or "to be omitted"; of "not ... until" only what is waited for is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from listel.plugins.sequence.matching import matches_in
from listel.plugins.sequence.phrases import State, Word, mended_word, phrases_of
from listel.plugins.sequence.wording import plain_words, stem, words_of

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

_DAY = re.compile(r"^\W*(day|week)\s+(\d{1,5})\b(?:\s*(?:-|to|and)\s*\d{1,5}\b)?")
_WEEKDAY = re.compile(r"^\W*(?:following |next |on )?(mon|tue|wed|thu|fri|sat|sun)(?:s|nes|rs|ur|urs)?(?:day)?\b")
_PARTS = re.compile(
    r"[,;:()!?/\u2014\u2013]|(?<!\d)\.|\.(?!\d)|\s-\s|->|\bthen\b|\n"
    r"|\band (?=(?:we|i|they|you|he|she|leave|let|wait|give|allow)\b)"
)
_CLAUSES = re.compile(
    r"(?<![ .][a-z])\.(?=[\s\"')]|$)|!|;|\s->\s|(?<=\s)(?=\(?\d{1,2}\)\s)"
    r"|(?=\bthen\b(?! only\b))|(?=\bafter (?:that|which)\b)",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"(?:^|(?<=\s))(\d{1,2})[.)]?\s+(?=[a-zA-Z])")
_LISTED = re.compile(
    r"\b(?:exclud(?:es?|ing)|exclusions?|omit(?:s|ted)?|without|not|don'ts?|never)(?: \w+){0,3}\s*:[^.\n]*",
    re.IGNORECASE,
)
"""A list of what is left out or is not to be done: one clause to its end."""

_HOLDS = frozenset((word, "off") for word in ("held", "hold", "holding"))
"""Words that hold the work up until what stands behind the "until" is done."""

_SUBJECTS = frozenset({"we", "they", "i", "he", "she"})
_SUBJECTS_OR_OBJECTS = frozenset({"it", "you"})


def clauses_of(text: str) -> list[str]:
    """A line cut into its clauses: at stops, semicolons, "then", "after that"."""
    text = _LISTED.sub(lambda found: found[0].replace(";", ","), _numbers_parted(text))
    return [clause for part in _CLAUSES.split(text) if (clause := part.strip()) and any(c.isalnum() for c in clause)]


def _numbers_parted(text: str) -> str:
    """The text with a stop before each of the numbers 1, 2, 3 that it counts its steps by."""
    places: list[int] = []
    for number in _NUMBER.finditer(text):
        if int(number[1]) == len(places) + 1:
            places.append(number.start())
    if len(places) < 3:
        return text
    return "".join(f"{text[start:end]}; " for start, end in zip([0, *places], [*places, len(text)], strict=True))


def dated(text: str) -> tuple[float | None, int | None, str]:
    """The day or the weekday that a line begins with, and the rest of it; a week's first day stands for the week."""
    if found := _DAY.match(text):
        number = float(found[2])
        return (number if found[1] == "day" else 7 * number - 6), None, text[found.end() :]
    if found := _WEEKDAY.match(text):
        return None, WEEKDAYS.index(found[1]), text[found.end() :]
    return None, None, text


def spot(text: str) -> tuple[int, int]:
    """Where a text ends: the number of its last part, and how many words that part has so far."""
    parts = [len(words_of(part)) for part in _PARTS.split(text)]
    return sum(words > 0 for words in parts[:-1]), parts[-1]


@lru_cache(maxsize=256)
def parts_of(text: str) -> tuple[tuple[Word, ...], ...]:
    """The parts of a clause as words; a denial at the end of a part holds for the next, one that heads a list for all
    of it, and what begins with "if" is mentioned to the end of the clause.
    """
    told: list[tuple[Word, ...]] = []
    conditional = denied = listed = False
    listing = _LISTED.search(text)
    cuts = [0, *(place for stop in _PARTS.finditer(text) for place in stop.span()), len(text)]
    whole = [(start, _words(text[start:end])) for start, end in zip(cuts[::2], cuts[1::2], strict=True)]
    parts = [(start, words) for start, words in whole if words]
    for number, (start, words) in enumerate(parts):
        behind = parts[number + 1][1] if number + 1 < len(parts) else []
        asked = "?" in text[start : parts[number + 1][0] if number + 1 < len(parts) else len(text)]
        listed = listing is not None and start > listing.start()
        conditional = conditional or words[0] == "if"
        mention = conditional or (asked and bool(behind) and words[0] in plain_words("asks"))
        denied = denied or listed or _is_denial(behind, last=number + 2 == len(parts), asked=asked)
        told.append(tuple(_denied_behind(_stated(words, mention, denied))))
        denied = denies(words[-1]) and words != ["no"]
    return tuple(told)


def _words(part: str) -> list[str]:
    return [mended_word(word) for word in words_of(part)]


def _is_denial(words: Sequence[str], *, last: bool, asked: bool) -> bool:
    """Whether a part of a clause only denies the one before it, as in "consent: not applied for", "photos? none"."""
    if asked and any(denies(word) for word in words[:3]):
        return not plain_words("mentions").intersection(words) and "start" not in words
    if any(denies(word) for word in words) and all(
        denies(word) or word in plain_words("beside-denials") | plain_words("fillers") for word in words
    ):
        return last or len(words) > 1
    behind = matches_in(list(_stated(words, False, False)), phrases_of("denied_behind"))
    return any(match.places[0] == 0 and match.places[-1] == len(words) - 1 for match in behind)


def denies(word: str) -> bool:
    """Whether a word denies what comes after it."""
    return word.endswith("n't") or word.removesuffix("'s").replace("'", "") in plain_words("denials")


def _stated(words: Sequence[str], mention: bool, deny: bool) -> Iterator[Word]:
    awaited = _awaited(words)
    told = False
    for place, word in enumerate(words):
        before, after = words[place - 1] if place else "", words[place + 1] if place + 1 < len(words) else ""
        if mention and place and words[0] != "if" and _new_subject(words, place):
            mention = False
        if deny and told and word in plain_words("after-the-denied"):
            mention, deny = True, False
        state: State = "mentioned" if mention or place <= awaited else "denied" if deny else "told"
        yield Word(word, stem(word), state)
        told = deny and (told or not beside_denial(word))
        if place == awaited:
            mention = deny = False
        elif word in plain_words("mentions"):
            mention = mention or after not in ("me", "us", "that", "this", "mix", "mixed")
        elif word == "and" and (after in plain_words("ends-denials") or after.endswith("ed")):
            deny = False
        elif word in plain_words("turns"):
            mention = mention and word != "please"
            deny = False
        elif denies(word) and not _is_thing(word, before) and not (word in plain_words("left") and denies(before)):
            deny = after not in plain_words("left") and not (deny and word == "without")
            told = False


def _is_thing(word: str, before: str) -> bool:
    """Whether a "skip" is what rubbish goes into."""
    return word == "skip" and before in plain_words("before-things") | {"to"}


def beside_denial(word: str) -> bool:
    """Whether a word between a denial and what it denies changes nothing."""
    return word in plain_words("beside-denials") | plain_words("fillers") | plain_words("before-things")


def _new_subject(words: Sequence[str], place: int) -> bool:
    """Whether a new sentence begins here, behind a "when" or "once" that began the part and has its own subject."""
    if place < 3 or place + 1 == len(words) or words[0] not in plain_words("mentions"):
        return False
    if words[place] in _SUBJECTS:
        return True
    after = words[place + 1]
    return words[place] in _SUBJECTS_OR_OBJECTS and (after in plain_words("verbs-after-it"))


def _denied_behind(words: Iterator[Word]) -> Iterator[Word]:
    """The words, those before "not needed" or "to be omitted" denied."""
    told = list(words)
    ends = [match.places[0] for match in matches_in(told, phrases_of("denied_behind"))]
    if len(told) > 1 and denies(told[-1].written) and not _is_thing(told[-1].written, told[-2].written):
        ends.append(len(told) - 1)
    ends += [place for place in range(1, len(told)) if _denied_deed(told, place)]
    for place, word in enumerate(told):
        yield replace(word, state="denied") if ends and place < max(ends) and word.state == "told" else word


def _denied_deed(words: Sequence[Word], place: int) -> bool:
    """Whether a denial stands here between a thing and what is not done to it, as in "moisture wasn't checked"."""
    written = [word.written for word in words]
    if not denies(written[place]) or (_SUBJECTS | _SUBJECTS_OR_OBJECTS | {"who", "that"}).intersection(written[:place]):
        return False
    after = next((word for word in written[place + 1 :] if word not in plain_words("before-participles")), "")
    passive = written[place - 1] in plain_words("before-participles") or written[place] in plain_words(
        "passive-denials"
    )
    spared = written[place] in plain_words("sparing-denials") and after in plain_words("sparing")
    return spared or (passive and (after.endswith(("ed", "ing")) or after in plain_words("participles")))


def _awaited(words: Sequence[str]) -> int:
    """The place of the "until" of "not ... until", behind which stands what must come first; -1 where there is none."""
    holds = (place for place, word in enumerate(words) if denies(word) or tuple(words[place : place + 2]) in _HOLDS)
    first = next(holds, len(words))
    return next((place for place, word in enumerate(words) if place > first and word in plain_words("awaits")), -1)
