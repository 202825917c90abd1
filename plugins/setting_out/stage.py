"""The stage: from the survey to what the saw is set to."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.job import Job
from listel.core.stage import Sheet
from listel.plugins.setting_out.corners import corner_faults
from listel.plugins.setting_out.obstacles import wall_faults
from listel.plugins.setting_out.pieces import cut_pieces
from listel.plugins.setting_out.results import SettingOut
from listel.plugins.setting_out.runs import lay_out


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings and the :class:`SettingOut` of a job."""
    for room in job.rooms:
        yield from corner_faults(job, room)
        for wall in room.walls:
            yield from wall_faults(job, room, wall)
    laid = lay_out(job, sheet)
    yield from laid.findings
    cut = cut_pieces(job, laid.runs, {}, set())
    yield from cut.findings
    yield SettingOut(
        corners=tuple(cut.corners), runs=tuple(laid.runs), pieces=tuple(cut.pieces), blocked=tuple(laid.blocked)
    )
