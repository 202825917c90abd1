"""The order in which stages run: givers first, then those that amend (by name), then those that need or want."""

from __future__ import annotations

from collections.abc import Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from listel.core.contract.stage import Said, Stage, Steps
from listel.core.survey.faults import InputFault


class OrderFault(InputFault):
    """The installed stages cannot be put in order; the message names them."""


def in_order(stages: Sequence[Stage]) -> list[Stage]:
    """Put stages in running order; the same set gives the same order however it was registered.

    Raises OrderFault: two stages of one name, two givers of one type, a need nobody gives, a cycle.
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
        chain = [giver, *sorted(stage.name for stage in stages if kind in stage.amends)]
        for before, after in pairwise(chain):
            tie(before, after, kind)
        last[kind] = chain
    for stage in stages:
        for kind in (*stage.needs, *stage.wants, *stage.amends):
            if kind not in givers:
                if kind in stage.wants or _given_before_all(kind):
                    continue
                raise OrderFault(f"{stage.name} needs {kind.__name__}, which no installed plugin gives")
            chain = last[kind]
            if stage.name not in chain:
                tie(chain[-1], stage.name, kind)
    return edges, reasons


def _given_before_all(kind: type) -> bool:
    """Whether the engine itself keeps it on the sheet."""
    return kind in (Said, Steps)


def _givers(stages: Sequence[Stage]) -> dict[type, str]:
    givers: dict[type, str] = {}
    for stage in sorted(stages, key=lambda stage: stage.name):
        for kind in stage.gives:
            if kind in givers:
                raise OrderFault(f"{kind.__name__} is given by both {givers[kind]} and {stage.name}")
            givers[kind] = stage.name
    return givers


def _cycle_in_words(cycle: list[str], reasons: dict[tuple[str, str], str]) -> str:
    links = [
        f"{after} needs {reasons.get((before, after), 'something')} from {before}" for before, after in pairwise(cycle)
    ]
    return f"the stages wait for each other: {'; '.join(links)}"
