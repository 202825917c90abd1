"""Knotting, primer, undercoat and finish coats: how much is bought for the area there is."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Job, Trim
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import with_waste
from listel.plugins.bonding.knots import knot_size, knots_of
from listel.plugins.bonding.packs import sold
from listel.plugins.bonding.results import Material
from listel.plugins.bonding.walls import Face
from listel.plugins.defects import DefectChecks

FINISHES = {"paint": "finish coats of paint", "clear": "clear finish", "wax": "wax", "oil": "oil"}
"""What is bought for each finish."""


def in_tins(volume: float) -> str:
    """A volume [ml] as tins, in words. Derived."""
    return "the smallest tin sold" if volume < 125 else f"{volume / 1000:.2f} litre"


def coats(
    job: Job, bare: tuple[Face, ...], seen: tuple[Face, ...], checks: DefectChecks, softwood: frozenset[str]
) -> Iterator[Material]:
    """Knotting and primer all round on ``bare`` new timber, undercoat and two finish coats on what is ``seen``;
    ``softwood`` names those trims."""
    american = job.building.region == "united-states"
    yield from (sold("knotting", made, american=american) for made in _knotting(job, bare, checks, softwood))
    yield from (sold("paint", made, american=american) for made in _paint(job, bare, seen))


def _paint(job: Job, bare: tuple[Face, ...], seen: tuple[Face, ...]) -> Iterator[Material]:
    new = [face for face in bare if _finish(job, face.trim) == "paint"]
    yield from _coat("primer, one coat all round before fixing", new, "primer-cover", all_round=True)
    for finish, title in FINISHES.items():
        mine = [face for face in seen if _finish(job, face.trim) == finish]
        if finish == "paint":
            yield from _coat("undercoat, one coat", mine, "undercoat-cover")
        yield from _coat(f"{title}, two coats", mine, "finish-cover", number=2)


def _finish(job: Job, trim: Trim) -> str | None:
    """The finish of a trim; one that was not surveyed is taken as painted, and none is where no paint is wanted."""
    finish = trim.finish or "paint"
    return None if finish == "paint" and job.choices.paint == "none" else finish


def _knotting(job: Job, faces: tuple[Face, ...], checks: DefectChecks, softwood: frozenset[str]) -> Iterator[Material]:
    """Two coats over every firm knot and a band round it; knots are allowed for in softwood whose own nobody noted."""
    round_it, usual = value("knot-seal-round"), value("knot-usual")
    sizes = [
        knot_size(knot)
        for trim in job.trim
        if not trim.clear and any(face.trim is trim for face in faces)
        for _, knot in knots_of(trim, checks)
    ]
    unknown = {trim.name for trim in job.trim if _knots_unknown(job, trim)} & softwood
    metres = sum(face.length for face in faces if face.trim.name in unknown) / 1000
    allowed = round(metres * value("knots-per-metre"))
    if not sizes and not allowed:
        return
    area = sum(pi * (size + 2 * round_it) ** 2 / 4 for size in [*sizes, *[usual] * allowed]) / 1e6
    volume = with_waste(2 * area / value("knotting-cover") * 1000, value("waste"))
    note = f"{value('knots-per-metre'):g} a metre of {usual:g} mm: own allowance"
    yield Material(
        "shellac knotting",
        round(volume, 1),
        "ml",
        in_tins(volume),
        Grounds(
            inputs=(
                Input("knots surveyed and sealed", float(len(sizes))),
                Input("knots allowed for where none were surveyed", float(allowed), "", 0, bool(allowed), note),
                Input("past the knot", round_it, "mm", 0, True, "own allowance"),
            ),
            formula="two coats x area of every firm knot and the band round it / cover, waste on top",
            worked=f"2 x {area:.4f} m2 / {value('knotting-cover'):g} m2 a litre",
            result=f"{volume:.0f} ml",
            sources=allowance("knotting-cover").sources,
        ),
    )


def _knots_unknown(job: Job, trim: Trim) -> bool:
    """Whether a trim is new and painted, and no defect of its boards was noted."""
    noted = any(board.defects for board in (*job.stock, *job.rack) if board.trim == trim.name)
    return _finish(job, trim) == "paint" and not noted


def _girth(trim: Trim, *, all_round: bool) -> float | None:
    """The section's way round [mm]: face, two edges and back, or what is seen, without the back."""
    thickness = trim.section.thick
    height = trim.section.height
    return None if height is None or thickness is None else (2 if all_round else 1) * height + 2 * thickness


def _coat(what: str, faces: list[Face], cover: str, *, number: int = 1, all_round: bool = False) -> Iterator[Material]:
    areas = [
        face.length * girth / 1e6
        for face in faces
        for girth in (_girth(face.trim, all_round=all_round),)
        if girth is not None
    ]
    if not areas:
        return
    area = sum(areas)
    litres = with_waste(number * area / value(cover), value("waste"))
    parts = "face, edges and back" if all_round else "face and edges"
    yield Material(
        what,
        round(litres, 2),
        "litre",
        f"{litres:.1f} litre for {area:.1f} m2 of {parts}",
        Grounds(
            inputs=(
                Input("runs", float(len(areas))),
                Input("cover", value(cover), "m2/l", 0, True, "own allowance"),
                Input("waste", value("waste"), "%", 0, True, "own allowance"),
            ),
            formula=f"length x girth of the section ({parts}) x coats / cover, waste on top",
            worked=f"{number} x {area:.2f} m2 / {value(cover):g} m2 a litre",
            result=f"{litres:.2f} litre",
            sources=allowance(cover).sources,
        ),
    )
