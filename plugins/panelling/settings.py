"""Settings that the survey may leave out, each shown as assumed where ours is taken."""

from __future__ import annotations

from listel.core.contract.findings import Input
from listel.core.contract.tables import load_table


def allowed(name: str) -> Input:
    """An allowance, shown as assumed."""
    row = load_table(__package__, "allowances").row(name)
    return Input(row["says"], float(row["value"]), row["unit"], assumed=True, note="allowance")


def figure(given: Input) -> float:
    """The value of an input that is a length."""
    return float(given.value)
