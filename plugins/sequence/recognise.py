"""What a clause of a plan means, in the words people use: its steps, what it leaves out, its ways of working and waits.

The ways of working are searched for beside the steps, for "sand it dry" is both.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.plugins.sequence.clauses import beside_denial, dated, denies, part_begins, parts_of
from listel.plugins.sequence.phrases import (
    ANOTHER_MATTER,
    Match,
    Named,
    Word,
    class_stems,
    matches_in,
    method_phrases,
    nearest_step,
    outranked,
    plain_stems,
    stages,
    things,
    vocabulary,
    words_that_mean,
)
from listel.plugins.sequence.wording import plain_words, stem, waits_told, words_of, written_out

LASTING = "acclimatise"
"""The step that is itself a wait: "five days in the room" is its time even where no word of it stands before."""

MOST_BESIDE = 4
"""A part of so many words that are not small may mean a step by one word alone."""

TAKE_DOWN = "take-down"

Titles = Sequence[tuple[str, str]]
"""Names of steps, each with its title."""

_DRYING = re.compile(
    r"\b(?:once|when|after|until|till|while|let|leave|allow|wait(?:ing)?(?: for)?|give)\s+(?:[a-z0-9']+\s+){0,6}?"
    r"(?:dry|dries|dried|drying|sets?(?! (?:aside|out|up|down|in)\b)|cure|cured|cures|harden(?:s|ed)?|hard"
    r"|gone off|goes off|go off|going off)\b"
)
"""Words that only say something is to dry or set: no step of their own."""

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
_BETWEEN = re.compile(r"\s*(?:in\s+|let\s+)?(?:between|apart|each|per)\b")
_BETWEEN_TWO = re.compile(r"\s*(?:\w+\s+){0,2}between (?:the two|them|the coats)\b")
_FOR_WHAT = re.compile(r"\s*(?:for|between)\b")
_LATER = re.compile(r"\b(?:before|until|till|and then)\b.*")
_AFTER_WHAT = re.compile(r"^[^,.;]*?\bafter\s+(?:the\s+)?((?:\w+\s*){1,3})")
_LEFT_OUT = re.compile(
    r"\b(?:leave|left|leaving|miss|keep)\s+((?:(?!dry|set|go|air)\w+\s+){1,4}?)(?:out\b(?! of)|off altogether\b)"
)
_ONCE = re.compile(
    r"\b(?:(?:i|we|he|she|they|people|folk|everyone) used to|(?:would|might|could) have|wanted to"
    r"|(?:last|previous) (?:decorator|owner|builder|joiner|painter|man|chap|lot|people)|suggest(?:ed|s)|proposed|i read"
    r"|asked (?:re|about|if|whether))\b"
)
"""Words behind which stands what was done once, or would have been."""

_INSTEAD = re.compile(r"\binstead of ((?:(?!use|we|i|do|try)[\w-]+ ){1,5}?)(?=(?:use|we|i|do|try)\b)")
_LEAVES = re.compile(r"^\W*(?:then |and |we |i |agreed )*(?:leave|let|allow|give|wait|agreed)\b")
_BEFORE_ALL = re.compile(
    r"\bbefore (?:anything|(?:any |the )?works?\b(?: (?:starts?|begins?|proper))?"
    r"|(?:any(?:body|one)|we|you|they|i) (?:starts?|begins?))"
)
"""Words that only say that what follows comes first."""


@dataclass(frozen=True)
class Pause:
    """Hours to wait, ``after`` so many of the line's own steps; ``between``: between any two of them as well. ``of``:
    the step whose stuff it names ("the lime needs eight weeks"), "" where it names none.
    """

    hours: float
    after: int
    between: bool = False
    of: str = ""


@dataclass(frozen=True)
class Reading:
    """A line read: the ``steps`` it holds, in the order it names them, the ``pauses`` it says to keep, the ``day`` it
    names (counted from the first, or a ``weekday``, 0 for Monday). ``in_hand``: it says that an answer has come.

    ``implied``: steps it says it comes after ("after drilling"); ``driven``: what it drives, nails or screws.
    ``denied``: steps it leaves out on purpose; ``methods``: ways of working it names; ``parts``: of each step the part
    of the clause that it stands in; ``titled``: it is the title of a step. ``lost``: it means something and was not
    recognised; ``nearest``: the step it is nearest to; ``members``: it names nothing but members of the trim, as a line
    does that goes on from the one before; ``thing``: the stem of the thing that "it" would stand for behind it.
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
    thing: str = ""


def read_line(
    text: str, settled: tuple[str, ...] = (), named: Named = (), titles: Titles = (), before: Reading | None = None
) -> Reading:
    """One clause of a plan, behind the one that was read as ``before``.

    ``settled`` are step names that the person gave for it, which outrank its words; ``named`` are phrases that plugins
    gave for steps: of the words of one, those that are more than everyday English must stand in it; ``titles`` are
    the titles of steps, each of which is its step whatever else its words say.
    """
    lowered = _LEFT_OUT.sub(r"skip \1", written_out(text))
    lowered = _INSTEAD.sub(r"not \1, ", _ONCE.sub("once", lowered)).replace("instead of", "not")
    day, weekday, rest = dated(_AFTER_THAT.sub("", lowered))
    told = _BEFORE_ALL.sub(" ", _DRYING.sub(_until, rest))
    titled = tuple(step for step, title in titles if not settled and words_of(written_out(title)) == words_of(lowered))
    settled = settled or titled
    thing = before.thing if before else ""
    found = _Told(settled, (0,) * len(settled)) if settled else _steps_told(told, named, thing)
    reading = Reading(
        steps=found.steps,
        denied=tuple(step for step in found.denied if step not in found.steps),
        methods=_methods(told, named),
        parts=found.parts,
        titled=bool(titled),
        pauses=tuple(_pauses(rest, found.steps, named, settled=bool(settled))),
        day=day,
        weekday=weekday,
        in_hand=bool(_IN_HAND.search(rest)),
        implied=_implied(told, found.steps, named),
        driven=frozenset(_driven(told)),
        thing=found.thing or thing,
    )
    says_nothing = bool(reading.pauses) or day is not None or told != rest or not words_of(told)
    if found.steps or found.known or reading.methods or says_nothing:
        return reading
    members = _only_members(told)
    return replace(reading, lost=True, nearest="fix" if members else nearest_step(rest), members=members)


def _until(drying: re.Match[str]) -> str:
    """What is left of words that only say something is to dry: an "until", which takes a denial before it away."""
    return " until " if drying[0].startswith(("until", "till")) else " "


def _methods(text: str, named: Named) -> tuple[str, ...]:
    """The ways of working that a text tells and does not deny."""
    found = [
        match.phrase.step
        for words in parts_of(_LONE_DRY.sub(" dry", text))
        for match in matches_in(words, method_phrases(named))
        if match.phrase.step and words[match.places[0]].state == "told" and not match.spans_and(words)
    ]
    return tuple(dict.fromkeys(found))


def _pauses(text: str, steps: tuple[str, ...], named: Named, *, settled: bool) -> Iterator[Pause]:
    """The waits of a line, each with how many of the line's steps stand before it; "gloss after 24 hours" waits before
    the gloss.
    """
    if plain_words("no-waits").intersection(words_of(text)):
        return
    for start, end, hours in waits_told(text):
        before, behind = text[:start], text[end:]
        if settled:
            yield Pause(hours, 0 if _WAIT_FIRST.match(text) else len(steps), between=True)
            continue
        if _AFTER.search(before):
            before = before[: part_begins(before)]
        named_after = _AFTER_WHAT.match(behind)
        told = [step for step in _steps_told(named_after[1], named).steps if step in steps] if named_after else []
        stand_before = [
            steps.index(step) for step in told or _steps_told(_DRYING.sub(" ", before), named).steps if step in steps
        ]
        lasting = 1 if not stand_before and LASTING in steps[:1] and not _AFTER.search(text[:start]) else 0
        after = max(stand_before, default=-1) + 1 + lasting
        after -= after > 1 and bool(_BETWEEN_TWO.match(behind))
        of = "" if after else _waits_for(text[:start], last=True) or _waits_for(_LATER.sub("", behind), last=False)
        after = steps.index(of) + 1 if of in steps and _FOR_WHAT.match(behind) else after
        yield Pause(hours, after, between=bool(_BETWEEN.match(behind)), of="" if of in steps else of)


def _waits_for(text: str, *, last: bool) -> str:
    """The step whose stuff a text names, first or last, as what dries or settles; or ""."""
    named = [step for word in words_of(text) if (step := words_that_mean("waits").get(stem(word), ""))]
    return named[-1 if last else 0] if named else ""


def _implied(text: str, steps: tuple[str, ...], named: Named) -> tuple[str, ...]:
    """The steps that a line says it comes after, in the form "after drilling"."""
    found = [step for clause in _AFTER_DOING.findall(text) for step in _steps_told(clause, named).steps]
    return tuple(dict.fromkeys(step for step in found if step not in steps))


def _driven(text: str) -> Iterator[str]:
    """What a line drives: nails (or pins, brads, tacks) or screws; not where it names their holes or their heads."""
    for words in parts_of(text):
        for place, word in enumerate(words):
            after = words[place + 1].root if place + 1 < len(words) else ""
            if word.state == "told" and after not in plain_stems("of-fasteners"):
                if word.root in plain_stems("nails"):
                    yield "nails"
                elif word.root == "screw":
                    yield "screws"


def _only_members(text: str) -> bool:
    """Whether a text names members of the trim and nothing else."""
    members = frozenset(load_table(__package__, "word_classes").row("trim")["words"].split())
    words = set(words_of(text))
    return bool(words & members) and words <= members | plain_words("beside-members")


@dataclass(frozen=True)
class _Told:
    """The ``steps`` a text tells, in its order, the ``parts`` they stand in, those it leaves out (``denied``), whether
    anything else in it is ``known``: another trade's matter, or a way of working that is denied; and the ``thing`` that
    it names last.
    """

    steps: tuple[str, ...] = ()
    parts: tuple[int, ...] = ()
    denied: tuple[str, ...] = ()
    known: bool = False
    thing: str = ""


@dataclass(frozen=True)
class _Found:
    """A step found in a text: the number of its part, its place there, and whether a stronger one may oust it."""

    part: int
    place: int
    step: str
    weak: bool


def _steps_told(text: str, named: Named, thing: str = "") -> _Told:
    found: list[_Found] = []
    denied: list[str] = []
    known = False
    for number, part in enumerate(parts_of(text)):
        thing, words = _meant(part, thing)
        matches = list(_in_one_breath(matches_in(words, vocabulary(named)), words))
        ways = any(
            match.phrase.step and words[match.places[0]].state == "denied"
            for match in matches_in(words, method_phrases(named))
        )
        whole = _is_whole(matches, words)
        strong = any(match.phrase.kind != "alone" and match.phrase.step for match in matches)
        short = sum(not word.small for word in words) <= MOST_BESIDE
        for match in matches:
            weak = match.phrase.kind == "alone" and (strong or not whole)
            state = "denied" if match.phrase.kind == "denied" else words[match.places[0]].state
            known = known or match.phrase.turns or match.phrase.step == ANOTHER_MATTER or state == "denied"
            if state == "told" and (short or match.phrase.kind != "alone"):
                found.append(_Found(number, match.places[0], _of_object(match.phrase.step, words), weak))
            elif match.phrase.kind == "denied":
                denied.append(_of_object(match.phrase.step, words))
            elif match.phrase.kind == "ways" or ways or (weak and strong):
                continue
            elif state == "denied" and _left_out(match, words):
                denied.append(_of_object(match.phrase.step, words))
        known = known or ways
    if _LEAVES.match(text) or waits_told(text) or known or any(each.step and not each.weak for each in found):
        found = [each for each in found if not each.weak]
    beneath = {step for told in (*(each.step for each in found), *denied) for step in outranked().get(told, ())}
    denied = [step for step in denied if step not in beneath]
    found = sorted((each for each in found if each.step not in beneath), key=lambda each: (each.part, each.place))
    parts = {each.step: each.part for each in reversed(found)}
    order = tuple(dict.fromkeys(_real(each.step for each in found)))
    return _Told(order, tuple(parts[step] for step in order), tuple(dict.fromkeys(_real(denied))), known, thing)


def _in_one_breath(matches: Sequence[Match], words: Sequence[Word]) -> Iterator[Match]:
    """The matches, of those that no "and" parts only such as are of one stage of the work with the surest of them: the
    first that is more than one word."""

    def breath(match: Match) -> tuple[int, str]:
        joints = sum(word.root in plain_words("joints") for word in words[: match.places[0]])
        return joints, words[match.places[0]].state

    surest: dict[tuple[int, str], Match] = {}
    for match in sorted(matches, key=lambda each: (len(each.places) == 1, each.phrase.kind == "alone", each.places)):
        if stages().get(match.phrase.step):
            surest.setdefault(breath(match), match)
    for match in matches:
        stage = stages().get(match.phrase.step)
        best = surest.get(breath(match))
        if not stage or not best or stage & stages()[best.phrase.step]:
            yield match


def _meant(words: Sequence[Word], thing: str) -> tuple[str, list[Word]]:
    """The words, each pronoun with the thing named last before it where that is one that is taken away and put back;
    and the thing named last in them."""
    meant = []
    for word in words:
        stands = word.written in plain_words("pronouns") and thing in class_stems("removed")
        meant.append(replace(word, meant=thing) if stands else word)
        thing = word.root if word.root in things() else thing
    return thing, meant


def _is_whole(matches: Sequence[Match], words: Sequence[Word]) -> bool:
    """Whether single words of the vocabulary are all there is in a part."""
    covered = {place for match in matches for place in match.places}
    return all(len(match.places) == 1 for match in matches) and all(
        place in covered or word.small for place, word in enumerate(words)
    )


def _left_out(match: Match, words: Sequence[Word]) -> bool:
    """Whether a denied match leaves its step out, and not only one kind of stuff for it ("no expanding foam") or one
    manner of it ("don't pull it off in bits").
    """
    first, last = match.places[0], match.places[-1]
    denial = next((place for place in range(first, -1, -1) if denies(words[place].written)), None)
    if denial is None:
        return True
    between = [word.written for word in words[denial + 1 : first]]
    if match.phrase.kind == "alone" and not all(beside_denial(word) for word in between):
        return False
    if {"over", "under", "more", "within"}.intersection(word.written for word in words[last + 1 : last + 2]):
        return False
    kind = bool(between) and not _turned_aside(words[first - 1])
    if words[denial].written in plain_words("denials-of-things") and not words[last].written.endswith("ing"):
        return not kind or len(between) > 2
    manner = [word.written for word in words[last + 1 : last + 3]]
    closing = set() if last + 3 < len(words) else {words[-1].written} - plain_words("places")
    return not plain_words("manners").intersection(manner).difference(closing)


def _turned_aside(before: Word) -> bool:
    """Whether the word before a denied one tells nothing of its kind."""
    return beside_denial(before.written) or before.written.isdecimal() or before.written.endswith("ing")


def _of_object(step: str, words: Sequence[Word]) -> str:
    """The step, or where the first thing that its part names is no trim, taking that thing away."""
    if step != TAKE_DOWN:
        return step
    objects = words_that_mean("objects")
    first = next((word.root for word in words if word.root in objects or word.root in class_stems("trim")), "")
    return step if first in class_stems("trim") else objects.get(first, step)


def _real(steps: Iterable[str]) -> Iterator[str]:
    """Those that are steps of this work, and neither names of things nor other trades' matters."""
    return (step for step in steps if step not in ("", ANOTHER_MATTER))
