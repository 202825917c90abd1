"""What a clause of a plan means, in the words people use.

A line is cut into clauses at its stops, semicolons and "then"; a clause is parted at its commas. Each part is
searched for the phrases of the vocabulary; the longest phrase wins, its words are used up, and the search goes on, so
that one clause may hold several steps. Words are compared by their stem, and a word that is nearly one of the
vocabulary's counts as a slip of spelling. What stands behind "before", "after", "until", "when" is a mention and no
step; what stands behind "no" or "don't bother with" is left out on purpose; of "not ... until" only what is waited for
is told. The ways of working are searched for beside the steps, for "sand it dry" is both.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from rapidfuzz import fuzz, process

from listel.core.contract.tables import load_table
from listel.plugins.sequence.wording import mended, plain_words, stem, waits_told, words_of, written_out

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MOST_BETWEEN = 3
"""So many other words may stand between two words of a phrase, the small ones not counted."""

ADJOINING = "+"
"""A choice of words that begins with it must stand right behind the word before."""

Kind = Literal["phrases", "things", "alone"]
KINDS: tuple[Kind, ...] = ("phrases", "things", "alone")

LASTING = "acclimatise"
"""The step that is itself a wait: "five days in the room" is its time even where no word of it stands before."""

TAKE_DOWN = "take-down"

ANOTHER_MATTER = "another-matter"
"""What the vocabulary calls a matter of another trade, or of the office."""

Named = tuple[tuple[str, str], ...]
"""Steps with phrases that plugins gave for them."""

Titles = Sequence[tuple[str, str]]
"""Names of steps, each with its title."""

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
_LONE_DRY = re.compile(r",\s*dry\b(?=\s*(?:[,;.]|$))")
"""Dry as a word by itself between commas, which tells how the deed before it is done."""
_AFTER_THAT = re.compile(r"^\W*(?:and )?after (?:that|which)\b")
_AFTER_DOING = re.compile(r"\bafter\s+((?:[a-z]+\s+)?[a-z]{2,}ing\b[^,;.:()!?]*)")
_BETWEEN = re.compile(r"\s*(?:in\s+)?(?:between|apart|each|per)\b")
_PARTS = re.compile(r"[,;.:()!?/\u2014\u2013]|\s-\s|->|\bthen\b|\n")
_CLAUSES = re.compile(
    r"(?<![ .][a-z])\.(?=[\s\"')]|$)|[;!?]|\s->\s|(?<=\s)(?=\(?\d{1,2}\)\s)"
    r"|(?=\bthen\b(?! only\b))|(?=\bafter (?:that|which)\b)",
    re.IGNORECASE,
)
_LEFT_OUT = re.compile(r"\b(?:leave|left|leaving|miss|keep)\s+((?:(?!dry|set|go|air)\w+\s+){1,4}?)out\b(?! of)")
_DENIED_BEHIND = re.compile(
    r"(?:\b(?:not|isn't|aren't|never)(?: \w+)? (?:required|needed|necessary|wanted|included|used|permitted|allowed)"
    r"|\b(?:banned|prohibited|forbidden|by others|off for \w+ing\b.*))\s*$"
)
_LEAVES = re.compile(r"^\W*(?:then |and |we |i |agreed )*(?:leave|let|allow|give|wait|agreed)\b")
_BEFORE_ALL = re.compile(
    r"\bbefore (?:anything|(?:any |the )?works?\b(?: (?:starts?|begins?|proper))?"
    r"|(?:any(?:body|one)|we|you|they|i) (?:starts?|begins?))"
)
"""Words that only say that what follows comes first."""


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
    ``denied``: steps it leaves out on purpose; ``methods``: ways of working it names; ``parts``: of each step the part
    of the clause that it stands in; ``titled``: it is the title of a step. ``lost``: it means something and was not
    recognised; ``nearest``: the step it is nearest to; ``members``: it names nothing but members of the trim, as a line
    does that goes on from the one before.
    """

    steps: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    methods: tuple[str, ...] = ()
    parts: tuple[int, ...] = ()
    titled: bool = False
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


def clauses_of(text: str) -> list[str]:
    """A line cut into its clauses: at stops, semicolons, "then", "after that"."""
    return [clause for part in _CLAUSES.split(text) if (clause := part.strip()) and any(c.isalnum() for c in clause)]


def read_line(text: str, settled: tuple[str, ...] = (), named: Named = (), titles: Titles = ()) -> Reading:
    """One clause of a plan.

    ``settled`` are step names that the person gave for it, which outrank its words; ``named`` are phrases that plugins
    gave for steps: of the words of one, those that are more than everyday English must stand in it; ``titles`` are
    the titles of steps, each of which is its step whatever else its words say.
    """
    lowered = _LEFT_OUT.sub(r"skip \1", written_out(text))
    day, weekday, rest = _dated(_AFTER_THAT.sub("", lowered))
    told = _BEFORE_ALL.sub(" ", _DRYING.sub(" ", rest))
    titled = tuple(step for step, title in titles if not settled and words_of(written_out(title)) == words_of(lowered))
    settled = settled or titled
    found = _Told(settled, (0,) * len(settled)) if settled else _steps_told(told, named)
    reading = Reading(
        steps=found.steps,
        denied=tuple(step for step in found.denied if step not in found.steps),
        methods=_methods(told),
        parts=found.parts,
        titled=bool(titled),
        pauses=tuple(_pauses(rest, found.steps, named, settled=bool(settled))),
        day=day,
        weekday=weekday,
        in_hand=bool(_IN_HAND.search(rest)),
        implied=_implied(told, found.steps, named),
        driven=frozenset(_driven(told)),
    )
    says_nothing = bool(reading.pauses) or day is not None or told != rest or not words_of(told)
    if found.steps or found.known or reading.methods or says_nothing:
        return reading
    members = _only_members(told)
    return replace(reading, lost=True, nearest="fix" if members else nearest_step(rest), members=members)


def _methods(text: str) -> tuple[str, ...]:
    """The ways of working that a text tells and does not deny."""
    found = [
        match.phrase.step
        for words in _parts(_LONE_DRY.sub(" dry", text))
        for match in _matches_in(words, *_method_phrases())
        if match.phrase.step and all(words[place].told for place in match.places) and not _spans_and(match, words)
    ]
    return tuple(dict.fromkeys(found))


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
        stand_before = [
            steps.index(step) for step in _steps_told(_DRYING.sub(" ", before), named).steps if step in steps
        ]
        lasting = 1 if not stand_before and LASTING in steps[:1] and not _AFTER.search(text[:start]) else 0
        yield Pause(hours, max(stand_before, default=-1) + 1 + lasting, between=bool(_BETWEEN.match(text[end:])))


def _implied(text: str, steps: tuple[str, ...], named: Named) -> tuple[str, ...]:
    """The steps that a line says it comes after, in the form "after drilling"."""
    found = [step for clause in _AFTER_DOING.findall(text) for step in _steps_told(clause, named).steps]
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


@dataclass(frozen=True)
class _Told:
    """The ``steps`` a text tells, in its order, the ``parts`` they stand in, those it leaves out (``denied``), and
    whether anything else in it is ``known``: another trade's matter, or a way of working that is denied.
    """

    steps: tuple[str, ...] = ()
    parts: tuple[int, ...] = ()
    denied: tuple[str, ...] = ()
    known: bool = False


def _steps_told(text: str, named: Named) -> _Told:
    found: list[tuple[int, int, Phrase, bool]] = []
    denied: list[str] = []
    known = False
    for number, words in enumerate(_parts(text)):
        ways = {
            place
            for match in _matches_in(words, *_method_phrases())
            for place in match.places
            if any(words[each].denied for each in match.places)
        }
        matches = _matches_in(words, vocabulary(named), _by_first_word(named))
        covered = {place for match in matches for place in _used_up(match, words)}
        whole = all(len(match.places) == 1 for match in matches) and all(
            place in covered or words[place].written in plain_words("fillers") for place in range(len(words))
        )
        strong = any(match.phrase.kind != "alone" and match.phrase.step for match in matches)
        for match in matches:
            weak = match.phrase.kind == "alone" and not whole
            known = known or match.phrase.step == ANOTHER_MATTER
            if _counts(match, words):
                phrase = replace(match.phrase, step=_of_object(match.phrase.step, words))
                found.append((number, match.places[0], phrase, weak))
            elif any(words[place].denied for place in match.places):
                known = True
                if words[match.places[0]].denied and not ways and not (weak and strong):
                    denied.append(match.phrase.step)
        known = known or bool(ways)
    if (
        _LEAVES.match(text)
        or waits_told(text)
        or known
        or any(phrase.step and not weak for _, _, phrase, weak in found)
    ):
        found = [each for each in found if not each[3]]
    found.sort(key=lambda each: each[:2])
    steps = {phrase.step: number for number, _, phrase, _ in reversed(found)}
    order = tuple(dict.fromkeys(_real(phrase.step for _, _, phrase, _ in found)))
    return _Told(order, tuple(steps[step] for step in order), tuple(dict.fromkeys(_real(denied))), known)


def _of_object(step: str, words: Sequence[_Word]) -> str:
    """The step, or where something is taken down that is no trim, the step of that thing."""
    objects = _objects()
    if step != TAKE_DOWN or any(word.root in _class("trim") for word in words):
        return step
    return next((objects[word.root] for word in words if word.root in objects), step)


@cache
def _objects() -> dict[str, str]:
    """The step by which each thing that is no trim is taken away."""
    rows = load_table(__package__, "vocabulary")
    return {stem(word): row["step"] for row in rows for each in row.get("objects", ()) for word in _choices(each)}


@cache
def _class(name: str) -> frozenset[str]:
    return frozenset(stem(word.removeprefix("=")) for word in _choices(f"<{name}>"))


def _real(steps: Iterable[str]) -> Iterator[str]:
    """Those that are steps of this work, and neither names of things nor other trades' matters."""
    return (step for step in steps if step not in ("", ANOTHER_MATTER))


@cache
def vocabulary(named: Named = ()) -> tuple[Phrase, ...]:
    """Every phrase, and every phrase of verb and thing turned about ("scan walls", "walls scanned"); and the phrases
    that plugins gave.
    """
    phrases = [Phrase(step, _as_given(phrase), "phrases") for step, phrase in named if words_of(phrase)]
    return (*phrases, *_phrases("vocabulary"))


def _phrases(table: str) -> Iterator[Phrase]:
    for row in load_table(__package__, table):
        for kind in KINDS:
            for phrase in row.get(kind, ()):
                words = tuple(
                    frozenset(word if word[0] in "=+" else stem(word) for word in _choices(choice))
                    for choice in phrase.split()
                )
                yield Phrase(row["step"], words, kind)
                if row["step"] and kind == "phrases" and len(words) == 2 and not words[1] & _stems("particles"):
                    yield Phrase(row["step"], words[::-1], kind, turned=True)


@cache
def _method_phrases() -> tuple[tuple[Phrase, ...], dict[str, list[int]]]:
    """The phrases of the ways of working, and by their first word."""
    phrases = tuple(_phrases("method_words"))
    return phrases, _by_first(phrases)


def _as_given(phrase: str) -> tuple[frozenset[str], ...]:
    words = words_of(written_out(phrase.replace("-", " ")))
    telling = [word for word in words if word not in plain_words("common")]
    return tuple(frozenset({stem(_mended(word))}) for word in telling or words)


def _choices(choice: str) -> list[str]:
    """The words that may stand in one place of a phrase, its classes of words written out."""
    classes = load_table(__package__, "word_classes")
    plain = choice.removeprefix(ADJOINING)
    words = [classes.row(word[1:-1])["words"].split() if word.startswith("<") else [word] for word in plain.split("/")]
    return [*((ADJOINING,) if plain != choice else ()), *(word for each in words for word in each)]


@cache
def _by_first_word(named: Named) -> dict[str, list[int]]:
    return _by_first(vocabulary(named))


def _by_first(phrases: Sequence[Phrase]) -> dict[str, list[int]]:
    """The places of the phrases that a word may begin."""
    firsts: dict[str, list[int]] = {}
    for number, phrase in enumerate(phrases):
        for word in phrase.words[0]:
            firsts.setdefault(word, []).append(number)
    return firsts


@cache
def known_steps() -> frozenset[str]:
    """Every step that the vocabulary has words for."""
    return frozenset(
        row["step"] for row in load_table(__package__, "vocabulary") if row["step"] not in ("", ANOTHER_MATTER)
    )


@cache
def _known() -> tuple[str, ...]:
    """The words that a slip of spelling may have been meant for."""
    rows = [*load_table(__package__, "vocabulary"), *load_table(__package__, "method_words")]
    choices = {each for row in rows for kind in KINDS for phrase in row.get(kind, ()) for each in phrase.split()}
    told = {word for each in choices for word in _choices(each)}
    return tuple(sorted(word.removeprefix("=") for word in told if word != ADJOINING))


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
        told = list(_told(words, conditional, denied or bool(_DENIED_BEHIND.search(part))))
        denied = words[-1].replace("'", "") in plain_words("denials")
        yield told


def _told(words: Sequence[str], mention: bool, deny: bool) -> Iterator[_Word]:
    awaited = _awaited(words)
    for place, word in enumerate(words):
        yield _Word(word, stem(word), not mention and not deny and place > awaited, deny and place > awaited)
        plain, after = word.replace("'", ""), words[place + 1] if place + 1 < len(words) else ""
        if place == awaited:
            mention = deny = False
        elif plain in plain_words("mentions"):
            mention = mention or after not in ("me", "us", "that", "this")
        elif plain in plain_words("turns"):
            deny = False
        elif plain in plain_words("denials") and not (
            place and plain in plain_words("left") and _denies(words[place - 1])
        ):
            deny = after not in plain_words("left") and not deny


def _denies(word: str) -> bool:
    return word.replace("'", "") in plain_words("denials")


def _awaited(words: Sequence[str]) -> int:
    """The place of the "until" of "not ... until", behind which stands what must come first; -1 where there is none."""
    first = next((place for place, word in enumerate(words) if _denies(word)), len(words))
    return next((place for place, word in enumerate(words) if place > first and word in plain_words("awaits")), -1)


def _counts(match: _Match, words: Sequence[_Word]) -> bool:
    """Whether a match is told: not denied, nor mentioned unless the phrase itself holds the "before"."""
    first, last = words[match.places[0]], words[match.places[-1]]
    if not first.told:
        return False
    own = any(words[place].written in plain_words("mentions") | plain_words("denials") for place in match.places)
    return last.told or own


def _matches_in(words: Sequence[_Word], vocabulary: Sequence[Phrase], firsts: dict[str, list[int]]) -> list[_Match]:
    """The phrases in one part of a line that use no word twice: the longest first, then the foremost."""
    used = [False] * len(words)
    found: list[_Match] = []
    met = {number for word in words for key in (word.root, f"={word.written}") for number in firsts.get(key, ())}
    phrases = [vocabulary[number] for number in sorted(met)]
    for length in sorted({len(phrase.words) for phrase in phrases}, reverse=True):
        matches = [
            match for phrase in phrases if len(phrase.words) == length for match in _matches(phrase, words, used)
        ]
        matches.sort(
            key=lambda match: (
                _spans_and(match, words),
                not words[match.places[-1]].told,
                match.phrase.turned,
                match.places,
            )
        )
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
            window = _window(words, places[-1] + 1, MOST_BETWEEN if phrase.step and ADJOINING not in choice else 0)
            after = next((place for place in window if not used[place] and words[place].fits(choice)), None)
            if after is None:
                break
            places.append(after)
        else:
            yield _Match(phrase, tuple(places))


def _window(words: Sequence[_Word], start: int, most: int) -> Iterator[int]:
    """The places from ``start`` on with at most so many other words before them; small words go free."""
    between = 0
    for place in range(start, len(words)):
        yield place
        between += words[place].written not in plain_words("fillers")
        if between > most:
            return


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
