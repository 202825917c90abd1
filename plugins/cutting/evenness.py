"""Of the plans with the same boards, one whose joints stand as evenly as may be: joints would else look strewn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from listel.plugins.cutting.demands import Grid, Sacks
from listel.plugins.cutting.free_linear import FreeLinear, Worths
from listel.plugins.cutting.problem import Pattern
from listel.plugins.cutting.ways import Path, Runs

ROUNDS = 15
UNMADE = 1e6
"""What a run left unmade costs, in mm of unevenness."""


def evened(
    runs: Runs, bought: Counter[int], plans: Sequence[tuple[Sequence[Path], tuple[Pattern, ...]]]
) -> list[Path] | None:
    """The ways, with no more than these boards; None where none were found. ``plans``: those known."""
    linear = _Even(runs, bought)
    for paths, patterns in plans:
        linear.add_plan(paths, patterns)
    linear.grow(ROUNDS)
    found = linear.whole()
    return found[1] if found is not None and found[0] < UNMADE else None


class _Even(FreeLinear):
    """The programme with ways priced by how unevenly their joints stand."""

    def __init__(self, runs: Runs, bought: Counter[int]) -> None:
        super().__init__(runs, [Grid(ways) for ways in runs.ways], Sacks(runs), bought)
        self.caps[:] = UNMADE
        self.adds = [
            np.array([[ways.unevenness(at, number) for at in range(ways.end + 1)] for number in range(ways.joints)])
            for ways in runs.ways
        ]

    def _way_cost(self, run: int, path: Path) -> float:
        return float(sum(self.adds[run][number][place] for number, place in enumerate(path[1:-1])))

    def _way(self, run: int, worths: Worths) -> tuple[float, Path]:
        return self.grids[run].cheapest(worths, self.adds[run])
