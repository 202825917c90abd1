"""The plugin ``proportions``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.proportions.results import (
    MemberProportion,
    OrderShares,
    Proportions,
    Suggestion,
)

__all__ = ["MemberProportion", "OrderShares", "Proportions", "Suggestion"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``proportions``."""
    return []
