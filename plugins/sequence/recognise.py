"""What a line of a plan means, in the words people use.

A line is parted at its commas, stops and "then". Each part is searched for the phrases of the vocabulary; the longest
phrase wins, its words are used up, and the search goes on, so that one line may hold several steps. Words are compared
by their stem, and a word that is nearly one of the vocabulary's counts as a slip of spelling. What stands behind
"before", "after", "until", "when" is a mention, and what stands behind "no" or "don't" is a denial: neither is a step.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from rapidfuzz import fuzz, process

from listel.core.contract.tables import load_table
from listel.plugins.sequence.wording import mended, plain_words, stem, waits_told, words_of, written_out

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MOST_BETWEEN = 3
"""So many other words may stand between two words of a phrase."""

Named = tuple[tuple[str, str], ...]
"""Steps with phrases that plugins gave for them."""

Kind = Literal["phrases", "things", "alone"]
KINDS: tuple[Kind, ...] = ("phrases", "things", "alone")

_DRYING = re.compile(
    r"\b(?:once|when|after|until|till|while|let|leave|allow|wait(?:ing)?(?: for)?|give)\s+(?:[a-z0-9']+\s+){0,6}?"
    r"(?:dry|dries|dried|drying|sets?(?! (?:aside|out|up|down|in)\b)|cure|cured|cures|harden(?:s|ed)?|hard"
    r"|gone off|goes off|go off|going off)\b"
)
"""Words that only say something is to dry or set: no step of their own."""

_DAY = re.compile(r"^\W*(day|week)\s+(\d{1,5})\b(?:\s*(?:-|to|and)\s*\d{1,5}\b)?")
_WEEKDAY = re.compile(r"^\W*(?:following |next |on )?(mon|tue|wed|thu|fri|sat|sun)(?:s|nes|rs|ur|urs)?(?:day)?\b")
_WAIT_FIRST = re.compile(
    r"^\W*(?:then\s+)?(?:after|wait|leave|allow|give|next|following|overnight|\d|an? |one |two |three )"
)
_IN_HAND = re.compile(
    r"\b(?:in hand|received|on file|on site|back from|back|came|clear|granted|discharged|displayed|done)\b"
)
_AFTER = re.compile(r"\bafter\s+(?:(?:a|about|at least|another)\s+)?$")
_AFTER_DOING = re.compile(r"\bafter\s+((?:[a-z]+\s+)?[a-z]{2,}ing\b[^,;.:()!?]*)")
_BETWEEN = re.compile(r"\s*(?:in\s+)?(?:between|apart|each|per)\b")
_PARTS = re.compile(r"[,;.:()!?/\u2014\u2013]|\s-\s|->|\bthen\b|\n")


@dataclass(frozen=True)
class Pause:
    """Hours to wait, ``after`` so many of the line's own steps; ``between``: between any two of them as well."""

    hours: float
    after: int
    between: bool = False


@dataclass(frozen=True)
class Reading:
    """A line read: the ``steps`` it holds, in the order it names them, the ``pauses`` it says to keep, the ``day`` it
    names (counted from the first, or a ``weekday``, 0 for Monday). ``in_hand``: it says that an answer has come.

    ``implied``: steps it says it comes after ("after drilling"); ``driven``: what it drives, nails or screws.
    ``lost``: it means something and was not recognised; ``nearest``: the step it is nearest to; ``members``: it names
    nothing but members of the trim, as a line does that goes on from the one before.
    """

    steps: tuple[str, ...] = ()
    pauses: tuple[Pause, ...] = ()
    day: float | None = None
    weekday: int | None = None
    in_hand: bool = False
    implied: tuple[str, ...] = ()
    driven: frozenset[str] = frozenset()
    lost: bool = False
    nearest: str = ""
    members: bool = False


@dataclass(frozen=True)
class Phrase:
    """One phrase: the step it means ("" for a name that means none), and for each of its words what may stand there,
    as stems, or after an equals sign as the word itself.

    ``things`` are words that mean their step unless they stand as a thing ("over the nails"); ``alone``: they mean it
    only where the line names no other step, or as the one word of their part.
    """

    step: str
    words: tuple[frozenset[str], ...]
    kind: Kind
    turned: bool = False


@dataclass(frozen=True)
class _Word:
    """A word of a line: as ``written``, its stem, and whether it is ``told``, only mentioned, or ``denied``."""

    written: str
    root: str
    told: bool
    denied: bool

    def fits(self, choice: frozenset[str]) -> bool:
        return self.root in choice or f"={self.written}" in choice


@dataclass(frozen=True)
class _Match:
    phrase: Phrase
    places: tuple[int, ...]


def read_line(text: str, settled: tuple[str, ...] = (), named: Named = ()) -> Reading:
    """One line of a plan.

    ``settled`` are step names that the person gave for it, which outrank its words; ``named`` are phrases that plugins
    gave for steps: of the words of one, those that are more than everyday English must stand in the line.
    """
    lowered = written_out(text)
    day, weekday, rest = _dated(lowered)
    told = _DRYING.sub(" ", rest)
    steps, denied = (settled, False) if settled else _steps_told(told, named)
    reading = Reading(
        steps,
        tuple(_pauses(rest, steps, named, settled=bool(settled))),
        day,
        weekday,
        bool(_IN_HAND.search(rest)),
        _implied(told, steps, named),
        frozenset(_driven(told)),
    )
    says_nothing = bool(reading.pauses) or day is not None or told != rest or not words_of(told)
    if steps or denied or says_nothing:
        return reading
    members = _only_members(told)
    return replace(reading, lost=True, nearest="fix" if members else nearest_step(rest), members=members)


def _pauses(text: str, steps: tuple[str, ...], named: Named, *, settled: bool) -> Iterator[Pause]:
    """The waits of a line, each with how many of the line's steps stand before it; "gloss after 24 hours" waits before
    the gloss.
    """
    for start, end, hours in waits_told(text):
        if settled:
            yield Pause(hours, 0 if _WAIT_FIRST.match(text) else len(steps), between=True)
            continue
        before = text[:start]
        if _AFTER.search(before):
            before = before[: max((part.start() for part in _PARTS.finditer(before)), default=0)]
        stand_before = [steps.index(step) for step in _steps_told(_DRYING.sub(" ", before), named)[0] if step in steps]
        yield Pause(hours, max(stand_before, default=-1) + 1, between=bool(_BETWEEN.match(text[end:])))


def _implied(text: str, steps: tuple[str, ...], named: Named) -> tuple[str, ...]:
    """The steps that a line says it comes after, in the form "after drilling"."""
    found = [step for clause in _AFTER_DOING.findall(text) for step in _steps_told(clause, named)[0]]
    return tuple(dict.fromkeys(step for step in found if step not in steps))


def _driven(text: str) -> Iterator[str]:
    """What a line drives: nails (or pins, brads, tacks) or screws; not where it names their holes or their heads."""
    for words in _parts(text):
        for place, word in enumerate(words):
            after = words[place + 1].root if place + 1 < len(words) else ""
            if word.told and after not in _stems("of-fasteners"):
                if word.root in _stems("nails"):
                    yield "nails"
                elif word.root == "screw":
                    yield "screws"


def _only_members(text: str) -> bool:
    """Whether a text names members of the trim and nothing else."""
    members = frozenset(load_table(__package__, "word_classes").row("trim")["words"].split())
    words = set(words_of(text))
    return bool(words & members) and words <= members | plain_words("beside-members")


def _dated(text: str) -> tuple[float | None, int | None, str]:
    """The day or the weekday that a line begins with, and the rest of it; a week's first day stands for the week."""
    if found := _DAY.match(text):
        number = float(found[2])
        return (number if found[1] == "day" else 7 * number - 6), None, text[found.end() :]
    if found := _WEEKDAY.match(text):
        return None, WEEKDAYS.index(found[1]), text[found.end() :]
    return None, None, text


def _steps_told(text: str, named: Named) -> tuple[tuple[str, ...], bool]:
    """The steps a text tells, in its order, and whether it denies one."""
    found: list[tuple[int, int, Phrase, bool]] = []
    denied = False
    for number, words in enumerate(_parts(text)):
        matches = _matches_in(words, named)
        denied = denied or any(words[place].denied for match in matches for place in match.places)
        for match in matches:
            if _counts(match, words):
                found.append((number, match.places[0], match.phrase, match.phrase.kind == "alone" and len(words) > 1))
    if any(phrase.step and not weak for _, _, phrase, weak in found):
        found = [each for each in found if not each[3]]
    found.sort(key=lambda each: each[:2])
    return tuple(dict.fromkeys(phrase.step for _, _, phrase, _ in found if phrase.step)), denied


@cache
def vocabulary(named: Named = ()) -> tuple[Phrase, ...]:
    """Every phrase, and every phrase of verb and thing turned about ("scan walls", "walls scanned"); and the phrases
    that plugins gave.
    """
    phrases = [Phrase(step, _as_given(phrase), "phrases") for step, phrase in named if words_of(phrase)]
    for row in load_table(__package__, "vocabulary"):
        for kind in KINDS:
            for phrase in row.get(kind, ()):
                words = tuple(
                    frozenset(word if word.startswith("=") else stem(word) for word in _choices(choice))
                    for choice in phrase.split()
                )
                phrases.append(Phrase(row["step"], words, kind))
                if row["step"] and kind == "phrases" and len(words) == 2 and not words[1] & _stems("particles"):
                    phrases.append(Phrase(row["step"], words[::-1], kind, turned=True))
    return tuple(phrases)


def _as_given(phrase: str) -> tuple[frozenset[str], ...]:
    words = words_of(written_out(phrase.replace("-", " ")))
    telling = [word for word in words if word not in plain_words("common")]
    return tuple(frozenset({stem(_mended(word))}) for word in telling or words)


def _choices(choice: str) -> list[str]:
    """The words that may stand in one place of a phrase, its classes of words written out."""
    classes = load_table(__package__, "word_classes")
    words = [classes.row(word[1:-1])["words"].split() if word.startswith("<") else [word] for word in choice.split("/")]
    return [word for each in words for word in each]


@cache
def _by_first_word(named: Named) -> dict[str, list[int]]:
    """The places in the vocabulary of the phrases that a word may begin."""
    firsts: dict[str, list[int]] = {}
    for number, phrase in enumerate(vocabulary(named)):
        for word in phrase.words[0]:
            firsts.setdefault(word, []).append(number)
    return firsts


@cache
def known_steps() -> frozenset[str]:
    """Every step that the vocabulary has words for."""
    return frozenset(row["step"] for row in load_table(__package__, "vocabulary") if row["step"])


@cache
def _known() -> tuple[str, ...]:
    """The words that a slip of spelling may have been meant for."""
    rows = load_table(__package__, "vocabulary")
    choices = {each for row in rows for kind in KINDS for phrase in row.get(kind, ()) for each in phrase.split()}
    told = {word for each in choices for word in _choices(each)}
    return tuple(sorted(word.removeprefix("=") for word in told))


@cache
def _roots() -> frozenset[str]:
    rows = ("common", "looks-like", "mentions", "denials", "particles", "before-things")
    return frozenset(stem(word) for word in _known()).union(*(_stems(row) for row in rows))


def _stems(row: str) -> frozenset[str]:
    return frozenset(stem(word) for word in plain_words(row))


@cache
def _mended(word: str) -> str:
    return word if stem(word) in _roots() else mended(word, _known())


def _parts(text: str) -> Iterator[list[_Word]]:
    """The parts of a line as words; a denial at the end of a part holds for the next, and what begins with "if" is a
    mention to the end of the line.
    """
    conditional = False
    denied = False
    for part in _PARTS.split(text):
        words = [_mended(word) for word in words_of(part)]
        if not words:
            continue
        conditional = conditional or words[0] == "if"
        told = list(_told(words, conditional, denied))
        denied = words[-1].replace("'", "") in plain_words("denials")
        yield told


def _told(words: Sequence[str], mention: bool, deny: bool) -> Iterator[_Word]:
    for place, word in enumerate(words):
        yield _Word(word, stem(word), not mention and not deny, deny)
        plain, after = word.replace("'", ""), words[place + 1] if place + 1 < len(words) else ""
        if plain in plain_words("mentions"):
            mention = mention or after not in ("me", "us", "that", "this")
        elif plain in plain_words("turns"):
            deny = False
        elif plain in plain_words("denials"):
            deny = after not in ("forget", "miss", "skip", "omit") and not deny


def _counts(match: _Match, words: Sequence[_Word]) -> bool:
    """Whether a match is told: not denied, nor mentioned unless the phrase itself holds the "before"."""
    first, last = words[match.places[0]], words[match.places[-1]]
    if not first.told:
        return False
    own = any(words[place].written in plain_words("mentions") | plain_words("denials") for place in match.places)
    return last.told or own


def _matches_in(words: Sequence[_Word], named: Named) -> list[_Match]:
    """The phrases in one part of a line that use no word twice: the longest first, then the foremost."""
    used = [False] * len(words)
    found: list[_Match] = []
    firsts = _by_first_word(named)
    met = {number for word in words for key in (word.root, f"={word.written}") for number in firsts.get(key, ())}
    phrases = [vocabulary(named)[number] for number in sorted(met)]
    for length in sorted({len(phrase.words) for phrase in phrases}, reverse=True):
        matches = [
            match for phrase in phrases if len(phrase.words) == length for match in _matches(phrase, words, used)
        ]
        matches.sort(key=lambda match: (_spans_and(match, words), match.phrase.turned, match.places))
        for match in matches:
            if any(used[place] for place in match.places):
                continue
            found.append(match)
            for place in _used_up(match, words):
                used[place] = True
    return found


def _matches(phrase: Phrase, words: Sequence[_Word], used: Sequence[bool]) -> Iterator[_Match]:
    for first, word in enumerate(words):
        if used[first] or not word.fits(phrase.words[0]):
            continue
        if phrase.kind == "things" and _stands_as_thing(words, first):
            continue
        places = [first]
        for choice in phrase.words[1:]:
            window = range(places[-1] + 1, min(places[-1] + 2 + MOST_BETWEEN, len(words)))
            after = next((place for place in window if not used[place] and words[place].fits(choice)), None)
            if after is None:
                break
            places.append(after)
        else:
            yield _Match(phrase, tuple(places))


def _stands_as_thing(words: Sequence[_Word], place: int) -> bool:
    """Whether a word stands behind "the" or "over", or behind "the" and one word more ("the door paint")."""
    if place and words[place - 1].written in plain_words("before-things"):
        return True
    return place > 1 and words[place - 2].written in ("the", "old", "existing") and words[place - 1].told


def _spans_and(match: _Match, words: Sequence[_Word]) -> bool:
    return any(words[place].root in ("and", "or") for place in range(match.places[0], match.places[-1]))


def _used_up(match: _Match, words: Sequence[_Word]) -> Sequence[int]:
    """The words a match uses: its own, and those between them where no "and" parts them."""
    return match.places if _spans_and(match, words) else range(match.places[0], match.places[-1] + 1)


def nearest_step(text: str) -> str:
    """The step one of whose words is nearest to a word of a line that was not recognised, or "" if none is near."""
    best, likeness = "", 60.0
    for word in words_of(text):
        if len(word) < 3 or word in plain_words("common"):
            continue
        found = process.extractOne(word, _steps_by_word().keys(), scorer=fuzz.ratio, score_cutoff=likeness + 1e-9)
        if found:
            best, likeness = _steps_by_word()[found[0]], found[1]
    return best


@cache
def _steps_by_word() -> dict[str, str]:
    """The step that first uses each word of the vocabulary that is more than everyday English."""
    steps: dict[str, str] = {}
    for row in load_table(__package__, "vocabulary"):
        choices = [each for kind in KINDS for phrase in row.get(kind, ()) for each in phrase.split() if row["step"]]
        for word in (word.removeprefix("=") for each in choices for word in _choices(each)):
            if len(word) > 3 and word not in plain_words("common"):
                steps.setdefault(word, row["step"])
    return steps
