"""The plugin ``cutting``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Sheet, Stage
from listel.core.survey.job import Job
from listel.plugins.cutting.results import (
    Cut,
    CutBoard,
    CuttingList,
    HouseSaving,
    JointPlans,
    PooledTrim,
    Purchase,
    Share,
    TrimCutting,
    Wanted,
)

if TYPE_CHECKING:
    from listel.plugins.panelling import Panelling

__all__ = [
    "Cut",
    "CutBoard",
    "CuttingList",
    "HouseSaving",
    "JointPlans",
    "PooledTrim",
    "Purchase",
    "Share",
    "TrimCutting",
    "Wanted",
    "cuts_csv",
    "pooled",
    "shares_of",
]


def cuts_csv(job: Job, found: CuttingList, panelling: Panelling | None = None) -> str:
    """Every cut, a line each, as CSV, and every part of panelling."""
    from listel.plugins.cutting import files

    return files.cuts_csv(job, found, panelling)


def shares_of(job: Job, sheet: Sheet, house: str) -> list[Share]:
    """What a house asks of each trim that has pieces."""
    from listel.plugins.cutting import pool

    return pool.shares_of(job, sheet, house)


def pooled(shares: Iterable[Share], *, by_date: bool = False) -> Iterator[PooledTrim]:
    """Every trim of all the houses, those that are alike cut as one; the order of the houses makes no difference.
    ``by_date``: boards of the house whose work begins first are cut first, however many houses that leaves open."""
    from listel.plugins.cutting import pool

    return pool.pooled(shares, by_date)


@hookimpl
def listel_stages() -> list[Stage]:
    """The stages ``joints``, before the pieces are set out, and ``cutting`` after."""
    from listel.plugins.cutting.jointing import examine_joints
    from listel.plugins.cutting.listing import examine
    from listel.plugins.defects import DefectChecks
    from listel.plugins.setting_out import Joints, SettingOut, WholeRuns

    return [
        Stage("joints", examine_joints, needs=(WholeRuns,), wants=(DefectChecks,), gives=(Joints, JointPlans)),
        Stage("cutting", examine, needs=(DefectChecks,), wants=(SettingOut, Joints, JointPlans), gives=(CuttingList,)),
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
