"""The plugin ``bonding``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.bonding.results import (
    Bond,
    Bonding,
    Fill,
    Material,
)

__all__ = ["Bond", "Bonding", "Fill", "Material"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``bonding``."""
    return []
