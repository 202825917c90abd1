"""Where new trim meets old: what stays stands in its way and is never cut for it, each end is a mitre, a cope or a butt
as suits, and a splice is cut like a piece."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from math import atan, cos, degrees, radians

from listel.core.contract.findings import GEOMETRY, Finding, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.existing import Existing, Mend, OldPiece, as_high_as_both
from listel.plugins.setting_out.angles import unequal_mitre
from listel.plugins.setting_out.corners import corner_end, corner_line, plan_setting
from listel.plugins.setting_out.ends import SQUARE
from listel.plugins.setting_out.member_lines import NEAR, level_of, stands_to
from listel.plugins.setting_out.obstacles import HIGHEST, Obstacle
from listel.plugins.setting_out.results import CornerCut, Piece, PieceEnd, Run
from listel.plugins.site import corner_pairs, tables

RULES = load_rules(__package__)

SHY = 0.5
"""A board may be so much [mm] narrower or thinner than the old: as well as an old section is measured."""
OFF_THE_FLOOR = 5.0
"""So much [mm] narrower where the old stands on the floor: a splice is kept off it. Common practice, no source."""

OLD = {"old-work": "old work that stays", "old-corner": "a corner to old work"}


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
    """The old pieces that stay in a trim's place: it butts on each, so that none is cut for a joint. Common
    practice, no source."""
    return [_stops_at(piece, f"{piece.label}, which stays") for piece in stays_on(job, sheet, trim, room, wall)]


def old_beside(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> list[Obstacle]:
    """What a trim comes to where the survey stops it beside old work: it butts on what stands in its place, and is
    returned where it shows over a lower board that its like sits on. Common practice, no source."""
    old, below = sheet.get(Existing) or Existing(), tables.sits_on(trim.member)
    stays = stays_on(job, sheet, trim, room, wall)
    boards = old.stays_at(room.name, wall.name, below) if below else ()
    lower = [piece for piece in boards if piece not in stays and stands_to(piece) is not None]
    return [_stops_at(piece, piece.label, "return" if piece in lower else "old-work") for piece in (*stays, *lower)]


def _stops_at(piece: OldPiece, by: str, kind: str = "old-work") -> Obstacle:
    end = HIGHEST if piece.end is None else piece.end
    return Obstacle(start=piece.start, end=end, low=-HIGHEST, high=HIGHEST, kind=kind, by=by)


def _stands_in_the_way(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> list[OldPiece]:
    """The old pieces along the next wall that a trim comes to at their corner."""
    foot, below = level_of(job, sheet, trim, room).underside, tables.sits_on(trim.member)
    boards = (sheet.get(Existing) or Existing()).stays_at(room.name, wall.name, below) if below else ()
    higher = [piece for piece in boards if foot is not None and (stands_to(piece) or 0.0) > foot + SHY]
    return [*stays_on(job, sheet, trim, room, wall), *higher]


def corners_to_old(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> tuple[list[OldPiece], list[OldPiece]]:
    """The old work in a trim's place, or over the foot of what sits on its like, that stands into the corner round the
    left and the right end of a wall."""
    left: list[OldPiece] = []
    right: list[OldPiece] = []
    for first, second in corner_pairs(room):
        if second is wall:
            end = first.length.value if first.length else None
            pieces = _stands_in_the_way(job, sheet, trim, room, first)
            left = [piece for piece in pieces if piece.end is not None and end is not None and piece.end >= end - NEAR]
        if first is wall:
            right = [piece for piece in _stands_in_the_way(job, sheet, trim, room, second) if piece.start <= NEAR]
    return left, right


def farthest_out(pieces: Sequence[OldPiece]) -> float | None:
    """How far the farthest of old pieces stands out from its wall [mm]; None where that was not surveyed of one."""
    outs = [piece.out for piece in pieces]
    return None if None in outs else max((out or 0.0 for out in outs), default=None)


def old_end(trim: Trim, room: Room, run: Run, at: str, at_start: bool) -> PieceEnd:
    """The end of a new piece that meets old work: ``at`` is old-work or old-corner. A cope's face ends where it
    comes to that of the old, and the saw is set from there to the corner of the walls. Source: where two lines
    cross, derived."""
    if at == "old-work":
        return PieceEnd(kind="butt", note="butts against the old, which is not cut; measure both ends, cut to fit")
    before = next(first for first, second in corner_pairs(room) if (second if at_start else first).name == run.wall)
    external = before.corner is not None and before.corner.kind == "external"
    away = run.pitch if at_start else -run.pitch
    made = corner_end(trim, before.turn, external, "mitre" if external else "cope", True, away)
    if external:
        return replace(made, note="mitred to the old mitre: measure that")
    own, out = trim.section.projection, run.left_old if at_start else run.right_old
    if out is None or own is None or before.turn is None:
        return replace(made, gives=0.0, note="coped over the old, drawn off its own face; its face is not reckoned")
    plan, _, along, _ = unequal_mitre(own, out, before.turn)
    cut, saw, bevel = plan_setting(trim, plan, run.pitch)
    gives = -along / cos(radians(run.pitch))
    note = "coped over the old, drawn off its own face"
    return replace(made, cut_angle=cut, saw_reading=saw, bevel=bevel, gives=gives, note=note)


def corners_over_old(job: Job, runs: Iterable[Run], doubted: Collection[tuple[str, str]]) -> Iterator[CornerCut]:
    """The corners at which a new piece is cut to old work that stands on the other wall; ``doubted``: those not to be
    relied on, by room and the wall left of them."""
    trims = {trim.name: trim for trim in job.trim}
    for run, pair, at_start in _to_old(job, runs):
        external = pair[0].corner is not None and pair[0].corner.kind == "external"
        joint, coped = ("mitre", "") if external else ("cope", run.wall)
        why = "old work stands on the other wall, and is not cut"
        sure = (run.room, pair[0].name) not in doubted
        room, trim, at = job.room(run.room), trims[run.trim], run.start_at if at_start else run.end_at
        line = replace(corner_line(job, room, trim, *pair, joint, why, coped, not sure), to="old work")
        out = run.left_old if at_start else run.right_old
        end = old_end(trim, room, run, at, at_start)
        reckoned = not external and out is not None and trim.section.projection is not None and line.angle is not None
        yield _over_the_old(line, end, out or 0.0) if reckoned else line


def _over_the_old(line: CornerCut, end: PieceEnd, out: float) -> CornerCut:
    """The line of a corner whose cope goes over old work that stands so far out [mm]."""
    cut, saw = end.cut_angle or 0.0, end.saw_reading or 0.0
    grounds = replace(
        line.grounds,
        inputs=(*line.grounds.inputs, Input("projection of the old work", out, "mm")),
        formula="from the corner of the walls to where the face of the new one comes to that of the old",
        worked="",
        result=f"cut {cut:.2f} deg from the length, {saw:.2f} deg on the saw's scale",
        sources=(GEOMETRY,),
    )
    return replace(line, cut_angle=cut, saw_reading=saw, bevel=end.bevel or None, grounds=grounds)


def outs_not_surveyed(job: Job, runs: Iterable[Run]) -> Iterator[Finding]:
    """Each internal corner at which a new piece is coped over old work, or a frame scribed to it, of which it was not
    surveyed how far it stands out."""
    for run, pair, at_start in _to_old(job, runs):
        out, other = (run.left_old, pair[0]) if at_start else (run.right_old, pair[1])
        if out is None and not (pair[0].corner is not None and pair[0].corner.kind == "external"):
            yield RULES["projection-not-surveyed"].lacking(
                f"projection of the old work on wall {other.name} of the {run.room}",
                f"how far from the corner the frame of the {run.trim} on wall {run.wall} stops; it is set out to the "
                "bare wall"
                if tables.goes_in_frames(run.member)
                else f"how much shorter than its back the face of the {run.trim} on wall {run.wall} is, where it is "
                "coped over it, and what the saw is set to; the piece is given by its back, the saw as for old work "
                "that stands out as far",
                Where(run.room, other.name, run.trim, line=job.line(other)),
                "give the projection of its section",
            )


def _to_old(job: Job, runs: Iterable[Run]) -> Iterator[tuple[Run, tuple[Wall, Wall], bool]]:
    """Each end of a run that comes to old work round a corner, with the walls left and right of that, and whether it is
    its left end."""
    for run in runs:
        for at, at_start in ((run.start_at, True), (run.end_at, False)):
            if at == "old-corner":
                pairs = corner_pairs(job.room(run.room))
                yield run, next(pair for pair in pairs if pair[at_start].name == run.wall), at_start


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
