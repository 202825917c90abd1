"""Which patterns are worth having at given prices of the pieces: one knapsack for every stretch at once, and all
near-best patterns counted out.

The knapsack is the bounded one of Gilmore and Gomory (A linear programming approach to the cutting-stock problem,
Operations Research 9, 1961; part II, 11, 1963; from memory), filled to each exact length, so that what a remnant is
worth can be added at the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

import numpy as np
import numpy.typing as npt

from listel.core.quick import dataclass
from listel.plugins.cutting.problem import Pattern, Problem

Floats = npt.NDArray[np.float64]
SLACK = 1e-7
"""Reduced costs nearer to nothing than this count as nothing."""


@dataclass(frozen=True)
class Prices:
    """What the linear programme pays: for one more of each size, and for one more of each stretch (not above 0)."""

    sizes: Floats
    stretches: Floats

    def mixed(self, other: Prices, share: float) -> Prices:
        """``share`` of these prices and the rest of the other's."""
        rest = 1 - share
        return Prices(share * self.sizes + rest * other.sizes, share * self.stretches + rest * other.stretches)


class Knapsack:
    """The patterns of one problem."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.full = max(stretch.room for stretch in problem.stretches) + problem.kerf
        self.rooms = np.array([stretch.room + problem.kerf for stretch in problem.stretches])
        self.takes = [size + problem.kerf for size in problem.sizes]
        unlimited = [stretch.limit is None for stretch in problem.stretches]
        self.unlimited = np.array(unlimited)
        self.most = np.array(
            [problem.pieces if stretch.limit is None else stretch.limit for stretch in problem.stretches], float
        )

    @cached_property
    def charges(self) -> list[Floats]:
        """For each stretch, by the length used: what a pattern must earn back before it is worth having."""
        return [s.price + np.rint(s.rate * np.arange(s.room + self.problem.kerf + 1)) for s in self.problem.stretches]

    def shortfall(self, pattern: Pattern, prices: Prices) -> float:
        """What a pattern fails to earn at these prices: below 0, it betters the linear plan."""
        number, cuts = pattern
        cost = self.problem.score(self.problem.stretches[number], self.problem.used(cuts))[0]
        earned = sum(prices.sizes[size] * count for size, count in cuts)
        return float(cost - prices.stretches[number] - earned)

    def best(self, prices: Prices, each: int) -> tuple[list[Pattern], float, Prices]:
        """Up to ``each`` patterns of every stretch that pay best; the linear bound these prices prove; and the
        prices, with those of the stretches set so that no pattern does better than pay for itself."""
        parts = self._parts(prices.sizes)
        took = np.zeros((len(parts), self.full + 1), bool)
        earned = self._earned(prices.sizes, parts, took)
        patterns: list[Pattern] = []
        gains = np.zeros(len(self.rooms))
        for number, charge in enumerate(self.charges):
            net = earned[: len(charge)] - charge
            gains[number] = net.max()
            first = np.argpartition(-net, each)[:each] if len(net) > each else np.arange(len(net))
            for used in first[net[first] + prices.stretches[number] > SLACK]:
                patterns.append((number, self._walk(parts, took, int(used))))
        proving = self._proving(prices, gains)
        return patterns, self.bound(proving), proving

    def holds(self, sizes: Floats) -> Floats:
        """The most that each stretch can hold, the pieces counted at these prices."""
        return np.asarray(np.maximum.accumulate(self._earned(sizes, self._parts(sizes)))[self.rooms])

    def _earned(
        self, sizes: Floats, parts: Sequence[tuple[int, int]], took: npt.NDArray[np.bool_] | None = None
    ) -> Floats:
        """The most that pieces of each whole length in all earn; ``took`` is told which parts bettered it."""
        earned = np.full(self.full + 1, -np.inf)
        earned[0] = 0.0
        for row, (size, count) in enumerate(parts):
            take = self.takes[size] * count
            offer = earned[:-take] + sizes[size] * count
            here = earned[take:]
            if took is not None:
                np.greater(offer, here, out=took[row, take:])
            np.maximum(here, offer, out=here)
        return earned

    def bound(self, prices: Prices) -> float:
        """The linear bound by Lagrange's argument, for prices at which no pattern does better than pay for itself."""
        return float(np.array(self.problem.wanted) @ prices.sizes + self.most @ np.minimum(0.0, prices.stretches))

    def _proving(self, prices: Prices, gains: Floats) -> Prices:
        """The prices, lowered after Farley (A note on bounding a class of linear programming problems, Operations
        Research 38, 1990; from memory) until no stretch without limit gains; each other stretch is charged for what
        its best pattern gains."""
        scale = 1.0
        for gain, stretch in zip(gains, self.problem.stretches, strict=True):
            if stretch.limit is None and stretch.price and gain > 0:
                scale = min(scale, stretch.price / (stretch.price + gain))
        endless = self.unlimited & np.array([s.price > 0 for s in self.problem.stretches])
        gains = np.maximum(0.0, np.where(endless, np.minimum(0.0, gains), gains))
        return Prices(scale * prices.sizes, -scale * gains)

    def _parts(self, worth: Floats) -> list[tuple[int, int]]:
        """Each size that pays, split into counts that double, so that every number up to the wanted one can be made."""
        parts = []
        for size, wanted in enumerate(self.problem.wanted):
            if worth[size] <= SLACK:
                continue
            left = min(wanted, self.full // self.takes[size])
            step = 1
            while left > 0:
                parts.append((size, min(step, left)))
                left -= step
                step *= 2
        return parts

    def _walk(
        self, parts: list[tuple[int, int]], took: npt.NDArray[np.bool_], used: int
    ) -> tuple[tuple[int, int], ...]:
        counts: dict[int, int] = {}
        row = len(parts)
        column = took[:, used]
        while used:
            row = int(np.flatnonzero(column[:row])[-1])
            size, count = parts[row]
            counts[size] = counts.get(size, 0) + count
            used -= self.takes[size] * count
            column = took[:, used]
        return tuple(sorted(counts.items()))

    def near(self, prices: Prices, gaps: Iterable[float], most: int) -> tuple[list[Pattern], float] | None:
        """Every pattern that falls short of paying for itself by no more than a gap, and the gap: the first for which
        they are no more than ``most``; None if there is none such.

        Sizes are taken one after another; a start is dropped as soon as the best that could still go into the room
        left would not bring it within the gap. Where only cost counts and what is used of a stretch costs nothing,
        patterns that could take a further piece are left out: the fuller one does as well.
        """
        could = self._could(prices.sizes)
        for gap in gaps:
            found = self._within(prices, gap, most, could)
            if found is not None:
                return found, gap
        return None

    def _within(self, prices: Prices, gap: float, most: int, could: Floats) -> list[Pattern] | None:
        charges = self.charges
        flat = np.concatenate(charges)
        starts = np.cumsum([0, *(len(charge) for charge in charges[:-1])])
        owed = gap + prices.stretches + SLACK
        frontier = _Frontier(len(charges))

        def alive(ends: _Frontier, row: int) -> npt.NDArray[np.bool_]:
            room = self.rooms[ends.stretch] - ends.used
            short = flat[starts[ends.stretch] + ends.used] - ends.worth - could[row][room]
            return np.asarray(short <= owed[ends.stretch])

        nodes: list[tuple[npt.NDArray[np.int64], int, int]] = []
        made = 0
        for size, take in enumerate(self.takes):
            ends = [frontier.without(take)] if self.problem.wanted[size] else [frontier]
            for count in range(1, min(self.problem.wanted[size], self.full // take) + 1):
                fits = frontier.kept(frontier.used + count * take <= self.rooms[frontier.stretch])
                more = fits.having(
                    count * take, count * prices.sizes[size], full=count == self.problem.wanted[size], take=take
                )
                more = more.kept(alive(more, size + 1))
                if len(more.node):
                    nodes.append((more.node, size, count))
                    more.node = np.arange(made, made + len(more.node))
                    made += len(more.node)
                    ends.append(more)
            ends[0] = ends[0].kept(alive(ends[0], size + 1))
            frontier = _Frontier.joined(ends)
            if len(frontier.node) > 8 * most or made > 40 * most:
                return None
        if not any(stretch.rate for stretch in self.problem.stretches):
            frontier = frontier.kept(frontier.used + frontier.least > self.rooms[frontier.stretch])
        if len(frontier.node) > most:
            return None
        return self._named(frontier, nodes)

    def _could(self, worth: Floats) -> Floats:
        """Row by row, the most that the sizes from there on could earn in each room."""
        rows = np.zeros((len(self.takes) + 1, self.full + 1))
        for size in range(len(self.takes) - 1, -1, -1):
            rows[size] = rows[size + 1]
            if worth[size] <= 0:
                continue
            left, step = min(self.problem.wanted[size], self.full // self.takes[size]), 1
            while left > 0:
                take = self.takes[size] * min(step, left)
                offer = rows[size][:-take] + worth[size] * min(step, left)
                np.maximum(rows[size][take:], offer, out=rows[size][take:])
                left -= step
                step *= 2
        return rows

    @staticmethod
    def _named(frontier: _Frontier, nodes: Sequence[tuple[npt.NDArray[np.int64], int, int]]) -> list[Pattern]:
        parents = np.concatenate([parent for parent, _, _ in nodes]).tolist() if nodes else []
        cuts = [(size, count) for parent, size, count in nodes for _ in range(len(parent))]
        found = []
        for number, at in zip(frontier.stretch.tolist(), frontier.node.tolist(), strict=True):
            pattern = []
            while at >= 0:
                pattern.append(cuts[at])
                at = parents[at]
            if pattern:
                found.append((number, tuple(reversed(pattern))))
        return found


@dataclass
class _Frontier:
    """Patterns in the making: their stretch, the room used, what they earn, the least size they could still take, and
    the last cut made (-1: none)."""

    stretch: npt.NDArray[np.int64]
    used: npt.NDArray[np.int64]
    worth: Floats
    least: npt.NDArray[np.int64]
    node: npt.NDArray[np.int64]

    def __init__(self, stretches: int = 0) -> None:
        self.stretch = np.arange(stretches)
        self.used = np.zeros(stretches, np.int64)
        self.worth = np.zeros(stretches)
        self.least = np.full(stretches, 1 << 40)
        self.node = np.full(stretches, -1)

    def _made(self, *parts: npt.NDArray) -> _Frontier:  # type: ignore[type-arg]
        made = _Frontier()
        made.stretch, made.used, made.worth, made.least, made.node = parts
        return made

    def kept(self, keep: npt.NDArray[np.bool_]) -> _Frontier:
        """Those that the mask keeps."""
        return self._made(self.stretch[keep], self.used[keep], self.worth[keep], self.least[keep], self.node[keep])

    def without(self, take: int) -> _Frontier:
        """The same with a size left out that could still go in."""
        return self._made(self.stretch, self.used, self.worth, np.full(len(self.node), take), self.node)

    def having(self, used: int, worth: float, full: bool, take: int) -> _Frontier:
        """The same with a size put in; ``full``: no more of it is wanted."""
        least = self.least if full else np.full(len(self.node), take)
        return self._made(self.stretch, self.used + used, self.worth + worth, least, self.node)

    @staticmethod
    def joined(ends: Sequence[_Frontier]) -> _Frontier:
        """All of them as one."""
        made = _Frontier()
        for part in ("stretch", "used", "worth", "least", "node"):
            setattr(made, part, np.concatenate([getattr(end, part) for end in ends]))
        return made
