"""What bears new trim out: the traces and the old pieces of its own room, else of another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim
from listel.plugins.existing import Existing, OldPiece, departs, upper_part
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site


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


def borne_out(job: Job, room: Room, trim: Trim, existing: Existing, house: Traces) -> BorneOut:
    """What bears a new trim out in a room, or is carried there from another ``house`` tells of: a trace, or an old
    piece of the section that it has."""
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
        return BorneOut(words=f"carried over from the {' and the '.join(elsewhere)}: conjecture", carried=True)
    return BorneOut(words="no trace surveyed: conjecture")


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
