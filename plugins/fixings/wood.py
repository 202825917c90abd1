"""The timber of a trim, and the timber that bears its fixings: density, gravity and habits."""

from __future__ import annotations

from dataclasses import replace

from listel.core.contract.findings import Input, Source
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.plugins.site import tables

CHARACTERISTIC_SHARE = 350 / 420
GRAVITY_DENSITY = 1120.0
USUAL_TRIM, USUAL_FRAME = "european-redwood", "C16"


@dataclass(frozen=True, kw_only=True)
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
    """The timber of that name, at the least of its published densities; KeyError if the table has none."""
    row = tables.timber(name)
    mean = float(row["density"])
    return Timber(
        name=name,
        mean=mean,
        characteristic=mean * CHARACTERISTIC_SHARE,
        gravity=float(row["gravity"]),
        hardwood=row["kind"] == "hardwood",
        acid=tables.is_sour(name),
        splits=bool(row.get("splits", False)),
        known=known,
        sources=row.sources,
    )


def of_density(mean: float, like: Timber, known: Input) -> Timber:
    """A timber of a measured mean density, kg/m3, in its other habits like ``like``.

    Characteristic density 350/420 of the mean (the ratio in class C24 of EN 338) and gravity the density over 1,120
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
    row = tables.framing(USUAL_FRAME)
    return Timber(
        name=USUAL_FRAME,
        mean=float(row["density"]),
        characteristic=float(row["characteristic"]),
        gravity=float(row["gravity"]),
        hardwood=row["kind"] == "hardwood",
        acid=False,
        splits=False,
        known=known,
        sources=row.sources,
    )
