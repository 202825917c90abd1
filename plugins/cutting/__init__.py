"""The plugin ``cutting``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Stage
from listel.plugins.cutting.results import (
    Cut,
    CutBoard,
    CuttingList,
    Joints,
    Purchase,
    TrimCutting,
    TrimJoints,
)

__all__ = ["Cut", "CutBoard", "CuttingList", "Joints", "Purchase", "TrimCutting", "TrimJoints", "cuts_csv"]


def cuts_csv(found: CuttingList) -> str:
    """Every cut, a line each, as CSV."""
    from listel.plugins.cutting import files

    return files.cuts_csv(found)


@hookimpl
def listel_stages() -> list[Stage]:
    """The stages ``joints``, before the pieces are set out, and ``cutting`` after."""
    from listel.plugins.cutting.jointing import examine_joints
    from listel.plugins.cutting.listing import examine
    from listel.plugins.defects import DefectChecks
    from listel.plugins.setting_out import SettingOut, WholeRuns

    return [
        Stage("joints", examine_joints, needs=(WholeRuns,), wants=(DefectChecks,), gives=(Joints,)),
        Stage("cutting", examine, needs=(DefectChecks,), wants=(SettingOut, Joints), gives=(CuttingList,)),
    ]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoners ``stock`` and ``joints``."""
    from listel.plugins.cutting.reckon import STOCK
    from listel.plugins.cutting.reckon_joints import JOINTS

    return [STOCK, JOINTS]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    from listel.core.contract.rules import load_rules

    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The cutting list and take-off."""
    return [Section("cutting", "Cutting list", 550, Path(__file__).with_name("section.html.j2"))]
