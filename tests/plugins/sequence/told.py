"""The plans that people told, their marks, and how far the reading agrees with them."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from ruamel.yaml import YAML

from listel.plugins.sequence.clauses import clauses_of
from listel.plugins.sequence.reading import Reading, read_line
from listel.plugins.sequence.weighing import weights
from listel.plugins.sequence.wording import words_of, written_out

_MARKED = re.compile(r"([^{}]*)\{([^{}]*)\}")


@dataclass
class Score:
    """How often a mark was read rightly, read where none stands, and overlooked."""

    right: int = 0
    wrong: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)

    @property
    def precision(self) -> float:
        return self.right / ((self.right + len(self.wrong)) or 1)

    @property
    def recall(self) -> float:
        return self.right / ((self.right + len(self.lost)) or 1)


@dataclass(frozen=True)
class ToldPlan:
    """A plan: the file it stands in, its number, its lines as written, and of each line its clauses with their marks.

    ``kept``: for measuring, so that nothing is learnt from it or mended for its sake. ``fresh``: nobody who wrote the
    vocabulary has looked at it, and every fifth of them may be left out to see how it is read.
    """

    file: str
    number: int
    lines: tuple[tuple[tuple[str, tuple[str, ...]], ...], ...]

    @property
    def kept(self) -> bool:
        return self.file == "kept"

    @property
    def fresh(self) -> bool:
        return self.file == "fresh"

    @property
    def text(self) -> str:
        return "\n".join("".join(clause for clause, _ in line) for line in self.lines)


def told_plans(*files: str) -> list[ToldPlan]:
    """Every plan of some files (of all: learnt, fresh, more and kept)."""
    plans = []
    for file in files or ("learnt", "fresh", "more", "kept"):
        text = (Path(__file__).parent / "told" / f"{file}.txt").read_text(encoding="utf-8")
        for block in re.split(r"^## ", text, flags=re.M)[1:]:
            heading, *lines = block.strip().splitlines()
            marked = (tuple((told, tuple(marks.split())) for told, marks in _MARKED.findall(line)) for line in lines)
            plans.append(ToldPlan(file, int(heading.split()[0]), tuple(line for line in marked if line)))
    return plans


def plans_by_the_line() -> list[ToldPlan]:
    """The plans of which each line is told with the steps it means, but those held out."""
    plans = YAML(typ="safe").load(Path(__file__).with_name("plans.yaml").read_text(encoding="utf-8"))
    return [
        ToldPlan("plans", number, tuple(((text, tuple(steps)),) for text, *steps in plan["lines"]))
        for number, plan in enumerate(plans, 10_001)
        if not plan.get("held-out")
    ]


def learnt_from() -> list[ToldPlan]:
    """Every plan that what words weigh is learnt from; short sayings, which whole plans seldom hold, ten times, and the
    plain plans that are told by the line four times."""
    return [*told_plans("learnt", "fresh", "more"), *10 * told_plans("sayings"), *4 * plans_by_the_line()]


def digest_of(plans: list[ToldPlan]) -> str:
    """What tells whether the weights were learnt from these very plans."""
    return hashlib.sha256(repr([plan.lines for plan in plans]).encode()).hexdigest()[:16]


def read_marks(reading: Reading, last: str) -> list[str]:
    """What was read of a clause, in the form of the marks; ``last``: the step told last before it. Ways of working that
    no plan was marked for are left out: they are known by their words alone."""
    ways = [f"!{way}" for way in reading.methods if f"!{way}" in weights().topics]
    marks = [*reading.steps, *(f"-{step}" for step in reading.denied), *ways]
    for pause in reading.pauses:
        of = reading.steps[pause.after - 1] if pause.after else pause.of or last
        marks.append(f"{of}~{pause.hours:g}")
    return marks


def kind_of(mark: str) -> str:
    """Whether a mark is a step, a negation, a method or a wait."""
    return {"-": "negation", "!": "method"}.get(mark[0], "wait" if "~" in mark else "step")


def scored(plans: list[ToldPlan]) -> dict[str, Score]:
    """The reading held against the marks, by kind."""
    scores = {kind: Score() for kind in ("step", "negation", "method", "wait")}
    for plan in plans:
        last, reading = "", None
        for line in plan.lines:
            spans = spans_of(line)
            read: list[tuple[int, int, list[str], str]] = []
            at = 0
            for clause in clauses_of("".join(clause for clause, _ in line)):
                length = len(words_of(written_out(clause)))
                reading = read_line(clause, before=reading)
                read.append((at, at + length, read_marks(reading, last), clause))
                last = reading.steps[-1] if reading.steps else last
                at += length
            _hold(plan.number, spans, read, scores)
    return scores


Span = tuple[int, int, list[str], str]


def spans_of(line: tuple[tuple[str, tuple[str, ...]], ...]) -> list[Span]:
    """Where each clause of a line begins and ends, in words, with its marks."""
    spans, at = [], 0
    for clause, marks in line:
        length = len(words_of(written_out(clause)))
        spans.append((at, at + length, list(marks), clause))
        at += length
    return spans


def _hold(number: int, spans: list[Span], read: list[Span], scores: dict[str, Score]) -> None:
    wanted = [(start, end, mark, text) for start, end, marks, text in spans for mark in marks]
    for start, end, marks, clause in read:
        for mark in marks:
            near = [w for w in wanted if w[0] < end and start < w[1] and w[2].strip("?") == mark]
            if near:
                wanted.remove(near[0])
                scores[kind_of(mark)].right += 0 if "?" in near[0][2] else 1
            elif not mark.endswith("~16") and not any(a < end and start < b and mark in ms for a, b, ms, _ in spans):
                scores[kind_of(mark)].wrong.append(f"{number}: {clause.strip()} [{mark}]")
    for _, _, mark, text in wanted:
        if "?" not in mark:
            scores[kind_of(mark)].lost.append(f"{number}: {text.strip()} [{mark}]")


def counted(scores: dict[str, Score]) -> Counter[str]:
    """How many marks of each kind there are."""
    return Counter({kind: score.right + len(score.lost) for kind, score in scores.items()})


if __name__ == "__main__":
    import sys

    file, *whole = sys.argv[1:] or ["learnt"]
    for kind, score in scored(told_plans(file)).items():
        print(f"{kind}: precision {score.precision:.3f}, recall {score.recall:.3f}, of {score.right + len(score.lost)}")
        if whole:
            print(*(f"   wrong {each}" for each in score.wrong), sep="\n")
            print(*(f"   lost {each}" for each in score.lost), sep="\n")
