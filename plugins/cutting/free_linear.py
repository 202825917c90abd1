"""The linear programme of joints and boards together: patterns of boards and ways of runs, linked by what pieces take.

A chain of free steps lets a longer slot serve a shorter piece, so that worths never fall as pieces grow; takes that no
column has yet are worth what lies between their neighbours. Each round fills the sacks once and finds the cheapest way
of every run, at worths half way to those that have proven most (dual smoothing); where that brings nothing new, at
those of the programme itself.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from itertools import pairwise
from math import inf
from typing import Any, ClassVar

import highspy
import numpy as np

from listel.core.quick import dataclass
from listel.plugins.cutting.demands import Demand, Grid, Sacks
from listel.plugins.cutting.master import quiet_solver
from listel.plugins.cutting.patterns import Floats
from listel.plugins.cutting.problem import rounded_up
from listel.plugins.cutting.ways import Path, Plan, Runs

Key = Hashable
"""What names a column or a row of the programme from one solution to the next."""
Cuts = tuple[int, tuple[tuple[int, int], ...]]
"""A stretch by its number, and what its pieces take: (take, how many)."""
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
    """A solution over the columns so far: its value, the worths of takes, and how often each way is used."""

    value: float
    worths: Worths
    usage: Floats


class FreeLinear:
    """The programme. ``stand_in``: with it, boards are free and as many as ``bought``, and a run may be left unmade at
    the cost of all it takes: does a plan with just these boards exist?"""

    how: ClassVar[dict[str, Any]] = {"presolve": "off", "mip_heuristic_run_root_reduced_cost": False}
    """How HiGHS comes to whole numbers: measured, it comes to the same cost in half the time."""

    def __init__(self, runs: Runs, grids: Sequence[Grid], sacks: Sacks, bought: Counter[int] | None = None) -> None:
        self.runs, self.grids, self.sacks = runs, grids, sacks
        stretches = runs.stretches
        self.stand_in = bought is not None
        self.prices = np.array([0.0 if self.stand_in else stretch.price for stretch in stretches])
        self.limits = [s.limit if bought is None or s.rack else bought.get(n, 0) for n, s in enumerate(stretches)]
        self.settled: dict[int, Path] = {}
        self.patterns: dict[Cuts, None] = {}
        self.paths: dict[tuple[int, Path], Counter[int]] = {}
        self.caps = np.array([sum(ways.takes(ways.even())) for ways in runs.ways], float)
        self.asked: list[Demand] = []
        self.ended: tuple[list[int], dict[Key, Any], dict[Key, Any]] | None = None

    def add(self, patterns: Iterable[Cuts], paths: Iterable[tuple[int, Path]]) -> bool:
        """Add the columns that are not there yet; whether there were any."""
        before = len(self.patterns) + len(self.paths)
        self.patterns |= dict.fromkeys(cuts for cuts in patterns if self.limits[cuts[0]] != 0)
        self.paths |= {way: self._takes(*way) for way in paths if way not in self.paths}
        return len(self.patterns) + len(self.paths) > before

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

    def _live(self) -> list[tuple[int, Path]]:
        return [(run, path) for run, path in self.paths if self.settled.get(run, path) == path]

    def _takes(self, run: int, path: Path) -> Counter[int]:
        return Counter(self.runs.ways[run].takes(path))

    def _model(self, live: Sequence[tuple[int, Path]], *, whole: bool) -> tuple[highspy.HighsLp, list[int]]:
        takes = sorted(
            {take for way in live for take in self.paths[way]} | {t for _, c in self.patterns for t, _ in c},
            reverse=True,
        )
        row = {take: place for place, take in enumerate(takes)}
        first_run, count = len(takes), len(self.grids)
        limited = [n for n, limit in enumerate(self.limits) if limit is not None]
        first_limit = {n: first_run + count + place for place, n in enumerate(limited)}
        columns: list[tuple[float, dict[int, float], float, bool]] = []
        for number, cuts in self.patterns:
            entries = {row[take]: float(many) for take, many in cuts}
            if number in first_limit:
                entries[first_limit[number]] = 1.0
            columns.append((float(self.prices[number]), entries, inf, True))
        for run, path in live:
            entries = {row[take]: -float(many) for take, many in self.paths[run, path].items()}
            columns.append((self._way_cost(run, path), entries | {first_run + run: 1.0}, 1.0, True))
        columns += [(0.0, {place: -1.0, place + 1: 1.0}, inf, False) for place in range(first_run - 1)]
        if self.stand_in:
            columns += [(float(cap), {first_run + run: 1.0}, 1.0, True) for run, cap in enumerate(self.caps)]
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(columns), first_run + count + len(limited)
        model.col_cost_ = np.array([cost for cost, _, _, _ in columns])
        model.col_lower_ = np.zeros(len(columns))
        model.col_upper_ = np.array([highspy.kHighsInf if most == inf else most for _, _, most, _ in columns])
        most = np.array([self.limits[n] for n in limited], float)
        model.row_lower_ = np.concatenate([np.zeros(first_run), np.ones(count), np.full(len(most), -highspy.kHighsInf)])
        model.row_upper_ = np.concatenate([np.full(first_run, highspy.kHighsInf), np.ones(count), most])
        model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        model.a_matrix_.start_ = np.cumsum([0, *(len(entries) for _, entries, _, _ in columns)]).astype(np.int32)
        model.a_matrix_.index_ = np.array([r for _, entries, _, _ in columns for r in entries], np.int32)
        model.a_matrix_.value_ = np.array([v for _, entries, _, _ in columns for v in entries.values()])
        if whole:
            kinds = highspy.HighsVarType
            model.integrality_ = [kinds.kInteger if counts else kinds.kContinuous for _, _, _, counts in columns]
        return model, takes

    def _way_cost(self, run: int, path: Path) -> float:
        return 0.0

    def solve(self) -> Solved:
        """The optimum over the columns so far. Raises ArithmeticError if HiGHS finds none."""
        live = self._live()
        model, takes = self._model(live, whole=False)
        highs = quiet_solver()
        highs.setOptionValue("presolve", "off")
        highs.setOptionValue("simplex_strategy", 4)
        highs.passModel(model)
        columns: list[Key] = [
            *self.patterns,
            *live,
            *pairwise(takes),
            *(range(len(self.caps)) if self.stand_in else ()),
        ]
        rows: list[Key] = [*takes, *((n,) for n in range(model.num_row_ - len(takes)))]
        self._start(highs, columns, rows, takes)
        highs.run()
        if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise ArithmeticError(highs.modelStatusToString(highs.getModelStatus()))
        basis = highs.getBasis()
        by_column: dict[Key, Any] = dict(zip(columns, basis.col_status, strict=True))
        self.ended = (takes[::-1], by_column, dict(zip(rows, basis.row_status, strict=True)))
        solution = highs.getSolution()
        worth = np.maximum.accumulate(np.maximum(0.0, np.array(solution.row_dual)[: len(takes)])[::-1])
        worths = Worths(np.array([0.0, *takes[::-1]]), np.concatenate([[0.0], worth]))
        usage = np.array(solution.col_value)[len(self.patterns) : len(self.patterns) + len(live)]
        return Solved(highs.getInfo().objective_function_value, worths, usage)

    def _start(self, highs: highspy.Highs, columns: Sequence[Key], rows: Sequence[Key], takes: Sequence[int]) -> None:
        """Begin where the last solution ended: what is new stands aside, and where new takes part a step of the chain
        that was in use, all its parts are."""
        if self.ended is None:
            return
        status = highspy.HighsBasisStatus
        before, by_column, by_row = self.ended
        columns_at = {column: by_column.get(column, status.kLower) for column in columns}
        rows_at = {row: by_row.get(row, status.kBasic) for row in rows}
        for step in pairwise(takes):
            above, below = bisect_left(before, step[0]), bisect_right(before, step[1]) - 1
            if step not in by_column and below >= 0 and above < len(before):
                whole = (before[above], before[below])
                if by_column.get(whole) == status.kBasic:
                    columns_at[step] = status.kBasic
                    rows_at |= {take: status.kLower for take in step if take not in by_row}
        basis = highspy.HighsBasis()
        basis.col_status, basis.row_status = list(columns_at.values()), list(rows_at.values())
        basis.valid = True
        if [*basis.col_status, *basis.row_status].count(status.kBasic) == len(rows):
            highs.setBasis(basis)

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
        for (run, path), used in zip(self._live(), solved.usage.tolist(), strict=True):
            if run in waiting and used > most.get(run, (0.0, ()))[0]:
                most[run] = (used, path)
        ranked = sorted(most, key=lambda run: (-most[run][0], run))
        for run in ranked[: max(1, len(waiting) // 4)]:
            self.settled[run] = most[run][1]
            waiting.remove(run)

    def whole(self, target: float = -inf) -> Plan | None:
        """The best plan in whole numbers from the columns so far; None where none was found or a run is left unmade."""
        live = self._live()
        model, _ = self._model(live, whole=True)
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
        ways = dict(way for way, count in zip(live, counts[len(self.patterns) :], strict=False) if count)
        if len(ways) < len(self.grids):
            return None
        bought = [cuts for cuts, count in zip(self.patterns, counts, strict=False) for _ in range(count)]
        boards = [(number, [take for take, many in cuts for _ in range(many)]) for number, cuts in bought]
        return self.runs.plan([ways[run] for run in range(len(self.grids))], boards)
