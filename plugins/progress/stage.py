"""The stage ``progress``."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import partial

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet, Step
from listel.core.survey.job import Job, Room, SiteChange, Wall
from listel.core.survey.messages import nearest
from listel.core.survey.units import show_angle, show_length
from listel.plugins.fixings import FixingSchedule
from listel.plugins.panelling import Frame, Panelling
from listel.plugins.progress.results import Changed, FixedOtherwise, MeasuredAgain, PieceDone, Progress
from listel.plugins.setting_out import Piece, Run, SettingOut
from listel.plugins.site import Site, protection_of

RULES = load_rules(__package__)


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings on what was measured again and changed, then how far the job is."""
    measured = [line for room in job.rooms for wall in room.walls for line in _measured(room, wall)]
    for line in measured:
        yield _told_again(job, line)
    asked = sheet[Site].protection.asked
    for change in job.changes:
        yield from _change(job, change, asked)
    done, pieces = job.done, tuple(_pieces(job, sheet))
    yield from _of_nothing(job, [piece.label for piece in pieces]) if SettingOut in sheet else ()
    yield Progress(
        pieces=pieces,
        measured=tuple(measured),
        changes=tuple(
            Changed(
                what=change.what,
                reason=change.reason,
                agreed=change.agreed,
                on=change.on,
                where=str(_where(job, change)),
                consent=change.consent,
            )
            for change in job.changes
        ),
        fixings=tuple(_fixings(job, sheet)),
        products=done.products,
        snags=done.snags,
        begun=bool(
            done.pieces or done.boards or done.fixings or done.products or done.snags or job.changes or measured
        ),
    )


def _pieces(job: Job, sheet: Sheet) -> Iterator[PieceDone]:
    """Everything set out that is made by itself, with what was told last of it."""
    set_out = sheet.get(SettingOut) or SettingOut()
    frames = (sheet.get(Panelling) or Panelling()).frames
    last = {piece.piece: piece for piece in job.done.pieces}
    made: list[tuple[str, Piece | Frame | Run, float]] = [
        *((each.label, each, each.overall) for each in (*set_out.pieces, *set_out.returns, *set_out.splices)),
        *((f"Frame {each.label}", each, each.end - each.start) for each in frames),
        *((label, each, each.end - each.start) for label, each in set_out.shutters.items()),
    ]
    for label, each, planned in made:
        line = PieceDone(label=label, room=each.room, wall=each.wall, trim=each.trim, planned=planned)
        done = last.get(label)
        keys = ("state", "length", "board", "by", "on", "note")
        yield replace(line, **{key: getattr(done, key) for key in keys}) if done else line


def _of_nothing(job: Job, labels: Collection[str]) -> Iterator[Finding]:
    """Pieces that are told as done and are none of this job."""
    for done in job.done.pieces:
        if done.piece in labels:
            continue
        state = done.state.replace("-", " ")
        says = f"The piece {done.piece} is told as {state}, and this survey has no piece of that label."
        mend = "look up its label in the cutting list; where a wall was measured again its joints may have moved"
        near = nearest(done.piece, labels)
        mend = f"{near} is the nearest: {mend}" if near else mend
        yield RULES["done-of-nothing"].told("caution", says, Where(trim=done.trim, line=job.line(done)), mend=mend)


def _measured(room: Room, wall: Wall) -> Iterator[MeasuredAgain]:
    """Each reading that gave way to a later one: what it read, and what was read next."""
    now: dict[tuple[str, float | None], float] = {("floor", read.at): read.to_datum for read in wall.floor}
    if wall.length is not None:
        now["length", None] = wall.length.value
    if wall.corner is not None and wall.corner.angle is not None:
        now["corner", None] = wall.corner.angle
    for reading in reversed(wall.earlier):
        was: dict[tuple[str, float | None], float | None] = {("length", None): reading.length}
        was["corner", None] = reading.angle
        was |= {("floor", level.at): level.to_datum for level in reading.floor}
        for (what, station), value in was.items():
            if value is None or (what, station) not in now:
                continue
            yield MeasuredAgain(
                room=room.name,
                wall=wall.name,
                what=what,
                station=station,
                was=value,
                now=now[what, station],
                by=reading.by,
                on=reading.on,
                why=reading.why,
            )
            now[what, station] = value


def _told_again(job: Job, line: MeasuredAgain) -> Finding:
    shown = show_angle if line.what == "corner" else partial(show_length, units=job.units)
    of = {"length": f"Wall {line.wall}", "corner": f"The corner at the right of wall {line.wall}"}.get(line.what, "")
    if line.station is not None:
        of = f"From the floor to the datum line at {show_length(line.station, job.units)} of wall {line.wall}"
    when = f" on {line.on}" if line.on else ""
    who = f" by {line.by}" if line.by else ""
    why = f", since {line.why}" if line.why else ""
    differs = abs(line.now - line.was)
    says = f"{of} was measured again{when}{who}{why}: {shown(line.now)}, and {shown(line.was)} before."
    unit = "deg" if line.what == "corner" else "mm"
    grounds = Grounds(
        (Input("now", line.now, unit), Input("before", line.was, unit)),
        "now less before",
        f"{line.now:g} - {line.was:g} = {line.now - line.was:.2f}",
        f"{line.now - line.was:.2f} {unit}",
        (GEOMETRY,),
    )
    wall = job.room(line.room).wall(line.wall)
    where = Where(line.room, line.wall, station=line.station, line=job.line(wall, "earlier"))
    return RULES["measured-again"].told("record", says, where, grounds, differs=differs)


def _where(job: Job, change: SiteChange) -> Where:
    return Where(change.room, change.wall, change.trim, line=job.line(change))


def _change(job: Job, change: SiteChange, asked: bool) -> Iterator[Finding]:
    where = _where(job, change)
    what, reason = change.what.rstrip("."), change.reason.rstrip(".")
    says = f"Changed on site: {what}. The reason: {reason}. Agreed by {change.agreed}."
    yield RULES["changed"].told("record", says, where)
    if not asked:
        return
    if change.consent is None:
        says = f"It is not said whether the change touches what consent covered: {what}. It is not done before that is."
        mend = "Ask the authority, and write its answer as consent, under the change."
        yield RULES["consent-not-said"].told("hold", says, where, mend=mend)
    elif change.consent:
        says = f"What consent covered is changed: {what}. It is not done before it is asked again."
        mend = "Apply to the authority for what is changed, and wait for its decision."
        yield RULES["consent-again"].told("hold", says, where, mend=mend)


def _fixings(job: Job, sheet: Sheet) -> Iterator[FixedOtherwise]:
    """What went in beside what was scheduled there."""
    schedule = sheet.get(FixingSchedule) or FixingSchedule()
    for told in job.done.fixings:
        here = (told.room, told.wall, told.trim)
        planned = next((line for line in schedule.lines_on(*here[:2]) if line.trim == here[2]), None)
        yield FixedOtherwise(
            room=told.room,
            wall=told.wall,
            trim=told.trim,
            planned=planned.kind if planned else "",
            planned_length=planned.length if planned else None,
            planned_spacing=planned.most_spacing if planned else None,
            kind=told.kind,
            length=told.length,
            spacing=told.spacing,
            count=told.count,
            why=told.why,
            by=told.by,
            on=told.on,
        )


def consent_again() -> Step:
    """The step that asks consent again, with what calls for it."""

    def applies(job: Job, sheet: Sheet) -> str:
        touching = [change.what.rstrip(".") for change in job.changes if change.consent]
        if not touching or not protection_of(job.building).asked:
            return ""
        return f"What consent covered is changed: {'; '.join(touching)}."

    return Step(
        name="consent-for-change",
        title="Ask consent again for what is changed on site",
        applies=applies,
        needs=("survey",),
        before=("fix", "refix"),
        who="conservation-officer",
        words=("ask consent again", "amended consent", "consent for the change", "variation of consent"),
    )
