"""Old work that stays in its place and that other trim is fixed into: listed pieces, and panelling that none is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from listel.core.contract.findings import Finding, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, OldTrim
from listel.plugins.bonding import Bonding
from listel.plugins.conservation.results import Drilled
from listel.plugins.existing import Existing, lies_behind
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule
from listel.plugins.site import Site, tables

RULES = load_rules(__package__)
USED_AGAIN = ("old hole", "old plug")
"""What a fixing stands on that makes no new hole."""
ELSEWHERE = (
    "End it at the old piece, or fix it by holes and grounds that are there; else have the holes agreed, and say so "
    "under departures."
)


def drilled(job: Job, sheet: Sheet) -> Iterator[Drilled]:
    """By old piece, and what is fixed into it on a wall, the new holes there."""
    stay = [old for old, piece in zip(job.old_trim(), sheet[Existing].pieces, strict=True) if piece.stays]
    bonding, holes = sheet.get(Bonding) or Bonding(), Counter[tuple[str, str, str, str, str]]()
    for line in (sheet.get(FixingSchedule) or FixingSchedule()).lines:
        here = [old for old in stay if _is_other(old, line)]
        for point in line.points:
            piece = None if point.on in USED_AGAIN else _into(sheet, here, line, point)
            if piece is not None:
                holes[piece, line.room, line.wall, line.trim, line.old] += 1
    for (piece, room, wall, trim, old), count in holes.items():
        bond = None if old else bonding.bond(room, wall, trim)
        stuck = bool(bond and bond.reversible)
        yield Drilled(piece=piece, room=room, wall=wall, trim=trim, old=old, holes=count, stuck=stuck)


def _is_other(old: OldTrim, line: Fixing) -> bool:
    """Whether it stands on the wall of a run and is of another member: one's own is put back, mended or met."""
    return (old.room.name, old.wall.name) == (line.room, line.wall) and old.said.member != line.member


def _into(sheet: Sheet, here: Sequence[OldTrim], line: Fixing, point: FixingPoint) -> str | None:
    """The label of the old piece that a fixing goes into; empty for panelling that is listed as none; None for none."""
    for old in here:
        lining = old.opening is not None and tables.goes_through_openings(old.said.member)
        if _is_lining(sheet, old, line, point) if lining else lies_behind(old, point.station, point.height):
            return old.label
    return "" if point.on == "panelling" else None


def _is_lining(sheet: Sheet, old: OldTrim, line: Fixing, point: FixingPoint) -> bool:
    """Whether a fixing at the inner edge of an architrave goes into that lining, or that side of it."""
    opening = sheet[Site].wall(line.room, line.wall).opening_by(point.station)
    if point.on != "lining" or opening is None or opening is not old.opening:
        return False
    left = point.station < (opening.at + opening.end) / 2
    return old.said.side in (None, "head" if not line.upright else "left" if left else "right")


def told_of(job: Job, sheet: Sheet, found: Sequence[Drilled]) -> Iterator[Finding]:
    """Each, told; panelling that is not listed only where the house may be protected."""
    asked, pieces = sheet[Site].protection.asked, {piece.label: piece for piece in sheet[Existing].pieces}
    rule = RULES["old-work-drilled"]
    for each in found:
        piece, wall = pieces.get(each.piece), job.room(each.room).wall(each.wall)
        where = Where(each.room, each.wall, each.trim, each.piece, line=piece.line if piece else job.line(wall))
        if piece is not None:
            weight: Weight = "hold" if asked and piece.original == "original" else "caution"
            says = f"{piece.named}, {piece.worth}, stays in its place and takes {each.holed}; a hole is not got back."
            yield rule.told(weight, f"{says[0].upper()}{says[1:]}", where, mend=ELSEWHERE, holes=each.holes)
        elif asked:
            says = (
                f"The panelling of wall {each.wall} of the {each.room} takes {each.holed}; the survey lists it as no "
                "old piece, so whether it is original is not told."
            )
            yield rule.told("caution", says, where, mend="List it under existing, with its age.", holes=each.holes)
