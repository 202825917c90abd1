"""Runs and their joints fitted into just these boards, by lot: boards are filled one after another, and runs are eaten
from either end, so that what is left of each can still be made with the joints it has left."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from listel.plugins.cutting.ways import Plan, Runs

TRIES = 30
"""How often one set of boards is tried."""
SKIP_CLOSED, SKIP_OPEN = 0.15, 0.5
"""How often a piece that could come next on a board is left for another: one without a choice, and one with."""


class Lots:
    """The lots drawn, and how many steps are left to draw them in."""

    def __init__(self, seed: int, steps: int) -> None:
        self.draw = Random(seed)
        self.left = steps


def fitted(runs: Runs, boards: Sequence[int], lots: Lots) -> Plan | None:
    """A plan of just these new boards and the rack; None where none was found.

    ``boards``: numbers of stretches, each as often as it is bought.
    """
    rack = [n for n, s in enumerate(runs.stretches) if s.rack for _ in range(s.limit or 0)]
    spare = sum(runs.stretches[n].room + runs.kerf for n in (*boards, *rack)) - runs.need
    if spare < 0:
        return None
    for _ in range(TRIES):
        if lots.left <= 0:
            break
        order = [*boards, *rack]
        mode = lots.draw.random()
        lots.draw.shuffle(order)
        if mode >= 0.5:
            order.sort(key=lambda n: runs.stretches[n].room, reverse=mode < 0.7)
        found = _Filling(runs, lots).run(order, spare)
        if found is not None:
            return found
    return None


class _Filling:
    """One try. ``state``: of each run, where its rest begins and ends, and how many joints the rest has."""

    def __init__(self, runs: Runs, lots: Lots) -> None:
        self.runs, self.lots = runs, lots
        self.state = [(0, ways.end, ways.joints) for ways in runs.ways]
        self.cuts: list[set[int]] = [{0, ways.end} for ways in runs.ways]
        self.waiting = set(range(len(runs.ways)))
        self.boards: list[tuple[int, list[int]]] = []
        self.options = [self._options(run) for run in range(len(runs.ways))]

    def run(self, order: Sequence[int], spare: int) -> Plan | None:
        for number in order:
            if not self.waiting:
                break
            stretch = self.runs.stretches[number]
            room = stretch.room + self.runs.kerf
            self.boards.append((number, []))
            over = self._fill(room, spare)
            if over is None:
                if not stretch.rack or spare < room:
                    return None
                over = room
            spare -= over
        return None if self.waiting else self.runs.plan([tuple(sorted(cut)) for cut in self.cuts], self.boards)

    def _options(self, run: int) -> list[tuple[int, int, int]]:
        """Pieces that could be cut off either end of a run's rest: what each takes, from where, to where."""
        ways = self.runs.ways[run]
        start, end, joints = self.state[run]
        if not joints:
            return [(ways.take[start, end], start, end)]
        found: dict[int, tuple[int, int, int]] = {}
        for m in ways.onward.get(start, ()):
            if ways.between(m, end, joints - 1):
                found.setdefault(ways.take[start, m], (ways.take[start, m], start, m))
        for i in ways.back.get(end, ()):
            if i > start and ways.between(start, i, joints - 1):
                take = ways.take[i, end]
                if take not in found or self.lots.draw.random() < 0.5:
                    found[take] = (take, i, end)
        return list(found.values())

    def _fill(self, room: int, spare: int) -> int | None:
        """Fill one board so that no more than ``spare`` is left over; what is left over, or None."""
        draw = self.lots.draw
        options, waiting = self.options, sorted(self.waiting)
        closed = [run for run in waiting if not self.state[run][2] and options[run][0][0] <= room]
        closed.sort(key=lambda run: -options[run][0][0])
        still_open = [run for run in waiting if self.state[run][2]]
        draw.shuffle(still_open)
        order = [*closed, *still_open]
        if draw.random() < 0.15:
            draw.shuffle(order)
        first = bool(closed) and draw.random() < 0.85
        if first:
            seed = closed[0] if draw.random() < 0.8 else draw.choice(closed)
            order = [seed, *(run for run in order if run != seed)]
        full = (1 << (room + 1)) - 1
        sums = [1] * (len(order) + 1)
        for place in range(len(order) - 1, -1, -1):
            rest = sums[place + 1]
            reach = 0 if first and place == 0 else rest
            for take, _, _ in options[order[place]]:
                if take <= room:
                    reach |= rest << take
            sums[place] = reach & full
            self.lots.left -= len(options[order[place]])
        if not sums[0]:
            return None
        left = sums[0].bit_length() - 1
        over = room - left
        if over > spare:
            return None
        for place, run in enumerate(order):
            rest = sums[place + 1]
            can = [option for option in options[run] if option[0] <= left and rest >> (left - option[0]) & 1]
            may_skip = bool(rest >> left & 1) and not (first and place == 0)
            if not can or (may_skip and draw.random() < (SKIP_OPEN if self.state[run][2] else SKIP_CLOSED)):
                continue
            take, i, m = draw.choice(can)
            left -= take
            self.boards[-1][1].append(take)
            self._take(run, i, m)
            if not left:
                break
        return over

    def _take(self, run: int, i: int, m: int) -> None:
        start, end, joints = self.state[run]
        if not joints:
            self.waiting.discard(run)
            return
        self.cuts[run].add(m if i == start else i)
        self.state[run] = (m, end, joints - 1) if i == start else (start, i, joints - 1)
        self.options[run] = self._options(run)
