"""The plugin ``panelling``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage, Step
from listel.plugins.panelling.results import Frame, FramePart, Panelling, Shutters, Stuff

__all__ = ["Frame", "FramePart", "Panelling", "Shutters", "Stuff"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``panelling``, which fills the stretches that were set out for it."""
    from listel.plugins.panelling.stage import examine
    from listel.plugins.setting_out import SettingOut
    from listel.plugins.timber import Movement

    return [Stage("panelling", examine, needs=(SettingOut, Movement), gives=(Panelling,))]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoner ``shutters``."""
    from listel.plugins.panelling.shutters import SHUTTERS

    return [SHUTTERS]


@hookimpl
def listel_steps() -> list[Step]:
    """What is made on the bench."""
    from listel.plugins.panelling.steps import steps

    return steps()


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The section on panelling, which the bench works from."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("panelling", "Panelling, for the bench", 355, template, ("all", "workshop"))]
