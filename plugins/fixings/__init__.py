"""The plugin ``fixings``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.fixings.results import Fixing, FixingPoint, FixingSchedule, kind_of, loose_end, respaced

__all__ = ["Fixing", "FixingPoint", "FixingSchedule", "kind_of", "loose_end", "respaced"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stages ``fixings``, which gives the schedule, and ``fixings-judged``, which judges it as it then stands."""
    from listel.plugins.existing import Existing
    from listel.plugins.fixings.schedule import examine, follow, judge
    from listel.plugins.setting_out import SettingOut
    from listel.plugins.site import Site
    from listel.plugins.timber import Movement

    wants = (SettingOut, Movement, Existing)
    return [
        Stage("fixings", examine, needs=(Site,), wants=wants, gives=(FixingSchedule,), follow=follow),
        Stage("fixings-judged", judge, needs=(FixingSchedule, Site), wants=wants),
    ]


@hookimpl
def listel_rules() -> list[Rule]:
    """What can be told of fixings."""
    return list(load_rules(__package__))


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoners ``nail`` and ``lead-hole``."""
    from listel.plugins.fixings.reckon import reckoners

    return reckoners()


@hookimpl
def listel_sections() -> list[Section]:
    """The section of the fixing schedule."""
    template = Path(__file__).with_name("section.html.j2")
    return [Section("fixings", "Fixing schedule", 400, template)]
