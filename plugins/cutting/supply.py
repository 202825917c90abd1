"""What can be cut from: the clear stretches of stock and rack boards, and the saw's settings, each assumed where not
surveyed."""

from __future__ import annotations

from dataclasses import dataclass

from listel.core.contract.findings import Input
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.plugins.defects import BoardCheck


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
        inputs.append(Input(key, value, row["unit"], job.line(job.cutting, key), given is None, note))
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
