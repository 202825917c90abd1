"""Order and waits of the work against what is in print, or against the custom of the trade where nothing is."""

from __future__ import annotations

import pytest

from listel.core.contract.stage import Sheet
from listel.core.host.registry import load
from listel.core.survey.job import Air, Choices, Climate, Job, PlanStep, Trim
from listel.plugins.sequence import JobStep
from listel.plugins.sequence.audit import audited, pair_weights
from listel.plugins.sequence.painting import dry_enough
from listel.plugins.sequence.times import wait_after

NHBC_PAINT = "NHBC Standards 2006, chapter 8.5, D2"
NHBC_JOINERY = "NHBC Standards 2024, clause 9.4.4"
COATINGS = "General coatings literature, recoat times (second hand)"
PRACTICE = "Common practice, no source"

STEPS = tuple(
    JobStep(step.name, step.title, "asked for", step.needs, step.right_after, required=step.required, who=step.who)
    for step in load([]).steps()
)
NEEDS = {step.name: step.needs for step in STEPS}


@pytest.mark.parametrize(("moisture", "paints"), [(18, True), (18.1, False), (12, True), (22, False)])
def test_wood_is_painted_at_18_per_cent_or_less(moisture: float, paints: bool) -> None:
    """NHBC Standards 2006, chapter 8.5, D2."""
    assert dry_enough(moisture) is paints


def rests_on(then: str) -> set[str]:
    """Everything that must end before a step, near or far."""
    found: set[str] = set()
    asked = [then]
    while asked:
        for need in NEEDS[asked.pop()]:
            if need not in found:
                found.add(need)
                asked.append(need)
    return found


@pytest.mark.parametrize(
    ("source", "first", "then", "weight"),
    [
        (PRACTICE, "survey", "take-down", "hold"),
        (PRACTICE, "asbestos-check", "take-down", "hold"),
        (PRACTICE, "asbestos-check", "lead-holes", "hold"),
        (PRACTICE, "consent", "take-down", "hold"),
        (PRACTICE, "consent", "fix", "hold"),
        (PRACTICE, "detect-services", "lead-holes", "hold"),
        (PRACTICE, "detect-services", "fix", "hold"),
        (PRACTICE, "lead-check", "sand", "hold"),
        (PRACTICE, "read-moisture", "acclimatise", "hold"),
        (PRACTICE, "acclimatise", "cut", "caution"),
        (PRACTICE, "seal-knots", "back-prime", "caution"),
        (PRACTICE, "back-prime", "fix", "caution"),
        (PRACTICE, "dry-fit", "adhesive", "caution"),
        (PRACTICE, "fill", "sand", "caution"),
        (PRACTICE, "prime", "caulk", "caution"),
        (PRACTICE, "caulk", "undercoat", "caution"),
        (PRACTICE, "sand", "undercoat", "caution"),
        (PRACTICE, "clean", "snag", "caution"),
        (NHBC_JOINERY, "fix", "punch", "caution"),
        (NHBC_JOINERY, "punch", "fill", "caution"),
        (NHBC_PAINT, "prime", "undercoat", "caution"),
        (NHBC_PAINT, "undercoat", "top-coat", "caution"),
    ],
)
def test_what_must_end_first_and_what_it_weighs(source: str, first: str, then: str, weight: str) -> None:
    assert first in rests_on(then), source
    plan = [PlanStep("one", (then,), line=1), PlanStep("other", (first,), line=2)]
    found = {(pair.first, pair.then): pair.weight for pair in audited(plan, STEPS, {}).out_of_order}
    assert found[first, then] == weight, source


def test_every_weighed_pair_is_of_steps_that_rest_on_each_other() -> None:
    """Common practice, no source."""
    assert all(first in rests_on(then) for first, then in pair_weights())


def test_only_the_survey_needs_nothing_and_nothing_needs_itself() -> None:
    """Common practice, no source."""
    assert [name for name, needs in NEEDS.items() if not needs] == ["survey"]
    assert not [name for name in NEEDS if name in rests_on(name)]


@pytest.mark.parametrize(
    ("paint", "between", "last"),
    [("waterborne", 6, 24), ("alkyd", 24, 24), ("linseed-oil", 72, 72)],
)
def test_finish_coats(paint: str, between: float, last: float) -> None:
    """Common practice, no source: waterborne 4 to 6 h, alkyd 16 to 24 h, linseed 24 to 72 h a coat; 24 h before it is
    judged."""
    trim = Trim("rail", "dado-rail", timber="european-redwood", finish="paint")
    job = Job("a job", trim=(trim,), choices=Choices(paint=paint), climate=Climate(day=Air(20, 50)))
    assert wait_after("top-coat", job, Sheet())[0] == between + last
