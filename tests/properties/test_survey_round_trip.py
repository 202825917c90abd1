"""Every job can be written as a survey, passes the form, and reads back as the same job."""

from __future__ import annotations

import json

from hypothesis import given
from strategies import FEW, jobs

from listel.core.survey.data import survey_data
from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text

# A JSON text is YAML too, so it is read by the same reader.


@given(jobs())
@FEW
def test_a_job_written_and_read_again_is_the_same_job(job: Job) -> None:
    text = json.dumps(survey_data(job), ensure_ascii=False, indent=1)
    again = job_from_text(text)
    assert again == job


@given(jobs())
@FEW
def test_every_object_knows_its_line(job: Job) -> None:
    again = job_from_text(json.dumps(survey_data(job), ensure_ascii=False, indent=1))
    things = [
        *again.rooms,
        *(wall for room in again.rooms for wall in room.walls),
        *again.trim,
        *again.rack,
        *again.plan,
    ]
    lines = [again.line(thing) for thing in things]
    assert all(line > 1 for line in lines)
    assert len(set(lines)) == len(lines)
