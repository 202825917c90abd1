"""What is made of the lines: a client's price, payment by stages, the shopping list, and what a tender says besides."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from math import ceil
from typing import Any

from listel.core.contract.findings import Finding, Grounds, Input
from listel.core.contract.lines import lines_of
from listel.core.contract.rules import LACKING
from listel.core.contract.stage import Said, Sheet
from listel.core.contract.tables import load_table
from listel.core.house.filters import shown_value
from listel.core.survey.job import Job
from listel.core.survey.units import show_length
from listel.plugins.bonding import Bonding
from listel.plugins.cutting import CuttingList
from listel.plugins.estimate.measures import SIZES
from listel.plugins.estimate.pricing import board_price, no_board, priced_items, rounded
from listel.plugins.estimate.rates import Rates
from listel.plugins.estimate.results import (
    NOUGHT,
    Actual,
    ClientLine,
    Estimate,
    Item,
    NotIncluded,
    PaymentStage,
    Qualification,
    ShoppingLine,
    Standing,
)
from listel.plugins.panelling import Panelling

TIMBER_MERCHANT = "timber"


def estimate(job: Job, sheet: Sheet, rates: Rates | None) -> Estimate:
    """The estimate of a job by a firm's rates, in their units; without them its quantities in the survey's."""
    units = rates.units if rates else job.units
    items = priced_items(job, sheet, rates, units)
    said = sheet.get(Said) or Said()
    total = sum((item.amount for item in items if item.amount is not None), NOUGHT) if rates else None
    return Estimate(
        standing=_standing(items, said.findings, rates),
        firm=rates.firm if rates else "",
        currency=rates.currency if rates else "",
        units=units,
        items=items,
        hours=sum((item.hours or NOUGHT for item in items), NOUGHT),
        total=total,
        client=tuple(_client(items)) if rates else (),
        stages=tuple(_stages(items)) if rates else (),
        shopping=tuple(_shopping(job, sheet, items, rates)),
        qualifications=_qualifications(job, sheet, said.findings),
        not_included=tuple(dict.fromkeys(_not_included(job, said.findings, rates))),
        actual=tuple(_actual(job, items)),
    )


def _standing(items: Iterable[Item], said: Iterable[Finding], rates: Rates | None) -> Standing:
    if rates is None:
        return "quantities only"
    unsettled = any(finding.open_hold for finding in said) or any(item.amount is None for item in items)
    return "budget, not an offer" if unsettled else "offer"


def shared(amounts: Sequence[Decimal], total: Decimal) -> list[Decimal]:
    """A total shared out in proportion to amounts, each to its hundredth, so that the shares sum to it."""
    whole = sum(amounts, NOUGHT)
    found: list[Decimal] = []
    so_far = given = NOUGHT
    for amount in amounts:
        so_far += amount
        upto = rounded(total * so_far / whole) if whole else NOUGHT
        found.append(upto - given)
        given = upto
    return found


def _laid_on(item: Item) -> bool:
    return bool(load_table(__package__, "kinds").row(item.kind).get("on-cost"))


def _client(items: Sequence[Item]) -> Iterator[ClientLine]:
    """By room and heading, overheads and margin shared over all of them; then contingency and taxes."""
    direct: dict[tuple[str, str], Decimal] = {}
    last = [item for item in items if item.kind in ("contingency", "tax") and item.amount is not None]
    for item in items:
        if item.amount is not None and item not in last and not _laid_on(item):
            key = (item.room, item.heading)
            direct[key] = direct.get(key, NOUGHT) + item.amount
    whole = sum((item.amount or NOUGHT for item in items if item not in last), NOUGHT)
    rooms = [*dict.fromkeys(room for room, _ in direct if room), ""]
    direct = {key: direct[key] for key in sorted(direct, key=lambda key: rooms.index(key[0]))}
    for (room, heading), amount in zip(direct, shared(list(direct.values()), whole), strict=True):
        yield ClientLine(room=room, what=heading, amount=amount)
    for item in last:
        yield ClientLine(what=item.what, amount=item.amount or NOUGHT, tax=item.kind == "tax")


def _stages(items: Sequence[Item]) -> Iterator[PaymentStage]:
    """The total shared over the stages in proportion to what is done and bought in each."""
    rows = load_table(__package__, "stages").rows
    direct = {row.name: NOUGHT for row in rows}
    for item in items:
        spread = item.spread or (((item.stage, 1),) if item.stage else ())
        parts = shared([Decimal(each) for _, each in spread], item.amount or NOUGHT)
        for (stage, _), part in zip(spread, parts, strict=True):
            direct[stage] += part
    total = sum((item.amount or NOUGHT for item in items), NOUGHT)
    so_far = NOUGHT
    for row, amount in zip(rows, shared(list(direct.values()), total), strict=True):
        so_far += amount
        if amount:
            yield PaymentStage(name=row.name, what=row["says"], amount=amount, so_far=so_far)


# ---------------------------------------------------------------- what is bought


def _shopping(job: Job, sheet: Sheet, items: Iterable[Item], rates: Rates | None) -> Iterator[ShoppingLine]:
    """Boards by length, then the rest by merchant; in the firm's own packs where its rates tell them."""
    priced = {item.what: item for item in items if item.kind in ("timber", "material")}
    for line in (sheet.get(CuttingList) or CuttingList()).lines:
        for bought in line.bought:
            pack = f"board of {show_length(bought.length, job.units)}"
            price = board_price(job.cutting.currency or "", rates, bought.price)
            yield ShoppingLine(
                merchant=TIMBER_MERCHANT, what=line.trim, count=bought.count, pack=pack, price=price, trim=line.trim
            )
        for wanted in line.wanted:
            cut = priced[no_board(line.trim, wanted, job.units)]
            count = ceil(wanted.length / SIZES[cut.unit])
            yield ShoppingLine(
                merchant=TIMBER_MERCHANT, what=cut.what, count=count, pack=cut.unit, price=cut.rate, trim=line.trim
            )
    found = []
    for stuff in (sheet.get(Panelling) or Panelling()).stuff:
        timber = priced[stuff.named(job.units)]
        yield ShoppingLine(
            merchant=TIMBER_MERCHANT, what=timber.what, count=ceil(timber.quantity), pack=timber.unit, price=timber.rate
        )
    for made in (sheet.get(Bonding) or Bonding()).materials:
        row = rates.material_for(made.what, made.unit) if rates else None
        item = priced.get(made.what)
        if row is not None and item is not None:
            packed = ShoppingLine(
                merchant=row.merchant or made.merchant,
                what=made.what,
                count=int(item.quantity),
                pack=item.unit,
                price=item.rate,
            )
        else:
            pack = made.pack or shown_value(made.quantity, made.unit, job.units)
            packed = ShoppingLine(merchant=made.merchant, what=made.what, count=made.count, pack=pack)
        found.append(packed)
    yield from sorted(found, key=lambda line: (not line.merchant, line.merchant))


# ---------------------------------------------------------------- what a tender says besides


def _qualifications(job: Job, sheet: Sheet, said: Iterable[Finding]) -> tuple[Qualification, ...]:
    """Every value that is assumed, in findings and in the lines of results; alike ones once."""
    counts: dict[tuple[str, str, str], int] = {}
    for grounds in _all_grounds(sheet, said):
        for given in grounds.inputs:
            if given.assumed:
                key = (given.name, _value(given, job), given.note)
                counts[key] = counts.get(key, 0) + 1
    return tuple(
        Qualification(what=what, value=value, why=why, places=places) for (what, value, why), places in counts.items()
    )


def _all_grounds(sheet: Sheet, said: Iterable[Finding]) -> Iterator[Grounds]:
    yield from (finding.grounds for finding in said)
    for result in sheet:
        for _, _, line in lines_of(result):
            grounds: Any = getattr(line, "grounds", None)
            if isinstance(grounds, Grounds) and line.LINE != "step":
                yield grounds


def _value(given: Input, job: Job) -> str:
    return given.value if isinstance(given.value, str) else shown_value(given.value, given.unit, job.units)


def _not_included(job: Job, said: Iterable[Finding], rates: Rates | None) -> Iterator[NotIncluded]:
    """Open holds and what was not surveyed, in words; and the contingency, where the fabric may hide something and
    nobody has priced that."""
    hidden = {row["rule"] for row in load_table(__package__, "hidden")}
    may_hide: list[Finding] = []
    for finding in said:
        where = finding.where.told(job.units)
        lacking = next((str(fact.value) for fact in finding.facts if fact.name == LACKING), "")
        if finding.open_hold:
            yield NotIncluded(kind="provisional", what=finding.says, where=where, rule=finding.rule)
        elif lacking:
            yield NotIncluded(
                kind="exclusion",
                what=f"Not known, with what follows from it: {lacking}",
                where=where,
                rule=finding.rule,
            )
        if finding.rule in hidden:
            may_hide.append(finding)
    if may_hide and (rates is None or rates.contingency is None):
        for finding in may_hide:
            where = finding.where.told(job.units)
            yield NotIncluded(kind="contingency", what=finding.says, where=where, rule=finding.rule)


def _actual(job: Job, items: Sequence[Item]) -> Iterator[Actual]:
    """What the records say some work took, beside the lines it was estimated by."""
    for told in job.actual:
        mine = matching(items, told.work, told.room, told.trim)
        hours = sum((item.hours or NOUGHT for item in mine), NOUGHT)
        amount = sum((item.amount or NOUGHT for item in mine), NOUGHT)
        by_hours = told.hours is not None
        taken, reckoned = (told.hours, hours) if by_hours else (told.cost, amount)
        yield Actual(
            work=told.work,
            room=told.room,
            trim=told.trim,
            hours=told.hours,
            estimated_hours=hours or None,
            cost=told.cost,
            estimated=amount or None,
            ratio=float(taken) / float(reckoned) if taken is not None and reckoned else None,
        )


def matching(items: Iterable[Item], work: str, room: str, trim: str) -> list[Item]:
    """The lines of some work, in a room and of a trim where these are named."""
    return [each for each in items if each.work == work and room in ("", each.room) and trim in ("", each.trim)]
