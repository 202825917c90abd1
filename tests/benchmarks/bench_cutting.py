"""How well and how fast cutting lists are found: ratios and figures, printed. Run as a script::

    python tests/benchmarks/bench_cutting.py            # rooms and a house
    python tests/benchmarks/bench_cutting.py growth     # 20 to 2000 pieces
    python tests/benchmarks/bench_cutting.py beside     # beside CP-SAT and scipy's milp, where they are installed

Seconds of one processor core, least cost; the gap is to the bound proven (Python 3.11, HiGHS 1.16):

======  =======  ==============  =======  ==============================
pieces  offcuts  proven          gap, %   seconds
======  =======  ==============  =======  ==============================
20      10       10 of 10        0        0.1 median, 0.3 most
50      15       10 of 10        0        0.4 median, 0.7 most
200     30       20 of 20        0        2.2 median, 7.8 most; 190 MB
500     40       none of 2       0.011    6 and 12
1000    60       none of 1       0.008    23
2000    80       none of 1       0.006    125
======  =======  ==============  =======  ==============================

Placing each piece on a board directly, 30 s on two cores: OR-tools CP-SAT 9.15 and scipy 1.17's milp prove 10 and 20
pieces in 1 to 3 s; at 50 they stand 2.6 % and 14 % above the proven least, with bounds 5 % and 3 % below it.

The instances are a joiner's, by lot: five stock lengths with a dearer rate above 4 m, and offcuts on the rack.
"""

from __future__ import annotations

import resource
import sys
import time
from random import Random

from listel.plugins.cutting.greedy import start_plan
from listel.plugins.cutting.problem import Problem, Stretch, steps_down, steps_up
from listel.plugins.cutting.search import search

STOCK = (2400, 3000, 3600, 4200, 4800)


def house(pieces: int, offcuts: int, seed: int) -> Problem:
    """A problem like a joiner's: lengths in mm by lot, prices in whole pence."""
    lots = Random(seed)
    shares = ((250, 900), (900, 2300), (900, 2300), (2300, 4500))
    lengths = [steps_up(lots.uniform(*lots.choice(shares))) for _ in range(pieces)]
    sizes = tuple(sorted(set(lengths), reverse=True))
    new = [Stretch(steps_down(mm - 30), round(mm * 0.61 * (1.05 if mm > 4000 else 1))) for mm in STOCK]
    rack = sorted({steps_down(lots.uniform(500, 2800)) for _ in range(offcuts)})
    stretches = (*new, *(Stretch(room, limit=1, rack=True) for room in rack))
    return Problem(sizes, tuple(lengths.count(size) for size in sizes), stretches, 6, 1200)


def measured(problem: Problem) -> tuple[float, bool, float, float]:
    """Of the first objective: gap to the bound, whether proven, seconds of the processor (which a busy machine leaves
    as they are), and the everyday plan's cost over ours."""
    begun = time.process_time()
    solution = search(problem)
    took = time.process_time() - begun
    proof = solution.proofs[0]
    return proof.value / proof.bound - 1, proof.proven, took, problem.total(start_plan(problem))[0] / proof.value


def series(pieces: int, offcuts: int, seeds: range) -> float:
    """Print one line for a size, and give back the median time."""
    found = [measured(house(pieces, offcuts, seed)) for seed in seeds]
    times = sorted(row[2] for row in found)
    dearer = sum(row[3] for row in found) / len(found)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{pieces:5} pieces, {offcuts:3} offcuts: proven {sum(row[1] for row in found)} of {len(found)}, "
        f"worst gap {100 * max(row[0] for row in found):.4f} %, median {times[len(times) // 2]:.2f} s, "
        f"worst {times[-1]:.2f} s, everyday rules {100 * (dearer - 1):.2f} % dearer, "
        f"{memory:.0f} MB",
        flush=True,
    )
    return times[len(times) // 2]


def rooms() -> None:
    """Rooms of 20 and 50 pieces, and a house of 200."""
    small = series(20, 10, range(10))
    middle = series(50, 15, range(10))
    large = series(200, 30, range(20))
    print(f"time of 200 pieces over 50: {large / middle:.1f}; of 50 over 20: {middle / small:.1f}")


def growth() -> None:
    """Time and memory as the count of pieces grows."""
    before = None
    for pieces, offcuts in ((20, 10), (50, 15), (100, 20), (200, 30), (500, 40), (1000, 60), (2000, 80)):
        took = series(pieces, offcuts, range(1 if pieces >= 500 else 3))
        if before is not None:
            print(f"      {took / before:.1f} times the size before")
        before = took


def beside() -> None:
    """The direct model (which piece on which board) in two general-purpose solvers, beside ours, 30 s each."""
    for pieces, offcuts in ((10, 5), (20, 10), (50, 15)):
        problem = house(pieces, offcuts, 1)
        gap, proven, took, _ = measured(problem)
        cost = search(problem).proofs[0].value
        print(f"{pieces:5} pieces: ours {cost}, proven {proven}, gap {100 * gap:.3f} %, {took:.2f} s")
        for name, model in (("CP-SAT", _cp_sat), ("scipy milp", _milp)):
            begun = time.perf_counter()
            try:
                value, bound = model(problem, 30.0)
            except ImportError:
                print(f"      {name}: not installed")
                continue
            took = time.perf_counter() - begun
            print(
                f"      {name}: {value:.0f} ({100 * (value / cost - 1):+.2f} %), bound {bound:.0f}, {took:.1f} s",
                flush=True,
            )


def _direct(problem: Problem) -> tuple[list[int], list[tuple[int, int]]]:
    """Pieces with a kerf each, and boards (room, price) that could be opened."""
    takes = [s + problem.kerf for s, count in zip(problem.sizes, problem.wanted, strict=True) for _ in range(count)]
    most = len(start_plan(problem))
    boards = [
        (stretch.room + problem.kerf, stretch.price)
        for stretch in problem.stretches
        for _ in range(stretch.limit or most)
    ]
    return takes, boards


def _cp_sat(problem: Problem, seconds: float) -> tuple[float, float]:
    from ortools.sat.python import cp_model

    takes, boards = _direct(problem)
    model = cp_model.CpModel()
    opened = [model.new_bool_var("") for _ in boards]
    on = [[model.new_bool_var("") for _ in boards] for _ in takes]
    for row in on:
        model.add_exactly_one(row)
    for place, (room, _) in enumerate(boards):
        model.add(sum(take * on[n][place] for n, take in enumerate(takes)) <= room * opened[place])
    model.minimize(sum(price * one for (_, price), one in zip(boards, opened, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    solver.solve(model)
    return solver.objective_value, solver.best_objective_bound


def _milp(problem: Problem, seconds: float) -> tuple[float, float]:
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import lil_matrix

    takes, boards = _direct(problem)
    count, wide = len(takes), len(boards)
    once = lil_matrix((count, count * wide + wide))
    fits = lil_matrix((wide, count * wide + wide))
    for n, take in enumerate(takes):
        once[n, n * wide : (n + 1) * wide] = 1
        for place in range(wide):
            fits[place, n * wide + place] = take
    for place, (room, _) in enumerate(boards):
        fits[place, count * wide + place] = -room
    price = np.concatenate([np.zeros(count * wide), [price for _, price in boards]])
    found = milp(
        price,
        constraints=[LinearConstraint(once.tocsr(), 1, 1), LinearConstraint(fits.tocsr(), -np.inf, 0)],
        integrality=np.ones(len(price)),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds},
    )
    return (found.fun if found.fun is not None else float("inf")), found.mip_dual_bound


if __name__ == "__main__":
    {"growth": growth, "beside": beside}.get(sys.argv[1] if len(sys.argv) > 1 else "", rooms)()
