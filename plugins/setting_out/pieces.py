"""Pieces: each run cut into boards, with the length and both ends of every piece, its label and its place in the
order."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import field, replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Corner, Job, Room, Trim, Wall
from listel.core.survey.units import show_fine
from listel.plugins.setting_out.corners import corner_end, corner_line, run_on_end
from listel.plugins.setting_out.ends import (
    HEAD_MITRE,
    SQUARE,
    TOO_SHORT_TO_RETURN,
    along_rake,
    beyond,
    knee_end,
    plain_end,
    scarf_end,
    underside_longer,
)
from listel.plugins.setting_out.frames import CORNERS, frame_end, inner_edge
from listel.plugins.setting_out.linings import lining_ends
from listel.plugins.setting_out.old_work import OLD, old_end
from listel.plugins.setting_out.results import BowCheck, CornerCut, Piece, PieceEnd, Run, RunKey
from listel.plugins.setting_out.spans import (
    Meeting,
    Span,
    jointed_spans,
    meetings_of,
    settle_copes,
    whole_spans,
)
from listel.plugins.setting_out.unlike import EndKey, unlike_corners, unlike_line
from listel.plugins.site import corner_pairs, tables

RULES = load_rules(__package__)

Beside = dict[EndKey, PieceEnd]
"""The ends that are cut to another section at a corner."""


@dataclass
class Cut:
    """What has been cut so far: pieces, corners, and what there is to say about them."""

    pieces: list[Piece] = field(default_factory=list)
    corners: list[CornerCut] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def cut_pieces(
    job: Job,
    runs: Lines[Run],
    joints: Mapping[RunKey, tuple[float, ...]],
    doubted: set[tuple[str, str]],
    bows: Lines[BowCheck],
) -> Cut:
    """Every piece and corner of the job, its pieces labelled, with what there is to say of them. ``doubted``: corners
    (room, wall before) whose angle the closure doubts."""
    rooms = [cut_room(job, room, runs, joints, doubted, bows) for room in job.rooms]
    cut = Cut(
        labelled(job, [piece for room in rooms for piece in room.pieces]),
        [corner for room in rooms for corner in room.corners],
        [finding for room in rooms for finding in room.findings],
    )
    cut.findings += [*_unmeasured(job, cut), *_crossing(cut.pieces)]
    return cut


def _first_fixed(trim: Trim) -> tuple[float, float]:
    """What decides which trim is fixed first: its member, then its height, for the lower butts on the higher."""
    return float(tables.member(trim.member)["order"]), -(trim.section.height or 0.0)


def cut_room(
    job: Job,
    room: Room,
    runs: Lines[Run],
    joints: Mapping[RunKey, tuple[float, ...]],
    doubted: set[tuple[str, str]],
    bows: Lines[BowCheck],
) -> Cut:
    """The pieces and corners of a room, in the order of fixing: first the plinth blocks and architraves that rails and
    skirting butt against, then from the ceiling down, the skirting last. ``joints``: the stations where runs are
    jointed."""
    cut, count, beside = Cut(), 0, Beside()
    for unlike in unlike_corners(room, runs, {trim.name: trim for trim in job.trim}):
        for side in unlike.cut:
            beside[side.key] = unlike.end(side)
            doubt = (room.name, unlike.sides[0].wall.name) in doubted
            cut.corners.append(unlike_line(job, unlike, side, doubt))
    for trim in sorted(job.trims_in(room.name), key=_first_fixed):
        here = _walked(room, runs.of(room=room.name, trim=trim.name))
        if tables.framed(trim.member):
            made = [replace(_in_frame(job, trim, run), order=number) for number, run in enumerate(here, 1)]
        else:
            made = _along_walls(job, room, trim, here, joints, doubted, cut, beside)
        cut.pieces += [replace(round_the_bow(job, piece, bows), order=count + piece.order) for piece in made]
        count += len(made)
    return cut


def _walked(room: Room, runs: Iterable[Run]) -> list[Run]:
    """Runs from left to right round the room."""
    place = {wall.name: number for number, wall in enumerate(room.walls)}
    return sorted(runs, key=lambda run: (place[run.wall], run.start))


def _in_frame(job: Job, trim: Trim, run: Run) -> Piece:
    """A leg or head of an architrave or a lining, a plinth block, or a piece of a panel's frame: its length is to
    the long point of its mitres; a jamb's with what is left on its foot."""
    width, mitres = trim.section.height or 0.0, 0
    if tables.goes_through_openings(trim.member):
        left, right = lining_ends(job, trim, run)
    elif run.start_at in CORNERS:
        left, right = (frame_end(at, run.pitch) for at in (run.start_at, run.end_at))
        mitres, inner = 2, inner_edge(run, width)
    else:
        left, right = (HEAD_MITRE if at == "head-mitre" else SQUARE for at in (run.start_at, run.end_at))
        mitres = (left is HEAD_MITRE) + (right is HEAD_MITRE)
        inner = run.length - mitres * width
    right = replace(right, note=f"inner edge {inner:g} mm; {right.note}") if mitres else right
    length = run.length + left.past
    result = f"{length:.1f} mm{' long point to long point' if mitres else ''}"
    grounds = replace(run.grounds, result=f"{result}, {left.note}" if left.past else result)
    return Piece(
        label="",
        room=run.room,
        wall=run.wall,
        trim=run.trim,
        start=run.start,
        end=run.end,
        back=length,
        face=length,
        overall=length,
        left=left,
        right=right,
        match=_match(trim, run),
        upright=run.upright,
        pitch=0.0 if run.upright else run.pitch,
        side=run.side,
        grounds=grounds,
    )


def _along_walls(
    job: Job,
    room: Room,
    trim: Trim,
    runs: list[Run],
    joints: Mapping[RunKey, tuple[float, ...]],
    doubted: set[tuple[str, str]],
    cut: Cut,
    beside: Beside,
) -> list[Piece]:
    """The pieces of one trim in one room, from left to right, each with its place in the order of fixing from 1."""
    spans = jointed_spans(whole_spans(room, runs), joints)
    meetings, order, doubles = settle_copes(spans, meetings_of(room, trim, spans))
    for meeting in meetings:
        first, second = spans[meeting.before].wall, spans[meeting.after].wall
        coped = "" if meeting.coped is None else spans[meeting.coped].wall.name
        before, after = (abs(spans[number].run.pitch) for number in (meeting.before, meeting.after))
        rake = (before + after) / 2 if before and after and not trim.section.spring else 0.0
        doubt = (room.name, first.name) in doubted
        cut.corners.append(corner_line(job, room, trim, first, second, meeting.joint, meeting.why, coped, doubt, rake))
    for piece in doubles:
        cut.findings.append(
            RULES["coped-both-ends"].told(
                "record",
                f"The {trim.name} runs round the {room.name} unbroken, so its last piece, on wall "
                f"{spans[piece].wall.name}, is coped at both ends. "
                "Cut that piece a hair over its length and spring it in.",
                Where(room.name, spans[piece].wall.name, trim.name),
            )
        )
    places = {number: place for place, number in enumerate(order, 1)}
    return [
        _piece(job, trim, spans[number], _ends(room, trim, spans, number, meetings, beside, places), places[number])
        for number in range(len(spans))
    ]


def _piece(job: Job, trim: Trim, span: Span, ends: list[tuple[PieceEnd, float]], order: int) -> Piece:
    """One piece, from its span and what it meets at each end."""
    run = span.run
    (left, left_beyond), (right, right_beyond) = ends
    along = along_rake(span.end - span.start, run.pitch)
    back = along + left.past + right.past
    face = back + left.gives + right.gives
    overall = along + left_beyond + right_beyond
    grounds = _piece_grounds(job, trim, span, left, right, back, face, overall)
    return Piece(
        label="",
        room=run.room,
        wall=run.wall,
        trim=run.trim,
        start=span.start,
        end=span.end,
        back=max(0.0, back),
        face=max(0.0, face),
        overall=overall,
        left=left,
        right=right,
        order=order,
        match=_match(trim, run),
        pitch=run.pitch,
        grounds=grounds,
    )


def round_the_bow(job: Job, piece: Piece, bows: Lines[BowCheck]) -> Piece:
    """A piece of a straight board drawn round a bowed wall, by its share of the wall: its back as much longer, or
    shorter, as keeping its middle line asks, and its face by what the curve gives."""
    here = bows.of(room=piece.room, wall=piece.wall, trim=piece.trim)
    bow = next((bow for bow in here if bow.longer), None)
    length = job.room(piece.room).wall(piece.wall).length
    if bow is None or length is None or piece.upright:
        return piece
    share = (piece.end - piece.start) / length.value
    more = bow.longer * share
    grounds = replace(
        piece.grounds,
        worked=f"{piece.grounds.worked}; {more:+.2f} mm for its middle line round the bow",
        result=f"back {piece.back + more:.1f} mm, face {piece.face + more:.1f} mm, overall "
        f"{piece.overall + more:.1f} mm",
    )
    return replace(piece, back=piece.back + more, face=piece.face + more, overall=piece.overall + more, grounds=grounds)


def _ends(
    room: Room,
    trim: Trim,
    spans: list[Span],
    number: int,
    meetings: list[Meeting],
    beside: Beside,
    places: Mapping[int, int],
) -> list[tuple[PieceEnd, float]]:
    """Both ends of a piece, each with how far its long point stands past its station [mm]. A return takes as much of
    the back as it is deep: where none would be left, the end is square. At a joint the piece that is fixed later lies
    over; ``places``: the place of each in the order of fixing."""
    span = spans[number]
    made = {}
    for at_start, at, beside_it in ((True, span.left, number - 1), (False, span.right, number + 1)):
        if at == "scarf":
            made[at_start] = scarf_end(trim, lies_over=places[number] > places[beside_it]), 0.0
        else:
            end, turn = _end(room, trim, spans, number, meetings, beside, at_start)
            made[at_start] = _off_the_wall(span.run, end, at, at_start), turn
    left = along_rake(span.end - span.start, span.run.pitch) + sum(end.past for end, _ in made.values())
    found = []
    for at_start, (end, turn) in made.items():
        end = TOO_SHORT_TO_RETURN if end.kind == "return" and left <= 0 else end
        underside = underside_longer(end, trim.section.height, span.run.pitch, turn, at_start)
        found.append((end, beyond(end, underside)))
    return found


def _end(
    room: Room, trim: Trim, spans: list[Span], number: int, meetings: list[Meeting], beside: Beside, at_start: bool
) -> tuple[PieceEnd, float]:
    """One end of a piece, and the turn of the line there [deg] where it is a knee."""
    span = spans[number]
    at, pitch = (span.left if at_start else span.right), span.run.pitch
    if at in OLD:
        return old_end(trim, room, span.run, at, at_start), 0.0
    if at == "knee":
        next_to = number - 1 if at_start else number + 1
        if not 0 <= next_to < len(spans) or spans[next_to].wall is not span.wall:
            return plain_end(trim, "return", None, pitch), 0.0  # nothing is left of the stretch beyond the knee
        other = spans[next_to].run.pitch
        turn = pitch - other if at_start else other - pitch
        return knee_end(turn), turn
    for meeting in meetings:
        if number == (meeting.after if at_start else meeting.before) and at == "corner":
            wall = spans[meeting.before].wall
            external = wall.corner is not None and wall.corner.kind == "external"
            away = pitch if at_start else -pitch
            return corner_end(trim, wall.turn, external, meeting.joint, meeting.coped == number, away), 0.0
    corner = _corner_at(room, span.wall, at_start)
    if at == "run-on":
        return run_on_end(trim, corner, at_start, pitch), 0.0
    unlike = beside.get((span.wall.name, trim.name, at_start)) if at == "corner" else None
    return unlike or plain_end(trim, at, corner, pitch), 0.0


def _off_the_wall(run: Run, end: PieceEnd, at: str, at_start: bool) -> PieceEnd:
    """The end at a corner where other trim holds its run, or the next wall's, off the wall."""
    short = run.left_short if at_start else run.right_short
    if at != "corner" or not short:
        return end
    note = "; ".join(filter(None, (end.note, "to the face of what it stands on")))
    return replace(end, past=end.past - along_rake(short, run.pitch), note=note)


def _corner_at(room: Room, wall: Wall, at_start: bool) -> Corner | None:
    """The corner at that end of a wall."""
    if not at_start:
        return wall.corner
    return next((first.corner for first, second in corner_pairs(room) if second is wall), None)


def _piece_grounds(
    job: Job, trim: Trim, span: Span, left: PieceEnd, right: PieceEnd, back: float, face: float, overall: float
) -> Grounds:
    inputs = [Input("from station", span.start, "mm"), Input("to station", span.end, "mm"), *span.run.grounds.inputs]
    if trim.section.projection is not None:
        inputs.append(Input("projection", trim.section.projection, "mm", job.line(trim.section, "projection")))
    for at, short in (("left", span.run.left_short), ("right", span.run.right_short)):
        if short and (span.left if at == "left" else span.right) == "corner":
            inputs.append(Input(f"short of the wall's {at} corner, for what it stands on", short, "mm"))
    if span.run.pitch:
        inputs.append(Input("pitch", abs(span.run.pitch), "deg"))
    formula = (
        "back: the run between its ends"
        + (", along the rake" if span.run.pitch else "")
        + "; face: the back with what each end gives or takes; overall: long point to long point"
    )
    worked = f"{back:.1f} mm {left.gives:+.2f} mm {right.gives:+.2f} mm = {face:.1f} mm"
    return Grounds(
        tuple(inputs), formula, worked, f"back {back:.1f} mm, face {face:.1f} mm, overall {overall:.1f} mm", (GEOMETRY,)
    )


def _match(trim: Trim, run: Run) -> str:
    """The grain group a run belongs to, or empty."""
    for group in trim.match:
        if run.wall in group or f"{run.room}/{run.wall}" in group:
            return " + ".join(group)
    return ""


def labelled(job: Job, pieces: list[Piece]) -> list[Piece]:
    """Labels unique in the job: trim, room where the trim is in several, wall, and a number along the wall."""
    trims, rooms = marks(trim.name for trim in job.trim), marks(room.name for room in job.rooms)
    walls = {room.name: marks(wall.name for wall in room.walls) for room in job.rooms}
    several = {trim.name for trim in job.trim if len({place.room for place in trim.where}) > 1}
    counts: dict[str, int] = {}
    done = []
    for piece in pieces:
        parts = [
            trims[piece.trim],
            *([rooms[piece.room]] if piece.trim in several else []),
            walls[piece.room][piece.wall],
        ]
        stem = "-".join(parts)
        counts[stem] = counts.get(stem, 0) + 1
        done.append(replace(piece, label=f"{stem}{'/' if stem[-1].isdigit() else ''}{counts[stem]}"))
    return done


def _unmeasured(job: Job, cut: Cut) -> list[Finding]:
    """What was not surveyed about corners and sections, and the corners worth measuring again: one finding for each
    place."""
    found: list[Finding] = []
    corners = Lines(cut.corners)
    for room in job.rooms:
        here = corners.of(room=room.name)
        unread = sorted({f"{line.first}/{line.second}" for line in here if line.angle is None})
        if unread:
            found.append(
                RULES["corner-not-surveyed"].lacking(
                    f"angle of corner {', '.join(unread)} in the {room.name}",
                    "the saw setting and the face lengths there; the pieces are given by their backs",
                    Where(room.name, line=job.line(room)),
                    "take each with a bevel before cutting",
                )
            )
        found += _measure_again(job, room, here)
    cut_of = {piece.trim for piece in cut.pieces}
    for trim in job.trim:
        if trim.section.projection is None and trim.name in cut_of and not tables.framed(trim.member):
            found.append(
                RULES["projection-not-surveyed"].lacking(
                    f"projection of the {trim.name}",
                    "how its faces differ from its backs at mitres; its pieces are given by their backs",
                    Where(trim=trim.name, line=job.line(trim)),
                )
            )
    return found


def _crossing(pieces: list[Piece]) -> list[Finding]:
    """The pieces so short that the cuts at their ends cross before they come to the face: one finding for each run."""
    return [
        RULES["cuts-cross"].told(
            "caution",
            f"Piece {piece.label} of the {piece.trim} on wall {piece.wall} is so short that the cuts at its ends "
            "cross: it has no face, and the mouldings beside it meet before it.",
            Where(piece.room, piece.wall, piece.trim, piece.label),
            piece.grounds,
            "try the corner full size in waste first, or stop the moulding against a block there",
        )
        for piece in pieces
        if min(piece.face, piece.back) <= 0
    ]


def _measure_again(job: Job, room: Room, corners: Iterable[CornerCut]) -> list[Finding]:
    """The corners of a room's that are worth measuring again, in one finding, by the trim that shows it most."""
    again = [line for line in corners if line.measure_again]
    if not again:
        return []
    worst = max(again, key=lambda line: line.gap or 0.0)
    names = sorted({f"{line.first}/{line.second}" for line in again})
    which = (
        f"Corner {names[0]} of the {room.name} is"
        if len(names) == 1
        else f"Corners {', '.join(names)} of the {room.name} are"
    )
    gap = ""
    if worst.gap is not None:
        most = show_fine(worst.gap, job.units)
        gap = f": the bevel's uncertainty alone would open a joint of the {worst.trim} by up to {most}"
    says = f"{which} worth measuring again before cutting{gap}."
    mend = "take each twice, with the bevel from both sides"
    return [RULES["measure-again"].told("advice", says, Where(room.name), worst.grounds, mend)]


SHORT = 3


def marks(names: Iterable[str]) -> dict[str, str]:
    """A distinct short mark for each name: the name itself if it is short, else its initials, with a number where two
    agree."""
    found: dict[str, str] = {}
    for name in names:
        words = re.findall(r"\w+", name)
        mark = (
            words[0].upper()
            if len(words) == 1 and len(words[0]) <= SHORT
            else "".join(word[0] for word in words).upper()
        )
        mark, number = mark or "X", 1
        while (tried := mark if number == 1 else f"{mark}{number}") in found.values():
            number += 1
        found[name] = tried
    return found
