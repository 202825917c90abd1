"""What the closing of a survey is judged by: allowances, and the uncertainty of tape, bevel and level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt

from listel.core.contract.findings import Input
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.plugins.site import angle_error

LEAST_ERROR = {"tape": 0.1, "bevel": 0.01}
"""The least one-sigma error that a tape [mm] and a bevel [deg] are taken to have."""


def allowance(name: str) -> float:
    """The value of one row of the allowances table."""
    return float(load_table(__package__, "allowances").row(name)["value"])


def assumed(name: str) -> tuple[float, Input]:
    """The value of an allowance, shown as assumed."""
    row = load_table(__package__, "allowances").row(name)
    return row["value"], Input(row["says"], row["value"], row["unit"], assumed=True, note="allowance")


def bevel_shown(job: Job, angles: Sequence[float]) -> tuple[float, Input]:
    """One-sigma uncertainty of the bevel in one room [deg]: as surveyed; else no more than the sum of its ``angles``
    through the room shows, between a careful bevel and the usual one.

    A sum out by e over n corners shows a bevel of e / sqrt(n). Source: spread of a sum, derived.
    """
    if job.tolerances.bevel is not None:
        return tolerance(job, "bevel")
    most, shown = assumed("bevel")
    spread = abs(angle_error(angles)) / sqrt(len(angles))
    value = min(most, max(allowance("careful-bevel"), spread))
    return value, replace(shown, value=round(value, 3), note=f"allowance; the sum of the angles shows {spread:.2f}")


def tolerance(job: Job, name: str) -> tuple[float, Input]:
    """One-sigma uncertainty of ``tape`` [mm], ``bevel`` [deg] or ``level`` [mm]: the survey's, else assumed. No tape
    or bevel is taken to be without error."""
    surveyed: float | None = getattr(job.tolerances, name)
    if surveyed is None:
        return assumed(name)
    unit, line = "deg" if name == "bevel" else "mm", job.line(job.tolerances, name)
    least = LEAST_ERROR.get(name, 0.0)
    if surveyed < least:
        note = f"the survey says {surveyed:g}; no {name} is without error"
        return least, Input(f"uncertainty of the {name}", least, unit, line, assumed=True, note=note)
    return surveyed, Input(f"uncertainty of the {name}", surveyed, unit, line)
