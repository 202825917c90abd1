"""The plugin ``bonding``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Stage
from listel.plugins.bonding.results import (
    Bond,
    Bonding,
    Consumable,
    Fill,
    Material,
)

__all__ = ["Bond", "Bonding", "Consumable", "Fill", "Material"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``bonding``."""
    from listel.plugins.bonding.rules import examine
    from listel.plugins.defects import DefectChecks
    from listel.plugins.existing import Existing
    from listel.plugins.fixings import FixingSchedule
    from listel.plugins.panelling import Panelling
    from listel.plugins.setting_out import SettingOut
    from listel.plugins.timber import Movement

    needs, wants = (SettingOut, Movement, DefectChecks), (FixingSchedule, Existing, Panelling)
    return [Stage("bonding", examine, needs=needs, wants=wants, gives=(Bonding,))]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoners ``joint`` and ``bead``."""
    from listel.plugins.bonding.reckoners import reckoners

    return reckoners()


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    from listel.core.contract.rules import load_rules

    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The section on adhesives, fillers and materials."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("bonding", "Adhesives, fillers and materials", 450, template)]
