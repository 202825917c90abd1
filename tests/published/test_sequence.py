"""Order and waits of the work against what is in print, or against the custom of the trade where nothing is."""

from __future__ import annotations

import pytest

from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
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
    JobStep(step.name, step.title, "asked for", step.needs, step.right_after, step.required, step.who)
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
    ("source", "name", "low", "high"),
    [
        ("Acclimatising softwood trim, 3 to 7 days (second hand)", "acclimatise-softwood", 72, 168),
        (f"{PRACTICE}: thick hardwood 1 to 2 weeks", "acclimatise-hardwood", 168, 336),
        (f"{PRACTICE}: MDF 48 to 72 h", "acclimatise-board", 48, 72),
        (f"{PRACTICE}: shellac, primed over in 1 to 2 h", "seal-knots-shellac", 1, 2),
        (f"{COATINGS}: waterborne 1 to 4 h", "prime-waterborne", 1, 4),
        (f"{COATINGS}: alkyd 6 to 24 h", "prime-alkyd", 6, 24),
        (f"{COATINGS}: alkyd 6 to 24 h", "undercoat-alkyd", 6, 24),
        (f"{PRACTICE}: linseed paint 24 to 72 h", "undercoat-linseed", 24, 72),
        (f"{PRACTICE}: two-part filler 15 to 30 min", "fill-two-part", 0.25, 0.5),
        (f"{PRACTICE}: fine filler 1 to 4 h for 5 mm", "fill-cellulose", 1, 4),
        (f"{PRACTICE}: linseed putty skins in 7 to 14 days", "fill-putty", 168, 336),
        (f"{PRACTICE}: caulk, painted in 1 to 4 h", "caulk", 1, 4),
        (f"{PRACTICE}: gypsum skim of 2 to 3 mm, 3 to 7 days", "make-good-gypsum", 72, 168),
        (f"{PRACTICE}: lime, 7 days a coat or more", "make-good-lime", 168, 672),
    ],
)
def test_waits(source: str, name: str, low: float, high: float) -> None:
    row = load_table("listel.plugins.sequence", "waits").row(name)
    assert (row["low"], row["high"]) == (low, high), source


@pytest.mark.parametrize(
    ("source", "name", "per_mm"),
    [
        (f"{PRACTICE}: gypsum backing about 1 mm a day", "make-good-gypsum", 24),
        (f"{PRACTICE}: 4 h for 5 mm of filler", "fill-cellulose", 4 / 5),
        (f"{PRACTICE}: 7 days for a lime coat of 10 mm", "make-good-lime", 7 * 24 / 10),
    ],
)
def test_waits_by_depth(source: str, name: str, per_mm: float) -> None:
    row = load_table("listel.plugins.sequence", "waits").row(name)
    assert row["per_mm"] == pytest.approx(per_mm), source


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
