"""The old paint a job disturbs in the United States, wall by wall, against what the federal lead rule leaves out."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Source, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room
from listel.plugins.existing import OldPiece, at_work
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety.fabric import age, old_painted, rough_ways
from listel.plugins.safety.relations import RRP_MINOR, SQUARE_FOOT, minor_work, removed_area
from listel.plugins.site import tables

RULES = load_rules(__package__)

RRP = Source("40 CFR 745.83, Renovation, Repair and Painting Rule", "EPA", standing="published-seen")


@dataclass(frozen=True, kw_only=True)
class WallPaint:
    """The old paint of one wall that is disturbed: the faces of ``parts`` (length, height, mm) taken down or cut into,
    and ``holes`` (number, diameter mm) drilled through the paint of the wall.
    """

    wall: str
    parts: tuple[tuple[float, float], ...] = ()
    holes: tuple[tuple[int, float], ...] = ()

    @property
    def area(self) -> float:
        """Its area, sq ft."""
        drilled = sum(count * pi * diameter**2 / 4 for count, diameter in self.holes)
        return removed_area(self.parts) + drilled / 1e6 / SQUARE_FOOT

    @property
    def worked(self) -> str:
        faces = [f"{length:.0f} mm x {height:.0f} mm" for length, height in self.parts]
        holes = [f"{count} holes of {diameter:g} mm" for count, diameter in self.holes]
        return f"wall {self.wall}: {' + '.join([*faces, *holes])} = {self.area:.2f} sq ft"


def renovation_rule(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """The United States' rule room by room: over 6 sq ft of painted surface disturbed.

    A part taken down counts its whole painted face. Source: 40 CFR 745.83 and 745.85(a)(3), EPA (published, seen).
    """
    building = job.building
    if building.region != "united-states" or building.use not in (None, "dwelling", "flat", "school"):
        return
    if age(job, "lead") == "unlikely" or not at_work(job):
        return
    old, rough, stripped = old_painted(sheet), rough_ways(job), bool(job.work.strip_paint)
    if stripped:
        yield RULES["painted-area"].lacking(
            "how much old paint is stripped in each room",
            "whether the federal lead rule applies; it may not be taken that it does not",
            Where(line=job.line(job.work, "strip-paint")),
        )
    for room in job.rooms:
        mine = [piece for piece in old if piece.room == room.name]
        if mine and not any(piece.length is not None and piece.height is not None for piece in mine):
            yield RULES["painted-area"].lacking(
                "the length and height of the painted trim disturbed",
                "whether the federal lead rule applies",
                Where(room.name, line=mine[0].line),
            )
            continue
        walls = disturbed_walls(sheet, room, mine)
        told = _told(room, mine, walls, rough if mine else []) if walls else None
        if told is not None and (told.weight == "hold" or not stripped):
            yield told


def disturbed_walls(sheet: Sheet, room: Room, old: list[OldPiece]) -> list[WallPaint]:
    """Of each wall the old paint disturbed; holes only where the wall's finish may hold lead or is not known."""
    found: list[WallPaint] = []
    schedule = sheet.get(FixingSchedule)
    for wall in room.walls:
        parts = tuple(
            (piece.length, piece.height)
            for piece in old
            if piece.wall == wall.name and piece.length is not None and piece.height is not None
        )
        rows = tables.finishes_on(wall)
        drilled = not rows or any(row.get("lead") for row in rows)
        holes = tuple(
            (line.count, line.lead_hole or line.diameter or 0.0)
            for line in (schedule.lines_on(room.name, wall.name) if drilled and schedule else ())
            if line.count and not line.old
        )
        if parts or holes:
            found.append(WallPaint(wall=wall.name, parts=parts, holes=holes))
    return found


def _told(room: Room, old: list[OldPiece], walls: list[WallPaint], rough: list[str]) -> Finding:
    area = sum(wall.area for wall in walls)
    where = Where(room.name, line=old[0].line if old else 0)
    grounds = Grounds(
        tuple(Input(f"{piece.label}, height", piece.height or 0.0, "mm", piece.line) for piece in old),
        f"whole painted faces and holes, wall by wall, in square feet; minor up to {RRP_MINOR:g} in a room",
        f"{'; '.join(wall.worked for wall in walls)}; together {area:.2f} sq ft",
        f"{area:.2f} sq ft",
        (RRP, GEOMETRY),
    )
    shares = ", ".join(f"wall {wall.wall} {wall.area:.1f}" for wall in walls if wall.parts)
    what = "of painted trim is disturbed" if old else "of old paint is drilled through"
    told = f"About {area:.1f} sq ft {what} in the {room.name}{f' ({shares})' if shares else ''}"
    reason = f"{' and '.join(rough)} is never minor work" if rough else f"that is over {RRP_MINOR:g} sq ft"
    weight: Weight = "record" if minor_work(area, bool(rough)) else "hold"
    if weight == "record":
        says = (
            f"{told}: within the {RRP_MINOR:g} sq ft the federal rule leaves out, where the parts come off whole; "
            "what is destroyed, or split, counts whatever its area, and the rules on lead at work hold too."
        )
        return RULES["renovation-rule"].told(weight, says, where, grounds, area=area)
    says = (
        f"{told} and {reason}, so the federal Renovation, Repair and Painting Rule applies "
        "unless a test shows no lead: a certified firm and renovator, the pamphlet, signs, "
        "containment, cleaning verification."
    )
    mend = "Have it tested, or done by a certified firm."
    return RULES["renovation-rule"].told(weight, says, where, grounds, mend, area=area)
