"""Notches and holes: where a piece is cut out round a bracket, a tail or a pipe, from its own end and its top edge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.contract.lines import Lines
from listel.plugins.setting_out.results import Notch, Notched, Piece, Run


def notches(notched: Iterable[Notched], pieces: Lines[Piece], runs: Lines[Run]) -> Iterator[Notch]:
    """Each rectangle of wall as it is cut out of the level pieces that pass it. Source: plane geometry, derived."""
    for each in notched:
        here = {"room": each.room, "wall": each.wall, "trim": each.trim}
        for piece in pieces.of(**here):
            start, end = max(each.start, piece.start), min(each.end, piece.end)
            if piece.upright or piece.pitch or end <= start:
                continue
            run = next((run for run in runs.of(**here) if _covers(run, piece)), None)
            if run is None or run.top is None or run.underside is None:
                continue
            upper, lower = max(0.0, run.top - each.high), min(run.top - run.underside, run.top - each.low)
            left = piece.start - piece.left.past
            if lower > upper:
                yield Notch(
                    room=each.room,
                    wall=each.wall,
                    trim=each.trim,
                    piece=piece.label,
                    start=start - left,
                    end=end - left,
                    upper=upper,
                    lower=lower,
                    open_below=each.low <= run.underside,
                    by=each.by,
                )


def _covers(run: Run, piece: Piece) -> bool:
    """Whether a run of its trim and wall is the one that a piece is cut for."""
    return not run.upright and run.start <= piece.start and piece.end <= run.end
