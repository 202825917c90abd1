"""What any boards bought must hold when joints are free: a bound on the cost of every plan with this few joints.

At any worths of what pieces take, the boards bought and the rack together must hold the worth of the cheapest ways of
all runs. Each set of worths is one demand on the numbers of boards; the cheapest numbers that meet all of them cost no
more than the best plan. Besides the take itself, dual feasible functions of it serve as worths (Fekete and Schepers,
New classes of fast lower bounds for bin packing problems, Mathematical Programming 91, 2001; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, inf

import numpy as np

from listel.plugins.cutting.patterns import Floats
from listel.plugins.cutting.ways import Path, Runs, Ways

THRESHOLDS = 24
"""Thresholds of the first kind of function, at most."""
ROUNDINGS = 6
"""Functions of the second kind."""
HAIR = 1e-9

Worth = Callable[[Floats], Floats]


@dataclass(frozen=True)
class Demand:
    """What one of each stretch holds at some worths, and what all runs ask for at least."""

    holds: Floats
    need: float


class Grid:
    """The ways of one run as a table: the take of the piece between any two positions, without end where there is
    none."""

    def __init__(self, ways: Ways) -> None:
        self.joints = ways.joints
        self.take = np.full((ways.end + 1, ways.end + 1), inf)
        for (i, m), take in ways.take.items():
            self.take[i, m] = take
        self.there = np.isfinite(self.take)

    def cheapest(self, worth: Worth, adds: Floats | None = None) -> tuple[float, Path]:
        """The least worth of a way, and the way. ``adds``: what a joint at each position costs besides, by number."""
        value = np.full(self.take.shape, inf)
        value[self.there] = worth(self.take[self.there])
        best = value[0]
        back = []
        for number in range(self.joints):
            total = (best if adds is None else best + adds[number])[:, None] + value
            back.append(total.argmin(axis=0))
            best = total.min(axis=0)
        place = len(best) - 1
        path = [place]
        for row in reversed(back):
            place = int(row[place])
            path.append(place)
        return float(best[-1]), (0, *reversed(path))


class Sacks:
    """The most worth that each stretch holds."""

    def __init__(self, runs: Runs) -> None:
        self.takes = sorted(runs.takes(), reverse=True)
        self.sizes = np.array([take for take, _ in self.takes], float)
        self.rooms = np.array([stretch.room + runs.kerf for stretch in runs.stretches])
        self.full = int(self.rooms.max())

    def parts(self, worths: Floats) -> list[tuple[int, int, float]]:
        """Each take that is worth something, split into counts that double: take, count, worth of one."""
        found = []
        for (take, count), worth in zip(self.takes, worths.tolist(), strict=True):
            left, step = min(count, self.full // take) if worth > HAIR else 0, 1
            while left > 0:
                found.append((take, min(step, left), worth))
                left -= step
                step *= 2
        return found

    def earned(self, parts: Sequence[tuple[int, int, float]], took: np.ndarray | None = None) -> Floats:
        """The most worth of pieces of each whole length in all; ``took`` is told which parts bettered it."""
        earned = np.full(self.full + 1, -inf)
        earned[0] = 0.0
        for row, (take, count, worth) in enumerate(parts):
            length = take * count
            offer, here = earned[:-length] + worth * count, earned[length:]
            if took is not None:
                np.greater(offer, here, out=took[row, length:])
            np.maximum(here, offer, out=here)
        return earned

    def holds(self, worth: Worth) -> Floats:
        """What each stretch holds. Never rounded: a hold cut to whole numbers would prove what is not so."""
        return np.asarray(np.maximum.accumulate(self.earned(self.parts(worth(self.sizes))))[self.rooms])


def demands(runs: Runs, grids: Sequence[Grid], sacks: Sacks) -> list[Demand]:
    """The demands that can be told without the linear programme."""
    full = sacks.full
    marks = sorted({take for take, _ in sacks.takes if 2 * take <= full})
    marks = sorted({*marks, *(full - take + 1 for take, _ in sacks.takes if full / 2 + 1 <= take < full)})
    if len(marks) > THRESHOLDS:
        marks = [marks[len(marks) * n // THRESHOLDS] for n in range(THRESHOLDS)]

    def over(mark: float) -> Worth:
        return lambda take: np.where(take > full - mark, full, np.where(take >= mark, take, 0.0))

    def rounded(parts: int) -> Worth:
        def worth(take: Floats) -> Floats:
            share = (parts + 1) * take / full
            return np.where(np.abs(share - np.rint(share)) < HAIR, take, np.floor(share + HAIR) * full / parts)

        return worth

    worths = [lambda take: take, *(over(mark) for mark in marks), *(rounded(n) for n in range(1, ROUNDINGS + 1))]
    return [Demand(sacks.holds(worth), sum(grid.cheapest(worth)[0] for grid in grids)) for worth in worths]


def cheapest_numbers(runs: Runs, asked: Sequence[Demand], most: int, many: int) -> list[tuple[int, tuple[int, ...]]]:
    """The cheapest numbers of new boards that meet every demand, up to a cost of ``most``: cost, and each board bought
    by number of its stretch; no more than ``many``."""
    new = [n for n, s in enumerate(runs.stretches) if not s.rack]
    rack = [(n, s.limit or 0) for n, s in enumerate(runs.stretches) if s.rack]
    holds = np.array([[demand.holds[n] for n in new] for demand in asked])
    need = np.array([demand.need - sum(demand.holds[n] * count for n, count in rack) for demand in asked])
    prices = [runs.stretches[n].price for n in new]
    order = sorted(range(len(new)), key=lambda i: prices[i] / max(1.0, holds[0][i]))
    rates = np.array([[prices[i] / of if of > 0 else inf for of in holds[:, i]] for i in order])
    keenest = np.minimum.accumulate(rates[::-1])[::-1]
    found: list[tuple[int, tuple[int, ...]]] = []

    def least(column: Floats, left: Floats) -> float:
        """How many of one kind meet what is left of every demand; without end where none do."""
        open_ = left > HAIR
        if np.any(open_ & (column <= 0)):
            return inf
        return float(np.ceil(np.max(left[open_] / column[open_]) - 1e-6)) if open_.any() else 0.0

    def go(place: int, left: Floats, cost: int, bought: tuple[int, ...]) -> None:
        nonlocal most
        open_ = left > HAIR
        if cost + float(np.max(left[open_] * keenest[place][open_], initial=0.0)) > most + 1e-6 * most + HAIR:
            return
        kind = order[place]
        limit = runs.stretches[new[kind]].limit
        if place == len(order) - 1:
            count = least(holds[:, kind], left)
            if count < inf and (limit is None or count <= limit) and cost + count * prices[kind] <= most:
                found.append((int(cost + count * prices[kind]), (*bought, *[new[kind]] * int(count))))
                if len(found) > 4 * many:
                    found.sort()
                    del found[many:]
                    most = min(most, found[-1][0])
            return
        column = holds[:, kind]
        useful = column > 0
        top = max(0, ceil(float(np.max(left[useful] / column[useful], initial=0.0))))
        top = top if limit is None else min(top, limit)
        for count in range(top, -1, -1):
            after = left - count * holds[:, kind]
            go(place + 1, after, cost + count * prices[kind], (*bought, *[new[kind]] * count))

    go(0, need, 0, ())
    return sorted({(cost, tuple(sorted(bought))) for cost, bought in found})[:many]
