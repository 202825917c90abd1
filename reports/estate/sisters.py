"""Rooms of one name in several houses: where what was settled differs, and whose evidence may speak for all."""

from __future__ import annotations

from collections.abc import Iterable

from listel.core.quick import dataclass
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
    """A trace that some houses have and their sisters lack. It is evidence of the type, not of their own walls."""

    trace: Trace
    houses: tuple[str, ...]
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
    having: dict[tuple[str, str], set[str]] = {}
    traced: dict[tuple[str, str], dict[Trace, list[str]]] = {}
    for house in houses:
        for choice in house.choices:
            having.setdefault((choice.room.casefold(), choice.member), set()).add(house.name)
        for trace in dict.fromkeys(house.traces):
            traced.setdefault((trace.room.casefold(), trace.member), {}).setdefault(trace, []).append(house.name)
    found = []
    for key, traces in sorted(traced.items()):
        sisters = having.get(key, set()).difference(*traces.values())
        if sisters:
            told = tuple(sorted(sisters))
            found += [Offered(trace, tuple(sorted(names)), told) for trace, names in traces.items()]
    return found


def slips(houses: Iterable[House], texts: dict[str, str]) -> list[str]:
    """What is odd about the list itself: a survey twice, one reference for several houses, boards of one rack in
    several, units that differ."""
    houses = list(houses)
    said = []
    for names in _alike((text, name) for name, text in texts.items()).values():
        said.append(f"{_these(names)} are one and the same survey; each is counted. Take out what is a copy.")
    for reference, names in _alike((house.reference, house.name) for house in houses).items():
        said.append(f"{_these(names)} have one reference, {reference}.")
    racks: dict[tuple[str, ...], list[str]] = {}
    for board, names in _alike((board, house.name) for house in houses for board in dict.fromkeys(house.rack)).items():
        racks.setdefault(tuple(names), []).append(board)
    for sharing, boards in racks.items():
        said.append(
            f"{_these(sharing)} list alike in their racks: {'; '.join(boards)}. Each is counted. "
            "A board that is one and the same stands in the survey of the house it is cut for, and in no other."
        )
    units = {house.units for house in houses if house.units}
    if len(units) > 1:
        few = min(units, key=lambda unit: sum(house.units == unit for house in houses))
        odd = [house.name for house in houses if house.units == few]
        verb = "is" if len(odd) == 1 else "are"
        said.append(f"{_these(odd)} {verb} surveyed in {few}, the others not; lengths here are in mm.")
    return said


def _alike(of: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """What several names have in common, with them."""
    found: dict[str, list[str]] = {}
    for common, name in of:
        found.setdefault(common, []).append(name)
    return {common: names for common, names in found.items() if common and len(names) > 1}


def _these(names: Iterable[str]) -> str:
    *most, last = sorted(names)
    return f"{', '.join(most)} and {last}" if most else last
