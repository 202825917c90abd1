"""A proof over what is bought: how many boards of each length.

The linear bound lets a plan buy 3.4 boards of a length. The cost of a plan hangs on those few numbers alone, so they
are settled first: the range of plans is parted at a number that is not whole, each part is bounded anew, and the part
with the lowest bound is looked into next. Once every number is whole the cost is known, and it is left to ask whether
the pieces go into just those boards.
"""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from heapq import heappop, heappush
from math import ceil, floor, inf

from listel.plugins.cutting.columns import Linear, generate
from listel.plugins.cutting.packing import Undecided, packed
from listel.plugins.cutting.problem import Pattern, Problem, Stretch, rounded_up, tidy

WHOLE = 1e-6
MOST_PATTERNS = 60_000
MOST_PACKED = 28
"""Pieces that are placed by trying, at most."""
LOOK = 2.0
"""Seconds to look for the pieces' places in boards whose number is settled."""


def can_branch(problem: Problem) -> bool:
    """Whether cost hangs on the numbers bought alone: nothing of the rack is priced, and everything can be made."""
    return all(stretch.real and not stretch.rate for stretch in problem.stretches)


def branched(
    problem: Problem, plan: tuple[Pattern, ...], linear: Linear, until: float
) -> tuple[tuple[Pattern, ...], int]:
    """The best plan by cost found until that moment of ``time.monotonic``, and a bound on any plan."""
    return _Branching(problem, plan, linear, until).run()


class _Branching:
    def __init__(self, problem: Problem, plan: tuple[Pattern, ...], linear: Linear, until: float) -> None:
        self.problem, self.plan, self.until = problem, plan, until
        self.cost = problem.total(plan)[0]
        self.grain = problem.grain
        self.bought = [number for number, stretch in enumerate(problem.stretches) if stretch.price]
        self.stand_in = len(problem.stretches)
        dear = Stretch(problem.sizes[0], rate=self.cost / (problem.sizes[-1] + problem.kerf), real=False)
        self.root = replace(problem, stretches=(*problem.stretches, dear))
        singles = [(self.stand_in, ((size, 1),)) for size, count in enumerate(problem.wanted) if count]
        self.always = [*singles, *((number, ()) for number in self.bought)]
        self.columns = linear.master.columns
        self.heap: list[tuple[int, int, Problem]] = []
        self.open = inf
        self.count = 0
        self._push(rounded_up(linear.bound, self.grain), self.root)

    def run(self) -> tuple[tuple[Pattern, ...], int]:
        while self.heap and self.heap[0][0] < self.cost:
            if time.monotonic() > self.until:
                break
            bound, _, part = heappop(self.heap)
            self._look(bound, part)
        left = self.heap[0][0] if self.heap else self.cost
        return self.plan, int(min(self.cost, left, self.open))

    def _push(self, bound: int, part: Problem) -> None:
        if bound < self.cost:
            self.count += 1
            heappush(self.heap, (bound, self.count, part))

    def _look(self, bound: int, part: Problem) -> None:
        linear = generate(part, 0, (), [*self.always, *self.columns], self.until, enough=self.cost)
        bound = max(bound, rounded_up(linear.bound, self.grain))
        if bound >= self.cost:
            return
        counts = [0.0] * len(part.stretches)
        for (stretch, _), used in zip(linear.master.columns, linear.usage, strict=False):
            counts[stretch] += float(used)
        broken = max(self.bought, key=lambda n: (round(abs(counts[n] - round(counts[n])), 9), -n))
        at = counts[broken]
        if abs(at - round(at)) > WHOLE:
            self._push(bound, _bounded(part, broken, part.stretches[broken].least, floor(at)))
            self._push(bound, _bounded(part, broken, ceil(at), part.stretches[broken].limit))
            return
        self._place(part, linear, {number: round(counts[number]) for number in self.bought})

    def _place(self, part: Problem, linear: Linear, counts: dict[int, int]) -> None:
        """Look for a plan that buys just these numbers, and put the plans that buy others back to be looked into."""
        cost = sum(part.stretches[number].price * count for number, count in counts.items())
        settled = part
        for number, count in counts.items():
            stretch = settled.stretches[number]
            if stretch.least < count:
                self._push(cost, _bounded(settled, number, stretch.least, count - 1))
            self._push(cost, _bounded(settled, number, count + 1, stretch.limit))
            settled = _bounded(settled, number, count, count)
        if cost >= self.cost:
            return
        found, proven = self._placed(settled, linear, cost)
        if found:
            self.plan = found
            self.cost = self.problem.total(found)[0]
        elif not proven:
            self.open = min(self.open, cost)

    def _placed(self, settled: Problem, linear: Linear, cost: int) -> tuple[tuple[Pattern, ...] | None, bool]:
        try:
            plan = self._packed(settled)
            return plan, plan is None
        except Undecided:
            pass
        tight = generate(settled, 0, (), [*self.always, *linear.master.columns], self.until, enough=self.cost)
        if rounded_up(tight.bound, self.grain) > cost:
            return None, True
        until = min(self.until, time.monotonic() + LOOK)
        near = tight.knapsack.near(tight.prices, cost - tight.bound, MOST_PATTERNS)
        patterns = list(dict.fromkeys([*tight.master.columns, *(near or ())]))
        chosen, least = tight.master.whole(patterns, [], 1, until)
        if chosen is not None and all(stretch != self.stand_in for stretch, _ in tidy(settled, chosen)):
            return tidy(self.problem, chosen), True
        return None, near is not None and least > cost + 0.5

    def _packed(self, settled: Problem) -> tuple[Pattern, ...] | None:
        """The plan for boards whose numbers are settled, by trying; None: there is none. Raises Undecided."""
        stretches = [n for n, s in enumerate(settled.stretches) if s.real for _ in range(s.limit or 0)]
        sizes = [size for size, count in enumerate(settled.wanted) for _ in range(count)]
        if len(sizes) > MOST_PACKED:
            raise Undecided
        rooms = [settled.stretches[number].room + settled.kerf for number in stretches]
        found = packed(rooms, [settled.sizes[size] + settled.kerf for size in sizes])
        if found is None:
            return None
        patterns = [
            (number, tuple(sorted(Counter(sizes[place] for place in places).items())))
            for number, places in zip(stretches, found, strict=True)
        ]
        return tidy(self.problem, patterns)


def _bounded(problem: Problem, number: int, least: int, limit: int | None) -> Problem:
    stretches = list(problem.stretches)
    stretches[number] = replace(stretches[number], least=least, limit=limit)
    return replace(problem, stretches=tuple(stretches))
