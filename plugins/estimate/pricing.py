"""Lines with their amounts: quantities times the firm's rates, rounded once, and what is laid on them all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Any

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.house.filters import money
from listel.core.survey.job import Job
from listel.core.survey.units import Units, show_length
from listel.plugins.bonding import Bonding
from listel.plugins.cutting import CuttingList, TrimCutting, Wanted
from listel.plugins.estimate.measures import HUNDREDTH, SIZES, amount_in, measured, unit_in
from listel.plugins.estimate.quantities import ON_SITE, Quantity, quantities, to_do
from listel.plugins.estimate.rates import Charge, Labour, Price, Rates, Share
from listel.plugins.estimate.results import NOUGHT, Item, about_what
from listel.plugins.estimate.used import LENGTHS, stage_of, used
from listel.plugins.panelling import Panelling
from listel.plugins.sequence import Sequence as OrderOfWork
from listel.plugins.setting_out import SettingOut


def rounded(amount: Decimal) -> Decimal:
    """An amount to its hundredth, halves up."""
    return amount.quantize(HUNDREDTH, ROUND_HALF_UP)


def priced_items(job: Job, sheet: Sheet, rates: Rates | None, units: Units) -> tuple[Item, ...]:
    """Every line of the estimate in order, in those units, priced as far as the rates go; without rates the
    quantities."""
    items = [_labour(quantity, rates, units) for quantity in quantities(job, sheet, units)]
    items += _timber(job, sheet, rates, units)
    items += _materials(job, sheet, rates, units)
    if rates is not None:
        items += _delivery(items, rates)
    items += _charges(job, sheet, rates)
    if rates is not None:
        items += _on_costs(items, rates)
    return tuple(items)


# ---------------------------------------------------------------- one line


def _item(rates: Rates | None, kind: str, what: str, quantity: Decimal, unit: str, **about: Any) -> Item:
    """A line of a kind that is its quantity times its rate."""
    row = load_table(__package__, "kinds").row(kind)
    item = Item(
        kind=kind,
        what=what,
        quantity=quantity,
        unit=unit,
        heading=about.pop("heading", row["says"]),
        stage=about.pop("stage", row.get("stage", "")),
        **about,
    )
    if rates is None or item.rate is None:
        lacks = "" if rates is None else item.lacks or "its price"
        return replace(item, lacks=lacks)
    return _with_amount(item, rounded(item.quantity * item.rate), rates)


def _with_amount(item: Item, amount: Decimal, rates: Rates, line: int = 0, worked: str = "") -> Item:
    column = load_table(__package__, "kinds").row(item.kind)["column"]
    worked = worked or f"{item.quantity} x {item.rate}"
    note = f"{rates.file} line {line}" if line else ""
    inputs = (*item.grounds.inputs, Input("rate", float(item.rate or 0), rates.currency, note=note))
    grounds = Grounds(
        inputs,
        item.grounds.formula or "quantity times rate",
        worked,
        money(float(amount), rates.currency),
        (rates.source,),
    )
    columns: dict[str, Any] = {column: amount} if column != "none" else {}
    return replace(item, amount=amount, lacks="", grounds=grounds, **columns)


def _labour(counted: Quantity, rates: Rates | None, units: Units) -> Item:
    row, unit = counted.row, unit_in(counted.row["unit"], units)
    about = {key: getattr(counted, key) for key in ("room", "trim", "member", "substrate", "state", "step")}
    what = counted.title or (counted.state != "new" and row.get("old")) or row["says"]
    inputs = (Input("quantity", float(counted.amount), unit, note=counted.of), *counted.inputs)
    item = Item(
        kind="labour",
        work=row.name,
        what=what,
        quantity=counted.amount,
        unit=unit,
        trade=counted.trade or row["trade"],
        heading=row.get("heading", "") or about_what(counted.trim, counted.member),
        stage=row["stage"],
        grounds=Grounds(inputs, f"counted from {counted.of}"),
        **about,
    )
    if rates is None:
        return item
    found = rates.hours_for(row.name, **{k: v for k, v in about.items() if k != "room"})
    each = _hours_each(counted, found)
    if found is None or not each:
        return replace(item, lacks=f"hours for {counted.step or row.name}")
    item = replace(item, trade=found.trade or item.trade, hours_each=each, hours=counted.amount * each)
    wage = rates.wages.get(item.trade)
    if wage is None or item.hours is None:
        return replace(item, lacks=f"the wage of a {item.trade}")
    hours_input = Input("hours for one", float(each), "h", note=f"{rates.file} line {found.line}")
    grounds = replace(item.grounds, inputs=(*inputs, hours_input), formula="quantity times hours for one times wage")
    item = replace(item, rate=wage, grounds=grounds)
    return _with_amount(
        item, rounded(counted.amount * each * wage), rates, worked=f"{counted.amount} x {each} x {wage}"
    )


def _hours_each(counted: Quantity, found: Labour | None) -> Decimal | None:
    """The hours for one; of a step that the rates do not name, theirs for each hour reckoned in the order of work."""
    if found is None or found.hours is None or not counted.step or "step" in found.particulars:
        return found.hours if found else None
    return found.hours * Decimal(str(counted.reckoned))


# ---------------------------------------------------------------- timber and materials


def _timber(job: Job, sheet: Sheet, rates: Rates | None, units: Units) -> Iterator[Item]:
    unit = unit_in("m", units)
    found = sheet.get(CuttingList) or CuttingList()
    members = {trim.name: trim.member for trim in job.trim}
    for line in found.lines:
        member = members.get(line.trim, "")
        by_length = rates.timber_for(line.trim, member) if rates else None
        about = {"work": "timber", "trim": line.trim, "member": member}
        yield from _boards(job, line, rates, by_length, about)
        for wanted in line.wanted:
            price = by_length.price if by_length and not wanted.own else None
            what = no_board(line.trim, wanted, job.units)
            much = measured([wanted.length], unit)
            yield _item(rates, "timber", what, much, unit, rate=price, lacks=f"a price of one {unit}", **about)


def no_board(trim: str, wanted: Wanted, units: Units) -> str:
    """Timber that no board surveyed gives, in words."""
    size = f" {wanted.sized(units)}" if wanted.own else ""
    return f"{trim}{size}, the pieces that no board surveyed gives, as cut"


def _boards(
    job: Job, line: TrimCutting, rates: Rates | None, by_length: Price | None, about: Mapping[str, str]
) -> Iterator[Item]:
    for bought in line.in_all:
        own = board_price(job.cutting.currency or "", rates, bought.price)
        rate = by_the_length(by_length, bought.length) if own is None else own
        size = show_length(bought.length, job.units)
        price = Input("price of one", float(rate), note="the survey's stock" if own else "") if rate else None
        grounds = Grounds(
            tuple(each for each in (price,) if each),
            "boards of the whole job, those cut from already too, times the price of one",
        )
        yield _item(
            rates,
            "timber",
            f"{line.trim}, boards of {size}",
            Decimal(bought.count),
            f"board of {size}",
            rate=rate,
            lacks=f"a price of the board or of its length{_other_money(job.cutting.currency or '', rates)}",
            grounds=grounds,
            **about,
        )


def by_the_length(price: Price | None, length: float) -> Decimal | None:
    """What a board of that length [mm] comes to by the price of a metre or a foot."""
    if price is None or price.price is None:
        return None
    return rounded(price.price * Decimal(repr(round(length, 6))) / Decimal(repr(SIZES[price.unit])))


def board_price(told: str, rates: Rates | None, price: float | None) -> Decimal | None:
    """What a survey whose money is ``told`` gives for one board; None where that is not the money of the rates."""
    return None if price is None or _other_money(told, rates) else Decimal(str(price))


def _other_money(told: str, rates: Rates | None) -> str:
    """That the survey's prices are in other money than the rates, in words; "" where they are not."""
    return (
        f" in {rates.currency}, the survey's being in {told}"
        if rates and told and told.upper() != rates.currency.upper()
        else ""
    )


def _materials(job: Job, sheet: Sheet, rates: Rates | None, units: Units) -> Iterator[Item]:
    for stuff in (sheet.get(Panelling) or Panelling()).stuff:
        note = f"{stuff.count}, the longest {show_length(stuff.longest, job.units)}; nothing added for waste"
        yield _material(stuff.named(job.units), *stuff.amount, note, rates, units)
    for made in (sheet.get(Bonding) or Bonding()).materials:
        yield _material(made.what, made.quantity, made.unit, made.packs, rates, units)


def _material(what: str, needed: float, unit: str, note: str, rates: Rates | None, units: Units) -> Item:
    """So much of a material, in whole packs where the rates sell it so."""
    price = rates.material_for(what, unit) if rates else None
    exact = Decimal(repr(round(needed, 6)))
    reckoned = Input("needed", needed, unit, note=note)
    if price is None:
        quantity, shown = amount_in(exact, unit, units), unit_in(unit, units)
        return _item(rates, "material", what, quantity, shown, work="material", grounds=Grounds((reckoned,)))
    packs = (exact / price.per).to_integral_value(ROUND_CEILING)
    grounds = Grounds((reckoned, Input("sold by", float(price.per), unit)), "whole packs times the price of one")
    return _item(rates, "material", what, packs, price.pack, work="material", rate=price.price, grounds=grounds)


def _delivery(items: Sequence[Item], rates: Rates) -> Iterator[Item]:
    bought = sum((item.materials for item in items), NOUGHT)
    ordered = any(item.kind in ("timber", "material") for item in items)
    if ordered and rates.least_order is not None and bought < rates.least_order:
        short = rates.least_order - bought
        yield _item(rates, "delivery", "What the order falls short of the least", Decimal(1), "item", rate=short)
    if ordered and rates.delivery is not None:
        yield _item(rates, "delivery", "Delivery", Decimal(1), "item", rate=rates.delivery)


# ---------------------------------------------------------------- hire, waste, preliminaries


def _charges(job: Job, sheet: Sheet, rates: Rates | None) -> Iterator[Item]:
    """The firm's charges that this job calls for, and what it calls for and the rates have no charge for."""
    steps = {step.name: step for step in to_do(sheet)}
    access = job.work.access or ""
    charges = rates.charges if rates else ()
    due = [each for each in charges if (not each.step or each.step in steps) and each.access in ("", access)]
    for charge in due:
        quantity = _times(charge, job, sheet)
        unit = "item" if charge.per == "job" else charge.per
        about: dict[str, Any] = {"work": charge.step or charge.kind, "rate": charge.price}
        about |= {"grounds": _counted(charge, sheet)} | _paid(charge, sheet)
        yield _item(rates, charge.kind, charge.what, quantity, unit, **about)
    kinds = {charge.kind for charge in due}
    covered = {charge.step for charge in due}
    one = Decimal(1)
    if access and access not in ("none", "floor") and not any(charge.access for charge in due):
        says = f"Access: {access}"
        yield _item(rates, "hire", says, one, "item", work="hire", lacks="a charge for access")
    if steps and "waste" not in kinds:
        yield _item(rates, "waste", "Clear the waste away", one, "item", work="waste", lacks="a charge for waste")
    for step in steps.values():
        if step.who not in (*ON_SITE, "client", "surveyor") and step.name not in covered:
            what = f"{step.title} ({step.who.replace('-', ' ')})"
            lacks = f"a charge for {step.name}"
            yield _item(rates, "preliminaries", what, one, "item", work=step.name, lacks=lacks)


def _counted(charge: Charge, sheet: Sheet) -> Grounds:
    if charge.per not in LENGTHS:
        return Grounds()
    order = sheet.get(OrderOfWork) or OrderOfWork()
    last = max((day + 1 for day, _ in order.at_work), default=0)
    days = Input("from the covering of the floors to the last day of work", last, "days", note="waits included")
    worked = Input(f"each {charge.per} of them in which somebody is at work", used(order, charge.per).total())
    return Grounds((days, worked), f"each {charge.per} times the price of one; keeping it through a wait is not in it")


def _paid(charge: Charge, sheet: Sheet) -> dict[str, Any]:
    """The stages of payment that carry a charge: those in which it is used, else the one in which its step is begun."""
    order = sheet.get(OrderOfWork) or OrderOfWork()
    if charge.per in LENGTHS:
        return {"spread": tuple(used(order, charge.per).items())}
    stage = stage_of(order, charge.step)
    return {"stage": stage} if stage else {}


def _times(charge: Charge, job: Job, sheet: Sheet) -> Decimal:
    setting_out = sheet.get(SettingOut) or SettingOut()
    if charge.per in LENGTHS:
        return Decimal(max(1, used(sheet.get(OrderOfWork) or OrderOfWork(), charge.per).total()))
    if charge.per in SIZES:
        return measured((run.length for run in setting_out.runs), charge.per)
    rooms = len({run.room for run in setting_out.runs})
    return Decimal({"job": 1, "room": rooms}[charge.per])


# ---------------------------------------------------------------- what is laid on all


def _on_costs(items: Sequence[Item], rates: Rates) -> Iterator[Item]:
    so_far = sum((item.amount or NOUGHT for item in items), NOUGHT)
    shares: Iterable[tuple[str, Share | None]] = (
        ("overheads", rates.overheads),
        ("margin", rates.margin),
        ("contingency", rates.contingency),
    )
    for kind, share in shares:
        if share is not None:
            made = _share(kind, share, so_far, rates)
            yield made
            so_far += made.amount or NOUGHT
    for share in rates.tax:
        yield _share("tax", share, so_far, rates)


def _share(kind: str, share: Share, of: Decimal, rates: Rates) -> Item:
    says = load_table(__package__, "kinds").row(kind)["says"]
    name = share.name if kind == "tax" else says
    what = f"{name}: {share.why}" if share.why else name
    if share.rate is None:
        return _item(rates, kind, what, Decimal(1), "item", rate=share.amount, work=kind)
    item = Item(kind=kind, work=kind, what=what, quantity=of, unit="%", rate=share.rate, heading=name)
    item = replace(item, grounds=Grounds((Input("on", float(of), rates.currency),), "a share of all before it"))
    return _with_amount(item, rounded(of * share.rate / 100), rates, share.line, f"{of} x {share.rate} / 100")
