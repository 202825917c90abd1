"""Learn what words mean together from the plans that people told, and write it for the audit.

    pip install torch
    python tests/plugins/sequence/learn.py             learn from every plan but those kept, and write the weights
    python tests/plugins/sequence/learn.py further     go on from the weights there are for one round
    python tests/plugins/sequence/learn.py measured    leave every fifth fresh plan out, and tell how those are read

The plans that are kept for measuring are not learnt from. A clause is learnt whole: every mark that stands behind a
part of it is meant, a mark in doubt is learnt neither way. Each of the nets goes through the plans in an order that its
own fixed seed draws; two are learnt side by side.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional

sys.path.insert(0, str(Path(__file__).parent))

from told import Span, ToldPlan, counted, digest_of, learnt_from, scored, spans_of

import listel.plugins.sequence.reading as reading
import listel.plugins.sequence.weighing as weighing
from listel.plugins.sequence.clauses import clauses_of, dated
from listel.plugins.sequence.phrases import Word
from listel.plugins.sequence.reading import Heard, Reading, heard, plainly, times_told
from listel.plugins.sequence.weighing import (
    BUCKETS,
    STATES,
    UNKNOWN,
    Weighing,
    Weights,
    evidence_of,
    letters_of,
    stuff_of,
    tail_of,
    wait_evidence,
    widened,
)
from listel.plugins.sequence.wording import words_of, written_out

WEIGHTS = Path(weighing.__file__).with_name("word_weights.json")
FIFTH = 5
SEEDS = (1, 2)
"""A net is learnt from each."""
WIDTH = 160
"""Numbers a word is told by, and numbers of what is held in mind while reading, each way."""
ROUNDS = 6
BATCH = 128
HANDS = 2
RATE = 3e-3
FURTHER = 0.2
"""Such a share of the rate is learnt at where one goes on."""
FORGOTTEN = 0.12
"""Such a share of the stems is hidden while learning, as if they were not known."""
DROPPED = 0.35
RUN_ON = 0.25
"""Such a share of the clauses is learnt once more as one with the next, or the next two."""
AND = (" ", " ", " and ", " then ")
OFTEN = 3
"""A mark that stands seldomer is not learnt."""

SURE = {"step": 0.45, "negation": 0.45, "method": 0.45, "wait": 0.45}


@dataclass
class Told:
    """A clause: how it is weighed, its marks (those that fill it only in part count half), those in doubt, and its
    waits: of each time the evidence a step, and the step it is the wait of."""

    plan: int
    weighing: Weighing
    meant: dict[str, float] = field(default_factory=dict)
    doubted: set[str] = field(default_factory=set)
    times: list[tuple[Timed, float]] = field(default_factory=list)

    @property
    def words(self) -> list[Word]:
        own = [self.weighing.parts[part][place] for part, place in self.weighing.spots]
        return [*self.weighing.tail, *own]


@dataclass
class Timed:
    """The steps told before a time, behind it, and last before the clause."""

    before: list[str]
    behind: list[str]
    last: str


def clauses_told(plans: Sequence[ToldPlan]) -> list[Told]:
    """Every clause that holds words, as it is read, with its marks. One that is told in pieces is learnt piece by piece
    too, and one in so many run on into the next, as people write who use no full stops."""
    return [told for told in _clauses_told(plans) if told.weighing.spots]


def _clauses_told(plans: Sequence[ToldPlan]) -> Iterator[Told]:
    drawn = np.random.default_rng(0)
    for plan in plans:
        before, last = Reading(), ""
        for line in plan.lines:
            spans, at, behind = spans_of(line), 0, []
            for text in clauses_of("".join(text for text, _ in line)):
                end = at + len(words_of(written_out(text)))
                own = [span for span in spans if span[0] < end and at < span[1]]
                marks = [
                    (mark, 1.0 if at <= start and stop <= end else 0.5)
                    for start, stop, marks, _ in own
                    for mark in marks
                ]
                told, clause, rest = _told(plan, text, before, marks)
                steps = [(start - at, mark) for start, _, marks, _ in own for mark in marks if mark[0] not in "?-!"]
                steps = [(start, mark) for start, mark in steps if "~" not in mark]
                told.times = list(_times(rest, clause, steps, last))
                yield told
                yield from _pieces(plan, [span for span in own if at <= span[0] < span[1] <= end], before)
                behind.append((text, before, marks))
                before = Reading(thing=clause.found.thing or before.thing, tail=tail_of(clause.parts, before.tail))
                last, at = steps[-1][1] if steps else last, end
            for place in range(len(behind) - 1):
                if drawn.random() < RUN_ON:
                    many = int(drawn.integers(2, 4))
                    yield _run_on(plan, behind[place : place + many], AND[drawn.integers(len(AND))])


def _told(plan: ToldPlan, text: str, before: Reading, marks: Iterable[tuple[str, float]]) -> tuple[Told, Heard, str]:
    """A clause with its marks, as it is heard, and without its day."""
    _, _, rest = dated(plainly(text))
    clause = heard(rest, (), before)
    told = Told(plan.number, clause.weighed(before.tail))
    for mark, whole in marks:
        if mark[0] == "?":
            told.doubted.add(mark[1:])
        else:
            told.meant[mark] = whole
    return told, clause, rest


def _times(rest: str, clause: Heard, steps: Sequence[tuple[int, str]], last: str) -> Iterator[tuple[Timed, float]]:
    """Each time that a clause tells, with the steps that stand at some word of it."""
    for (part, place), _, hours in times_told(rest):
        spot = sum(len(words) for words in clause.parts[:part]) + place
        here = [mark for start, mark in steps if start < spot]
        yield Timed(here, [mark for _, mark in steps if mark not in here], last), hours


def _pieces(plan: ToldPlan, own: Sequence[Span], before: Reading) -> Iterator[Told]:
    """The pieces of a clause that is told in several."""
    for _, _, marks, text in own if len(own) > 1 else ():
        told, clause, _ = _told(plan, text, before, ((mark, 1.0) for mark in marks))
        yield told
        before = replace(before, tail=tail_of(clause.parts, before.tail))


def _run_on(plan: ToldPlan, clauses: Sequence[tuple[str, Reading, list[tuple[str, float]]]], word: str) -> Told:
    """Some clauses as one."""
    text = word.join(text.strip().rstrip(".;,!?") for text, _, _ in clauses)
    return _told(plan, text, clauses[0][1], (mark for _, _, marks in clauses for mark in marks))[0]


class Reader(nn.Module):
    """What ``weighing.py`` reckons, so that it can be learnt."""

    def __init__(self, stems: int, topics: int, steps: int, waits: int) -> None:
        super().__init__()
        whole = 3 * WIDTH
        self.steps, self.topics = steps, topics
        self.stems = nn.Embedding(stems, WIDTH)
        self.letters = nn.EmbeddingBag(BUCKETS, WIDTH, mode="mean")
        self.states, self.own = nn.Embedding(len(STATES), WIDTH), nn.Embedding(2, WIDTH)
        for table, spread in ((self.stems, 0.1), (self.letters, 0.2), (self.states, 0.1), (self.own, 0.1)):
            nn.init.normal_(table.weight, 0, spread)
        self.ways = nn.GRU(WIDTH, WIDTH, batch_first=True, bidirectional=True)
        self.look = nn.Linear(whole, topics + waits, bias=False)
        self.tell = nn.Parameter(torch.randn(topics + waits, whole) * 0.05)
        self.bias = nn.Parameter(torch.full((topics + waits,), -3.0))
        self.leave, self.leave_one = nn.Parameter(torch.randn(whole) * 0.05), nn.Parameter(torch.zeros(steps, whole))
        self.leave_bias = nn.Parameter(torch.full((steps,), -2.0))
        self.trust_told, self.trust_denied = nn.Parameter(torch.ones(topics)), nn.Parameter(torch.ones(steps))
        self.trust_other = nn.Parameter(torch.zeros(topics))
        self.leave_trust = nn.Parameter(torch.tensor([1.0, -1.0]))
        self.wait_trust = nn.Parameter(torch.zeros(6))
        self.dropped = nn.Dropout(DROPPED)

    def forward(self, batch: Batch) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        """By clause how much speaks for each topic, for leaving each step out, for waiting for each step."""
        stems = batch.stems
        if self.training:
            stems = torch.where(torch.rand(stems.shape) < FORGOTTEN, UNKNOWN, stems)
        letters = self.letters(batch.letters, batch.offsets)[batch.written]
        inputs = self.stems(stems) + letters + self.states(batch.states) + self.own(batch.own)
        inputs = self.dropped(inputs)
        lengths = batch.inside.sum(1)
        packed = nn.utils.rnn.pack_padded_sequence(inputs, lengths, batch_first=True, enforce_sorted=False)
        read, _ = nn.utils.rnn.pad_packed_sequence(self.ways(packed)[0], batch_first=True)
        whole = torch.cat([self.dropped(read), inputs], 2)
        elsewhere = ~batch.inside | (batch.own == 0)
        shares = self.look(whole).masked_fill(elsewhere[..., None], -1e4).softmax(1)
        gathered = torch.einsum("btl,bth->blh", shares, whole)
        meant = (gathered * self.tell).sum(2) + self.bias
        topics, steps = self.topics, self.steps
        waits, meant = meant[:, topics:], meant[:, :topics]
        meant = meant + self.trust_told * batch.told + self.trust_other * batch.other
        meant = torch.cat([meant[:, :steps] + self.trust_denied * batch.denied, meant[:, steps:]], 1)
        leaving = (gathered[:, :steps] * (self.leave + self.leave_one)).sum(2) + self.leave_bias
        leaving = leaving + self.leave_trust[0] * batch.denied + self.leave_trust[1] * batch.told[:, :steps]
        return meant, leaving, waits


@dataclass(frozen=True)
class Names:
    """What is learnt: topics, the steps first, what is waited for, and the stems."""

    topics: tuple[str, ...]
    waits: tuple[str, ...]
    stems: tuple[str, ...]

    @classmethod
    def of(cls, told: Sequence[Told]) -> Names:
        marks = Counter(mark for clause in told for mark in clause.meant)
        often = Counter[str]()
        for mark, count in marks.items():
            often[f"~{mark.partition('~')[0]}" if "~" in mark else mark.lstrip("-")] += count
        known = sorted(mark for mark, count in often.items() if count > OFTEN)
        stems = Counter(word.root for clause in told for word in clause.words[len(clause.weighing.tail) :])
        return cls(
            topics=(*(mark for mark in known if mark[0] not in "!~"), *(mark for mark in known if mark[0] == "!")),
            waits=tuple(mark[1:] for mark in known if mark[0] == "~"),
            stems=tuple(sorted(stem for stem, count in stems.items() if count > 1)),
        )


class Case:
    """A clause in numbers."""

    def __init__(self, told: Told, names: Names, stems: dict[str, int], known: Weights) -> None:
        words = told.words
        self.stems = [stems.get(word.root, UNKNOWN) for word in words]
        self.written = [word.written for word in words]
        self.states = [STATES.index(word.state) for word in words]
        self.own = [0] * len(told.weighing.tail) + [1] * len(told.weighing.spots)
        steps = known.steps
        self.found = evidence_of(told.weighing.found, known)
        self.other = float(told.weighing.found.other)
        self.meant = [told.meant.get(topic, 0.0) for topic in names.topics]
        self.left = [told.meant.get(f"-{step}", 0.0) for step in steps]
        self.counts = [topic not in told.doubted or topic in told.meant for topic in names.topics]
        self.counts_left = [f"-{step}" not in told.doubted or f"-{step}" in told.meant for step in steps]
        stuff = stuff_of(told.weighing.parts)
        self.times = [
            (
                [wait_evidence(step, time.before, time.behind, time.last, stuff) for step in names.waits],
                [float(f"{step}~{hours:g}" in told.meant) for step in names.waits],
                [float(f"{step}~{hours:g}" not in told.doubted) for step in names.waits],
            )
            for time, hours in told.times
        ]


class Batch:
    """Some clauses side by side."""

    def __init__(self, cases: Sequence[Case]) -> None:
        longest = max(len(case.stems) for case in cases)

        def filled(rows: Sequence[Sequence[int]]) -> torch.Tensor:
            return torch.tensor([[*row, *[0] * (longest - len(row))] for row in rows])

        words: dict[str, int] = {}
        written = [[words.setdefault(word, len(words)) for word in case.written] for case in cases]
        groups = [letters_of(word) for word in words]
        self.letters = torch.tensor([number for group in groups for number in group])
        self.offsets = torch.tensor([0, *np.cumsum([len(group) for group in groups])[:-1]])
        self.written, self.stems = filled(written), filled([case.stems for case in cases])
        self.states, self.own = filled([case.states for case in cases]), filled([case.own for case in cases])
        self.inside = filled([[1] * len(case.stems) for case in cases]).bool()
        self.told = torch.tensor([case.found[0] for case in cases])
        self.denied = torch.tensor([case.found[1] for case in cases])
        self.other = torch.tensor([[case.other] for case in cases])
        self.meant = torch.tensor([case.meant for case in cases])
        self.left = torch.tensor([case.left for case in cases])
        self.counts = torch.tensor([case.counts for case in cases]).float()
        self.counts_left = torch.tensor([case.counts_left for case in cases]).float()
        self.times = [(row, *map(torch.tensor, time)) for row, case in enumerate(cases) for time in case.times]


def lost(reader: Reader, batch: Batch) -> torch.Tensor:
    """How far the reader is from the marks of some clauses."""
    meant, leaving, waits = reader(batch)
    steps, sure = reader.steps, functional.logsigmoid
    told = sure(meant[:, :steps]) + sure(-leaving)
    left = sure(meant[:, :steps]) + sure(leaving)
    total = _apart(told, batch.meant[:, :steps], batch.counts[:, :steps]) + _apart(left, batch.left, batch.counts_left)
    total = total + _apart(sure(meant[:, steps:]), batch.meant[:, steps:], batch.counts[:, steps:])
    for row, evidence, meant_here, counts in batch.times:
        total = total + _apart(sure(waits[row] + evidence @ reader.wait_trust), meant_here, counts)
    return total


def _apart(sure: torch.Tensor, meant: torch.Tensor, counts: torch.Tensor) -> torch.Tensor:
    """The logarithmic loss; ``sure`` is the logarithm of how sure, ``meant`` 1, 0, or where it is meant in part 0.5."""
    unsure = torch.log((1 - sure.exp()).clamp(min=1e-6))
    return -(meant * sure * counts + (meant == 0) * unsure * counts).sum()


def named(told: Sequence[Told]) -> Weights:
    """What is to be learnt from some clauses, without its numbers."""
    names = Names.of(told)
    numbers = {stem: number for number, stem in enumerate(names.stems, 1)}
    return Weights(topics=names.topics, waits=names.waits, stems=numbers, numbers={}, sure=SURE)


def learn(told: Sequence[Told], known: Weights) -> Weights:
    """The weights that were learnt from some clauses; from those there are, where they have numbers."""
    names, numbers = Names(topics=known.topics, waits=known.waits, stems=tuple(known.stems)), dict(known.stems)
    cases = [Case(each, names, numbers, known) for each in told]
    with get_context("fork").Pool(HANDS, _begin, (cases, known)) as hands:
        nets = hands.map(_net, SEEDS, chunksize=1)
    return replace(known, numbers={name: np.stack([net[name] for net in nets]) for name in nets[0]}, sure=SURE)


_GIVEN: list[Any] = []


def _begin(*given: Any) -> None:
    """What every hand has before it, so that it is not sent with each net."""
    torch.set_num_threads(1)
    _GIVEN[:] = given


def _net(seed: int) -> dict[str, Any]:
    """The numbers of one net."""
    cases, known = _GIVEN
    torch.manual_seed(seed)
    drawn = np.random.default_rng(seed)
    reader = Reader(len(known.stems) + 1, len(known.topics), len(known.steps), len(known.waits))
    rounds, rate = ROUNDS, RATE
    if known.numbers:
        _begin_from(reader, {name: table[SEEDS.index(seed)] for name, table in known.numbers.items()})
        rounds, rate = 1, RATE * FURTHER
    moving = torch.optim.AdamW(reader.parameters(), lr=rate, weight_decay=0.02)
    batches = -(-len(cases) // BATCH)
    pace = torch.optim.lr_scheduler.OneCycleLR(moving, rate, total_steps=rounds * (batches + 20), pct_start=0.15)
    for number in range(rounds):
        reader.train()
        total = 0.0
        for batch in _drawn(cases, drawn):
            loss = lost(reader, batch) / BATCH
            moving.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(reader.parameters(), 2.0)
            moving.step()
            pace.step()
            total += loss.item()
        print(f"net {seed}, round {number + 1} of {rounds}: {total / batches:.3f} from the marks", flush=True)
    return _kept(reader)


def _drawn(cases: Sequence[Case], drawn: np.random.Generator) -> Iterator[Batch]:
    """The clauses in batches of about one length, in an order that is drawn."""
    order = drawn.permutation(len(cases))
    heaps = [order[at : at + 20 * BATCH] for at in range(0, len(order), 20 * BATCH)]
    batches = []
    for heap in heaps:
        ranked = sorted(heap, key=lambda place: len(cases[place].stems))
        batches += [ranked[at : at + BATCH] for at in range(0, len(ranked), BATCH)]
    for place in drawn.permutation(len(batches)):
        yield Batch([cases[each] for each in batches[place]])


def _kept(reader: Reader) -> dict[str, Any]:
    """The numbers by the names that ``weighing.py`` asks for, to three digits: the great tables as whole numbers with a
    scale a row."""
    found = {name: value.detach().numpy() for name, value in reader.named_parameters()}
    kept = {
        "states": found["states.weight"],
        "own": found["own.weight"],
        "look": found["look.weight"],
        "tell": found["tell"],
        "bias": found["bias"],
        "leave": found["leave"] + found["leave_one"],
        "leave bias": found["leave_bias"],
        "leave trust": found["leave_trust"],
        "trust told": found["trust_told"],
        "trust denied": found["trust_denied"],
        "trust other": found["trust_other"],
        "wait trust": found["wait_trust"],
    }
    for kind, name in WAYS:
        kept[f"ways {kind}"] = np.stack([found[f"ways.{name}_l0"].T, found[f"ways.{name}_l0_reverse"].T])
    for name in ("stems", "letters"):
        table = found[f"{name}.weight"]
        scale = np.abs(table).max(1) / 127
        kept[name] = np.round(table / scale[:, None]).astype(np.int8)
        kept[f"{name} scale"] = scale
    return {name: table if table.dtype == np.int8 else table.astype(np.float16) for name, table in kept.items()}


def _begin_from(reader: Reader, kept: dict[str, Any]) -> None:
    """Set a reader to numbers that were kept."""
    found = {
        "states.weight": kept["states"],
        "own.weight": kept["own"],
        "look.weight": kept["look"],
        "leave": np.zeros_like(kept["leave"][0]),
        "leave_one": kept["leave"],
        **{name: kept[name.replace("_", " ")] for name in ("tell", "bias", "leave_bias", "leave_trust")},
        **{name: kept[name.replace("_", " ")] for name in ("trust_told", "trust_denied", "trust_other", "wait_trust")},
        **{f"{name}.weight": kept[name] * kept[f"{name} scale"][:, None] for name in ("stems", "letters")},
    }
    for kind, name in WAYS:
        left, right = kept[f"ways {kind}"]
        found |= {f"ways.{name}_l0": left.T, f"ways.{name}_l0_reverse": right.T}
    reader.load_state_dict({name: torch.tensor(np.ascontiguousarray(table)).float() for name, table in found.items()})


WAYS = ("input", "weight_ih"), ("hidden", "weight_hh"), ("input bias", "bias_ih"), ("hidden bias", "bias_hh")
"""The numbers of the two ways, by our names and by those of the library they are learnt with."""


def measured(learnt: Weights, plans: list[ToldPlan]) -> None:
    """Tell how some plans are read by weights that were learnt."""
    learnt = replace(learnt, numbers=widened(learnt.numbers))
    weighing.weights = reading.weights = lambda: learnt  # type: ignore[assignment]
    scores = scored(plans)
    for kind, score in scores.items():
        print(f"{kind}: precision {score.precision:.3f}, recall {score.recall:.3f}, of {counted(scores)[kind]}")


def main() -> None:
    plans = learnt_from()
    if "measured" in sys.argv:
        fresh = sorted(plan.number for plan in plans if plan.fresh)[::FIFTH]
        told = clauses_told([plan for plan in plans if plan.number not in fresh])
        measured(learn(told, named(told)), [plan for plan in plans if plan.number in fresh])
        return
    told = clauses_told(plans)
    print(f"{len(plans)} plans, {len(told)} clauses", flush=True)
    learnt = learn(told, weighing.weights() if "further" in sys.argv else named(told))
    head = {
        "about": "what words mean together in plans (tests/plugins/sequence/learn.py)",
        "source": "plans of our own in everyday words: common practice, no source",
        "digest": digest_of(plans),
        "topics": learnt.topics,
        "waits": learnt.waits,
        "sure": SURE,
    }
    WEIGHTS.write_text(json.dumps(head, indent=1) + "\n", encoding="utf-8")
    WEIGHTS.with_suffix(".txt").write_text("\n".join(learnt.stems) + "\n", encoding="utf-8")
    np.savez(WEIGHTS.with_suffix(".npz"), **learnt.numbers)


if __name__ == "__main__":
    main()
