"""How each run comes off again: what covers its heads and edge, what holds it and what sticks it, in one sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set

from listel.core.contract.stage import Sheet
from listel.plugins.bonding import Bonding
from listel.plugins.conservation.results import Undoing
from listel.plugins.existing import NEW, Existing, Mend
from listel.plugins.fixings import Fixing, FixingSchedule, kind_of
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables

UNKNOWN = "not known until its fixing is decided"
"""Of a run without a fixing."""
CUT_OUT = "the new piece is cut out along its own joint"


def undoings(sheet: Sheet) -> Iterator[Undoing]:
    """Every run of the fixing schedule; what is made on the bench besides; then what is let into old trim by glue
    alone."""
    bonding, existing = sheet.get(Bonding) or Bonding(), sheet.get(Existing) or Existing()
    lines = (sheet.get(FixingSchedule) or FixingSchedule()).lines
    for line in lines:
        yield undoing(line, bonding, [mend for mend in existing.mends if line.old and mend.label == line.old])
    yield from _of_the_bench(sheet, {(line.room, line.wall, line.trim) for line in lines})
    fixed = {line.old for line in lines}
    for mend in existing.mends:
        if mend.kind in NEW and mend.label not in fixed:
            yield Undoing(
                room=mend.room,
                wall=mend.wall,
                trim=mend.trim,
                old=mend.label,
                into="the old piece",
                by="none",
                glue=mend.glue,
                comes_off=CUT_OUT,
                grounds=mend.grounds,
            )


def _of_the_bench(sheet: Sheet, fixed: Set[tuple[str, str, str]]) -> Iterator[Undoing]:
    """What is made on the bench and no line of the schedule fixes, as shutters in their boxings."""
    laid = (sheet.get(SettingOut) or SettingOut()).laid
    for room, wall, trim, member in dict.fromkeys((run.room, run.wall, run.trim, run.member) for run in laid):
        undo = tables.member(member).get("undo")
        if undo and (room, wall, trim) not in fixed:
            yield Undoing(room=room, wall=wall, trim=trim, into="its opening", by="none", comes_off=undo)


def undoing(line: Fixing, bonding: Bonding, mends: Sequence[Mend]) -> Undoing:
    """One run. Source: the tables of fixings, adhesives and fillers, each of which says how it comes out."""
    kind, bond = kind_of(line.kind) if line.kind else None, bonding.bond(line.room, line.wall, line.trim)
    stuck = bond if bond and bond.reversible and not line.old else None
    heads = bonding.over_heads(line.trim, line.kind) if kind else None
    edge = None if line.old else bonding.edge(line.room, line.wall, line.trim)
    places = ((heads, "over its heads"), (edge, "at the wall"))
    filled = [f"{fill.called} {where}" for fill, where in places if fill and fill.comes_out]
    glue = [f"{stuck.called} on the wall"] if stuck else []
    glue += [mend.glue for mend in mends]
    if not line.old:
        glue += [f"{glue} in its {'s and '.join(joints)}s" for glue, joints in bonding.glued_joints(line.trim).items()]
    parts = (
        f"{edge.comes_out} at the wall" if edge and edge.comes_out else "",
        f"{heads.comes_out} over each head, which marks the face"
        if heads and heads.comes_out and kind and kind["sunk"]
        else "",
        CUT_OUT if mends else "",
        str(tables.member(line.member).get("undo") or (f"it {kind['reversible']}" if kind else UNKNOWN)),
        f"its {stuck.called} {stuck.reversible}" if stuck else "",
    )
    return Undoing(
        room=line.room,
        wall=line.wall,
        trim=line.trim,
        old=line.old,
        into=line.into or line.substrate or "not known",
        by=str(kind["says"]) if kind else "not decided",
        holes=line.new_holes,
        stuck=stuck is not None,
        glue="; ".join(glue) or "none",
        filled="; ".join(filled) or "nothing",
        comes_off="; ".join(part for part in parts if part),
        harms=bool(kind and kind["harms"]) or bool(stuck and stuck.harms),
        grounds=stuck.grounds if stuck else line.grounds,
    )


def in_words(lines: Sequence[Undoing]) -> str:
    """How several runs of one thing come off, those alike told once, each with its walls where they are not; and what
    holes are left."""
    ways: dict[str, dict[str, None]] = {}
    for line in lines:
        ways.setdefault(line.comes_off, {})[line.wall] = None
    said = "; ".join(f"{', '.join(walls)}: {way}" if len(ways) > 1 else way for way, walls in ways.items())
    holes = sum(line.holes for line in lines)
    left = f"; {holes} new hole{'s' * (holes > 1)}, stopped and not undone" if holes else ""
    return f"{said}{left}"
