"""One quick ratio: what the everyday rules cost over the plan found. Printed; nothing is asserted of the clock."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from listel.plugins.cutting.greedy import start_plan
from listel.plugins.cutting.search import search

spec = importlib.util.spec_from_file_location("bench_cutting", Path(__file__).with_name("bench_cutting.py"))
assert spec is not None and spec.loader is not None
bench = importlib.util.module_from_spec(spec)
spec.loader.exec_module(bench)


@pytest.mark.benchmark
def test_everyday_rules_over_the_plan() -> None:
    problem = bench.house(20, 10, 3)
    found = search(problem).proofs[0]
    ratio = problem.total(start_plan(problem))[0] / found.value
    print(f"20 pieces, everyday over plan: {ratio:.4f}; plan over its bound: {found.value / found.bound:.4f}")
    assert found.bound <= found.value and ratio >= 1
