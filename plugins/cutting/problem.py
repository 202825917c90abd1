"""The cutting problem in whole numbers: what is wanted, what can be cut from, and what a pattern costs.

Lengths are counted on a grid of half a millimetre: pieces rounded up, stretches rounded down, so that every plan on
the grid can be cut. ``n`` pieces fit a stretch when their lengths and the ``n - 1`` kerfs between them fit it. Counted
exactly by giving each piece one kerf and the stretch one kerf more.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import KW_ONLY
from functools import reduce
from math import ceil, floor, gcd

from listel.core.quick import dataclass

GRID = 2
"""Steps of the grid in one millimetre."""

Pattern = tuple[int, tuple[tuple[int, int], ...]]
"""A stretch by its number, and what is cut from it: (number of the size, how many), sizes in order."""

Score = tuple[int, int, int]
"""What a pattern adds to each objective, all to be made least: cost, rack value lost, stretches opened."""


def steps_up(mm: float) -> int:
    """A length [mm] in grid steps, rounded up."""
    return ceil(mm * GRID - 1e-6)


def steps_down(mm: float) -> int:
    """A length [mm] in grid steps, rounded down."""
    return floor(mm * GRID + 1e-6)


@dataclass(frozen=True)
class Stretch:
    """A kind of clear stretch to cut from, lengths in grid steps, money in whole pence (or steps where none is priced).

    ``room``: its length. ``price``: of the board it comes with. ``rate``: cost of each step used, for rack timber that
    is priced. ``limit``: how many there are (None: as many as wanted). ``rack``: it lies there already, and loses its
    value when it is cut into.
    ``real``: False for the stand-in that takes what cannot be made.
    """

    room: int
    price: int = 0
    rate: float = 0.0
    limit: int | None = None
    rack: bool = False
    _: KW_ONLY
    real: bool = True


@dataclass(frozen=True)
class Problem:
    """``sizes``: the different lengths wanted, longest first; ``wanted``: how many of each; ``keep``: shortest
    remnant kept."""

    sizes: tuple[int, ...]
    wanted: tuple[int, ...]
    stretches: tuple[Stretch, ...]
    kerf: int
    keep: int

    @property
    def pieces(self) -> int:
        """How many pieces are wanted in all."""
        return sum(self.wanted)

    @property
    def grain(self) -> int:
        """Every cost is a multiple of this, so that a bound may be rounded up to one."""
        if any(stretch.rate for stretch in self.stretches):
            return 1
        return reduce(gcd, (stretch.price for stretch in self.stretches), 0) or 1

    def used(self, cuts: Iterable[tuple[int, int]]) -> int:
        """What the pieces of a pattern take of a stretch, one kerf with each."""
        return sum((self.sizes[size] + self.kerf) * count for size, count in cuts)

    def remnant(self, stretch: Stretch, used: int) -> int:
        """What is left of a stretch when that much has been used."""
        return max(0, stretch.room - used)

    def worth(self, length: int) -> int:
        """The worth of a clear stretch on the rack: nothing under ``keep``, else its length in mm squared over 1000.

        The square makes one long stretch worth more than two of half its length, so that a plan uses up the smallest
        offcut that will do and keeps the long ones.
        """
        return length * length // (1000 * GRID * GRID) if length >= self.keep else 0

    def score(self, stretch: Stretch, used: int) -> Score:
        """What a stretch with that much used adds to each objective."""
        cost = stretch.price + round(stretch.rate * used)
        if not stretch.real:
            return cost, 0, 0
        lost = (self.worth(stretch.room) if stretch.rack else 0) - self.worth(self.remnant(stretch, used))
        return cost, lost, 1

    def total(self, patterns: Iterable[Pattern]) -> Score:
        """What a whole plan adds to each objective."""
        scores = [self.score(self.stretches[stretch], self.used(cuts)) for stretch, cuts in patterns]
        return sum(s[0] for s in scores), sum(s[1] for s in scores), sum(s[2] for s in scores)

    def area_bound(self) -> int:
        """No plan can cost less: the length wanted, bought at the keenest rate of any stretch that must be paid for.

        Free stretches are taken as used up to the last step.
        """
        need = sum((size + self.kerf) * count for size, count in zip(self.sizes, self.wanted, strict=True))
        rates = []
        for stretch in self.stretches:
            whole, copies = stretch.room + self.kerf, stretch.limit
            rate = stretch.price / whole + stretch.rate * (0 if stretch.price else 1)
            rates.append((rate, whole * copies if copies is not None else None))
        cost = 0.0
        for rate, most in sorted(rates, key=lambda r: (r[0], r[1] is None)):
            take = need if most is None else min(need, most)
            cost += rate * take
            need -= take
            if need <= 0:
                break
        return rounded_up(cost, self.grain) if all(not s.rate for s in self.stretches) else floor(cost * (1 - 1e-9))


def rounded_up(bound: float, grain: int) -> int:
    """A lower bound on a cost that is a multiple of ``grain``, rounded up to one (a hair below is taken for the
    same)."""
    return ceil(bound / grain - 1e-6 - 1e-9 * abs(bound) / grain) * grain


@dataclass(frozen=True)
class Proof:
    """One objective: its value, a bound no plan can pass (None: none is known), and whether they meet."""

    value: int
    bound: int | None = None

    @property
    def proven(self) -> bool:
        """Whether the value is the best there is (the objectives before it held where they are)."""
        return self.value == self.bound


@dataclass(frozen=True)
class Solution:
    """The patterns chosen, and the proof of each objective in order: cost, rack value lost, stretches opened."""

    patterns: tuple[Pattern, ...]
    proofs: tuple[Proof, Proof, Proof]
    linear: float | None = None
    stopped: bool = False


def tidy(problem: Problem, patterns: Iterable[Pattern]) -> tuple[Pattern, ...]:
    """The patterns with no piece made twice over and none left empty, in one fixed order."""
    left = list(problem.wanted)
    found: list[Pattern] = []
    for stretch, cuts in sorted(patterns):
        kept = []
        for size, count in cuts:
            take = min(count, left[size])
            left[size] -= take
            if take:
                kept.append((size, take))
        if kept:
            found.append((stretch, tuple(kept)))
    return tuple(sorted(found))


def dearest(sizes: Sequence[int], stretches: Sequence[Stretch], count: int) -> Stretch:
    """A stretch without end for what cannot be made of so many pieces, so dear that it is used for nothing else."""
    most = max((stretch.price + stretch.rate * stretch.room for stretch in stretches), default=0.0)
    return Stretch(sizes[0], rate=(count * most + 1) / sizes[-1], real=False)
