"""One trim as a cutting problem: its parts, the stretches for it, and what they cost."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from listel.core.quick import dataclass
from listel.plugins.cutting.demand import Part, parts, served, widest_kerf
from listel.plugins.cutting.problem import Pattern, Problem, dearest, steps_up
from listel.plugins.cutting.supply import Bench, Source, supply_of
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece


@dataclass(frozen=True, kw_only=True)
class Group:
    """A trim with its problem, and the way back: parts by number of the size, sources by number of the stretch.

    ``parted``: grain groups that fit no stretch; ``apart``: splices that its boards are too narrow or too thin for;
    ``kerf`` [mm] along the board; ``priced`` and ``scale`` as of its supply; ``stand_in``: number of the stretch for
    what cannot be made, or None.
    """

    trim: str
    problem: Problem
    parts: dict[int, list[Part]]
    sources: list[list[Source]]
    parted: list[str]
    apart: list[Part]
    kerf: float
    priced: bool
    scale: float
    stand_in: int | None

    @property
    def spares(self) -> int:
        """How many of its parts are spare."""
        return sum(not part.pieces for parts in self.parts.values() for part in parts)

    @property
    def in_one(self) -> Iterator[tuple[Piece, ...]]:
        """The pieces of each part whose grain runs on from piece to piece."""
        yield from (part.pieces for parts in self.parts.values() for part in parts if len(part.pieces) > 1)

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


def group_of(
    trim: str,
    pieces: list[Piece],
    boards: list[BoardCheck],
    bench: Bench,
    spare: float | None,
    most_spares: float = inf,
) -> Group:
    """The problem of one trim; ``spare`` timber in per cent of the length, in ``most_spares`` at most. The order of
    pieces and boards in the survey makes no difference to it."""
    pieces, others = served(pieces)
    kerf = widest_kerf(pieces, bench.kerf)
    supply = supply_of(boards, bench)
    stretches, sources = list(supply.stretches), list(supply.sources)
    cut, parted = parts(pieces, kerf, supply.longest, spare, most_spares)
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
        trim=trim,
        problem=problem,
        parts=by_size,
        sources=sources,
        parted=parted,
        apart=[Part(piece.label, piece.overall, (piece,)) for piece in others],
        kerf=kerf,
        priced=supply.priced,
        scale=supply.scale,
        stand_in=stand_in,
    )
