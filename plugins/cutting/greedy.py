"""The everyday rules, against which a better plan is measured and from which it starts."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import field, replace
from random import Random

from listel.core.quick import dataclass
from listel.plugins.cutting.problem import Pattern, Problem, tidy


@dataclass
class _Open:
    """A stretch that is being cut: its number, the room left in it, how many of each size are cut so far."""

    stretch: int
    room: int
    cuts: Counter[int] = field(default_factory=Counter)

    def cut(self, size: int, count: int, take: int) -> None:
        self.cuts[size] += count
        self.room -= count * take

    def pattern(self) -> Pattern:
        return self.stretch, tuple(sorted(self.cuts.items()))


class _Supply:
    """The stretches of a problem, taken one at a time: those of the rack shortest first, and new ones as they are
    asked for."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.left = [stretch.limit for stretch in problem.stretches]
        numbered = list(enumerate(problem.stretches))
        self.rack = sorted((n for n, s in numbered if s.rack), key=lambda n: (problem.stretches[n].room, n))
        self.new = [n for n, s in numbered if not s.rack]

    def take(self, stretch: int) -> _Open:
        left = self.left[stretch]
        if left is not None:
            self.left[stretch] = left - 1
        return _Open(stretch, self.problem.stretches[stretch].room + self.problem.kerf)

    def whole_rack(self) -> list[_Open]:
        return [self.take(n) for n in self.rack for _ in range(self.left[n] or 0)]

    def board_for(self, need: int, choice: Callable[[int], tuple[float, ...]]) -> _Open:
        """A new board that takes ``need``; last comes the stand-in for what cannot be made, which takes no more."""
        stretches = self.problem.stretches
        fits = [n for n in self.new if self.left[n] != 0 and stretches[n].room + self.problem.kerf >= need]
        board = self.take(min(fits, key=lambda n: (not stretches[n].real, *choice(n), n)))
        return board if stretches[board.stretch].real else replace(board, room=need)


def _each(problem: Problem) -> list[int]:
    return [size for size, count in enumerate(problem.wanted) for _ in range(count)]


def smallest_offcut_first(problem: Problem) -> tuple[Pattern, ...]:
    """Longest piece first, each out of the shortest stretch that takes it, on the rack or already begun; where none
    does, out of the new board that costs least for its length. Common practice, no source."""
    stretches = problem.stretches
    return _fitted(problem, lambda n: (stretches[n].price / (stretches[n].room + problem.kerf), -stretches[n].room))


def longest_board(problem: Problem) -> tuple[Pattern, ...]:
    """The same, but opening the longest new board where nothing begun will do. Common practice, no source."""
    return _fitted(problem, lambda n: (-problem.stretches[n].room, problem.stretches[n].price))


def by_lot(problem: Problem, lots: Random) -> tuple[Pattern, ...]:
    """The same with the order of the pieces shaken, and a kind of new board drawn by lot for each that is opened."""
    each = _each(problem)
    order = sorted(range(len(each)), key=lambda n: -problem.sizes[each[n]] * lots.uniform(0.75, 1.25))
    return swapped(problem, _fitted(problem, lambda n: (lots.random(),), [each[n] for n in order]))


def _fitted(
    problem: Problem, choice: Callable[[int], tuple[float, ...]], order: Iterable[int] | None = None
) -> tuple[Pattern, ...]:
    supply = _Supply(problem)
    begun = sorted((board.room, board.stretch, n, board) for n, board in enumerate(supply.whole_rack()))
    for number, size in enumerate(_each(problem) if order is None else order, len(begun)):
        need = problem.sizes[size] + problem.kerf
        place = bisect_left(begun, (need,))
        if place < len(begun):
            *_, opened, board = begun.pop(place)
        else:
            opened, board = number, supply.board_for(need, choice)
        board.cut(size, 1, need)
        insort(begun, (board.room, board.stretch, opened, board))
    return tidy(problem, (board.pattern() for *_, board in begun))


def longest_first(problem: Problem) -> tuple[Pattern, ...]:
    """One stretch at a time, the rack's shortest first and then the longest new boards, each filled with the longest
    piece that still goes in. Common practice, no source."""
    supply = _Supply(problem)
    waiting = {size: count for size, count in enumerate(problem.wanted) if count}
    done: list[_Open] = []

    def fill(board: _Open) -> None:
        done.append(board)
        for size, left in list(waiting.items()):
            take = problem.sizes[size] + problem.kerf
            if count := min(left, board.room // take):
                board.cut(size, count, take)
                waiting[size] -= count
            if count == left:
                del waiting[size]

    for board in supply.whole_rack():
        fill(board)
    while waiting:
        need = problem.sizes[next(iter(waiting))] + problem.kerf
        fill(supply.board_for(need, lambda n: (-problem.stretches[n].room, problem.stretches[n].price)))
    return tidy(problem, (board.pattern() for board in done))


def swapped(problem: Problem, patterns: Iterable[Pattern]) -> tuple[Pattern, ...]:
    """The plan with each new board changed for the cheapest that still holds its cuts."""
    patterns = list(patterns)
    left = [stretch.limit for stretch in problem.stretches]
    for number, _ in patterns:
        if left[number] is not None:
            left[number] -= 1  # type: ignore[operator]
    found: list[Pattern] = []
    for number, cuts in patterns:
        best = number
        if problem.stretches[number].price:
            used = problem.used(cuts)
            for other, stretch in enumerate(problem.stretches):
                fits = not stretch.rack and stretch.real and left[other] != 0 and stretch.room + problem.kerf >= used
                if fits and stretch.price < problem.stretches[best].price:
                    best = other
        if best != number:
            _move(left, number, 1)
            _move(left, best, -1)
        found.append((best, cuts))
    return tuple(sorted(found))


def _move(left: list[int | None], stretch: int, by: int) -> None:
    now = left[stretch]
    if now is not None:
        left[stretch] = now + by


def start_plan(problem: Problem) -> tuple[Pattern, ...]:
    """The best that the everyday rules come to, each new board changed for the cheapest that holds its cuts."""
    rules = (smallest_offcut_first, longest_board, longest_first)
    plans = [swapped(problem, rule(problem)) for rule in rules]
    return min(plans, key=lambda plan: (problem.total(plan), plan))
