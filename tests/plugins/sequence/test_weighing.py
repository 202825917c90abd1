"""What words mean together, and how it is told what is sure."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from listel.core.survey.job import PlanStep
from listel.plugins.sequence.audit import audited
from listel.plugins.sequence.clauses import parts_of
from listel.plugins.sequence.phrases import known_methods, known_steps
from listel.plugins.sequence.reading import read_line
from listel.plugins.sequence.weighing import SURE, TAIL, Found, Weighing, read_both_ways, tail_of, weights

NOTHING = Found(told=frozenset(), denied=frozenset(), methods=frozenset(), other=False)
WORDS = [
    "cope",
    "the",
    "skirting",
    "don't",
    "caulk",
    "sand",
    "dry",
    "it",
    "before",
    "gloss",
    "two",
    "knots",
    "xyzzy",
    ",",
]

lines = st.lists(st.sampled_from(WORDS), min_size=1, max_size=12).map(" ".join)


def weighed(text: str, found: Found = NOTHING, tail: str = "") -> Weighing:
    before = tail_of(parts_of(tail), ()) if tail else ()
    return Weighing(parts=parts_of(text), found=found, tail=before)


def test_the_topics_are_the_steps_and_ways_that_the_vocabulary_knows() -> None:
    topics = set(weights().topics)
    assert {topic[1:] for topic in topics if topic[0] == "!"} <= known_methods()
    assert set(weights().steps) <= known_steps()
    assert weights().topics[: len(weights().steps)] == weights().steps
    assert set(weights().waits) <= topics


@settings(max_examples=20)
@given(lines, lines)
def test_every_mark_stands_at_a_word_of_the_clause_and_is_told_and_left_out_with_one_sureness(
    text: str, tail: str
) -> None:
    weighing = weighed(text, tail=tail)
    marks = weighing.marks
    assert all(0 <= mark.sure <= 1 and mark.place < len(weighing.parts[mark.part]) for mark in marks)
    assert [mark.sure for mark in marks] == sorted((mark.sure for mark in marks), reverse=True)
    sure = {mark.mark: mark.sure for mark in marks}
    assert all(sure.get(step, 0) + sure.get(f"-{step}", 0) <= 1 + 1e-6 for step in weights().steps)
    assert marks == weighed(text, tail=tail).marks


@given(st.lists(lines, min_size=1, max_size=4))
def test_a_clause_is_weighed_behind_the_last_words_before_it(clauses: list[str]) -> None:
    tail: Sequence[object] = ()
    for clause in clauses:
        tail = tail_of(parts_of(clause), tail)  # type: ignore[arg-type]
    every = [word for clause in clauses for part in parts_of(clause) for word in part]
    assert list(tail) == every[-TAIL:]


def _sigmoid(value: float) -> float:
    return 1 / (1 + math.exp(-value))


@pytest.mark.parametrize("seed", [1, 2])
def test_words_are_read_from_the_left_and_from_the_right_by_a_gated_unit(seed: int) -> None:
    """Cho and others, Learning phrase representations using RNN encoder-decoder, 2014, equations 5 to 8 (from memory),
    the reset applied behind the weights of what is held; reckoned here number by number."""
    size, drawn = 3, np.random.default_rng(seed)
    shapes = {
        "input": (size, 3 * size),
        "hidden": (size, 3 * size),
        "input bias": (3 * size,),
        "hidden bias": (3 * size,),
    }
    nets = 2
    numbers = {f"ways {name}": drawn.normal(size=(nets, 2, *shape)) for name, shape in shapes.items()}
    every = drawn.normal(size=(nets, 5, size))

    def passed(net: int, way: int, rows: np.ndarray) -> list[list[float]]:
        def weighed_by(name: str, values: Sequence[float]) -> list[float]:
            columns, bias = numbers[f"ways {name}"][net, way].T, numbers[f"ways {name} bias"][net, way]
            return [
                sum(w * x for w, x in zip(column, values, strict=True)) + b
                for column, b in zip(columns, bias, strict=True)
            ]

        state, states = [0.0] * size, []
        for row in rows:
            came, held = weighed_by("input", row), weighed_by("hidden", state)
            new = []
            for unit in range(size):
                reset = _sigmoid(came[unit] + held[unit])
                update = _sigmoid(came[size + unit] + held[size + unit])
                fresh = math.tanh(came[2 * size + unit] + reset * held[2 * size + unit])
                new.append((1 - update) * fresh + update * state[unit])
            state = new
            states.append(state)
        return states

    for net, (whole, inputs) in enumerate(zip(read_both_ways(numbers, every), every, strict=True)):
        assert whole[:, :size] == approx(np.array(passed(net, 0, inputs)), abs=1e-5)
        assert whole[:, size : 2 * size] == approx(np.array(passed(net, 1, inputs[::-1])[::-1]), abs=1e-5)
        assert whole[:, 2 * size :] == approx(inputs)


def test_what_the_vocabulary_finds_speaks_for_a_step_and_what_it_denies_against() -> None:
    def sure(found: Found) -> dict[str, float]:
        return {mark.mark: mark.sure for mark in weighed("the caulk", found).marks}

    told = sure(Found(told=frozenset({"caulk"}), denied=frozenset(), methods=frozenset(), other=False))
    denied = sure(Found(told=frozenset(), denied=frozenset({"caulk"}), methods=frozenset(), other=False))
    assert denied.get("caulk", 0) < told["caulk"]
    assert told.get("-caulk", 0) < denied["-caulk"]


def test_words_that_no_vocabulary_lists_are_read_by_what_they_mean_together() -> None:
    assert read_line("let a sliver of old oak into the split and cramp it").steps == ("bench-repair",)
    assert read_line("she will not hear of it being stripped").denied == ("strip-paint",)


def test_a_reading_in_doubt_is_told_with_how_sure_it_is_and_whether_it_counts() -> None:
    said = ("second fix the lot", "stop up", "cope it")
    told = [audited([PlanStep(text)], (), {}).doubtful for text in said]
    assert [[(each.means, each.counted) for each in doubtful] for doubtful in told] == [
        [("fix", True)],
        [("fill", False)],
        [],
    ]
    assert all(0 < each.sure < SURE for doubtful in told for each in doubtful)
