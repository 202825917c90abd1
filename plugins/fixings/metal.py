"""Which metal the fixings are of: acid timber first, then damp, then lime."""

from __future__ import annotations

from listel.core.contract.findings import Input
from listel.core.contract.tables import Row, load_table
from listel.plugins.fixings.bearing import Place
from listel.plugins.fixings.wood import Timber
from listel.plugins.site import tables

DAMP_READING = 20.0
"""Moisture, %, above which timber leaves service class 2 of Eurocode 5 (2.3.1.3)."""


def conditions(place: Place, timber: Timber) -> list[tuple[str, Input]]:
    """Each condition that rules out plain steel here, hardest first, with the survey's word for it."""
    job, wall = place.job, place.wall
    found = []
    if timber.acid:
        found.append(("acid", timber.known))
    if wall.moisture is not None and wall.moisture > DAMP_READING:
        found.append(("damp", Input("moisture of the wall", wall.moisture, "%", job.line(wall, "moisture"))))
    elif wall.substrate is not None and wall.substrate.condition == "damp":
        found.append(("damp", Input("condition of the wall", "damp", line=job.line(wall.substrate, "condition"))))
    elif wall.external:
        found.append(("damp", Input("wall", "external", line=job.line(wall, "external"))))
    row = tables.makeup(wall)
    if row is not None and row.get("lime") and wall.substrate is not None:
        found.append(("lime", Input("make-up of the wall", row.name, line=job.line(wall.substrate, "kind"))))
    return found


def metal(place: Place, timber: Timber) -> tuple[Row, tuple[Input, ...]]:
    """The row of the table of metals that the hardest condition asks for, and the inputs that say so."""
    found = conditions(place, timber)
    name = found[0][0] if found else "dry"
    return load_table(__package__, "metals").row(name), tuple(known for _, known in found)
