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

The first is searched until it is proven or the work is done; the others are bettered while the cost stands, and proven
where a group is small. The search ends by counted steps, nodes and patterns and never by the clock, so that one input
gives one plan on any machine: statement, bench list and CSV are one plan. Joints are settled before
(see ``jointing``). Saw resettings come last, when the cuts of each board are put in order (see ``plan``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from contextvars import ContextVar
from random import Random

from listel.core.quick import dataclass
from listel.plugins.cutting import greedy
from listel.plugins.cutting.bounds import purchase_bound
from listel.plugins.cutting.problem import Pattern, Problem, Proof, Solution
from listel.plugins.cutting.regroup import regrouped
from listel.plugins.cutting.small import solve_small
from listel.plugins.cutting.trying import tried

OBJECTIVES = ("least cost", "best rack afterwards", "fewest stretches opened")
MOST_TRIES = 200
TRIED_PIECES = 6000
"""Pieces placed in all the tries of the everyday rule by lot."""
SEED = 1
Progress = Callable[[str, int, int], None]
"""Told the objective that is being settled, its value and its bound."""


@dataclass
class Watch:
    """A person at the terminal: ``progress`` is told how far the search is; with ``keep_best`` an interrupt from the
    keyboard ends it, and all that come after it, with the best plan so far: ``stopped``. Neither makes any other
    difference to the plan."""

    progress: Progress | None = None
    keep_best: bool = False
    stopped: bool = False

    def stop(self) -> None:
        """Search no more; where the best is not to be kept, raises the KeyboardInterrupt that is being handled."""
        if not self.keep_best:
            raise
        self.stopped = True


NOBODY = Watch()
WATCH: ContextVar[Watch] = ContextVar("watch", default=NOBODY)
"""Who watches the search: nobody, unless ``listel cutting`` says so."""


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


def solve(problem: Problem, watch: Watch = NOBODY, known: Solution | None = None) -> Solution:
    """The best plan found, with the bound on its cost, no dearer than the one ``known``.

    A group small enough is solved in plain Python, every objective proven. Of a larger one the everyday rules and the
    few numbers of boards that could cost less are tried first, and where they meet a bound on the cost, HiGHS is not
    loaded. Without HiGHS they give the plan.
    """
    if not problem.pieces:
        return Solution((), (Proof(0, 0), Proof(0, 0), Proof(0, 0)))
    found = cheapest(problem, watch, known)
    if found.proofs[1].proven or watch.stopped:
        return found
    patterns = found.patterns
    try:
        patterns = regrouped(problem, patterns)
    except KeyboardInterrupt:
        watch.stop()
    return solution_of(problem, patterns, found.proofs[0].bound, found.linear, found.stopped)


def cheapest(
    problem: Problem, watch: Watch = NOBODY, known: Solution | None = None, *, solver: bool = True
) -> Solution:
    """The same for the cost alone: what is left on the rack is not bettered where the group is not small. Without the
    ``solver`` as far as the everyday rules and a few tries come."""
    small = None
    try:
        small = None if watch.stopped else solve_small(problem)
    except KeyboardInterrupt:
        watch.stop()
    return small or search(problem, watch, known, solver=solver)


def search(problem: Problem, watch: Watch = NOBODY, known: Solution | None = None, *, solver: bool = True) -> Solution:
    """The same without the programme for small groups."""
    plan, bound = greedy.start_plan(problem), problem.area_bound()
    if known is not None:
        plan, bound = min(known.patterns, plan, key=problem.total), max(bound, known.proofs[0].bound or 0)
    linear: float | None = None
    try:
        if not watch.stopped:
            for better in _bettered(problem, plan, bound, watch, solver):
                plan, bound, linear = better
    except KeyboardInterrupt:
        watch.stop()
    return solution_of(problem, plan, bound, linear, watch.stopped and problem.total(plan)[0] > bound)


def _bettered(
    problem: Problem, plan: tuple[Pattern, ...], bound: int, watch: Watch, solver: bool
) -> Iterator[tuple[tuple[Pattern, ...], int, float | None]]:
    """Plan, bound on the cost and linear bound, each time one of them is better, until cost and bound meet."""
    bound = max(bound, purchase_bound(problem))
    yield plan, bound, None
    if problem.total(plan)[0] > bound:
        plan, bound = tried(problem, plan, bound)
        yield plan, bound, None
        plan = shaken(problem, plan, bound)
        yield plan, bound, None
    if solver and problem.total(plan)[0] > bound:
        with suppress(ImportError):
            from listel.plugins.cutting.settle import settle

            for step in settle(problem, plan):
                bound = max(bound, step.bound)
                yield step.plan, bound, step.linear
                if watch.progress is not None:
                    watch.progress(OBJECTIVES[0], problem.total(step.plan)[0], bound)


def solution_of(
    problem: Problem,
    plan: tuple[Pattern, ...],
    bound: int | None,
    linear: float | None = None,
    stopped: bool = False,
) -> Solution:
    """A plan with its proofs, the bound on its cost known."""
    cost, lost, opened = problem.total(plan)
    return Solution(plan, (Proof(cost, min(cost, bound or 0)), Proof(lost), Proof(opened)), linear, stopped)
