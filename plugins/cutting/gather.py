"""A plan at its cost with fewer houses on each board: pieces change places where both boards still hold theirs, and
what goes back on the rack is worth what it was."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from listel.plugins.cutting.demand import Part
from listel.plugins.cutting.plan import Laid, in_order
from listel.plugins.cutting.problem import steps_down, steps_up

ROUNDS = 20
NEAR = 60
"""Pieces next in length that each may change places with."""


def gathered(laid: Sequence[Laid], house: Callable[[Part], str], kerf: float, keep: float) -> list[Laid]:
    """The same stretches with the same number of pieces on each. ``house``: whose a part is, or empty; ``kerf`` along
    the board and the shortest remnant to ``keep`` in mm."""
    places = _Places(laid, house, kerf, keep)
    for _ in range(ROUNDS):
        if not places.better():
            break
    return [replace(one, parts=tuple(in_order(parts))) for one, parts in zip(laid, places.parts(), strict=True)]


class _Places:
    def __init__(self, laid: Sequence[Laid], house: Callable[[Part], str], kerf: float, keep: float) -> None:
        held = [(part, board) for board, one in enumerate(laid) for part in one.parts]
        held.sort(key=lambda one: (one[0].length, one[0].name))
        self.items = [part for part, _ in held]
        self.at = [board for _, board in held]
        self.takes = [steps_up(part.length) for part in self.items]
        self.house = [house(part) for part in self.items]
        self.keep = steps_up(keep)
        along = steps_up(kerf)
        self.left = [steps_down(one.source.length) + along for one in laid]
        self.on: list[Counter[str]] = [Counter() for _ in laid]
        for take, board, name in zip(self.takes, self.at, self.house, strict=True):
            self.left[board] -= take + along
            self.on[board][name] += 1
        self.along = along

    def better(self) -> bool:
        """One round over all pieces; whether any changed places."""
        changed = False
        for first in range(len(self.items)):
            for second in range(first + 1, min(first + 1 + NEAR, len(self.items))):
                if self.takes[second] - self.takes[first] > max(0, self.left[self.at[first]]):
                    break
                if self._gains(first, second):
                    self._swap(first, second)
                    changed = True
        return changed

    def _gains(self, first: int, second: int) -> bool:
        one, other = self.at[first], self.at[second]
        here, there = self.house[first], self.house[second]
        more = self.takes[second] - self.takes[first]
        if one == other or here == there or not self._worth_stays(one, -more) or not self._worth_stays(other, more):
            return False
        gone = (self.on[one][here] == 1) + (self.on[other][there] == 1)
        come = (self.on[one][there] == 0) + (self.on[other][here] == 0)
        return come < gone

    def _worth_stays(self, board: int, more: int) -> bool:
        """Whether so much more left on a board is still no remnant, as what is left now is none."""
        left = self.left[board] - self.along
        return more == 0 or (max(left, left + more) < self.keep and self.left[board] + more >= 0)

    def _swap(self, first: int, second: int) -> None:
        one, other = self.at[first], self.at[second]
        more = self.takes[second] - self.takes[first]
        self.at[first], self.at[second] = other, one
        self.left[one] -= more
        self.left[other] += more
        self.on[one].subtract([self.house[first]])
        self.on[one][self.house[second]] += 1
        self.on[other].subtract([self.house[second]])
        self.on[other][self.house[first]] += 1

    def parts(self) -> list[list[Part]]:
        """What is on each board now."""
        found: list[list[Part]] = [[] for _ in self.on]
        for part, board in zip(self.items, self.at, strict=True):
            found[board].append(part)
        return found
