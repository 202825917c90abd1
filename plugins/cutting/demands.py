"""What any boards bought must hold when joints are free: a bound on the cost of every plan with this few joints.

At any worths of what pieces take, the boards bought and the rack together must hold the worth of the cheapest ways of
all runs. Each set of worths is one demand on the numbers of boards; the cheapest numbers that meet all of them cost no
more than the best plan. Besides the take itself, dual feasible functions of it serve as worths (Fekete and Schepers,
New classes of fast lower bounds for bin packing problems, Mathematical Programming 91, 2001; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, inf

import numpy as np

from listel.core.quick import dataclass
from listel.plugins.cutting.patterns import Floats
from listel.plugins.cutting.ways import Path, Runs, Ways

THRESHOLDS = 24
"""Thresholds of the first kind of function, at most."""
ROUNDINGS = 6
"""Functions of the second kind."""
HAIR = 1e-9
WINDOWS = (1 / 256, 1 / 64, 1 / 16, 1 / 4, 1)
"""Shares of the way from the least cost to the most, up to which numbers of boards are sought in turn."""

LOOKED = 20_000
"""Numbers begun in one search for the cheapest, at most."""

Worth = Callable[[Floats], Floats]


class TooManyError(Exception):
    """There are more numbers of boards than are looked at."""


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
        alone = sum(2 * take > self.full for take, _, _ in parts)  # the longest come first; no two go together
        longest = [take for take, _, _ in parts[:alone]]
        earned[longest] = [worth for _, _, worth in parts[:alone]]
        if took is not None:
            took[range(alone), longest] = True
        for row, (take, count, worth) in enumerate(parts[alone:], alone):
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
    by number of its stretch; no more than ``many``. They are sought up to a little over the least cost first.
    Raises TooManyError."""
    numbers = _Numbers(runs, asked)
    least = numbers.least_cost()
    found: list[tuple[int, tuple[int, ...]]] = []
    for share in WINDOWS:
        upto = most if share == 1 else int(least + (most - least) * share)
        if share == 1 or upto > least:
            found = numbers.upto(upto, many)
        if len(found) >= many:
            break
    return found


class _Numbers:
    """The numbers of each kind of board, kind by kind, the keenest price first; the last two kinds at once."""

    def __init__(self, runs: Runs, asked: Sequence[Demand]) -> None:
        new = [n for n, s in enumerate(runs.stretches) if not s.rack]
        rack = [(n, s.limit or 0) for n, s in enumerate(runs.stretches) if s.rack]
        first = asked[0].holds
        self.kinds = sorted(new, key=lambda n: runs.stretches[n].price / max(1.0, float(first[n])))
        self.prices = [runs.stretches[n].price for n in self.kinds]
        self.limits = [runs.stretches[n].limit for n in self.kinds]
        self.holds = np.array([[demand.holds[n] for demand in asked] for n in self.kinds])
        self.need = np.array([demand.need - sum(demand.holds[n] * count for n, count in rack) for demand in asked])
        prices = np.array(self.prices, dtype=float)[:, None]
        rates = np.divide(prices, self.holds, out=np.full_like(self.holds, inf), where=self.holds > 0)
        self.looked = 0
        self.keenest = np.minimum.accumulate(rates[::-1])[::-1]

    def least_cost(self) -> float:
        """What all demands cost at least, a board being bought in part."""
        return float(self._rest(0, self.need[None, :])[0])

    def _rest(self, place: int, left: Floats) -> Floats:
        """What is left of the demands, row by row, costs at least so much in the kinds from that one on."""
        owed = np.zeros_like(left)
        np.multiply(left, self.keenest[place], out=owed, where=left > HAIR)
        return np.asarray(owed.max(axis=1))

    def upto(self, most: int, many: int) -> list[tuple[int, tuple[int, ...]]]:
        """The cheapest numbers up to that cost, no more than ``many``."""
        self.most, self.many = most, many
        self.found: list[tuple[int, tuple[int, ...]]] = []
        self._go(0, self.need, 0, ())
        return sorted({(cost, self._bought(counts)) for cost, counts in self.found})[:many]

    def _bought(self, counts: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(sorted(kind for kind, count in zip(self.kinds, counts, strict=True) for _ in range(count)))

    def _go(self, place: int, left: Floats, cost: int, counts: tuple[int, ...]) -> None:
        self.looked += 1
        if self.looked > LOOKED:
            raise TooManyError
        if place < len(self.kinds) - 2:
            some = np.arange(self._top(place, left), -1.0, -1.0)
            left = left[None, :] - some[:, None] * self.holds[place]
            costs = cost + some * self.prices[place]
            least = costs + self._rest(place + 1, left)
            for at in np.flatnonzero(least <= self.most * (1 + 1e-6) + HAIR).tolist():
                if least[at] <= self.most * (1 + 1e-6) + HAIR:
                    self._go(place + 1, left[at], int(costs[at]), (*counts, int(some[at])))
            return
        single = place == len(self.kinds) - 1
        some = np.zeros(1) if single else np.arange(self._top(place, left) + 1.0)
        last = self._last(left[None, :] - some[:, None] * self.holds[place])
        some, last = some[last < inf], last[last < inf]
        costs = cost + some * self.prices[place] + last * self.prices[-1]
        for at in np.flatnonzero(costs <= self.most).tolist():
            ends = (int(last[at]),) if single else (int(some[at]), int(last[at]))
            self.found.append((int(costs[at]), (*counts, *ends)))
        if len(self.found) > 4 * self.many:
            self.found.sort()
            del self.found[self.many :]
            self.most = min(self.most, self.found[-1][0])

    def _top(self, place: int, left: Floats) -> int:
        """More of a kind than this meet no more of any demand."""
        useful = self.holds[place] > 0
        top = max(0, ceil(float(np.max(left[useful] / self.holds[place][useful], initial=0.0))))
        limit = self.limits[place]
        return top if limit is None else min(top, limit)

    def _last(self, left: Floats) -> Floats:
        """For each row of what is left, how many of the last kind meet all of it; without end where none do."""
        column, limit = self.holds[-1], self.limits[-1]
        share = np.divide(left, column, out=np.full_like(left, inf), where=column > 0)
        share[left <= HAIR] = 0.0
        count = np.ceil(np.max(share, axis=1, initial=0.0) - 1e-6)
        return count if limit is None else np.where(count <= limit, count, inf)
