"""The least cost settled with HiGHS: the linear bound, a whole plan, and the proof or the gap that is left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import isfinite

from listel.core.quick import dataclass
from listel.plugins.cutting.branch import branched
from listel.plugins.cutting.columns import LOOSE, Linear, beginnings, dive, generate
from listel.plugins.cutting.greedy import start_plan
from listel.plugins.cutting.one_length import nearer
from listel.plugins.cutting.problem import Pattern, Problem, rounded_up, tidy
from listel.plugins.cutting.recut import recut
from listel.plugins.cutting.trying import cost_hangs_on_numbers

LARGE = 300
"""Pieces above which a whole plan is found by a dive."""
MOST_PATTERNS = 20_000
"""Patterns counted out for a proof, at most."""
PARTS = (1.0, 0.5, 0.2, 0.1)
"""Parts of the gap within which patterns are counted out: all of it for a proof, less of it for a better plan."""


@dataclass(frozen=True)
class Step:
    """How far it is settled: the best plan, the bound on any plan, and the linear bound."""

    plan: tuple[Pattern, ...]
    bound: int
    linear: float


def settle(problem: Problem, plan: tuple[Pattern, ...]) -> Iterator[Step]:
    """Better a plan by its cost; a step whenever more is known."""
    grain = problem.grain
    large = problem.pieces > LARGE
    linear = generate(problem, [*plan, *beginnings(problem)], LOOSE if large else 0.0)
    columns = linear.master.columns
    bound = rounded_up(linear.bound, grain)

    def step() -> Step:
        return Step(plan, bound, linear.bound)

    def value() -> int:
        return problem.total(plan)[0]

    yield step()
    if value() > bound:
        plan = nearer(problem, plan, linear, bound)
        yield step()
    if value() > bound and large:
        plan = _better(problem, plan, dive(problem, linear, _finished))
        yield step()
        if cost_hangs_on_numbers(problem, plan):
            plan = recut(problem, plan, linear)
            yield step()
        return
    if value() > bound and cost_hangs_on_numbers(problem, plan):
        plan, low = branched(problem, plan, linear)
        bound = max(bound, low)
        yield step()
    if value() > bound:
        plan, _ = _whole(linear, columns, plan, grain)
        yield step()
    if value() > bound:
        gap = value() - grain - linear.bound
        near = linear.knapsack.near(linear.prices, [part * gap for part in PARTS], MOST_PATTERNS)
        if near is not None:
            patterns, within = near
            plan, proven = _whole(linear, patterns, plan, grain, proof=within == gap)
            if within != gap:  # a plan with a pattern left out costs at least what that pattern falls short by
                proven = min(proven, linear.bound + within)
            if isfinite(proven):
                bound = max(bound, min(value(), rounded_up(proven, grain)))
            yield step()


def _finished(rest: Problem) -> tuple[Pattern, ...]:
    plan = start_plan(rest)
    for step in settle(rest, plan):
        plan = step.plan
    return plan


def _whole(
    linear: Linear, patterns: list[Pattern], plan: tuple[Pattern, ...], grain: int, proof: bool = False
) -> tuple[tuple[Pattern, ...], float]:
    """The better of the plan and the best whole plan from these patterns, and a bound on the plans from them."""
    chosen, proven = linear.master.whole(patterns, plan, grain, proof)
    return (plan if chosen is None else _better(linear.master.problem, plan, chosen)), proven


def _better(problem: Problem, plan: tuple[Pattern, ...], other: Iterable[Pattern]) -> tuple[Pattern, ...]:
    return min(plan, tidy(problem, other), key=lambda p: problem.total(p)[0])
