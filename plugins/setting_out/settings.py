"""The plugin's own settings: each value with the Input that shows where it comes from."""

from __future__ import annotations

from collections.abc import Callable

from listel.core.contract.findings import PRACTICE, Input, Source
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length


def allowance(name: str) -> float:
    """The value of one row of the allowances table."""
    return float(load_table(__package__, "allowances").row(name)["value"])


def allowed(name: str) -> tuple[float, Input, tuple[Source, ...]]:
    """The value of an allowance, shown as assumed, with its sources."""
    row = load_table(__package__, "allowances").row(name)
    return (
        float(row["value"]),
        Input(row["says"], float(row["value"]), row["unit"], assumed=True, note="allowance"),
        row.sources,
    )


def longest_piece(job: Job, trim: Trim) -> tuple[float, Input]:
    """The longest piece of a trim that can be had, from long point to long point [mm]: as the survey says, but no more
    than its longest board with both ends trimmed; else assumed."""
    found = []
    if trim.longest is not None:
        found.append((trim.longest, Input("longest piece", trim.longest, "mm", job.line(trim, "longest"))))
    boards = [board for board in job.stock if board.trim == trim.name]
    if boards:
        board = max(boards, key=lambda each: each.length)
        trimmed = job.cutting.end_trim if job.cutting.end_trim is not None else allowance("end-trim")
        longest = board.length - 2 * trimmed
        shown = "longest piece from the longest board, ends trimmed"
        found.append((longest, Input(shown, longest, "mm", job.line(board, "length"))))
    if not found:
        value, assumed, _ = allowed("longest")
        found.append((value, assumed))
    return min(found, key=lambda each: each[0])


def saw_turns(job: Job) -> tuple[float, Input, tuple[Source, ...]]:
    """The greatest angle the saw turns to from a square cut [deg], as surveyed, else the usual one."""
    given = job.cutting.saw_limit
    if given is None:
        return allowed("saw-limit")
    shown = Input("greatest angle the saw turns to", given, "deg", job.line(job.cutting, "saw-limit"))
    return given, shown, (PRACTICE,)


def lengths(job: Job) -> Callable[[float], str]:
    """How lengths are shown in this job: a function from mm to text."""
    return lambda mm: show_length(mm, job.units)
