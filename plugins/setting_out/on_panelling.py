"""Trim on the face of panelling, or that comes to it round a corner: how far it stands off its wall, and how much
shorter it is at its corners than along the wall. All mm, angles in degrees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import cos, radians, sin

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Corner, Job
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import lengths
from listel.plugins.site import RoomSite, corner_pairs, tables

RULES = load_rules(__package__)

SQUARE = {"internal": 90.0, "external": 270.0}
"""What a corner whose angle was not taken is set out as, through the room, by its kind."""
CLEAR = 1.0
"""Trim whose underside is no lower than this under the top of panelling stands on it, not on its face."""
REACHES = 5.0
"""Panelling that begins or ends this near to the end of a run begins or ends with it."""


def short_of_corner(theta: float, own: float, other: float) -> float:
    """How far short of the corner of two walls, ``theta`` through the room, two faces cross that stand ``own`` and
    ``other`` off them, along the wall of the own; past it where negative. Source: where two lines cross, derived."""
    return (other + own * cos(radians(theta))) / sin(radians(theta))


def down_to_the_floor(site: RoomSite, top: float | None) -> float | None:
    """How far panelling reaches down from its top, so high above the floor that heights are counted from: to the
    highest floor of the room, on which its foot is level; None where its top is not known. Source: derived."""
    reference = site.room.reference
    if top is None or reference is None:
        return top
    return top - reference + min(site.floor_readings, default=reference)


def framed_stretch(site: RoomSite, run: Run) -> Run:
    """A stretch of panelling, down to its foot."""
    down = down_to_the_floor(site, run.top)
    return replace(run, underside=None if run.top is None or down is None else run.top - down)


def on_panelling(job: Job, runs: Sequence[Run]) -> list[Run]:
    """The runs, those along walls with how far off the wall the panelling holds them, and how much shorter they are at
    their corners for it."""
    panelled = Lines([run for run in runs if tables.goes_in_frames(run.member)])
    if not panelled:
        return list(runs)
    thick = {trim.name: trim.section.thick or 0.0 for trim in job.trim}
    beyond = _corners(job)

    def at_corner(run: Run, wall: str, at_left: bool) -> float:
        there = [f for f in panelled.of(room=run.room, wall=wall) if (f.start_at if at_left else f.end_at) == "corner"]
        return max((thick[frame.trim] for frame in there if _lower(run, frame)), default=0.0)

    def short(run: Run, at_left: bool) -> float:
        corner, other = beyond.get((run.room, run.wall, at_left), (None, ""))
        if corner is None or (run.start_at if at_left else run.end_at) != "corner":
            return 0.0
        theta = corner.through_room or SQUARE[corner.kind]
        return short_of_corner(theta, at_corner(run, run.wall, at_left), at_corner(run, other, not at_left))

    def placed(run: Run) -> Run:
        if run.upright or not tables.goes_along_walls(run.member):
            return run
        off = max((thick[frame.trim] for frame in _behind(run, panelled)), default=0.0)
        return replace(run, off=off, left_short=short(run, True), right_short=short(run, False))

    return [placed(run) for run in runs]


def past_the_panelling(job: Job, runs: Iterable[Run], panelled: Lines[Run]) -> Iterator[Finding]:
    """Each run that goes on along its wall past panelling on whose face it stands."""
    show = lengths(job)
    for run in runs:
        for frame in _behind(run, panelled) if run.off else ():
            ends = [at for at in (frame.start, frame.end) if run.start + REACHES < at < run.end - REACHES]
            for at in ends:
                yield RULES["past-the-panelling"].told(
                    "caution",
                    f"On wall {run.wall} the {run.trim} goes on past the end of the {frame.trim} at {show(at)}, on "
                    f"whose face it stands {show(run.off)} off the wall: it is set out in one piece.",
                    Where(run.room, run.wall, run.trim, station=at),
                    Grounds((Input("off the wall", run.off, "mm"),), sources=(PRACTICE,)),
                    "return it into itself there, or end the panelling at a corner, a door or a window",
                )


def _corners(job: Job) -> Mapping[tuple[str, str, bool], tuple[Corner | None, str]]:
    """The corner at the left (True) and at the right end of each wall, with the wall beyond it."""
    found: dict[tuple[str, str, bool], tuple[Corner | None, str]] = {}
    for room in job.rooms:
        for first, second in corner_pairs(room):
            found[room.name, first.name, False] = (first.corner, second.name)
            found[room.name, second.name, True] = (first.corner, first.name)
    return found


def _lower(run: Run, frame: Run) -> bool:
    """Whether a run comes lower than the top of panelling; of unknown height it does where it stands on the floor."""
    if run.underside is None or frame.top is None:
        return bool(tables.member(run.member).get("stands"))
    return run.underside < frame.top - CLEAR


def _behind(run: Run, panelled: Lines[Run]) -> list[Run]:
    """The panelling on whose face a run stands."""
    return [
        frame
        for frame in panelled.of(room=run.room, wall=run.wall)
        if frame.start < run.end - REACHES and frame.end > run.start + REACHES and _lower(run, frame)
    ]
