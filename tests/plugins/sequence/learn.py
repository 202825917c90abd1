"""Learn what words weigh from the plans that people told, and write it for the audit.

    pip install scikit-learn
    python tests/plugins/sequence/learn.py

The plans that are kept for measuring are not learnt from. What each word weighs is learnt from all others, by a linear
separator a topic; a mark that stands behind several parts of a clause is taken to stand in the part that speaks for it
most, found by turns. How far to trust the words, the vocabulary and its denials is learnt only from plans that nobody
looked at who wrote the vocabulary, each weighed by words learnt from the others. Nothing is drawn by chance, so that
the same plans give the same weights.
"""

from __future__ import annotations

import json
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.svm import LinearSVC

sys.path.insert(0, str(Path(__file__).parent))

from told import ToldPlan, digest_of, learnt_from, spans_of

import listel.plugins.sequence.reading as reading
import listel.plugins.sequence.weighing as weighing
from listel.plugins.sequence.clauses import clauses_of, dated
from listel.plugins.sequence.reading import Heard, Reading, heard, marks_of, plainly, times_told
from listel.plugins.sequence.weighing import Features, Weights, features_of_parts, kind_of, tail_of
from listel.plugins.sequence.wording import words_of, written_out

WEIGHTS = Path(weighing.__file__).with_name("word_weights.json")
FOLDS = 3
TURNS = 2
LEAST = 0.1
"""A weight below it is left out."""

PAGE = 100
"""Lines of a page."""

SURE = {"step": 0.45, "negation": 0.45, "method": 0.45, "wait": 0.4}


@dataclass
class Part:
    """One part of a clause: its place in it, its features, and by mark the number of the clause as written that the
    mark stands behind (``meant``) or may stand behind (``doubted``)."""

    clause: Clause
    place: int
    features: Features
    meant: dict[str, int] = field(default_factory=dict)
    doubted: set[str] = field(default_factory=set)

    def topics(self) -> dict[str, int]:
        """The marks as topics: a step told or left out is one, what is waited for is another."""
        return {_topic(mark): group for mark, group in self.meant.items()}


@dataclass
class Clause:
    """A clause as it is read: the plan it is of, its text, what the vocabulary finds in it, the words before it, and
    the step told last before it."""

    plan: int
    text: str
    heard: Heard
    tail: tuple[str, ...]
    parts: list[Part] = field(default_factory=list)
    words: int = 0


def _topic(mark: str) -> str:
    return f"~{mark.partition('~')[0]}" if "~" in mark else mark.lstrip("-")


def clauses_of_plans(plans: Sequence[ToldPlan]) -> list[Clause]:
    """Every clause, with the marks that stand behind each of its parts."""
    found: list[Clause] = []
    group = 0
    for plan in plans:
        before = Reading()
        for line in plan.lines:
            own: list[tuple[int, int, Part]] = []
            at = 0
            for text in clauses_of("".join(text for text, _ in line)):
                clause, before = _heard(text, plan.number, before)
                found.append(clause)
                end = at + len(words_of(written_out(text)))
                for part in clause.parts:
                    length = len(clause.heard.parts[part.place])
                    own.append((at, at + length, part))
                    at += length
                at = end
            for start, end, marks, _ in spans_of(line):
                group += 1
                for part in (part for first, last, part in own if first < end and start < last):
                    part.meant |= {mark: group for mark in marks if mark[0] != "?"}
                    part.doubted |= {mark[1:] for mark in marks if mark[0] == "?"}
    return found


def _heard(text: str, plan: int, before: Reading) -> tuple[Clause, Reading]:
    _, _, rest = dated(plainly(text))
    told = heard(rest, (), before)
    clause = Clause(plan, rest, told, before.tail)
    for place, features in enumerate(features_of_parts(told.parts, before.tail)):
        clause.parts.append(Part(clause, place, features))
    tail = tail_of(told.parts[-1]) if told.parts else ()
    return clause, Reading(thing=told.found.thing or before.thing, tail=tail)


def learn_words(clauses: Sequence[Clause]) -> Weights:
    """The topics, what each weighs without a word, and what each feature adds."""
    parts = [part for clause in clauses for part in clause.parts]
    names = DictVectorizer(dtype=np.float64, sort=True)
    table = names.fit_transform([part.features for part in parts])
    often = np.asarray((table > 0).sum(0)).ravel() > 1
    table = table[:, often].tocsr()
    counts = Counter(topic for part in parts for topic in part.topics())
    topics = tuple(
        sorted((topic for topic, count in counts.items() if count > 5), key=lambda topic: (topic[0] == "~", topic))
    )
    columns, bias = [], []
    leaving: dict[int, bool] = {}
    for topic in topics:
        chosen, separator = _learn_topic(table, parts, topic)
        columns.append(separator.coef_[0])
        bias.append(float(separator.intercept_[0]))
        if topic[0] not in "!~":
            for place in chosen:
                leaving[place] = f"-{topic}" in parts[place].meant
    places = sorted(leaving)
    separator = LinearSVC().fit(table[places], [leaving[place] for place in places])
    columns.append(separator.coef_[0])
    bias.append(float(separator.intercept_[0]))
    weights = np.round(np.array(columns).T * 100).astype(int)
    weights[abs(weights) < LEAST * 100] = 0
    words = []
    for name, row in zip(names.get_feature_names_out()[often], weights, strict=True):
        if told := " ".join(f"{topic} {row[topic]}" for topic in np.flatnonzero(row)):
            words.append(f"{name}\t{told}\n")
    return Weights(
        topics=tuple(topic for topic in topics if topic[0] != "~"),
        waits=tuple(topic[1:] for topic in topics if topic[0] == "~"),
        bias=tuple(round(value, 3) for value in bias),
        words=["".join(sorted(words)[at : at + PAGE]) for at in range(0, len(words), PAGE)],
        evidence={},
        sure=SURE,
    )


def _learn_topic(table: Any, parts: Sequence[Part], topic: str) -> tuple[set[int], Any]:
    groups: dict[int, list[int]] = defaultdict(list)
    doubted = set()
    for place, part in enumerate(parts):
        if topic in part.topics():
            groups[part.topics()[topic]].append(place)
        elif topic in {_topic(mark) for mark in part.doubted}:
            doubted.add(place)
    member = {place for group in groups.values() for place in group}
    chosen, separator = set(member), None
    for turn in range(TURNS):
        if turn:
            weighed = dict(zip(sorted(member), separator.decision_function(table[sorted(member)]), strict=True))
            chosen = {max(group, key=weighed.__getitem__) for group in groups.values()}
            chosen |= {place for place in member if weighed[place] > 0.3}
        rows = [place for place in range(len(parts)) if place in chosen or place not in member | doubted]
        separator = LinearSVC(tol=1e-3, random_state=0).fit(table[rows], [place in chosen for place in rows])
    return chosen, separator


Cases = dict[str, list[tuple[Features, bool, tuple[int, str]]]]


def learn_evidence(clauses: Sequence[Clause], words: Callable[[int], Weights]) -> dict[str, dict[str, float]]:
    """What each piece of evidence adds, by kind of mark; ``words``: what words weigh, learnt without a fold's plans."""
    plans = {plan: number for number, plan in enumerate(sorted({clause.plan for clause in clauses}))}
    folds = [[clause for clause in clauses if plans[clause.plan] % FOLDS == fold] for fold in range(FOLDS)]
    learnt = [words(fold) for fold in range(FOLDS)]
    cases: Cases = defaultdict(list)
    for own, weights in zip(folds, learnt, strict=True):
        _use(weights)
        for clause in own:
            _add_marks(clause, cases)
    evidence = {kind: _trusted(cases[kind]) for kind in sorted(cases)}
    for own, weights in zip(folds, learnt, strict=True):
        _use(replace(weights, evidence=evidence))
        last, plan = "", 0
        for clause in own:
            last, plan = _add_waits(clause, last if clause.plan == plan else "", cases), clause.plan
    return evidence | {"wait": _trusted(cases["wait"])}


def _add_marks(clause: Clause, cases: Cases) -> None:
    weighed = clause.heard.weighed(clause.tail)
    for part in clause.parts:
        for topic, _, evidence in weighed.thought_of(part.place):
            for mark in (topic,) if topic[0] == "!" else (topic, f"-{topic}"):
                if mark not in part.doubted:
                    cases[kind_of(mark)].append((evidence, mark in part.meant, (part.meant.get(mark, 0), mark)))


def _add_waits(clause: Clause, last: str, cases: Cases) -> str:
    """The waits of a clause; gives back the step told last in it or before it."""
    weighed = clause.heard.weighed(clause.tail)
    told = [mark for mark in marks_of(clause.heard, weighed) if mark.mark[0] not in "-!"]
    meant = {mark for part in clause.parts for mark in part.meant}
    doubted = {mark for part in clause.parts for mark in part.doubted}
    for spot, _, hours in times_told(clause.text):
        for step, evidence in weighed.waited_for(spot, told, last):
            mark = f"{step}~{hours:g}"
            if mark not in doubted:
                cases["wait"].append((evidence, mark in meant, (len(cases["wait"]), mark)))
    return told[-1].mark if told else last


def _trusted(cases: Sequence[tuple[Features, bool, tuple[int, str]]]) -> dict[str, float]:
    names = sorted({name for evidence, _, _ in cases for name in evidence} - {"always"})
    table = np.array([[float(evidence[name]) for name in names] for evidence, _, _ in cases])
    meant = np.array([meant for _, meant, _ in cases])
    used, separator = np.ones(len(cases), bool), None
    for turn in range(3):
        if turn:
            sure = separator.predict_proba(table)[:, 1]
            best: dict[tuple[int, str], int] = {}
            for place, (_, is_meant, group) in enumerate(cases):
                if is_meant and (group not in best or sure[place] > sure[best[group]]):
                    best[group] = place
            stands = set(best.values())
            used = np.array([not m or n in stands or sure[n] > 0.5 for n, m in enumerate(meant)])
        separator = LogisticRegression(C=10, max_iter=5000).fit(table[used], meant[used])
    told = dict(zip(names, separator.coef_[0], strict=True)) | {"always": separator.intercept_[0]}
    return {name: round(float(value), 3) for name, value in told.items()}


def _use(learnt: Weights) -> None:
    """Have the weights that were learnt weigh."""
    weighing.weights = reading.weights = lambda: learnt  # type: ignore[assignment]


def main() -> None:
    plans = learnt_from()
    clauses = clauses_of_plans(plans)
    order = {number: place for place, number in enumerate(sorted({plan.number for plan in plans if plan.fresh}))}
    fresh = [clause for clause in clauses if clause.plan in order]
    print(f"{len(plans)} plans, {len(clauses)} clauses, {len(fresh)} of them fresh", flush=True)

    def without(fold: int) -> Weights:
        left_out = {number for number, place in order.items() if place % FOLDS == fold}
        return learn_words([clause for clause in clauses if clause.plan not in left_out])

    evidence = learn_evidence(fresh, without)
    learnt = learn_words(clauses)
    told = {
        "about": "what words weigh for each step and way of working (tests/plugins/sequence/learn.py)",
        "source": "plans of our own in everyday words: common practice, no source",
        "digest": digest_of(plans),
        "topics": learnt.topics,
        "waits": learnt.waits,
        "bias": learnt.bias,
        "evidence": evidence,
        "sure": SURE,
    }
    WEIGHTS.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    WEIGHTS.with_suffix(".txt").write_text("\f".join(learnt.words), encoding="utf-8")


if __name__ == "__main__":
    main()
