"""Moving a row of fixings up or down its board, out of a zone along it. All mm, ``down`` from the top edge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule
from listel.plugins.safety.crossings import free, left_by
from listel.plugins.safety.moving import in_any, moved_line, nearest
from listel.plugins.safety.results import Zone
from listel.plugins.safety.zones import Span, policy, zones_of
from listel.plugins.site import Site, WallSite, tables

HELD = ("ground", "plug", "hole", "panelling", "lining")
"""What a fixing stands on that is nowhere else on the board."""


def cleared_line(job: Job, site: Site, line: Fixing) -> Fixing:
    """A line of the schedule moved out of the zones of its wall: along it, and where that leaves some in one, its rows
    up or down the board, if that leaves fewer."""
    wall, zones = site.wall(line.room, line.wall), zones_of(job, job.room(line.room), site.wall(line.room, line.wall))
    along = moved_line(job, site, line)

    def left(tried: Fixing) -> int:
        return sum(bool(in_any(zones, wall, point)) for point in tried.points)

    height = board_height(job, line)
    if not left(along) or height is None:
        return along
    return min(along, moved_line(job, site, with_rows_moved(line, wall, zones, height)), key=left)


def board_height(job: Job, line: Fixing) -> float | None:
    """How high the board of a line is whose rows may stand at other heights, as those of new level trim along a wall on
    what goes on upward; None of any other, or where it was not surveyed."""
    level = not (line.old or line.upright or line.pitch) and tables.goes_along_walls(line.member)
    held = any(point.height is None or any(word in point.on for word in HELD) for point in line.points)
    rises = level and not held and line.rows_down and line.rows == len(line.rows_down)
    return job.trim_named(line.trim).section.height if rises else None


def with_rows_moved(line: Fixing, wall: WallSite, zones: Sequence[Zone], height: float) -> Fixing:
    """The same with each row at the nearest height in its part of the board, ``height`` high, that is outside every
    zone but those that take all of that part; where there is none, it stays."""
    rows = _rows(line)
    if not rows:
        return line
    tops = [(point.height or 0.0) + line.rows_down[0] for point in rows[0]]
    downs: list[float] = []
    for number, (down, row) in enumerate(zip(line.rows_down, rows, strict=True)):
        low, high = part_of_board(number, line.rows, min(height, *tops))
        low = max(low, downs[-1] + policy("least-apart")) if downs else low
        spans = [(a, b) for a, b in _spans(row, down, wall, zones) if a > low or b < high]
        spot = nearest(left_by(spans, low, high), down)
        downs.append(down if spot is None else spot)
    points = {
        point: replace(point, height=(point.height or 0.0) + down - now)
        for row, down, now in zip(rows, line.rows_down, downs, strict=True)
        for point in row
    }
    moved = tuple(points[point] for point in line.points)
    return replace(line, points=moved, rows_down=tuple(downs), rows_first=line.rows_down)


def clear_heights(line: Fixing, wall: WallSite, zones: Sequence[Zone], height: float) -> list[Span]:
    """How far down from the top edge of its board, ``height`` high, no fixing of a line would lie in one of the zones;
    none where one takes the whole board."""
    rows = _rows(line)
    if not rows:
        return []
    tops = [(point.height or 0.0) + line.rows_down[0] for point in rows[0]]
    edge = policy("row-edge")
    bounds = edge, min(height, *tops) - edge
    return free(list(_spans(rows[0], line.rows_down[0], wall, zones)), *bounds)


def part_of_board(number: int, rows: int, height: float) -> Span:
    """How far down from the top edge of a board a row may stand, the rows counted from the top: one alone in its middle
    half, each of several in its own share of the board, clear of both edges. Our own setting, no authority."""
    if rows == 1:
        return height / 4, height * 3 / 4
    edge = policy("row-edge")
    return max(edge, height * number / rows), min(height - edge, height * (number + 1) / rows)


def _rows(line: Fixing) -> list[list[FixingPoint]]:
    """The points of each row, the uppermost row first; none where a station has not one of each."""
    columns: dict[float, list[FixingPoint]] = {}
    for point in sorted(line.points, key=lambda point: -(point.height or 0.0)):
        columns.setdefault(point.station, []).append(point)
    whole = all(len(column) == line.rows for column in columns.values())
    return [list(row) for row in zip(*columns.values(), strict=True)] if whole else []


def _spans(row: Sequence[FixingPoint], down: float, wall: WallSite, zones: Sequence[Zone]) -> Iterator[Span]:
    """What the zones take of the heights at which a row may stand."""
    clear = policy("clear")
    for point in row:
        top = (point.height or 0.0) + down + wall.rise(point.station)
        for zone in zones:
            if zone.x0 <= point.station <= zone.x1:
                yield top - zone.y1 - clear, top - zone.y0 + clear


def move(job: Job, sheet: Sheet) -> Iterator[object]:
    """The stage ``safety-zones``: the fixing schedule with what can leave a zone moved out of it."""
    yield FixingSchedule(tuple(cleared_line(job, sheet[Site], line) for line in sheet[FixingSchedule].lines))
