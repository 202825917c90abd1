"""One trim as a cutting problem: its parts, the stretches for it, and what they cost."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from listel.core.survey.job import Job, Trim
from listel.plugins.cutting.demand import Part, parts, widest_kerf
from listel.plugins.cutting.problem import GRID, Pattern, Problem, Stretch, dearest, steps_down, steps_up
from listel.plugins.cutting.supply import Bench, Source, stretches_of
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece

PENCE = 100
"""Whole parts in one unit of money."""


@dataclass(frozen=True, kw_only=True)
class Group:
    """A trim with its problem, and the way back: parts by number of the size, sources by number of the stretch.

    ``parted``: grain groups that fit no stretch; ``kerf`` [mm] along the board; ``scale``: parts of the cost in one
    unit of money, or in 1 mm where nothing is priced (without end where every board is free: then the least length is
    sought, and costs nothing); ``stand_in``: number of the stretch for what cannot be made, or None.
    """

    trim: str
    problem: Problem
    parts: dict[int, list[Part]]
    sources: list[list[Source]]
    parted: list[str]
    kerf: float
    priced: bool
    scale: float
    stand_in: int | None

    def made_cost(self, patterns: tuple[Pattern, ...]) -> float:
        """The cost of a plan without the stand-in, in money or mm."""
        real = [pattern for pattern in patterns if pattern[0] != self.stand_in]
        return self.problem.total(real)[0] / self.scale

    def standing_in(self, patterns: tuple[Pattern, ...]) -> float:
        """The cost put on what cannot be made, in the same terms."""
        return self.problem.total(p for p in patterns if p[0] == self.stand_in)[0] / self.scale

    def bought(self, patterns: tuple[Pattern, ...]) -> float:
        """The length of the boards that a plan buys, mm."""
        return sum(
            self.sources[n][0].board.length
            for n, _ in patterns
            if self.sources[n] and not self.problem.stretches[n].rack
        )


def group_of(job: Job, trim: Trim, pieces: list[Piece], boards: list[BoardCheck], bench: Bench) -> Group:
    """The problem of one trim. The order of pieces and boards in the survey makes no difference to it."""
    kerf = widest_kerf(pieces, bench.kerf)
    named = sorted(
        (board for board in boards if board.usable), key=lambda b: (b.rack, b.length, b.price or 0.0, b.board)
    )
    found = [source for board in named for source in stretches_of(board, bench.end_trim)]
    found = [source for source in found if steps_down(source.length) > 0]
    longest = max((source.length for source in found), default=0.0)
    cut, parted = parts(pieces, kerf, longest, job.cutting.spare)
    new = [source for source in found if not source.board.rack]
    priced = bool(new) and all(source.board.price is not None for source in new)
    paid = [round((source.board.price or 0.0) * PENCE) for source in new]
    scale = GRID if not priced else PENCE if any(paid) else inf
    prices = paid if any(paid) and priced else [steps_up(source.board.length) for source in new]
    rate = min((p / steps_up(s.board.length) for p, s in zip(prices, new, strict=True)), default=0.0) * bench.rack_price
    stretches = [Stretch(steps_down(s.length), p, limit=s.board.quantity) for p, s in zip(prices, new, strict=True)]
    sources = [[source] for source in new]
    by_room: dict[int, list[Source]] = {}
    for source in found:
        if source.board.rack:
            by_room.setdefault(steps_down(source.length), []).append(source)
    for room, alike in sorted(by_room.items()):
        stretches.append(Stretch(room, rate=rate, limit=len(alike), rack=True))
        sources.append(sorted(alike, key=lambda s: (s.board.board, s.start)))
    sizes = sorted({steps_up(part.length) for part in cut}, reverse=True)
    by_size = {number: [part for part in cut if steps_up(part.length) == size] for number, size in enumerate(sizes)}
    stand_in = None
    if sizes and not any(s.limit is None and s.room >= sizes[0] for s in stretches):
        stand_in = len(stretches)
        stretches.append(dearest(sizes, stretches, len(cut)))
        sources.append([])
    wanted = tuple(len(by_size[number]) for number in range(len(sizes)))
    problem = Problem(tuple(sizes), wanted, tuple(stretches), steps_up(kerf), steps_up(bench.keep))
    return Group(
        trim=trim.name,
        problem=problem,
        parts=by_size,
        sources=sources,
        parted=parted,
        kerf=kerf,
        priced=priced,
        scale=scale,
        stand_in=stand_in,
    )
