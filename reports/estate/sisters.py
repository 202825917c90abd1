"""Rooms of one name in several houses: where what was settled differs, and whose evidence may speak for all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from listel.reports.estate.house import House, Trace


@dataclass(frozen=True)
class Differs:
    """A thing settled otherwise in rooms of one name: each value with its houses, the commonest first."""

    room: str
    member: str
    what: str
    values: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Offered:
    """A trace of one house that its sisters lack. It is evidence of the type, not of their own walls."""

    trace: Trace
    house: str
    sisters: tuple[str, ...]


def differing(houses: Iterable[House]) -> list[Differs]:
    """Everything in which rooms of one name were settled otherwise."""
    told: dict[tuple[str, str, str], dict[str, list[str]]] = {}
    for house in houses:
        of_house: dict[tuple[str, str, str], set[str]] = {}
        for choice in house.choices:
            of_house.setdefault((choice.room.casefold(), choice.member, choice.what), set()).add(choice.value)
        for key, values in of_house.items():
            told.setdefault(key, {}).setdefault(" and ".join(sorted(values)), []).append(house.name)
    return [
        Differs(room.capitalize(), member, what, tuple(sorted(_named(values), key=lambda one: (-len(one[1]), one[0]))))
        for (room, member, what), values in sorted(told.items())
        if len(values) > 1
    ]


def _named(values: dict[str, list[str]]) -> list[tuple[str, tuple[str, ...]]]:
    return [(value, tuple(sorted(names))) for value, names in values.items()]


def offered(houses: Iterable[House]) -> list[Offered]:
    """Each trace of a room with the houses that have a room of that name with such a trim, and no trace of it."""
    houses = list(houses)
    rooms = {house.name: {(c.room.casefold(), c.member) for c in house.choices} for house in houses}
    traced = {house.name: {(t.room.casefold(), t.member) for t in house.traces} for house in houses}
    found = []
    for house in houses:
        for trace in house.traces:
            key = (trace.room.casefold(), trace.member)
            sisters = [name for name in rooms if name != house.name and key in rooms[name] and key not in traced[name]]
            if sisters:
                found.append(Offered(trace, house.name, tuple(sorted(sisters))))
    return found


def slips(houses: Iterable[House], texts: dict[str, str]) -> list[str]:
    """What is odd about the list itself: a survey twice, one reference for several houses, units that differ."""
    houses = list(houses)
    said = []
    for text, count in Counter(filter(None, texts.values())).items():
        if count > 1:
            alike = _these(name for name in texts if texts[name] == text)
            said.append(f"{alike} are one and the same survey; each is counted. Take out what is a copy.")
    for reference, count in Counter(house.reference for house in houses if house.reference).items():
        if count > 1:
            names = _these(house.name for house in houses if house.reference == reference)
            said.append(f"{names} have one reference, {reference}.")
    units = {house.units for house in houses if house.units}
    if len(units) > 1:
        few = min(units, key=lambda unit: sum(house.units == unit for house in houses))
        odd = [house.name for house in houses if house.units == few]
        verb = "is" if len(odd) == 1 else "are"
        said.append(f"{_these(odd)} {verb} surveyed in {few}, the others not; lengths here are in mm.")
    return said


def _these(names: Iterable[str]) -> str:
    *most, last = sorted(names)
    return f"{', '.join(most)} and {last}" if most else last
