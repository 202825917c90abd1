"""Where each piece that is told as done was cut: as it is told, and what is not told as it was planned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from listel.core.survey.job import Done, DonePiece
from listel.plugins.cutting.plan import NUMBERED
from listel.plugins.cutting.supply import Bench
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece

Marks = dict[str, tuple[str, float]]
"""By piece, or spare: the board it is marked out on, and where it starts, mm from the marked end."""

Taken = tuple[float, float]
"""A stretch of a board that is used up, from and to, mm from its marked end."""


def whole(
    done: Done, pieces: Sequence[Piece], checks: Sequence[BoardCheck], saw: Bench, kerf: float, marks: Marks
) -> Done:
    """What is done, each piece with its length, its board and its place: those not told are the length set out now and,
    where these are still free, the board and the place it was planned on; else the first place on its board where it
    goes."""
    overall = {piece.label: piece.overall for piece in pieces}
    taken: dict[str, list[Taken]] = {}
    found = []
    for piece in done.pieces:
        length = overall.get(piece.piece) if piece.length is None else piece.length
        made = replace(piece, length=length)
        if length is not None:
            made = next(_places(made, length, marks, checks, saw, taken), made)
        if made.board and made.at is not None and length is not None:
            taken.setdefault(made.board, []).append((made.at, made.at + length + kerf))
        found.append(made)
    return replace(done, pieces=tuple(found))


def _places(
    piece: DonePiece,
    length: float,
    marks: Marks,
    checks: Sequence[BoardCheck],
    saw: Bench,
    taken: Mapping[str, Sequence[Taken]],
) -> Iterator[DonePiece]:
    """The piece with its board and its place, the likeliest first."""
    if piece.board and piece.at is not None:
        yield piece
        return
    board, at = marks.get(piece.piece, ("", 0.0))
    if (
        board
        and piece.board in ("", board)
        and not any(start < at + length and at < end for start, end in taken.get(board, ()))
    ):
        yield replace(piece, board=board, at=at if piece.at is None else piece.at)
    kind = piece.board.rpartition(NUMBERED)[0]
    check = next((check for check in checks if check.board in (piece.board, kind)), None)
    if check is None:
        return
    ends = [] if check.rack else [(0.0, saw.end_trim), (check.length - saw.end_trim, check.length)]
    free = without(check.clear, [*ends, *taken.get(piece.board, ())])
    yield from (replace(piece, at=start) for start, end in free if end - start >= length)


def without(clear: Sequence[Taken], taken: Sequence[Taken]) -> tuple[Taken, ...]:
    """Clear stretches with what is used up left out."""
    left = list(clear)
    for start, end in taken:
        left = [part for low, high in left for part in ((low, min(high, start)), (max(low, end), high))]
        left = [(low, high) for low, high in left if high > low]
    return tuple(left)
