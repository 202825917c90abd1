"""What the words of a clause mean together, beside what the vocabulary finds in them.

People say one thing in more ways than a vocabulary holds. A small net of weights was learnt from plans that people
told, each clause with its marks (made by ``tests/plugins/sequence/learn.py``). Of each word it takes the word's stem,
the letters in it, and whether it is told, only mentioned or denied; it reads the words once from the left and once from
the right, behind the last of the clauses before (a gated recurrent unit: Cho and others, Learning phrase
representations using RNN encoder-decoder, 2014, equations 5 to 8, from memory); for each topic it looks to the words
that matter for it. What the vocabulary found counts beside. Several such nets were learnt apart, and the mean of them
counts: where they differ, nobody is sure. Nothing is decided by chance: the same words are read alike each time.

``word_weights.json`` names what was learnt, ``word_weights.txt`` the stems it knows, in their order, and
``word_weights.npz`` holds the numbers; numpy is fetched where a plan is read.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, cached_property
from itertools import accumulate, chain, pairwise
from typing import TYPE_CHECKING, Any, NamedTuple
from zlib import crc32

from listel.core.files import beside
from listel.core.quick import dataclass
from listel.plugins.sequence.phrases import Word, words_that_mean

if TYPE_CHECKING:
    from numpy import float32
    from numpy.typing import NDArray

    Numbers = NDArray[float32]

TAIL = 16
"""So many words before a clause count."""

MOST = 80
"""Of a longer clause only so many words are weighed."""

LISTED = 4
"""A clause of more parts than these is a list, and weighed part by part."""

LETTERS = (3, 4, 5)
BUCKETS = 8192
STATES = ("told", "mentioned", "denied")
UNKNOWN = 0
"""The number of a stem that was not learnt."""

SURE = 0.7
"""A reading less sure than this is told as one in doubt."""

PERHAPS = 0.2
"""A step that is so sure is named as the nearest, where none is sure enough to be told."""

LEAST = 0.02
"""A mark less sure than this is not thought of."""


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


@dataclass(frozen=True, kw_only=True)
class Weights:
    """The ``topics`` (steps, and ways of working behind a "!") and the steps that something ``waits`` for; the number
    of each stem (``stems``); the ``numbers`` by their names; ``sure``: how sure a mark of a kind must be that is
    told."""

    topics: tuple[str, ...]
    waits: tuple[str, ...]
    stems: Mapping[str, int]
    numbers: Mapping[str, Any]
    sure: Mapping[str, float]

    @property
    def steps(self) -> tuple[str, ...]:
        """The topics that are steps; they stand first."""
        return tuple(topic for topic in self.topics if topic[0] != "!")


@cache
def weights() -> Weights:
    """The weights as they were learnt."""
    import numpy

    told = json.loads(beside(__package__, "word_weights.json").read_bytes())
    stems = beside(__package__, "word_weights.txt").read_text("utf-8").splitlines()
    with numpy.load(beside(__package__, "word_weights.npz"), allow_pickle=False) as kept:
        numbers = widened({name: kept[name] for name in kept.files})
    return Weights(
        topics=tuple(told["topics"]),
        waits=tuple(told["waits"]),
        stems={stem: number for number, stem in enumerate(stems, 1)},
        numbers=numbers,
        sure=told["sure"],
    )


def widened(kept: Mapping[str, Any]) -> dict[str, Any]:
    """Numbers as they are reckoned with: those kept to three digits in the width that is quick to reckon in."""
    return {name: table.astype("f4") if table.dtype == "f2" else table for name, table in kept.items()}


def kind_of(mark: str) -> str:
    """Whether a mark is a step, a negation or a method."""
    return {"-": "negation", "!": "method"}.get(mark[0], "step")


@cache
def letters_of(word: str) -> tuple[int, ...]:
    """The numbers of the groups of letters in a word, its ends marked; of several that share a number the weights are
    learnt together."""
    edged = f"<{word}>"
    groups = (edged[at : at + count] for count in LETTERS for at in range(len(edged) - count + 1))
    return tuple(crc32(group.encode()) % BUCKETS for group in groups)


def tail_of(parts: Sequence[Sequence[Word]], before: Sequence[Word]) -> tuple[Word, ...]:
    """The last words told up to the end of a clause, behind those ``before`` it: the next clause is weighed by them."""
    return tuple([*before, *chain.from_iterable(parts)][-TAIL:])


def evidence_of(found: Found, known: Weights) -> tuple[list[float], list[float]]:
    """By topic whether the vocabulary finds it told, by step whether it finds it left out."""
    told = [float(topic.lstrip("!") in (found.methods if topic[0] == "!" else found.told)) for topic in known.topics]
    return told, [float(step in found.denied) for step in known.steps]


@dataclass(frozen=True, kw_only=True)
class Weighing:
    """A clause on the scales: the words of its ``parts``, what the vocabulary ``found`` in it, and the words before it
    (``tail``)."""

    parts: Sequence[Sequence[Word]]
    found: Found
    tail: Sequence[Word]

    @cached_property
    def spots(self) -> list[tuple[int, int]]:
        """The part and the place in it of each word that is weighed."""
        return [(part, place) for part, words in enumerate(self.parts) for place in range(len(words))][:MOST]

    @cached_property
    def _stretches(self) -> list[tuple[int, tuple[Numbers, Numbers, Numbers]]]:
        """The clause as it is weighed, whole, or part by part where it is a list: the number of the first word, and of
        each topic, then of each step as left out, how sure it is; of each topic the word that tells it; and what each
        step weighs that something waits for."""
        known, words = weights(), [self.parts[part][place] for part, place in self.spots]
        finds, denies = evidence_of(self.found, known)
        starts = [at for at, (_, place) in enumerate(self.spots) if place == 0]
        starts = starts if len(starts) > LISTED else starts[:1]
        weighed = []
        for start, end in pairwise([*starts, len(words)]):
            tail = [*self.tail, *words[:start]][-TAIL:]
            read = _read(known, tail, words[start:end])
            weighed.append((start, _judged(known, read, finds, denies, self.found.other)))
        return weighed

    @cached_property
    def marks(self) -> list[Mark]:
        """Every mark that may be meant, the surest first."""
        topics = weights().topics
        names = (*topics, *(f"-{step}" for step in weights().steps))
        best: dict[str, Mark] = {}
        for start, (sure, matters, _) in self._stretches:
            for number in map(int, (sure > LEAST).nonzero()[0]):
                part, place = self.spots[start + int(matters[number % len(topics)])]
                mark = Mark(names[number], part, place, float(sure[number]))
                best[mark.mark] = max(mark, best.get(mark.mark, mark), key=lambda each: each.sure)
        return sorted(best.values(), key=lambda mark: (-mark.sure, mark.mark))

    def waited_for(self, spot: tuple[int, int], told: Sequence[Mark], last: str) -> Iterator[tuple[float, str]]:
        """How sure each step is that a time told at a ``spot`` (a part, a word of it) may be the wait of: ``told`` are
        the steps of the clause, ``last`` the one told last before it."""
        before = [mark.mark for mark in told if (mark.part, mark.place) < spot]
        behind = [mark.mark for mark in told if (mark.part, mark.place) >= spot]
        stuff = stuff_of(self.parts)
        waits = [weighed[2] for start, weighed in self._stretches if self.spots[start] <= spot][-1:]
        if not waits:
            return
        trust = weights().numbers["wait trust"].mean(0)
        for weight, step in zip(*waits, weights().waits, strict=True):
            evidence = wait_evidence(step, before, behind, last, stuff)
            yield _sureness(float(weight) + sum(map(float.__mul__, evidence, map(float, trust)))), step


def stuff_of(parts: Sequence[Sequence[Word]]) -> frozenset[str]:
    """The steps whose stuff, that dries or sets, is named in a clause."""
    return frozenset(filter(None, (words_that_mean("waits").get(word.root) for words in parts for word in words)))


def wait_evidence(
    step: str, before: Sequence[str], behind: Sequence[str], last: str, stuff: frozenset[str]
) -> list[float]:
    """What speaks for a time being the wait of a step: where the step is told ``before`` the time or ``behind`` it in
    the clause, whether it is the one told ``last`` before the clause, and whether its ``stuff`` is named."""
    evidence = (
        step in before,
        step in before[-1:],
        step in behind,
        step in behind[:1] and not before,
        step == last and not before,
        step in stuff,
    )
    return [float(each) for each in evidence]


def _sureness(weight: float) -> float:
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, weight))))


def _read(known: Weights, tail: Sequence[Word], words: Sequence[Word]) -> Numbers:
    """By net each word of a clause as what it means where it stands: read from the left, from the right, and by
    itself."""
    import numpy

    numbers = known.numbers
    own = [0] * len(tail) + [1] * len(words)
    rows = [*tail, *words]
    inputs = _rows(numbers, "stems", [known.stems.get(word.root, UNKNOWN) for word in rows])
    groups = [letters_of(word.written) for word in rows]
    counts = numpy.array([len(group) for group in groups], numpy.float32)
    letters = _rows(numbers, "letters", [*chain.from_iterable(groups)])
    starts = [0, *accumulate(len(group) for group in groups[:-1])]
    inputs += numpy.add.reduceat(letters, starts, axis=1) / counts[:, None]
    inputs += numbers["states"][:, [STATES.index(word.state) for word in rows]] + numbers["own"][:, own]
    return read_both_ways(numbers, inputs)[:, len(tail) :]


def read_both_ways(numbers: Mapping[str, Numbers], inputs: Numbers) -> Numbers:
    """What each net holds in mind behind each word when they are read from the left, then from the right, then the
    word."""
    import numpy

    states = _passed(numbers, numpy.stack([inputs, inputs[:, ::-1]], axis=1))
    whole: Numbers = numpy.concatenate([states[:, 0], states[:, 1, ::-1], inputs], axis=2)
    return whole


def _rows(numbers: Mapping[str, Numbers], name: str, rows: Sequence[int]) -> Numbers:
    """Rows of each net's table, which is kept as whole numbers with a scale a row."""
    taken = list(rows)
    found: Numbers = numbers[name][:, taken] * numbers[f"{name} scale"][:, taken, None]
    return found


def _passed(numbers: Mapping[str, Numbers], inputs: Numbers) -> Numbers:
    """The states of the gated recurrent units, by net and way, behind each of their inputs (Cho and others, 2014,
    equations 5 to 8)."""
    import numpy

    hidden, held_bias = numbers["ways hidden"], numbers["ways hidden bias"]
    gates = inputs @ numbers["ways input"] + numbers["ways input bias"][:, :, None]
    nets, ways, words, _ = inputs.shape
    size = hidden.shape[2]
    states = numpy.zeros((nets, ways, words + 1, size), numpy.float32)
    for at in range(words):
        state, gate = states[:, :, at], gates[:, :, at]
        held = (state[:, :, None] @ hidden)[:, :, 0] + held_bias
        opened = 1 / (1 + numpy.exp(-(gate[..., : 2 * size] + held[..., : 2 * size])))
        fresh = numpy.tanh(gate[..., 2 * size :] + opened[..., :size] * held[..., 2 * size :])
        states[:, :, at + 1] = fresh + opened[..., size:] * (state - fresh)
    return states[:, :, 1:]


def _judged(
    known: Weights, whole: Numbers, finds: Sequence[float], denies: Sequence[float], other: bool
) -> tuple[Numbers, Numbers, Numbers]:
    """How sure each topic, and each step as left out, is by the words as they were read and by what the vocabulary
    ``finds`` told, ``denies``, or knows for an ``other`` matter; the word that each topic is told by; what each wait
    weighs. Of all three the mean of the nets."""
    import numpy

    told, denied = numpy.array(finds, numpy.float32), numpy.array(denies, numpy.float32)

    numbers, topics, steps = known.numbers, len(known.topics), len(known.steps)
    looks = numbers["look"] @ whole.transpose(0, 2, 1)
    shares = numpy.exp(looks - looks.max(2, keepdims=True))
    shares /= shares.sum(2, keepdims=True)
    gathered = shares @ whole
    meant = (gathered * numbers["tell"]).sum(2) + numbers["bias"]
    waits = meant[:, topics:]
    meant = meant[:, :topics] + numbers["trust told"] * told + numbers["trust other"] * float(other)
    meant[:, :steps] += numbers["trust denied"] * denied
    leaving = (gathered[:, :steps] * numbers["leave"]).sum(2) + numbers["leave bias"]
    leaving += numbers["leave trust"][:, :1] * denied + numbers["leave trust"][:, 1:] * told[:steps]
    sure, left = 1 / (1 + numpy.exp(-meant)), 1 / (1 + numpy.exp(-leaving))
    every = numpy.concatenate([sure[:, :steps] * (1 - left), sure[:, steps:], sure[:, :steps] * left], axis=1)
    return every.mean(0), shares.mean(0).argmax(1), waits.mean(0)
