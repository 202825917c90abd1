"""Joints and boards chosen together, against every placing of the joints tried and each cut exactly."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product
from math import prod
from random import Random

import pytest

from listel.plugins.cutting.bounds import purchase_bound
from listel.plugins.cutting.free import choose
from listel.plugins.cutting.problem import Problem, Stretch
from listel.plugins.cutting.reckon_joints import JOINTS
from listel.plugins.cutting.search import Watch, solve
from listel.plugins.cutting.small import solve_small
from listel.plugins.cutting.ways import Path, Runs, Stations, Ways

KINDS = ("one", "several", "rack", "limit")


def job(seed: int, kind: str) -> Runs | None:
    """A job by lot, small enough that every placing of its joints can be tried; None where the lot gives none."""
    lots = Random(f"{kind}{seed}")
    overlap = lots.choice((28, 36, 40, 44))
    lengths = (2400, 3000, 3600, 4200, 4800)
    metre = lots.randint(420, 980)
    some = lengths[lots.randint(0, 1) :] if kind != "one" else (lots.choice(lengths),)
    boards = [Stretch(2 * (mm - 30), round(metre * mm / 1000 * (1.05 if mm > 4000 else 1))) for mm in some]
    if kind == "limit":
        boards = [Stretch(b.room, b.price, limit=lots.randint(1, 3)) if b.room > 7000 else b for b in boards]
    if kind == "rack":
        boards += [Stretch(2 * lots.randint(400, 5200), limit=1, rack=True) for _ in range(lots.randint(2, 3))]
    runs = []
    for _ in range(lots.randint(3, 6)):
        total = round(lots.choice((lots.uniform(300, 1800), lots.uniform(1800, 4500), lots.uniform(3000, 7500))))
        places = tuple(float(at) for at in range(lots.randint(0, 30), total, 300))
        runs.append(Stations(total=total, stations=places, overlap=overlap, least=600))
    try:
        found = Runs(runs, Problem((2,), (1,), tuple(boards), 6, 1200))
    except ValueError:
        return None
    placings = prod(len(list(every_way(ways))) for ways in found.ways)
    pieces = sum(ways.joints + 1 for ways in found.ways)
    return found if 8 <= placings <= 300 and pieces <= 10 else None


def every_way(ways: Ways, path: Path = (0,), joints: int | None = None) -> Iterator[Path]:
    """Every way of a run with the fewest joints."""
    left = ways.joints if joints is None else joints
    for place in ways.onward.get(path[-1], ()):
        if place == ways.end and left == 0:
            yield (*path, place)
        elif place != ways.end and left > 0:
            yield from every_way(ways, (*path, place), left - 1)


def brute(runs: Runs) -> int:
    """The least cost of all placings."""
    best: int | None = None
    seen = set()
    for paths in product(*(list(every_way(ways)) for ways in runs.ways)):
        problem = runs.cut(paths)
        key = (problem.sizes, problem.wanted)
        if key in seen or (best is not None and purchase_bound(problem) >= best):
            continue
        seen.add(key)
        cost = (solve_small(problem) or solve(problem)).proofs[0].value
        best = cost if best is None else min(best, cost)
    assert best is not None
    return best


@pytest.mark.parametrize("kind", KINDS)
def test_cost_and_bound_are_those_of_every_placing_tried(kind: str) -> None:
    """25 jobs of each kind: 100 in all. What a board holds, once rounded down, proved a cost that can be beaten."""
    jobs = []
    seed = 0
    while len(jobs) < 25:
        found = job(seed, kind)
        seed += 1
        if found is not None:
            jobs.append(found)
    for runs in jobs:
        chosen = choose(runs)
        assert (chosen.cost, chosen.bound) == (best := brute(runs), best)
        check(runs, chosen.paths)


def check(runs: Runs, paths: tuple[Path, ...]) -> None:
    """As many joints as are needed and no more, at the run's own stations, no piece too short or too long."""
    for ways, path in zip(runs.ways, paths, strict=True):
        assert (path[0], path[-1], len(path)) == (0, ways.end, ways.joints + 2)
        assert list(path) == sorted(set(path))
        assert all(pair in ways.take for pair in pairwise(path))


def reckoned(**given: object) -> dict[str, object]:
    whole = {option.name.replace("-", "_"): option.default for option in JOINTS.options} | given
    return JOINTS.reckon(whole).results


@pytest.mark.parametrize("overlap", [28.0, 40.0, 56.0])
def test_four_runs_on_boards_of_3000_take_seven(overlap: float) -> None:
    """Two runs of 4000 and two of 5990: joints spread evenly take ten boards. By the length alone they take seven."""
    found = reckoned(length=(3000.0,), run=((4000.0, 2), (5990.0, 2)), end_trim=10.0, overlap=overlap)
    assert found["boards"] == found["bound"] == 7 and found["proven"]
    stations = [len(each["joints"]) for each in found["joints"]]  # type: ignore[attr-defined]
    assert stations == [1, 1, 2, 2]


def test_a_run_that_no_joints_make_possible_is_told() -> None:
    with pytest.raises(ValueError, match="no joints"):
        reckoned(length=(1000.0,), run=((2000.0, 1),), least=700.0, overlap=28.0)


def test_an_interrupt_keeps_the_best_so_far_where_a_person_watches() -> None:
    runs = next(found for seed in range(50) if (found := job(seed, "several")) and choose(found).paths != ())

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    told = Watch(interrupted, keep_best=True)
    chosen = choose(runs, told)
    assert chosen.made and chosen.bound <= choose(runs).cost <= chosen.cost
    harder = [found for seed in range(60) if (found := job(seed, "several"))]
    with pytest.raises(KeyboardInterrupt):
        for each in harder:
            choose(each, Watch(interrupted))
