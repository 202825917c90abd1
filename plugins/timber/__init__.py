"""The plugin ``timber``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.timber.results import (
    Bend,
    Bends,
    Movement,
    TrimMovement,
)

__all__ = ["Bend", "Bends", "Movement", "TrimMovement"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``timber``."""
    return []
