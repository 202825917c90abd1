"""What the words of a clause weigh for each step and way of working, beside what the vocabulary finds in it.

People say one thing in more ways than a vocabulary holds. The weights were learnt from plans that people told, each
clause with its marks (``word_weights.json`` and ``.txt``; made by ``tests/plugins/sequence/learn.py``): of a word, of
two words that stand together, of four or five letters in a row. A second, small set of weights says how far to trust
the words, the vocabulary, and the denials it sees, where they differ. Of two readings of the same words the weights
decide nothing by chance: they are a table, and the same words weigh the same on every machine.
"""

from __future__ import annotations

import json
import math
from bisect import bisect
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

from listel.core.files import beside
from listel.core.quick import dataclass
from listel.plugins.sequence.phrases import Word, words_that_mean

BESIDE = 0.35
"""What a word of the same clause, or of the part before, counts beside one of the part itself; and some letters of
one."""

TAIL = 6
"""So many words of the part before count."""

LETTERS = (4, 5)
LEAST = -0.9
"""A topic that weighs less is not thought of, unless the vocabulary finds it."""

SURE = 0.7
"""A reading less sure than this is told as one in doubt."""

PERHAPS = 0.2
"""A step that is so sure is named as the nearest, where none is sure enough to be told."""

Features = Mapping[str, float]


class Mark(NamedTuple):
    """A step, "-" and a step that is left out, or "!" and a way of working; the part of the clause it stands in, the
    place there of the words that tell it, and how sure it is, from 0 to 1."""

    mark: str
    part: int
    place: int
    sure: float


@dataclass(frozen=True, kw_only=True)
class Found:
    """What the vocabulary finds in a clause: steps told, steps left out, ways of working, and whether it knows the
    clause for another matter."""

    told: frozenset[str]
    denied: frozenset[str]
    methods: frozenset[str]
    other: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class Weights:
    """The ``topics`` (steps, and ways of working behind a "!") and the steps that something ``waits`` for; what each of
    these weighs without a word (``bias``), and behind the last what speaks for leaving out. ``words``: pages of lines,
    in their order, that say what each feature adds in hundredths: the feature, a tab, the number of a topic and its
    weight, of the next and its weight. ``evidence``: of each kind of mark what each piece of evidence adds; ``sure``:
    how sure a mark must be that is told."""

    topics: tuple[str, ...]
    waits: tuple[str, ...]
    bias: tuple[float, ...]
    words: Sequence[str]
    evidence: Mapping[str, Mapping[str, float]]
    sure: Mapping[str, float]


@cache
def weights() -> Weights:
    """The weights as they were learnt."""
    told = json.loads(beside(__package__, "word_weights.json").read_bytes())
    return Weights(
        topics=tuple(told["topics"]),
        waits=tuple(told["waits"]),
        bias=tuple(told["bias"]),
        words=beside(__package__, "word_weights.txt").read_bytes().decode().split("\f"),
        evidence=told["evidence"],
        sure=told["sure"],
    )


def kind_of(mark: str) -> str:
    """Whether a mark is a step, a negation or a method."""
    return {"-": "negation", "!": "method"}.get(mark[0], "step")


def features_of(words: Sequence[Word], clause: frozenset[str], tail: Sequence[str]) -> Features:
    """What a part of a clause is weighed by: its words, pairs of them, their letters, the other words of its clause and
    the last of the part before; together of length 1."""
    roots = [word.root for word in words]
    features = {f"before {root}": BESIDE for root in tail}
    features |= {f"beside {root}": BESIDE for root in clause.difference(roots)}
    features |= {letters: BESIDE for root in roots for letters in _letters(root)}
    features |= dict.fromkeys((f"first {roots[0]}", f"last {roots[-1]}"), 1.0)
    features |= dict.fromkeys((*roots, *(f"{one} {other}" for one, other in pairwise(roots))), 1.0)
    length = math.sqrt(sum(value * value for value in features.values()))
    return {name: value / length for name, value in features.items()}


def _letters(root: str) -> Iterator[str]:
    if len(root) > LETTERS[0]:
        edged = f"<{root}>"
        for count in LETTERS:
            yield from (f"#{edged[start : start + count]}" for start in range(len(edged) - count + 1))


def scores_of(features: Features) -> list[float]:
    """What each topic weighs, then each step that is waited for, and last what speaks for leaving out."""
    known = weights()
    scores = list(known.bias)
    for name, value in features.items():
        for topic, weight in _told(known, name):
            scores[topic] += value * weight / 100
    return scores


@lru_cache(maxsize=8192)
def _told(known: Weights, name: str) -> list[tuple[int, int]]:
    page = known.words[bisect(known.words, f"{name}\n") - 1]
    line = f"\n{page}".partition(f"\n{name}\t")[2].partition("\n")[0]
    numbers = [int(number) for number in line.split()]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def evidence_of(topic: str, scores: Sequence[float], number: int, found: Found, words: Sequence[Word]) -> Features:
    """What speaks for and against a topic in a part of a clause: its weight and its lead over the next, what the
    vocabulary found in the clause, what speaks for leaving out, and how many of the words are denied or mentioned."""
    weight, leaving = scores[number], scores[-1]
    topics = scores[: len(weights().topics)]
    best = max(score for other, score in enumerate(topics) if other != number)
    told = topic.lstrip("!") in found.methods if topic[0] == "!" else topic in found.told
    denied = topic in found.denied
    states = [word.state for word in words]
    part_denied, mentioned = states.count("denied") / len(states), states.count("mentioned") / len(states)
    return {
        "always": 1.0,
        "weight": weight,
        "lead": min(weight - best, 1.0),
        "told": told,
        "told, by weight": told * weight,
        "told, leaving out": told * leaving,
        "denied": denied,
        "denied, by weight": denied * weight,
        "denied, leaving out": denied * leaving,
        "another told": bool(found.told) and not told,
        "another matter": found.other and not told and not denied,
        "leaving out": leaving,
        "leaving out, by weight": leaving * weight,
        "words denied": part_denied,
        "words denied, by weight": part_denied * weight,
        "words denied, leaving out": part_denied * leaving,
        "a word denied": part_denied > 0,
        "words mentioned": mentioned,
    }


@dataclass(frozen=True, kw_only=True)
class Weighing:
    """A clause on the scales: the words of its ``parts``, what the vocabulary ``found`` in it, and what each part
    weighs for each topic (``scores``)."""

    parts: Sequence[Sequence[Word]]
    found: Found
    scores: Sequence[Sequence[float]]

    @classmethod
    def of(cls, parts: Sequence[Sequence[Word]], found: Found, tail: Sequence[str]) -> Weighing:
        """The parts of a clause, behind one that ended with the words ``tail``."""
        return cls(parts=parts, found=found, scores=[scores_of(each) for each in features_of_parts(parts, tail)])

    def thought_of(self, part: int) -> Iterator[tuple[str, int, Features]]:
        """The topics that a part may tell, the number of each and what speaks for it."""
        known = self.found.told | self.found.denied | self.found.methods
        for number, topic in enumerate(weights().topics):
            if self.scores[part][number] >= LEAST or topic.lstrip("!") in known:
                yield topic, number, evidence_of(topic, self.scores[part], number, self.found, self.parts[part])

    @cached_property
    def marks(self) -> list[Mark]:
        """Every mark that may be meant, each in the part where it is surest, the surest first."""
        best: dict[str, Mark] = {}
        for part, words in enumerate(self.parts):
            for topic, number, evidence in self.thought_of(part):
                for mark in (topic,) if topic[0] == "!" else (topic, f"-{topic}"):
                    sure = sureness(kind_of(mark), evidence)
                    if mark not in best or sure > best[mark].sure:
                        best[mark] = Mark(mark, part, _place(words, number), sure)
        return sorted(best.values(), key=lambda mark: (-mark.sure, mark.mark))

    def waited_for(self, spot: tuple[int, int], told: Sequence[Mark], last: str) -> Iterator[tuple[str, Features]]:
        """The steps that a time told at a ``spot`` (a part, a word of it) may be the wait of, and what speaks for each:
        ``told`` are the steps of the clause, ``last`` the one told last before it."""
        topics = weights().topics
        scores = self.scores[min(spot[0], len(self.scores) - 1)]
        before = [mark.mark for mark in told if (mark.part, mark.place) < spot]
        behind = [mark.mark for mark in told if (mark.part, mark.place) >= spot]
        stuff = {words_that_mean("waits").get(word.root) for words in self.parts for word in words}
        for number, step in enumerate(weights().waits):
            weight = scores[topics.index(step)]
            yield (
                step,
                {
                    "always": 1.0,
                    "wait": scores[len(topics) + number],
                    "weight": weight,
                    "told before": step in before,
                    "told last before": step in before[-1:],
                    "told behind": step in behind,
                    "told first behind": step in behind[:1] and not before,
                    "told last of all": step == last and not before,
                    "its stuff": step in stuff,
                },
            )


def features_of_parts(parts: Sequence[Sequence[Word]], tail: Sequence[str]) -> Iterator[Features]:
    """What each part of a clause is weighed by."""
    clause = frozenset(word.root for words in parts for word in words)
    for words in parts:
        yield features_of(words, clause, tail)
        tail = tail_of(words)


def tail_of(words: Sequence[Word]) -> tuple[str, ...]:
    """The last words of a part, which the next one is weighed by."""
    return tuple(word.root for word in words[-TAIL:])


def sureness(kind: str, evidence: Features) -> float:
    """How sure a mark of a kind is by what speaks for it, from 0 to 1."""
    told = weights().evidence[kind]
    return 1 / (1 + math.exp(-sum(weight * evidence[name] for name, weight in told.items())))


def _place(words: Sequence[Word], topic: int) -> int:
    """The place of the word that weighs most for a topic, by itself, beside its neighbours, and by its letters."""
    roots = [word.root for word in words]
    pairs = [_weight(f"{one} {other}", topic) / 2 for one, other in pairwise(roots)]
    own = [_weight(root, topic) + BESIDE * sum(_weight(each, topic) for each in _letters(root)) for root in roots]
    told = [before + one + behind for before, one, behind in zip([0.0, *pairs], own, [*pairs, 0.0], strict=True)]
    return told.index(max(told))


def _weight(name: str, topic: int) -> int:
    return dict(_told(weights(), name)).get(topic, 0)
