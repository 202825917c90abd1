"""One objective settled: the linear bound, a whole plan, and the proof or the gap that is left."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import isfinite

from listel.plugins.cutting.branch import branched, can_branch
from listel.plugins.cutting.columns import LOOSE, Linear, beginnings, dive, generate
from listel.plugins.cutting.problem import Pattern, Problem, rounded_up, tidy
from listel.plugins.cutting.recut import recut
from listel.plugins.cutting.search import start_plan

LARGE = 300
"""Pieces above which a whole plan is found by a dive."""
MOST_PATTERNS = 20_000
"""Patterns counted out for a proof, at most."""
PARTS = (1.0, 0.5, 0.2, 0.1)
"""Parts of the gap within which patterns are counted out: all of it for a proof, less of it for a better plan."""


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
        if can_branch(problem, plan):
            plan = recut(problem, plan, linear, until)
            yield step()
        return
    if value() > bound and objective == 0 and can_branch(problem, plan):
        plan, low = branched(problem, plan, linear, until)
        bound = max(bound, low)
        yield step()
    if value() > bound:
        plan, _ = _whole(linear, columns, plan, grain, until)
        yield step()
    if value() > bound and time.monotonic() < until:
        gap = value() - grain - linear.bound
        for part in PARTS:
            near = linear.knapsack.near(linear.prices, part * gap, MOST_PATTERNS)
            if near is not None:
                break
        if near is not None:
            whole = part == PARTS[0]
            plan, proven = _whole(linear, near, plan, grain, until, proof=whole)
            if not whole:  # a plan with a pattern left out costs at least what that pattern falls short by
                proven = min(proven, linear.bound + part * gap)
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
    linear: Linear, patterns: list[Pattern], plan: tuple[Pattern, ...], grain: int, until: float, proof: bool = False
) -> tuple[tuple[Pattern, ...], float]:
    """The better of the plan and the best whole plan from these patterns, and a bound on the plans from them."""
    master = linear.master
    chosen, proven = master.whole(patterns, plan, grain, until, proof)
    if chosen is None:
        return plan, proven
    return _better(master.problem, master.objective, plan, tuple(chosen)), proven


def _better(
    problem: Problem, objective: int, plan: tuple[Pattern, ...], other: tuple[Pattern, ...]
) -> tuple[Pattern, ...]:
    other = tidy(problem, other)
    return min(plan, other, key=lambda p: problem.total(p)[objective])
