"""The plugin ``conservation``: old and new set against each other, once both are known; its hooks and result types."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage, Step
from listel.plugins.conservation.results import Drilled, Item, OfficerTable, Total, Undoing, done_to

__all__ = ["Drilled", "Item", "OfficerTable", "Total", "Undoing", "done_to"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``conservation``: what bears new trim out, where it meets the old, and the officer's table of both."""
    from listel.plugins.bonding import Bonding
    from listel.plugins.conservation.table import examine
    from listel.plugins.existing import Existing
    from listel.plugins.fixings import FixingSchedule
    from listel.plugins.proportions import Proportions
    from listel.plugins.setting_out import SettingOut
    from listel.plugins.site import Site

    return [
        Stage(
            name="conservation",
            examine=examine,
            needs=(Site, Existing),
            wants=(SettingOut, Proportions, FixingSchedule, Bonding),
            gives=(OfficerTable,),
        )
    ]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_steps() -> list[Step]:
    """Mark new work on its back."""
    from listel.plugins.conservation.steps import steps

    return steps()


@hookimpl
def listel_sections() -> list[Section]:
    """Each piece, old and new, and what happens to it."""
    return [Section("conservation", "Old and new, item by item", 160, Path(__file__).with_name("section.html.j2"))]
