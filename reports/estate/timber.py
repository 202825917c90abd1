"""The timber of many houses, bought and cut in lots, each lot planned by itself."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from listel.core.contract.lines import of_plain, plain
from listel.core.files import write_whole
from listel.core.quick import dataclass
from listel.plugins.cutting import PooledTrim, Share, pooled
from listel.reports.estate.house import House, made_of

MOST_PIECES = 10_000
"""Pieces of a lot, at most: of so many the plan takes a minute or two, and more gain nothing by each other."""
UNREAD = (OSError, ValueError, TypeError, KeyError, AttributeError)
"""What comes of a kept file that is not there or is another's."""


@dataclass(frozen=True)
class Lot:
    """Houses that buy and cut together, the file where their plan is kept, and the digest of all it is made of. Its
    ``name`` is empty where they are all there are."""

    name: str
    houses: tuple[str, ...]
    kept: Path
    made_of: str


@dataclass(frozen=True)
class Plan:
    """The plan of a lot as it is kept."""

    made_of: str
    lines: tuple[PooledTrim, ...]


def shares_file(out: Path, house: str) -> Path:
    """Where it is kept what a house asks of each trim."""
    return out / "kept" / f"{house}.timber.json"


def lots(houses: Iterable[House], out: Path, by_street: bool, by_date: bool) -> Iterator[Lot]:
    """All houses that could be examined, or those of each street, in lots of neighbours with about as many pieces."""
    streets: dict[str, list[House]] = {}
    for house in houses:
        if not house.fault:
            streets.setdefault(house.street if by_street else "", []).append(house)
    number = 0
    for street, here in sorted(streets.items()):
        parts = _parts(here)
        for part in parts:
            number += 1
            whole = street or ("here" if by_street else "")
            name = whole if len(parts) == 1 else " to ".join(dict.fromkeys((part[0].name, part[-1].name)))
            digest = made_of(str(by_date), *(f"{house.name} {house.timber}" for house in part))
            yield Lot(name, tuple(house.name for house in part), out / "lots" / f"{number}.json", digest)


def _parts(houses: Sequence[House]) -> list[list[House]]:
    whole, so_far = sum(house.pieces for house in houses), 0
    parts: list[list[House]] = [[] for _ in range(-(-whole // MOST_PIECES) or 1)]
    for house in houses:
        parts[min(len(parts) - 1, so_far * len(parts) // max(1, whole))].append(house)
        so_far += house.pieces
    return [part for part in parts if part]


def planned(lot: Lot, out: Path, by_date: bool) -> tuple[PooledTrim, ...]:
    """The plan of a lot, as it was kept if it is made of the same."""
    with suppress(*UNREAD):
        kept: Plan = of_plain(Plan, json.loads(lot.kept.read_text("utf-8")))
        if kept.made_of == lot.made_of:
            return tuple(replace(line, lot=lot.name) for line in kept.lines)
    lines = tuple(pooled((share for house in lot.houses for share in _shares(out, house)), by_date=by_date))
    write_whole(lot.kept, json.dumps(plain(Plan(lot.made_of, lines))))
    return tuple(replace(line, lot=lot.name) for line in lines)


def _shares(out: Path, house: str) -> Iterator[Share]:
    for form in json.loads(shares_file(out, house).read_text("utf-8")):
        yield of_plain(Share, form)
