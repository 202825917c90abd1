"""Work told as done ahead of what it waits for: while a hold stood on it, or before the check that settled one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from listel.core.contract.findings import Finding, Where
from listel.core.contract.records import Records, records_on
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Said, Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.sequence.held import LAST_RESORT, hold_row
from listel.plugins.setting_out import SettingOut

RULES = load_rules(__package__)

MADE_BY = {"cut": "cut", "dry-fitted": "dry-fit", "fixed": "fix"}
"""The step by which a piece comes to be in a state."""

STOP = (
    "Stop there. Where dust, a cable, a pipe or what may not be altered was disturbed, close the room and tell who is "
    "to settle it before anyone goes on."
)


@dataclass(frozen=True, kw_only=True)
class ToldDone:
    """Something told as done: its ``step``, ``what`` in words, where ("": everywhere), on which day ("": not said)."""

    step: str
    what: str
    where: Where
    on: str


def ahead(job: Job, sheet: Sheet, needs: Mapping[str, Sequence[str]]) -> Iterator[Finding]:
    """A hold for what is told as done where a hold that protects people stands in its way, and a caution for what was
    done before the day of the check that settled it. ``needs``: of every step the steps it needs."""
    holds = [each for each in (sheet.get(Said) or Said()).findings if each.open_hold and each.protects]
    records = records_on(sheet)
    for done in _told_done(job, sheet, needs):
        before = _all_before(done.step, needs)
        open_ = list(dict.fromkeys(each.rule for each in holds if _bars(each, done, before, needs, records)))
        day = f" on {done.on}" if done.on else ""
        if open_:
            says = f"{done.what} is told as done{day} while this is open: {', '.join(open_)}. {STOP}"
            yield RULES["done-under-hold"].told("hold", says, done.where)
        late = [step for step in before if _settled_after(step, done, records)]
        if late:
            says = f"{done.what} is told as done{day}, before what it waits for was settled: {', '.join(late)}."
            yield RULES["done-before-check"].told("caution", says, done.where)


def _told_done(job: Job, sheet: Sheet, steps: Mapping[str, object]) -> Iterator[ToldDone]:
    """The steps of this job that records tell as done, then the pieces, those of a wall and day together."""
    for record in job.records:
        if record.outcome == "done" and record.step in steps:
            where = Where(record.room, record.wall, line=job.line(record))
            yield ToldDone(step=record.step, what=f"The step {record.step}", where=where, on=record.on)
    set_out = sheet.get(SettingOut) or SettingOut()
    at = {piece.label: (piece.room, piece.wall) for piece in set_out.pieces}
    made: dict[tuple[str, tuple[str, str], str], list[str]] = {}
    for piece in job.done.pieces:
        step = MADE_BY.get(piece.state, "")
        if step in steps and piece.piece in at:
            made.setdefault((step, at[piece.piece], piece.on), []).append(piece.piece)
    for (step, place, on), labels in made.items():
        what = f"The step {step} of {', '.join(dict.fromkeys(labels))}"
        yield ToldDone(step=step, what=what, where=Where(*place), on=on)


def _all_before(step: str, needs: Mapping[str, Sequence[str]]) -> list[str]:
    """Every step that comes before one, near or far, each once."""
    found: dict[str, None] = {}
    open_ = [*needs.get(step, ())]
    while open_:
        name = open_.pop(0)
        if name not in found:
            found[name] = None
            open_ += needs.get(name, ())
    return list(found)


def _bars(
    hold: Finding, done: ToldDone, before: Sequence[str], needs: Mapping[str, Sequence[str]], records: Records
) -> bool:
    """Whether a hold stands in the way of what is told as done, there."""
    row = hold_row(hold.rule)
    known = row is not None and row["step"] in needs
    step = row["step"] if row is not None and known else LAST_RESORT
    by_doing = row is not None and known and bool(row.get("by_doing"))
    at, place = hold.where, (done.where.room, done.where.wall)
    there = (not place[0] or at.room in ("", place[0])) and (not place[1] or at.wall in ("", place[1]))
    stands = step in before or (step == done.step and not by_doing)
    return there and stands and records.of(step, *place) is None


def _settled_after(step: str, done: ToldDone, records: Records) -> bool:
    """Whether a check that comes before what is told as done was settled there after its day."""
    record = records.of(step, done.where.room, done.where.wall)
    return record is not None and record.outcome != "done" and bool(done.on) and record.on > done.on
