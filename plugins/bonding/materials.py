"""What is to be bought for fixing, bonding, filling, sealing and painting."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Job
from listel.plugins.bonding.adhesives import adhesives
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import AMERICAN_CARTRIDGES, CARTRIDGES, cartridges
from listel.plugins.bonding.coats import coats, in_tins
from listel.plugins.bonding.counted import counted
from listel.plugins.bonding.mending import for_mends, new_timber, seen_again
from listel.plugins.bonding.packs import sold
from listel.plugins.bonding.results import Bond, Fill, Material
from listel.plugins.bonding.strain import fillers
from listel.plugins.bonding.walls import Face
from listel.plugins.defects import DefectChecks
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling


def in_cartridges(volume: float, *, american: bool = False) -> str:
    """A volume [ml] as cartridges of each size sold there, in words. Derived."""
    sizes = AMERICAN_CARTRIDGES if american else CARTRIDGES
    return ", or ".join(f"{cartridges(volume, size)} of {size} ml" for size in sizes)


def materials(
    job: Job,
    faces: tuple[Face, ...],
    bonds: Iterable[Bond],
    fills: Iterable[Fill],
    checks: DefectChecks,
    schedule: FixingSchedule | None,
    softwood: frozenset[str],
    existing: Existing,
    panelling: Panelling,
) -> tuple[Material, ...]:
    """Fixings, adhesive, sealant, filler, pellets, knotting and paint, each with its packs and grounds."""
    bonds, fills = list(bonds), list(fills)
    glue = {row.name: row["title"] for row in adhesives()}
    filler = {row.name: row["title"] for row in fillers()}
    american = job.building.region == "united-states"
    return (
        *counted(job, schedule, fills),
        *_by_volume(glue, [(b.adhesive, b.volume, b.grounds) for b in bonds], american),
        *_by_volume(filler, [(f.filler, f.volume, f.grounds) for f in fills], american),
        *for_mends(job, existing),
        *coats(
            job,
            (*faces, *new_timber(job, existing)),
            (*faces, *seen_again(job, existing)),
            checks,
            softwood,
            panelling,
        ),
    )


def _by_volume(
    titles: dict[str, str], lines: list[tuple[str, float | None, Grounds]], american: bool
) -> Iterator[Material]:
    for name, title in titles.items():
        volumes = [(volume, grounds) for used, volume, grounds in lines if used == name and volume is not None]
        total = sum(volume for volume, _ in volumes)
        if total <= 0:
            continue
        tinned = name in ("two-part", "cellulose", "linseed-putty", "glue-putty")
        packs = in_tins(total) if tinned else in_cartridges(total, american=american)
        made = Material(
            title,
            round(total, 1),
            "ml",
            packs,
            Grounds(
                inputs=(Input("lines that use it", float(len(volumes))), Input("waste", value("waste"), "%")),
                formula="sum, over the lines that use it, of width x depth x length or of beads, / (1 - waste)",
                worked=" + ".join(f"{volume:.0f} ml" for volume, _ in volumes),
                result=f"{total:.0f} ml: {packs}",
                sources=allowance("waste").sources,
            ),
        )
        yield sold("filler" if tinned else "sealant", made, american=american)
