"""The plugin ``sequence``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Said, Section, Stage, Step, Steps, Words
from listel.plugins.bonding import Bonding
from listel.plugins.cutting import CuttingList
from listel.plugins.defects import DefectChecks
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.heights import RailHeights
from listel.plugins.panelling import Panelling
from listel.plugins.proportions import Proportions
from listel.plugins.safety import SafetyNotes
from listel.plugins.sequence.results import (
    Audit,
    Differs,
    Harmful,
    JobStep,
    Missed,
    OutOfOrder,
    Recognised,
    Sequence,
    TooSoon,
    Unread,
)
from listel.plugins.setting_out import SettingOut
from listel.plugins.timber import Movement

if TYPE_CHECKING:
    from listel.core.host.outcome import Outcome

__all__ = [
    "Audit",
    "Differs",
    "Harmful",
    "JobStep",
    "Missed",
    "OutOfOrder",
    "Recognised",
    "Sequence",
    "TooSoon",
    "Unread",
    "audit_in_words",
]


def audit_in_words(outcome: Outcome, plan: str) -> list[tuple[str, list[str]]]:
    """A plan, one step a line, held against what the job needs: headings, each with its lines.

    Raises PlanFault where it cannot be read as a plan.
    """
    from listel.plugins.sequence.command import audit_of, in_words
    from listel.plugins.sequence.plan_file import plan_from_text

    source = "the plan"
    return in_words(audit_of(outcome, plan_from_text(plan, source), source))


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``sequence``, which runs once every other result is on the sheet."""
    from listel.plugins.sequence.rules import examine

    wants = (
        Said, RailHeights, Proportions, SettingOut, Movement, FixingSchedule, Bonding, DefectChecks, CuttingList,
        SafetyNotes, Existing, Panelling,
    )  # fmt: skip
    return [Stage("sequence", examine, needs=(Steps,), wants=wants, gives=(Sequence,))]


@hookimpl
def listel_steps() -> list[Step]:
    """The steps of fitting trim."""
    from listel.plugins.sequence.rules import own_steps

    return own_steps()


@hookimpl
def listel_words() -> list[Words]:
    """The ways of working that the audit knows; others may add phrases to each."""
    from listel.core.contract.tables import load_table

    return [Words(row["step"], ()) for row in load_table(__package__, "method_words") if row["step"]]


@hookimpl
def listel_rules() -> list[Rule]:
    """What can be told of the order of work."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The programme, and the audit of the survey's own plan."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("sequence", "Order of work", 700, template)]
