"""Whatever a survey says, if its form lets it through: no stage fails, and all that is said of it is sound."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odd_surveys import DEMOS, altered, any_survey, demo, readable
from soundness import unsound, unsound_page
from strategies import jobs

from listel.core.engine import Outcome, examine, outcome_json
from listel.core.job import Job
from listel.core.registry import Registry, load
from listel.core.survey import job_from_text
from listel.plugins.fixings import FixingSchedule
from listel.plugins.setting_out import SettingOut
from listel.reports.statement import READERS, compose, render, render_site, to_html

STEADY = settings(max_examples=25, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))
SEEDS = st.integers(0, 2**32)


@cache
def registry() -> Registry:
    """The built-in plugins."""
    return load(entry_points=False)


def examined(job: Job) -> Outcome:
    """What comes of a job, the job itself being left as it was."""
    before = repr(job)
    outcome = examine(job, registry())
    assert outcome.job is job
    assert repr(job) == before
    return outcome


def written(outcome: Outcome) -> str:
    """The outcome as text."""
    return json.dumps(outcome_json(outcome), allow_nan=False)


@STEADY
@given(SEEDS)
def test_an_odd_survey_gives_a_sound_outcome_and_page(seed: int) -> None:
    job = readable(any_survey(seed))
    if job is None:
        return
    outcome = examined(job)
    assert unsound(outcome) == []
    assert unsound_page(render(outcome), job) == []


@STEADY
@given(jobs())
def test_a_random_job_gives_a_sound_outcome(job: Job) -> None:
    assert unsound(examined(job)) == []


@settings(STEADY, max_examples=6)
@given(SEEDS, st.sampled_from(DEMOS))
def test_the_same_survey_twice_gives_the_same_bytes_in_every_form(seed: int, name: str) -> None:
    from random import Random

    text = altered(Random(seed), name)
    if readable(text) is None:
        return
    first, second = (examine(job_from_text(text), registry()) for _ in range(2))
    assert written(first) == written(second)
    statements = [compose(outcome) for outcome in (first, second)]
    assert to_html(statements[0]) == to_html(statements[1])
    for readers in READERS:
        assert unsound_page(render(first, readers=readers), first.job) == []
    assert unsound_page(render_site(first), first.job) == []


@pytest.mark.parametrize("name", DEMOS)
def test_the_order_of_rooms_trims_and_boards_changes_no_count(name: str) -> None:
    job = job_from_text(json.dumps(demo(name)))
    turned = replace(job, rooms=job.rooms[::-1], trim=job.trim[::-1], stock=job.stock[::-1], rack=job.rack[::-1])
    first, second = examined(job), examined(turned)
    assert _counts(first) == _counts(second)
    assert sorted(finding.rule for finding in first.findings) == sorted(finding.rule for finding in second.findings)


def _counts(outcome: Outcome) -> dict[str, list[object]]:
    out, schedule = outcome.sheet[SettingOut], outcome.sheet[FixingSchedule]
    return {
        "runs": sorted((run.room, run.wall, run.trim, round(run.length, 3)) for run in out.runs),
        "pieces": sorted((piece.room, piece.wall, piece.trim, round(piece.back, 3)) for piece in out.pieces),
        "fixings": sorted((line.room, line.wall, line.trim, line.kind, line.count) for line in schedule.lines),
    }


def test_a_programme_past_the_last_date_counts_its_days() -> None:
    data = json.loads(json.dumps(demo("plain-room.yaml")))
    data["work"] = {"start": "9999-12-30", "durations": {"set-out": 10_000}}
    outcome = examined(job_from_text(json.dumps(data)))
    assert ">Day</text>" in render(outcome)
