"""The plugin ``setting_out``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.heights import RailHeights
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out.results import (
    Blocked,
    BowCheck,
    Closure,
    CornerCut,
    Mark,
    Piece,
    PieceEnd,
    RakedProfile,
    Run,
    SettingOut,
    Suspect,
)

__all__ = [
    "Blocked",
    "BowCheck",
    "Closure",
    "CornerCut",
    "Mark",
    "Piece",
    "PieceEnd",
    "RakedProfile",
    "Run",
    "SettingOut",
    "Suspect",
]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``setting_out``: it works without heights, but takes them where they are given."""
    from listel.plugins.setting_out.stage import examine

    return [Stage(name="setting_out", examine=examine, wants=(RailHeights, Proportions), gives=(SettingOut,))]
