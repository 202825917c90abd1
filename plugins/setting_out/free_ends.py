"""Free ends: where a trim stops on a wall, or comes to the end of what was surveyed. What it does there is a fact of
the survey."""

from __future__ import annotations

from collections.abc import Sequence

from listel.core.contract.findings import Finding, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Place, Room, Trim, Wall
from listel.plugins.setting_out.obstacles import Free, Obstacle
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import lengths
from listel.plugins.site import corner_pairs

RULES = load_rules(__package__)

NOT_SAID = "free"
"""What bounds a run at a free end of which the survey does not say what it is."""
SAME_PLACE = 1.0
"""Ends of two trims, or an end and what stands in the way of it, this close on one wall [mm] meet."""
SAID = {
    "return": "a return",
    "butt": "what stands there",
    "newel": "a newel",
    "run-on": "trim beyond the survey",
    NOT_SAID: "a free end",
}


def with_free_ends(
    job: Job, trim: Trim, room: Room, wall: Wall, start: float, free: Free, beside: Sequence[Obstacle]
) -> Free:
    """A free stretch of the place that begins at ``start``, each free end of it as the survey has it, else as what
    stands there of what is ``beside`` it, or the trim that goes on from there, asks."""
    place = next(
        each
        for each in trim.where
        if each.room == room.name and (not each.walls or wall.name in each.walls) and (each.start or 0.0) == start
    )

    def end(at: float, kind: str, left: bool) -> str:
        stops = (thing.bound for thing in beside if thing.start - SAME_PLACE <= at <= thing.end + SAME_PLACE)
        return _bound(place, room, wall, kind, left) or next(stops, "") or _beside(job, trim, room, wall, at, left)

    return Free(free.start, free.end, end(free.start, free.start_at, True), end(free.end, free.end_at, False))


def _beside(job: Job, trim: Trim, room: Room, wall: Wall, at: float, left: bool) -> str:
    """What a trim does where another of its member goes on along the wall: it butts on it, but is returned where it
    shows beyond it. Common practice, no source."""
    other = adjoining(job, trim, room, wall, at, left)
    ours = (trim.section.height, trim.section.projection)
    theirs = (other.section.height, other.section.projection) if other else (None, None)
    if None in ours or None in theirs:
        return NOT_SAID
    return "return" if any((one or 0.0) > (two or 0.0) for one, two in zip(ours, theirs, strict=True)) else "butt"


def adjoining(job: Job, trim: Trim, room: Room, wall: Wall, at: float, left: bool) -> Trim | None:
    """The other trim of a member that ends where it begins on a wall, at its ``left`` end, or begins where it ends."""
    for other in job.trims_in(room.name):
        if other is trim or other.member != trim.member:
            continue
        for _, there, start, end in job.places(other, room.name):
            edge = end if left else start
            if there is wall and edge is not None and abs(edge - at) <= SAME_PLACE:
                return other
    return None


def _bound(place: Place, room: Room, wall: Wall, at: str, left: bool) -> str:
    """What bounds an end: the corner where there is one, else what the place or the wall says of its ends; empty where
    it stops on the wall and nothing is said."""
    said = place.ends.at(left) if place.ends else None
    if at == "stop":
        return said or ""
    if at != "corner" or any((second if left else first) is wall for first, second in corner_pairs(room)):
        return at
    said = said or (wall.ends.at(left) if wall.ends else None)
    if said is None and not left and wall.corner is not None and wall.corner.kind == "internal":
        return at
    return said or NOT_SAID


def free_ends(job: Job, runs: Sequence[Run]) -> list[Finding]:
    """One finding for each trim and room with free ends of which it was not surveyed what they are."""
    show, places = lengths(job), dict[tuple[str, str], list[str]]()
    for run in runs:
        for at, kind, side in ((run.start, run.start_at, "left"), (run.end, run.end_at, "right")):
            if kind == NOT_SAID and not run.upright:
                places.setdefault((run.room, run.trim), []).append(f"the {side} one on wall {run.wall} at {show(at)}")
    return [
        RULES["free-end-not-said"].lacking(
            f"what the {trim} comes to at its free end{'s' * (len(found) > 1)} in the {room}: {'; '.join(found)}",
            "whether it is returned, butts against something or runs on: until then it is square and as long as "
            "it can be; cut that end last",
            Where(room, trim=trim),
            "give the ends, left and right, of the wall or of the trim where it goes: return, butt, newel or run-on",
        )
        for (room, trim), found in places.items()
    ]
