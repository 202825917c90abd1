"""The plugin ``defects``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.defects.results import (
    BoardCheck,
    DefectChecks,
    DefectVerdict,
    Snag,
)

__all__ = ["BoardCheck", "DefectChecks", "DefectVerdict", "Snag"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``defects``."""
    from listel.plugins.defects.checks import examine
    from listel.plugins.timber import Movement

    return [Stage(name="defects", examine=examine, wants=(Movement,), gives=(DefectChecks,))]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The section on the timber and the snags."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("defects", "Timber and snags", 500, template)]
