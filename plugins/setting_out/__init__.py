"""The plugin ``setting_out``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.closure import Closures
from listel.plugins.existing import Existing
from listel.plugins.heights import RailHeights
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out.results import (
    Blocked,
    BowCheck,
    CornerCut,
    Mark,
    Notch,
    Notched,
    Piece,
    PieceEnd,
    RakedProfile,
    Run,
    RunKey,
    SettingOut,
)
from listel.plugins.setting_out.settings import saw_turns
from listel.plugins.setting_out.whole import Joints, LongRun, Places, TrimJoints, WholeRuns
from listel.plugins.site import Site

if TYPE_CHECKING:
    from listel.core.contract.reckoning import Reckoner

__all__ = [
    "Blocked",
    "BowCheck",
    "CornerCut",
    "Joints",
    "LongRun",
    "Mark",
    "Notch",
    "Notched",
    "Piece",
    "PieceEnd",
    "Places",
    "RakedProfile",
    "Run",
    "RunKey",
    "SettingOut",
    "TrimJoints",
    "WholeRuns",
    "saw_turns",
]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stages ``runs`` and, once it is chosen where these are jointed, ``setting_out``: they work without heights,
    but take them where they are given."""
    from listel.plugins.setting_out.stage import examine, examine_runs

    needs, wants = (Site, Closures), (RailHeights, Proportions, Existing)
    return [
        Stage("runs", examine_runs, needs=needs, wants=wants, gives=(WholeRuns,)),
        Stage("setting_out", examine, needs=(*needs, WholeRuns), wants=(*wants, Joints), gives=(SettingOut,)),
    ]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoners ``mitre``, ``sprung``, ``rake`` and ``bow``."""
    from listel.plugins.setting_out.reckoners import reckoners

    return reckoners()


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The section on setting out."""
    return [Section("setting_out", "Setting out", 300, Path(__file__).with_name("section.html.j2"))]
