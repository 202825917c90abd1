"""The hooks a plugin may implement. This file is the whole contract.

A plugin is a module (or object) whose functions carry the mark ``@hookimpl``::

    from listel import Stage, hookimpl

    @hookimpl
    def listel_stages():
        from .rules import examine
        return [Stage(name="acme", examine=examine)]

Hooks only collect; the order in which stages run comes from what they need and give. A hook that
raises costs only its own plugin, and the failure stands in the statement as a hold.
"""

from __future__ import annotations

import pluggy

from listel.core.contract.firms import HeightRule, OptionsForm, SurveyFields
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Section, Stage, Step, Words
from listel.core.contract.tables import Table

PROJECT = "listel"
PREFIX = f"{PROJECT}_"
"""How the name of each hook begins."""
ENTRY_POINTS = "listel.plugins"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@hookspec
def listel_stages() -> list[Stage]:  # type: ignore[empty-body]
    """The stages this plugin runs over a job. Called once, before any survey is examined."""


@hookspec
def listel_reckoners() -> list[Reckoner]:  # type: ignore[empty-body]
    """The calculations this plugin offers to ``listel reckon``. Names must be unique among all plugins."""


@hookspec
def listel_steps() -> list[Step]:  # type: ignore[empty-body]
    """The steps of work this plugin adds to the sequence. Names must be unique among all plugins."""


@hookspec
def listel_survey_fields() -> list[SurveyFields]:  # type: ignore[empty-body]
    """Facts of its own that this plugin asks the survey for."""


@hookspec
def listel_options() -> list[OptionsForm]:  # type: ignore[empty-body]
    """What this plugin may be told in the settings or a house file; a stage reads ``sheet[Options].of(PLUGIN)``."""


@hookspec
def listel_heights() -> list[HeightRule]:  # type: ignore[empty-body]
    """Rules for the heights of rails, which come after the marks in a room and before the rules of the trade."""


@hookspec
def listel_words() -> list[Words]:  # type: ignore[empty-body]
    """Phrases by which a line of a plan means a step, beside those that listel knows."""


@hookspec
def listel_sections() -> list[Section]:  # type: ignore[empty-body]
    """The sections this plugin adds to the statement."""


@hookspec
def listel_rules() -> list[Rule]:  # type: ignore[empty-body]
    """Every rule that this plugin's stages can tell, as declared: ``list(load_rules(__package__))``."""


@hookspec
def listel_tables() -> list[Table]:  # type: ignore[empty-body]
    """Tables whose rows are words of the survey, as a make-up of wall: the survey's schema names them (``x-words``).

    A table of a name that is there already adds its rows to it.
    """
