"""Every board, and what is cut from it where."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.cutting import CuttingList
from listel.plugins.setting_out import SettingOut
from listel.reports.drawings.boards import board
from listel.reports.drawings.layout import figure
from listel.reports.drawings.paper import Drawing

BOARD = 148.0
"""Paper that the longest board takes, mm."""


@dataclass(frozen=True, kw_only=True)
class BoardRow:
    """One board and its drawing."""

    name: str
    drawing: Drawing


@dataclass(frozen=True, kw_only=True)
class TrimBoards:
    """The boards of one trim, all at one scale; ``short``: pieces that are not to be held by hand at the saw."""

    trim: str
    rows: tuple[BoardRow, ...]
    unmade: tuple[str, ...]


def cut_boards(outcome: Outcome) -> Iterator[TrimBoards]:
    """Every board of every trim."""
    cutting, named = outcome.sheet.get(CuttingList), (outcome.sheet.get(SettingOut) or SettingOut()).numbers
    lines = [line for line in cutting.lines if line.boards or line.unmade] if cutting else []
    longest = max((each.length for line in lines for each in line.boards), default=1.0)
    units = outcome.job.units
    for line in lines:
        rows = tuple(
            BoardRow(
                name=each.board + ("" if each.bought else f", rack, {figure(each.length, units)}"),
                drawing=board(each, named, longest / BOARD, units),
            )
            for each in line.boards
        )
        yield TrimBoards(
            trim=line.trim, rows=rows, unmade=tuple(named.get(each.piece, each.piece) for each in line.unmade)
        )


def boards_of(outcome: Outcome) -> dict[str, str]:
    """The board that each piece is cut from, by the piece's label."""
    cutting = outcome.sheet.get(CuttingList)
    lines = cutting.lines if cutting else ()
    return {cut.piece: each.board for line in lines for each in line.boards for cut in each.cuts}
