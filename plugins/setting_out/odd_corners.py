"""Corners that the plain rules do not cover: walls out of plumb, and two sections of one member that meet."""

from __future__ import annotations

from listel.core.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.job import Job, Room, Trim, Wall
from listel.core.units import show_angle, show_fine
from listel.plugins.setting_out.angles import plumb_on_leaning_walls, unequal_mitre
from listel.plugins.setting_out.compound import sprung_cut
from listel.plugins.setting_out.corners import corner_pairs, corner_theta
from listel.plugins.setting_out.results import CornerCut, Run
from listel.plugins.setting_out.settings import allowed
from listel.plugins.setting_out.spans import apart


def leaning_corners(job: Job, corners: list[CornerCut]) -> list[Finding]:
    """Corners of walls so far out of plumb that a cut made plumb would open over the height of the moulding."""
    found = []
    most, shown, sources = allowed("joint-gap")
    trims = {trim.name: trim for trim in job.trim}
    for line in corners:
        first, second = job.room(line.room).wall(line.first), job.room(line.room).wall(line.second)
        lean = max(abs(first.lean or 0.0), abs(second.lean or 0.0))
        theta, height = corner_theta(first.corner), trims[line.trim].section.height
        if not lean or theta is None or height is None or trims[line.trim].section.spring:
            continue
        opens = plumb_on_leaning_walls(height, lean, theta)
        if opens <= most:
            continue
        mitre, bevel = sprung_cut(lean, min(theta, 360 - theta))
        wall = first if abs(first.lean or 0.0) == lean else second
        grounds = Grounds(
            (
                Input("lean of the wall", lean, "deg", job.line(wall, "lean")),
                Input("height of the section", height, "mm", job.line(trims[line.trim].section, "height")),
                Input("corner through the room", theta, "deg", job.line(first.corner or first, "angle")),
                shown,
            ),
            "cut plumb, the joint opens by height x sin(lean) / tan(corner / 2); cut to the lean it is a sprung "
            "moulding whose spring is the lean",
            result=f"{opens:.1f} mm; mitre {mitre:.2f} deg, bevel {bevel:.2f} deg",
            sources=(GEOMETRY, *sources),
        )
        says = (
            f"At corner {line.first}/{line.second} the walls lean {show_angle(lean)}: cut plumb, the joint of the "
            f"{line.trim} would open {show_fine(opens, job.units)} over its height. Lying flat, turn the table "
            f"{show_angle(mitre)} and tilt the blade {show_angle(bevel)}, and try it on two short pieces first."
        )
        where = Where(line.room, line.first, line.trim)
        found.append(Finding("setting-out/leaning-corner", "advice", says, where, grounds))
    return found


def meeting_sections(job: Job, runs: list[Run]) -> list[Finding]:
    """Corners where two trims of one member meet, with the mitre of their unequal projections."""
    found = []
    for room in job.rooms:
        for first, second in corner_pairs(room):
            for one in (trim for trim in job.trim if _ends(runs, room, first, trim, at_start=False)):
                for other in job.trim:
                    if other is one or other.member != one.member:
                        continue
                    if _ends(runs, room, second, other, at_start=True):
                        found.append(_two_sections(job, room, first, second, one, other))
    return found


def corners_apart(job: Job, runs: list[Run]) -> list[Finding]:
    """Corners where one trim stands at two heights, on a landing and on the floor below: its ends do not meet there."""
    found = []
    for room in job.rooms:
        here = [run for run in runs if run.room == room.name and not run.upright]
        for first, second in corner_pairs(room):
            for before in (run for run in here if run.wall == first.name and run.end_at == "corner"):
                for after in (run for run in here if run.wall == second.name and run.start_at == "corner"):
                    if before.trim == after.trim and apart(before, after):
                        says = (
                            f"At corner {first.name}/{second.name} the {before.trim} stands at two heights, as on a "
                            "landing and the floor below it: its ends are set out square into the corner and "
                            "do not meet."
                        )
                        where = Where(room.name, first.name, before.trim, line=job.line(first))
                        mend = "if both walls are on the landing, survey them as a room of their own"
                        found.append(Finding("setting-out/heights-differ", "advice", says, where, mend=mend))
    return found


def _ends(runs: list[Run], room: Room, wall: Wall, trim: Trim, at_start: bool) -> bool:
    """Whether a run of that trim starts, or ends, at a corner of that wall."""
    return any(
        (run.room, run.wall, run.trim) == (room.name, wall.name, trim.name)
        and (run.start_at if at_start else run.end_at) == "corner"
        for run in runs
    )


def _two_sections(job: Job, room: Room, first: Wall, second: Wall, one: Trim, other: Trim) -> Finding:
    """What to do where two sections meet at a corner."""
    theta = corner_theta(first.corner)
    projections = (one.section.projection, other.section.projection)
    where = Where(room.name, first.name, one.name, line=job.line(first))
    says = f"At corner {first.name}/{second.name} the {one.name} meets the {other.name}, another section. "
    if theta is None or projections[0] is None or projections[1] is None:
        return Finding("setting-out/two-sections-meet", "advice", says + "Stop both against a block.", where)
    a, b, _, _ = unequal_mitre(projections[0], projections[1], theta)
    grounds = Grounds(
        (
            Input(f"projection of the {one.name}", projections[0], "mm", job.line(one.section, "projection")),
            Input(f"projection of the {other.name}", projections[1], "mm", job.line(other.section, "projection")),
            Input("corner through the room", theta, "deg", job.line(first.corner or first, "angle")),
        ),
        "the mitre runs from the wall corner to where the two faces cross",
        result=f"{a:.2f} and {b:.2f} deg from their length",
        sources=(GEOMETRY,),
    )
    says += (
        f"Stop both against a block, or mitre them at {show_angle(a)} and {show_angle(b)} from their length; the "
        "profiles meet only if their projections keep one ratio at every height."
    )
    return Finding("setting-out/two-sections-meet", "advice", says, where, grounds)
