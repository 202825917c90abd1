"""The estimate on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from listel.core.house.filters import money
from listel.plugins.estimate.beside import Difference
from listel.plugins.estimate.fitted import Fit, Proposal
from listel.plugins.estimate.results import Estimate, Item, so_many

WHOLE = "The whole job"


def shown(found: Estimate, part: str) -> Iterator[str]:
    """The lines for a part, room by room, then what else a tender says."""
    yield f"{found.firm}: {found.standing}" if found.firm else found.standing
    if part == "client":
        yield from _client(found)
    else:
        yield from _items(found, part)
    if found.total is not None and part != "site":
        yield f"total  {money(found.total, found.currency)}"
    if part == "site":
        yield f"hours  {found.hours:.2f}"
        return
    for item in found.unpriced if found.firm else ():
        yield f"not priced  {_named(item)}: the rates lack {item.lacks}"
    for stage in found.stages:
        yield f"payment  {money(stage.amount, found.currency)}  {stage.what}"
    for out in found.not_included:
        yield f"{out.kind}  {out.what} ({out.where})"
    if part == "office":
        for each in found.qualifications:
            yield f"rests on  {each.what}: {each.value}{f' ({each.why})' if each.why else ''}"
        yield from _shopping(found)
        yield from _actual(found)


def _items(found: Estimate, part: str) -> Iterator[str]:
    room = None
    for item in sorted(found.items, key=lambda item: (not item.room, item.room)):
        if item.room != room:
            room = item.room
            yield room or WHOLE
        hours = f"  {item.hours:.2f} h" if item.hours is not None else ""
        amount = f"  {money(item.amount, found.currency)}" if part == "office" and item.amount is not None else ""
        of = f"{item.rate} % of {money(item.quantity)}" if item.unit == "%" else so_many(item.quantity, item.unit)
        yield f"  {_named(item, room=False)}: {of}{hours}{amount}"


def _named(item: Item, *, room: bool = True) -> str:
    words = (item.what, item.about if item.kind == "labour" else "", item.substrate, item.room if room else "")
    return ", ".join(word for word in words if word)


def _client(found: Estimate) -> Iterator[str]:
    for line in found.client:
        yield f"  {line.room or WHOLE}, {line.what}: {money(line.amount, found.currency)}"


def _shopping(found: Estimate) -> Iterator[str]:
    for line in found.shopping:
        yield f"buy  {line.merchant}: {line.what}, {line.take}"


def _actual(found: Estimate) -> Iterator[str]:
    for told in found.actual:
        place = ", ".join(word for word in (told.work, told.room, told.trim) if word)
        taken = f"{told.hours:g} h, estimated {told.estimated_hours or 0:.2f} h" if told.hours is not None else ""
        cost = f"cost {told.cost:.2f}, estimated {told.estimated or 0:.2f}" if told.cost is not None else ""
        ratio = f", ratio {told.ratio:.2f}" if told.ratio is not None else ""
        yield f"took  {place}: {'; '.join(word for word in (taken, cost) if word)}{ratio}"


def shown_beside(beside: Mapping[str, Sequence[Difference]], currency: str) -> Iterator[str]:
    """What each alternative costs more or less, room by room."""
    for name, rooms in beside.items():
        yield f"with {name}: {_more(sum(each.more for each in rooms), currency)}"
        for each in rooms:
            if each.more:
                room = "Laid on all" if each.laid_on else each.room or WHOLE
                yield f"  {room}: {_more(each.more, currency)}, {money(each.other, currency)} in all"


def _more(amount: object, currency: str) -> str:
    value = float(str(amount))
    if not value:
        return "costs the same"
    return f"{money(abs(value), currency)} {'more' if value > 0 else 'less'}"


def shown_fit(fit: Fit | None) -> Iterator[str]:
    """What finished jobs propose, beside the rates as they are."""
    if fit is None:
        return
    for each in fit.proposals:
        yield f"rate  {_proposal(each)}"
    if fit.says:
        yield fit.says


def _proposal(each: Proposal) -> str:
    name = ", ".join([each.work, *(f"{key} {word}" for key, word in each.particulars.items())])
    now = f"now {each.now} h" if each.now is not None else "not in the rates"
    if each.proposed is None:
        return f"{name}: {now}, {each.records} records"
    spread = f" ({each.low:.3f} to {each.high:.3f})" if each.low is not None and each.high is not None else ""
    return f"{name}: {now}, the jobs say {each.proposed:.3f} h{spread}, {each.records} records"
