"""What is bought, counter by counter, in units as sold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import Units, show_length
from listel.plugins.bonding import Bonding, Consumable, Material
from listel.plugins.cutting import CuttingList, TrimCutting
from listel.plugins.estimate import Estimate
from listel.plugins.panelling import Panelling, Stuff
from listel.plugins.safety import SafetyNotes
from listel.plugins.site import tables
from listel.reports.drawings.layout import figure

MERCHANTS = {"fixings": "Fixings and tools", "decorators": "Glue, filler, paint", "safety": "Safety and waste"}


@dataclass(frozen=True, kw_only=True)
class Timber:
    """Boards of one length of one trim to buy."""

    take: str
    what: str
    price: float | None


@dataclass(frozen=True, kw_only=True)
class Counter:
    """What one merchant sells: (as it is sold, what); ``wear``: what each person wears."""

    name: str
    materials: tuple[tuple[str, Material], ...]
    consumables: tuple[Consumable, ...]
    wear: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Shopping:
    """Everything to buy, counter by counter."""

    timber: tuple[Timber, ...]
    total: float | None
    counters: tuple[Counter, ...]


def shopping(outcome: Outcome) -> Shopping:
    """What is bought, in units as sold."""
    job = outcome.job
    cutting, bonding = outcome.sheet.get(CuttingList), outcome.sheet.get(Bonding)
    notes, estimate = outcome.sheet.get(SafetyNotes), outcome.sheet.get(Estimate)
    packs = {line.what: line.take for line in (estimate.shopping if estimate else ()) if not line.trim}
    trims = {trim.name: trim for trim in job.trim}
    timber = tuple(each for line in (cutting.lines if cutting else ()) for each in _boards(trims[line.trim], line, job))
    panelling = outcome.sheet.get(Panelling)
    timber += tuple(_framing(trims[each.trim], each, job.units) for each in (panelling.stuff if panelling else ()))
    prices = [each.price for each in timber]
    total = sum(price for price in prices if price is not None) if prices and None not in prices else None
    wear = tuple(dict.fromkeys(item for hazard in (notes.hazards if notes else ()) for item in hazard.wear))
    counters = tuple(
        Counter(
            name=name,
            materials=tuple(
                (packs.get(m.what, "packs not counted"), m)
                for m in (bonding.materials if bonding else ())
                if m.merchant == merchant
            ),
            consumables=tuple(c for c in (bonding.consumables if bonding else ()) if c.merchant == merchant),
            wear=wear if merchant == "safety" else (),
        )
        for merchant, name in MERCHANTS.items()
    )
    filled = tuple(each for each in counters if each.materials or each.consumables or each.wear)
    return Shopping(timber=timber, total=total, counters=filled)


def _boards(trim: Trim, line: TrimCutting, job: Job) -> Iterator[Timber]:
    """The boards of the cutting list to buy, then the timber that no board surveyed gives."""
    for purchase in line.bought:
        yield Timber(
            take=f"{purchase.count} of {show_length(purchase.length, job.units)}",
            what=_timber(trim, job.units, trim.name, (trim.section.height, trim.section.thick)),
            price=None if purchase.price is None else purchase.price * purchase.count,
        )
    for wanted in line.wanted:
        name = f"{trim.name}, for splices of old work," if wanted.own else trim.name
        timber = _timber(trim, job.units, name, wanted.section)
        longest = f"the longest {figure(wanted.longest, job.units)}, no board surveyed, nothing added for waste"
        take = f"{wanted.count}, {show_length(wanted.length, job.units)} in all"
        yield Timber(take=take, what=f"{timber}, {longest}", price=None)


def _framing(trim: Trim, stuff: Stuff, units: Units) -> Timber:
    """What panelling takes of one width, or its panels; what is lost in ripping it out of boards is not in."""
    longest = f"the longest {figure(stuff.longest, units)}, nothing added for waste"
    name = trim.name if stuff.width else f"panels of the {trim.name}, thickness"
    what = f"{_timber(trim, units, name, (stuff.width, stuff.thickness))}, {longest}"
    return Timber(take=f"{stuff.count}, {stuff.in_all(units)} in all", what=what, price=None)


def _timber(trim: Trim, units: Units, name: str, section: Sequence[float | None]) -> str:
    """A trim, or a part of it by its ``name``, as it is ordered, by the sizes of its ``section``."""
    sizes = [figure(size, units) for size in section if size is not None]
    words = [
        f"{name} {' x '.join(sizes)}",
        tables.timber_words(trim.timber),
        trim.rings or "",
        trim.grade or "",
    ]
    words.append(f"{trim.moisture:g} %" if trim.moisture is not None else "")
    return ", ".join(word for word in words if word)
