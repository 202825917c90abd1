"""Every piece to cut, by number, drawn from its face."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Trim
from listel.core.survey.units import show_angle
from listel.plugins.setting_out import Piece, PieceEnd, Run, SettingOut, saw_turns
from listel.plugins.site import tables
from listel.reports.drawings.bar import bar
from listel.reports.drawings.layout import figure
from listel.reports.drawings.notches import words as notch_words
from listel.reports.drawings.paper import Drawing
from listel.reports.papers.workshop.boards import boards_of

ENDS = {
    "cope": "inside, cope",
    "internal-mitre": "inside mitre",
    "external-mitre": "outside mitre",
    "return": "outside mitre",
    "head-mitre": "mitre at the head",
    "frame-mitre": "mitre of the frame",
    "plumb": "plumb cut",
    "splayed": "to the splay",
    "square": "square",
    "butt": "square",
}
"""Each kind of end in words; a scarf's and a knee's are told by how they lie."""
CLOSE = 5.0
"""Nearer to the corner of its wall than this [mm] an end is in the corner, though panelling holds it off its wall."""
AGAINST = {
    "foot-left": "lower left corner",
    "foot-right": "lower right corner",
    "head-left": "upper left corner",
    "head-right": "upper right corner",
    "jamb": "into the rebate of the jamb",
    "boxing": "against the boxing of the shutters",
    "floor": "foot, on the floor",
    "sill": "foot, on the sill",
    "corner": "into the corner",
    "step-out": "free end at the step",
    "step-in": "to the edge of what stands out, last",
    "panelled-corner": "to the panelling\u2019s face",
    "architrave": "to the architrave",
    "plinth-block": "to the plinth block",
    "corner-block": "to the corner block",
    "fitting": "at the fitting",
    "close-fitting": "clear of the fitting",
    "opening": "at the opening",
    "string": "to the wall string",
    "stair": "to the stair",
    "winders": "to the winders",
    "hearth": "to the chimneypiece",
    "free": "free end, not surveyed",
    "return": "free end",
    "butt": "to what stands there",
    "newel": "to the newel",
    "run-on": "to trim beyond",
    "old-work": "to the old, which is not cut",
    "old-corner": "over the old",
}


@dataclass(frozen=True, kw_only=True)
class EndWords:
    """One end of a piece in words: how it is cut, what the saw reads, what to mind. ``room``: the end it stands at."""

    kind: str
    saw: str
    more: str


@dataclass(frozen=True, kw_only=True)
class PieceRow:
    """One piece to cut: its number, where it goes, its ends as they lie on the drawing, its length and its board."""

    number: str
    room: str
    trim: str
    where: str
    lies: str
    left: EndWords
    right: EndWords
    drawing: Drawing
    length: str
    other: str
    board: str


def pieces(outcome: Outcome, setting_out: SettingOut) -> Iterator[PieceRow]:
    """Every piece and return, by number."""
    boards = boards_of(outcome)
    trims = {trim.name: trim for trim in outcome.job.trim}
    undercuts = {
        (c.room, c.trim, side): c.undercut
        for c in setting_out.corners
        for side in ((c.first, "right"), (c.second, "left"))
        if c.coped == side[0]
    }
    for piece in setting_out.in_order:
        for each in (piece, *setting_out.returns_of(piece.label)):
            yield _row(outcome, setting_out, each, trims.get(each.trim), boards, undercuts)


def _row(
    outcome: Outcome,
    setting_out: SettingOut,
    piece: Piece,
    trim: Trim | None,
    boards: Mapping[str, str],
    undercuts: Mapping[tuple[str, str, tuple[str, str]], float | None],
) -> PieceRow:
    units = outcome.job.units
    run = _run(setting_out, piece)
    turned = piece.upright and _right_leg(outcome, piece, run)
    turns, _, _ = saw_turns(outcome.job)
    left, right = (
        _end(piece, end, at, undercuts.get((piece.room, piece.trim, (piece.wall, side))), setting_out, turns)
        for end, side, at in (
            (piece.left, "left", _met(run, True) if run and abs(run.start - piece.start) < 1 else ""),
            (piece.right, "right", _met(run, False) if run and abs(run.end - piece.end) < 1 else ""),
        )
    )
    at = f"{figure(piece.start, units)} to {figure(piece.end, units)}"
    where = f"wall {piece.wall}, at {figure(piece.start, units)}" if piece.part_of else f"wall {piece.wall}, {at}"
    round_opening = tables.framed(trim.member) if trim else False
    lines = tables.goes_through_openings(trim.member) if trim else False
    up = "room edge" if lines else "outer edge" if round_opening else "top"
    if piece.side:
        where = f"wall {piece.wall}, {piece.side}"
    elif piece.upright:
        where = f"wall {piece.wall}, {'right' if turned else 'left'} {'jamb' if lines else 'leg'}"
    elif round_opening:
        where = f"wall {piece.wall}, head"
    uneven = abs(piece.back - piece.face) >= 0.5 and not piece.part_of
    other = f"back {figure(piece.back, units)}, face {figure(piece.face, units)}" if uneven else ""
    other = other if run is None or run.wide is None else f"{figure(run.wide, units)} wide"
    assumed = (
        f"{each.name} {figure(float(each.value), units)} assumed: measure it first"
        for each in (run.taken if run else ())
    )
    cut_out = setting_out.notches_in(piece.label)
    other = "; ".join(filter(None, (other, *assumed, *(notch_words(notch, outcome) for notch in cut_out))))
    return PieceRow(
        number=setting_out.numbers[piece.label],
        room=piece.room,
        trim=piece.trim,
        where=where,
        lies=up,
        left=right if turned else left,
        right=left if turned else right,
        drawing=bar(piece, trim, up=up, turned=turned, cut_out=cut_out),
        length=figure(piece.overall, units),
        other=other,
        board=boards.get(piece.label, "no board: see the boards"),
    )


def _right_leg(outcome: Outcome, piece: Piece, run: Run | None) -> bool:
    """Whether an upright piece stands right of its opening, or is the right one of its panel."""
    if piece.side:
        return run is not None and run.start_at == "foot-right"
    openings = outcome.job.room(piece.room).wall(piece.wall).openings
    near = min(openings, key=lambda o: min(abs(piece.end - o.at), abs(piece.start - o.end)), default=None)
    return near is not None and abs(piece.start - near.end) < abs(piece.end - near.at)


def _run(setting_out: SettingOut, piece: Piece) -> Run | None:
    """The run that a piece is cut for."""
    mine = (run for run in setting_out.runs_on(piece.room, piece.wall, piece.trim) if run.upright == piece.upright)
    return next((run for run in mine if run.start - 1 <= piece.start and piece.end <= run.end + 1), None)


def _met(run: Run, at_left: bool) -> str:
    """What a run comes to at an end: at a corner the panelling before it, where that is so."""
    at, short = (run.start_at, run.left_short) if at_left else (run.end_at, run.right_short)
    return "panelled-corner" if at == "corner" and abs(short) > CLOSE else at


def _end(
    piece: Piece, end: PieceEnd, at: str, undercut: float | None, setting_out: SettingOut, turns: float
) -> EndWords:
    kind = ENDS.get(end.kind, end.kind.replace("-", " "))
    more = AGAINST[at] if at in ("old-corner", "panelled-corner") else ""
    if end.kind == "scarf":
        kind = "lap, lies over" if end.gives > 0 else "lap, lies under"
    elif end.kind == "knee":
        more = f"{end.long_edge} long"
    elif end.kind == "cope" and undercut is not None:
        more = ", ".join(part for part in (more, f"undercut {show_angle(undercut)}") if part)
    elif end.kind == "return":
        more = ", ".join(f"return {setting_out.numbers[p.label]}" for p in setting_out.returns_of(piece.label))
    elif end.kind == "butt" and at in ("corner", "panelled-corner"):
        kind, more = "butt", end.note
    elif end.kind in ("scribed", "rebated"):
        more = end.note
    elif end.kind in ("square", "butt", "splayed"):
        more = end.note if piece.part_of else AGAINST.get(at, "")
    saw = show_angle(end.saw_reading) if end.saw_reading else "" if end.saw_reading == 0 else "measure"
    if end.saw_reading and abs(end.saw_reading) > turns:
        fence = f"past the saw: {show_angle(90 - abs(end.saw_reading))} against a fence square to its own"
        more = ", ".join(part for part in (fence, more) if part)
    if end.bevel:
        more = ", ".join(part for part in (f"tilt {show_angle(end.bevel)}", more) if part)
    return EndWords(kind=kind, saw=saw, more=more)
