"""A stage that fails takes its results with it, and those that need them: every paper stands without."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from listel.core.contract.stage import NotGiven, Sheet, Stage
from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.plugins.estimate import Estimate
from listel.reports.statement import render

HALL = Path(__file__).parents[2] / "schemas" / "examples" / "stair-hall.yaml"


@cache
def hall() -> Outcome:
    firm = Firm(installed=False)
    return firm.examine(firm.read(HALL))


def lost_with(stage: Stage, stages: list[Stage]) -> frozenset[type]:
    """What is not given where that stage fails."""
    lost, failed = set(stage.gives), {stage.name}
    while more := [
        each for each in stages if each.name not in failed and lost & {*each.needs, *each.amends, *each.settles}
    ]:
        failed |= {each.name for each in more}
        lost |= {kind for each in more for kind in each.gives}
    return frozenset(lost)


STAGES = [stage for _, stage in Firm(installed=False).registry.stages()]
LOST = {lost: stage.name for stage in STAGES if (lost := lost_with(stage, STAGES))}


@pytest.mark.parametrize("lost", LOST, ids=LOST.get)
def test_every_paper_stands_without_what_a_failed_stage_would_have_given(lost: frozenset[type]) -> None:
    sheet = Sheet({type(result): result for result in hall().sheet if type(result) not in lost})
    for reader in ("client", "officer", "workshop", "handover", "all"):
        assert render(replace(hall(), sheet=sheet), readers=reader)


def test_a_result_that_is_asked_for_and_not_there_is_told_in_words() -> None:
    with pytest.raises(NotGiven, match="there is no Estimate of this job"):
        Sheet()[Estimate]
    assert issubclass(NotGiven, InputFault)
