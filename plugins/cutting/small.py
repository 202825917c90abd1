"""Small groups solved exactly, in plain Python, so that an ordinary room never loads the solver.

A dynamic programme over the set of pieces made: each stretch there are fewer of than pieces is offered one by one, and
what is left is parted among the others, the first piece still wanted always going into the next. All objectives are
settled at once, each outweighing all that come after it.
"""

from __future__ import annotations

from collections import Counter

from listel.plugins.cutting.problem import Problem, Proof, Solution, Stretch

MOST_PIECES = 12
MOST_WORK = 400_000
"""Steps of the programme above which a group is left to the solver: about a tenth of a second."""


def solve_small(problem: Problem) -> Solution | None:
    """The best plan, proven in every objective; None where the group is too large to try."""
    count = problem.pieces
    if count > MOST_PIECES:
        return None
    pieces = [size for size, wanted in enumerate(problem.wanted) for _ in range(wanted)]
    used = [0] * (1 << count)
    for mask in range(1, 1 << count):
        low = mask & -mask
        used[mask] = used[mask ^ low] + problem.sizes[pieces[low.bit_length() - 1]] + problem.kerf
    limits = [count if s.limit is None else s.limit for s in problem.stretches]
    unlimited = [n for n, limit in enumerate(limits) if limit >= count]
    counted = [n for n, limit in enumerate(limits) if limit < count for _ in range(limit)]
    rooms = {n: problem.stretches[n].room + problem.kerf for n in (*counted, *unlimited)}
    fitting = {n: [m for m in range(1, len(used)) if used[m] <= room] for n, room in rooms.items()}
    work = sum(len(fitting[n]) for n in counted) + sum(len(fitting[n]) for n in unlimited) // 2
    if work * len(used) > MOST_WORK:
        return None
    weigh = _Weigh(problem)
    best: dict[int, tuple[int, tuple[tuple[int, int], ...]]] = {0: (0, ())}
    for number in counted:
        stretch = problem.stretches[number]
        offers = [(mask, weigh(stretch, used[mask])) for mask in fitting[number]]
        after = dict(best)
        for made, (score, chosen) in best.items():
            for mask, adds in offers:
                if not made & mask and (made | mask not in after or score + adds < after[made | mask][0]):
                    after[made | mask] = (score + adds, (*chosen, (number, mask)))
        best = after
    parted = _parted(problem, used, {n: fitting[n] for n in unlimited}, weigh)
    full = len(used) - 1
    ends = [
        (score + parted[full ^ made][0], chosen, made)
        for made, (score, chosen) in best.items()
        if full ^ made in parted
    ]
    _, chosen, made = min(ends)
    chosen = (*chosen, *parted[full ^ made][1])
    patterns = tuple(sorted((number, _cuts(pieces, mask)) for number, mask in chosen))
    total = problem.total(patterns)
    return Solution(patterns, (Proof(total[0], total[0]), Proof(total[1], total[1]), Proof(total[2], total[2])))


class _Weigh:
    """One number for all objectives of a pattern, the earlier outweighing any sum of the later."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        most = max((problem.worth(stretch.room) for stretch in problem.stretches), default=0)
        self.boards = problem.pieces + 1
        self.rack = self.boards * (2 * most * problem.pieces + 1)

    def __call__(self, stretch: Stretch, used: int) -> int:
        cost, lost, opened = self.problem.score(stretch, used)
        return cost * self.rack + lost * self.boards + opened


def _parted(
    problem: Problem, used: list[int], fitting: dict[int, list[int]], weigh: _Weigh
) -> dict[int, tuple[int, tuple[tuple[int, int], ...]]]:
    """For every set of pieces that new boards without limit can make: the best score, and the boards."""
    one: dict[int, tuple[int, int]] = {}
    for number, masks in fitting.items():
        for mask in masks:
            offer = (weigh(problem.stretches[number], used[mask]), number)
            if mask not in one or offer < one[mask]:
                one[mask] = offer
    by_first: list[list[int]] = [[] for _ in range(problem.pieces)]
    for mask in sorted(one):
        by_first[(mask & -mask).bit_length() - 1].append(mask)
    found: dict[int, tuple[int, tuple[tuple[int, int], ...]]] = {0: (0, ())}
    for target in range(1, len(used)):
        best = None
        for mask in by_first[(target & -target).bit_length() - 1]:
            if mask & target == mask and target ^ mask in found:
                rest, chosen = found[target ^ mask]
                score, number = one[mask]
                if best is None or score + rest < best[0]:
                    best = (score + rest, (*chosen, (number, mask)))
        if best is not None:
            found[target] = best
    return found


def _cuts(pieces: list[int], mask: int) -> tuple[tuple[int, int], ...]:
    return tuple(sorted(Counter(size for bit, size in enumerate(pieces) if mask >> bit & 1).items()))
