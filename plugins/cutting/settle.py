"""One objective settled: the linear bound, a whole plan, and the proof or the gap that is left."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import isfinite
from random import Random

from listel.plugins.cutting.columns import LOOSE, TAIL, Linear, beginnings, dive, fits, generate
from listel.plugins.cutting.problem import Pattern, Problem, rounded_up, tidy
from listel.plugins.cutting.search import start_plan

LARGE = 300
"""Pieces above which a whole plan is found by a dive."""
MOST_PATTERNS = 60_000
"""Patterns counted out for a proof, at most."""
FIRST_LOOK = 0.4
"""Share of the time left that goes to the patterns already known, before a proof is tried."""
PATIENCE = 40
"""Tries in a row without help after which a plan is no longer taken apart."""
SEED = 1


def remade(problem: Problem, linear: Linear, plan: tuple[Pattern, ...], until: float) -> tuple[Pattern, ...]:
    """A plan bettered in cost by taking part of it apart and making that part again, exactly.

    Each time the boards that earn least at the linear prices go, with some drawn by lot, until they hold ``TAIL``
    pieces between them. Ends when ``PATIENCE`` tries in a row have not helped.
    """
    lots = Random(SEED)
    idle = 0
    while (
        idle < PATIENCE
        and time.monotonic() < until
        and problem.total(plan)[0] > rounded_up(linear.bound, problem.grain)
    ):
        order = sorted(plan, key=lambda p: -linear.knapsack.shortfall(p, linear.prices) * lots.random())
        apart, count = [], 0
        for pattern in order:
            apart.append(pattern)
            count += sum(many for _, many in pattern[1])
            if count >= TAIL:
                break
        rest = list(plan)
        for pattern in apart:
            rest.remove(pattern)
        part = _part(problem, apart, rest)
        columns = [column for column in linear.master.columns if fits(part, column)]
        made = _finish(min(until, time.monotonic() + 1.0))(part, [*columns, *apart])
        again = tidy(problem, [*rest, *made])
        change = problem.total(again)[0] - problem.total(plan)[0]
        idle = 0 if change < 0 else idle + 1
        plan = again if change <= 0 else plan
    return plan


def _part(problem: Problem, apart: list[Pattern], rest: list[Pattern]) -> Problem:
    wanted = [0] * len(problem.wanted)
    for _, cuts in apart:
        for size, count in cuts:
            wanted[size] += count
    taken = Counter(stretch for stretch, _ in rest)
    stretches = tuple(
        stretch if stretch.limit is None else replace(stretch, limit=stretch.limit - taken[number])
        for number, stretch in enumerate(problem.stretches)
    )
    return replace(problem, wanted=tuple(wanted), stretches=stretches)


@dataclass(frozen=True)
class Step:
    """How far an objective is settled: the best plan, the bound on any plan, the linear bound, and the patterns
    known."""

    plan: tuple[Pattern, ...]
    bound: int
    linear: float
    patterns: tuple[Pattern, ...]


def settle(
    problem: Problem, objective: int, plan: tuple[Pattern, ...], patterns: Iterable[Pattern], until: float
) -> Iterator[Step]:
    """Better a plan in one objective, those before it held at what the plan makes of them; a step whenever more is
    known.

    ``patterns`` are those to begin with; works until that moment of ``time.monotonic``.
    """
    settled = problem.total(plan)[:objective]
    grain = problem.grain if objective == 0 else 1
    large = problem.pieces > LARGE
    first = [*plan, *patterns]
    if objective == 0:
        first += beginnings(problem, until)
    linear = generate(problem, objective, settled, first, until, LOOSE if large else 0.0)
    columns = linear.master.columns
    bound = rounded_up(linear.bound, grain)

    def step() -> Step:
        return Step(plan, bound, linear.bound, tuple(columns))

    def value() -> int:
        return problem.total(plan)[objective]

    yield step()
    if value() > bound and large and objective == 0:
        plan = _better(problem, objective, plan, dive(problem, linear, _finish(until), until))
        yield step()
        return
    if value() > bound:
        now = time.monotonic()
        plan, _ = _whole(linear, columns, plan, grain, now + FIRST_LOOK * (until - now))
        yield step()
    if value() > bound and not large and time.monotonic() < until:
        near = linear.knapsack.near(linear.prices, value() - grain - linear.bound, MOST_PATTERNS)
        if near is not None:
            plan, proven = _whole(linear, near, plan, grain, until)
            if isfinite(proven):
                bound = max(bound, min(value(), rounded_up(proven, grain)))
            yield step()


def _finish(until: float):  # type: ignore[no-untyped-def]
    def finish(rest: Problem, patterns: list[Pattern]) -> tuple[Pattern, ...]:
        plan = start_plan(rest)
        for step in settle(rest, 0, plan, patterns, until):
            plan = step.plan
        return plan

    return finish


def _whole(
    linear: Linear, patterns: list[Pattern], plan: tuple[Pattern, ...], grain: int, until: float
) -> tuple[tuple[Pattern, ...], float]:
    """The better of the plan and the best whole plan from these patterns, and a bound on the plans from them."""
    master = linear.master
    chosen, proven = master.whole(patterns, plan, grain, until)
    if chosen is None:
        return plan, proven
    return _better(master.problem, master.objective, plan, tuple(chosen)), proven


def _better(
    problem: Problem, objective: int, plan: tuple[Pattern, ...], other: tuple[Pattern, ...]
) -> tuple[Pattern, ...]:
    other = tidy(problem, other)
    return min(plan, other, key=lambda p: problem.total(p)[objective])
