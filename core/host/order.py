"""The order in which stages run: the giver of a result, those that set in it, the one that settles it, those that need
or want it. No name decides it: where two stages could stand either way, neither sees what the other does."""

from __future__ import annotations

from collections.abc import Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from listel.core.contract.firms import FirmHeights, Options
from listel.core.contract.stage import Said, Stage, Steps
from listel.core.survey.faults import InputFault


class OrderFault(InputFault):
    """The installed stages cannot be put in order; the message names them."""


def in_order(stages: Sequence[Stage]) -> list[Stage]:
    """Put stages in running order; the same set gives the same order however it was registered.

    Raises OrderFault: two stages of one name, two givers or two settlers of one type, a need nobody gives, a cycle.
    """
    named = {stage.name: stage for stage in stages}
    if len(named) < len(stages):
        names = [stage.name for stage in stages]
        twice = next(name for name in names if names.count(name) > 1)
        raise OrderFault(f"two stages are named {twice}; a stage's name must be its own")
    edges, reasons = _edges(stages)
    sorter = TopologicalSorter(edges)
    try:
        sorter.prepare()
    except CycleError as error:
        raise OrderFault(_cycle_in_words(error.args[1], reasons)) from error
    order: list[Stage] = []
    while sorter.is_active():
        ready = sorted(sorter.get_ready())
        order += [named[name] for name in ready]
        sorter.done(*ready)
    return order


def _edges(stages: Sequence[Stage]) -> tuple[dict[str, set[str]], dict[tuple[str, str], str]]:
    """For each stage the stages before it, and for each such pair the type that ties them."""
    givers = _givers(stages)
    edges: dict[str, set[str]] = {stage.name: set() for stage in stages}
    reasons: dict[tuple[str, str], str] = {}

    def tie(before: str, after: str, kind: type) -> None:
        if before != after:
            edges[after].add(before)
            reasons[(before, after)] = kind.__name__

    last: dict[type, list[str]] = {}
    for kind, giver in givers.items():
        last[kind] = [giver]
        setters = [stage.name for stage in stages if kind in stage.amends]
        for layer in (setters, _one(kind, [stage.name for stage in stages if kind in stage.settles], "settled")):
            if layer:
                for before in last[kind]:
                    for after in layer:
                        tie(before, after, kind)
                last[kind] = layer
    for stage in stages:
        for kind in stage.reads:
            if kind not in givers:
                if kind in stage.wants or _given_before_all(kind):
                    continue
                raise OrderFault(f"{stage.name} needs {kind.__name__}, which no installed plugin gives")
            if kind not in (*stage.amends, *stage.settles):
                for before in last[kind]:
                    tie(before, stage.name, kind)
    return edges, reasons


def _given_before_all(kind: type) -> bool:
    """Whether the engine itself keeps it on the sheet."""
    return kind in (Said, Steps, Options, FirmHeights)


def _givers(stages: Sequence[Stage]) -> dict[type, str]:
    kinds = dict.fromkeys(kind for stage in stages for kind in stage.gives)
    return {kind: _one(kind, [stage.name for stage in stages if kind in stage.gives], "given")[0] for kind in kinds}


def _one(kind: type, names: list[str], done: str) -> list[str]:
    """The names, at most one. Raises OrderFault where there are more."""
    if len(names) > 1:
        first, second, *_ = sorted(names)
        raise OrderFault(f"{kind.__name__} is {done} by both {first} and {second}")
    return names


def _cycle_in_words(cycle: list[str], reasons: dict[tuple[str, str], str]) -> str:
    links = [
        f"{after} needs {reasons.get((before, after), 'something')} from {before}" for before, after in pairwise(cycle)
    ]
    return f"the stages wait for each other: {'; '.join(links)}"
