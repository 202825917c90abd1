"""The linear programme of joints and boards together: patterns of boards and ways of runs, linked by what pieces take.

A chain of free steps lets a longer slot serve a shorter piece, so that worths never fall as pieces grow; takes that no
column has yet are worth what lies between their neighbours. Each round fills the sacks once and finds the cheapest way
of every run, at worths half way to those that have proven most (dual smoothing); where that brings nothing new, at
those of the programme itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import inf
from typing import Any, ClassVar

import highspy
import numpy as np

from listel.core.quick import dataclass
from listel.plugins.cutting.demands import Demand, Grid, Sacks
from listel.plugins.cutting.master import quiet_solver
from listel.plugins.cutting.patterns import Floats
from listel.plugins.cutting.problem import rounded_up
from listel.plugins.cutting.ways import Path, Plan, Runs, Ways

Cuts = tuple[int, tuple[tuple[int, int], ...]]
"""A stretch by its number, and what its pieces take: (take, how many)."""
Way = tuple[int, Path]
"""A run by its number, and a way of it."""
Column = tuple[float, dict[int, float], float]
"""Its cost, its entries by row, and how often it may be used."""
ROUNDS, EACH = 150, 4
"""Rounds, at most, and patterns of each stretch that one brings."""
NODES, RUNS = 300, 20
"""Nodes of a whole-number programme for so many runs; for more, fewer."""
SOME = 1e-6


@dataclass(frozen=True)
class Worths:
    """The worth of a take: known at some, straight between them."""

    takes: Floats
    worth: Floats

    def __call__(self, take: Floats) -> Floats:
        """The worth of each of these takes."""
        return np.interp(take, self.takes, self.worth)

    def mixed(self, other: Worths) -> Worths:
        """Half way between two."""
        takes = np.unique(np.concatenate([self.takes, other.takes]))
        return Worths(takes, (self(takes) + other(takes)) / 2)


@dataclass(frozen=True)
class Solved:
    """A solution over the columns so far: its value, the worths of takes, and how often each column is used."""

    value: float
    worths: Worths
    usage: Floats


def _arrays(columns: Sequence[Column]) -> tuple[Floats, Floats, np.ndarray, np.ndarray, Floats]:
    """Costs, bounds, starts (and the end), rows and values of columns."""
    costs = np.array([cost for cost, _, _ in columns], float)
    most = np.array([highspy.kHighsInf if most == inf else most for _, _, most in columns], float)
    starts = np.cumsum([0, *(len(entries) for _, entries, _ in columns)]).astype(np.int32)
    rows = np.array([row for _, entries, _ in columns for row in entries], np.int32)
    values = np.array([value for _, entries, _ in columns for value in entries.values()], float)
    return costs, most, starts, rows, values


class FreeLinear:
    """The programme. ``stand_in``: with it, boards are free and as many as ``bought``, and a run may be left unmade at
    the cost of all it takes: does a plan with just these boards exist?"""

    how: ClassVar[dict[str, Any]] = {"mip_heuristic_run_root_reduced_cost": False}
    """How HiGHS comes to whole numbers: measured, it comes to the same cost in half the time."""

    def __init__(self, runs: Runs, grids: Sequence[Grid], sacks: Sacks, bought: Counter[int] | None = None) -> None:
        self.runs, self.grids, self.sacks = runs, grids, sacks
        stretches = runs.stretches
        self.stand_in = bought is not None
        self.prices = np.array([0.0 if self.stand_in else stretch.price for stretch in stretches])
        self.limits = [s.limit if bought is None or s.rack else bought.get(n, 0) for n, s in enumerate(stretches)]
        self.settled: dict[int, Path] = {}
        self.patterns: dict[Cuts, None] = {}
        self.paths: dict[Way, Counter[int]] = {}
        self.column: dict[Way, int] = {}
        self.caps = np.array([self._unmade(ways) for ways in runs.ways], float)
        self.asked: list[Demand] = []
        self.row = {take: row for row, (take, _) in enumerate(sacks.takes)}
        self.known: set[int] = set()
        self.highs = quiet_solver()
        self.highs.setOptionValue("presolve", "off")
        self.highs.setOptionValue("simplex_strategy", 4)
        lower, upper = self._rows(self.row)
        nothing = np.zeros(0, np.int32)
        self.highs.addRows(len(lower), lower, upper, 0, nothing, nothing, np.zeros(0))
        self._append(self._beside(self.row))

    def add(self, patterns: Iterable[Cuts], paths: Iterable[Way]) -> bool:
        """Add the columns that are not there yet; whether there were any."""
        cut = [c for c in dict.fromkeys(patterns) if self.limits[c[0]] != 0 and c not in self.patterns]
        ways = {way: Counter(self.runs.ways[way[0]].takes(way[1])) for way in paths if way not in self.paths}
        self.patterns |= dict.fromkeys(cut)
        self.paths |= ways
        first = self.highs.getNumCol() + len(cut)
        self.column |= {way: first + place for place, way in enumerate(ways)}
        self.known.update(take for _, cuts in cut for take, _ in cuts)
        self.known.update(take for takes in ways.values() for take in takes)
        self._append([*self._patterns(cut, self.row), *self._ways(ways, self.row)])
        return bool(cut or ways)

    def _append(self, columns: Sequence[Column]) -> None:
        costs, most, starts, rows, values = _arrays(columns)
        self.highs.addCols(len(costs), costs, np.zeros(len(costs)), most, len(rows), starts[:-1], rows, values)

    def add_plan(self, plan: Plan) -> None:
        """Add a plan with settled joints."""
        paths, patterns = plan
        problem = self.runs.cut(paths)
        self.add(
            [
                (n, tuple(sorted((problem.sizes[size] + problem.kerf, count) for size, count in cuts)))
                for n, cuts in patterns
                if n < len(self.limits)
            ],
            enumerate(paths),
        )

    def _rows(self, row: Mapping[int, int]) -> tuple[Floats, Floats]:
        """The bounds of a row for each take, each run, and each stretch with a limit."""
        runs, most = np.ones(len(self.grids)), np.array([limit for limit in self.limits if limit is not None], float)
        lower = np.concatenate([np.zeros(len(row)), runs, np.full(len(most), -highspy.kHighsInf)])
        return lower, np.concatenate([np.full(len(row), highspy.kHighsInf), runs, most])

    def _patterns(self, patterns: Iterable[Cuts], row: Mapping[int, int]) -> Iterator[Column]:
        limited = [n for n, limit in enumerate(self.limits) if limit is not None]
        of_limit = {n: len(row) + len(self.grids) + place for place, n in enumerate(limited)}
        for number, cuts in patterns:
            entries = {row[take]: float(many) for take, many in cuts}
            if number in of_limit:
                entries[of_limit[number]] = 1.0
            yield float(self.prices[number]), entries, inf

    def _ways(self, ways: Mapping[Way, Counter[int]], row: Mapping[int, int]) -> Iterator[Column]:
        for (run, path), takes in ways.items():
            entries = {row[take]: -float(many) for take, many in takes.items()}
            yield self._way_cost(run, path), entries | {len(row) + run: 1.0}, 1.0

    def _beside(self, row: Mapping[int, int]) -> list[Column]:
        """The steps of the chain, and the stand-in of each run."""
        found: list[Column] = [(0.0, {place: -1.0, place + 1: 1.0}, inf) for place in range(len(row) - 1)]
        if self.stand_in:
            found += [(float(cap), {len(row) + run: 1.0}, 1.0) for run, cap in enumerate(self.caps)]
        return found

    def _way_cost(self, run: int, path: Path) -> float:
        return 0.0

    def _unmade(self, ways: Ways) -> float:
        return sum(ways.takes(ways.even()))

    def solve(self) -> Solved:
        """The optimum over the columns so far. Raises ArithmeticError if HiGHS finds none."""
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise ArithmeticError(self.highs.modelStatusToString(self.highs.getModelStatus()))
        solution = self.highs.getSolution()
        takes = sorted(self.known)
        worth = np.array(solution.row_dual)[[self.row[take] for take in takes]]
        worth = np.maximum.accumulate(np.maximum(0.0, worth))
        worths = Worths(np.array([0.0, *takes]), np.concatenate([[0.0], worth]))
        return Solved(self.highs.getInfo().objective_function_value, worths, np.array(solution.col_value))

    def round(self, worths: Worths) -> tuple[float, bool]:
        """The bound at these worths, and whether they ask for columns that are not there yet."""
        parts = self.sacks.parts(worths(self.sacks.sizes))
        took = np.zeros((len(parts), self.sacks.full + 1), bool)
        earned = self.sacks.earned(parts, took)
        holds = np.maximum.accumulate(earned)[self.sacks.rooms]
        ways = [self._way(run, worths) for run in range(len(self.grids))]
        patterns: list[Cuts] = []
        for number, room in enumerate(self.sacks.rooms.tolist()):
            first = np.argpartition(-earned[: room + 1], min(EACH, room))[:EACH].tolist()
            patterns += [(number, self._walk(took, parts, used)) for used in first if earned[used] > 0]
        added = self.add(patterns, ((run, path) for run, (_, path) in enumerate(ways)))
        return self._bound(holds, np.array([worth for worth, _ in ways])), added

    def _way(self, run: int, worths: Worths) -> tuple[float, Path]:
        if run in self.settled:
            path = self.settled[run]
            return float(worths(np.array(self.runs.ways[run].takes(path), float)).sum()), path
        return self.grids[run].cheapest(worths)

    def _bound(self, holds: Floats, needs: Floats) -> float:
        """By Lagrange's argument; without the stand-in the worths are first lowered, after Farley, until no stretch
        without limit earns more than its price."""
        limited = [(n, limit) for n, limit in enumerate(self.limits) if limit is not None]
        if not self.settled:
            self.asked.append(Demand(holds, float(needs.sum())))
        if self.stand_in:
            return float(np.minimum(needs, self.caps).sum() - sum(limit * holds[n] for n, limit in limited))
        endless = [n for n, limit in enumerate(self.limits) if limit is None and holds[n] > 0]
        scale = min([1.0, *(self.prices[n] / holds[n] for n in endless)])
        over = sum(limit * max(0.0, scale * holds[n] - self.prices[n]) for n, limit in limited)
        return float(scale * needs.sum() - over)

    @staticmethod
    def _walk(took: np.ndarray, parts: Sequence[tuple[int, int, float]], used: int) -> tuple[tuple[int, int], ...]:
        cuts: Counter[int] = Counter()
        row = len(parts)
        while used:
            row = int(np.flatnonzero(took[:row, used])[-1])
            take, count, _ = parts[row]
            cuts[take] += count
            used -= take * count
        return tuple(sorted(cuts.items()))

    def grow(self, rounds: int = ROUNDS, enough: float = inf) -> tuple[Solved, float]:
        """Rounds until nothing is left to add, the bound reaches value or ``enough``, or they are used up: the last
        solution, and the best bound."""
        best, centre = -inf, None
        grain = self.runs.problem.grain
        for _ in range(rounds):
            solved = self.solve()
            if self.stand_in and solved.value < SOME:
                break
            for worths in (solved.worths if centre is None else centre.mixed(solved.worths), solved.worths):
                bound, added = self.round(worths)
                if bound > best or centre is None:
                    best, centre = bound, worths
                if added:
                    break
            reached = best if self.stand_in else rounded_up(best, grain)
            if not added or reached >= min(solved.value - SOME, enough):
                break
        return solved, best

    def settle(self, waiting: list[int]) -> None:
        """Settle a quarter of the runs that wait, those whose way is used most, and leave the rest waiting."""
        solved = self.solve()
        most: dict[int, tuple[float, Path]] = {}
        for (run, path), place in self.column.items():
            if run in waiting and (used := float(solved.usage[place])) > most.get(run, (0.0, ()))[0]:
                most[run] = (used, path)
        ranked = sorted(most, key=lambda run: (-most[run][0], run))
        for run in ranked[: max(1, len(waiting) // 4)]:
            self.settled[run] = most[run][1]
            waiting.remove(run)
        for (run, path), place in self.column.items():
            if self.settled.get(run, path) != path:
                self.highs.changeColBounds(place, 0.0, 0.0)

    def whole(self, target: float = -inf) -> Plan | None:
        """The best plan in whole numbers from the columns so far; None where none was found or a run is left unmade."""
        row = {take: place for place, take in enumerate(sorted(self.known, reverse=True))}
        whole = [*self._patterns(self.patterns, row), *self._ways(self.paths, row)]
        columns = [*whole, *self._beside(row)]
        model = highspy.HighsLp()
        model.row_lower_, model.row_upper_ = self._rows(row)
        model.num_col_, model.num_row_ = len(columns), len(model.row_lower_)
        costs, most, starts, rows, values = _arrays(columns)
        model.col_cost_, model.col_lower_, model.col_upper_ = costs, np.zeros(len(columns)), most
        model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        model.a_matrix_.start_, model.a_matrix_.index_, model.a_matrix_.value_ = starts, rows, values
        kinds, steps = highspy.HighsVarType, len(row) - 1
        stand_ins = len(columns) - len(whole) - steps
        model.integrality_ = [kinds.kInteger] * len(whole) + [kinds.kContinuous] * steps + [kinds.kInteger] * stand_ins
        highs = quiet_solver()
        highs.setOptionValue("mip_max_nodes", NODES * RUNS // max(RUNS, len(self.grids)))
        for option, value in self.how.items():
            highs.setOptionValue(option, value)
        highs.setOptionValue("mip_abs_gap", 0.5 if self.stand_in else 0.999 * self.runs.problem.grain)
        if target > -inf:
            highs.setOptionValue("objective_target", target)
        highs.passModel(model)
        highs.run()
        if highs.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        counts = np.rint(np.array(highs.getSolution().col_value)).astype(int).tolist()
        ways = dict(way for way, count in zip(self.paths, counts[len(self.patterns) :], strict=False) if count)
        if len(ways) < len(self.grids):
            return None
        bought = [cuts for cuts, count in zip(self.patterns, counts, strict=False) for _ in range(count)]
        boards = [(number, [take for take, many in cuts for _ in range(many)]) for number, cuts in bought]
        return self.runs.plan([ways[run] for run in range(len(self.grids))], boards)
