"""A large plan bettered by cutting some of its boards again: a part small enough to be solved exactly, time after time.

What a dive loses gathers in its last boards. Put together with boards drawn by lot, whose cuts give the room to move,
their pieces go again into boards at very nearly the linear bound.
"""

from __future__ import annotations

from random import Random

from listel.plugins.cutting.branch import branched
from listel.plugins.cutting.columns import Linear, fits, generate
from listel.plugins.cutting.problem import Pattern, Problem, rounded_up, tidy
from listel.plugins.cutting.regroup import remaining

PIECES = 150
"""Pieces cut again at a time."""
TIMES = 8
"""How often, at most."""
IN_VAIN = 2
"""How often in a row without gain before it is left."""
TRIED = 3
"""Numbers of boards that the pieces of a part are tried in."""
SEED = 1
SOME = 0.5
"""A board that falls short by less, in the least part of the money, pays for itself well enough."""


def recut(problem: Problem, plan: tuple[Pattern, ...], linear: Linear) -> tuple[Pattern, ...]:
    """A plan no dearer, every piece made."""
    lots = Random(SEED)
    bound = rounded_up(linear.bound, problem.grain)
    vain = 0
    for _ in range(TIMES):
        cost = problem.total(plan)[0]
        if cost <= bound or vain == IN_VAIN:
            break
        plan = _once(problem, plan, linear, lots)
        vain = vain + 1 if problem.total(plan)[0] == cost else 0
    return plan


def _once(problem: Problem, plan: tuple[Pattern, ...], linear: Linear, lots: Random) -> tuple[Pattern, ...]:
    chosen = _chosen(plan, linear, lots)
    again = tuple(pattern for place, pattern in enumerate(plan) if place in chosen)
    kept = [pattern for place, pattern in enumerate(plan) if place not in chosen]
    part = remaining(problem, kept)
    columns = [column for column in linear.master.columns if fits(part, column)]
    low = generate(part, [*again, *columns])
    if part.total(again)[0] > rounded_up(low.bound, part.grain):
        again, _ = branched(part, again, low, TRIED)
    return tidy(problem, [*kept, *again])


def _chosen(plan: tuple[Pattern, ...], linear: Linear, lots: Random) -> set[int]:
    """The boards to cut again, by place: half of the pieces from those that fall shortest of paying for themselves, the
    rest by lot."""
    short = [max(0.0, linear.knapsack.shortfall(pattern, linear.prices)) for pattern in plan]
    worst = sorted((place for place, by in enumerate(short) if by > SOME), key=lambda place: (-short[place], place))
    any_of = list(range(len(plan)))
    lots.shuffle(any_of)
    chosen: set[int] = set()
    pieces = 0
    for order, most in ((worst, PIECES // 2), (any_of, PIECES)):
        for place in order:
            if pieces >= most:
                break
            if place not in chosen:
                chosen.add(place)
                pieces += sum(count for _, count in plan[place][1])
    return chosen
