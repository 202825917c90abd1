"""Where a line along a wall meets a zone: the rail as a band, or a row of fixings."""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import radians, tan

from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.fixings import Fixing
from listel.plugins.heights import RailHeight, RailHeights
from listel.plugins.proportions import MemberProportion, Proportions
from listel.plugins.safety.results import Zone
from listel.plugins.safety.zones import Span
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site, WallSite

Knot = tuple[float, float, float]
"""A station with the lowest and highest height of a band there; straight from knot to knot."""

LEVEL = ("top", "horizontal")
"""Zones that run along the wall: whether they are met cannot be told while the height of the band is not known."""


@dataclass(frozen=True, kw_only=True)
class Band:
    """A rail line on a wall. ``knots`` empty: its height is not known, and zones that run along the wall cannot be
    tested.
    """

    room: str
    wall: str
    trim: str
    start: float
    end: float
    knots: tuple[Knot, ...] = ()


def joined(spans: Iterable[Span]) -> list[Span]:
    """Spans in order, those that touch or overlap made one."""
    merged: list[Span] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged


def free(spans: Sequence[Span], start: float, end: float) -> list[Span]:
    """The stretches of ``start`` to ``end`` that lie in no span."""
    return [(a, b) for a, b in left_by(spans, start, end) if a < b]


def left_by(spans: Sequence[Span], start: float, end: float) -> list[Span]:
    """What is left of ``start`` to ``end`` within no span. The bounds of a span are left: between two that touch, or
    between one and an end that touch, it is a mere point.
    """
    left: list[Span] = []
    at = start
    for a, b in sorted(spans):
        if a >= at:
            left.append((at, min(a, end)))
        at = max(at, b)
        if at > end:
            return left
    return [*left, (at, end)]


def met(zone: Zone, band: Band) -> list[Span]:
    """The stretches of a band that lie in a zone, bounds included."""
    start, end = max(band.start, zone.x0), min(band.end, zone.x1)
    if start > end:
        return []
    if not band.knots:
        return [] if zone.kind in LEVEL else [(start, end)]
    spans: list[Span] = []
    knots = sorted(band.knots)
    if len(knots) == 1:
        knots = [knots[0], (knots[0][0] + 1.0, *knots[0][1:])]
    ends = [band.start, *(k[0] for k in knots[1:-1]), band.end]
    first, last = max(bisect_left(ends, start) - 1, 0), bisect_right(ends, end)
    for number, (left, right) in enumerate(itertools.pairwise(ends[first : last + 1]), first):
        a, b = max(left, start), min(right, end)
        if a <= b:
            spans += _met_between(zone, knots[number], knots[number + 1], a, b)
    return joined(spans)


def _met_between(zone: Zone, left: Knot, right: Knot, a: float, b: float) -> list[Span]:
    """Where between stations ``a`` and ``b`` the band's lower edge is not above the zone nor its upper edge below
    it.
    """
    run = right[0] - left[0]
    for low_at, slope, most in (
        (left[1], (right[1] - left[1]) / run if run else 0.0, zone.y1),
        (-left[2], -(right[2] - left[2]) / run if run else 0.0, -zone.y0),
    ):
        here = low_at - most - slope * left[0]
        if slope > 0:
            b = min(b, -here / slope)
        elif slope < 0:
            a = max(a, -here / slope)
        elif here > 0:
            return []
    return [(a, b)] if a <= b else []


def holds_point(zone: Zone, station: float, height: float | None) -> bool:
    """Whether a point lies in a zone, bounds included; a point of unknown height is not tested against zones along
    the wall.
    """
    if not zone.x0 <= station <= zone.x1:
        return False
    if height is None:
        return zone.kind not in LEVEL
    return zone.y0 <= height <= zone.y1


def bands(job: Job, sheet: Sheet) -> list[Band]:
    """The rail lines of the job: the runs set out; where there are none, each trim along its walls at the height
    given for it.
    """
    setting_out = sheet.get(SettingOut)
    if setting_out is not None and setting_out.runs:
        found: list[Band] = []
        for run in setting_out.runs:
            wall = sheet[Site].wall(run.room, run.wall)
            knots: tuple[Knot, ...] = ()
            if run.underside is not None and run.top is not None:
                up = wall.rise(run.start)
                climb = 0.0 if run.upright else (run.end - run.start) * tan(radians(run.pitch))
                low, high = run.underside + up, run.top + up
                knots = ((run.start, low, high), (run.end, low + climb, high + climb))
            found.append(Band(room=run.room, wall=run.wall, trim=run.trim, start=run.start, end=run.end, knots=knots))
        return found
    return [band for trim in job.trim for band in _plain_bands(job, sheet, trim.name)]


def _plain_bands(job: Job, sheet: Sheet, name: str) -> list[Band]:
    trim = job.trim_named(name)
    found, known = [], edges(sheet)
    for room, wall, start, end in job.places(trim):
        if end is None:
            continue
        span = known.get((room.name, name))
        knots = () if span is None else ((start, *span), (end, *span))
        found.append(Band(room=room.name, wall=wall.name, trim=name, start=start, end=end, knots=knots))
    return found


def edges(sheet: Sheet) -> dict[tuple[str, str], Span]:
    """Underside and top of each trim by its room and name, as the stages before have it, mm above the floor; of those
    of which they say."""
    heights, proportions = sheet.get(RailHeights) or RailHeights(), sheet.get(Proportions) or Proportions()
    found: dict[tuple[str, str], Span] = {}
    lines: list[RailHeight | MemberProportion] = [*heights.lines, *proportions.lines]
    for line in lines:
        if line.underside is not None and line.top is not None:
            found.setdefault((line.room, line.trim), (line.underside, line.top))
    return found


def rows_of(wall: WallSite, line: Fixing) -> list[Band]:
    """Each row of the fixings of one line as a band along the wall, level heights; all in one where a station has not
    one of each row; no knots where their heights are not known."""
    band = Band(room=line.room, wall=line.wall, trim=line.trim, start=line.start, end=line.end)
    columns: dict[float, list[float]] = {}
    for point in line.points:
        if point.height is None:
            return [band]
        columns.setdefault(point.station, []).append(point.height + wall.rise(point.station))
    stations = [(station, sorted(heights)) for station, heights in sorted(columns.items())]
    if len({len(heights) for _, heights in stations}) > 1:
        return [replace(band, knots=tuple((station, heights[0], heights[-1]) for station, heights in stations))]
    rows = zip(*(heights for _, heights in stations), strict=True)
    return [
        replace(band, knots=tuple((at, height, height) for (at, _), height in zip(stations, row, strict=True)))
        for row in rows
    ]
