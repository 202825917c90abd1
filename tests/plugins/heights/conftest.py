"""Small rooms in which one thing at a time is tried."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from listel.core.contract.testing import StageRun, run_stage
from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text
from listel.plugins.heights import listel_stages
from listel.plugins.site import site_of

SURVEY = """
listel: 1
invented: true
job: {{title: A room}}
building: {{region: england}}
rooms:
  - name: Room
    use: {use}
    period: 1850
{room}
    walls:
      - name: A
        length: 4000
        floor: {floor}
        openings: {openings}
        fittings: {fittings}
trim:
  - name: rail
    member: {member}
    where: [{{room: Room}}]
    section: {section}
{trim}
{tail}
"""

PARTS = {
    "use": "reception",
    "room": "    height: 2700",
    "floor": "[{at: 0, to-datum: 1000}, {at: 4000, to-datum: 1000}]",
    "openings": "[]",
    "fittings": "[]",
    "member": "dado-rail",
    "section": "{height: 60, projection: 25}",
    "trim": "",
    "tail": "",
}


@pytest.fixture
def job_of() -> Callable[..., Job]:
    """A job of one room, 2700 high, with a dado rail 60 deep; any part of its survey may be given instead."""
    return lambda **parts: job_from_text(SURVEY.format(**{**PARTS, **parts}))


@pytest.fixture
def run(job_of: Callable[..., Job]) -> Callable[..., StageRun]:
    """The stages run over such a job."""

    def run(**parts: str) -> StageRun:
        gives, tells = listel_stages()
        job = job_of(**parts)
        site = site_of(job)
        ran = run_stage(gives, job, site)
        return replace(ran, findings=run_stage(tells, job, site, *ran.results).findings)

    return run
