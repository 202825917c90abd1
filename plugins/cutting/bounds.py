"""A bound on the cost that needs no solver: whole boards must hold the length that the rack cannot."""

from __future__ import annotations

from collections.abc import Sequence

from listel.plugins.cutting.problem import Problem, Stretch

MOST_STEPS = 50_000
"""Steps of the search for the cheapest boards."""


def purchase_bound(problem: Problem) -> int:
    """No plan can cost less: the cheapest whole boards whose best possible fillings, with those of the rack, hold all
    pieces, and which are as many as the pieces longer than half the longest board ask for.

    Source: geometry; the second count is the simple bound of bin packing (Martello and Toth, Knapsack Problems, 1990,
    chapter 8; from memory).
    """
    if any(not stretch.real for stretch in problem.stretches):
        return 0
    takes = [(size + problem.kerf, count) for size, count in zip(problem.sizes, problem.wanted, strict=True) if count]
    fillable = _fillable(takes)
    need = sum(take * count for take, count in takes)
    half = max(stretch.room + problem.kerf for stretch in problem.stretches) // 2
    boards = sum(count for take, count in takes if take > half)
    new: dict[int, int] = {}
    for stretch in problem.stretches:
        holds = _fullest(fillable, stretch.room + problem.kerf)
        if stretch.rack:
            copies = stretch.limit or 0
            need -= holds * copies
            boards -= copies if stretch.room + problem.kerf > half else 0
        elif holds and stretch.price < new.get(holds, stretch.price + 1):
            new[holds] = stretch.price
    if need <= 0 and boards <= 0:
        return 0
    kinds = sorted(new.items(), key=lambda kind: (kind[1] / kind[0], -kind[0]))
    return _cheapest(kinds, max(0, need), max(0, boards))


def cheapest_boards(stretches: Sequence[Stretch], kerf: int, need: int) -> int:
    """No boards cost less that hold that length in all, beside the whole rack."""
    need -= sum((stretch.room + kerf) * (stretch.limit or 0) for stretch in stretches if stretch.rack)
    kinds = {stretch.room + kerf: stretch.price for stretch in stretches if not stretch.rack}
    ordered = sorted(kinds.items(), key=lambda kind: (kind[1] / kind[0], -kind[0]))
    return _cheapest(ordered, need, 0) if need > 0 else 0


def _fillable(takes: list[tuple[int, int]]) -> int:
    """Every sum that some of the pieces make, as the set bits of a number."""
    sums = 1
    for take, count in takes:
        step = 1
        while count > 0:
            sums |= sums << take * min(step, count)
            count -= step
            step *= 2
    return sums


def _fullest(fillable: int, room: int) -> int:
    """The greatest sum that fits a room."""
    return (fillable & ((1 << (room + 1)) - 1)).bit_length() - 1


def _cheapest(kinds: list[tuple[int, int]], need: int, boards: int) -> int:
    """The least price of boards (what each holds, its price; keenest first) that hold ``need`` and are ``boards`` or
    more; where that takes too many steps to find, what they cost at the keenest rate by length, or by number."""
    best = [min(price * max(-(-need // holds), boards) for holds, price in kinds)]
    least = min(price for _, price in kinds)
    steps = [0]

    def go(kind: int, need: int, boards: int, cost: int) -> None:
        steps[0] += 1
        if steps[0] > MOST_STEPS:
            return
        holds, price = kinds[kind]
        if kind == len(kinds) - 1:
            best[0] = min(best[0], cost + price * max(-(-need // holds), boards, 0))
            return
        for count in range(max(-(-need // holds), boards, 0), -1, -1):
            left, lacking = need - count * holds, boards - count
            so_far = cost + count * price
            rate_next = kinds[kind + 1][1] / kinds[kind + 1][0]
            if so_far + max(left * rate_next, lacking * least, 0.0) >= best[0]:
                if left > 0 and so_far + left * rate_next >= best[0]:
                    break
                continue
            go(kind + 1, left, lacking, so_far)

    go(0, need, boards, 0)
    if steps[0] > MOST_STEPS:
        return max(need * kinds[0][1] // kinds[0][0], boards * least)
    return best[0]
