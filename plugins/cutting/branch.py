"""A proof over what is bought: how many boards of each kind.

The linear bound lets a plan buy 3.4 boards of a length, and the cost of a plan hangs on those few numbers alone. So
they are sought first, by whole numbers, and the patterns follow (after Benders, Partitioning procedures for solving
mixed-variables programming problems, Numerische Mathematik 4, 1962; from memory):

1. At any prices of the pieces, the boards bought and the rack together must hold the pieces' whole worth. Each set of
   prices is one such demand on the numbers; the cheapest whole numbers that meet all demands known cost no more than
   the best plan.
2. Whether these numbers would do in the linear programme is asked next; if not, its prices are a demand they break.
   It is asked half way to numbers that are known to do first: a demand broken there cuts deeper.
3. Numbers that would do are tried: do the pieces go into just those boards? If they do, the plan is the cheapest there
   is. If it is proven that they do not, the other numbers are looked into.
"""

from __future__ import annotations

from dataclasses import replace
from heapq import heappop, heappush
from math import inf

import numpy as np

from listel.plugins.cutting.columns import Linear, improved
from listel.plugins.cutting.master import Master, cheapest_numbers
from listel.plugins.cutting.packing import Undecided
from listel.plugins.cutting.patterns import Floats, Knapsack
from listel.plugins.cutting.problem import Pattern, Problem, Stretch, rounded_up, tidy
from listel.plugins.cutting.trying import packed_plan, with_just

NEAR = 5
"""Boards of a kind more or fewer than in the linear plan, while little is known: far numbers meet few demands yet."""
MOST_ASKED = 150
"""Numbers that the linear programme is asked about, at most."""
MOST_TRIED = 12
"""Numbers that pieces are tried in by HiGHS, at most."""
NODES = 300
"""Nodes of the whole-number programme for each of them."""
PARTS = (1.0, 0.5, 0.25, 0.1, 0.05)
"""Parts of the gap within which patterns are counted out: all of it for a proof, less of it for a plan."""
MOST_PATTERNS = 6000
SOME = 1e-6

Range = tuple[tuple[int, int], ...]
"""How many boards of each kind: from, to."""


def branched(
    problem: Problem, plan: tuple[Pattern, ...], linear: Linear, tries: int = MOST_TRIED
) -> tuple[tuple[Pattern, ...], int]:
    """The best plan by cost, and a bound on any plan.

    ``tries``: numbers of boards that HiGHS tries the pieces in, at most.
    """
    return _Buying(problem, plan, linear, tries).run()


class _Shortage:
    """The least length left unmade when so many boards of each kind are bought, by the linear programme."""

    def __init__(self, problem: Problem, bought: list[int], columns: list[Pattern]) -> None:
        stretches = [
            replace(s, price=0, limit=problem.pieces) if n in bought else s for n, s in enumerate(problem.stretches)
        ]
        self.stand_in = len(stretches)
        self.problem = replace(problem, stretches=(*stretches, Stretch(problem.sizes[0], rate=1.0, real=False)))
        self.bought = bought
        self.master = Master(self.problem)
        self.knapsack = Knapsack(self.problem)
        self.unmade = [(self.stand_in, ((size, 1),)) for size, count in enumerate(problem.wanted) if count]
        self.master.add([*self.unmade, *columns])

    def at(self, numbers: Floats) -> Linear:
        """Solved for these numbers, or until it is proven that something is left unmade."""
        self.master.limit(self.bought, numbers)
        self.knapsack.most[self.bought] = numbers
        return improved(self.master, self.knapsack, enough=1.0)


class _Buying:
    def __init__(self, problem: Problem, plan: tuple[Pattern, ...], linear: Linear, tries: int) -> None:
        self.problem, self.plan, self.linear, self.tries = problem, plan, linear, tries
        self.cost = problem.total(plan)[0]
        self.bought = [n for n, stretch in enumerate(problem.stretches) if stretch.price and stretch.real]
        self.prices = np.array([problem.stretches[n].price for n in self.bought], float)
        columns = [column for column in linear.master.columns if problem.stretches[column[0]].real]
        self.shortage = _Shortage(problem, self.bought, columns)
        self.demands: list[tuple[Floats, float]] = []
        self.centre = np.zeros(len(self.bought))
        for (stretch, _), used in zip(linear.master.columns, linear.usage, strict=False):
            if stretch in self.bought:
                self.centre[self.bought.index(stretch)] += used
        for sizes in linear.tried:
            self._demand(sizes)
        self.asked = self.tried = 0
        self.open = inf

    def run(self) -> tuple[tuple[Pattern, ...], int]:
        bound = rounded_up(self.linear.bound, self.problem.grain)
        most = [self.problem.stretches[n].limit for n in self.bought]
        whole: Range = tuple((0, self.problem.pieces if limit is None else limit) for limit in most)
        self._cheapest(tuple((max(0, int(c) - NEAR), int(c) + NEAR) for c in self.centre))
        heap = [(bound, 0, whole)]
        pushed = 0
        while heap and heap[0][0] < self.cost:
            least, _, part = heappop(heap)
            cost, numbers = self._cheapest(part)
            cost = max(cost, least)
            if numbers is None:
                self.open = min(self.open, cost)
                continue
            if cost >= self.cost:
                continue
            if not self._placed(numbers, cost):
                self.open = min(self.open, cost)
            for other in _others(part, numbers):
                pushed += 1
                heappush(heap, (int(cost), pushed, other))
            if self._spent():
                break
        left = heap[0][0] if heap else inf
        return self.plan, int(max(bound, min(self.cost, left, self.open)))

    def _spent(self) -> bool:
        return self.asked >= MOST_ASKED or self.tried >= self.tries

    def _cheapest(self, part: Range) -> tuple[float, tuple[int, ...] | None]:
        """The least cost of numbers within that range that would do in the linear programme, and the numbers (None:
        not found, the cost is a bound only)."""
        before: tuple[int, ...] | None = None
        while True:
            cost, numbers = cheapest_numbers(self.prices, part, self.demands, self.problem.grain)
            if numbers is None or cost >= self.cost or numbers == before:
                return cost, numbers
            if self._spent():
                return cost, None
            if self._would_do(np.array(numbers, float)):
                return cost, numbers
            before = numbers

    def _would_do(self, numbers: Floats) -> bool:
        half = (numbers + self.centre) / 2
        if not self._ask(half):
            return False
        self.centre = half
        return self._ask(numbers)

    def _ask(self, numbers: Floats) -> bool:
        self.asked += 1
        linear = self.shortage.at(numbers)
        if linear.value < SOME:
            return True
        self._demand(linear.prices.sizes)
        return False

    def _demand(self, sizes: Floats) -> None:
        """What the boards bought must hold between them at these prices of the pieces."""
        sizes = np.maximum(0.0, sizes)
        holds = self.shortage.knapsack.holds(sizes)
        rack = [(n, s.limit or 0) for n, s in enumerate(self.problem.stretches) if s.real and not s.price]
        need = float(np.array(self.problem.wanted) @ sizes) - sum(holds[n] * count for n, count in rack)
        if need > 0:
            self.demands.append((holds[self.bought], need))

    def _placed(self, numbers: tuple[int, ...], cost: float) -> bool:
        """Look for a plan that buys just these numbers; False: none was found, and none was proven not to be."""
        settled = with_just(self.shortage.problem, self.bought, numbers)
        patterns: list[Pattern] | None
        decided = True
        try:
            patterns = packed_plan(settled)
        except Undecided:
            self.tried += 1
            patterns, decided = self._fitted(settled, cost)
        if patterns is not None:
            self.plan = tidy(self.problem, patterns)
            self.cost = self.problem.total(self.plan)[0]
        return decided

    def _fitted(self, settled: Problem, cost: float) -> tuple[list[Pattern] | None, bool]:
        """The same by HiGHS, from the patterns known and those near enough to paying for themselves: all of them for a
        proof, fewer where those are too many."""
        gap = cost - self.linear.bound
        gaps = [part * gap for part in PARTS]
        near, within = self.linear.knapsack.near(self.linear.prices, gaps, MOST_PATTERNS) or ([], None)
        nothing = [(self.shortage.stand_in, ((size, 1),)) for size, n in enumerate(settled.wanted) for _ in range(n)]
        known = [*near, *self.shortage.master.columns]
        real = [column for column in known if self.shortage.problem.stretches[column[0]].real]
        chosen, least = Master(settled).whole(real, nothing, 1, nodes=NODES, target=0.5)
        made = chosen is not None and all(number != self.shortage.stand_in for number, _ in tidy(settled, chosen))
        return (chosen if made else None), made or (within == gap and least > 0.5)


def _others(part: Range, numbers: tuple[int, ...]) -> list[Range]:
    """A range without these numbers, in parts that do not overlap."""
    found = []
    for place, ((least, most), number) in enumerate(zip(part, numbers, strict=True)):
        same = tuple((n, n) for n in numbers[:place])
        for low, high in ((least, number - 1), (number + 1, most)):
            if low <= high:
                found.append((*same, (low, high), *part[place + 1 :]))
    return found
