"""A plan at its cost with a better rack afterwards: its boards cut again two at a time, each two as well as may be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, combinations_with_replacement

from listel.plugins.cutting.problem import Pattern, Problem, tidy
from listel.plugins.cutting.small import solve_small

MOST_PIECES = 8
"""Pieces on two boards that are cut again, at most."""
MOST_TRIED = 120
"""How often two boards are cut again, at most."""


def regrouped(problem: Problem, plan: tuple[Pattern, ...]) -> tuple[Pattern, ...]:
    """A plan no dearer, and better by what is left where two of its boards could be cut otherwise."""
    tried: set[tuple[Pattern, Pattern]] = set()
    rest = remaining(problem, plan)
    while len(tried) < MOST_TRIED:
        both = next((pair for pair in _pairs(plan) if pair not in tried and _few(pair)), None)
        if both is None:
            break
        tried.add(both)
        part = _given_back(rest, both)
        again = solve_small(part)
        if again is not None and part.total(again.patterns) < part.total(both):
            plan = tidy(problem, [*(Counter(plan) - Counter(both)).elements(), *again.patterns])
            rest = remaining(problem, plan)
    return plan


def _given_back(rest: Problem, boards: Sequence[Pattern]) -> Problem:
    """What is left to cut, and what to cut it from, with these boards given back."""
    wanted, stretches = list(rest.wanted), list(rest.stretches)
    for number, cuts in boards:
        for size, count in cuts:
            wanted[size] += count
        if (limit := stretches[number].limit) is not None:
            stretches[number] = replace(stretches[number], limit=limit + 1)
    return replace(rest, wanted=tuple(wanted), stretches=tuple(stretches))


def _pairs(plan: tuple[Pattern, ...]) -> Iterator[tuple[Pattern, Pattern]]:
    """Each two of its boards once, however many are alike."""
    alike = Counter(plan)
    for first, second in combinations_with_replacement(alike, 2):
        if first != second or alike[first] > 1:
            yield first, second


def _few(pair: tuple[Pattern, Pattern]) -> bool:
    return sum(count for _, cuts in pair for _, count in cuts) <= MOST_PIECES


def remaining(problem: Problem, kept: Sequence[Pattern]) -> Problem:
    """What is left to cut, and what to cut it from, when these boards are kept."""
    taken = Counter(number for number, _ in kept)
    made: Counter[int] = Counter()
    for size, count in chain.from_iterable(cuts for _, cuts in kept):
        made[size] += count
    stretches = tuple(
        stretch if stretch.limit is None or not taken[n] else replace(stretch, limit=stretch.limit - taken[n])
        for n, stretch in enumerate(problem.stretches)
    )
    wanted = tuple(count - made[size] for size, count in enumerate(problem.wanted))
    return replace(problem, wanted=wanted, stretches=stretches)
