"""All lines of all houses as tables: CSV files, and one workbook with a sheet each."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from datetime import datetime
from io import BytesIO, StringIO
from typing import Any

from listel.core.files import spreadsheet_safe
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.plugins.cutting import PooledTrim
from listel.reports.estate.estimate import OverAll
from listel.reports.estate.house import House
from listel.reports.estate.programme import Spell

Cell = str | float | int | None


@dataclass(frozen=True)
class Table:
    """One table: its name, its headings, its rows."""

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def tables(
    houses: Sequence[House], timber: Sequence[PooledTrim], priced: OverAll | None, found: Sequence[Spell]
) -> list[Table]:
    """Houses, holds, missing facts, what is bought, every cut in the order it is made and what no board gives,
    the estimate, the programme."""
    return [
        Table(
            "houses",
            HOUSE,
            tuple(map(_house, houses)),
        ),
        Table(
            "holds",
            ("house", "rule", "where", "says"),
            tuple((h.name, hold.rule, hold.where, hold.says) for h in houses for hold in h.holds),
        ),
        Table(
            "missing",
            ("house", "fact", "decides", "places"),
            tuple((h.name, one.fact, one.decides, one.places) for h in houses for one in h.lacking),
        ),
        Table(
            "to buy",
            ("lot", "trim", "section", "timber", "finish", "length", "count", "price of one"),
            tuple(
                (line.lot, line.trim, line.alike[1], *line.alike[3:5], buy.length, buy.count, buy.price)
                for line in timber
                for buy in line.bought
            ),
        ),
        Table(
            "cuts",
            ("lot", "trim", "turn", "board", "houses", "piece", "from", "to", "length", "left", "right", "why"),
            tuple(row for line in timber for row in _cuts(line)),
        ),
        *([Table("estimate", ESTIMATE, tuple(_estimate(priced)))] if priced else []),
        Table(
            "programme",
            ("house", "crew", "first day", "last day"),
            tuple((one.house, one.crew, one.first.isoformat(), one.last.isoformat()) for one in found),
        ),
    ]


ESTIMATE = ("trade", "for", "hours", "amount", "lines without a price")
HOUSE = ("house", "street", "reference", "surveyed", "fault", "holds", "missing", "metres", "hours", "total", "digest")


def _house(house: House) -> tuple[Cell, ...]:
    about = (house.name, house.street, house.reference, house.surveyed, house.fault)
    return (
        *about,
        len(house.holds),
        len(house.lacking),
        round(house.metres, 2),
        house.hours,
        house.total,
        house.digest,
    )


def _cuts(line: PooledTrim) -> Iterator[tuple[Cell, ...]]:
    for turn, (board, houses) in enumerate(zip(line.boards, line.houses_of, strict=True), 1):
        for cut in board.cuts:
            places = [round(place, 1) for place in (cut.start, cut.end, cut.end - cut.start)]
            of = (line.lot, line.trim, turn, board.board, ", ".join(houses), cut.piece)
            yield *of, *places, cut.left, cut.right, ""
    for each in line.unmade:
        length = round(each.length, 1)
        yield line.lot, line.trim, None, "", "", each.piece, None, None, length, each.left, each.right, each.why


def _estimate(priced: OverAll) -> Iterator[tuple[Cell, ...]]:
    for row in priced.rows:
        yield row.trade, row.heading, row.hours, row.amount, row.unpriced
    for name, saving in priced.saved:
        yield "", f"less: {name}, bought together", None, -saving, 0
    if priced.saved:
        yield "", "less: overheads, margin, contingency and tax on that", None, -priced.laid_on, 0


def as_csv(table: Table) -> str:
    """A table as CSV, no cell of which a spreadsheet takes for a formula."""
    text = StringIO()
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(table.head)
    rows.writerows([spreadsheet_safe(cell) if isinstance(cell, str) else cell for cell in row] for row in table.rows)
    return text.getvalue()


def as_workbook(found: Sequence[Table]) -> bytes:
    """All of them in one workbook. Raises InputFault without xlsxwriter."""
    try:
        from xlsxwriter import Workbook
    except ImportError as error:
        raise InputFault("a workbook needs xlsxwriter: pip install 'listel[office]'") from error
    held = BytesIO()
    book = Workbook(held, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": "All houses", "created": datetime(2000, 1, 1)})
    head = book.add_format({"bold": True, "bottom": 1})
    for table in found:
        sheet: Any = book.add_worksheet(table.name)
        sheet.write_row(0, 0, table.head, head)
        sheet.freeze_panes(1, 0)
        for number, row in enumerate(table.rows, 1):
            for at, cell in enumerate(row):
                if isinstance(cell, str):
                    sheet.write_string(number, at, cell)
                elif cell is not None:
                    sheet.write_number(number, at, cell)
    book.close()
    return held.getvalue()
