"""The officer's table: each piece old and new, what happens to it and why, and the totals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim
from listel.core.survey.units import show_length
from listel.plugins.existing import figures
from listel.plugins.existing.answers import Told, answered
from listel.plugins.existing.beside import joints, limit
from listel.plugins.existing.pieces import made_height, made_of
from listel.plugins.existing.results import NEW, Existing, Item, OfficerTable, OldPiece, Total
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, tables

RULES = load_rules(__package__)

UNDONE = "comes off again; the screw holes are filled"


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """The table."""
    existing, setting_out = sheet[Existing], sheet.get(SettingOut) or SettingOut()
    sizes = sheet.get(Proportions) or Proportions()
    yield from _carried(job, sheet[Site], existing, setting_out)
    yield from marked(job, sheet[Site], existing, setting_out)
    yield from joints(job, existing, setting_out)
    region = load_table(__package__, "asks").find(job.building.region or "") or load_table(__package__, "asks").row(
        "other"
    )
    items = (*(_old(piece, existing) for piece in existing.pieces), *_new(job, setting_out, existing, sizes))
    totals = tuple(_totals(existing, setting_out.laid)) if existing.pieces or setting_out.laid else ()
    told = Told(job=job, existing=existing, items=items, totals=totals)
    asks = tuple((ask["heading"], answered(told, ask["answers"])) for ask in region["asks"]) if items else ()
    yield OfficerTable(title=region["title"], items=items, totals=totals, asks=asks)


def _old(piece: OldPiece, existing: Existing) -> Item:
    made = "; ".join(f"{mend.kind} at {mend.damage}" for mend in existing.mends_of(piece.label))
    return Item(
        label=piece.label,
        room=piece.room,
        wall=piece.wall,
        new=False,
        what=piece.what,
        where=piece.where,
        worth=piece.worth,
        happens=f"{piece.happens}: {made}" if made else piece.happens,
        length=piece.length,
        why=piece.why,
        considered=piece.considered,
        undone=piece.undone + (f" ({piece.kept_at})" if piece.kept_at else ""),
        photos=piece.photos,
        grounds=piece.grounds,
    )


# ---------------------------------------------------------------- new work


def _new(job: Job, setting_out: SettingOut, existing: Existing, sizes: Proportions) -> Iterator[Item]:
    """New trim, a row for each trim and room."""
    house = traced(job, existing)
    for trim in job.trim:
        for room in job.rooms:
            mine = setting_out.laid.of(room=room.name, trim=trim.name)
            if not mine:
                continue
            by_window = tables.goes_at_windows(trim.member)
            walls = list(dict.fromkeys(run.wall for run in mine))
            borne = borne_out(job, room, trim, existing, house)
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
                if not (borne.proved or borne.departs)
                else f"takes the place of {', '.join(replaces)}"
                if replaces
                else "fixed where nothing old stands",
                length=None if by_window else sum(run.length for run in mine),
                why="what survives, or its trace, is followed"
                if borne.proved
                else "no reason is given why what survives is not followed"
                if borne.departs
                else "the survey names no trace of it in this room",
                undone=tables.member(trim.member).get("undo") or UNDONE,
                photos=borne.photos,
                grounds=Grounds(
                    (Input("runs set out", float(len(mine))),), "the runs between what stays", sources=(GEOMETRY,)
                ),
            )


@dataclass(frozen=True, kw_only=True)
class BorneOut:
    """What bears a new trim out in a room, in words: whether anything of that room does (``proved``), or another room
    of the house (``carried``), or the room has only what it ``departs`` from, and the photographs of it."""

    words: str
    proved: bool = False
    departs: bool = False
    carried: bool = False
    photos: tuple[str, ...] = ()


def tells(piece: OldPiece) -> str:
    """What an old piece tells of the new trim of its member, as far as it was surveyed."""
    known = [("section", piece.height is not None or piece.thick is not None), ("height", piece.top is not None)]
    return "its " + " and ".join(word for word, taken in known if taken) if any(k for _, k in known) else "where it ran"


def departs(job: Job, trim: Trim, room: str, piece: OldPiece) -> str:
    """How the section of a new trim in a room differs from that of an old piece of its member; empty where it does
    not."""
    units, parts = job.units, made_of(job, trim, room, piece.height)
    high = "high" + "".join(f" with its {part.name}" for part in parts[1:])
    return ", ".join(
        f"{show_length(new, units)} {word}, the old {show_length(was, units)}"
        for word, was, new in ((high, piece.height, made_height(parts)), ("thick", piece.thick, trim.section.thick))
        if new is not None and was is not None and _apart(trim, new, was)
    )


def _apart(trim: Trim, new: float | None, was: float | None) -> bool:
    return new is not None and was is not None and round(abs(was - new), 6) > limit(trim)


def _boards_under(job: Job, trim: Trim, room: str, piece: OldPiece) -> Iterator[Trim]:
    """The new boards of an old piece's member in a room that are held to it together with the ``trim`` on them."""
    if tables.sits_on(trim.member) == piece.member:
        for board in job.trims_in(room):
            if board.member == piece.member and trim in made_of(job, board, room, piece.height):
                yield board


def upper_part(job: Job, trim: Trim, room: str, piece: OldPiece) -> bool:
    """Whether an old piece is in one what a new board of its member and the ``trim`` on it make up in a room."""
    return any(not departs(job, board, room, piece) for board in _boards_under(job, trim, room, piece))


def as_high_as_both(job: Job, trim: Trim, room: str, piece: OldPiece) -> bool:
    """Whether an old piece stands as high as a new board of its member with the ``trim`` on it, however thick it is."""
    return any(
        not _apart(board, made_height(made_of(job, board, room, piece.height)), piece.height)
        for board in _boards_under(job, trim, room, piece)
    )


Traces = Mapping[str, Sequence[tuple[str, OldPiece | None]]]
"""By member the rooms that tell of it, in survey order, each with the old piece that does; None: a trace."""


def traced(job: Job, existing: Existing) -> Traces:
    """What the house tells of each member, and where."""
    found: dict[str, list[tuple[str, OldPiece | None]]] = {}
    for room in job.rooms:
        for trace in room.evidence:
            found.setdefault(trace.member, []).append((room.name, None))
        for piece in existing.pieces_on(room.name):
            found.setdefault(piece.member, []).append((room.name, piece))
    return found


def borne_out(job: Job, room: Room, trim: Trim, existing: Existing, house: Traces) -> BorneOut:
    """What bears a new trim out in a room, or is carried there from another ``house`` tells of: a trace, or an old
    piece of the section that it has."""
    speaks = load_table(__package__, "traces")
    here = [trace for trace in room.evidence if trace.member == trim.member]
    stands = existing.pieces_on(room.name, member=trim.member)
    words = [
        f"{trace.kind.replace('-', ' ')} on wall {trace.wall or '(not said)'} ({speaks.row(trace.kind)['tells']})"
        for trace in here
    ]
    off = {piece.label: departs(job, trim, room.name, piece) for piece in stands}
    words += [f"{piece.label} ({tells(piece)})" for piece in stands if not off[piece.label]]
    whole = [piece for piece in existing.pieces_on(room.name) if upper_part(job, trim, room.name, piece)]
    words += [f"{piece.label} (its upper part)" for piece in whole]
    proved = bool(words)
    words += [f"{label}, not followed: {how}" for label, how in off.items() if how]
    shown = [*(trace.photos for trace in here), *(piece.photos for piece in (*stands, *whole))]
    photos = tuple(dict.fromkeys(name for names in shown for name in names))
    if words:
        return BorneOut(words="; ".join(words), proved=proved, departs=not proved, photos=photos)
    elsewhere = dict.fromkeys(
        name
        for name, piece in house.get(trim.member, ())
        if name != room.name and not (piece and departs(job, trim, room.name, piece))
    )
    if elsewhere:
        return BorneOut(words=f"carried over from the {' and the '.join(elsewhere)}: conjecture", carried=True)
    return BorneOut(words="no trace surveyed: conjecture")


def _carried(job: Job, site: Site, existing: Existing, setting_out: SettingOut) -> Iterator[Finding]:
    """New trim in a room that has no trace of it, where another room has: conjecture, and recorded as such."""
    house = traced(job, existing)
    for trim in job.trim:
        for room in job.rooms:
            if not setting_out.runs_on(room.name, trim=trim.name):
                continue
            borne = borne_out(job, room, trim, existing, house)
            if not borne.carried:
                continue
            says = f"The {trim.name} of the {room.name} is {borne.words}. A trace speaks for its own room."
            where = Where(room.name, trim=trim.name, line=job.line(trim))
            grounds = Grounds(sources=load_table(__package__, "traces").row("surviving").sources)
            weight: Weight = "caution" if site.protection.asked else "advice"
            mend = "Look for a trace in that room, or say in the statement that it is conjecture."
            yield RULES["carried-over"].told(weight, says, where, grounds, mend)


def copies(job: Job, site: Site, existing: Existing, setting_out: SettingOut) -> list[tuple[str, str]]:
    """The (trim, room) whose whole new lengths copy old work, or may be taken for it: something of it survives or has
    left a trace in the house; in a house that may be protected, all new trim."""
    asked, house = site.protection.asked, traced(job, existing)
    seen = dict.fromkeys((run.trim, run.room) for run in setting_out.laid)
    trims = {trim.name: trim for trim in job.trim}
    return [
        (name, room)
        for name, room in seen
        if asked
        or (borne := borne_out(job, job.room(room), trims[name], existing, house)).proved
        or borne.departs
        or borne.carried
    ]


def marked(job: Job, site: Site, existing: Existing, setting_out: SettingOut) -> Iterator[Finding]:
    """Once for the job: new work that copies the old is marked and dated on its back; nobody is to take it for old."""
    let_in = [mend.label for mend in existing.mends if mend.kind in NEW]
    whole = copies(job, site, existing, setting_out)
    if not (let_in or whole):
        return
    parts = [f"the {name} of the {room}" for name, room in whole]
    parts += [f"what is let into old trim ({', '.join(let_in)})"] if let_in else []
    year = job.work.start[:4] if job.work.start else "the year"
    high = " to ".join(show_length(size, job.units) for size in (5.0, 10.0))
    says = (
        f"Nobody is to take new work for old. Marked on the back of every piece: {'; '.join(parts)}. The mark: {year} "
        f"and the firm's name, {high} high, cut or burnt in there or on a hidden end, told on the drawing; never "
        "on the face, and no new wood is aged."
    )
    sources = RULES["mark-new"].sources
    yield RULES["mark-new"].told("record", says, grounds=Grounds(formula="what copies old work", sources=sources))


# ---------------------------------------------------------------- totals

LOST = "of these lost"
"""A part of what is repaired and replaced, and no share beside them."""
ORDER = ("kept in place", "refixed", "repaired", "replaced", "set aside", "not decided", LOST, "new")


def _totals(existing: Existing, runs: Sequence[Run]) -> Iterator[Total]:
    """Lengths and shares. Lost: old timber that goes for good, cut out at splices or replaced; set aside is not lost.
    New: what is fixed new, splices with it."""
    lengths = dict.fromkeys(ORDER, 0.0)
    for piece in existing.pieces:
        key = str(figures.intent(piece.intent)["total"]) if piece.intent else "not decided"
        lengths[key] += piece.length or 0.0
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
            f"over {of}; lost: replaced, and cut out at splices, each scarf at half its length",
            sources=(GEOMETRY,),
        )
        yield Total(name=name, length=lengths[name], share=share, grounds=grounds)
