"""Papers: each is made from the outcome for one pair of hands. A module of this room builds the typed view of what
stands on each sheet, in order; the templates of the same name lay it out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from listel import __version__
from listel.core.host.outcome import Outcome
from listel.core.house.filters import date
from listel.core.quick import dataclass
from listel.core.survey.own import Schema


@dataclass(frozen=True, kw_only=True)
class Leaf:
    """One sheet of a paper: its name, the title at its head, the template that lays it out, and what stands on it."""

    name: str
    title: str
    template: str
    view: Any
    follows: bool = False
    """Whether it goes on, under its title, on the sheet before it."""


@dataclass(frozen=True, kw_only=True)
class About:
    """What every paper may say of itself: its date, its revision, and the earlier outcome it is held against."""

    dated: str
    revision: str
    since: Mapping[str, Any] | None = None
    schema: Schema | None = None
    """The survey's, with the facts that firms ask for; None: those of no firm."""


def foot(outcome: Outcome, dated: str) -> str:
    """What stands at the foot of each page: the date, the version and the outcome."""
    return f"{date(dated) if dated else 'not dated'}; listel {__version__}; outcome {outcome.digest[:12]}"
