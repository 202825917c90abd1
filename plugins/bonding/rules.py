"""The stage ``bonding``: adhesive of every trim on every wall, filler of every joint, and what to buy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Trim
from listel.plugins.bonding.adhesives import Curve, bond_of, framed_bond
from listel.plugins.bonding.fills import edge_fill, floor_fill, tight_fill
from listel.plugins.bonding.holes import hole_fills
from listel.plugins.bonding.judged import (
    adhesive_findings,
    filler_findings,
    missing_findings,
    narrow_findings,
    old_findings,
)
from listel.plugins.bonding.knots import knot_fills
from listel.plugins.bonding.materials import materials
from listel.plugins.bonding.packs import consumables
from listel.plugins.bonding.results import Bonding, Fill, Material
from listel.plugins.bonding.walls import Face, faces
from listel.plugins.defects import DefectChecks
from listel.plugins.existing import Existing
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Panelling
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables
from listel.plugins.timber import Movement, TrimMovement


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Yield what there is to say of adhesives and fillers, and a Bonding."""
    setting_out, checks = sheet[SettingOut], sheet[DefectChecks]
    schedule, existing = sheet.get(FixingSchedule), sheet.get(Existing) or Existing()
    there = faces(job, setting_out.runs)
    curves = {(bow.room, bow.wall, bow.trim): Curve(bow) for bow in setting_out.bows}
    bonds = tuple(bond_of(job, face, curves.get(_key(face), Curve())) for face in there)
    lines = {line.trim: line for line in sheet[Movement].lines}
    fills: list[Fill] = []
    for trim in job.trim:
        mine = [face for face in there if face.trim.name == trim.name]
        if not mine:
            if schedule and trim.name in lines and any(line.trim == trim.name for line in schedule.lines):
                fills += hole_fills(job, trim, lines[trim.name], mine, schedule)
            continue
        fills += _edges(job, mine, lines[trim.name], curves, schedule)
        fills += _joints(job, trim, mine, lines[trim.name], setting_out, checks, schedule)
    yield from missing_findings(job, there, bonds)
    yield from adhesive_findings(job, bonds)
    yield from filler_findings(job, tuple(fills))
    yield from old_findings(job, tuple(fills), schedule)
    yield from narrow_findings(tuple(fills))
    softwood = frozenset(name for name, line in lines.items() if line.kind == "softwood")
    panelling = sheet.get(Panelling) or Panelling()
    bought = materials(job, there, bonds, fills, checks, schedule, softwood, existing, panelling)
    framed = tuple(framed_bond(job, face) for face in faces(job, (*setting_out.panelled, *setting_out.shuttered)))
    yield Bonding(
        bonds + framed,
        tuple(fills),
        bought,
        tuple(consumables(_works(fills, schedule, bought, existing))) if bought else (),
    )


def _works(
    fills: list[Fill], schedule: FixingSchedule | None, bought: tuple[Material, ...], existing: Existing
) -> Iterator[str]:
    """The kinds of work that use things up, as the table of packs names them."""
    if any(fill.glue for fill in fills) or any(mend.glued for mend in existing.mends):
        yield "glue"
    if schedule and any(line.plug for line in schedule.lines):
        yield "plugs"
    if any(material.unit == "litre" for material in bought):
        yield "paint"


def _key(face: Face) -> tuple[str, str, str]:
    return face.room.name, face.wall.name, face.trim.name


def _edges(
    job: Job,
    mine: list[Face],
    line: TrimMovement,
    curves: dict[tuple[str, str, str], Curve],
    schedule: FixingSchedule | None,
) -> list[Fill]:
    """The edges of one trim, walls that are alike in one line; those of a lining lie under its architraves."""
    merged: dict[Fill, tuple[list[str], float | None]] = {}
    for face in mine:
        if tables.goes_through_openings(face.trim.member):
            continue
        fill = edge_fill(job, face, line, curves.get(_key(face), Curve()), schedule)
        if fill is None:
            continue
        alike = replace(fill, wall="", volume=None)
        walls, volume = merged.get(alike, ([], None))
        both = [part for part in (volume, fill.volume) if part is not None]
        merged[alike] = ([*walls, face.wall.name], sum(both) if both else None)
    return [replace(fill, wall=", ".join(walls), volume=volume) for fill, (walls, volume) in merged.items()]


def _joints(
    job: Job,
    trim: Trim,
    mine: list[Face],
    line: TrimMovement,
    setting_out: SettingOut,
    checks: DefectChecks,
    schedule: FixingSchedule | None,
) -> Iterator[Fill]:
    floor = floor_fill(job, trim, line, schedule)
    if floor is not None:
        yield floor
    opens = {opening.joint: opening for opening in line.openings}
    for name in _corner_joints(trim, setting_out):
        if name in opens:
            yield tight_fill(job, trim, opens[name])
    yield from hole_fills(job, trim, line, mine, schedule)
    yield from knot_fills(job, trim, checks)


def _corner_joints(trim: Trim, setting_out: SettingOut) -> tuple[str, ...]:
    """mitre, cope or scarf, as set out."""
    corners = {corner.joint for corner in setting_out.corners if corner.trim == trim.name}
    pieces = [piece for piece in setting_out.pieces if piece.trim == trim.name]
    ends = {end.kind for piece in pieces for end in (piece.left, piece.right)}
    found = {"mitre"} if "mitre" in corners or any(kind.endswith("mitre") for kind in ends) else set()
    found |= {"cope"} if "cope" in corners | ends else set()
    found |= {"scarf"} if "scarf" in ends else set()
    return tuple(name for name in ("mitre", "cope", "scarf") if name in found)
