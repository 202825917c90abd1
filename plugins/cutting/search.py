"""The search for the best plan: greedy start, column generation, the numbers of boards to buy (see ``branch``), whole
plans, and a proof by counting out every pattern that could still better it.

Objectives in order, each held where it was settled while the next is opened:

1. **least cost** of new timber (and of rack timber where the survey prices it). It is what the client pays for, and its
   bound is provable.
2. **best rack afterwards**: the least loss of rack value, where a clear stretch of length r, not shorter than the
   shortest kept, is worth r squared. Two wishes of the bench are one here: "use the rack, the smallest usable offcut
   first" and "leave what remains in as few, as long remnants as possible". Taken one after the other they quarrel: the
   first would break up a long new remnant to spare a short old one. With the square, using up a 700 for a 690 costs
   less than cutting the 690 from a 1500, and one long remnant is worth more than two short.
3. **fewest stretches opened**.

A statement asks for the first to be searched and takes the others as the everyday rules leave them; ``listel
cutting`` settles all three. The number of joints is settled before cutting begins, by the pieces themselves. Saw
resettings come last, when the cuts of each board are put in order (see ``plan``).
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from math import inf
from random import Random

from listel.plugins.cutting import greedy
from listel.plugins.cutting.bounds import purchase_bound
from listel.plugins.cutting.problem import Pattern, Problem, Proof, Solution
from listel.plugins.cutting.small import solve_small

OBJECTIVES = ("least cost", "best rack afterwards", "fewest stretches opened")
SHARES = (0.7, 0.9, 1.0)
"""When each objective must be settled, as a share of the time given."""
MOST_TRIES = 200
TRIED_PIECES = 6000
"""Pieces placed in all the tries of the everyday rule by lot."""
SEED = 1
Progress = Callable[[str, int, int], None]
"""Told the objective that is being settled, its value and its bound."""


@dataclass(frozen=True)
class Effort:
    """How hard to try. ``thorough``: every objective is searched, else the first only, and the others as far as the
    everyday rules bring them; ``seconds``: no longer than so long for all the trims of a job together; ``progress`` is
    told how far the search is; with ``keep_best`` an interrupt from the keyboard ends the search with the best plan so
    far, marked ``stopped``.

    The search ends by itself, by counted steps, nodes and patterns and never by the clock, so that one input gives one
    plan on any machine, idle or busy. Only a person who asks for fewer ``seconds`` than it takes gives that up."""

    seconds: float = inf
    thorough: bool = False
    progress: Progress | None = None
    keep_best: bool = False


STATEMENT = Effort()
EFFORT: ContextVar[Effort] = ContextVar("effort", default=STATEMENT)
"""How hard the stage tries: for a statement, little; the command ``listel cutting`` asks for more."""


def start_plan(problem: Problem) -> tuple[Pattern, ...]:
    """The best that the everyday rules come to, each new board changed for the cheapest that holds its cuts."""
    rules = (greedy.smallest_offcut_first, greedy.longest_board, greedy.longest_first)
    plans = [greedy.swapped(problem, rule(problem)) for rule in rules]
    return min(plans, key=lambda plan: (problem.total(plan), plan))


def shaken(problem: Problem, plan: tuple[Pattern, ...], bound: int) -> tuple[Pattern, ...]:
    """The best of a plan and of those that the everyday rule makes of the pieces in orders drawn by lot, the same
    each time; no more are drawn once the cost is down to the bound."""
    lots = Random(SEED)
    best = (problem.total(plan), plan)
    for _ in range(min(MOST_TRIES, TRIED_PIECES // problem.pieces)):
        if best[0][0] <= bound:
            break
        other = greedy.by_lot(problem, lots)
        best = min(best, (problem.total(other), other))
    return best[1]


def solve(problem: Problem, effort: Effort) -> Solution:
    """The best plan found with that effort, with the bound of each objective.

    A group small enough is solved in plain Python. Of a larger one the everyday rules are tried first, and where they
    meet a bound on the cost, HiGHS is not loaded unless the search is to be ``thorough``. Without HiGHS they give the
    plan.
    """
    if not problem.pieces:
        return Solution((), (Proof(0, 0), Proof(0, 0), Proof(0, 0)))
    return solve_small(problem) or search(problem, effort)


def search(problem: Problem, effort: Effort) -> Solution:
    """The same without the programme for small groups."""
    begun = time.monotonic()
    simple = max(problem.area_bound(), purchase_bound(problem))
    plan = shaken(problem, start_plan(problem), simple)
    most = max(problem.worth(stretch.room) for stretch in problem.stretches)
    bounds = [simple, -most * problem.pieces, 1]
    stopped = False
    linear: float | None = None
    if problem.total(plan)[0] == bounds[0] and not effort.thorough:
        return _solution(problem, plan, bounds, linear, stopped)
    try:
        from listel.plugins.cutting.settle import settle

        patterns: tuple[Pattern, ...] = ()
        for objective, share in enumerate(SHARES if effort.thorough else (1.0,)):
            for step in settle(problem, objective, plan, patterns, begun + share * effort.seconds):
                plan, patterns = step.plan, step.patterns
                bounds[objective] = max(bounds[objective], step.bound)
                if effort.progress is not None:
                    effort.progress(OBJECTIVES[objective], problem.total(plan)[objective], bounds[objective])
                if objective == 0:
                    linear = step.linear
    except ImportError:
        pass
    except KeyboardInterrupt:
        if not effort.keep_best:
            raise
        stopped = True
    return _solution(problem, plan, bounds, linear, stopped)


def _solution(
    problem: Problem, plan: tuple[Pattern, ...], bounds: list[int], linear: float | None, stopped: bool
) -> Solution:
    proofs = [Proof(value, min(value, bound)) for value, bound in zip(problem.total(plan), bounds, strict=True)]
    return Solution(plan, (proofs[0], proofs[1], proofs[2]), linear, stopped)
