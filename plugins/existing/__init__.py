"""The plugin ``existing``: trim that is there comes first; its hooks, its result types, and the tables of its words."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from listel.core.contract.hooks import hookimpl
from listel.core.contract.reckoning import Reckoner
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Section, Stage, Step
from listel.core.contract.tables import Row, Table, load_table
from listel.core.survey.job import Job, OldTrim
from listel.plugins.existing.likeness import Made, as_high_as_both, departs, made_of, upper_part
from listel.plugins.existing.results import NEW, Existing, Mend, OldHole, OldPiece, Touched

__all__ = [
    "NEW",
    "Existing",
    "Made",
    "Mend",
    "OldHole",
    "OldPiece",
    "Touched",
    "as_high_as_both",
    "at_work",
    "departs",
    "lies_behind",
    "made_of",
    "stripped_by",
    "touched",
    "upper_part",
]

WORDS = ("states", "intents", "damage", "finds", "strippers")
"""The tables whose rows are words of the survey."""


def at_work(job: Job) -> bool:
    """Whether anything is worked at: trim is listed, or old trim is to be more than kept."""
    return bool(job.trim) or bool(job.old_at_work)


def stripped_by(job: Job) -> Row | None:
    """The way by which old paint is stripped, with its columns ("says", "heat"); None where none is, or not told."""
    from listel.plugins.existing.stripping import stripped_by as way

    return way(job)


def lies_behind(old: OldTrim, station: float, height: float | None) -> bool:
    """Whether an old piece lies at a point of its wall, mm along it and above its floor."""
    from listel.plugins.existing.touching import lies_behind as at

    return at(old, station, height)


def touched(job: Job, existing: Existing) -> Iterator[Touched]:
    """Old trim that is worked at and stays, and the splices let into it."""
    from listel.plugins.existing.touching import touched as of

    return of(job, existing)


@hookimpl
def listel_stages() -> list[Stage]:
    """The stage ``existing`` judges what is there before anything new is set out."""
    from listel.plugins.existing.stage import examine
    from listel.plugins.site import Site

    return [Stage(name="existing", examine=examine, needs=(Site,), gives=(Existing,))]


@hookimpl
def listel_rules() -> list[Rule]:
    """Everything the stages can tell."""
    return list(load_rules(__package__))


@hookimpl
def listel_tables() -> list[Table]:
    """The tables whose rows are words of the survey."""
    return [load_table(__package__, name) for name in WORDS]


@hookimpl
def listel_reckoners() -> list[Reckoner]:
    """The reckoner ``splice``."""
    from listel.plugins.existing.reckoners import reckoners

    return reckoners()


@hookimpl
def listel_steps() -> list[Step]:
    """Record, label, store, mend, try and refix."""
    from listel.plugins.existing.steps import steps

    return steps()


@hookimpl
def listel_sections() -> list[Section]:
    """What stands already."""
    return [Section("existing", "What stands already", 150, Path(__file__).with_name("section.html.j2"))]
