"""The hand-over pack: what was done and with what, how to care for it, what comes off and how, what is on record."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from listel.core.host.outcome import Outcome
from listel.core.house.filters import date
from listel.core.quick import dataclass
from listel.core.survey.units import FOOT, KILOGRAM, METRE, POUND, Units
from listel.plugins.bonding import Bonding, Material
from listel.plugins.conservation import Item, OfficerTable, Undoing
from listel.plugins.existing import Existing
from listel.plugins.progress import Progress
from listel.plugins.safety import LeftInPlace, SafetyNotes
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables
from listel.reports.drawings import draw
from listel.reports.drawings.paper import Drawing
from listel.reports.opening import Run, runs
from listel.reports.papers import About, Leaf, as_fixed
from listel.reports.papers.holds import Hold, holds
from listel.reports.papers.rooms import BEFORE, views

NAMED = "hand-over pack"
LARGE = False
FEW = 10.0
"""A weight below this is told to a tenth."""


@dataclass(frozen=True, kw_only=True)
class Done:
    """The first sheet: the trim and where it runs, the rooms as they are, what it was made of; ``wanting``: what is not
    told of a job of which some piece is told."""

    runs: tuple[Run, ...]
    timber: tuple[tuple[str, str, str], ...]
    materials: tuple[Material, ...]
    old: tuple[Item, ...]
    pictures: tuple[Drawing, ...]
    holds: int
    wanting: str


@dataclass(frozen=True, kw_only=True)
class Recorded:
    """What was looked at or done, where, what came of it, by whom and when, on what paper."""

    what: str
    where: str
    outcome: str
    by: str
    reference: str


@dataclass(frozen=True, kw_only=True)
class Keep:
    """The last sheets: care, what comes off, records."""

    undoing: tuple[Undoing, ...]
    mended: tuple[Item, ...]
    records: tuple[Recorded, ...]
    holds: tuple[Hold, ...]
    left: tuple[LeftInPlace, ...]
    paint: str
    hangs: tuple[tuple[str, str], ...]
    rooms: tuple[str, ...]
    several: bool
    evidence: int


def leaves(outcome: Outcome, about: About) -> Iterator[Leaf]:
    """Four sheets at most for a job of a few rooms."""
    job, bonding, open_holds = outcome.job, outcome.sheet.get(Bonding), holds(outcome, "handover")
    setting_out = outcome.sheet.get(SettingOut)
    table = outcome.sheet.get(OfficerTable)
    old = tuple(item for item in (table.items if table else ()) if not item.new)
    existing, notes = outcome.sheet.get(Existing), outcome.sheet.get(SafetyNotes)
    mended = {mend.piece for mend in (existing.mends if existing else ())}
    timber = tuple(
        (trim.name, tables.timber_words(trim.timber) or "timber not surveyed", trim.finish or "") for trim in job.trim
    )
    done = Done(
        runs=tuple(run for run in runs(outcome) if run.much),
        timber=timber,
        materials=bonding.materials if bonding else (),
        old=old,
        holds=len(open_holds),
        wanting=_wanting(outcome),
        pictures=tuple(
            draw("picture", outcome, room=room.name, wide=90.0, tall=60.0, **view)
            for room in job.rooms[:4]
            for view in views(outcome, room)
            if view is not BEFORE
        ),
    )
    yield Leaf(name="done", title="What was done, and with what", template="handover/done.html.j2", view=done)
    keep = Keep(
        undoing=table.undoing if table else (),
        mended=tuple(item for item in old if item.label in mended),
        records=tuple(_recorded(outcome)),
        holds=open_holds,
        left=notes.left if notes else (),
        paint=job.choices.paint or "",
        hangs=tuple((trim.name, most_hung(trim.load, job.units)) for trim in job.trim if trim.load),
        rooms=tuple(dict.fromkeys(run.room for run in setting_out.laid)) if setting_out else (),
        several=bool(notes and notes.several),
        evidence=sum(len(room.evidence) for room in job.rooms),
    )
    yield Leaf(name="keep", title="Care, and how it comes off", template="handover/keep.html.j2", view=keep)
    yield Leaf(name="record", title="Records, photographs, who to call", template="handover/record.html.j2", view=keep)


def _wanting(outcome: Outcome) -> str:
    """How many pieces and steps are not told as done; empty where no piece is told at all, as most firms have it."""
    progress = outcome.sheet.get(Progress) or Progress()
    if not any(piece.state for piece in progress.pieces):
        return ""
    untold, steps = len(as_fixed.unfixed(outcome)), len(as_fixed.unrecorded(outcome))
    pieces = [f"Pieces not told as fixed: {untold} of {len(progress.pieces)}."] if untold else []
    return " ".join([*pieces, *([f"Steps with no record: {steps}."] if steps else [])])


def most_hung(load: float, units: Units) -> str:
    """What may hang on a rail, as people weigh it and never more; ``load`` N/m."""
    if units == "inches":
        return f"{_down(load / POUND * FOOT / METRE)} lb on each foot"
    return f"{_down(load / KILOGRAM)} kg on each metre"


def _down(weight: float) -> str:
    """A weight to two digits, less rather than more."""
    digits = 1 if weight < FEW else 0
    return f"{floor(round(weight * 10**digits, 6)) / 10**digits:g}"


def _recorded(outcome: Outcome) -> Iterator[Recorded]:
    sequence = outcome.sheet.get(Sequence)
    titles = {step.name: step.title for step in (sequence.steps if sequence else ())}
    for record in outcome.job.records:
        came = record.outcome.replace("-", " ")
        yield Recorded(
            what=titles.get(record.step, record.step.replace("-", " ").capitalize()),
            where=f"{record.room or ''} {record.wall or ''}".strip(),
            outcome=f"{came}: {record.says}" if record.says else came,
            by=f"{record.by}, {date(record.on)}" if record.on else record.by,
            reference=record.reference or "",
        )
