"""The officer's table: each piece old and new, what happens to it and why, and the totals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.core.survey.units import show_length
from listel.plugins.conservation.answers import Told, answered, left_out
from listel.plugins.conservation.drilled import drilled, told_of
from listel.plugins.conservation.evidence import borne_out, traced
from listel.plugins.conservation.meeting import joints
from listel.plugins.conservation.results import Drilled, Item, OfficerTable, Total, Undoing, done_to
from listel.plugins.conservation.steps import copied
from listel.plugins.conservation.telling import carried, marked, untold
from listel.plugins.conservation.undoing import UNKNOWN, in_words, undoings
from listel.plugins.existing import NEW, Existing, OldPiece
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, tables


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """The table."""
    existing, setting_out = sheet[Existing], sheet.get(SettingOut) or SettingOut()
    sizes = sheet.get(Proportions) or Proportions()
    yield from carried(job, sheet[Site], existing, setting_out)
    yield from marked(job, sheet[Site], existing, setting_out)
    yield from joints(job, existing, setting_out)
    free = sheet[Site].protection.free
    regions = load_table(__package__, "asks")
    region = (None if free else regions.find(job.building.region or "")) or regions.row("other")
    yield from untold(job, sheet[Site], left_out(job, [name for ask in region["asks"] for name in ask["answers"]]))
    undoing, holed = tuple(undoings(sheet)), tuple(drilled(job, sheet))
    yield from told_of(job, sheet, holed)
    items = (
        *(_old(job, piece, existing, undoing, holed) for piece in existing.pieces),
        *_new(job, setting_out, existing, sizes, undoing, free),
    )
    totals = tuple(_totals(existing, setting_out.laid)) if existing.pieces or setting_out.laid else ()
    told = Told(job=job, existing=existing, items=items, totals=totals, drilled=holed, marked=bool(copied(job, sheet)))
    asks = tuple((ask["heading"], answered(told, ask["answers"])) for ask in region["asks"]) if items else ()
    yield OfficerTable(title=region["title"], items=items, totals=totals, asks=asks, undoing=undoing, drilled=holed)


def _old(job: Job, piece: OldPiece, existing: Existing, undoing: Sequence[Undoing], holed: Sequence[Drilled]) -> Item:
    mends = existing.mends_of(piece.label)
    made = "; ".join(f"{mend.kind} at {mend.damage}" for mend in mends)
    cut = sum(mend.lost or mend.overall for mend in mends if mend.kind in NEW)
    mended = [line for line in undoing if line.old in {mend.label for mend in mends}]
    fixed = [line for line in undoing if line.old == piece.label or line in mended]
    holes, left = done_to(piece.label, holed), piece.intent in ("", "keep")
    whole = [mend.glue or "the filler is dug out" for mend in mends if mend.kind not in NEW]
    undone = [
        "" if mended or whole or (holes and left) else piece.undone + (f" ({piece.kept_at})" if piece.kept_at else ""),
        *dict.fromkeys(whole),
        f"the {show_length(cut, job.units)} cut away is not got back" if cut else "",
        in_words(fixed) if fixed else "",
        f"{holes}, stopped and not undone" if holes else "",
    ]
    happens = f"{piece.happens}: {made}" if made else piece.happens
    return Item(
        label=piece.label,
        room=piece.room,
        wall=piece.wall,
        new=False,
        what=piece.what,
        where=piece.where,
        worth=piece.worth,
        happens=f"{happens}; it takes {holes}" if holes else happens,
        length=piece.length,
        why=piece.why,
        considered=piece.considered,
        undone="; ".join(part for part in undone if part),
        photos=piece.photos,
        grounds=piece.grounds,
    )


# ---------------------------------------------------------------- new work


def _new(
    job: Job, setting_out: SettingOut, existing: Existing, sizes: Proportions, undoing: Sequence[Undoing], free: bool
) -> Iterator[Item]:
    """New trim, a row for each trim and room; ``free``: nobody has a say inside."""
    house = traced(job, existing)
    for trim in job.trim:
        for room in job.rooms:
            mine = setting_out.laid.of(room=room.name, trim=trim.name)
            if not mine:
                continue
            by_window = tables.goes_at_windows(trim.member)
            walls = list(dict.fromkeys(run.wall for run in mine))
            held = [line for line in undoing if (line.room, line.trim, line.old) == (room.name, trim.name, "")]
            borne = borne_out(job, room, trim, existing, house, mine)
            way = next((each.gives_way for each in sizes.lines_in(room.name) if each.trim == trim.name), "")
            if way:
                borne = replace(borne, words=f"{way}, not followed", proved=False, departs=True)
            replaces = tuple(
                piece.label
                for piece in existing.pieces_on(room.name, member=trim.member)
                if not piece.stays and piece.wall in walls
            )
            yield Item(
                label=trim.name,
                room=room.name,
                wall=", ".join(walls),
                new=True,
                proved=borne.proved,
                departs=borne.departs,
                carried=borne.carried,
                what=f"new {tables.member(trim.member)['says']}"
                + (f", {tables.timber_words(trim.timber)}" if trim.timber else ""),
                where=f"{room.name}, wall{'s' if len(walls) > 1 else ''} {', '.join(walls)}"
                + (f": {', '.join(run.opening for run in mine)}" if by_window else ""),
                worth=borne.words,
                replaces=replaces,
                happens="fixed as conjecture, and recorded as such"
                if not (free or borne.proved or borne.departs)
                else f"takes the place of {', '.join(replaces)}"
                if replaces
                else "fixed where nothing old stands",
                length=sum(run.length for run in mine),
                why="what survives, or its trace, is followed"
                if borne.proved
                else "no reason is given why what survives is not followed"
                if borne.departs
                else "the survey names no trace of it in this room",
                undone=in_words(held) if held else str(tables.member(trim.member).get("undo") or UNKNOWN),
                photos=borne.photos,
                grounds=Grounds(
                    (Input("runs set out", float(len(mine))),), "the runs between what stays", sources=(GEOMETRY,)
                ),
            )


# ---------------------------------------------------------------- totals

LOST = "of these lost"
"""A part of what is repaired and replaced, and no share beside them."""
ORDER = ("kept in place", "refixed", "repaired", "replaced", "set aside", "not decided", LOST, "new")


def _totals(existing: Existing, runs: Sequence[Run]) -> Iterator[Total]:
    """Lengths and shares. Lost: old timber that goes for good, cut out at splices or replaced; set aside is not lost.
    New: what is fixed new, splices with it."""
    lengths = dict.fromkeys(ORDER, 0.0)
    for piece in existing.pieces:
        lengths[piece.counted] += piece.length or 0.0
    spliced = sum(mend.lost for mend in existing.mends)
    lengths[LOST] = lengths["replaced"] + spliced
    lengths["new"] = sum(run.length for run in runs) + spliced
    old = sum(piece.length or 0.0 for piece in existing.pieces)
    standing = sum(piece.length or 0.0 for piece in existing.pieces if piece.stays) + sum(run.length for run in runs)
    for name in ORDER:
        whole = standing if name == "new" else old
        if name in ("set aside", "not decided") and not lengths[name]:
            continue
        of = "all the trim there then is" if name == "new" else "the old trim surveyed"
        share = lengths[name] / whole * 100 if whole else None
        grounds = Grounds(
            (Input(name, lengths[name], "mm"), Input(of, whole, "mm")),
            f"over {of}, without what is counted by the window; lost: replaced, and cut out at splices, each scarf at "
            "half its length",
            sources=(GEOMETRY,),
        )
        yield Total(name=name, length=lengths[name], share=share, grounds=grounds)
