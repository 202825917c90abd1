"""Boards filled one after another, each by one knapsack at worths of the sizes that are corrected as they go: a size
that came into wasteful boards is worth more the next time.

After the sequential value correction of Belov and Scheithauer (European Journal of Operational Research 171, 2006, and
before; from memory).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from random import Random

import numpy as np
import numpy.typing as npt

from listel.core.quick import dataclass
from listel.plugins.cutting.greedy import swapped
from listel.plugins.cutting.patterns import Floats
from listel.plugins.cutting.problem import Pattern, Problem

POWER = 1.02
"""A size is worth its length to this power to begin with: a long one is harder to place."""


@dataclass
class Work:
    """Steps left to a search; it ends when they are used up."""

    left: float

    def spend(self, steps: float) -> None:
        """Take so many."""
        self.left -= steps

    @property
    def done(self) -> bool:
        """Whether none are left."""
        return self.left <= 0


def corrected(
    problem: Problem, times: int, target: int, work: Work, prices: Floats | None = None, seed: int = 1
) -> tuple[Pattern, ...] | None:
    """The best of so many plans, or the first that costs no more than ``target``; None where a piece fits nothing left.

    ``prices``: worths of the sizes to begin with, by the linear programme.
    """
    makes = _Correction(problem, prices, Random(seed), work)
    best: tuple[int, tuple[Pattern, ...]] | None = None
    for _ in range(times):
        patterns = makes.plan()
        if patterns is None:
            break
        plan = swapped(problem, patterns)
        cost = problem.total(plan)[0]
        if best is None or cost < best[0]:
            best = cost, plan
        if cost <= target or work.done:
            break
    return best[1] if best else None


class _Correction:
    def __init__(self, problem: Problem, prices: Floats | None, lots: Random, work: Work) -> None:
        self.problem, self.lots, self.work = problem, lots, work
        self.takes = [size + problem.kerf for size in problem.sizes]
        self.rooms = [stretch.room + problem.kerf for stretch in problem.stretches]
        wanted = np.array(problem.wanted)
        self.base = np.array(self.takes, float) ** POWER
        self.worth = self.base.copy()
        if prices is not None:
            known = np.maximum(prices, 1e-9 * self.base)
            self.worth = (known * (self.base @ wanted) / max(1e-12, known @ wanted) + self.base) / 2

    def plan(self) -> list[Pattern] | None:
        """One plan; the worths are corrected on the way."""
        wanted = np.array(self.problem.wanted)
        done = np.zeros(len(self.takes))
        left = [self.problem.pieces if s.limit is None else s.limit for s in self.problem.stretches]
        plan: list[Pattern] = []
        while wanted.any():
            filled = self._fill(wanted, left)
            if filled is None:
                return None
            number, cuts = filled
            plan.append((number, tuple(sorted(cuts.items()))))
            left[number] -= 1
            used = sum(self.takes[size] * count for size, count in cuts.items())
            for size, count in cuts.items():
                wanted[size] -= count
                fair = self.base[size] * self.rooms[number] / used
                slow = self.lots.uniform(1.0, 1.5) * (done[size] + wanted[size] + count)
                self.worth[size] = (slow * self.worth[size] + count * fair) / (slow + count)
                done[size] += count
        return plan

    def _fill(self, wanted: npt.NDArray[np.int_], left: list[int]) -> tuple[int, Counter[int]] | None:
        """The stretch that earns most for its price and its cuts: those of the rack first, the fullest of them."""
        stretches = self.problem.stretches
        rack = [n for n, s in enumerate(stretches) if s.rack and left[n]]
        for numbers in (rack, [n for n, s in enumerate(stretches) if not s.rack and left[n]]):
            if not numbers:
                continue
            room = min(max(self.rooms[n] for n in numbers), int(np.array(self.takes) @ wanted))
            earned, took, parts = self._earned(wanted, room)
            most = np.maximum.accumulate(earned)
            costs = {n: self.rooms[n] if stretches[n].rack else max(stretches[n].price, 1) for n in numbers}
            rates = [(most[min(self.rooms[n], room)] / costs[n], -n) for n in numbers]
            rate, number = max(rates)
            if rate > 0:
                at = int(earned[: min(self.rooms[-number], room) + 1].argmax())
                return -number, self._walk(took, parts, at)
        return None

    def _earned(
        self, wanted: npt.NDArray[np.int_], room: int
    ) -> tuple[Floats, npt.NDArray[np.bool_], list[tuple[int, int]]]:
        parts = []
        for size in np.flatnonzero(wanted).tolist():
            count, step = min(int(wanted[size]), room // self.takes[size]), 1
            while count > 0:
                parts.append((size, min(step, count)))
                count -= step
                step *= 2
        earned = np.full(room + 1, -np.inf)
        earned[0] = 0.0
        took = np.zeros((len(parts), room + 1), bool)
        for row, (size, count) in enumerate(parts):
            take = self.takes[size] * count
            offer, here = earned[:-take] + self.worth[size] * count, earned[take:]
            np.greater(offer, here, out=took[row, take:])
            np.maximum(here, offer, out=here)
        self.work.spend(len(parts) * (3 + room // 1000))
        return earned, took, parts

    def _walk(self, took: npt.NDArray[np.bool_], parts: Sequence[tuple[int, int]], at: int) -> Counter[int]:
        cuts: Counter[int] = Counter()
        row = len(parts)
        while at:
            row = int(np.flatnonzero(took[:row, at])[-1])
            size, count = parts[row]
            cuts[size] += count
            at -= self.takes[size] * count
        return cuts
