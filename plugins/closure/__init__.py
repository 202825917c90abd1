"""The plugin ``closure``: its hooks and its result types; the rules are imported when they are asked for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from listel.core.contract.hooks import hookimpl
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage
from listel.plugins.closure.results import Closure, Closures, Suspect
from listel.plugins.site import Site

if TYPE_CHECKING:
    from listel.core.contract.findings import Input
    from listel.core.contract.reckoning import Reckoner
    from listel.core.survey.job import Job

__all__ = [
    "Closure",
    "Closures",
    "Suspect",
    "assumed",
    "closures_of",
    "doubted_corners",
    "through_room",
    "tolerance",
]


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``closure``: it takes the plans of the site."""
    from listel.plugins.closure.stage import examine

    return [Stage(name="closure", examine=examine, needs=(Site,), gives=(Closures,))]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoner ``closure``."""
    from listel.plugins.closure.reckoner import reckoner

    return [reckoner()]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stage can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_sections() -> list[Section]:
    """The section on whether the survey closes."""
    return [Section("closure", "Whether the survey closes", 290, Path(__file__).with_name("section.html.j2"))]


def assumed(name: str) -> tuple[float, Input]:
    """One-sigma uncertainty assumed of ``tape`` [mm], ``bevel`` [deg] or ``level`` [mm], and how it is shown."""
    from listel.plugins.closure.settings import assumed as of

    return of(name)


def closures_of(job: Job) -> Closures:
    """Whether each room of a job closes, reckoned from the job alone."""
    from listel.core.contract.stage import Sheet
    from listel.plugins.closure.stage import examine
    from listel.plugins.site import site_of

    *_, found = examine(job, Sheet({Site: site_of(job)}))
    assert isinstance(found, Closures)
    return found


def through_room(angle: float, kind: str) -> float:
    """The plan angle through the room [deg], from what a bevel reads at an ``internal`` or ``external`` corner [deg].
    Raises ValueError if a corner cannot have that angle."""
    from listel.plugins.closure.judging import through_room as through

    return through(angle, kind)


def doubted_corners(found: Closures) -> set[tuple[str, str]]:
    """Corners (room, wall left of it) whose angle is among the likeliest readings to be wrong."""
    from listel.plugins.closure.stage import doubted_corners as doubted

    return doubted(found)


def tolerance(job: Job, name: str) -> tuple[float, Input]:
    """One-sigma uncertainty of ``tape`` [mm], ``bevel`` [deg] or ``level`` [mm], surveyed or assumed, and how it is
    shown."""
    from listel.plugins.closure.settings import tolerance as of

    return of(job, name)
