"""Of the plans with the same boards, one whose joints stand as evenly as may be: joints would else look strewn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from typing import Any, ClassVar

import numpy as np

from listel.plugins.cutting.demands import Grid, Sacks
from listel.plugins.cutting.free_linear import Cuts, FreeLinear, Worths
from listel.plugins.cutting.ways import Path, Plan, Runs, Ways

ROUNDS, FEWER = 20, 8
"""Rounds; fewer where good patterns are known already."""
NEAR = 0.02
"""How far the unevenness may stand over the least that the columns known allow, as a share of it."""
UNMADE = 1e6
"""What a run left unmade costs, in mm of unevenness."""


def evened(runs: Runs, bought: Counter[int], plans: Sequence[Plan], patterns: Collection[Cuts] = ()) -> Plan | None:
    """The plan, with no more than these boards; None where none was found. ``plans`` and ``patterns``: those known."""
    linear = _Even(runs, bought)
    for plan in plans:
        linear.add_plan(plan)
    linear.add(patterns, ())
    linear.grow(FEWER if patterns else ROUNDS)
    return linear.whole()


class _Even(FreeLinear):
    """The programme with ways priced by how unevenly their joints stand."""

    how: ClassVar[dict[str, Any]] = {
        "mip_rel_gap": NEAR,
        "mip_heuristic_run_rins": False,
        "mip_heuristic_run_rens": False,
        "mip_allow_restart": False,
    }

    def __init__(self, runs: Runs, bought: Counter[int]) -> None:
        self.adds = [
            np.array([[ways.unevenness(at, number) for at in range(ways.end + 1)] for number in range(ways.joints)])
            for ways in runs.ways
        ]
        super().__init__(runs, [Grid(ways) for ways in runs.ways], Sacks(runs), bought)

    def _unmade(self, ways: Ways) -> float:
        return UNMADE

    def _way_cost(self, run: int, path: Path) -> float:
        return float(sum(self.adds[run][number][place] for number, place in enumerate(path[1:-1])))

    def _way(self, run: int, worths: Worths) -> tuple[float, Path]:
        return self.grids[run].cheapest(worths, self.adds[run])
