"""A plan at its cost with a better rack afterwards: its boards cut again two at a time, each two as well as may be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations_with_replacement

from listel.plugins.cutting.problem import Pattern, Problem, tidy
from listel.plugins.cutting.small import solve_small

MOST_PIECES = 8
"""Pieces on two boards that are cut again, at most."""
MOST_TRIED = 120
"""How often two boards are cut again, at most."""


def regrouped(problem: Problem, plan: tuple[Pattern, ...]) -> tuple[Pattern, ...]:
    """A plan no dearer, and better by what is left where two of its boards could be cut otherwise."""
    tried: set[tuple[Pattern, Pattern]] = set()
    while len(tried) < MOST_TRIED:
        both = next((pair for pair in _pairs(plan) if pair not in tried and _few(pair)), None)
        if both is None:
            break
        tried.add(both)
        kept = list((Counter(plan) - Counter(both)).elements())
        part = remaining(problem, kept)
        again = solve_small(part)
        if again is not None and part.total(again.patterns) < part.total(both):
            plan = tidy(problem, [*kept, *again.patterns])
    return plan


def _pairs(plan: tuple[Pattern, ...]) -> Iterator[tuple[Pattern, Pattern]]:
    """Each two of its boards once, however many are alike."""
    alike = Counter(plan)
    for first, second in combinations_with_replacement(alike, 2):
        if first != second or alike[first] > 1:
            yield first, second


def _few(pair: tuple[Pattern, Pattern]) -> bool:
    return sum(count for _, cuts in pair for _, count in cuts) <= MOST_PIECES


def remaining(problem: Problem, kept: list[Pattern]) -> Problem:
    """What is left to cut, and what to cut it from, when these boards are kept."""
    taken = Counter(number for number, _ in kept)
    made: Counter[int] = Counter()
    for _, cuts in kept:
        made.update(dict(cuts))
    stretches = tuple(
        stretch if stretch.limit is None else replace(stretch, limit=stretch.limit - taken[number])
        for number, stretch in enumerate(problem.stretches)
    )
    wanted = tuple(count - made[size] for size, count in enumerate(problem.wanted))
    return replace(problem, wanted=wanted, stretches=stretches)
