"""Whether given pieces go into given stretches: an exact search for jobs with little length to spare.

Stretches are filled one after another, the shortest first. What a filling may leave over is bounded by what is to
spare in all, so that few fillings come into question; and what failed once with the same pieces left is not tried
again.
"""

from __future__ import annotations

from collections.abc import Iterator

MOST_STEPS = 300_000


class Undecided(Exception):
    """The search gave up before it knew."""


def packed(rooms: list[int], takes: list[int]) -> list[list[int]] | None:
    """The pieces (by place in ``takes``) for each of the ``rooms``, or None where there is no way.

    Raises Undecided after so many steps; the same each time.
    """
    return _Packing(rooms, takes).run()


class _Packing:
    def __init__(self, rooms: list[int], takes: list[int]) -> None:
        self.order = sorted(range(len(rooms)), key=lambda n: (rooms[n], n))
        self.rooms = [rooms[n] for n in self.order]
        self.pieces = sorted(range(len(takes)), key=lambda n: (-takes[n], n))
        self.takes = [takes[n] for n in self.pieces]
        self.failed: set[tuple[int, int]] = set()
        self.steps = 0

    def run(self) -> list[list[int]] | None:
        spare = sum(self.rooms) - sum(self.takes)
        found = self._fill(0, (1 << len(self.takes)) - 1, spare) if spare >= 0 else None
        if found is None:
            return None
        named: list[list[int]] = [[] for _ in self.rooms]
        for place, mask in enumerate(found):
            named[self.order[place]] = [self.pieces[n] for n in range(len(self.takes)) if mask >> n & 1]
        return named

    def _fill(self, place: int, left: int, spare: int) -> list[int] | None:
        if not left:
            return [0] * (len(self.rooms) - place)
        if place == len(self.rooms) or (place, left) in self.failed:
            return None
        waiting = [n for n in range(len(self.takes)) if left >> n & 1]
        if self.takes[waiting[0]] > self.rooms[-1]:
            return None
        behind = [0]
        for n in reversed(waiting):
            behind.append(behind[-1] + self.takes[n])
        behind.reverse()
        for mask, over in self._fillings(waiting, behind, 0, self.rooms[place], spare, 0):
            rest = self._fill(place + 1, left & ~mask, spare - over)
            if rest is not None:
                return [mask, *rest]
        self.failed.add((place, left))
        return None

    def _fillings(
        self, waiting: list[int], behind: list[int], at: int, room: int, spare: int, mask: int
    ) -> Iterator[tuple[int, int]]:
        """Fillings that leave no more than ``spare`` over, longest pieces first; with what each leaves over."""
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise Undecided
        if room - behind[at] > spare:
            return
        if at == len(waiting):
            yield mask, room
            return
        take = self.takes[waiting[at]]
        if take <= room:
            yield from self._fillings(waiting, behind, at + 1, room - take, spare, mask | 1 << waiting[at])
        after = at + 1
        while after < len(waiting) and self.takes[waiting[after]] == take:
            after += 1
        yield from self._fillings(waiting, behind, after, room, spare, mask)
