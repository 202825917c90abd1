"""The plugin ``cutting``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.cutting.results import (
    Cut,
    CutBoard,
    CuttingList,
    Purchase,
    TrimCutting,
)

__all__ = ["Cut", "CutBoard", "CuttingList", "Purchase", "TrimCutting"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``cutting``."""
    return []
