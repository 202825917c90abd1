"""Trim set out on the face of other trim, as on panelling or in front of a skirting, or that comes to it round a
corner: how far along its board it goes, and how much shorter it is at its corners than along the wall. All mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.setting_out.faces import REACHES, Faces, along_its_wall, old_boards
from listel.plugins.setting_out.obstacles import Free
from listel.plugins.setting_out.results import Run
from listel.plugins.site import RoomSite, tables


def along_the_board(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, runs: Sequence[Run], free: Sequence[Free]
) -> list[Free]:
    """The free stretches of a trim that stands in front of a board, each as far as new boards among the ``runs``, and
    old ones, go on behind it; as they are where none is there. Source: derived."""
    board = tables.stands_before(trim.member)
    if not board:
        return list(free)
    here = [run for run in runs if (run.room, run.wall, run.member) == (room.name, wall.name, board)]
    boards = _joined(
        [
            *(Free(run.start, run.end, run.start_at, run.end_at) for run in here),
            *(
                Free(face.start, face.end, face.start_at, face.end_at)
                for face in old_boards(job, sheet, (board,))
                if (face.room, face.wall) == (room.name, wall.name)
            ),
        ]
    )
    if not boards:
        return list(free)
    return [
        Free(
            max(each.start, behind.start),
            min(each.end, behind.end),
            behind.start_at if behind.start > each.start else each.start_at,
            behind.end_at if behind.end < each.end else each.end_at,
        )
        for each in free
        for behind in boards
        if min(each.end, behind.end) > max(each.start, behind.start)
    ]


def _joined(stretches: Sequence[Free]) -> list[Free]:
    """Stretches that touch, or lap, as one."""
    found: list[Free] = []
    for each in sorted(stretches, key=lambda stretch: stretch.start):
        if found and each.start <= found[-1].end + REACHES:
            last = found.pop()
            far = max((last, each), key=lambda stretch: stretch.end)
            each = Free(last.start, far.end, last.start_at, far.end_at)
        found.append(each)
    return found


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


def on_faces(job: Job, sheet: Sheet, runs: Sequence[Run]) -> list[Run]:
    """The runs, those along walls with how far off the wall other trim holds them, and how much shorter they are at
    their corners for it."""
    faces = Faces(job, sheet, runs)
    if not faces:
        return list(runs)

    def placed(run: Run) -> Run:
        if not along_its_wall(run):
            return run
        into = faces.into(run)
        return replace(
            run,
            start_at=faces.bound(run, True),
            end_at=faces.bound(run, False),
            off=faces.off(run),
            left_short=faces.short(run, True),
            right_short=faces.short(run, False),
            board=into.by if into else "",
            board_thick=into.thick if into else None,
        )

    return [placed(run) for run in runs]
