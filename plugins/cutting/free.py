"""Joints and boards chosen together: the fewest joints, then the least cost, then joints as even as the cost allows.

In order, until cost and bound meet: even joints by the everyday rules; the cheapest numbers of boards that hold the
length, filled by lot; without more ado no solver is loaded. Then the linear programme over patterns and ways, until
nothing betters it, for its bound mostly is the cost; a whole-number programme over its columns; fillings by what it
knows, runs settled a few at a time, even joints cut as well as may be, and numbers of boards settled one after another:
those that would not do in the linear programme are a demand on all numbers, those that would do are tried. The claim is
only this: no plan with this few joints at these stations costs less. Whatever finds the joints finds the plan as well,
and that is the plan that is cut.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from contextlib import suppress
from itertools import islice, product
from math import prod
from typing import TYPE_CHECKING

from listel.core.quick import dataclass
from listel.plugins.cutting.bounds import cheapest_boards, purchase_bound
from listel.plugins.cutting.filling import Lots, fitted
from listel.plugins.cutting.problem import Problem, Proof, Solution, rounded_up
from listel.plugins.cutting.search import NOBODY, OBJECTIVES, Watch, cheapest, solution_of
from listel.plugins.cutting.ways import Path, Plan, Runs

if TYPE_CHECKING:
    from listel.plugins.cutting.free_linear import Cuts, FreeLinear

SEED = 1
STEPS = 200_000
"""Steps of filling by lot, each time."""
PLACINGS = 24
"""Placings of all joints, where each is looked at by itself: of a hard group one look takes a second, and the search
comes to the same cost and bound without."""
FEW, MORE, MANY = 6, 12, 40
"""Numbers of boards looked at: before the linear programme, after it, and one after another."""
ASKS, PROGRAMMES, RUNS = 30, 8, 20
"""Numbers asked about, and those whose pieces a whole-number programme places, for so many runs; for more, fewer."""
SETTLING_ROUNDS, ASKING_ROUNDS = 8, 25


@dataclass(frozen=True)
class Chosen:
    """A way for each run, the problem that they make, and its plan: the bound is on every plan with this few joints at
    these stations. ``made``: whether the boards make it all with even joints; where not, no other joints are sought."""

    paths: tuple[Path, ...]
    problem: Problem
    solution: Solution
    made: bool

    @property
    def cost(self) -> int:
        """What the plan costs."""
        return self.solution.proofs[0].value

    @property
    def bound(self) -> int:
        """No plan with this few joints at these stations costs less."""
        return self.solution.proofs[0].bound or 0


def choose(runs: Runs, watch: Watch = NOBODY) -> Chosen:
    """The plan chosen for all runs; stopped by a person who ``watch``es, the best so far."""
    return _Choice(runs, watch).run()


class _Choice:
    def __init__(self, runs: Runs, watch: Watch) -> None:
        self.runs, self.watch = runs, watch
        self.even = tuple(ways.even() for ways in runs.ways)
        self.lots = Lots(SEED, STEPS)
        self.plans: list[Plan] = []
        self.patterns: Collection[Cuts] = ()
        self._start(solver=False)
        if not self.made:
            self._start(solver=True)
        self.bound = min(self.cost, cheapest_boards(runs.stretches, runs.kerf, runs.need)) if self.made else 0

    def _start(self, *, solver: bool) -> None:
        first = cheapest(self.runs.cut(self.even), self.watch, solver=solver)
        self.cost = first.proofs[0].value
        self.plans = [(self.even, first.patterns)]
        self.made = all(number < len(self.runs.stretches) for number, _ in first.patterns)

    @property
    def grain(self) -> int:
        """The least by which two costs differ."""
        return self.runs.problem.grain

    def run(self) -> Chosen:
        """Better until cost and bound meet; then even."""
        try:
            if self.made and not self.watch.stopped:
                self._improve()
        except KeyboardInterrupt:
            self.watch.stop()
        paths, patterns = self.plans[-1]
        problem = self.runs.cut(paths)
        return Chosen(paths, problem, solution_of(problem, patterns, self.bound), self.made)

    def _improve(self) -> None:
        if any(ways.joints for ways in self.runs.ways) and self.cost > self.bound:
            self._fill_cheapest()
        if self.cost > self.bound and not self._try_all():
            with suppress(ImportError):
                from listel.plugins.cutting.demands import TooManyError

                with suppress(TooManyError):
                    self._search()
        if self.plans[-1][0] != self.even:
            self._even_out()

    def _tell(self) -> None:
        if self.watch.progress is not None:
            self.watch.progress(OBJECTIVES[0], self.cost, self.bound)

    def _take(self, plan: Plan | None) -> bool:
        """Take a plan that costs less; whether there is a plan at all."""
        self._tell()
        if plan is not None and (cost := self._cost(plan)) < self.cost:
            self.cost = cost
            self.plans.append(plan)
        return plan is not None

    def _cost(self, plan: Plan) -> int:
        paths, patterns = plan
        return self.runs.cut(paths).total(patterns)[0]

    def _cut(self, paths: tuple[Path, ...]) -> Proof:
        """Take the best plan with these ways; what is proven of its cost."""
        found = cheapest(self.runs.cut(paths))
        self._take((paths, found.patterns))
        return found.proofs[0]

    def _try_all(self) -> bool:
        """Where there are few placings of the joints, look at each; whether there were few."""
        ways = [list(islice(ways.every(), PLACINGS + 1)) for ways in self.runs.ways]
        if prod(map(len, ways)) > PLACINGS:
            return False
        bounds = []
        for paths in product(*ways):
            low = purchase_bound(self.runs.cut(paths))
            if low < self.cost:
                low = self._cut(paths).bound or 0
            bounds.append(low)
        self.bound = max(self.bound, min(self.cost, *bounds))
        return True

    def _fill_cheapest(self) -> None:
        """Of one kind of board, just enough for the length."""
        for number, stretch in enumerate(self.runs.stretches):
            rack = sum((s.room + self.runs.kerf) * (s.limit or 0) for s in self.runs.stretches if s.rack)
            count = -(-max(0, self.runs.need - rack) // (stretch.room + self.runs.kerf))
            within = stretch.limit is None and not stretch.rack and count * stretch.price < self.cost
            if within and count * stretch.price <= self.bound:
                self._take(fitted(self.runs, [number] * count, self.lots))

    def _search(self) -> None:
        from listel.plugins.cutting.demands import Grid, Sacks, demands
        from listel.plugins.cutting.free_linear import FreeLinear

        self.grids, self.sacks = [Grid(ways) for ways in self.runs.ways], Sacks(self.runs)
        self.asked = demands(self.runs, self.grids, self.sacks)
        self._prove()
        self._fill(FEW)
        if self.cost <= self.bound:
            return
        linear = FreeLinear(self.runs, self.grids, self.sacks)
        for plan in self.plans:
            linear.add_plan(plan)
        _, low = linear.grow()
        self.asked, self.patterns = self.asked + linear.asked, linear.patterns
        self.bound = max(self.bound, min(self.cost, rounded_up(low, self.grain)))
        self._prove()
        steps = (
            lambda: self._take(linear.whole(float(self.bound))),
            lambda: self._fill(MORE),
            lambda: self._settle_runs(linear),
            lambda: self._cut(self.even),
            lambda: self._settle_numbers(linear),
        )
        for step in steps:
            if self.cost > self.bound:
                step()

    def _prove(self) -> None:
        """The bound by all demands known, as far as they are looked at."""
        from listel.plugins.cutting.demands import TooManyError, cheapest_numbers

        with suppress(TooManyError):
            found = cheapest_numbers(self.runs, self.asked, self.cost, 1)
            self.bound = max(self.bound, min(self.cost, found[0][0] if found else self.cost))

    def _fill(self, many: int) -> None:
        """The cheapest numbers of boards, filled by lot, until some are."""
        self._tell()
        from listel.plugins.cutting.demands import TooManyError, cheapest_numbers

        self.lots.left = STEPS
        if self.cost <= self.bound:
            return
        with suppress(TooManyError):
            for _, bought in cheapest_numbers(self.runs, self.asked, self.cost - self.grain, many):
                if self._take(fitted(self.runs, bought, self.lots)):
                    break

    def _settle_runs(self, linear: FreeLinear) -> None:
        """Runs settled a quarter at a time, the rest priced again."""
        waiting = [run for run, ways in enumerate(self.runs.ways) if ways.joints]
        while waiting:
            before = len(waiting)
            linear.settle(waiting)
            _, low = linear.grow(SETTLING_ROUNDS)
            if len(waiting) == before or rounded_up(low, self.grain) >= self.cost:
                break
        if not waiting:
            self._cut(tuple(linear.settled.get(run, (0, ways.end)) for run, ways in enumerate(self.runs.ways)))

    def _settle_numbers(self, linear: FreeLinear) -> None:
        """The cheapest numbers of boards in turn: would they do, and do they?"""
        from listel.plugins.cutting.demands import cheapest_numbers
        from listel.plugins.cutting.free_linear import SOME, FreeLinear

        passed: set[tuple[int, ...]] = set()
        undecided = self.cost
        share = min(1.0, RUNS / len(self.runs.ways))
        programmes = round(PROGRAMMES * share)
        for _ in range(round(ASKS * share)):
            ahead = cheapest_numbers(self.runs, self.asked, self.cost - self.grain, MANY)
            self._tell()
            waiting = [each for each in ahead if each[1] not in passed]
            if not waiting:
                self.bound = max(self.bound, min(undecided, self.cost))
                return
            cost, bought = waiting[0]
            self.bound = max(self.bound, min(cost, undecided))
            if self.cost <= self.bound or (undecided <= cost and not programmes):
                return
            asks = FreeLinear(self.runs, self.grids, self.sacks, Counter(bought))
            asks.add(linear.patterns, linear.paths)
            solved, short = asks.grow(ASKING_ROUNDS, enough=SOME)
            if solved.value >= SOME and short > SOME:
                self.asked.append(asks.asked[-1])
                continue
            passed.add(bought)
            self.lots.left = STEPS
            if not self._take(fitted(self.runs, bought, self.lots)) and programmes:
                programmes -= 1
                self._take(asks.whole(0.5))
            if self.cost > cost:
                undecided = min(undecided, cost)

    def _even_out(self) -> None:
        """Of the plans that cost no more, one whose joints stand as evenly as the columns known allow."""
        try:
            from listel.plugins.cutting.evenness import evened
        except ImportError:
            return
        bought = Counter(n for n, _ in self.plans[-1][1] if not self.runs.stretches[n].rack)
        plan = evened(self.runs, bought, self.plans, self.patterns)
        if plan is not None and self._cost(plan) <= self.cost:
            self.plans.append(plan)
