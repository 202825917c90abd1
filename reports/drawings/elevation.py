"""The elevation of one wall, seen from the room: what is there, what goes on it, and where each fixing stands."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

from listel.core.engine import Outcome
from listel.core.job import Fitting, Opening, Room, Wall
from listel.core.units import Units
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.reports.drawings.layout import (
    Sample,
    Span,
    column,
    dimensions,
    figure,
    label_near,
    legend,
    note,
    nothing,
    number_beside,
    scale_for,
    scale_line,
)
from listel.reports.drawings.paper import (
    CENTRE,
    HEAVY,
    HIDDEN,
    MEDIUM,
    NO_LINE,
    THICK,
    THIN,
    WIDTH,
    Box,
    Drawing,
    Pen,
    Point,
    Sheet,
)
from listel.reports.drawings.walls import (
    Band,
    Line,
    bands,
    ceiling_line,
    drawn_length,
    floor_line,
    height_at,
    pitch_line,
    stud_stations,
)

SIDES = 64.0
"""Paper kept for heights at the left and names at the right, mm."""
HIGHEST = 120.0
"""Paper a wall may take up, mm."""
NEAR = 400.0
"""A member that stops no further than this from the wall's end is dimensioned there, mm."""


@dataclass
class Elevation:
    """One wall on its way to paper."""

    outcome: Outcome
    room: Room
    wall: Wall
    length: float
    floor: Line
    ceiling: Line | None
    scale: float
    paper: Sheet = field(default_factory=Sheet)
    numbered: list[tuple[str, Box]] = field(default_factory=list)
    samples: list[tuple[Sample, str]] = field(default_factory=list)

    def at(self, station: float, height: float) -> Point:
        """Paper place of a station and a height above the level line. The wall is walked with the room on the left,
        so that seen from the room the stations run from the right."""
        return (-station / self.scale, -height / self.scale)

    def box(self, x0: float, x1: float, y0: float, y1: float) -> Box:
        """The paper box between two stations and two heights."""
        (left, low), (right, high) = self.at(max(x0, x1), min(y0, y1)), self.at(min(x0, x1), max(y0, y1))
        return Box(left, high, right, low)

    def show(self, mm: float) -> str:
        """A length in the job's units, the unit left out where it is mm, as drawings have it."""
        return figure(mm, self.outcome.job.units)


def elevation(outcome: Outcome, *, room: str, wall: str) -> Drawing:
    """The wall's elevation at the largest usual scale that the paper takes."""
    the_room = outcome.job.room(room)
    the_wall = the_room.wall(wall)
    title = f"{room}, wall {wall}, seen from the room"
    length = drawn_length(the_wall)
    if length is None:
        return nothing(title, "The wall is not drawn: its length was not surveyed, and nothing on it was placed.")
    floor = floor_line(the_room, the_wall, length)
    ceiling = ceiling_line(the_room, the_wall, length, floor)
    scale = _room_scale(the_room, outcome.job.units)
    view = Elevation(outcome, the_room, the_wall, length, floor, ceiling, scale)
    members = bands(outcome.sheet, the_room, the_wall, length, floor)
    _zones(view)
    _frame(view)
    _studs(view)
    for opening in the_wall.openings:
        _opening(view, opening)
    for band in members:
        _band(view, band)
    for fitting in the_wall.fittings:
        _fitting(view, fitting)
    _fixings(view, members)
    _heights(view, members)
    _lengths(view)
    _numbers(view)
    _names(view, members)
    legend(view.paper, [words for words, _ in view.numbered], view.samples, WIDTH)
    if not the_wall.length:
        note(view.paper, "The wall's length was not surveyed: it is drawn as far as the things on it reach.", WIDTH)
    words = scale_line(view.paper, scale, outcome.job.units)
    return view.paper.finish(title, _alt(view, members), words)


def _room_scale(room: Room, units: Units) -> int:
    """One scale for all walls of a room: the largest at which the longest and the highest fit."""
    longest = max((drawn_length(wall) or 0.0 for wall in room.walls), default=0.0)
    highest = max((reading.height for reading in room.height), default=0.0)
    return max(scale_for(longest, WIDTH - SIDES, units), scale_for(highest, HIGHEST, units))


def _frame(view: Elevation) -> None:
    paper, floor = view.paper, view.floor
    paper.polyline([view.at(x, y) for x, y in floor], HEAVY)
    tops = view.ceiling or tuple((x, y + 2400.0) for x, y in (floor[0], floor[-1]))
    if view.ceiling:
        paper.polyline([view.at(x, y) for x, y in view.ceiling], HEAVY)
    for end in (0.0, view.length):
        paper.line(
            view.at(end, height_at(floor, end)), view.at(end, height_at(tops, end)), THICK if view.ceiling else HIDDEN
        )
    if view.wall.floor or view.room.datum is not None:
        paper.line(view.at(view.length, 0.0), view.at(0.0, 0.0), CENTRE)
        view.samples.append((_line_sample(CENTRE), "the datum, a level line"))
    for name, points in pitch_line(view.room, view.wall, view.length, floor):
        paper.polyline([view.at(x, y) for x, y in points], MEDIUM)
        view.samples.append((_line_sample(MEDIUM), f"the stairs, {name}"))


def _line_sample(pen: Pen) -> Sample:
    return lambda sheet, box: sheet.line((box.x0, (box.y0 + box.y1) / 2), (box.x1, (box.y0 + box.y1) / 2), pen)


def _hatch_sample(sheet: Sheet, box: Box) -> None:
    sheet.hatch(box)
    sheet.rectangle(box, HIDDEN)


def _studs(view: Elevation) -> None:
    stations = stud_stations(view.wall, view.length)
    tops = view.ceiling or view.floor
    view.paper.lines(
        [
            (view.at(x, height_at(view.floor, x)), view.at(x, height_at(tops, x)))
            for x in stations
            if 0 < x < view.length
        ],
        HIDDEN,
    )
    grounds = view.wall.substrate.grounds if view.wall.substrate else ()
    for ground in grounds:
        base = height_at(view.floor, 0.0)
        half = (ground.width or 50.0) / 2
        start, end = ground.start or 0.0, view.length if ground.end is None else ground.end
        view.paper.rectangle(view.box(start, end, base + ground.height - half, base + ground.height + half), HIDDEN)
    if stations or grounds:
        view.samples.append((_line_sample(HIDDEN), "studs and grounds behind the plaster, as surveyed"))


def _zones(view: Elevation) -> None:
    notes = view.outcome.sheet.get(SafetyNotes)
    zones = [z for z in notes.zones if (z.room, z.wall) == (view.room.name, view.wall.name)] if notes else []
    base = height_at(view.floor, 0.0)
    for zone in zones:
        x0, x1 = max(zone.x0, 0.0), min(zone.x1, view.length)
        y1 = zone.y1 if view.ceiling is None else min(zone.y1, height_at(view.ceiling, x0) - base)
        if x1 > x0 and y1 > zone.y0:
            view.paper.hatch(view.box(x0, x1, base + max(zone.y0, 0.0), base + y1), 2.6)
    if zones:
        view.samples.append((_hatch_sample, "where a concealed cable or pipe may run: prove it dead before fixing"))


def _opening(view: Elevation, opening: Opening) -> None:
    low = height_at(view.floor, opening.at) + (opening.sill or 0.0)
    tops = view.ceiling or view.floor
    high = low + opening.height if opening.height else height_at(tops, opening.at)
    box = view.box(opening.at, opening.end, low, max(high, low + 100.0))
    if opening.architrave:
        wide = opening.architrave
        below = wide if opening.sill else 0.0
        around = view.box(opening.at - wide, opening.end + wide, low - below, high + wide)
        view.paper.rectangle(around, MEDIUM, "white")
    view.paper.rectangle(box, THICK, "white")
    if opening.sill:
        middle = (box.x0 + box.x1) / 2
        view.paper.lines(
            [((box.x0, (box.y0 + box.y1) / 2), (box.x1, (box.y0 + box.y1) / 2)), ((middle, box.y0), (middle, box.y1))],
            THIN,
        )
    elif opening.kind in ("door", "cupboard"):
        view.paper.lines(
            [((box.x0, box.y0), (box.x1, (box.y0 + box.y1) / 2)), ((box.x1, (box.y0 + box.y1) / 2), (box.x0, box.y1))],
            HIDDEN,
        )
    size = " by ".join(view.show(value) for value in (opening.width, opening.height) if value)
    sill = f", sill at {view.show(opening.sill)}" if opening.sill else ""
    view.numbered.append((f"{opening.name or opening.kind}, {size}{sill}, from {view.show(opening.at)}", box))


def _fitting(view: Elevation, fitting: Fitting) -> None:
    low = height_at(view.floor, fitting.at) + (fitting.height or 0.0)
    high = low + (fitting.depth or 80.0)
    box = view.box(fitting.at, fitting.at + (fitting.width or 80.0), low, high)
    view.paper.rectangle(box, MEDIUM, "white")
    size = f", {view.show(fitting.width)} by {view.show(fitting.depth)}" if fitting.width and fitting.depth else ""
    height = f", underside at {view.show(fitting.height)}" if fitting.height is not None else ", height not surveyed"
    view.paper.reserve(box)
    view.numbered.append(
        (f"{(fitting.name or fitting.kind).replace('-', ' ')}{size}, from {view.show(fitting.at)}{height}", box)
    )


def _band(view: Elevation, band: Band) -> None:
    outline = [view.at(x, y) for x, y in (*band.top, *reversed(band.underside))]
    view.paper.polygon(outline, MEDIUM, "white")
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    if max(ys) - min(ys) < 15:
        view.paper.reserve(Box(min(xs), min(ys), max(xs), max(ys)))
    for start, end, _ in band.pieces:
        for station in (start, end):
            if band.start + 1 < station < band.end - 1:
                x, _ = view.at(station, 0)
                high, low = (
                    view.at(0, height_at(band.top, station))[1],
                    view.at(0, height_at(band.underside, station))[1],
                )
                view.paper.line((x - 0.6, low + 0.8), (x + 0.6, high - 0.8), THICK)


def _fixings(view: Elevation, members: list[Band]) -> None:
    """Each fixing where it stands; on a rake, in the middle of its member."""
    schedule = view.outcome.sheet.get(FixingSchedule)
    moved = False
    fixed = False
    for fixing in schedule.lines if schedule else ():
        if (fixing.room, fixing.wall) != (view.room.name, view.wall.name):
            continue
        for point in fixing.points:
            if point.height is None or not 0 <= point.station <= view.length:
                continue
            fixed = True
            x, y = view.at(point.station, height_at(view.floor, point.station) + point.height)
            raked = [b for b in members if b.trim == fixing.trim and b.start - 1 <= point.station <= b.end + 1]
            if fixing.pitch and raked:
                y = view.at(0, sum(height_at(edge, point.station) for edge in (raked[0].top, raked[0].underside)) / 2)[
                    1
                ]
            view.paper.circle(x, y, 0.45, NO_LINE, "black")
            if point.moved:
                moved = True
                view.paper.circle(x, y, 1.1, MEDIUM)
    if fixed:
        view.samples.append((_fixing_sample, "a fixing"))
    if moved:
        view.samples.append((_moved_sample, "a fixing moved from its first place; the fixing schedule says why"))


def _fixing_sample(sheet: Sheet, box: Box) -> None:
    sheet.circle((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2, 0.45, NO_LINE, "black")


def _moved_sample(sheet: Sheet, box: Box) -> None:
    _fixing_sample(sheet, box)
    sheet.circle((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2, 1.1, MEDIUM)


def _heights(view: Elevation, members: list[Band]) -> None:
    """Heights above the floor where the wall ends, at the left: of members that reach it, and of the ceiling."""
    end = view.length
    base = height_at(view.floor, end)
    x, foot = view.at(end, base)
    spans = []
    for band in members:
        if abs(band.end - end) <= NEAR:
            top = height_at(band.top, band.end)
            spans.append(Span(foot, view.at(0, top)[1], view.show(top - height_at(view.floor, band.end))))
    if view.ceiling:
        top = height_at(view.ceiling, end)
        spans.append(Span(foot, view.at(0, top)[1], view.show(top - base)))
    dimensions(view.paper, spans, x, across=False, away=-1)


def _lengths(view: Elevation) -> None:
    """Lengths below the floor: the openings, what is left between them, and the whole."""
    base = view.at(0, min(height for _, height in view.floor))[1]
    edges = {0.0, view.length}
    for opening in view.wall.openings:
        edges |= {edge for edge in (opening.at, opening.end) if 0 < edge < view.length}
    stations = sorted(edges)
    spans = [
        Span(view.at(b, 0)[0], view.at(a, 0)[0], view.show(b - a))
        for a, b in itertools.pairwise(stations)
        if b - a >= 1
    ]
    spans.append(Span(view.at(view.length, 0)[0], 0.0, view.show(view.length)))
    dimensions(view.paper, spans, base, across=True, away=1)


def _numbers(view: Elevation) -> None:
    for number, (_, box) in enumerate(view.numbered, 1):
        number_beside(view.paper, number, box)


def _names(view: Elevation, members: list[Band]) -> None:
    """The pieces' marks over their members; at the right, where the wall starts, each top's height and name."""
    for band in members:
        for start, end, label in band.pieces:
            level = view.at(0, height_at(band.top, (start + end) / 2))[1] - 0.9
            below = view.at(0, height_at(band.underside, (start + end) / 2))[1] + 3.0
            share = (0.5, 0.35, 0.65, 0.2, 0.8)
            places = [(view.at(start + (end - start) * s, 0)[0], y) for y in (level, below) for s in share]
            label_near(view.paper, label, places)
    nearest: dict[str, Band] = {}
    for band in sorted(members, key=lambda b: b.start):
        nearest.setdefault(band.trim, band)
    labels = []
    for band in nearest.values():
        top = height_at(band.top, band.start)
        height = view.show(top - height_at(view.floor, band.start))
        labels.append((*view.at(band.start, top), f"{height}  {band.trim}"))
    if view.ceiling:
        top = height_at(view.ceiling, 0.0)
        labels.append((*view.at(0.0, top), f"{view.show(top - height_at(view.floor, 0.0))}  ceiling"))
    area = view.paper.bounds
    if labels:
        column(view.paper, area.x1 + 6.0, labels, width=max(WIDTH - (area.x1 - area.x0) - 7.0, 26.0))


def _alt(view: Elevation, members: list[Band]) -> str:
    """The drawing in words."""
    parts = [f"Elevation of wall {view.wall.name} of {view.room.name}, {view.show(view.length)} long."]
    for band in members:
        top = height_at(band.top, band.start) - height_at(view.floor, band.start)
        parts.append(
            f"{band.trim} from {view.show(band.start)} to {view.show(band.end)}, "
            f"its top {view.show(top)} above the floor at its start."
        )
    parts += [f"{number}: {words}." for number, (words, _) in enumerate(view.numbered, 1)]
    return " ".join(parts)
