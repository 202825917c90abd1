"""The cutting list drawn: each board to scale with its pieces, its defects and what is left of it."""

from __future__ import annotations

from collections.abc import Sequence

from listel.core.host.engine import Outcome
from listel.core.survey.units import Units, show_length
from listel.plugins.cutting import CutBoard, CuttingList
from listel.reports.drawings.layout import Sample, figure, in_sheets, legend, nothing, scale_for, scale_line, spread
from listel.reports.drawings.paper import (
    HIDDEN,
    SMALL,
    THICK,
    THIN,
    WIDTH,
    Box,
    Drawing,
    Sheet,
    letters_width,
    shorten,
)

DEEP = 6.0
"""A board's depth on paper: its width is not to scale, mm."""
MOST = {"mm": 7, "inches": 6}
"""Boards on one sheet."""


def boards(outcome: Outcome, *, trim: str) -> Drawing:
    """Every board that the trim is cut from, all at one scale along their length."""
    title = f"{trim}, boards and cuts"
    cutting = outcome.sheet.get(CuttingList)
    line = next((line for line in cutting.lines if line.trim == trim), None) if cutting else None
    if line is None or not line.boards:
        return nothing(title, "There is no cutting list for this trim.")
    units = outcome.job.units
    scale = scale_for(max(board.length for board in line.boards), WIDTH - 2.0, units)
    return in_sheets(line.boards, MOST[units], title, lambda some, name: _sheet(some, name, scale, units))


def _sheet(some: Sequence[CutBoard], title: str, scale: int, units: Units) -> Drawing:
    paper = Sheet()
    level = 0.0
    for board in some:
        level = _board(paper, board, scale, level, units) + 4.0
    samples: list[tuple[Sample, str]] = [
        (_piece_sample, "a piece, with its mark; figures are running from the marked end")
    ]
    if any(board.defects for board in some):
        samples.append((_defect_sample, "a defect, left out"))
    if any(board.remnants for board in some):
        samples.append((_remnant_sample, "a remnant that goes back on the rack"))
    legend(paper, samples, WIDTH)
    words = scale_line(paper, scale, units)
    return paper.finish(title, _alt(some, title, units), f"{words} along the boards")


def _board(paper: Sheet, board: CutBoard, scale: float, level: float, units: Units) -> float:
    """One board from ``level`` down; gives the level under it."""
    source = "bought" if board.bought else "from the rack"
    paper.words(
        0.0, level + 2.6, shorten(f"{board.board}, {figure(board.length, units)}, {source}", WIDTH, SMALL), SMALL
    )
    narrow = [cut for cut in board.cuts if not _fits(cut.piece, cut.start / scale, cut.end / scale)]
    top = level + (8.6 if narrow else 4.2)
    low = top + DEEP
    paper.rectangle(Box(0.0, top, board.length / scale, low), THIN)
    for start, end in board.remnants:
        paper.rectangle(Box(start / scale, top + 1.0, end / scale, low - 1.0), HIDDEN)
        _inside(paper, f"{figure(end - start, units)} left", start / scale, end / scale, low)
    for start, end, _ in board.defects:
        paper.hatch(Box(start / scale, top, end / scale, low), 1.2)
        paper.rectangle(Box(start / scale, top, end / scale, low), THIN)
    for cut in board.cuts:
        paper.rectangle(Box(cut.start / scale, top, cut.end / scale, low), THICK, "white")
        length = f"{cut.piece}  {figure(cut.end - cut.start, units)}"
        if not _inside(paper, length, cut.start / scale, cut.end / scale, low):
            _inside(paper, cut.piece, cut.start / scale, cut.end / scale, low)
    _over(paper, [(cut.piece, (cut.start + cut.end) / 2 / scale) for cut in narrow], top)
    stations = sorted({value for cut in board.cuts for value in (cut.start, cut.end)})
    return _running(paper, [(value / scale, figure(value, units)) for value in stations], low)


def _fits(words: str, start: float, end: float) -> bool:
    return letters_width(words, SMALL) + 1.0 <= end - start


def _over(paper: Sheet, marks: list[tuple[str, float]], top: float) -> None:
    """Marks of pieces too short to hold them, in a row over the board, led to their pieces."""
    widest = max((letters_width(words, SMALL) for words, _ in marks), default=0.0)
    places = spread([x for _, x in marks], widest + 1.2)
    shift = max(0.0, widest / 2 - min(places, default=0.0))
    for (words, x), place in zip(marks, places, strict=True):
        paper.words(place + shift, top - 1.9, words, SMALL, "middle")
        paper.line((place + shift, top - 1.2), (x, top + 1.5), THIN)


def _inside(paper: Sheet, words: str, start: float, end: float, low: float) -> bool:
    if not _fits(words, start, end):
        return False
    paper.words((start + end) / 2, low - DEEP / 2 + 0.36 * SMALL, words, SMALL, "middle")
    return True


def _running(paper: Sheet, figures: list[tuple[float, str]], low: float) -> float:
    """Running figures under a board, read from the right, led to where they belong; gives the level under them."""
    if not figures:
        return low
    places = spread([x for x, _ in figures], SMALL * 1.2)
    shift = max(0.0, SMALL - places[0])
    deepest = low
    for (x, words), place in zip(figures, places, strict=True):
        paper.polyline([(x, low), (x, low + 1.0), (place + shift, low + 3.0)], THIN)
        box = paper.words(
            place + shift + 0.36 * SMALL, low + 3.6 + letters_width(words, SMALL), words, SMALL, upright=True
        )
        deepest = max(deepest, box.y1)
    return deepest


def _piece_sample(sheet: Sheet, box: Box) -> None:
    sheet.rectangle(box, THICK)


def _defect_sample(sheet: Sheet, box: Box) -> None:
    sheet.hatch(box, 1.2)
    sheet.rectangle(box, THIN)


def _remnant_sample(sheet: Sheet, box: Box) -> None:
    sheet.rectangle(box, HIDDEN)


def _alt(some: Sequence[CutBoard], title: str, units: Units) -> str:
    told = []
    for board in some:
        cuts = ", ".join(
            f"{cut.piece} from {show_length(cut.start, units)} to {show_length(cut.end, units)}" for cut in board.cuts
        )
        told.append(f"{board.board}, {show_length(board.length, units)}: {cuts or 'nothing'}")
    return f"{title}. {'; '.join(told)}."
