"""What the closing of a survey is judged by: allowances, and the uncertainty of tape, bevel and level."""

from __future__ import annotations

from listel.core.contract.findings import Input
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job

LEAST_ERROR = {"tape": 0.1, "bevel": 0.01}
"""The least one-sigma error that a tape [mm] and a bevel [deg] are taken to have."""


def allowance(name: str) -> float:
    """The value of one row of the allowances table."""
    return float(load_table(__package__, "allowances").row(name)["value"])


def assumed(name: str) -> tuple[float, Input]:
    """The value of an allowance, shown as assumed."""
    row = load_table(__package__, "allowances").row(name)
    return row["value"], Input(row["says"], row["value"], row["unit"], assumed=True, note="allowance")


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
