"""The stages: from the survey to whole runs, and from those, jointed, to what the saw is set to."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from listel.core.contract.lines import Lines
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.closure import Closures, doubted_corners
from listel.plugins.setting_out.bows import check_bows
from listel.plugins.setting_out.ceilings import (
    architraves_out,
    datum_faults,
    members_over,
    members_under,
    openings_over,
    past_corners,
)
from listel.plugins.setting_out.ends import return_pieces
from listel.plugins.setting_out.enrichments import enrichments
from listel.plugins.setting_out.joints import joint_findings, whole_runs
from listel.plugins.setting_out.levels import mark_out, on_the_floor
from listel.plugins.setting_out.near_fire import near_fires
from listel.plugins.setting_out.notches import notches
from listel.plugins.setting_out.odd_corners import (
    leaning_corners,
    out_of_level_corners,
    past_the_saw,
)
from listel.plugins.setting_out.old_work import corners_over_old, outs_not_surveyed, splices
from listel.plugins.setting_out.pieces import cut_pieces
from listel.plugins.setting_out.raked import raked_profiles
from listel.plugins.setting_out.results import SettingOut
from listel.plugins.setting_out.runs import lay_out
from listel.plugins.setting_out.spans import EyeLines
from listel.plugins.setting_out.told_of_faces import told_of_faces
from listel.plugins.setting_out.unlike import meeting_sections
from listel.plugins.setting_out.whole import Joints, WholeRuns
from listel.plugins.site import Site


def examine_runs(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings and the :class:`WholeRuns` of a job."""
    laid = lay_out(job, sheet)
    yield from laid.findings
    yield whole_runs(job, sheet, laid, eye_lines(job, sheet[Closures]))


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings and the :class:`SettingOut` of a job."""
    yield from datum_faults(job, sheet[Site])
    yield from openings_over(job, sheet[Site])
    yield from architraves_out(job, sheet[Site])
    laid, chosen = sheet[WholeRuns], sheet.get(Joints) or Joints()
    whole = Lines(laid.runs)
    bows, bow_says = check_bows(job, whole)
    doubted = doubted_corners(sheet[Closures])
    cut = cut_pieces(job, whole, chosen.stations, doubted, bows)
    yield from joint_findings(job, laid.long, chosen.stations)
    yield from cut.findings
    yield from leaning_corners(job, cut.corners)
    yield from past_the_saw(job, cut.pieces)
    yield from meeting_sections(job, whole)
    found, says = mark_out(job, sheet, Lines((*laid.runs, *laid.panelled)))
    marks = Lines(found)
    yield from says
    yield from out_of_level_corners(job, whole, marks)
    runs, panelled = Lines(on_the_floor(whole, marks)), on_the_floor(laid.panelled, marks)
    yield from members_over(job, sheet[Site], Lines((*runs, *panelled)), marks)
    yield from members_under(job, runs, marks)
    yield from past_corners(job, runs)
    yield from near_fires(job, (*runs, *panelled))
    yield from told_of_faces(job, sheet, laid)
    yield from outs_not_surveyed(job, (*laid.runs, *laid.panelled))
    yield from bow_says
    raked, says = raked_profiles(job, runs)
    yield from says
    yield from enrichments(job, runs)
    yield SettingOut(
        corners=(*cut.corners, *corners_over_old(job, laid.runs, doubted)),
        runs=tuple(runs),
        pieces=tuple(cut.pieces),
        marks=tuple(marks),
        bows=tuple(bows),
        raked=tuple(raked),
        blocked=laid.blocked,
        notches=tuple(notches(laid.notched, Lines(cut.pieces), runs)),
        returns=tuple(return_pieces(cut.pieces)),
        splices=tuple(splices(job, sheet)),
        panelled=tuple(panelled),
        shuttered=laid.shuttered,
    )


def eye_lines(job: Job, closed: Closures) -> EyeLines:
    """For each wall of the rooms that close, the stations [mm] seen straight ahead as one comes in by a door."""
    found: dict[tuple[str, str], tuple[float, ...]] = {}
    for closure in closed.lines:
        points, walls = closure.points, job.room(closure.room).walls
        if not points:
            continue
        found |= {(closure.room, wall.name): () for wall in walls}
        for number, wall in enumerate(walls):
            start, end = points[number], points[(number + 1) % len(points)]
            length = hypot(end[0] - start[0], end[1] - start[1])
            along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
            for opening in wall.openings:
                if opening.kind not in ("door", "archway"):
                    continue
                middle = opening.at + opening.width / 2
                eye = (start[0] + along[0] * middle, start[1] + along[1] * middle)
                seen = _first_met(eye, (along[1], -along[0]), points)
                if seen is not None:
                    key = (closure.room, walls[seen[0]].name)
                    found[key] = (*found[key], seen[1])
    return found


def _first_met(
    eye: tuple[float, float], ray: tuple[float, float], points: tuple[tuple[float, float], ...]
) -> tuple[int, float] | None:
    """The wall that a ray first meets, by number, and the station where it does [mm]."""
    met: list[tuple[float, int, float]] = []
    for number, start in enumerate(points):
        end = points[(number + 1) % len(points)]
        side = (end[0] - start[0], end[1] - start[1])
        cross = ray[0] * side[1] - ray[1] * side[0]
        if abs(cross) < 1e-9:
            continue
        off = (start[0] - eye[0], start[1] - eye[1])
        distance = (off[0] * side[1] - off[1] * side[0]) / cross
        share = (off[0] * ray[1] - off[1] * ray[0]) / cross
        if distance > 1.0 and 0.0 <= share <= 1.0:
            met.append((distance, number, share * hypot(*side)))
    return min(met)[1:] if met else None
