"""What is to be bought for bonding, filling and sealing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import pi

from listel.core.findings import Grounds, Input
from listel.core.job import Job, Trim
from listel.core.units import show_length
from listel.plugins.bonding.adhesives import adhesives
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import AMERICAN_CARTRIDGES, CARTRIDGES, cartridges, with_waste
from listel.plugins.bonding.fills import clear_finish
from listel.plugins.bonding.knots import knot_size, knots_of
from listel.plugins.bonding.results import Bond, Fill, Material
from listel.plugins.bonding.strain import fillers
from listel.plugins.bonding.walls import Face
from listel.plugins.defects import DefectChecks


def in_cartridges(volume: float, *, american: bool = False) -> str:
    """A volume [ml] as cartridges of each size sold there, in words. Derived."""
    sizes = AMERICAN_CARTRIDGES if american else CARTRIDGES
    return ", or ".join(f"{cartridges(volume, size)} of {size} ml" for size in sizes)


def in_tins(volume: float) -> str:
    """A volume [ml] as tins, in words. Derived."""
    return "the smallest tin sold" if volume < 125 else f"{volume / 1000:.2f} litre"


def materials(
    job: Job,
    faces: tuple[Face, ...],
    bonds: Iterable[Bond],
    fills: Iterable[Fill],
    checks: DefectChecks | None = None,
) -> tuple[Material, ...]:
    """Adhesive, sealant, filler, pellets, knotting and primer, each with its packs and grounds."""
    bonds, fills = list(bonds), list(fills)
    glue = {row.name: row["title"] for row in adhesives()}
    filler = {row.name: row["title"] for row in fillers()}
    american = job.building.region == "united-states"
    return (
        *_by_volume(glue, [(b.adhesive, b.volume, b.grounds) for b in bonds], american),
        *_by_volume(filler, [(f.filler, f.volume, f.grounds) for f in fills], american),
        *_pellets(job, fills),
        *_knotting(job, checks),
        *_primer(job, faces),
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
        yield Material(
            title,
            round(total, 1),
            "ml",
            packs,
            Grounds(
                inputs=(Input("lines that use it", float(len(volumes))), Input("waste", value("waste"), "%")),
                formula="sum of width x depth x length, or of beads, over the lines that use it; waste on top",
                worked=" + ".join(f"{volume:.0f}" for volume, _ in volumes),
                result=f"{total:.0f} ml: {packs}",
                sources=allowance("waste").sources,
            ),
        )


def _pellets(job: Job, fills: list[Fill]) -> Iterator[Material]:
    knots = [fill for fill in fills if fill.filler == "timber-pellet" and fill.joint.startswith("knot")]
    if knots:
        sizes = ", ".join(show_length(fill.width, job.units) for fill in knots if fill.width is not None)
        yield Material(
            "timber pellets and patches for knots",
            float(len(knots)),
            "each",
            f"knots {sizes}; cut them from the same timber",
            Grounds(
                formula="one for each loose knot that is kept",
                result=f"{len(knots)}",
                sources=allowance("knot-pellet").sources,
            ),
        )


def _knotting(job: Job, checks: DefectChecks | None) -> Iterator[Material]:
    round_it = value("knot-seal-round")
    sizes = [
        float(knot_size(job, knot).value)
        for trim in job.trim
        if not clear_finish(trim)
        for _, knot in knots_of(job, trim, checks)
        if knot.sound is not False
    ]
    if not sizes:
        return
    area = sum(pi * (size + 2 * round_it) ** 2 / 4 for size in sizes) / 1e6
    volume = with_waste(2 * area / value("knotting-cover") * 1000, value("waste"))
    yield Material(
        "shellac knotting",
        round(volume, 1),
        "ml",
        in_tins(volume),
        Grounds(
            inputs=(
                Input("knots sealed", float(len(sizes))),
                Input("past the knot", round_it, "mm", 0, True, "own allowance"),
            ),
            formula="two coats x area of every firm knot and the band round it / cover, waste on top",
            worked=f"2 x {area:.4f} m2 / {value('knotting-cover'):g} m2 per litre",
            result=f"{volume:.0f} ml",
            sources=allowance("knotting-cover").sources,
        ),
    )


def _section(trim: Trim) -> float | None:
    thickness = trim.section.thickness if trim.section.thickness is not None else trim.section.projection
    return None if trim.section.height is None or thickness is None else 2 * (trim.section.height + thickness)


def _primer(job: Job, faces: tuple[Face, ...]) -> Iterator[Material]:
    areas = [
        (face.length * girth / 1e6)
        for face in faces
        for girth in (_section(face.trim),)
        if face.trim.finish == "paint" and face.trim.state != "reused" and face.length is not None and girth is not None
    ]
    if not areas:
        return
    area = sum(areas)
    litres = with_waste(area / value("primer-cover"), value("waste"))
    yield Material(
        "primer, one coat all round before fixing",
        round(litres, 2),
        "litre",
        f"{litres:.1f} litre for {area:.1f} m2 of face, edges and back",
        Grounds(
            inputs=(
                Input("runs", float(len(areas))),
                Input("cover", value("primer-cover"), "m2/l", 0, True, "own allowance"),
            ),
            formula="length x girth of the section / cover, waste on top",
            worked=f"{area:.2f} m2 / {value('primer-cover'):g}",
            result=f"{litres:.2f} litre",
            sources=allowance("primer-cover").sources,
        ),
    )
