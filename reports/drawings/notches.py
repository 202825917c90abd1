"""The pieces of a trim that are cut out round something: each from its face, with the figures to mark by."""

from __future__ import annotations

from itertools import groupby

from listel.core.host.outcome import Outcome
from listel.plugins.setting_out import Notch, Piece, SettingOut
from listel.reports.drawings.layout import figure, nothing
from listel.reports.drawings.paper import HAIR, LINE_SPACE, SMALL, THICK, THIN, WIDTH, Box, Drawing, Sheet

LONG, DEEP = WIDTH - 4.0, 9.0
LEAST = 1.6
"""Least width a notch is drawn, mm."""


def notches(outcome: Outcome, *, trim: str) -> Drawing:
    """Each piece with its notches and holes, as it will hang; its length not to the scale of its depth."""
    title = f"{trim}, notches and holes"
    out = outcome.sheet.get(SettingOut)
    mine = [notch for notch in out.notches if notch.trim == trim] if out else []
    if out is None or not mine:
        return nothing(title, "Nothing is notched or bored.")
    pieces = {piece.label: piece for piece in out.pieces}
    depth = next(each.section.height for each in outcome.job.trim if each.name == trim) or max(n.lower for n in mine)
    paper, top, told = Sheet(), 0.0, []
    for label, cuts in groupby(sorted(mine, key=lambda notch: (notch.piece, notch.start)), lambda notch: notch.piece):
        here = list(cuts)
        said = [words(notch, outcome) for notch in here]
        top = _piece(paper, pieces[label], here, said, depth, top) + 4.0
        told.append(f"{label}: {'; '.join(said)}")
    return paper.finish(title, f"{title}, faces to you. {'. '.join(told)}.", "not to scale")


def words(notch: Notch, outcome: Outcome) -> str:
    """A notch or hole in figures: along from the left end of the back, and down from the top edge."""
    units = outcome.job.units

    def span(a: float, b: float) -> str:
        return f"{figure(a, units)} to {figure(b, units)}"

    down = "from the top" if notch.upper <= 0 else f"{figure(notch.upper, units)} down"
    foot = "to the bottom" if notch.open_below else f"to {figure(notch.lower, units)} down"
    return f"{notch.kind} {span(notch.start, notch.end)}, {down} {foot}, for the {notch.by}"


def _piece(paper: Sheet, piece: Piece, cuts: list[Notch], said: list[str], depth: float, top: float) -> float:
    """One piece with what is cut out of it hatched; gives the level under its figures."""
    level = top + SMALL
    paper.words(0.0, level, piece.label, SMALL, bold=True)
    face, low = level + 1.5, level + 1.5 + DEEP
    across, down = LONG / max(piece.back, 1.0), DEEP / depth
    paper.rectangle(Box(0.0, face, LONG, low), THICK)
    level = low
    for number, (notch, line) in enumerate(zip(cuts, said, strict=True), 1):
        middle, half = (notch.start + notch.end) / 2 * across, max((notch.end - notch.start) * across, LEAST) / 2
        foot = low if notch.open_below else face + notch.lower * down
        hole = Box(middle - half, face + notch.upper * down, middle + half, foot)
        paper.hatch(hole, 0.8)
        paper.rectangle(hole, THIN)
        paper.line((middle, low), (middle, low + 1.0), HAIR)
        level += SMALL * LINE_SPACE
        paper.words(0.0, level + 0.8, f"{number}: {line}" if len(cuts) > 1 else line, SMALL)
    return level
