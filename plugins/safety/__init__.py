"""The plugin ``safety``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage, Step
from listel.core.contract.tables import Table, load_table
from listel.plugins.bonding import Bonding
from listel.plugins.closure import Closures
from listel.plugins.conservation import OfficerTable
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.heights import RailHeights
from listel.plugins.proportions import Proportions
from listel.plugins.safety.results import (
    Consent,
    Crossing,
    Emergency,
    ExposureLine,
    Hazard,
    LeftInPlace,
    SafetyNotes,
    Sign,
    WallServices,
    Zone,
)
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site

__all__ = [
    "Consent",
    "Crossing",
    "Emergency",
    "ExposureLine",
    "Hazard",
    "LeftInPlace",
    "SafetyNotes",
    "Sign",
    "WallServices",
    "Zone",
]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stages ``safety-zones``, which moves fixings out of service zones, and ``safety``."""
    from listel.plugins.safety.notes import examine
    from listel.plugins.safety.rows import move

    return [
        Stage(
            name="safety-zones",
            examine=move,
            needs=(Site,),
            wants=(SettingOut, RailHeights),
            settles=(FixingSchedule,),
        ),
        Stage(
            name="safety",
            examine=examine,
            needs=(Site,),
            wants=(Existing, FixingSchedule, OfficerTable, Closures, SettingOut, RailHeights, Proportions, Bonding),
            gives=(SafetyNotes,),
        ),
    ]


@hookimpl
def listel_steps() -> list[Step]:
    """Consent, the checks, the search for services, covering up, and what follows where something was found."""
    from listel.plugins.safety.steps import steps

    return steps()


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The calculation ``exposure``."""
    from listel.plugins.safety.exposure import EXPOSURE

    return [EXPOSURE]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything that the stages of ``safety`` can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_tables() -> list[Table]:
    """The tables of hazards and signs, to which a firm may add rows."""
    return [load_table(__package__, name) for name in ("hazards", "signs")]


@hookimpl
def listel_sections() -> list[Section]:
    """The section on safety, at 600."""
    return [Section("safety", "Safety, services and consent", 600, Path(__file__).with_name("section.html.j2"))]
