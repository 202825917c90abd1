"""Where each run of a trim may be jointed, as the search for joints and boards together sees it.

A run is jointed at some of its stations, as few as the boards there are as many of as wanted make possible. All lengths
in grid steps.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import pairwise
from math import ceil, inf

from listel.core.quick import dataclass
from listel.plugins.cutting.greedy import swapped
from listel.plugins.cutting.problem import GRID, Pattern, Problem, Stretch, dearest

MOST_JOINTS = 40

Path = tuple[int, ...]
"""A way to joint a run: places in its list of positions, both ends included."""
Plan = tuple[tuple[Path, ...], tuple[Pattern, ...]]
"""A way for each run, and its pieces on boards: patterns of the problem that the ways make (``Runs.cut``)."""


@dataclass(frozen=True, kw_only=True)
class Stations:
    """One run to be cut: where a joint may come, from its left long point, and its whole length there [mm]; how far the
    two pieces of a joint lap; the shortest and the longest piece [mm]. Without stations it is one piece as it is."""

    total: float
    stations: tuple[float, ...] = ()
    overlap: float = 0.0
    least: float = 0.0
    longest: float = inf


class _Pieces:
    """The pieces of a run: ``at``: its ends and the stations where it may be jointed."""

    def __init__(self, run: Stations) -> None:
        self.run = run
        inner = [at for at in run.stations if run.least <= at <= run.total - run.least]
        self.at = [0.0, *sorted(inner), run.total]
        self.end = len(self.at) - 1

    def steps(self, i: int, m: int) -> int:
        """The length of the piece between two positions in grid steps, 0 where it is too short or too long."""
        between = self.at[m] - self.at[i]
        length = between + self.run.overlap / 2 * ((i > 0) + (m < self.end))
        if length > self.run.longest + 1e-6 or (between < self.run.least and (i, m) != (0, self.end)):
            return 0
        return ceil(length * GRID - 1e-6)

    def onward(self, i: int, most: int) -> range:
        """The stations where a piece from a position may end, no longer than ``most``: they lie side by side, for what
        comes before is too short and what comes after too long."""
        after, overlap = range(i + 1, self.end), self.run.overlap / 2 * ((i > 0) + 1)

        def steps(m: int) -> int:
            return ceil((self.at[m] - self.at[i] + overlap) * GRID - 1e-6)

        def long_enough(m: int) -> bool:
            return self.at[m] - self.at[i] >= self.run.least and steps(m) > 0

        def too_long(m: int) -> bool:
            return self.at[m] - self.at[i] + overlap > self.run.longest + 1e-6 or steps(m) > most

        return after[bisect_left(after, True, key=long_enough) : bisect_left(after, True, key=too_long)]

    def fewest(self, sure: int) -> int | None:
        """The fewest joints with pieces no longer than ``sure``; None where none make the run possible."""
        reached, seen = {0}, {0}
        for joints in range(MOST_JOINTS + 1):
            if any(0 < self.steps(i, self.end) <= sure for i in reached):
                return joints
            spans, reached, last = (self.onward(i, sure) for i in sorted(reached)), set(), 0
            for span in spans:
                reached.update(range(max(span.start, last), span.stop))
                last = max(last, span.stop)
            reached -= seen
            seen |= reached
        return None


def _within(span: range, places: Sequence[int]) -> Sequence[int]:
    """Those of the places, in order, that lie in a span."""
    return places[bisect_left(places, span.start) : bisect_left(places, span.stop)]


def fewest_joints(run: Stations, sure: int) -> int | None:
    """The fewest joints that make a run of pieces no longer than ``sure`` [steps]; None where none do."""
    return _Pieces(run).fewest(sure)


class Ways:
    """The ways of one run: positions ``at`` (its ends and its stations); ``take`` of the piece between two, kerf and
    all; ``sure``: those pieces that boards there are enough of take; ``joints``: the fewest. Raises ValueError for a
    run that no joints make possible."""

    def __init__(self, run: Stations, kerf: int, longest: int, sure: int) -> None:
        pieces = _Pieces(run)
        self.at, self.end = pieces.at, pieces.end
        joints = pieces.fewest(sure)
        if joints is None:
            raise ValueError("no joints make this run possible")
        self.joints = joints
        spans = [pieces.onward(i, longest) for i in range(self.end)]
        last = [i for i in range(self.end) if 0 < pieces.steps(i, self.end) <= longest]
        ahead = [last]
        for _ in range(joints):
            ahead.append([i for i, span in enumerate(spans) if _within(span, ahead[-1])])
        pairs, reached = set[tuple[int, int]](), {0}
        for left in range(joints, 0, -1):
            step = {(i, m) for i in reached for m in _within(spans[i], ahead[left - 1])}
            pairs |= step
            reached = {m for _, m in step}
        pairs |= {(i, self.end) for i in reached.intersection(last)}
        self.take = {pair: pieces.steps(*pair) + kerf for pair in sorted(pairs)}
        self.sure = {pair for pair, take in self.take.items() if take - kerf <= sure}
        self.onward: dict[int, list[int]] = {}
        self.back: dict[int, list[int]] = {}
        for i, m in self.take:
            self.onward.setdefault(i, []).append(m)
            self.back.setdefault(m, []).append(i)

    def between(self, start: int, end: int, joints: int) -> bool:
        """Whether the stretch between two positions can be made with exactly so many joints."""
        return end in self._reached(start, joints)

    def _reached(self, start: int, joints: int) -> frozenset[int]:
        key = (start, joints)
        if key not in self._known:
            ends = self.onward.get(start, ())
            self._known[key] = (
                frozenset(ends) if joints == 0 else frozenset(far for m in ends for far in self._reached(m, joints - 1))
            )
        return self._known[key]

    @cached_property
    def _known(self) -> dict[tuple[int, int], frozenset[int]]:
        return {}

    def every(self, path: Path = (0,)) -> Iterator[Path]:
        """Every way, one after another."""
        left = self.joints - len(path) + 1
        for m in self.onward.get(path[-1], ()):
            if m == self.end and left == 0:
                yield (*path, m)
            elif m != self.end and left > 0:
                yield from self.every((*path, m))

    def even(self) -> Path:
        """The way whose joints stand as evenly as the stations allow, of pieces that boards without limit take."""
        best: dict[int, tuple[float, Path]] = {0: (0.0, (0,))}
        for number in range(self.joints + 1):
            step: dict[int, tuple[float, Path]] = {}
            for i, (cost, path) in best.items():
                for m in self.onward.get(i, ()):
                    total = cost + (0.0 if m == self.end else self.unevenness(m, number))
                    if (i, m) in self.sure and (m not in step or total < step[m][0]):
                        step[m] = (total, (*path, m))
            best = step
        return best[self.end][1]

    def unevenness(self, place: int, number: int) -> float:
        """How far a position stands from where the joint of that number would stand evenly."""
        return abs(self.at[place] - self.at[-1] * (number + 1) / (self.joints + 1))

    @cached_property
    def need(self) -> int:
        """The least that its pieces take in all."""
        least = {0: 0}
        for _ in range(self.joints + 1):
            step: dict[int, int] = {}
            for i, so_far in least.items():
                for m in self.onward.get(i, ()):
                    step[m] = min(step.get(m, so_far + self.take[i, m]), so_far + self.take[i, m])
            least = step
        return least[self.end]

    def takes(self, path: Path) -> list[int]:
        """What the pieces of a way take."""
        return [self.take[pair] for pair in pairwise(path)]

    def stations(self, path: Path) -> tuple[float, ...]:
        """The positions of the joints of a way, mm from the left long point."""
        return tuple(self.at[place] for place in path[1:-1])


class Runs:
    """All that is cut for one trim: runs with a choice of joints, and pieces as they are. ``sure``: the longest stretch
    that there are enough of [steps]; where it is not told, that of the boards without limit."""

    def __init__(self, runs: Iterable[Stations], problem: Problem, sure: int | None = None) -> None:
        self.problem = problem
        self.stretches: tuple[Stretch, ...] = problem.stretches
        self.kerf = problem.kerf
        longest = max(stretch.room for stretch in self.stretches)
        self.endless = max((s.room for s in self.stretches if s.limit is None), default=0)
        sure = sure or self.endless or longest
        self.ways = [Ways(run, problem.kerf, longest, sure) for run in runs]

    @cached_property
    def need(self) -> int:
        """The least that all pieces take in all."""
        return sum(ways.need for ways in self.ways)

    def cut(self, paths: Iterable[Path]) -> Problem:
        """The cutting problem when every run is jointed in one of its ways."""
        wanted = Counter(
            take - self.kerf for ways, path in zip(self.ways, paths, strict=True) for take in ways.takes(path)
        )
        sizes = tuple(sorted(wanted, reverse=True))
        stretches = self.stretches
        if sizes[0] > self.endless:
            stretches = (*stretches, dearest(sizes, stretches, wanted.total()))
        return Problem(sizes, tuple(wanted[size] for size in sizes), stretches, self.kerf, self.problem.keep)

    def plan(self, paths: Sequence[Path], boards: Iterable[tuple[int, Iterable[int]]]) -> Plan | None:
        """The pieces of these ways on boards, each a stretch and what the pieces on it may take, the longest where most
        may be taken; None where the boards do not hold them."""
        problem = self.cut(paths)
        slots = sorted(((take, board, n) for board, (n, takes) in enumerate(boards) for take in takes), reverse=True)
        sizes = [size for size, count in enumerate(problem.wanted) for _ in range(count)]
        cuts: dict[tuple[int, int], Counter[int]] = {}
        for size, (take, board, n) in zip(sizes, slots, strict=False):
            if problem.sizes[size] + self.kerf > take:
                return None
            cuts.setdefault((n, board), Counter())[size] += 1
        patterns = [(n, tuple(sorted(counts.items()))) for (n, _), counts in cuts.items()]
        return (tuple(paths), swapped(problem, patterns)) if len(slots) >= len(sizes) else None

    def takes(self) -> Iterator[tuple[int, int]]:
        """Every take that a piece may have, and of how many pieces at most."""
        found: Counter[int] = Counter()
        for ways in self.ways:
            for take in set(ways.take.values()):
                found[take] += ways.joints + 1
        return iter(found.items())
