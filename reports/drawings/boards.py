"""The cutting list drawn: each board to scale with its pieces, its defects and what is left of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from listel.core.host.outcome import Outcome
from listel.core.survey.units import Units
from listel.plugins.cutting import CutBoard, CuttingList
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings.layout import figure, in_sheets, nothing
from listel.reports.drawings.paper import HIDDEN, SMALL, THICK, THIN, WIDTH, Box, Drawing, Sheet, letters_width, shorten

DEEP = 5.6
"""A board's depth on paper: its width is not to scale, mm."""
ROW = 3.4
MOST = 14
"""Boards on one sheet of the statement."""
SPARE = "spare"

Label = tuple[float, str]
"""Where on paper a label belongs, and its words."""


def boards(outcome: Outcome, *, trim: str) -> Drawing:
    """Every board that the trim is cut from, all at one scale along their length."""
    title = f"{trim}, boards and cuts"
    cutting = outcome.sheet.get(CuttingList)
    line = next((line for line in cutting.lines if line.trim == trim), None) if cutting else None
    if line is None or not line.boards:
        return nothing(title, "There is no cutting list for this trim.")
    units, named = outcome.job.units, (outcome.sheet.get(SettingOut) or SettingOut()).numbers
    scale = max(board.length for board in line.boards) / (WIDTH - 40.0)

    def sheet(some: Iterable[CutBoard], name: str) -> Drawing:
        paper, level, alts = Sheet(), 0.0, []
        for each in some:
            words = each.board if each.bought else f"{each.board}, {figure(each.length, units)}"
            paper.words(0.0, level + 8.0, shorten(words, 36.0, SMALL), SMALL)
            level = drawn(paper, each, named, scale, (38.0, level), units) + 2.0
            alts.append(_alt(each, named, units))
        return paper.finish(name, " ".join(alts), "all boards at one scale along their length")

    return in_sheets(line.boards, MOST, title, sheet)


def board(given: CutBoard, named: Mapping[str, str], scale: float, units: Units) -> Drawing:
    """One board alone at 1:``scale`` along its length."""
    paper = Sheet()
    drawn(paper, given, named, scale, (0.0, 0.0), units)
    return paper.finish("A board and its cuts", _alt(given, named, units), "")


def drawn(
    paper: Sheet, given: CutBoard, named: Mapping[str, str], scale: float, at: tuple[float, float], units: Units
) -> float:
    """One board from a point on, its labels never past its ends; gives the level under it."""
    x, level = at
    width = given.length / scale
    inside: list[tuple[float, float, str]] = []
    over: list[Label] = []
    for cut in given.cuts:
        name = named.get(cut.piece, SPARE)
        words = f"{name}  {figure(cut.end - cut.start, units)}"
        start, end = x + cut.start / scale, x + cut.end / scale
        fitting = next((w for w in (words, name) if letters_width(w, SMALL, bold=True) + 0.8 <= end - start), None)
        if fitting is None:
            over.append(((start + end) / 2, name))
        else:
            inside.append((start, end, fitting))
    over += [(x + (start + end) / 2 / scale, kind.replace("-", " ")) for start, end, kind in given.defects]
    top = _placed(paper, over, level, (x, x + width), over=True)
    low = top + DEEP
    paper.rectangle(Box(x, top, x + width, low), THIN)
    paper.hatch(Box(x, top, x + width, low), 1.6)
    for start, end in given.remnants:
        paper.rectangle(Box(x + start / scale, top, x + end / scale, low), HIDDEN, "white")
        words = f"keep {figure(end - start, units)}"
        if letters_width(words, SMALL) + 0.8 <= (end - start) / scale:
            paper.words(x + (start + end) / 2 / scale, low - DEEP / 2 + 0.36 * SMALL, words, SMALL, "middle")
    for start, end, _ in given.defects:
        a, b = x + start / scale, x + end / scale
        paper.rectangle(Box(a, top, b, low), THIN, "white")
        paper.lines([((a, top), (b, low)), ((a, low), (b, top))], THIN)
    for cut in given.cuts:
        paper.rectangle(Box(x + cut.start / scale, top, x + cut.end / scale, low), THICK, "white")
    for start, end, words in inside:
        paper.words((start + end) / 2, low - DEEP / 2 + 0.36 * SMALL, words, SMALL, "middle", bold=True)
    starts = [(x + cut.start / scale, figure(cut.start, units)) for cut in given.cuts]
    return _placed(paper, starts, low, (x, x + width), over=False)


def _placed(paper: Sheet, labels: list[Label], level: float, between: tuple[float, float], *, over: bool) -> float:
    """Labels side by side in a row, none past the board's ends, each led to its place; in more rows where one does not
    hold them. Gives the level after."""
    rows = _in_rows(sorted(labels), between)
    lead = 1.6 if any(abs(x - at) > 0.5 for row in rows for x, at, _ in row) else 0.8
    end = level + len(rows) * ROW + (lead if rows else 0.0)
    for number, row in enumerate(rows):
        for x, at, words in row:
            y = end - lead - 0.4 - number * ROW if over else level + lead + 2.2 + number * ROW
            if over:
                paper.line((x, y + 0.4), (at, end), THIN)
            else:
                paper.line((at, level), (x, y - 2.2), THIN)
            paper.words(x, y, words, SMALL, "middle")
    return end


Placed = tuple[float, float, str]
"""Where a label stands, where it belongs, and its words."""


def _in_rows(labels: list[Label], between: tuple[float, float]) -> list[list[Placed]]:
    """The labels in one row, moved along until none touches its neighbour; every other one in a second row, and so on,
    where the board is too short for them."""
    if not labels:
        return []
    halves = [letters_width(words, SMALL) / 2 + 0.5 for _, words in labels]
    places: list[float] = []
    for (at, _), half, before in zip(labels, halves, [0.0, *halves], strict=False):
        least = places[-1] + before + half if places else between[0] + half
        places.append(max(at, least))
    limit = between[1]
    for number in range(len(labels) - 1, -1, -1):
        places[number] = min(places[number], limit - halves[number])
        limit = places[number] - halves[number]
    if limit < between[0] - 0.01 and len(labels) > 1:
        return [*_in_rows(labels[::2], between), *_in_rows(labels[1::2], between)]
    return [[(x, at, words) for x, (at, words) in zip(places, labels, strict=True)]]


def _alt(given: CutBoard, named: Mapping[str, str], units: Units) -> str:
    cuts = ", ".join(
        f"{named.get(cut.piece, SPARE)} from {figure(cut.start, units)} to {figure(cut.end, units)}"
        for cut in given.cuts
    )
    return f"Board {given.board}, {figure(given.length, units)}: {cuts or 'nothing'}."
