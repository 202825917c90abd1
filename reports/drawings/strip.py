"""The walls of a room side by side from left to right, their level lines in one line, to mark and drill by."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Wall
from listel.core.survey.units import Units
from listel.plugins.panelling import Panelling
from listel.plugins.safety import SafetyNotes
from listel.plugins.setting_out import Piece, SettingOut
from listel.plugins.site import RoomSite, tables
from listel.reports.drawings import photo_marks
from listel.reports.drawings.layout import figure, label_near, nothing, spread
from listel.reports.drawings.one_wall import fixings_drawn, zones
from listel.reports.drawings.paper import (
    CENTRE,
    HEAVY,
    HIDDEN,
    MEDIUM,
    NO_LINE,
    PLAIN,
    SMALL,
    THICK,
    THIN,
    Box,
    Drawing,
    Point,
    Sheet,
    lettering_box,
    letters_width,
    shorten,
)
from listel.reports.drawings.wall_view import WallView
from listel.reports.drawings.walls import (
    Band,
    bands,
    drawn_length,
    floor_line,
    framed,
    height_at,
    old_bands,
    pitch_line,
    site_of_outcome,
)

WIDE = 188.0
LEFT = {"mm": 18.5, "inches": 24.0}
"""Paper for the levels at the left of each row, mm."""
ROW_EXTRA, PLAIN_EXTRA = 17.5, 10.0
"""Paper over and under the walls of a row, for their names and stations, mm; for their names alone."""
OVER = 90.0
"""How far over the topmost member the walls are drawn, mm."""
PANEL_LINE = 0.5
"""Paper left white round each panel, mm."""
SCALES = (20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 120, 150, 200, 300, 500)
_RING = 2.5


@dataclass(frozen=True, kw_only=True)
class Level:
    """A height that runs through a row, counted from the level line, mm, and its words."""

    height: float
    words: str


@dataclass(frozen=True)
class _Faced:
    """A wall with its reach: from the lowest floor to what is drawn at the top, from the level line, mm."""

    wall: Wall
    view: WallView
    low: float
    high: float


def strip(
    outcome: Outcome,
    *,
    room: str,
    levels: Sequence[Level] = (),
    tall: float = 128.0,
    plain: int = 0,
    photographs: bool = False,
) -> Drawing:
    """All walls of the room at one scale, in rows. ``levels`` stand at the left of each row; ``tall``: the paper they
    may take together; ``plain``: without fixings and zones, at that scale; ``photographs``:
    with the numbers of those that were taken there."""
    title = f"{room}, wall by wall from left to right"
    faced = _walls(outcome, room)
    if not faced:
        return nothing(title, "No wall of this room was measured.")
    units = outcome.job.units
    left = LEFT[units] if levels else 2.0
    scale, rows = (plain, _rows(faced, WIDE - left, plain)) if plain else _fitted([faced], WIDE - left, tall, ROW_EXTRA)
    extra = PLAIN_EXTRA if plain else ROW_EXTRA
    paper, at = Sheet(), 0.0
    named = (outcome.sheet.get(SettingOut) or SettingOut()).numbers
    for row in rows:
        high, low = max(each.high for each in row), min(each.low for each in row)
        level = at + 7.0 + high / scale
        x = left
        for each in row:
            each.view.paper, each.view.scale, each.view.origin = paper, scale, (x, level)
            _wall(each, named, low, plain=bool(plain))
            x += each.view.length / scale
        for each in row if not plain else ():
            _stations(each.view)
        for each in row if photographs else ():
            _photographs(each)
        _row(paper, row, levels, left, units)
        at = level - low / scale + extra - 7.0
    parts = [_alt(each, named, units) for each in faced]
    return paper.finish(title, f"{room}, its walls from left to right. {' '.join(parts)}", f"about 1:{scale}")


def _faced(outcome: Outcome, site: RoomSite, wall: Wall) -> _Faced | None:
    length = drawn_length(wall)
    if not length:
        return None
    floor = floor_line(site.walls[wall.name], length)
    members = bands(outcome.sheet, site.room, wall, length, floor)
    low = min(height for _, height in floor)
    highs = [max(height for _, height in band.top) for band in members]
    flights = [height for _, line in pitch_line(site, wall.name, length, floor) for _, height in line]
    high = max([*highs, *flights, low + 900.0]) + OVER
    view = WallView(
        outcome=outcome,
        site=site,
        wall=wall,
        length=length,
        floor=floor,
        ceiling=((0.0, high), (length, high)),
        members=members,
        scale=1.0,
    )
    return _Faced(wall, view, low, high)


Row = list[_Faced]


def _rows(faced: list[_Faced], wide: float, scale: int) -> list[Row]:
    """The walls in rows that the paper's width holds at a scale."""
    rows: list[Row] = [[]]
    for each in faced:
        if rows[-1] and sum(one.view.length for one in [*rows[-1], each]) / scale > wide:
            rows.append([])
        rows[-1].append(each)
    return rows


def _fitted(rooms: list[list[_Faced]], wide: float, tall: float, extra: float) -> tuple[int, list[Row]]:
    """The largest of our scales at which the rows of all rooms fit the paper; if none does, the smallest."""
    rows: list[Row] = []
    for scale in SCALES:
        rows = [row for faced in rooms for row in _rows(faced, wide, scale)]
        high = sum((max(o.high for o in row) - min(o.low for o in row)) / scale + extra for row in rows)
        widest = max(sum(one.view.length for one in row) / scale for row in rows)
        if widest <= wide and high <= tall:
            return scale, rows
    return SCALES[-1], rows


def plain_scale(outcome: Outcome, tall: float) -> int:
    """The largest of our scales at which the walls of every room, drawn plain, take no more paper than that, mm."""
    rooms = [faced for room in outcome.job.rooms if (faced := _walls(outcome, room.name))]
    return _fitted(rooms, WIDE - 2.0, tall, PLAIN_EXTRA)[0] if rooms else SCALES[-1]


def _walls(outcome: Outcome, room: str) -> list[_Faced]:
    """The walls of a room that can be drawn."""
    site = site_of_outcome(outcome).rooms[room]
    return [each for wall in outcome.job.room(room).walls if (each := _faced(outcome, site, wall)) is not None]


def _wall(each: _Faced, named: Mapping[str, str], low: float, *, plain: bool) -> None:
    view, paper = each.view, each.view.paper
    if not plain:
        zones(view)
    left, right = view.at(0.0, 0.0)[0], view.at(view.length, 0.0)[0]
    top = view.level(each.high)
    for x in (left, right):
        paper.line((x, top), (x, view.level(low)), THICK)
    paper.line((left, top), (right, top), HIDDEN)
    paper.polyline([view.at(x, y) for x, y in view.floor], HEAVY)
    _things(view, each.high)
    for _, points in pitch_line(view.site, view.wall.name, view.length, view.floor):
        paper.polyline([view.at(x, y) for x, y in points], MEDIUM)
        for start, end in itertools.pairwise(points):
            paper.keep_off(view.at(*start), view.at(*end))
    for band in old_bands(view.outcome.sheet, view.room.name, view.wall.name, view.floor, after=True):
        _old(view, band, plain=plain)
    for band in view.members:
        edges = [[view.at(x, y) for x, y in edge] for edge in (band.top, band.underside)]
        paper.polygon([*edges[0], *reversed(edges[1])], MEDIUM, "black" if plain else "white")
        for edge in edges:
            for start, end in itertools.pairwise(edge):
                paper.keep_off(start, end)
    if plain:
        _panels_filled(view)
        return
    _fixings(view)
    pieces = _pieces(view)
    for piece in pieces:
        _joints(view, piece)
    for piece in pieces:
        if not piece.side:
            _number(view, piece, named.get(piece.label, ""))
    _panels(view, [piece for piece in pieces if piece.side], named)


def _panels_filled(view: WallView) -> None:
    """The panels of panelling, as new as what frames them, with a line of white round each."""
    for band in framed(view.outcome.sheet, view.room, view.wall, view.floor, Panelling.panels):
        (x0, y0), (x1, y1) = view.at(band.start, band.top[0][1]), view.at(band.end, band.underside[0][1])
        box = Box(x0 + PANEL_LINE, y0 + PANEL_LINE, x1 - PANEL_LINE, y1 - PANEL_LINE)
        if box.x1 > box.x0 and box.y1 > box.y0:
            view.paper.polygon(
                [(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)], NO_LINE, "black"
            )


def _photographs(each: _Faced) -> None:
    """Where photographs were taken, by their numbers."""
    view = each.view
    for number, photo in photo_marks.taken_of(view.outcome.job, view.room.name, view.wall.name):
        station = photo.at or 0.0
        height = height_at(view.floor, station) + (1200.0 if photo.height is None else photo.height)
        photo_marks.mark(view.paper, number, photo_marks.near(view.at(station, min(height, each.high - 100.0))))


def _old(view: WallView, band: Band, *, plain: bool) -> None:
    """Old trim that stays, in thin lines, by its number."""
    over, under = ([view.at(x, y) for x, y in edge] for edge in (band.top, band.underside))
    view.paper.polygon([*over, *reversed(under)], THIN, "white")
    if plain:
        return
    for _, _, label in band.pieces:
        (x, y), (_, low) = over[0], under[0]
        middle = (x + over[-1][0]) / 2
        label_near(view.paper, label, [(middle, y - 1.0), (middle, low + 3.0), (middle, y - 4.0)])


def _things(view: WallView, high: float) -> None:
    """Openings with their architraves, and what stands on the wall, cut off where the drawing ends."""
    paper = view.paper
    for opening in view.wall.openings:
        low = height_at(view.floor, opening.at) + (opening.sill or 0.0)
        top = min(low + (opening.height or high), high)
        wide = opening.architrave or 0.0
        if wide:
            under = (opening.apron or 0.0) if opening.sill else 0.0
            outer = view.box(opening.at - wide, opening.end + wide, low - under, min(top + wide, high))
            paper.rectangle(outer, THIN, "white")
            paper.reserve(outer)
        box = view.box(opening.at, opening.end, low, top)
        paper.rectangle(box, MEDIUM, "white")
        paper.reserve(box)
        words = opening.kind.replace("-", " ")
        middle, line = (box.y0 + box.y1) / 2, view.level(0.0)
        at = ((box.x0 + box.x1) / 2, line - 2.0 if line - 2.0 < middle < line + SMALL + 0.5 else middle)
        if letters_width(words, SMALL) < box.x1 - box.x0 and paper.free(
            lettering_box(*at, words, SMALL, "middle"), objects=False
        ):
            paper.words(*at, words, SMALL, "middle")
    for fitting in view.wall.fittings:
        low = height_at(view.floor, fitting.at) + (fitting.height or 0.0)
        if low < high:
            top = min(low + (fitting.depth or 80.0), high)
            box = view.box(fitting.at, fitting.at + (fitting.width or 80.0), low, top)
            paper.rectangle(box, MEDIUM, "white")
            paper.reserve(box)


def _pieces(view: WallView) -> Sequence[Piece]:
    setting_out = view.outcome.sheet.get(SettingOut)
    return setting_out.pieces_on(view.room.name, view.wall.name) if setting_out else []


def _fixings(view: WallView) -> None:
    """Each fixing as a cross, ringed where it lies in a keep-out band."""
    notes = view.outcome.sheet.get(SafetyNotes)
    crossings = notes.crossings_on(view.room.name, view.wall.name) if notes else ()
    in_zone = {(crossing.trim, round(crossing.start)) for crossing in crossings if crossing.fixing}
    for fixing, point, (x, y) in fixings_drawn(view):
        view.paper.lines([((x - 0.6, y - 0.6), (x + 0.6, y + 0.6)), ((x - 0.6, y + 0.6), (x + 0.6, y - 0.6))], MEDIUM)
        if (fixing.trim, round(point.station)) in in_zone:
            view.paper.circle(x, y, 1.2, MEDIUM)


def _edges(view: WallView, piece: Piece, station: float) -> tuple[Point, Point]:
    """Over and under a piece at a station, on paper."""
    inside = min(max(station, piece.start + 1), piece.end - 1)
    band = next((b for b in view.members if b.trim == piece.trim and b.start - 1 <= inside <= b.end + 1), None)
    if band is None:
        at = view.at(station, height_at(view.floor, station) + (1000.0 if piece.upright else 2100.0))
        return at, at
    return view.at(station, height_at(band.top, station)), view.at(station, height_at(band.underside, station))


def _number(view: WallView, piece: Piece, number: str) -> None:
    """A piece's number in a ring over it, or under it, or further along."""
    if not number:
        return
    (x, over), (_, under) = _edges(view, piece, (piece.start + piece.end) / 2)
    half = max((piece.end - piece.start) / view.scale / 2 - _RING, 0.0)
    ups = (over - _RING - 0.8, under + _RING + 0.8, over - 2.4 * _RING - 0.8, under + 2.4 * _RING)
    places = [(x + half * side, y) for y in ups for side in (0.0, -0.5, 0.5, -0.9, 0.9)]
    places += [(x + dx, y + dy) for dy in (0.0, 6.0, -6.0, 12.0, -12.0) for dx in (0.0, 5.0, -5.0) for y in ups]
    for reserved in (True, False):
        for cx, cy in places:
            ring = Box(cx - _RING, cy - _RING, cx + _RING, cy + _RING)
            if view.paper.free(ring, 0.2, objects=reserved):
                view.paper.circle(cx, cy, _RING, MEDIUM, "white")
                view.paper.words(cx, cy + 0.36 * SMALL, number, SMALL, "middle", bold=True, ring=ring)
                return


def _panels(view: WallView, pieces: list[Piece], named: Mapping[str, str]) -> None:
    """The numbers of the four pieces of each panel, first and last, within it."""
    for four in zip(*[iter(pieces)] * 4, strict=True):
        upright = next(
            b for b in view.members if (b.trim, b.start, b.end) == (four[2].trim, four[2].start, four[2].end)
        )
        x, y = view.at((four[0].start + four[3].end) / 2, (upright.top[0][1] + upright.underside[0][1]) / 2)
        first, last = named.get(four[0].label, ""), named.get(four[-1].label, "")
        view.paper.words(x, y + 0.36 * SMALL, f"{first}–{last}", SMALL, "middle", bold=True)


def _joints(view: WallView, piece: Piece) -> None:
    """A stroke at each end of a piece within its member, and a black wedge where it is coped."""
    band = next((b for b in view.members if b.trim == piece.trim and b.start - 1 <= piece.start < b.end), None)
    if band is None:
        return
    for station, end, way in ((piece.start, piece.left, 1.0), (piece.end, piece.right, -1.0)):
        x, high = view.at(station, height_at(band.top, station))
        low = view.level(height_at(band.underside, station))
        view.paper.line((x, high - 0.6), (x, low + 0.6), THICK)
        if end.kind == "cope":
            y = (high + low) / 2
            view.paper.polygon([(x, y), (x + way * 2.2, y - 1.3), (x + way * 2.2, y + 1.3)], NO_LINE, "black")


def _stations(view: WallView) -> None:
    """Where the pieces start and end along the wall, but for the wall's own ends; a joint of two pieces once. Of a
    board that goes past the architraves over it, outside of them."""
    said: set[tuple[str, int]] = set()
    horned = {trim.name for trim in view.outcome.job.trim if tables.goes_under_windows(trim.member)}
    for piece in _pieces(view):
        for station, side in ((piece.start, 1.0), (piece.end, -1.0)):
            place = (piece.trim, round(station))
            if piece.upright or place in said or not 1 < station < view.length - 1:
                continue
            said.add(place)
            (x, over), (_, under) = _edges(view, piece, station)
            words = figure(station, view.outcome.job.units)
            half = letters_width(words, SMALL) / 2
            shares = (-1.2, -1.6, 1.0) if piece.trim in horned else (1.0, 0.0, -1.0, 1.6)
            spots = [(x + side * half * share, y) for y in (under + 3.0, over - 0.9) for share in shares]
            label_near(view.paper, words, spots, gap=0.1)


def _row(paper: Sheet, row: Row, levels: Sequence[Level], left: float, units: Units) -> None:
    """The names of the walls, the level line with its heights at the left, the floor's readings underneath."""
    first, last = row[0].view, row[-1].view
    start, stop = first.at(0.0, 0.0)[0], last.at(last.length, 0.0)[0]
    low = max(each.view.level(each.low) for each in row)
    names = {
        level: min([level, *(b.y0 for b in paper.lettering.boxes if level - 7 < b.y1 and b.y0 < level)]) - 1.4
        for level in {each.view.level(each.high) for each in row}
    }
    for each in row:
        view = each.view
        x0, x1 = view.at(0.0, 0.0)[0], view.at(view.length, 0.0)[0]
        length, top = figure(view.length, units), names[view.level(each.high)]
        wide = letters_width(view.wall.name, PLAIN * 1.2, bold=True)
        said = length if wide + letters_width(length, SMALL) + 2.0 < x1 - x0 else ""
        x = (x0 + x1) / 2 - (letters_width(said, SMALL) + 1.0) / 2 * bool(said)
        name = shorten(view.wall.name, max(x1 - x0 + 4.0, 8.0), PLAIN * 1.2)
        x, top = name_place(paper, name, x, top)
        paper.words(x, top, name, PLAIN * 1.2, "middle", bold=True)
        if said:
            label_near(paper, said, [(x + wide / 2 + 1.0, top)], "start")
        if view.wall.floor and levels:
            for reading in view.wall.floor:
                words = figure(reading.to_datum, units)
                at = min(max(view.at(reading.at, 0.0)[0], x0 + 4.0), max(x1 - 3.0, x0 + 4.0))
                label_near(paper, words, [(at, low + 6.4), (at + 3.0, low + 6.4), (at - 3.0, low + 6.4)])
    if not levels:
        return
    if any(view.wall.floor for view in (first, last)):
        label_near(paper, "floor \u2212", [(left - 1.5, low + 6.4), (left - 1.5, low + 9.6)], "end")
    shown = [level for level in levels if min(e.low for e in row) - 1 <= level.height <= max(e.high for e in row)]
    shown.append(Level(height=0.0, words="datum 0"))
    paper.line((start - 1.0, first.level(0.0)), (stop, first.level(0.0)), CENTRE)
    places = spread([first.level(level.height) for level in shown], SMALL * 1.25)
    for level, y in zip(shown, places, strict=True):
        words = shorten(level.words, (left - 3.0) / 1.08, SMALL)
        box = lettering_box(left - 2.2, y + 0.36 * SMALL, words, SMALL, "end", bold=True)
        if not paper.free(box, 0.0, objects=False):
            continue
        paper.words(left - 2.2, y + 0.36 * SMALL, words, SMALL, "end", bold=True)
        paper.line((left - 1.8, y), (start, first.level(level.height)), THIN)


def name_place(paper: Sheet, name: str, x: float, y: float) -> Point:
    """The nearest free place for a wall's name: there, a little aside, or further up."""
    return next(
        (at, up)
        for up in itertools.count(y, -2.0)
        for at in (x, x + 3.0, x - 3.0)
        if paper.free(lettering_box(at, up, name, PLAIN * 1.2, "middle", bold=True), objects=False)
    )


def _alt(each: _Faced, named: Mapping[str, str], units: Units) -> str:
    pieces = ", ".join(
        f"{named.get(p.label, p.label)} ({p.trim}) from {figure(p.start, units)} to {figure(p.end, units)}"
        for p in _pieces(each.view)
    )
    return f"Wall {each.wall.name}, {figure(each.view.length, units)} long: {pieces or 'nothing'}."
