"""What can be cut from: the clear stretches of stock and rack boards, and the saw's settings, each assumed where not
surveyed."""

from __future__ import annotations

from math import inf

from listel.core.contract.findings import Input
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.cutting.problem import GRID, Stretch, steps_down, steps_up
from listel.plugins.defects import BoardCheck

PENCE = 100
"""Whole parts in one unit of money."""


@dataclass(frozen=True)
class Bench:
    """The saw and the bench [mm], and what was assumed of them. ``rack_price``: share of the new price [0 to 1]."""

    kerf: float
    end_trim: float
    keep: float
    rack_price: float
    inputs: tuple[Input, ...]


def bench(job: Job) -> Bench:
    """The bench as the survey says, the rest assumed and marked so."""
    table = load_table(__package__, "bench")
    inputs = []

    def setting(key: str, given: float | None) -> float:
        row = table.row(key)
        value = float(row["value"]) if given is None else given
        note = row["says"] if given is None else ""
        inputs.append(Input(key, value, row["unit"], job.line(job.cutting, key), given is None, note=note))
        return value

    saw = job.cutting
    kerf, trim, keep = setting("kerf", saw.kerf), setting("end-trim", saw.end_trim), setting("keep", saw.keep)
    price = setting("rack-price", saw.rack_price)
    return Bench(kerf, trim, keep, price / 100, tuple(inputs))


@dataclass(frozen=True)
class Source:
    """One stretch of one board: from and to, mm from the marked end."""

    board: BoardCheck
    start: float
    end: float

    @property
    def length(self) -> float:
        """Its length, mm."""
        return self.end - self.start


def stretches_of(board: BoardCheck, end_trim: float) -> list[Source]:
    """The stretches of a board to cut from, longest first: clear, and on new stock less ``end_trim`` [mm] at each end
    of the board. Of a new board with defects only the longest is counted on: which ends the others come with is known
    at the bench.
    """
    trim = 0.0 if board.rack else end_trim
    found = [Source(board, max(start, trim), min(end, board.length - trim)) for start, end in board.clear]
    found = sorted((source for source in found if source.length > 0), key=lambda s: (-s.length, s.start))
    return found if board.rack else found[:1]


@dataclass(frozen=True, kw_only=True)
class Supply:
    """What one trim can be cut from: kinds of stretch, and the ``sources`` of each. ``priced``: whether every new board
    is; ``scale``: parts of the cost in one unit of money, or in 1 mm where nothing is priced (without end where every
    board is free: then the least length is sought, and costs nothing)."""

    stretches: tuple[Stretch, ...]
    sources: tuple[list[Source], ...]
    priced: bool
    scale: float

    @property
    def longest(self) -> float:
        """The longest stretch, mm."""
        return max((source.length for sources in self.sources for source in sources), default=0.0)


def supply_of(boards: list[BoardCheck], bench: Bench) -> Supply:
    """The stretches of the usable ones among these boards. Their order in the survey makes no difference."""
    named = sorted(
        (board for board in boards if board.usable), key=lambda b: (b.rack, b.length, b.price or 0.0, b.board)
    )
    found = [source for board in named for source in stretches_of(board, bench.end_trim)]
    found = [source for source in found if steps_down(source.length) > 0]
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
    return Supply(stretches=tuple(stretches), sources=tuple(sources), priced=priced, scale=scale)
