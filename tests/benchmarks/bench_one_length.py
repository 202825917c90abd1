"""Jobs of one stock length whose pieces are a fifteenth to three quarters of it: how many are solved to the last board.

    python tests/benchmarks/bench_one_length.py [SEED]

Instances are our own, drawn by lot in the manner of published classes: Schwerin and Waescher, The bin-packing problem:
a problem generator and some numerical experiments, International Transactions in Operational Research 4, 1997; Waescher
and Gau, Heuristics for the integer one-dimensional cutting stock problem, OR Spektrum 18, 1996; triplets after
Falkenauer, A hybrid grouping genetic algorithm for bin packing, Journal of Heuristics 2, 1996 (all from memory).
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from random import Random

from listel.plugins.cutting.problem import Problem, Stretch
from listel.plugins.cutting.search import search

ENOUGH = 10.0
"""CPU seconds that one job may take."""


def schwerin(seed: int, pieces: int) -> Problem:
    """Length 1000, pieces of 150 to 200."""
    lots = Random(f"schwerin{seed}")
    return _of(1000, [lots.randint(150, 200) for _ in range(pieces)])


def waescher(seed: int) -> Problem:
    """Length 10000, 57 to 165 pieces of 33 to 63 sizes, their sum just under a whole number of boards."""
    lots = Random(f"waescher{seed}")
    while True:
        sizes, top = lots.randint(33, 63), lots.choice([2500, 5000, 5000, 7500])
        kinds = [lots.randint(3, top) for _ in range(sizes)]
        items = kinds + [lots.choice(kinds) for _ in range(max(0, lots.randint(57, 165) - sizes))]
        one = lots.randrange(sizes)
        items[one] += -sum(items) % 10000 - lots.randint(30, 300)
        if 3 <= items[one] <= top:
            return _of(10000, items)


def triplets(seed: int, boards: int) -> Problem:
    """Length 1000, each board filled to the last by three pieces of 250 to 500."""
    lots = Random(f"triplet{seed}")
    items = []
    for _ in range(boards):
        long = lots.randint(380, 490)
        middle = lots.randint(250, (1000 - long) // 2)
        items += [long, middle, 1000 - long - middle]
    return _of(1000, items)


def _of(length: int, items: list[int]) -> Problem:
    wanted = Counter(items)
    sizes = tuple(sorted(wanted, reverse=True))
    return Problem(sizes, tuple(wanted[size] for size in sizes), (Stretch(length, price=1),), 0, length + 1)


def jobs(seed: int) -> list[tuple[str, Problem]]:
    """A hundred jobs of the classes."""
    return [
        *(("Schwerin and Waescher, 100 pieces", schwerin(seed + n, 100)) for n in range(20)),
        *(("Schwerin and Waescher, 120 pieces", schwerin(seed + 100 + n, 120)) for n in range(20)),
        *(("Waescher and Gau", waescher(seed + n)) for n in range(40)),
        *(("triplets, 20 boards", triplets(seed + n, 20)) for n in range(10)),
        *(("triplets, 40 boards", triplets(seed + 100 + n, 40)) for n in range(10)),
    ]


def main() -> None:
    """Print, class by class, how many are at their bound within the time, and the mean and worst CPU seconds."""
    told: dict[str, list[tuple[bool, float]]] = {}
    for name, problem in jobs(int(sys.argv[1]) if len(sys.argv) > 1 else 1):
        begun = time.process_time()
        proof = search(problem).proofs[0]
        spent = time.process_time() - begun
        told.setdefault(name, []).append((proof.proven and spent <= ENOUGH, spent))
    for name, found in told.items():
        times = [spent for _, spent in found]
        solved = f"{name}: {sum(ok for ok, _ in found)} of {len(found)}"
        print(f"{solved}; {sum(times) / len(times):.2f} s, worst {max(times):.1f} s")
    print(f"in all {sum(ok for found in told.values() for ok, _ in found)} of 100 at their bound within {ENOUGH:g} s")


if __name__ == "__main__":
    main()
