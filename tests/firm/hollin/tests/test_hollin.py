"""The rules of Hollin & Roke, tried by the kit that listel brings."""

from collections.abc import Callable
from pathlib import Path

import hollin_roke
import pytest
from hollin_roke.visits import VISITS, Visits

from listel import Firm, Job, Outcome, examine, read
from listel.testing import assert_grounded, audit, render

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def outcome() -> Outcome:
    """Our own survey, with our package and our house rules at work."""
    firm = Firm(house=[ROOT / "house.yaml"])
    return examine(read(ROOT / "survey.yaml", firm), firm)


def test_nothing_of_ours_fails_and_each_finding_has_its_source(outcome: Outcome) -> None:
    assert [each.says for each in outcome.findings if each.rule.endswith("-failed")] == []
    assert_grounded([each for each in outcome.findings if each.rule.startswith("hollin-roke/")])


def test_our_section_tells_what_visits_cost_with_the_house_price(outcome: Outcome) -> None:
    html = render("hollin-roke", outcome, "client")
    assert "£180.00" in html and "The green van goes" in html
    with pytest.raises(AssertionError, match="there is no section visits"):
        render("visits", outcome)


def test_a_plan_in_our_words_is_read(outcome: Outcome) -> None:
    told = audit(ROOT / "plan.md", outcome)
    steps = [step for each in told.recognised for step in each.steps]
    assert steps == ["roke-photographs", "hollin-sample", "cut", "fix"]
    assert [each.method for each in told.harmful] == ["machine-sand"]


def test_options_change_the_price(small_job: Job, outcome_of: Callable[..., Outcome]) -> None:
    told = [outcome_of(small_job, hollin_roke, options={"hollin-roke": {"visit": 100, "vat": vat}}) for vat in (0, 20)]
    assert [each.sheet[Visits].lines[0].price for each in told] == [200.0, 240.0]


def test_the_reckoner_counts_visits() -> None:
    assert VISITS.reckon({"rooms": 3}).results == {"visits": 4}
    with pytest.raises(ValueError, match="a room at least"):
        VISITS.reckon({"rooms": 0})
