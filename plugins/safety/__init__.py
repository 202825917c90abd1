"""The plugin ``safety``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.safety.results import (
    Consent,
    Crossing,
    Hazard,
    SafetyNotes,
    Sign,
    Zone,
)

__all__ = ["Consent", "Crossing", "Hazard", "SafetyNotes", "Sign", "Zone"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``safety``."""
    return []
