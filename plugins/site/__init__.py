"""The plugin ``site``: its hooks, its result types and its tables; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Stage
from listel.core.contract.tables import Table, load_table
from listel.plugins.site.levels import Levels
from listel.plugins.site.plan import (
    Plan,
    Point,
    angle_error,
    compass_rule,
    corner_pairs,
    courses_of,
    headings,
    is_ring,
    spread_angles,
    walk,
)
from listel.plugins.site.results import (
    FlightSite,
    PitchLine,
    Protection,
    RoomSite,
    Site,
    WallSite,
    straight_nosings,
    traces_in,
)
from listel.plugins.site.survey import flight_of, pitch_of, protection_of, site_of
from listel.plugins.site.two_sides import MIRRORED, Side, could_be_one, joining, opening_name, openings_once
from listel.plugins.site.walls import DeepestHole, arrises, deepest_hole, flue_row, no_blows

__all__ = [
    "MIRRORED",
    "DeepestHole",
    "FlightSite",
    "Levels",
    "PitchLine",
    "Plan",
    "Point",
    "Protection",
    "RoomSite",
    "Side",
    "Site",
    "WallSite",
    "angle_error",
    "arrises",
    "compass_rule",
    "corner_pairs",
    "could_be_one",
    "courses_of",
    "deepest_hole",
    "flight_of",
    "flue_row",
    "headings",
    "is_ring",
    "joining",
    "no_blows",
    "opening_name",
    "openings_once",
    "pitch_of",
    "protection_of",
    "site_of",
    "spread_angles",
    "straight_nosings",
    "traces_in",
    "walk",
]

WORDS = ("makeups", "finishes", "timbers", "members", "periods", "elements", "protection", "competences", "us-states")
"""The tables whose rows are words of the survey."""


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``site``: it runs first and needs nothing."""
    from listel.plugins.site.stage import examine

    return [Stage(name="site", examine=examine, gives=(Site,))]


@hookimpl
def listel_rules() -> list[Rule]:
    """What can be told of the site itself."""
    return list(load_rules(__package__))


@hookimpl
def listel_tables() -> list[Table]:
    """The tables whose rows are words of the survey."""
    return [load_table(__package__, name) for name in WORDS]
