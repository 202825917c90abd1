"""The allowances of the plugin, by name."""

from __future__ import annotations

from listel.core.contract.tables import Row, load_table


def allowance(name: str) -> Row:
    """A row of the table of allowances; KeyError if it has none."""
    return load_table(__package__, "allowances").row(name)


def value(name: str) -> float:
    """The figure of an allowance that is one figure."""
    return float(allowance(name)["value"])
