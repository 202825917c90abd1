"""What the repair of old trim takes: faces that are painted, and glue, pins and filler for what is let into it."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Job
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import with_waste
from listel.plugins.bonding.packs import sold
from listel.plugins.bonding.results import Material
from listel.plugins.bonding.walls import Face
from listel.plugins.existing import Existing, touched


def new_timber(job: Job, existing: Existing) -> tuple[Face, ...]:
    """The splices, as faces that are primed all round."""
    return tuple(Face(each.room, each.wall, each.trim, each.length) for each in touched(job, existing) if each.splice)


def seen_again(job: Job, existing: Existing) -> tuple[Face, ...]:
    """What is coated where it is seen: old painted pieces that are worked at, whole; of others their splices."""
    return tuple(
        Face(each.room, each.wall, each.trim, each.length)
        for each in touched(job, existing)
        if each.splice != each.painted
    )


def for_mends(job: Job, existing: Existing) -> Iterator[Material]:
    """Glue by its kind, pins and filler of the repairs."""
    american = job.building.region == "united-states"
    for glue in dict.fromkeys(mend.glue_kind for mend in existing.mends if mend.glued):
        areas = [mend.glued / 1e6 for mend in existing.mends if mend.glue_kind == glue]
        yield _glue(glue, areas, american)
    pins = sum(mend.pin_count for mend in existing.mends)
    if pins:
        yield _pins(pins, american)
    filled = [mend for mend in existing.mends if mend.kind == "filling"]
    if filled:
        volumes = [(mend.end - mend.start) * (mend.height or 0.0) * (mend.depth or 0.0) / 1000 for mend in filled]
        volume = with_waste(sum(volumes), value("waste"))
        grounds = Grounds(
            (Input("losses filled", float(len(filled))), Input("waste", value("waste"), "%", assumed=True)),
            "length x height x depth of each / (1 - waste)",
            " + ".join(f"{each:.1f}" for each in volumes),
            f"{volume:.0f} ml",
            allowance("waste").sources,
        )
        what = "filler softer than the wood, for small losses of old trim"
        yield sold(
            "filler", Material(what, round(volume, 1), "ml", "the smallest tin sold", grounds), american=american
        )


def _glue(glue: str, areas: list[float], american: bool) -> Material:
    area, spread = sum(areas), value("glue-spread")
    volume = with_waste(area * spread, value("waste"))
    grounds = Grounds(
        (
            Input("joints glued", float(len(areas))),
            Input("spread", spread, "ml/m2", assumed=True, note="own allowance"),
            Input("waste", value("waste"), "%", assumed=True, note="own allowance"),
        ),
        "glued area of the repairs x spread / (1 - waste)",
        f"{area:.4f} m2 x {spread:g}",
        f"{volume:.0f} ml",
        allowance("glue-spread").sources,
    )
    made = Material(f"{glue.removeprefix('a ')}, for repairs", round(volume, 1), "ml", "the smallest sold", grounds)
    return sold("filler", made, american=american)


def _pins(count: int, american: bool) -> Material:
    spare = value("spare")
    bought = ceil(count * (1 + spare / 100) - 1e-9)
    grounds = Grounds(
        (Input("pins through scarfs", float(count)), Input("spare", spare, "%", assumed=True, note="own allowance")),
        "two through each scarf, and the spare, rounded up",
        f"{count} x {1 + spare / 100:g}",
        f"{bought}",
        allowance("spare").sources,
    )
    words = f"{count} through scarfs of repairs, {bought - count} to spare"
    return sold(
        "pins",
        Material("pins or slender screws, stainless, for repairs", float(bought), "each", words, grounds),
        american=american,
    )
