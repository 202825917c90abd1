"""Where new trim meets old: what stays stands in its way, each end is a scarf, a mitre, a cope or a butt as suits, and
a splice is cut like a piece."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from math import atan, degrees

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.existing import Existing, Mend, OldPiece, as_high_as_both
from listel.plugins.setting_out.corners import corner_end, corner_line
from listel.plugins.setting_out.ends import SQUARE, scarf_end, scarf_overlap
from listel.plugins.setting_out.member_lines import NEAR, level_of, stands_to
from listel.plugins.setting_out.obstacles import HIGHEST, Obstacle
from listel.plugins.setting_out.results import CornerCut, Piece, PieceEnd, Run
from listel.plugins.site import corner_pairs, tables

SHY = 0.5
"""A board may be so much [mm] narrower or thinner than the old: as well as an old section is measured."""
OFF_THE_FLOOR = 5.0
"""So much [mm] narrower where the old stands on the floor: a splice is kept off it. Common practice, no source."""

OLD = {"old-work": "old work that stays", "old-scarf": "old work that is mended", "old-corner": "a corner to old work"}


def stays_on(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> tuple[OldPiece, ...]:
    """The old pieces along a wall that new trim leaves alone: of its member, or of the one it sits on where they are as
    high as both."""
    old, below = sheet.get(Existing) or Existing(), tables.sits_on(trim.member)
    whole = old.stays_at(room.name, wall.name, below) if below else ()
    return (
        *old.stays_at(room.name, wall.name, trim.member),
        *(piece for piece in whole if as_high_as_both(job, trim, room.name, piece)),
    )


def stays_round(sheet: Sheet, room: Room, wall: Wall, opening: str, member: str) -> tuple[str, ...]:
    """Which of left, right and head of an opening's architrave, or lining, stay."""
    return (sheet.get(Existing) or Existing()).stays_round(room.name, wall.name, opening, member)


def old_work(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> list[Obstacle]:
    """The old pieces that stay in a trim's place. Where one is worked at anyhow, new trim may lap a scarf over it;
    sound old timber that is left alone is not cut for a joint."""
    pieces = stays_on(job, sheet, trim, room, wall)
    lap = scarf_overlap(trim) / 2
    length = wall.length.value if wall.length else None
    found = []
    for piece in pieces:
        end = HIGHEST if piece.end is None else piece.end
        worked = piece.intent in ("refix", "repair") and not piece.flight
        start, stop = piece.start, end
        if worked and piece.start > NEAR and not any(_meets(other.end, piece.start) for other in pieces):
            start += lap
        if worked and (length is None or end < length - NEAR) and not any(_meets(other.start, end) for other in pieces):
            stop -= lap
        kind = "old-scarf" if worked else "old-work"
        found.append(
            Obstacle(start=start, end=stop, low=-HIGHEST, high=HIGHEST, kind=kind, by=f"{piece.label}, which stays")
        )
    return found


def old_beside(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> list[Obstacle]:
    """What a trim comes to where the survey stops it beside old work: it butts on what stands in its place, and is
    returned where it shows over a lower board that its like sits on. Common practice, no source."""
    old, below = sheet.get(Existing) or Existing(), tables.sits_on(trim.member)
    stays = stays_on(job, sheet, trim, room, wall)
    boards = old.stays_at(room.name, wall.name, below) if below else ()
    lower = [piece for piece in boards if piece not in stays and stands_to(piece) is not None]
    return [
        Obstacle(
            start=piece.start,
            end=HIGHEST if piece.end is None else piece.end,
            low=-HIGHEST,
            high=HIGHEST,
            kind="return" if piece in lower else "old-work",
            by=piece.label,
        )
        for piece in (*stays, *lower)
    ]


def _meets(station: float | None, other: float) -> bool:
    return station is not None and abs(station - other) <= NEAR


def _stands_in_the_way(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> list[OldPiece]:
    """The old pieces along the next wall that a trim comes to at their corner."""
    foot, below = level_of(job, sheet, trim, room).underside, tables.sits_on(trim.member)
    boards = (sheet.get(Existing) or Existing()).stays_at(room.name, wall.name, below) if below else ()
    higher = [piece for piece in boards if foot is not None and (stands_to(piece) or 0.0) > foot + SHY]
    return [*stays_on(job, sheet, trim, room, wall), *higher]


def corners_to_old(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> tuple[bool, bool]:
    """Whether old work in a trim's place, or over the foot of what sits on its like, stands into the corner round the
    left and the right end of a wall."""
    left = right = False
    for first, second in corner_pairs(room):
        if second is wall:
            end = first.length.value if first.length else None
            pieces = _stands_in_the_way(job, sheet, trim, room, first)
            left = any(piece.end is not None and end is not None and piece.end >= end - NEAR for piece in pieces)
        if first is wall:
            right = any(piece.start <= NEAR for piece in _stands_in_the_way(job, sheet, trim, room, second))
    return left, right


def old_end(trim: Trim, room: Room, wall: Wall, at: str, at_start: bool, pitch: float) -> PieceEnd:
    """The end of a new piece that meets old work: ``at`` is old-work, old-scarf or old-corner."""
    if at == "old-work":
        return PieceEnd(kind="butt", note="butts against the old, which is not cut; measure both ends, cut to fit")
    if at == "old-scarf":
        lap = scarf_end(trim, lies_over=True)
        note = "lies over the old, scarfed to it on the bench; measure both ends; glue and pin through both"
        return replace(lap, note=note)
    before = next(first for first, second in corner_pairs(room) if second is wall) if at_start else wall
    external = before.corner is not None and before.corner.kind == "external"
    made = corner_end(trim, before.turn, external, "mitre" if external else "cope", True, pitch if at_start else -pitch)
    note = "mitred to the old mitre: measure that" if external else "coped over the old, drawn off its own face"
    return replace(made, note=note)


def corners_over_old(job: Job, runs: Iterable[Run], doubted: Collection[tuple[str, str]]) -> Iterator[CornerCut]:
    """The corners at which a new piece is cut to old work that stands on the other wall; ``doubted``: those not to be
    relied on, by room and the wall left of them."""
    trims = {trim.name: trim for trim in job.trim}
    for run in runs:
        room = job.room(run.room)
        for at, side in ((run.start_at, 1), (run.end_at, 0)):
            if at != "old-corner":
                continue
            pair = next(pair for pair in corner_pairs(room) if pair[side].name == run.wall)
            external = pair[0].corner is not None and pair[0].corner.kind == "external"
            joint, coped = ("mitre", "") if external else ("cope", run.wall)
            why = "old work stands on the other wall, and is not cut"
            sure = (room.name, pair[0].name) not in doubted
            line = corner_line(job, room, trims[run.trim], *pair, joint, why, coped, not sure)
            yield replace(line, to="old work")


def splices(job: Job, sheet: Sheet) -> list[Piece]:
    """The splices of old work, each as a piece to cut; those that no trim gives the timber for are left out."""
    existing = sheet.get(Existing) or Existing()
    pieces = {piece.label: piece for piece in existing.pieces}
    trims = {trim.name: trim for trim in job.trim}
    cut = [mend for mend in existing.mends if mend.kind == "splice" and mend.trim]
    return [_splice(mend, pieces[mend.piece], trims[mend.trim]) for mend in cut]


def own_section(old: OldPiece, trim: Trim) -> tuple[float, float] | None:
    """The section of an old piece [mm], where a board of a trim is too narrow or too thin for it."""
    made = trim.section.height, trim.section.thick
    if made[0] is None or made[1] is None:
        return None
    was = old.height or made[0], old.thick or made[1]
    stands = tables.member(old.member).get("stands") and old.side not in ("left", "right")
    fits = was[0] - made[0] <= (OFF_THE_FLOOR if stands else SHY) and was[1] - made[1] <= SHY
    return None if fits else was


def _splice(mend: Mend, old: OldPiece, trim: Trim) -> Piece:
    left, right = (_splice_end(mend, words) for words in (mend.left, mend.right))
    scarfs = sum(end is not SQUARE for end in (left, right))
    return Piece(
        label=mend.label,
        room=mend.room,
        wall=mend.wall,
        trim=mend.trim,
        start=mend.start,
        end=mend.end,
        back=mend.overall - scarfs * mend.scarf,
        face=mend.overall,
        overall=mend.overall,
        left=left,
        right=right,
        upright=old.side in ("left", "right"),
        part_of=mend.piece,
        section=own_section(old, trim),
        grounds=mend.grounds,
    )


def _splice_end(mend: Mend, words: str) -> PieceEnd:
    if not words.startswith("scarf"):
        return SQUARE
    cut = degrees(atan(1 / mend.slope))
    return PieceEnd(kind="scarf", cut_angle=cut, saw_reading=90.0 - cut, gives=mend.scarf, note=words)
