"""What ``estimate`` gives: every line of the work with its quantity and, by the firm's rates, its hours and amount.

Money and quantities are Decimal: a quantity is rounded once to its hundredth, an amount once to the coin's hundredth,
and whatever is summed is a sum of what is shown.
"""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar, Literal

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass
from listel.core.survey.units import Units
from listel.plugins.estimate.measures import IN_FEET, METRIC
from listel.plugins.site import tables

NOUGHT = Decimal(0)
LAID_ON = ("overheads", "margin", "contingency", "tax")
"""Kinds of lines that are laid on all the others."""

Standing = Literal["quantities only", "budget, not an offer", "offer"]
"""What an estimate may be taken for: without rates only quantities; a budget while a hold is open or a line has no
price."""


@dataclass(frozen=True, kw_only=True)
class Item:
    """One line. ``amount`` is its labour, materials, hire or waste, or what its ``kind`` says beside these; None where
    the rates have no price for it, and ``lacks`` says which."""

    LINE: ClassVar[str] = "estimate-item"
    kind: str = told(
        "labour, timber, material, delivery, hire, waste, preliminaries, overheads, margin, contingency, tax"
    )
    work: str = told("the kind of labour, or of other lines their own word", default="")
    room: str = told("the room; empty: the whole job", default="")
    trim: str = told("the trim", default="")
    member: str = told("the member", default="", words=tables.words("members"))
    substrate: str = told("make-up of the wall, where it counts", default="", words=tables.words("makeups"))
    state: str = told("new, refix or repair, where it counts", default="")
    step: str = told("of another step of the order of work: which", default="")
    what: str = told("what is done or bought, in words")
    quantity: Decimal = told("how much")
    unit: str = told("m, nr, m2, item (ft, each, sq ft where it is counted in feet), or what is bought")
    trade: str = told("who does it", default="")
    hours_each: Decimal | None = told("hours for one", "h", None)
    hours: Decimal | None = told("hours", "h", None)
    rate: Decimal | None = told(
        "money for one, or of labour for an hour; of overheads, margin and tax the per cent", "", None
    )
    labour: Decimal = told("its labour", "", NOUGHT)
    materials: Decimal = told("its materials", "", NOUGHT)
    hire: Decimal = told("its hire", "", NOUGHT)
    waste: Decimal = told("its waste", "", NOUGHT)
    amount: Decimal | None = told("what it comes to; none: not priced", "", None)
    heading: str = told("what a client reads it under", default="")
    stage: str = told("the stage in which it is paid", default="")
    spread: tuple[tuple[str, int], ...] = told(
        "of hire by the day or the week: how many each stage carries", default=()
    )
    lacks: str = told("what it is not priced for want of, in words; empty where it is", default="")
    grounds: Grounds = told("why", default=Grounds())

    @property
    def about(self) -> str:
        """The trim, or what old trim that no trim of the job mends is, in words."""
        return about_what(self.trim, self.member)


SPANS = ("day", "week", "room")
MEASURES = ("h", "item", *IN_FEET, *METRIC)
"""Units that stand behind their number as they are; what is bought by the piece is so many times one."""


def so_many(quantity: Decimal, unit: str) -> str:
    """A quantity with its unit, as 12.50 m, 17 weeks, 148 or 11 x board of 4200 mm."""
    if unit == "each":
        return f"{quantity.to_integral_value() if quantity == quantity.to_integral_value() else quantity:f}"
    if unit in SPANS:
        return f"{quantity} {unit}{'' if quantity == 1 else 's'}"
    return f"{quantity} {unit}" if unit in MEASURES else f"{quantity} x {unit}"


def about_what(trim: str, member: str) -> str:
    """The trim, else its member in words; empty for work at no trim."""
    return trim or (str(tables.member(member)["says"]) if member else "")


@dataclass(frozen=True, kw_only=True)
class ClientLine:
    """One line of a client's price: overheads and margin are in it, hours are not told."""

    LINE: ClassVar[str] = "client-line"
    room: str = told("the room; empty: the whole job", default="")
    what: str = told("what it is for")
    amount: Decimal = told("what it comes to")
    tax: bool = told("whether it is a tax", default=False)


@dataclass(frozen=True, kw_only=True)
class PaymentStage:
    """One stage of the order of work with its share of the total."""

    LINE: ClassVar[str] = "payment-stage"
    name: str = told("the stage")
    what: str = told("the stage in words")
    amount: Decimal = told("its value")
    so_far: Decimal = told("the value of it and all before it")


@dataclass(frozen=True, kw_only=True)
class ShoppingLine:
    """What is bought, in the units it is sold in."""

    LINE: ClassVar[str] = "shopping"
    merchant: str = told("who sells it")
    what: str = told("what")
    count: int | None = told("how many are asked for; none: the packs are not known", default=None)
    pack: str = told("one of what: a board of a length, a box, a tin, a tube")
    price: Decimal | None = told("the price of one", "", None)
    trim: str = told("the trim it is for, or empty", default="")

    @property
    def take(self) -> str:
        """As it is asked for over the counter."""
        return self.pack if self.count is None else so_many(Decimal(self.count), self.pack)


@dataclass(frozen=True, kw_only=True)
class Qualification:
    """What the price rests on and nobody surveyed."""

    LINE: ClassVar[str] = "qualification"
    what: str = told("the value that is assumed")
    value: str = told("what it is taken to be, with its unit")
    why: str = told("on what ground", default="")
    places: int = told("how often it was assumed", default=1)


@dataclass(frozen=True, kw_only=True)
class NotIncluded:
    """What is not in the price: ``kind`` provisional (somebody prices it when it is known), exclusion, or
    contingency (what the fabric may hide, priced by a person)."""

    LINE: ClassVar[str] = "not-included"
    kind: str = told("provisional, exclusion or contingency")
    what: str = told("what, in words")
    where: str = told("where", default="")
    rule: str = told("the rule that tells it, or empty", default="")


@dataclass(frozen=True, kw_only=True)
class Actual:
    """What some of the work took in the end, beside what was estimated for it."""

    LINE: ClassVar[str] = "actual"
    work: str = told("the kind of labour, or of other lines their own word")
    room: str = told("the room; empty: all", default="")
    trim: str = told("the trim; empty: all", default="")
    hours: float | None = told("hours it took", "h", None)
    estimated_hours: Decimal | None = told("hours estimated", "h", None)
    cost: float | None = told("what it cost", "", None)
    estimated: Decimal | None = told("amount estimated", "", None)
    ratio: float | None = told("hours taken to hours estimated; without hours, of the costs", "", None)


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """The estimate, counted in metres, or in feet where ``units`` are inches. ``total`` is the sum of all amounts; None
    without rates."""

    standing: Standing = "quantities only"
    firm: str = ""
    currency: str = ""
    units: Units = "mm"
    items: tuple[Item, ...] = ()
    hours: Decimal = NOUGHT
    total: Decimal | None = None
    client: tuple[ClientLine, ...] = ()
    stages: tuple[PaymentStage, ...] = ()
    shopping: tuple[ShoppingLine, ...] = ()
    qualifications: tuple[Qualification, ...] = ()
    not_included: tuple[NotIncluded, ...] = ()
    actual: tuple[Actual, ...] = ()

    @property
    def unpriced(self) -> tuple[Item, ...]:
        """The lines the rates have no price for."""
        return tuple(item for item in self.items if item.amount is None)
