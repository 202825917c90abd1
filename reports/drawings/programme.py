"""The programme: each step as a bar against the days, work told apart from waiting, the critical path black."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import ceil

from listel.core.host.outcome import Outcome
from listel.plugins.sequence import JobStep
from listel.plugins.sequence import Sequence as Order
from listel.reports.drawings.layout import Entry, in_sheets, legend, nothing
from listel.reports.drawings.paper import (
    HAIR,
    HIDDEN,
    MEDIUM,
    SMALL,
    THIN,
    WIDTH,
    Box,
    Drawing,
    Sheet,
    letters_width,
    wrap,
)

NAMES = 76.0
"""Paper kept for the steps' names, mm."""
ROW = 5.0
MOST = 30
"""Steps on one sheet."""
_DAY = 24.0
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def programme(outcome: Outcome) -> Drawing:
    """The programme in calendar days from the first morning, with its dates where the start is known. Steps that have
    no day while holds stand are not drawn."""
    title = "Programme"
    sequence = outcome.sheet.get(Order)
    open_steps = [step for step in sequence.steps if not step.done] if sequence else []
    steps = [step for step in open_steps if step.starts is not None]
    if not steps:
        return nothing(title, "No step has a day while holds stand." if open_steps else "No steps were reckoned.")
    days = max(ceil(max((step.free or 0.0 for step in steps), default=0.0) / _DAY), 1)
    start = _start(outcome.job.work.start, days)
    return in_sheets(steps, MOST, title, lambda some, name: _sheet(some, name, days, start))


def _start(written: str | None, days: int) -> date | None:
    """The first day, where it is a date and so is every day of the programme."""
    try:
        start = date.fromisoformat(written or "")
        start + timedelta(days + 1)
    except (ValueError, OverflowError):
        return None
    return start


def _sheet(steps: Sequence[JobStep], title: str, days: int, start: date | None) -> Drawing:
    wide = (WIDTH - NAMES) / days
    paper = Sheet()
    names = [wrap(step.title, NAMES - 8.0, SMALL)[:2] or [""] for step in steps]
    tops = [0.0]
    for lines in names:
        tops.append(tops[-1] + ROW + (len(lines) - 1) * SMALL * 1.25)
    _days(paper, days, wide, tops[-1], start)
    for step, lines, top, below in zip(steps, names, tops, tops[1:], strict=False):
        middle = (top + below) / 2
        first = middle + 0.36 * SMALL - (len(lines) - 1) * SMALL * 1.25 / 2
        for number, line in enumerate(lines):
            paper.words(5.0, first + number * SMALL * 1.25, line, SMALL)
        paper.line((0.0, below), (WIDTH, below), HAIR)
        _bar(paper, step, middle - ROW / 2, wide)
    samples: list[Entry] = [(_work_sample, "work"), (_critical_sample, "work that decides the finish")]
    if any(step.wait for step in steps):
        samples.append((_wait_sample, "waiting: drying, curing, acclimatising, answers"))
    if any(step.hold for step in steps):
        samples.append((_hold_sample, "H: it is done to settle a hold"))
    if start and days > 5:
        samples.append((_weekend_sample, "Saturday and Sunday"))
    legend(paper, samples, WIDTH)
    told = "; ".join(
        f"{step.title}, {_when(step, start)}" + (f", then {step.wait:.0f} hours of waiting" if step.wait else "")
        for step in steps
    )
    return paper.finish(title, f"{title} of {days} days. {told}.", "in days from the first morning")


def _when(step: JobStep, start: date | None) -> str:
    day = int((step.starts or 0.0) // _DAY)
    return f"day {day + 1}" + (f", {_short(start + timedelta(day))}" if start else "")


def _short(day: date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1]}"


def _days(paper: Sheet, days: int, wide: float, low: float, start: date | None) -> None:
    """The days across the top: Mondays by date where the start is known, with weekends marked; else numbered."""
    if start is None:
        each = next((n for n in (1, 2, 5, 7, 14, 28, 56, 91, 182, 364) if n * wide >= 8.0), 728)
        marked = [(day, str(day + 1)) for day in range(0, days, each)]
    else:
        monday = -start.weekday() % 7
        each = next((7 * n for n in (1, 2, 4, 8, 13, 26, 52) if 7 * n * wide >= 14.0), 728)
        marked = [(0, _short(start)), *((day, _short(start + timedelta(day))) for day in range(monday, days, each))]
        for day in range(days):
            if (start + timedelta(day)).weekday() == 5 and wide >= 0.6:
                left, right = NAMES + day * wide, NAMES + min(day + 2, days) * wide
                paper.hatch(Box(left, 0.0, right, low), 1.6)
    taken = 0.0
    for day, words in dict(marked).items():
        x = NAMES + day * wide
        paper.line((x, -1.0), (x, low), THIN)
        if x >= taken and x + letters_width(words, SMALL) <= WIDTH + 6.0:
            paper.words(x + 0.6, -1.6, words, SMALL)
            taken = x + letters_width(words, SMALL) + 1.6
    paper.words(5.0, -1.6, "Day" if start is None else "Date", SMALL)
    paper.line((0.0, 0.0), (WIDTH, 0.0), THIN)


def _bar(paper: Sheet, step: JobStep, top: float, wide: float) -> None:
    if step.hold:
        paper.words(0.0, top + ROW / 2 + 0.36 * SMALL, "H", SMALL, bold=True)
    x0, x1, x2 = (NAMES + (hours or 0.0) / _DAY * wide for hours in (step.starts, step.ends, step.free))
    x1 = max(x1, x0 + 0.8)
    if x2 > x1:
        _waiting(paper, Box(x1, top + 1.7, x2, top + ROW - 1.7))
    work = Box(x0, top + 1.0, x1, top + ROW - 1.0)
    paper.rectangle(work, MEDIUM, "black" if step.critical else "white")


def _waiting(paper: Sheet, box: Box) -> None:
    """Waiting: a low open bar with a line through its middle."""
    paper.rectangle(box, THIN, "white")
    paper.line((box.x0, (box.y0 + box.y1) / 2), (box.x1, (box.y0 + box.y1) / 2), HIDDEN)


def _work_sample(sheet: Sheet, box: Box) -> None:
    sheet.rectangle(Box(box.x0, box.y0, box.x1, box.y1), MEDIUM, "white")


def _critical_sample(sheet: Sheet, box: Box) -> None:
    sheet.rectangle(box, MEDIUM, "black")


def _wait_sample(sheet: Sheet, box: Box) -> None:
    _waiting(sheet, Box(box.x0, box.y0 + 0.7, box.x1, box.y1 - 0.7))


def _weekend_sample(sheet: Sheet, box: Box) -> None:
    sheet.hatch(box, 1.6)


def _hold_sample(sheet: Sheet, box: Box) -> None:
    sheet.words(box.x0, box.y0 + 2.5, "H", SMALL, bold=True)
