"""The plugin ``heights``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.heights.results import (
    Clash,
    HeightCandidate,
    Mark,
    RailHeight,
    RailHeights,
    RoomOrders,
    StairHeight,
    StationHeight,
    WallOrder,
    WallOrders,
    covered_marks,
)

__all__ = [
    "Clash",
    "HeightCandidate",
    "Mark",
    "RailHeight",
    "RailHeights",
    "RoomOrders",
    "StairHeight",
    "StationHeight",
    "WallOrder",
    "WallOrders",
    "covered_marks",
]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``heights``, and ``heights-told``, which tells of the rails as they stand in the end."""
    from listel.plugins.heights.examining import examine, follow, tell
    from listel.plugins.site import Site

    gives = (RailHeights, WallOrders)
    return [
        Stage(name="heights", examine=examine, needs=(Site,), gives=gives, follow=follow),
        Stage(name="heights-told", examine=tell, needs=(Site, *gives)),
    ]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoners ``order`` and ``height``."""
    from listel.plugins.heights.reckoners import HEIGHT, ORDER

    return [ORDER, HEIGHT]


@hookimpl
def listel_sections() -> list[Section]:
    """The section on rail heights."""
    return [
        Section(
            name="heights",
            title="Heights of rails",
            place=200,
            template=Path(__file__).with_name("section.html.j2"),
        )
    ]
