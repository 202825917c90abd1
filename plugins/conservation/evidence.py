"""What bears new trim out: the traces and the old pieces of its own room, else of another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Evidence, Job, Room, Trim
from listel.core.survey.units import show_length
from listel.plugins.existing import Existing, OldPiece, departs, upper_part
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site

SAME_HEIGHT = 25.0
"""Two rooms in which a member stands no farther apart than this [mm] have it at one height: our own allowance, for
their floors."""


@dataclass(frozen=True, kw_only=True)
class BorneOut:
    """What bears a new trim out in a room, in words: whether anything of that room does (``proved``), or another room
    of the house (``carried``), or the room has only what it ``departs`` from, and the photographs of it."""

    words: str
    proved: bool = False
    departs: bool = False
    carried: bool = False
    photos: tuple[str, ...] = ()


Traces = Mapping[str, Sequence[tuple[str, OldPiece | None]]]
"""By member the rooms that tell of it, in survey order, each with the old piece that does; None: a trace."""


def traced(job: Job, existing: Existing) -> Traces:
    """What the house tells of each member, and where."""
    found: dict[str, list[tuple[str, OldPiece | None]]] = {}
    for room in job.rooms:
        for trace in room.evidence:
            found.setdefault(trace.member, []).append((room.name, None))
        for piece in existing.pieces_on(room.name):
            found.setdefault(piece.member, []).append((room.name, piece))
    return found


def borne_out(
    job: Job, room: Room, trim: Trim, existing: Existing, house: Traces, runs: Sequence[Run] = ()
) -> BorneOut:
    """What bears a new trim out in a room, where it is set out in ``runs``, or is carried there from another ``house``
    tells of: a trace, or an old piece of the section that it has."""
    speaks = load_table(__package__, "traces")
    here = [trace for trace in room.evidence if trace.member == trim.member]
    stands = existing.pieces_on(room.name, member=trim.member)
    words = [
        f"{trace.kind.replace('-', ' ')} on wall {trace.wall or '(not said)'} ({speaks.row(trace.kind)['tells']})"
        for trace in here
    ]
    off = {piece.label: departs(job, trim, room.name, piece) for piece in stands}
    words += [f"{piece.label} ({piece.tells})" for piece in stands if not off[piece.label]]
    whole = [piece for piece in existing.pieces_on(room.name) if upper_part(job, trim, room.name, piece)]
    words += [f"{piece.label} (its upper part)" for piece in whole]
    proved = bool(words)
    words += [f"{label}, not followed: {how}" for label, how in off.items() if how]
    shown = [*(trace.photos for trace in here), *(piece.photos for piece in (*stands, *whole))]
    photos = tuple(dict.fromkeys(name for names in shown for name in names))
    if words:
        return BorneOut(words="; ".join(words), proved=proved, departs=not proved, photos=photos)
    elsewhere = dict.fromkeys(
        name
        for name, piece in house.get(trim.member, ())
        if name != room.name and not (piece and departs(job, trim, room.name, piece))
    )
    if elsewhere:
        but = _not_its_height(job, trim, elsewhere, runs)
        return BorneOut(words=f"carried over from the {' and the '.join(elsewhere)}{but}: conjecture", carried=True)
    return BorneOut(words="no trace surveyed: conjecture")


def _not_its_height(job: Job, trim: Trim, rooms: Iterable[str], runs: Sequence[Run]) -> str:
    """That a trim is set out at another height than the traces of those rooms tell, in words; empty where at theirs, or
    where either is not known."""
    traces = [trace for name in rooms for trace in job.room(name).evidence if trace.member == trim.member]
    run = next((run for run in runs if run.top is not None and not run.pitch and not run.upright), None)
    if run is None or not traces:
        return ""
    near, stands = min(((trace, _edge(run, trace)) for trace in traces), key=lambda each: abs(each[0].height - each[1]))
    if abs(near.height - stands) <= SAME_HEIGHT:
        return ""
    here, there = (show_length(each, job.units) for each in (stands, near.height))
    return f", but not its height: {here} here, {there} there"


def _edge(run: Run, trace: Evidence) -> float:
    """How high the edge of a run stands that a trace is of [mm]; where that was not said its top."""
    top, under = run.top or 0.0, run.underside if run.underside is not None else run.top or 0.0
    return {"underside": under, "centre": (top + under) / 2}.get(trace.edge or "top", top)


def copies(job: Job, site: Site, existing: Existing, setting_out: SettingOut) -> list[tuple[str, str]]:
    """The (trim, room) whose whole new lengths copy old work, or may be taken for it: something of it survives or has
    left a trace in the house; in a house that may be protected, all new trim."""
    asked, house = site.protection.asked, traced(job, existing)
    seen = dict.fromkeys((run.trim, run.room) for run in setting_out.laid)
    trims = {trim.name: trim for trim in job.trim}
    return [
        (name, room)
        for name, room in seen
        if asked
        or (borne := borne_out(job, job.room(room), trims[name], existing, house)).proved
        or borne.departs
        or borne.carried
    ]
