"""The plugin ``progress``: what is done so far, measured again, changed on site; its hooks and its result types."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage, Step
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling
from listel.plugins.progress.results import Changed, FixedOtherwise, MeasuredAgain, PieceDone, Progress
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site

__all__ = ["Changed", "FixedOtherwise", "MeasuredAgain", "PieceDone", "Progress"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``progress``: it holds what is told as done against what was set out."""
    from listel.plugins.progress.stage import examine

    return [Stage("progress", examine, needs=(Site,), wants=(SettingOut, Panelling, FixingSchedule), gives=(Progress,))]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_steps() -> list[Step]:
    """Consent asked again, where a change touches what it covered."""
    from listel.plugins.progress.stage import consent_again

    return [consent_again()]


@hookimpl
def listel_sections() -> list[Section]:
    """What is done, measured again and changed."""
    return [Section("progress", "Done so far, and changed on site", 880, Path(__file__).with_name("section.html.j2"))]
