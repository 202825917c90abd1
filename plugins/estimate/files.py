"""The estimate as CSV, and as a workbook whose formulas still add up."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any

from listel.core.files import Content, spreadsheet_safe
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.plugins.estimate.results import NOUGHT, Estimate, Item

PARTS = ("client", "office", "site")
Cell = str | Decimal | float | int | None


@dataclass(frozen=True)
class Column:
    """A column of a table of lines: its heading, and what stands under it."""

    heading: str
    of: Callable[[Any], Cell]


WHERE = (Column("room", lambda item: item.room), Column("trim", lambda item: item.about))
WORK = (
    Column("kind", lambda item: item.kind),
    *WHERE,
    Column("what", lambda item: item.what),
    Column("wall", lambda item: item.substrate),
    Column("state", lambda item: item.state),
    Column("quantity", lambda item: item.quantity),
    Column("unit", lambda item: item.unit),
)
HOURS = (
    Column("trade", lambda item: item.trade),
    Column("hours for one", lambda item: item.hours_each),
    Column("hours", lambda item: item.hours),
)
MONEY = (Column("rate", lambda item: item.rate), Column("amount", lambda item: item.amount))
OFFICE = (*WORK, *HOURS, *MONEY)
SITE = (*WORK, *HOURS)
CLIENT = (
    Column("room", lambda line: line.room),
    Column("for", lambda line: line.what),
    Column("amount", lambda line: line.amount),
)


def blanked(found: Estimate) -> Estimate:
    """The schedule of the work without hours, rates and amounts, for somebody else to fill in."""
    items = tuple(
        replace(item, hours_each=None, hours=None, rate=None, amount=None, lacks="", quantity=item.quantity)
        for item in found.items
    )
    return replace(found, items=items, total=None, client=(), stages=(), shopping=())


def as_file(ending: str, found: Estimate, part: str) -> Content:
    """The estimate for a part as the content of a ``.csv`` or ``.xlsx``. Raises InputFault without xlsxwriter."""
    return _workbook(found, part) if ending == ".xlsx" else _csv(found, part)


def lines_for(found: Estimate, part: str) -> tuple[Sequence[Any], tuple[Column, ...]]:
    """The lines that a part shows, and its columns: a client's without hours and margin, the site's labour only."""
    if part == "client":
        return found.client, CLIENT
    if part == "site":
        return [item for item in found.items if item.kind in ("labour", "timber", "material")], SITE
    return found.items, OFFICE


def _csv(found: Estimate, part: str) -> str:
    lines, columns = lines_for(found, part)
    text = StringIO()
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow([column.heading for column in columns])
    for line in lines:
        rows.writerow([_plain_cell(column.of(line)) for column in columns])
    if part != "site" and found.total is not None:
        rows.writerow(["total", *[""] * (len(columns) - 2), found.total])
    return text.getvalue()


def _plain_cell(value: Cell) -> Cell:
    return spreadsheet_safe(value) if isinstance(value, str) else value


# ---------------------------------------------------------------- the workbook


def _workbook(found: Estimate, part: str) -> bytes:
    try:
        from xlsxwriter import Workbook
    except ImportError as error:
        raise InputFault("a workbook needs xlsxwriter: pip install 'listel[office]'") from error
    held = BytesIO()
    book = Workbook(held, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": "Estimate", "created": datetime(2000, 1, 1)})
    lines, columns = lines_for(found, part)
    sheet = _Sheet(book, "Estimate", columns)
    untaxed = sum(1 for line in found.items if line.kind != "tax")
    for line in lines:
        sheet.row(line, sheet.formulas(line, untaxed) if part == "office" else {})
    if part != "site":
        sheet.total("amount", sum((line.amount or NOUGHT for line in lines), NOUGHT))
    if part == "office":
        sheet.total("hours", found.hours, sheet.number)
        _more(book, found)
    book.close()
    return held.getvalue()


def _more(book: Any, found: Estimate) -> None:
    """The sheets of the office beside the lines: what is bought, payment, and what the price rests on."""
    keys = ("merchant", "what", "count", "pack", "price")
    shopping = _Sheet(book, "Shopping", (*map(_key, keys), Column("cost", lambda line: None)))
    for line in found.shopping:
        cost = None if line.price is None or line.count is None else line.price * line.count
        at = shopping.number + 1
        shopping.row(line, {"cost": (f"=ROUND(C{at}*E{at}+1E-9,2)", cost)} if cost is not None else {})
    stages = _Sheet(book, "Payment", tuple(map(_key, ("what", "amount", "so_far"))))
    for stage in found.stages:
        at = stages.number + 1
        stages.row(stage, {"so_far": (f"=SUM(B$2:B{at})", stage.so_far)})
    rests = _Sheet(book, "Rests on", tuple(map(_key, ("what", "value", "why"))))
    for each in found.qualifications:
        rests.row(each, {})
    out = _Sheet(book, "Not included", tuple(map(_key, ("kind", "what", "where"))))
    for lacking in found.not_included:
        out.row(lacking, {})


def _key(key: str) -> Column:
    return Column(key, lambda line: getattr(line, key))


class _Sheet:
    """One sheet of a workbook, written row by row; ``number`` is that of the row to come, from 0."""

    def __init__(self, book: Any, name: str, columns: Sequence[Column]) -> None:
        self.sheet, self.columns, self.number = book.add_worksheet(name), columns, 1
        head = book.add_format({"bold": True, "bottom": 1})
        for at, column in enumerate(columns):
            self.sheet.write_string(0, at, column.heading.replace("_", " "), head)
            self.sheet.set_column(at, at, 44 if column.heading in ("what", "for", "why", "where") else 14)
        self.sheet.freeze_panes(1, 0)

    def letter(self, heading: str) -> str:
        """The letter of a column."""
        return chr(ord("A") + next(at for at, column in enumerate(self.columns) if column.heading == heading))

    def row(self, line: Any, formulas: dict[str, tuple[str, Decimal | None]]) -> None:
        """A line: text as text, whatever it begins with, numbers as numbers, and formulas with what they come to."""
        for at, column in enumerate(self.columns):
            value = column.of(line)
            if column.heading in formulas:
                formula, worth = formulas[column.heading]
                self.sheet.write_formula(self.number, at, formula, None, float(worth or 0))
            elif isinstance(value, str):
                self.sheet.write_string(self.number, at, value)
            elif value is not None:
                self.sheet.write_number(self.number, at, float(value))
        self.number += 1

    def formulas(self, item: Item, untaxed: int) -> dict[str, tuple[str, Decimal | None]]:
        """How a line's hours and amount follow from the cells beside them; the first ``untaxed`` lines are no taxes.

        The billionth brings up halves that binary fractions fall short of: no product has a billionth of its own.
        """
        at = self.number + 1
        quantity, hours, rate, amount = (self.letter(key) for key in ("quantity", "hours", "rate", "amount"))
        if item.unit == "%":
            last = untaxed + 1 if item.kind == "tax" else at - 1
            base = f"=SUM({amount}$2:{amount}${last})"
            return {
                "quantity": (base, item.quantity),
                "amount": (f"=ROUND({quantity}{at}*{rate}{at}/100+1E-9,2)", item.amount),
            }
        if item.kind == "labour":
            each = self.letter("hours for one")
            return {
                "hours": (f"={quantity}{at}*{each}{at}", item.hours),
                "amount": (f"=ROUND({hours}{at}*{rate}{at}+1E-9,2)", item.amount),
            }
        return {"amount": (f"=ROUND({quantity}{at}*{rate}{at}+1E-9,2)", item.amount)}

    def total(self, heading: str, worth: Decimal, row: int | None = None) -> None:
        """The sum of a column under it, in the row to come, or in that row (from 1)."""
        letter = self.letter(heading)
        last = self.number if row is None else row - 1
        at = ord(letter) - ord("A")
        self.sheet.write_formula(last, at, f"=SUM({letter}2:{letter}{last})", None, float(worth))
        self.sheet.write_string(last, 0, "total")
        self.number = last + 1
