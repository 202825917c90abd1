"""The calendar of a job, read by another's reader of RFC 5545."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.survey.faults import InputFault
from listel.core.survey.reading import read_survey
from listel.plugins.sequence import Sequence
from listel.reports.calendar import _folded, _text, calendar


@pytest.fixture(scope="module")
def outcome(examples: Path) -> Outcome:
    return examine(read_survey(examples / "stair-hall.yaml"), load([]))


def test_every_step_that_is_not_done_has_its_entry(outcome: Outcome) -> None:
    read = icalendar.Calendar.from_ical(calendar(outcome))
    steps = [step for step in outcome.sheet[Sequence].steps if not step.done]
    dated = [step for step in steps if step.starts is not None]
    assert len(read.walk("VTODO")) == len(steps) - len(dated)
    assert len(read.walk("VEVENT")) == len(dated) + sum(1 for step in dated if step.wait)
    first = date.fromisoformat(outcome.job.work.start or "")
    for step in dated:
        event = next(each for each in read.walk("VEVENT") if str(each["UID"]).endswith(f"-{step.name}@listel"))
        assert str(event["SUMMARY"]).startswith(step.title)
        assert event["DTSTART"].dt == first + timedelta(days=(step.starts or 0.0) // 24)
        assert event["DTSTART"].dt < event["DTEND"].dt
    assert read["VERSION"] == "2.0"
    assert len({str(each["UID"]) for each in read.subcomponents}) == len(read.subcomponents)


def test_other_trades_come_on_a_visit(outcome: Outcome) -> None:
    told = calendar(outcome)
    assert "(visit: specialist)" in told.replace("\r\n ", "")
    assert "(visit: joiner)" not in told.replace("\r\n ", "")


def test_without_a_first_day_there_is_no_calendar(outcome: Outcome) -> None:
    job = replace(outcome.job, work=replace(outcome.job.work, start=None))
    with pytest.raises(InputFault, match="first day of work"):
        calendar(replace(outcome, job=job))


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=300))
def test_lines_are_folded_at_75_octets_and_come_back_whole(words: str) -> None:
    """RFC 5545, sections 3.1 and 3.3.11."""
    pieces = list(_folded(f"SUMMARY:{_text(words)}"))
    assert all(len(piece.encode()) <= 75 for piece in pieces)
    whole = "\r\n".join(pieces)
    event = f"BEGIN:VEVENT\r\n{whole}\r\nEND:VEVENT\r\n"
    assert str(icalendar.Event.from_ical(event)["SUMMARY"]) == "\n".join(words.splitlines())
