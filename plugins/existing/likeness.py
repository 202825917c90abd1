"""New trim held to old work of its member: as what it is made up, and where its section differs."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.existing import figures
from listel.plugins.existing.results import OldPiece
from listel.plugins.site import tables


@dataclass(frozen=True)
class Made:
    """A new trim as it is held to old work: by itself, or with the mould that sits on it."""

    parts: tuple[Trim, ...]

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        return " with its ".join(part.name for part in self.parts)

    @property
    def height(self) -> float | None:
        """How high it stands [mm]; None where that was not surveyed."""
        heights = [part.section.height for part in self.parts]
        return None if None in heights else sum(height or 0.0 for height in heights)


def made_of(job: Job, trim: Trim, room: str, was: float | None) -> Made:
    """What a new trim is to be held to old work as: by itself, or with the mould that sits on it along a wall of that
    ``room`` (where it does not come there, of any), whichever stands nearer to the old, ``was`` mm high."""
    high = trim.section.height
    if was is None or high is None:
        return Made((trim,))
    within = room if trim.places_in(room) else ""
    walls = {(here.name, wall.name) for here, wall, _, _ in job.places(trim, within)}
    for mould in job.trim:
        more = mould.section.height
        if tables.sits_on(mould.member) != trim.member or mould.top is not None or more is None:
            continue
        shared = any((here.name, wall.name) in walls for here, wall, _, _ in job.places(mould, within))
        if shared and abs(was - high - more) < abs(was - high):
            return Made((trim, mould))
    return Made((trim,))


def limit(trim: Trim) -> float:
    """How far the new may differ from the old in size, mm: half as much under a clear finish."""
    return figures.value("size") / (2 if trim.clear else 1)


def departs(job: Job, trim: Trim, room: str, piece: OldPiece) -> str:
    """How the section of a new trim in a room differs from that of an old piece of its member; empty where it does
    not."""
    units, made = job.units, made_of(job, trim, room, piece.height)
    high = "high" + "".join(f" with its {part.name}" for part in made.parts[1:])
    return ", ".join(
        f"{show_length(new, units)} {word}, the old {show_length(was, units)}"
        for word, was, new in ((high, piece.height, made.height), ("thick", piece.thick, trim.section.thick))
        if new is not None and was is not None and _apart(trim, new, was)
    )


def upper_part(job: Job, trim: Trim, room: str, piece: OldPiece) -> bool:
    """Whether an old piece is in one what a new board of its member and the ``trim`` on it make up in a room."""
    return any(not departs(job, board, room, piece) for board in _boards_under(job, trim, room, piece))


def as_high_as_both(job: Job, trim: Trim, room: str, piece: OldPiece) -> bool:
    """Whether an old piece stands as high as a new board of its member with the ``trim`` on it, however thick it is."""
    return any(
        not _apart(board, made_of(job, board, room, piece.height).height, piece.height)
        for board in _boards_under(job, trim, room, piece)
    )


def _apart(trim: Trim, new: float | None, was: float | None) -> bool:
    return new is not None and was is not None and round(abs(was - new), 6) > limit(trim)


def _boards_under(job: Job, trim: Trim, room: str, piece: OldPiece) -> Iterator[Trim]:
    """The new boards of an old piece's member in a room that are held to it together with the ``trim`` on them."""
    if tables.sits_on(trim.member) == piece.member:
        for board in job.trims_in(room):
            if board.member == piece.member and trim in made_of(job, board, room, piece.height).parts:
                yield board
