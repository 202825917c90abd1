"""The plugin ``estimate``: what the work costs by a firm's own rates; its hooks, its result types and its rates."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Said, Section, Stage
from listel.core.survey.job import Job
from listel.plugins.bonding import Bonding
from listel.plugins.cutting import CuttingList
from listel.plugins.estimate.files import as_file
from listel.plugins.estimate.over_all import Sum, laid_on, saved_together, summed, sums
from listel.plugins.estimate.rates import Rates, add_rates_argument, given_rates, read_rates
from listel.plugins.estimate.results import (
    Actual,
    ClientLine,
    Estimate,
    Item,
    NotIncluded,
    PaymentStage,
    Qualification,
    ShoppingLine,
)
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling
from listel.plugins.safety import SafetyNotes
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site

__all__ = [
    "Actual",
    "ClientLine",
    "Estimate",
    "Item",
    "NotIncluded",
    "PaymentStage",
    "Qualification",
    "Rates",
    "ShoppingLine",
    "Sum",
    "add_rates_argument",
    "as_file",
    "given_rates",
    "laid_on",
    "rates_to_fill_in",
    "read_rates",
    "saved_together",
    "summed",
    "sums",
]


def rates_to_fill_in(job: Job, found: Estimate) -> str:
    """A rates file for a firm to fill in: every figure that this estimate asks for, and none of ours."""
    from listel.plugins.estimate.starter import starter

    return starter(job, found)


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``estimate``: the last of ours, for it counts what all the others gave."""
    from listel.plugins.estimate.stage import examine

    wants = (
        Rates,
        Said,
        Site,
        Existing,
        SettingOut,
        Panelling,
        FixingSchedule,
        Bonding,
        CuttingList,
        SafetyNotes,
        Sequence,
    )
    return [Stage("estimate", examine, wants=wants, gives=(Estimate,))]


@hookimpl
def listel_rules() -> list[Rule]:
    """What can be told of an estimate."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The price, where the firm's rates were given."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("estimate", "The price", 750, template)]
