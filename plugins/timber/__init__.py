"""The plugin ``timber``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.timber.results import (
    JointOpening,
    Movement,
    TrimMovement,
)

__all__ = ["JointOpening", "Movement", "TrimMovement"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``timber``, which rests on nothing that is set out."""
    from listel.plugins.timber.rules import examine

    return [Stage("timber", examine, gives=(Movement,))]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoners ``moisture`` and ``movement``."""
    from listel.plugins.timber.reckoners import reckoners

    return reckoners()


@hookimpl
def listel_sections() -> list[Section]:
    """The section on timber, moisture and movement."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("timber", "Timber, moisture and movement", 350, template)]


@hookimpl
def listel_rules() -> list[Rule]:
    """What can be told of moisture and movement."""
    return list(load_rules(__package__))
