"""Column generation: the linear programme over all patterns, without ever writing them all down."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import KW_ONLY, replace
from math import inf

import numpy as np

from listel.core.quick import dataclass
from listel.plugins.cutting.greedy import smallest_offcut_first, swapped
from listel.plugins.cutting.master import Master
from listel.plugins.cutting.patterns import SLACK, Floats, Knapsack, Prices
from listel.plugins.cutting.problem import Pattern, Problem, rounded_up, tidy

EACH = 5
"""Patterns taken from each stretch in a round."""
CHUNK = 120
"""Pieces of the parts that a large group is first cut into, to find patterns to begin with."""
LOOSE = 1e-5
"""Above ``CHUNK`` pieces the linear plan may stand off its bound by this share."""
TAIL = 70
"""Pieces that a dive leaves to the whole-number programme."""


@dataclass
class Linear:
    """A solved linear programme: ``bound`` on any plan and the ``prices`` that prove it; ``usage`` of each column;
    ``tried``: what was paid for the sizes on the way."""

    master: Master
    knapsack: Knapsack
    value: float
    bound: float
    prices: Prices
    _: KW_ONLY
    usage: np.ndarray
    tried: list[Floats]


def generate(problem: Problem, begin: Iterable[Pattern], loose: float = 0.0, enough: float = inf) -> Linear:
    """The linear programme with every pattern that could better it; ``begin`` must hold a whole plan."""
    master = Master(problem)
    master.add(begin)
    return improved(master, Knapsack(problem), loose, enough)


def improved(master: Master, knapsack: Knapsack, loose: float = 0.0, enough: float = inf) -> Linear:
    """A linear programme that has a plan already, with every pattern that could better it.

    Prices are steadied half way towards those that have proven most so far (dual smoothing). Stops when value and bound
    stand within the share ``loose``, or when the bound is ``enough``, with the best bound proven until then.
    """
    grain = master.problem.grain
    value, out, usage = master.solve()
    _, bound, proving = knapsack.best(out, EACH)
    centre = proving
    tried = [out.sizes]
    while True:
        asked = centre.mixed(out, 0.5)
        tried.append(asked.sizes)
        patterns, low, prices = knapsack.best(asked, EACH)
        if low > bound:
            bound, proving, centre = low, prices, asked
        good = [pattern for pattern in patterns if knapsack.shortfall(pattern, out) < -SLACK]
        if not good:
            good, low, prices = knapsack.best(out, EACH)
            if low > bound:
                bound, proving, centre = low, prices, out
        added = master.add(good)
        reached = rounded_up(bound, grain)
        near = value - bound <= loose * abs(value) or reached >= min(value - 1e-6, enough)
        if not added or near:
            return Linear(master, knapsack, value, bound, proving, usage=usage, tried=tried)
        value, out, usage = master.solve()


def beginnings(problem: Problem) -> list[Pattern]:
    """Patterns to begin a large group with: those of its parts, each solved alone."""
    found: list[Pattern] = []
    parts = -(-problem.pieces // CHUNK)
    if parts < 2:
        return found
    for part in range(parts):
        wanted = tuple(
            sum(1 for n in range(first, first + count) if n % parts == part) for first, count in _runs(problem)
        )
        share = replace(problem, wanted=wanted)
        plan = swapped(share, smallest_offcut_first(share))
        linear = generate(share, plan, 1e-4)
        found += [linear.master.columns[n] for n in np.flatnonzero(linear.usage > SLACK)]
    return found


def _runs(problem: Problem) -> list[tuple[int, int]]:
    firsts = np.cumsum([0, *problem.wanted[:-1]]).tolist()
    return list(zip(firsts, problem.wanted, strict=True))


def dive(problem: Problem, linear: Linear, finish: Callable[[Problem], Iterable[Pattern]]) -> tuple[Pattern, ...]:
    """A whole plan from a linear one: the columns nearest to whole are fixed, the rest is priced again, and so on;
    what is left when few pieces remain is handed to ``finish``."""
    fixed: list[Pattern] = []
    rest, columns = problem, linear.master.columns
    while rest.pieces > TAIL:
        counts = _fixable(rest, columns, linear.usage)
        fixed += [columns[number] for number, count in counts for _ in range(count)]
        rest = _without(rest, columns, counts)
        if not rest.pieces:
            return tidy(problem, fixed)
        columns = [column for column in columns if fits(rest, column)]
        plan = swapped(rest, smallest_offcut_first(rest))
        linear = generate(rest, [*columns, *plan], LOOSE)
        columns = linear.master.columns
    fixed += finish(rest)
    return tidy(problem, fixed)


def _fixable(problem: Problem, columns: list[Pattern], usage: np.ndarray) -> list[tuple[int, int]]:
    """Columns to fix and how often: whole parts first, then the nearest to one, about a quarter of the pieces in
    all."""
    left, limits = list(problem.wanted), [stretch.limit for stretch in problem.stretches]
    most = max(1, min(problem.pieces - TAIL // 2, problem.pieces // 4))
    found: list[tuple[int, int]] = []
    taken = 0
    for number in np.argsort(-usage, kind="stable").tolist():
        if (usage[number] < 0.5 and found) or taken >= most:
            break
        stretch, cuts = columns[number]
        count = max(1, int(usage[number] + 1e-6))
        count = min([count, *(left[size] // many for size, many in cuts)])
        limit = limits[stretch]
        if limit is not None:
            count = min(count, limit)
            limits[stretch] = limit - count
        if count:
            for size, many in cuts:
                left[size] -= many * count
            taken += count * sum(many for _, many in cuts)
            found.append((number, count))
    return found


def _without(problem: Problem, columns: list[Pattern], counts: list[tuple[int, int]]) -> Problem:
    wanted = list(problem.wanted)
    stretches = list(problem.stretches)
    for number, count in counts:
        stretch, cuts = columns[number]
        limit = stretches[stretch].limit
        if limit is not None:
            stretches[stretch] = replace(stretches[stretch], limit=limit - count)
        for size, many in cuts:
            wanted[size] -= many * count
    return replace(problem, wanted=tuple(wanted), stretches=tuple(stretches))


def fits(problem: Problem, pattern: Pattern) -> bool:
    """Whether a problem can use a pattern at all."""
    stretch, cuts = pattern
    return problem.stretches[stretch].limit != 0 and all(problem.wanted[size] >= count for size, count in cuts)
