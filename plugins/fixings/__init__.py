"""The plugin ``fixings``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.fixings.results import (
    Fixing,
    FixingPoint,
    FixingSchedule,
)

__all__ = ["Fixing", "FixingPoint", "FixingSchedule"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``fixings``."""
    return []
