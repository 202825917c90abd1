"""What words weigh, and how it is told what is sure."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from listel.core.survey.job import PlanStep
from listel.plugins.sequence.audit import audited
from listel.plugins.sequence.clauses import parts_of
from listel.plugins.sequence.phrases import known_methods, known_steps
from listel.plugins.sequence.reading import read_line
from listel.plugins.sequence.weighing import SURE, Found, Weighing, features_of_parts, scores_of, weights

NOTHING = Found(told=frozenset(), denied=frozenset(), methods=frozenset(), other=False)
WORDS = (
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
)


def test_the_topics_are_the_steps_and_ways_that_the_vocabulary_knows() -> None:
    topics = set(weights().topics)
    assert {topic[1:] for topic in topics if topic[0] == "!"} <= known_methods()
    assert {topic for topic in topics if topic[0] != "!"} <= known_steps()
    assert set(weights().waits) <= topics


@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=12))
def test_what_a_part_is_weighed_by_has_the_length_of_one_and_gives_a_weight_a_topic(words: list[str]) -> None:
    parts = list(parts_of(" ".join(words)))
    for features in features_of_parts(parts, ("rail",)):
        assert sum(value * value for value in features.values()) == approx(1.0)
        assert len(scores_of(features)) == len(weights().topics) + len(weights().waits) + 1
    marks = Weighing.of(parts, NOTHING, ()).marks
    assert all(0 <= mark.sure <= 1 and 0 <= mark.part < len(parts) for mark in marks)
    assert [mark.sure for mark in marks] == sorted((mark.sure for mark in marks), reverse=True)


def test_what_the_vocabulary_finds_speaks_for_a_step_and_what_it_denies_against() -> None:
    parts = list(parts_of("the caulk"))

    def sure(found: Found) -> float:
        return {mark.mark: mark.sure for mark in Weighing.of(parts, found, ()).marks}["caulk"]

    told = Found(told=frozenset({"caulk"}), denied=frozenset(), methods=frozenset(), other=False)
    denied = Found(told=frozenset(), denied=frozenset({"caulk"}), methods=frozenset(), other=False)
    assert sure(denied) < sure(told)


def test_words_that_no_vocabulary_lists_are_read_by_what_they_weigh() -> None:
    assert read_line("let a sliver of old oak into the split and cramp it").steps == ("bench-repair",)
    assert read_line("she will not hear of it being stripped").denied == ("strip-paint",)


def test_a_reading_in_doubt_is_told_with_how_sure_it_is_and_whether_it_counts() -> None:
    said = ("Wk 2: plastering by others to dado height", "do the gaps", "cope it")
    told = [audited([PlanStep(text)], (), {}).doubtful for text in said]
    assert [[(each.means, each.counted) for each in doubtful] for doubtful in told] == [
        [("make-good", True)],
        [("caulk", False)],
        [],
    ]
    assert all(0 < each.sure < SURE for doubtful in told for each in doubtful)
