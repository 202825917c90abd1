"""One wall as it is seen from the room: what is there, what goes on it, and where each fixing stands."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from math import inf

from listel.core.survey.job import Fitting, Opening
from listel.core.survey.messages import KeyPath
from listel.core.survey.units import show_angle
from listel.plugins.fixings import Fixing, FixingPoint, FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.reports.drawings import photo_marks
from listel.reports.drawings.layout import (
    Span,
    dimensions,
    label_near,
    line_sample,
    number_beside,
)
from listel.reports.drawings.paper import (
    CENTRE,
    HEAVY,
    HIDDEN,
    MEDIUM,
    NO_LINE,
    THICK,
    THIN,
    Box,
    Pen,
    Point,
    Sheet,
)
from listel.reports.drawings.wall_labels import heights, marks
from listel.reports.drawings.wall_view import WallView
from listel.reports.drawings.walls import Band, Line, height_at, pitch_line

HATCH = 2.0
"""Distance between the lines that mark a zone, mm."""
_LEVEL = 20.0
"""A member that takes up more of the paper than this from its lowest to its highest point climbs, mm."""


def drawn(view: WallView, names: float) -> None:
    """Put the wall on paper; ``names`` is the width left for the members' names at its right, 0 where another
    wall of the row bears them."""
    before = len(view.paper.lettering.boxes)
    zones(view)
    _frame(view)
    _studs(view)
    for number, opening in enumerate(view.wall.openings):
        _opening(view, opening, (*view.path, "openings", number))
    for band in view.members:
        _band(view, band)
    for number, fitting in enumerate(view.wall.fittings):
        _fitting(view, fitting, (*view.path, "fittings", number))
    _fixings(view)
    _lengths(view)
    view.paper.margins = view.sides()
    for number, (_, box, path) in enumerate(view.numbered, view.first):
        ring = number_beside(view.paper, number, box)
        view.paper.shows(path, box, *([ring] if ring else []))
    _stairs(view)
    _photographs(view)
    marks(view)
    view.paper.margins = []
    heights(view, names)
    view.title(view.paper.lettering.boxes[before:])


def _frame(view: WallView) -> None:
    paper, floor = view.paper, view.floor
    tops = view.ceiling or tuple((x, y + 2400.0) for x, y in (floor[0], floor[-1]))
    _line(view, [view.at(x, y) for x, y in floor], HEAVY)
    left, right = view.at(0.0, 0.0)[0], view.at(view.length, 0.0)[0]
    paper.shows((*view.path, "floor"), _strip(left, right, [view.level(height) for _, height in floor]))
    if view.ceiling:
        paper.shows(("height",), _strip(left, right, [view.level(height) for _, height in view.ceiling]))
        _ceiling(view, view.ceiling)
    for end in (0.0, view.length):
        corner = view.at(end, height_at(tops, end))
        _line(view, [view.at(end, height_at(floor, end)), corner], THICK if view.ceiling else HIDDEN)
        above = [height_at(band.top, end) for band in view.members if band.start - 1 <= end <= band.end + 1]
        if view.ceiling and above and view.level(max(above)) < corner[1] - 0.5:
            paper.line(corner, view.at(end, max(above)), HIDDEN)
    if view.wall.floor or view.room.datum is not None:
        _line(view, [view.at(0.0, 0.0), view.at(view.length, 0.0)], CENTRE)
        view.samples.append((line_sample(CENTRE), "the datum, a level line"))


def _strip(left: float, right: float, levels: Sequence[float]) -> Box:
    """The paper that a line across the wall takes."""
    return Box(left, min(levels) - 1.0, right, max(levels) + 1.0)


def _ceiling(view: WallView, ceiling: Line) -> None:
    """The ceiling; dashed where a member rises through its level, for there must be a way up."""
    stations = [x * view.length / 60 for x in range(61)]
    above = [
        x
        for x in stations
        for band in view.members
        if band.start - 1 <= x <= band.end + 1 and height_at(band.top, x) > height_at(ceiling, x)
    ]
    if not above:
        _line(view, [view.at(x, y) for x, y in ceiling], HEAVY)
        return
    low, high = min(above), max(above)
    for start, end, pen in ((0.0, low, HEAVY), (low, high, HIDDEN), (high, view.length, HEAVY)):
        if end - start > 1:
            _line(view, [view.at(start, height_at(ceiling, start)), view.at(end, height_at(ceiling, end))], pen)
    view.samples.append((line_sample(HIDDEN), "the ceiling's level, carried past the way up"))


def _line(view: WallView, points: list[Point], pen: Pen) -> None:
    """A line that labels are kept off."""
    view.paper.polyline(points, pen)
    for start, end in itertools.pairwise(points):
        view.paper.keep_off(start, end)


def _stairs(view: WallView) -> None:
    """Each flight as its steps, with its pitch line through the nosings and the pitch."""
    for flight, points in pitch_line(view.site, view.wall.name, view.length, view.floor):
        steps = [view.at(x, y) for x, y in points]
        view.paper.polyline(steps, MEDIUM)
        nosings = steps[1::2]
        if len(nosings) < 2:
            continue
        start, end = nosings[0], nosings[-1]
        view.paper.line(start, end, CENTRE)
        view.paper.keep_off(start, end)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        side = 1.0 if end[0] > start[0] else -1.0
        places = [(middle[0] + side * out, middle[1] + out) for out in (6.0, 8.0, 10.0, 14.0)]
        label_near(view.paper, f"pitch {show_angle(flight.pitch or 0.0)}", places)
        view.samples.append((line_sample(MEDIUM), f"{flight.flight.called}; its pitch line runs through the nosings"))


def _studs(view: WallView) -> None:
    wall = view.site.walls[view.wall.name]
    stations, grounds = wall.studs, wall.grounds
    tops = view.ceiling or view.floor
    view.paper.lines(
        [
            (view.at(x, height_at(view.floor, x)), view.at(x, height_at(tops, x)))
            for x in stations
            if 0 < x < view.length
        ],
        HIDDEN,
    )
    for ground in grounds:
        base = height_at(view.floor, 0.0)
        half = (ground.width or 50.0) / 2
        start, end = ground.start or 0.0, view.length if ground.end is None else ground.end
        view.paper.rectangle(view.box(start, end, base + ground.height - half, base + ground.height + half), HIDDEN)
    if stations or grounds:
        view.samples.append((line_sample(HIDDEN), "studs and grounds in the wall, as surveyed"))


def zones(view: WallView) -> None:
    """Hatch every zone of the wall where a cable or pipe may run."""
    notes = view.outcome.sheet.get(SafetyNotes)
    zones = notes.zones_on(view.room.name, view.wall.name) if notes else []
    base = height_at(view.floor, 0.0)
    for zone in zones:
        x0, x1 = max(zone.x0, 0.0), min(zone.x1, view.length)
        y1 = zone.y1 if view.ceiling is None else min(zone.y1, height_at(view.ceiling, x0) - base)
        if x1 > x0 and y1 > zone.y0:
            view.paper.hatch(view.box(x0, x1, base + max(zone.y0, 0.0), base + y1), HATCH)
    if zones:
        words = "a zone where a concealed cable or pipe may run, from each plate, corner and the top of the wall"
        view.samples.append((_hatch_sample, f"{words}: prove it dead before fixing"))


def _hatch_sample(sheet: Sheet, box: Box) -> None:
    sheet.hatch(box, HATCH)


def _opening(view: WallView, opening: Opening, path: KeyPath) -> None:
    low = height_at(view.floor, opening.at) + (opening.sill or 0.0)
    tops = view.ceiling or view.floor
    high = low + opening.height if opening.height else height_at(tops, opening.at)
    box = view.box(opening.at, opening.end, low, max(high, low + 100.0))
    around = box
    if wide := _architrave(view, opening):
        below = opening.apron or 0.0
        around = view.box(opening.at - wide, opening.end + wide, low - below, high + wide)
        view.paper.rectangle(around, MEDIUM, "white")
    view.paper.rectangle(box, THICK, "white")
    view.paper.reserve(around)
    if opening.sill:
        middle = (box.x0 + box.x1) / 2
        view.paper.lines(
            [((box.x0, (box.y0 + box.y1) / 2), (box.x1, (box.y0 + box.y1) / 2)), ((middle, box.y0), (middle, box.y1))],
            THIN,
        )
    size = " by ".join(view.show(value) for value in (opening.width, opening.height) if value)
    sill = f", sill at {view.show(opening.sill)}" if opening.sill else ""
    view.numbered.append((f"{opening.name or opening.kind}, {size}{sill}, from {view.show(opening.at)}", box, path))


def _architrave(view: WallView, opening: Opening) -> float:
    """Width of wall that the architrave takes at each side of an opening: of the legs set out there, else as
    surveyed [mm]."""
    before = bisect_left(view.legs, (opening.at, inf))
    if before:
        end, start = view.legs[before - 1]
        if opening.at - end < end - start:
            return opening.at - start
    return opening.architrave or 0.0


def _fitting(view: WallView, fitting: Fitting, path: KeyPath) -> None:
    low = height_at(view.floor, fitting.at) + (fitting.height or 0.0)
    high = low + (fitting.depth or 80.0)
    box = view.box(fitting.at, fitting.at + (fitting.width or 80.0), low, high)
    view.paper.rectangle(box, MEDIUM, "white")
    size = f", {view.show(fitting.width)} by {view.show(fitting.depth)}" if fitting.width and fitting.depth else ""
    height = f", underside at {view.show(fitting.height)}" if fitting.height is not None else ", height not surveyed"
    view.paper.reserve(box)
    words = f"{(fitting.name or fitting.kind).replace('-', ' ')}{size}, from {view.show(fitting.at)}{height}"
    view.numbered.append((words, box, path))


def _band(view: WallView, band: Band) -> None:
    top, underside = [[view.at(x, y) for x, y in edge] for edge in (band.top, band.underside)]
    view.paper.polygon([*top, *reversed(underside)], MEDIUM if band.old is None else THIN, "white")
    for edge in (top, underside):
        for start, end in itertools.pairwise(edge):
            view.paper.keep_off(start, end)
    levels = [y for _, y in (*top, *underside)]
    if max(levels) - min(levels) < _LEVEL:
        named = (number for number, trim in enumerate(view.outcome.job.trim) if trim.name == band.trim)
        paths = [("trim", number) for number in named] if band.old is None else [(*view.path, "existing", band.old)]
        for path in paths:
            view.paper.shows(path, _strip(top[0][0], top[-1][0], levels))
    for first, last, _ in band.pieces:
        for station in (first, last):
            if band.start + 1 < station < band.end - 1:
                x, _ = view.at(station, 0)
                high, low = (view.level(height_at(edge, station)) for edge in (band.top, band.underside))
                view.paper.line((x - 0.6, low + 0.8), (x + 0.6, high - 0.8), THICK)


def fixings_drawn(view: WallView) -> Iterator[tuple[Fixing, FixingPoint, Point]]:
    """Each fixing on the wall, its point, and where that is on paper."""
    schedule = view.outcome.sheet.get(FixingSchedule)
    for fixing in schedule.lines_on(view.room.name, view.wall.name) if schedule else ():
        for point in fixing.points:
            if point.height is not None and 0 <= point.station <= view.length:
                yield fixing, point, view.at(point.station, height_at(view.floor, point.station) + point.height)


def _fixings(view: WallView) -> None:
    """Each fixing where it stands."""
    found: set[bool] = set()
    for _, point, (x, y) in fixings_drawn(view):
        view.paper.circle(x, y, 0.45, NO_LINE, "black")
        found.add(bool(point.moved))
        if point.moved:
            view.paper.circle(x, y, 1.1, MEDIUM)
        reach = 1.3 if point.moved else 0.5
        view.paper.reserve(Box(x - reach, y - reach, x + reach, y + reach))
    if found:
        view.samples.append((_fixing_sample, "a fixing"))
    if True in found:
        view.samples.append((_moved_sample, "a fixing moved from its first place; the fixing schedule says why"))


def _fixing_sample(sheet: Sheet, box: Box) -> None:
    sheet.circle((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2, 0.45, NO_LINE, "black")


def _moved_sample(sheet: Sheet, box: Box) -> None:
    _fixing_sample(sheet, box)
    sheet.circle((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2, 1.1, MEDIUM)


def _photographs(view: WallView) -> None:
    """Where photographs were taken, at the height of their middle where it is told."""
    taken = list(photo_marks.taken_of(view.outcome.job, view.room.name, view.wall.name))
    for number, photo in taken:
        station = photo.at or 0.0
        height = height_at(view.floor, station) + (1500.0 if photo.height is None else photo.height)
        photo_marks.mark(view.paper, number, photo_marks.near(view.at(station, height)))
    if taken:
        view.samples.append((photo_marks.sample, photo_marks.SAID))


def _lengths(view: WallView) -> None:
    """Lengths below the floor: the openings, what is left between them, and the whole."""
    base = max(view.level(height) for _, height in view.floor)
    edges = {0.0, view.length}
    for opening in view.wall.openings:
        edges |= {edge for edge in (opening.at, opening.end) if 0 < edge < view.length}
    stations = sorted(edges)
    spans = [
        Span(view.at(a, 0)[0], view.at(b, 0)[0], view.show(b - a))
        for a, b in itertools.pairwise(stations)
        if b - a >= 1
    ]
    spans.append(Span(view.at(0.0, 0)[0], view.at(view.length, 0)[0], view.show(view.length)))
    foot = dimensions(view.paper, spans, base, across=True, away=1)
    view.paper.shows((*view.path, "length"), Box(spans[-1].start, foot - 6.0, spans[-1].end, foot))
