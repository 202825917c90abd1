"""The least cost of a small group by trying: numbers of boards that cost less, the cheapest first; do the pieces go in?

Where the pieces are few, and few numbers of boards could better the plan in hand, each is decided without a solver.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from listel.plugins.cutting.packing import Undecided, packed
from listel.plugins.cutting.problem import Pattern, Problem, tidy

MOST_PACKED = 28
"""Pieces that are placed by trying, at most."""
MOST_COUNTED, MOST_NUMBERS = 1000, 40
"""Numbers of boards that are counted out, and that are tried, at most."""


def cost_hangs_on_numbers(problem: Problem, plan: tuple[Pattern, ...]) -> bool:
    """Whether cost hangs on the numbers bought alone: nothing of the rack is priced, and everything can be made."""
    return not any(stretch.rate for stretch in problem.stretches if stretch.real) and all(
        problem.stretches[number].real for number, _ in plan
    )


def tried(problem: Problem, plan: tuple[Pattern, ...], bound: int) -> tuple[tuple[Pattern, ...], int]:
    """The plan, or a cheaper one, and the bound as far as it is raised: to the cost where nothing is left open."""
    cost = problem.total(plan)[0]
    if problem.pieces > MOST_PACKED or not cost_hangs_on_numbers(problem, plan):
        return plan, bound
    bought = [n for n, s in enumerate(problem.stretches) if s.real and not s.rack]
    if not all(problem.stretches[n].price for n in bought):
        return plan, bound
    numbers = list(islice(_numbers(problem, bought, bound, cost), MOST_COUNTED + 1))
    if len(numbers) > MOST_COUNTED:
        return plan, bound
    for place, (less, counts) in enumerate(sorted(numbers)):
        if place == MOST_NUMBERS:
            return plan, max(bound, less)
        try:
            found = packed_plan(with_just(problem, bought, counts))
        except Undecided:
            return plan, max(bound, less)
        if found is not None:
            return tidy(problem, found), less
    return plan, cost


def _numbers(problem: Problem, bought: list[int], bound: int, cost: int) -> Iterator[tuple[int, tuple[int, ...]]]:
    """How many of each board: what holds the length that the rack does not, from the bound to below the cost."""
    rack = sum((s.room + problem.kerf) * (s.limit or 0) for s in problem.stretches if s.rack)
    need = sum((size + problem.kerf) * count for size, count in zip(problem.sizes, problem.wanted, strict=True)) - rack
    kinds = [problem.stretches[n] for n in bought]
    hold = max((s.room + problem.kerf) / s.price for s in kinds) if kinds else 0.0

    def go(counts: tuple[int, ...], so_far: int, need: int) -> Iterator[tuple[int, tuple[int, ...]]]:
        if so_far >= cost or (cost - so_far) * hold < need:
            return
        if len(counts) == len(kinds):
            if need <= 0 and so_far >= bound:
                yield so_far, counts
            return
        kind = kinds[len(counts)]
        most = (cost - so_far) // kind.price
        for count in range(most + 1 if kind.limit is None else min(kind.limit, most) + 1):
            yield from go((*counts, count), so_far + count * kind.price, need - count * (kind.room + problem.kerf))

    return go((), 0, need)


def with_just(problem: Problem, bought: list[int], numbers: tuple[int, ...]) -> Problem:
    """The problem with just so many of the boards."""
    stretches = list(problem.stretches)
    for number, count in zip(bought, numbers, strict=True):
        stretches[number] = replace(stretches[number], limit=count)
    return replace(problem, stretches=tuple(stretches))


def packed_plan(settled: Problem) -> list[Pattern] | None:
    """The plan for boards whose numbers are settled; None: there is none. Raises Undecided."""
    stretches = [n for n, s in enumerate(settled.stretches) if s.real for _ in range(s.limit or 0)]
    sizes = [size for size, count in enumerate(settled.wanted) for _ in range(count)]
    if len(sizes) > MOST_PACKED:
        raise Undecided
    rooms = [settled.stretches[number].room + settled.kerf for number in stretches]
    found = packed(rooms, [settled.sizes[size] + settled.kerf for size in sizes])
    if found is None:
        return None
    return [
        (number, tuple(sorted(Counter(sizes[place] for place in places).items())))
        for number, places in zip(stretches, found, strict=True)
    ]
