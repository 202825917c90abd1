"""The plugin ``proportions``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.proportions.mouldings import (
    Segment,
    back_points,
    profile_faults,
    profile_path,
    profile_points,
)
from listel.plugins.proportions.results import (
    MemberProportion,
    OrderShares,
    PanelFrame,
    Proportions,
    Suggestion,
)

__all__ = [
    "MemberProportion",
    "OrderShares",
    "PanelFrame",
    "Proportions",
    "Segment",
    "Suggestion",
    "profile_faults",
    "back_points",
    "profile_path",
    "profile_points",
]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``proportions``."""
    from listel.plugins.heights import RailHeights, WallOrders
    from listel.plugins.proportions.examining import examine

    return [Stage(name="proportions", examine=examine, needs=(WallOrders,), wants=(RailHeights,), gives=(Proportions,))]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The section on the sizes and heights of the other members."""
    return [
        Section(
            name="proportions",
            title="Proportions of the room",
            place=250,
            template=Path(__file__).with_name("section.html.j2"),
        )
    ]
