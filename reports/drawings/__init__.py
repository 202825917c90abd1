"""Drawings (SVG), to scale, from the outcome: each is asked for by name."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from listel.core.host.outcome import Outcome
    from listel.reports.drawings.paper import Drawing

NAMES = (
    "elevation",
    "plan",
    "profile",
    "cuts",
    "notches",
    "raked",
    "boards",
    "programme",
    "proportion",
    "full_size",
    "strip",
    "picture",
    "boxing",
)


def draw(name: str, outcome: Outcome, **keys: Any) -> Drawing:
    """The drawing of that name; ``keys`` say of what (room, wall, trim). KeyError if there is none of that name."""
    if name not in NAMES:
        raise KeyError(f"no drawing is named {name!r}; there are {', '.join(NAMES)}")
    function: Callable[..., Drawing] = getattr(import_module(f"listel.reports.drawings.{name}"), name)
    return function(outcome, **keys)
