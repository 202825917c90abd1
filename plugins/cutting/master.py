"""The programme over patterns, solved by HiGHS: its linear form, grown by columns, and its whole-number form."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from itertools import chain
from math import ceil, inf

import highspy
import numpy as np

from listel.plugins.cutting.patterns import Prices
from listel.plugins.cutting.problem import Pattern, Problem

SEED = 1
DUAL, PRIMAL = 1, 4
"""HiGHS's numbers for the two simplex methods."""
MOST_STEPS = 20_000
"""Steps of the simplex method from one solution to the next; a few hundred are usual."""
NODES = 500
"""Nodes that a whole-number programme over patterns looks into, at most."""
NUMBER_NODES = 20_000
"""The same over the numbers bought."""
HAIR = 1e-6
"""What HiGHS may be out by."""


if hasattr(os, "register_at_fork"):  # in a fork its threads are gone, and it would wait for them for ever
    os.register_at_fork(after_in_child=lambda: highspy.Highs.resetGlobalScheduler(False))


class _Quiet(highspy.Highs):
    """HiGHS that prints nothing, not even its name when it is made."""

    def enableCallbacks(self) -> None:  # noqa: N802 (HiGHS names it)
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def quiet_solver() -> highspy.Highs:
    """HiGHS as it is used here: silent, on one thread, from one seed."""
    solver = _Quiet()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("random_seed", SEED)
    solver.setOptionValue("parallel", "off")
    return solver


def cheapest_numbers(
    prices: np.ndarray, within: Sequence[tuple[int, int]], demands: Sequence[tuple[np.ndarray, float]], grain: int
) -> tuple[float, tuple[int, ...] | None]:
    """The least cost of whole numbers within these ranges that meet every demand (what one of each adds, and how much
    is asked for), and the numbers; None where there are none (the cost is infinite) or HiGHS gave up (it is a bound).
    """
    solver = quiet_solver()
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.999 * grain)
    solver.setOptionValue("mip_max_nodes", NUMBER_NODES)
    places = np.arange(len(prices), dtype=np.int32)
    for price, (least, most) in zip(prices.tolist(), within, strict=True):
        solver.addCol(price, float(least), float(most), 0, [], [])
    solver.changeColsIntegrality(
        len(prices), places, np.full(len(prices), int(highspy.HighsVarType.kInteger), np.uint8)
    )
    for adds, asked in demands:
        scale = max(float(adds.max()), 1e-9)
        solver.addRow(asked / scale - HAIR, highspy.kHighsInf, len(prices), places, adds / scale)
    solver.run()
    status, info = solver.getModelStatus(), solver.getInfo()
    if status == highspy.HighsModelStatus.kInfeasible:
        return inf, None
    cost = float(ceil((info.mip_dual_bound - HAIR) / grain - HAIR) * grain) if info.mip_dual_bound > -inf else -inf
    if status != highspy.HighsModelStatus.kOptimal:
        return cost, None
    numbers = tuple(round(value) for value in solver.getSolution().col_value)
    return float(round(np.array(numbers) @ prices)), numbers


class Master:
    """Columns are patterns; a row for each size and each stretch with a limit. A piece may be made twice over: the plan
    is tidied afterwards."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.limited = [number for number, stretch in enumerate(problem.stretches) if stretch.limit is not None]
        self.row_of = {number: len(problem.sizes) + row for row, number in enumerate(self.limited)}
        self.columns: list[Pattern] = []
        self.known: set[Pattern] = set()
        self.linear = quiet_solver()
        self.linear.setOptionValue("presolve", "off")
        self.linear.setOptionValue("simplex_strategy", PRIMAL)
        self.linear.setOptionValue("simplex_iteration_limit", MOST_STEPS)
        lower, upper = self._rows()
        nothing = np.zeros(0, np.int32)
        self.linear.addRows(len(lower), lower, upper, 0, nothing, nothing, np.zeros(0))

    def _rows(self) -> tuple[np.ndarray, np.ndarray]:
        problem = self.problem
        wanted = np.array(problem.wanted, float)
        most = np.array([problem.stretches[number].limit for number in self.limited], float)
        lower = np.concatenate([wanted, np.zeros(len(most))])
        return lower, np.concatenate([np.full(len(wanted), highspy.kHighsInf), most])

    def _entries(self, patterns: Sequence[Pattern]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Costs, starts, rows and values of columns."""
        costs: list[int] = []
        starts: list[int] = []
        rows: list[int] = []
        values: list[int] = []
        for number, cuts in patterns:
            costs.append(self.problem.score(self.problem.stretches[number], self.problem.used(cuts))[0])
            starts.append(len(rows))
            rows += [size for size, _ in cuts]
            values += [count for _, count in cuts]
            if number in self.row_of:
                rows.append(self.row_of[number])
                values.append(1)
        return np.array(costs, float), np.array(starts, np.int32), np.array(rows, np.int32), np.array(values, float)

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Add the patterns that are not there yet; returns how many."""
        new = [pattern for pattern in dict.fromkeys(patterns) if pattern not in self.known]
        if new:
            costs, starts, rows, values = self._entries(new)
            nothing, endless = np.zeros(len(new)), np.full(len(new), highspy.kHighsInf)
            self.linear.addCols(len(new), costs, nothing, endless, len(rows), starts, rows, values)
            self.known.update(new)
            self.columns += new
        return len(new)

    def limit(self, stretches: Sequence[int], numbers: np.ndarray) -> None:
        """Have no more of these stretches, which have a limit already, than the numbers say."""
        for stretch, number in zip(stretches, numbers.tolist(), strict=True):
            self.linear.changeRowBounds(self.row_of[stretch], 0.0, number)

    def solve(self) -> tuple[float, Prices, np.ndarray]:
        """The linear optimum over the columns so far: its value, its prices, and how often each column is used.

        Raises ArithmeticError if HiGHS finds none.
        """
        self.linear.run()
        if self.linear.getModelStatus() == highspy.HighsModelStatus.kIterationLimit:
            self._afresh()
        if self.linear.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise ArithmeticError(self.linear.modelStatusToString(self.linear.getModelStatus()))
        solution = self.linear.getSolution()
        duals = np.array(solution.row_dual)
        stretches = np.zeros(len(self.problem.stretches))
        stretches[self.limited] = duals[len(self.problem.sizes) :]
        prices = Prices(duals[: len(self.problem.sizes)], stretches)
        return self.linear.getInfo().objective_function_value, prices, np.array(solution.col_value)

    def _afresh(self) -> None:
        """Solve by the dual simplex from nothing: the primal one, begun from the last plan, was seen to go round in
        circles."""
        self.linear.clearSolver()
        self.linear.setOptionValue("simplex_strategy", DUAL)
        self.linear.setOptionValue("simplex_iteration_limit", highspy.kHighsIInf)
        self.linear.run()
        self.linear.setOptionValue("simplex_strategy", PRIMAL)
        self.linear.setOptionValue("simplex_iteration_limit", MOST_STEPS)

    def whole(
        self,
        patterns: Sequence[Pattern],
        plan: Sequence[Pattern],
        grain: int,
        proof: bool = False,
        nodes: int = NODES,
        target: float = -inf,
    ) -> tuple[list[Pattern] | None, float]:
        """The best whole plan from these patterns and those of a plan that is there, and a bound on all such plans.

        Looks into so many ``nodes``, and stops at a plan that reaches the ``target``; plans that differ by less than
        ``grain`` are not told apart.
        The plan itself is not handed to HiGHS to start from: 1.16 was seen to take such a start for the optimum after
        presolving.
        With ``proof`` no work goes to looking for plans, all of it to the bound.
        """
        columns = list(dict.fromkeys(chain(plan, patterns)))
        costs, starts, rows, values = self._entries(columns)
        lower, upper = self._rows()
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(columns), len(lower)
        model.col_cost_ = costs
        model.col_lower_ = np.zeros(len(columns))
        model.col_upper_ = np.full(len(columns), float(max(self.problem.wanted)))
        model.row_lower_, model.row_upper_ = lower, upper
        model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        model.a_matrix_.start_ = np.append(starts, len(rows))
        model.a_matrix_.index_, model.a_matrix_.value_ = rows, values
        model.integrality_ = [highspy.HighsVarType.kInteger] * len(columns)
        solver = quiet_solver()
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.999 * grain)
        solver.setOptionValue("mip_max_nodes", nodes)
        if target > -inf:
            solver.setOptionValue("objective_target", target)
        if proof:
            solver.setOptionValue("mip_heuristic_effort", 0.0)
            solver.setOptionValue("mip_allow_restart", False)
        solver.passModel(model)
        self._run(solver)
        info = solver.getInfo()
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, -highspy.kHighsInf
        counts = np.rint(np.array(solver.getSolution().col_value)).astype(int)
        chosen = [columns[number] for number in np.flatnonzero(counts) for _ in range(counts[number])]
        optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return chosen, info.objective_function_value if optimal else info.mip_dual_bound

    @staticmethod
    def _run(solver: highspy.Highs) -> None:
        """Run beside the main thread, so that an interrupt of the person reaches HiGHS and stops it."""
        solver.HandleUserInterrupt = True
        thread = solver.startSolve()
        try:
            while thread.is_alive():
                thread.join(0.05)
        except KeyboardInterrupt:
            solver.cancelSolve()  # type: ignore[no-untyped-call]
            thread.join()
            raise
