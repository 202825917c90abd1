"""Notches and holes: where a piece is cut out round a bracket, a tail or a pipe, from its own end and its top edge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from listel.plugins.setting_out.results import Notch, Notched, Piece, Run


def notches(notched: Iterable[Notched], pieces: Sequence[Piece], runs: Sequence[Run]) -> Iterator[Notch]:
    """Each rectangle of wall as it is cut out of the level pieces that pass it. Source: plane geometry, derived."""
    for each in notched:
        where = (each.room, each.wall, each.trim)
        for piece in pieces:
            start, end = max(each.start, piece.start), min(each.end, piece.end)
            here = (piece.room, piece.wall, piece.trim) == where and not piece.upright and not piece.pitch
            run = next((run for run in runs if here and _covers(run, piece)), None)
            if run is None or run.top is None or run.underside is None or end <= start:
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
    """Whether a run is the one that a piece is cut for."""
    same = (run.room, run.wall, run.trim) == (piece.room, piece.wall, piece.trim) and not run.upright
    return same and run.start <= piece.start and piece.end <= run.end
