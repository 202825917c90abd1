"""The figures of repair, and what of them goes into the grounds."""

from __future__ import annotations

from listel.core.contract.findings import Input
from listel.core.contract.tables import Row, load_table, open_table


def figure(name: str) -> Row:
    """A row of the allowances."""
    return load_table(__package__, "allowances").row(name)


def value(name: str) -> float:
    """A figure."""
    return float(figure(name)["value"])


def shown(name: str) -> Input:
    """A figure as an input; an allowance is shown as assumed."""
    row = figure(name)
    assumed = any(source.standing == "allowance" for source in row.sources)
    return Input(name.replace("-", " "), row["value"], row["unit"], assumed=assumed, note=row.note)


def intent(name: str) -> Row:
    """What is to happen, as its row says."""
    return open_table(__package__, "intents").row(name)


def state(name: str) -> Row:
    """The state, as its row says."""
    return open_table(__package__, "states").row(name)


def damage(kind: str) -> Row:
    """A kind of damage, as its row says."""
    return open_table(__package__, "damage").row(kind)
