"""The plugin ``sequence``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from listel.core.hooks import hookimpl
from listel.core.stage import Stage
from listel.plugins.sequence.results import (
    Audit,
    JobStep,
    Missed,
    OutOfOrder,
    Recognised,
    Sequence,
    TooSoon,
    Unread,
)

__all__ = ["Audit", "JobStep", "Missed", "OutOfOrder", "Recognised", "Sequence", "TooSoon", "Unread"]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``sequence``."""
    return []
