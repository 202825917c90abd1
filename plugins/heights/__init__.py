"""The plugin ``heights``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.heights.results import (
    HeightCandidate,
    RailHeight,
    RailHeights,
    StairHeight,
    StationHeight,
    Clash,
)

__all__ = ["HeightCandidate", "RailHeight", "RailHeights", "StairHeight", "StationHeight", "Clash"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``heights``."""
    return []
