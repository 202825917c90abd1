"""What the vocabulary finds in the words of a clause: steps told, steps left out, ways of working.

The ways of working are searched for beside the steps, for "sand it dry" is both.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, replace

from listel.core.quick import dataclass
from listel.plugins.sequence.clauses import beside_denial, denies, parts_of
from listel.plugins.sequence.matching import Match, matches_in, things
from listel.plugins.sequence.phrases import (
    ANOTHER_MATTER,
    Named,
    Word,
    class_stems,
    method_phrases,
    outranked,
    own_phrases,
    stages,
    vocabulary,
    words_that_mean,
)
from listel.plugins.sequence.wording import plain_words, waits_told

MOST_BESIDE = 4
"""A part of so many words that are not small may mean a step by one word alone."""

TAKE_DOWN = "take-down"

_LONE_DRY = re.compile(r",\s*dry\b(?=\s*(?:[,;.]|$))")
"""Dry as a word by itself between commas, which tells how the deed before it is done."""
_LEAVES = re.compile(r"^\W*(?:then |and |we |i |agreed )*(?:leave|let|allow|give|wait|agreed)\b")


@dataclass(frozen=True)
class Told:
    """The ``steps`` a text tells, in its order, the ``parts`` they stand in, those it leaves out (``denied``), whether
    anything else in it is ``known``: another trade's matter, or a way of working that is denied; the ``thing`` that it
    names last; and which of the steps it tells in words that a plugin gave for them (``given``).
    """

    steps: tuple[str, ...] = ()
    parts: tuple[int, ...] = ()
    denied: tuple[str, ...] = ()
    known: bool = False
    thing: str = ""
    _: KW_ONLY
    given: frozenset[str] = frozenset()


@dataclass(frozen=True)
class _Found:
    """A step found in a text: the number of its part, its place there, and whether a stronger one may oust it."""

    part: int
    place: int
    step: str
    weak: bool


def steps_told(text: str, named: Named, thing: str = "") -> Told:
    """The steps that a text tells and leaves out; ``thing``: what was named last before it."""
    found: list[_Found] = []
    denied: list[str] = []
    given: set[str] = set()
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
        given |= {match.phrase.step for match in matches_in(words, own_phrases(named))}
    if _LEAVES.match(text) or waits_told(text) or known or any(each.step and not each.weak for each in found):
        found = [each for each in found if not each.weak]
    beneath = {step for told in (*(each.step for each in found), *denied) for step in outranked().get(told, ())}
    beside = {(each.part, step) for each in found for step in outranked().get(each.step, ())}
    beneath -= {each.step for each in found if each.step in given and (each.part, each.step) not in beside}
    denied = [step for step in denied if step not in beneath]
    found = sorted((each for each in found if each.step not in beneath), key=lambda each: (each.part, each.place))
    parts = {each.step: each.part for each in reversed(found)}
    order = tuple(dict.fromkeys(_real(each.step for each in found)))
    return Told(
        steps=order,
        parts=tuple(parts[step] for step in order),
        denied=tuple(dict.fromkeys(_real(denied))),
        known=known,
        thing=thing,
        given=frozenset(given.intersection(order)),
    )


def methods_told(text: str, named: Named) -> dict[str, bool]:
    """The ways of working that a text tells and does not deny, each with whether it tells it in a plugin's words."""
    found: dict[str, bool] = {}
    for words in parts_of(_LONE_DRY.sub(" dry", text)):
        for match in matches_in(words, method_phrases(named)):
            told = match.phrase.step and words[match.places[0]].state == "told" and not match.spans_and(words)
            if told:
                found[match.phrase.step] = match.phrase.given or found.get(match.phrase.step, False)
    return found


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
