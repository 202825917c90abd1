"""Whether given pieces go into given stretches: an exact search for jobs with little length to spare.

The longest piece still waiting goes into one of the stretches, each length of them tried once, and that stretch is
filled up. What a filling may leave over is bounded by what is to spare in all, so that few fillings come into question;
and what failed once with the same pieces and stretches left is not tried again (bin completion after Martello and Toth,
Knapsack Problems, 1990, chapter 8; from memory).
"""

from __future__ import annotations

from collections.abc import Iterator

MOST_STEPS = 100_000


class Undecided(Exception):
    """The search gave up before it knew."""


def packed(rooms: list[int], takes: list[int]) -> list[list[int]] | None:
    """The pieces (by place in ``takes``) for each of the ``rooms``, or None where there is no way.

    Raises Undecided after so many steps; the same each time.
    """
    return _Packing(rooms, takes).run()


Filled = tuple[tuple[int, int], ...]
"""Stretches by their length, each with the pieces in it as the set bits of a number."""


class _Packing:
    def __init__(self, rooms: list[int], takes: list[int]) -> None:
        self.rooms = rooms
        self.pieces = sorted(range(len(takes)), key=lambda n: (-takes[n], n))
        self.takes = [takes[n] for n in self.pieces]
        self.failed: set[tuple[tuple[int, ...], int]] = set()
        self.steps = 0

    def run(self) -> list[list[int]] | None:
        spare = sum(self.rooms) - sum(self.takes)
        found = self._fill(tuple(sorted(self.rooms)), (1 << len(self.takes)) - 1, spare) if spare >= 0 else None
        if found is None:
            return None
        masks: dict[int, list[int]] = {}
        for room, mask in found:
            masks.setdefault(room, []).append(mask)
        each = [masks[room].pop() if masks.get(room) else 0 for room in self.rooms]
        return [[self.pieces[n] for n in range(len(self.takes)) if mask >> n & 1] for mask in each]

    def _fill(self, rooms: tuple[int, ...], left: int, spare: int) -> Filled | None:
        if not left:
            return ()
        if (rooms, left) in self.failed:
            return None
        first, *waiting = (n for n in range(len(self.takes)) if left >> n & 1)
        for place, room in enumerate(rooms):
            if room < self.takes[first] or room in rooms[:place]:
                continue
            sums = self._sums(waiting, (1 << room + 1) - 1)
            for mask, over in self._fillings(waiting, sums, 0, room - self.takes[first], spare, 1 << first):
                rest = self._fill((*rooms[:place], *rooms[place + 1 :]), left & ~mask, spare - over)
                if rest is not None:
                    return ((room, mask), *rest)
        self.failed.add((rooms, left))
        return None

    def _sums(self, waiting: list[int], fits: int) -> list[int]:
        """For each place in ``waiting`` every sum that pieces from there on make and that fits, as the set bits of a
        number."""
        sums = [1]
        for n in reversed(waiting):
            sums.append((sums[-1] | sums[-1] << self.takes[n]) & fits)
        sums.reverse()
        return sums

    def _fillings(
        self, waiting: list[int], sums: list[int], at: int, room: int, spare: int, mask: int
    ) -> Iterator[tuple[int, int]]:
        """Fillings that leave no more than ``spare`` over, longest pieces first; with what each leaves over."""
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise Undecided
        if not sums[at] >> max(0, room - spare) & ((1 << min(room, spare) + 1) - 1):
            return
        if at == len(waiting):
            yield mask, room
            return
        take = self.takes[waiting[at]]
        if take <= room:
            yield from self._fillings(waiting, sums, at + 1, room - take, spare, mask | 1 << waiting[at])
        after = at + 1
        while after < len(waiting) and self.takes[waiting[after]] == take:
            after += 1
        yield from self._fillings(waiting, sums, after, room, spare, mask)
