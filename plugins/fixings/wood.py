"""The timber of a trim, and the timber that bears its fixings: density, gravity and habits."""

from __future__ import annotations

from dataclasses import dataclass, replace

from listel.core.contract.findings import Input, Source
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job, Trim

CHARACTERISTIC_SHARE = 0.83
GRAVITY_DENSITY = 1120.0
USUAL_TRIM, USUAL_FRAME = "european-redwood", "C16"


@dataclass(frozen=True, slots=True)
class Timber:
    """A timber as fixings see it.

    ``mean`` and ``characteristic`` density in kg/m3, specific ``gravity``, and whether it is a ``hardwood``, ``acid``
    to metals, or ``splits`` easily. ``known``: the input to show in grounds.
    """

    name: str
    mean: float
    characteristic: float
    gravity: float
    hardwood: bool
    acid: bool
    splits: bool
    known: Input
    sources: tuple[Source, ...]


def from_table(name: str, known: Input) -> Timber:
    """The timber of that name in the table of densities; KeyError if it has no such row."""
    row = load_table(__package__, "densities").row(name)
    return Timber(
        name,
        float(row["mean"]),
        float(row["characteristic"]),
        float(row["gravity"]),
        bool(row.get("hardwood", False)),
        bool(row.get("acid", False)),
        bool(row.get("splits", False)),
        known,
        row.sources,
    )


def of_density(mean: float, like: Timber, known: Input) -> Timber:
    """A timber of a measured mean density, kg/m3, in its other habits like ``like``.

    Characteristic density 0.83 of the mean (the ratio in class C24 of EN 338) and gravity the density over 1,120
    (at 12 % moisture): derived.
    """
    share, gravity = mean * CHARACTERISTIC_SHARE, mean / GRAVITY_DENSITY
    return replace(like, mean=mean, characteristic=share, gravity=gravity, known=known)


def trim_timber(job: Job, trim: Trim) -> Timber:
    """The timber of a trim as surveyed; softwood joinery redwood is assumed, and shown so, where it is not."""
    if trim.timber:
        timber = from_table(trim.timber, Input("timber of the trim", trim.timber, line=job.line(trim, "timber")))
    else:
        timber = from_table(
            USUAL_TRIM,
            Input("timber of the trim", USUAL_TRIM, assumed=True, note="not surveyed; the usual joinery softwood"),
        )
    if trim.density is None:
        return timber
    known = Input("density of the trim", trim.density, "kg/m3", job.line(trim, "density"))
    return of_density(trim.density, timber, known)


def bearing_timber() -> Timber:
    """The framing that bears a fixing: class C16 is assumed, since nobody grades an old stud in the wall."""
    known = Input("timber that bears", USUAL_FRAME, assumed=True, note="ungraded softwood framing")
    return from_table(USUAL_FRAME, known)
