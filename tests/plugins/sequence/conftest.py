"""For the tests of sequence: every step there is as one that a job needs, and plans made of step names."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from listel.core.host.registry import load
from listel.core.survey.job import PlanStep
from listel.plugins.sequence import Audit, JobStep
from listel.plugins.sequence.audit import audited


@pytest.fixture(scope="session")
def steps() -> tuple[JobStep, ...]:
    """Every step of the built-in plugins, none of them done, with no hours and no waits."""
    return tuple(
        JobStep(step.name, step.title, "asked for", step.needs, step.right_after, required=step.required, who=step.who)
        for step in load([]).steps()
    )


@pytest.fixture(scope="session")
def audit(steps: tuple[JobStep, ...]) -> Callable[..., Audit]:
    """Hold lines of text against every step."""

    def held(*lines: str | PlanStep, against: tuple[JobStep, ...] = steps) -> Audit:
        plan = [line if isinstance(line, PlanStep) else PlanStep(line, line=n) for n, line in enumerate(lines, 1)]
        return audited(plan, against, {})

    return held
