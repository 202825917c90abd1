"""The houses one after another through so many crews: when each begins and ends."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from heapq import heapify, heapreplace

from listel.core.quick import dataclass
from listel.reports.calendar import event, written
from listel.reports.estate.house import House


@dataclass(frozen=True)
class Spell:
    """A house's time with one crew, first day and last."""

    house: str
    crew: int
    first: date
    last: date


def spells(houses: Iterable[House], crews: int) -> list[Spell]:
    """Each house that may begin, the one asked for earliest first, given to the crew that is free first; never before
    the day its own survey asks for. A house that is held, or has no first day, has none."""
    waiting = sorted((house.begins, house.name, house) for house in houses if house.fit and _day(house.begins))
    free = [(date.min, crew) for crew in range(1, crews + 1)]
    heapify(free)
    found = []
    for begins, name, house in waiting:
        ready, crew = free[0]
        first = max(ready, date.fromisoformat(begins))
        last = first + timedelta(days=max(0, house.days - 1))
        heapreplace(free, (last + timedelta(days=1), crew))
        found.append(Spell(name, crew, first, last))
    return found


def _day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def calendar(found: Sequence[Spell]) -> str:
    """The programme as a calendar (RFC 5545), an event a house."""

    def entries() -> Iterator[str]:
        for spell in found:
            days = (spell.last - spell.first).days + 1
            stamp = f"{spell.first:%Y%m%d}T000000Z"
            says = f"{days} days, crew {spell.crew}"
            yield from event(f"house-{spell.house}", stamp, spell.first, 0, days, spell.house, says, "OPAQUE")

    return written("All houses", entries())
