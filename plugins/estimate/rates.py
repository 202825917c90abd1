"""A firm's rates: read from its own file, never from a survey, and judged at line and column."""

from __future__ import annotations

import argparse
import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import field
from decimal import Decimal
from pathlib import Path
from typing import Any

from listel.core.commands.settings import read_settings
from listel.core.contract.findings import Source
from listel.core.contract.tables import load_table
from listel.core.files import beside
from listel.core.quick import dataclass
from listel.core.survey.messages import Fault, SurveyFaults, did_you_mean
from listel.core.survey.schema_words import schema_faults
from listel.core.survey.units import PARSERS, Units
from listel.core.survey.yaml_places import Document, read_document
from listel.plugins.estimate.measures import METRIC, unit_in

PARTICULARS = ("trim", "member", "substrate", "state", "step")
"""What a row of labour may say it is for; a row that says less is for more."""


@dataclass(frozen=True, kw_only=True)
class Labour:
    """Hours for one of a kind of work; None: the firm has not put them in yet. ``line``: that of the file."""

    work: str
    particulars: Mapping[str, str]
    hours: Decimal | None
    trade: str = ""
    line: int = 0


@dataclass(frozen=True, kw_only=True)
class Price:
    """The ``price`` of ``per`` of a metric unit, which are sold together as a ``pack``; or of a metre or a foot of
    timber."""

    what: str
    price: Decimal | None
    unit: str = ""
    per: Decimal = Decimal(1)
    pack: str = ""
    merchant: str = ""
    line: int = 0


@dataclass(frozen=True, kw_only=True)
class Charge:
    """Hire, waste or a preliminary: its ``price`` per job, room, day, week, metre or foot; only where the order of work
    has the ``step`` still to do, or the survey names the ``access``, where it is for one."""

    kind: str
    what: str
    price: Decimal | None
    per: str = "job"
    step: str = ""
    access: str = ""
    line: int = 0


@dataclass(frozen=True, kw_only=True)
class Share:
    """A share of what stands before it, per cent, or an amount; and the reason the firm gives."""

    name: str
    rate: Decimal | None = None
    amount: Decimal | None = None
    why: str = ""
    line: int = 0


@dataclass(frozen=True, kw_only=True)
class Rates:
    """The rates of one firm. Money is in ``currency``, wages for an hour; hours and timber by the metre and the square
    metre, where ``units`` are inches by the foot and the square foot."""

    firm: str
    currency: str
    units: Units = "mm"
    dated: str = ""
    file: str = ""
    digest: str = ""
    wages: Mapping[str, Decimal] = field(default_factory=dict)
    labour: tuple[Labour, ...] = ()
    timber: tuple[tuple[str, Price], ...] = ()
    materials: tuple[Price, ...] = ()
    charges: tuple[Charge, ...] = ()
    least_order: Decimal | None = None
    delivery: Decimal | None = None
    overheads: Share | None = None
    margin: Share | None = None
    contingency: Share | None = None
    tax: tuple[Share, ...] = ()

    @property
    def source(self) -> Source:
        """The firm's file as a source."""
        return Source(f"Rates of {self.firm}", year=self.dated, standing="house-rule")

    def hours_for(self, work: str, **about: str) -> Labour | None:
        """The row for some work: of those that fit it the one that says most, of two alike the upper."""
        fitting = [
            row
            for row in self.labour
            if row.work == work and all(about.get(key, "") == value for key, value in row.particulars.items())
        ]
        return max(fitting, key=lambda row: len(row.particulars), default=None)

    def timber_for(self, trim: str, member: str) -> Price | None:
        """The price of a metre or a foot of a trim: its own before its member's."""
        found = dict(reversed(self.timber))
        return found.get(f"trim {trim}") or found.get(f"member {member}")

    def material_for(self, what: str, unit: str) -> Price | None:
        """The price of a material by the words it begins with, the longest that fit."""
        fitting = [row for row in self.materials if row.unit == unit and what.startswith(row.what)]
        return max(fitting, key=lambda row: len(row.what), default=None)


def read_rates(path: Path) -> Rates:
    """A firm's rates. Raises SurveyFaults with every fault at its line and column."""
    document = read_document(path, "rates file")
    schema = json.loads(beside("listel.schemas", "rates.schema.json").read_text(encoding="utf-8"))
    faults = [*document.faults, *schema_faults(document, schema)]
    faults = faults or list(_unknown_work(document))
    if faults:
        raise SurveyFaults(faults)
    return _rates(document, path)


def _unknown_work(document: Document) -> Iterator[Fault]:
    known = [row.name for row in load_table(__package__, "works")]
    for number, row in enumerate(document.data.get("labour", ())):
        if row["work"] not in known:
            says = f"there is no work {row['work']}.{did_you_mean(row['work'], known, 'there are')}"
            yield document.fault(("labour", number, "work"), says)
        if row.get("trade") and row["trade"] not in document.data.get("wages", {}):
            says = f"wages has no {row['trade']}.{did_you_mean(row['trade'], document.data.get('wages', {}), 'it has')}"
            yield document.fault(("labour", number, "trade"), says)


def _rates(document: Document, path: Path) -> Rates:
    data, lines = document.data, document.lines()

    def rows(key: str) -> Iterator[tuple[Mapping[str, Any], int]]:
        for number, row in enumerate(data.get(key, ())):
            yield row, lines.get(f"{key}/{number}", 0)

    order = data.get("order", {})
    return Rates(
        firm=data["firm"],
        currency=data["currency"],
        units=data.get("units", "mm"),
        dated=str(data.get("dated", "")),
        file=path.name,
        digest=hashlib.sha256(json.dumps(data, sort_keys=True).encode()).hexdigest(),
        wages={trade: _money(wage) for trade, wage in data.get("wages", {}).items() if wage is not None},
        labour=tuple(_labour(row, line) for row, line in rows("labour")),
        timber=tuple(_timber(row, line, data.get("units", "mm")) for row, line in rows("timber")),
        materials=tuple(_material(row, line) for row, line in rows("materials")),
        charges=tuple(_charge(row, line) for row, line in rows("charges")),
        least_order=_maybe(order.get("least")),
        delivery=_maybe(order.get("delivery")),
        overheads=_share(data, "overheads", lines),
        margin=_share(data, "margin", lines),
        contingency=_share(data, "contingency", lines),
        tax=tuple(_share_of(row["name"], row, line) for row, line in rows("tax")),
    )


def _money(value: float) -> Decimal:
    return Decimal(str(int(value) if float(value).is_integer() else value))


def _maybe(value: float | None) -> Decimal | None:
    return None if value is None else _money(value)


def _labour(row: Mapping[str, Any], line: int) -> Labour:
    particulars = {key: row[key] for key in PARTICULARS if key in row}
    hours = _maybe(row.get("hours"))
    return Labour(work=row["work"], particulars=particulars, hours=hours, trade=row.get("trade", ""), line=line)


def _timber(row: Mapping[str, Any], line: int, units: Units) -> tuple[str, Price]:
    for_what = f"trim {row['trim']}" if "trim" in row else f"member {row['member']}"
    return for_what, Price(what=for_what, price=_maybe(row.get("price")), unit=unit_in("m", units), line=line)


def _material(row: Mapping[str, Any], line: int) -> Price:
    per, told = _money(row.get("per", 1)), row["unit"]
    unit, size = METRIC.get(told, (told, Decimal(1)))
    return Price(
        what=row["what"],
        price=_maybe(row.get("price")),
        unit=unit,
        per=per * size,
        pack=row.get("pack", "") or (told if per == 1 else f"{per} {told}"),
        merchant=row.get("merchant", ""),
        line=line,
    )


def _charge(row: Mapping[str, Any], line: int) -> Charge:
    return Charge(
        kind=row["kind"],
        what=row["what"],
        price=_maybe(row.get("price")),
        per=row.get("per", "job"),
        step=row.get("step", ""),
        access=row.get("access", ""),
        line=line,
    )


def _share(data: Mapping[str, Any], key: str, lines: Mapping[str, int]) -> Share | None:
    if data.get(key) is None:
        return None
    told = data[key]
    return _share_of(key, told if isinstance(told, dict) else {"share": told}, lines.get(key, 0))


def _share_of(name: str, row: Mapping[str, Any], line: int) -> Share:
    told = row.get("share", row.get("rate"))
    rate = None if told is None else _money(PARSERS["percent"](told))
    return Share(name=name, rate=rate, amount=_maybe(row.get("amount")), why=row.get("why", ""), line=line)


def add_rates_argument(parser: argparse.ArgumentParser) -> None:
    """The option that names a firm's rates."""
    parser.add_argument("--rates", type=Path, metavar="FILE", help="the firm's rates (default: as the settings say)")


def given_rates(arguments: argparse.Namespace) -> tuple[Rates, ...]:
    """The rates that the command line names, else those of the settings; none where neither does.

    Raises SurveyFaults where they cannot be read.
    """
    path = arguments.rates or read_settings().file("estimate", "rates")
    return (read_rates(path),) if path is not None else ()
