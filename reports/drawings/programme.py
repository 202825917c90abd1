"""The programme: each step as a bar against the days, working time solid, waiting hatched, the critical path heavy."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from listel.core.engine import Outcome
from listel.plugins.sequence import JobStep
from listel.plugins.sequence import Sequence as Order
from listel.reports.drawings.layout import Sample, in_sheets, legend, nothing
from listel.reports.drawings.paper import HEAVY, NO_LINE, SMALL, THICK, THIN, WIDTH, Box, Drawing, Sheet, wrap

NAMES = 72.0
"""Paper kept for the steps' names, mm."""
ROW = 5.0
MOST = 30
"""Steps on one sheet."""
_DAY = 24.0


def programme(outcome: Outcome) -> Drawing:
    """The whole programme in calendar days from the first morning."""
    title = "Programme"
    sequence = outcome.sheet.get(Order)
    steps = [step for step in sequence.steps if not step.done] if sequence else []
    if not steps:
        return nothing(title, "No steps were reckoned.")
    days = max(ceil(max(step.free for step in steps) / _DAY), 1)
    return in_sheets(steps, MOST, title, lambda some, name: _sheet(some, name, days))


def _sheet(steps: Sequence[JobStep], title: str, days: int) -> Drawing:
    wide = (WIDTH - NAMES) / days
    paper = Sheet()
    names = [wrap(step.title, NAMES - 8.0, SMALL)[:2] or [""] for step in steps]
    tops = [0.0]
    for lines in names:
        tops.append(tops[-1] + ROW + (len(lines) - 1) * SMALL * 1.25)
    low = tops[-1]
    each = next((n for n in (1, 2, 5, 7, 14, 28, 56, 91, 182, 364) if n * wide >= 7.0), 728)
    for day in range(0, days + 1, each):
        x = NAMES + day * wide
        paper.line((x, -1.0), (x, low), THIN)
        if day < days:
            paper.words(x + 0.6, -1.6, str(day + 1), SMALL)
    paper.words(0.0, -1.6, "Day", SMALL)
    for step, lines, top, below in zip(steps, names, tops, tops[1:], strict=False):
        middle = (top + below) / 2
        first = middle + 0.36 * SMALL - (len(lines) - 1) * SMALL * 1.25 / 2
        for number, line in enumerate(lines):
            paper.words(NAMES - 3.0, first + number * SMALL * 1.25, line, SMALL, "end")
        _bar(paper, step, middle - ROW / 2, wide)
    samples: list[tuple[Sample, str]] = [
        (_work_sample, "work"),
        (_critical_sample, "on the critical path: it decides the finish"),
    ]
    if any(step.wait for step in steps):
        samples.append((_wait_sample, "waiting: drying, curing, acclimatising"))
    held = [step for step in steps if step.hold]
    if held:
        samples.append((_hold_sample, "held: may not start until the hold is settled"))
    legend(paper, [], samples, WIDTH)
    told = "; ".join(
        f"{step.title}, day {step.starts // _DAY + 1:.0f}"
        + (f", then {step.wait:.0f} hours of waiting" if step.wait else "")
        for step in steps
    )
    return paper.finish(title, f"{title} of {days} days. {told}.", "days from the first morning")


def _bar(paper: Sheet, step: JobStep, top: float, wide: float) -> None:
    x0, x1, x2 = (NAMES + hours / _DAY * wide for hours in (step.starts, step.ends, step.free))
    x1 = max(x1, x0 + 0.6)
    if step.hold:
        paper.words(0.0, top + ROW / 2 + 0.36 * SMALL, "H", SMALL, bold=True)
    if x2 > x1:
        paper.hatch(Box(x1, top + 1.2, x2, top + ROW - 1.2), 1.3)
        paper.rectangle(Box(x1, top + 1.2, x2, top + ROW - 1.2), THIN)
    if step.critical:
        paper.rectangle(Box(x0, top + 0.9, x1, top + ROW - 0.9), HEAVY, "black")
    else:
        paper.rectangle(Box(x0, top + 1.2, x1, top + ROW - 1.2), THICK, "white")


def _work_sample(sheet: Sheet, box: Box) -> None:
    sheet.rectangle(Box(box.x0, box.y0 + 0.3, box.x1, box.y1 - 0.3), THICK, "white")


def _critical_sample(sheet: Sheet, box: Box) -> None:
    sheet.rectangle(box, NO_LINE, "black")


def _wait_sample(sheet: Sheet, box: Box) -> None:
    sheet.hatch(box, 1.3)
    sheet.rectangle(box, THIN)


def _hold_sample(sheet: Sheet, box: Box) -> None:
    sheet.words(box.x0, box.y0 + 2.5, "H", SMALL, bold=True)
