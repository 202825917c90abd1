"""The everyday rules, against which a better plan is measured and from which it starts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import field
from random import Random

from listel.core.quick import dataclass
from listel.plugins.cutting.problem import Pattern, Problem, tidy


@dataclass
class _Open:
    """A stretch that is being cut: its number, the room left in it, the sizes cut so far."""

    stretch: int
    room: int
    sizes: list[int] = field(default_factory=list)

    def pattern(self) -> Pattern:
        return self.stretch, tuple(sorted(Counter(self.sizes).items()))


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
        """A new board that takes ``need``; the stand-in for what cannot be made comes last."""
        stretches = self.problem.stretches
        fits = [n for n in self.new if self.left[n] != 0 and stretches[n].room + self.problem.kerf >= need]
        return self.take(min(fits, key=lambda n: (not stretches[n].real, *choice(n), n)))


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
    begun = supply.whole_rack()
    finished: list[_Open] = []
    for size in _each(problem) if order is None else order:
        need = problem.sizes[size] + problem.kerf
        fits = [board for board in begun if board.room >= need]
        if fits:
            board = min(fits, key=lambda b: (b.room, b.stretch))
        else:
            board = supply.board_for(need, choice)
            (begun if problem.stretches[board.stretch].real else finished).append(board)
        board.room -= need
        board.sizes.append(size)
    return tidy(problem, (board.pattern() for board in begun + finished))


def longest_first(problem: Problem) -> tuple[Pattern, ...]:
    """One stretch at a time, the rack's shortest first and then the longest new boards, each filled with the longest
    piece that still goes in. Common practice, no source."""
    supply = _Supply(problem)
    waiting = _each(problem)
    done: list[_Open] = []
    for board in supply.whole_rack():
        waiting = _filled(problem, board, waiting)
        done.append(board)
    while waiting:
        need = problem.sizes[waiting[0]] + problem.kerf
        board = supply.board_for(need, lambda n: (-problem.stretches[n].room, problem.stretches[n].price))
        if problem.stretches[board.stretch].real:
            waiting = _filled(problem, board, waiting)
        else:
            board.sizes.append(waiting.pop(0))
        done.append(board)
    return tidy(problem, (board.pattern() for board in done))


def _filled(problem: Problem, board: _Open, waiting: list[int]) -> list[int]:
    over = []
    for size in waiting:
        need = problem.sizes[size] + problem.kerf
        if board.room >= need:
            board.room -= need
            board.sizes.append(size)
        else:
            over.append(size)
    return over


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
