"""Whatever a survey says, if its form lets it through: no stage fails, and all that is said of it is sound."""

from __future__ import annotations

import json
from collections import Counter
from copy import deepcopy
from dataclasses import replace
from functools import cache, partial

import pytest
from hypothesis import given
from odd_surveys import DEMOS, altered, demo, job_of_seed
from soundness import unsound, unsound_page
from strategies import FEW, jobs

from listel.core.contract.stage import READERS
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import Registry, load
from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text
from listel.plugins.fixings import FixingSchedule
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings import draw
from listel.reports.markdown import to_markdown
from listel.reports.pdf import to_pdf
from listel.reports.statement import compose, render, to_html
from listel.reports.word import to_word


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
    return json.dumps(outcome.to_json(), allow_nan=False)


@pytest.mark.parametrize("seed", range(40))
def test_an_odd_survey_gives_a_sound_outcome_and_page(seed: int) -> None:
    job = job_of_seed(seed)
    outcome = examined(job)
    assert unsound(outcome) == []
    assert unsound_page(render(outcome), job) == []


@FEW
@given(jobs())
def test_a_random_job_gives_a_sound_outcome(job: Job) -> None:
    assert unsound(examined(job)) == []


@pytest.mark.parametrize("name", DEMOS)
def test_the_same_survey_twice_gives_the_same_bytes_in_every_form(name: str) -> None:
    job = job_of_seed(7, partial(altered, name=name))
    first, second = examined(job), examined(job)
    assert written(first) == written(second)
    statements = [compose(outcome) for outcome in (first, second)]
    for form in (to_html, to_pdf, to_word, lambda statement: to_markdown(statement, "drawings")):
        assert form(statements[0]) == form(statements[1])
    for readers in READERS:
        assert unsound_page(render(first, readers=readers), job) == []


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
        "pieces": sorted(Counter((piece.room, piece.wall, piece.trim) for piece in out.pieces).items()),
        "fixings": sorted((line.room, line.wall, line.trim, line.kind, line.count) for line in schedule.lines),
    }


def test_a_programme_past_the_last_date_counts_its_days() -> None:
    data = deepcopy(demo("plain-room.yaml"))
    data["work"] = {"start": "9999-12-30", "durations": {"set-out": 10_000}}
    outcome = examined(job_from_text(json.dumps(data)))
    assert ">Day</text>" in render(outcome)


def test_a_flat_arc_far_from_its_centre_is_drawn_on_paper() -> None:
    data = deepcopy(demo("plain-room.yaml"))
    trim = data["trim"][0]
    trim["profile"] = [{"kind": "cavetto", "height": 1500, "projection": -1}]
    made = draw("profile", examined(job_from_text(json.dumps(data))), trim=trim["name"])
    assert max(made.width, made.height) < 400
