"""The record of the work as fixed: what was done, what differs from the plan and why, with what, how it comes off.

It is made only where every needed step has a record and every piece is told as fixed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from listel import __version__
from listel.core.contract.lines import Lines, plain
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Record, SnagClosed, Used
from listel.core.survey.photographs import Photographs
from listel.plugins.conservation import OfficerTable, Undoing
from listel.plugins.progress import Changed, FixedOtherwise, MeasuredAgain, PieceDone, Progress
from listel.plugins.sequence import JobStep, Sequence
from listel.reports.drawings.paper import Drawing
from listel.reports.papers import About, Leaf
from listel.reports.photos import pages

NAMED = "record as fixed"
LARGE = False
MADE = ("fixed",)


@dataclass(frozen=True, kw_only=True)
class Room:
    """The pieces of one room, as set out and as fixed."""

    name: str
    pieces: tuple[PieceDone, ...]


@dataclass(frozen=True, kw_only=True)
class Otherwise:
    """What differs from what was planned, and why."""

    fixings: tuple[FixedOtherwise, ...]
    measured: tuple[MeasuredAgain, ...]
    changes: tuple[Changed, ...]


@dataclass(frozen=True)
class Shown:
    """Photographs on sheets of four with their captions, and the captions of those that cannot be shown, each with
    why."""

    sheets: tuple[tuple[Drawing, list[str]], ...]
    lacking: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What the house's file keeps beside: products, how it comes off, records, photographs before and after, snags."""

    products: tuple[Used, ...]
    undoing: tuple[Undoing, ...]
    records: tuple[Record, ...]
    before: Shown
    after: Shown
    snags: tuple[SnagClosed, ...]


def _shown(outcome: Outcome, when: Callable[[str], bool]) -> Shown:
    """The photographs taken when they are asked for."""
    listed = outcome.sheet.get(Photographs)
    sheets, lacking = pages([each for each in listed.photos if when(each.photo.taken)] if listed else [], outcome.job)
    return Shown(tuple(sheets), tuple(lacking))


def unrecorded(outcome: Outcome) -> tuple[JobStep, ...]:
    """The needed steps that no record tells as done."""
    sequence = outcome.sheet.get(Sequence) or Sequence()
    return tuple(step for step in sequence.steps if step.required and not step.done)


def unfixed(outcome: Outcome) -> tuple[PieceDone, ...]:
    """The pieces that are not told as fixed."""
    progress = outcome.sheet.get(Progress) or Progress()
    return tuple(piece for piece in progress.pieces if piece.state not in MADE)


def lacking(outcome: Outcome) -> str:
    """Why there is no record as fixed yet, in words; empty where nothing is wanting."""
    steps, pieces = unrecorded(outcome), unfixed(outcome)
    said = []
    if steps:
        many = "this step" if len(steps) == 1 else f"these {len(steps)} steps"
        each = "".join(f"\n  {step.name} ({step.title[0].lower()}{step.title[1:]})" for step in steps)
        said.append(f"No record settles {many}:{each}")
    if pieces:
        said.append(f"Not told as fixed: {', '.join(piece.label for piece in pieces)}.")
    return "\n".join(said)


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """What was done room by room, what differs, what is kept. Raises InputFault where a needed step has no record, or a
    piece is not told as fixed, and names them."""
    if wanting := lacking(outcome):
        raise _not_yet(outcome, wanting)
    job, progress = outcome.job, outcome.sheet[Progress]
    pieces = Lines(progress.pieces)
    named = dict.fromkeys(piece.room for piece in pieces)
    rooms = tuple(Room(name=room, pieces=tuple(pieces.of(room=room))) for room in named)
    yield _leaf("pieces", "What was fixed", rooms)
    otherwise = Otherwise(fixings=progress.fixings, measured=progress.measured, changes=progress.changes)
    yield _leaf("otherwise", "What differs, and why", otherwise, follows=True)
    first = min((piece.on for piece in progress.pieces if piece.on), default="")
    kept = Kept(
        products=progress.products,
        undoing=_undoing(outcome),
        records=job.records,
        before=_shown(outcome, lambda taken: not first or taken < first),
        after=_shown(outcome, lambda taken: bool(first) and taken >= first),
        snags=progress.snags,
    )
    yield _leaf("kept", "With what, and how it comes off again", kept, follows=True)
    yield _leaf("recorded", "Records", kept)


def _undoing(outcome: Outcome) -> tuple[Undoing, ...]:
    return (outcome.sheet.get(OfficerTable) or OfficerTable()).undoing


def _leaf(name: str, title: str, view: object, *, follows: bool = False) -> Leaf:
    return Leaf(name=name, title=title, template=f"as-fixed/{name}.html.j2", view=view, follows=follows)


def as_json(outcome: Outcome) -> dict[str, Any]:
    """The record as data, with the digest of the outcome. Raises InputFault as :func:`leaves` does."""
    if wanting := lacking(outcome):
        raise _not_yet(outcome, wanting)
    return {
        "listel": __version__,
        "digest": outcome.digest,
        "survey": outcome.job.source,
        "revision": outcome.job.revision,
        "progress": plain(outcome.sheet[Progress]),
        "records": plain(outcome.job.records),
        "comes_off": plain(_undoing(outcome)),
    }


def _not_yet(outcome: Outcome, wanting: str) -> InputFault:
    return InputFault(f"{outcome.job.source}: it cannot be told as fixed yet.\n{wanting}")
