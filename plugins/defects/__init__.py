"""The plugin ``defects``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.defects.results import (
    BoardCheck,
    DefectChecks,
    DefectVerdict,
    Snag,
)

__all__ = ["BoardCheck", "DefectChecks", "DefectVerdict", "Snag"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``defects``."""
    return []
