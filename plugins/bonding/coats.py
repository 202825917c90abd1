"""Knotting, primer, undercoat and finish coats: how much is bought for the area there is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from math import inf, pi

from listel.core.contract.findings import Grounds, Input
from listel.core.survey.job import Job, Trim
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import with_waste
from listel.plugins.bonding.knots import knot_size, knots_of
from listel.plugins.bonding.packs import sold
from listel.plugins.bonding.results import Material
from listel.plugins.bonding.walls import Face
from listel.plugins.defects import DefectChecks
from listel.plugins.panelling import Panelling

FINISHES = {"paint": "finish coats of paint", "clear": "clear finish", "wax": "wax", "oil": "oil"}
"""What is bought for each finish."""


def in_tins(volume: float) -> str:
    """A volume [ml] as tins, in words. Derived."""
    return "the smallest tin sold" if volume < 125 else f"{volume / 1000:.2f} litre"


def coats(
    job: Job,
    bare: tuple[Face, ...],
    seen: tuple[Face, ...],
    checks: DefectChecks,
    softwood: frozenset[str],
    panelling: Panelling,
) -> Iterator[Material]:
    """Knotting and primer all round on ``bare`` new timber, undercoat and two finish coats on what is ``seen``;
    ``softwood`` names those trims. Of ``panelling`` all round its members and panels, then the faces of its frames;
    its shutters with their boxings both times."""
    american = job.building.region == "united-states"
    knotting = _knotting(job, _lengths(bare, panelling), checks, softwood)
    yield from (sold("knotting", made, american=american) for made in knotting)
    yield from (sold("paint", made, american=american) for made in _paint(job, bare, seen, panelling))


def _paint(job: Job, bare: tuple[Face, ...], seen: tuple[Face, ...], panelling: Panelling) -> Iterator[Material]:
    finishes = {trim.name: _finish(job, trim) for trim in job.trim}

    def areas(faces: Sequence[Face], made: Iterable[tuple[str, float]], finish: str, girth: Girth) -> list[float]:
        of_runs = [
            face.length * round_it / 1e6
            for face in faces
            if _finish(job, face.trim) == finish and (round_it := girth(face.trim)) is not None
        ]
        return [*of_runs, *(area for trim, area in made if finishes[trim] == finish)]

    new = areas(bare, panelling.primed(), "paint", _all_round)
    yield from _coat("primer, one coat all round before fixing", new, "primer-cover", "face, edges and back")
    for finish, title in FINISHES.items():
        mine = areas(seen, panelling.in_sight(), finish, _in_sight)
        if finish == "paint":
            yield from _coat("undercoat, one coat", mine, "undercoat-cover", "face and edges")
        yield from _coat(f"{title}, two coats", mine, "finish-cover", "face and edges", number=2)


def _finish(job: Job, trim: Trim) -> str | None:
    """The finish of a trim; one that was not surveyed is taken as painted, and none is where no paint is wanted."""
    finish = trim.finish or "paint"
    return None if finish == "paint" and job.choices.paint == "none" else finish


def _knotting(
    job: Job, lengths: Mapping[str, float], checks: DefectChecks, softwood: frozenset[str]
) -> Iterator[Material]:
    """Two coats over every firm knot and a band round it; knots are allowed for in softwood that nobody looked over.
    ``lengths``: the new timber of each trim that has any [mm]."""
    round_it, usual = value("knot-seal-round"), value("knot-usual")
    sizes = [
        knot_size(knot)
        for trim in job.trim
        if not trim.clear and trim.name in lengths
        for _, knot in knots_of(trim, checks)
    ]
    unseen = sum(_unseen(job, trim, lengths.get(trim.name, 0.0)) for trim in job.trim if trim.name in softwood)
    allowed = round(unseen / 1000 * value("knots-per-metre"))
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
                Input("knots allowed for where none were surveyed", float(allowed), "", 0, bool(allowed), note=note),
                Input("past the knot", round_it, "mm", 0, True, note="own allowance"),
            ),
            formula="two coats x area of every firm knot and the band round it / cover / (1 - waste)",
            worked=f"2 x {area:.4f} m2 / {value('knotting-cover'):g} m2 a litre",
            result=f"{volume:.0f} ml",
            sources=allowance("knotting-cover").sources,
        ),
    )


def _lengths(faces: Iterable[Face], panelling: Panelling) -> Mapping[str, float]:
    """The new timber of each trim end to end: its runs, the members and panels of its frames, its shutters [mm]."""
    found: dict[str, float] = {}
    for trim, length in chain(((face.trim.name, face.length) for face in faces), panelling.end_to_end()):
        found[trim] = found.get(trim, 0.0) + length
    return found


def _unseen(job: Job, trim: Trim, wanted: float) -> float:
    """How much of what is wanted of a new and painted trim is not of boards whose defects were noted [mm]; a board in
    stock that says no quantity stands for all."""
    if _finish(job, trim) != "paint":
        return 0.0
    noted = [(board, inf) for board in job.stock] + [(board, 1) for board in job.rack]
    seen = (
        board.length * (board.quantity or many) for board, many in noted if board.trim == trim.name and board.defects
    )
    return max(0.0, wanted - sum(seen))


Girth = Callable[[Trim], float | None]


def _in_sight(trim: Trim) -> float | None:
    """The way round a section without its back [mm]: face and two edges; None where it was not surveyed."""
    thickness, height = trim.section.thick, trim.section.height
    return None if height is None or thickness is None else height + 2 * thickness


def _all_round(trim: Trim) -> float | None:
    """The whole way round a section [mm]."""
    seen = _in_sight(trim)
    return None if seen is None or trim.section.height is None else seen + trim.section.height


def _coat(what: str, areas: list[float], cover: str, parts: str, *, number: int = 1) -> Iterator[Material]:
    if not areas:
        return
    area = sum(areas)
    litres = with_waste(number * area / value(cover), value("waste"))
    yield Material(
        what,
        round(litres, 2),
        "litre",
        f"{litres:.1f} litre for {area:.1f} m2 of {parts}",
        Grounds(
            inputs=(
                Input("runs", float(len(areas))),
                Input("cover", value(cover), "m2/l", 0, True, note="own allowance"),
                Input("waste", value("waste"), "%", 0, True, note="own allowance"),
            ),
            formula=f"length x girth of the section ({parts}), of panelling its frames, of shutters both faces of "
            "the leaves and the lining of their boxings, x coats / cover / (1 - waste)",
            worked=f"{number} x {area:.2f} m2 / {value(cover):g} m2 a litre",
            result=f"{litres:.2f} litre",
            sources=allowance(cover).sources,
        ),
    )
