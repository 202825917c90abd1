"""A room as it is or as it will be: a parallel projection of plan, walls and trim, the near walls out of the way."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, radians, sin

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Opening, Wall
from listel.plugins.closure import Closures
from listel.plugins.proportions import Segment, profile_path
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import RoomSite
from listel.reports.drawings.layout import nothing
from listel.reports.drawings.paper import HAIR, HIDDEN, MEDIUM, NO_LINE, SMALL, THIN, Drawing, Pen, Point, Sheet
from listel.reports.drawings.plan import Side, sides_of
from listel.reports.drawings.walls import (
    Band,
    Line,
    bands,
    ceiling_line,
    drawn_length,
    floor_line,
    height_at,
    old_bands,
    pitch_line,
    site_of_outcome,
)

TURNS = (30.0, 60.0, 120.0, 150.0, 210.0, 240.0, 300.0, 330.0)
"""Ways the plan may be turned, degrees: the one that shows most of the trim is taken."""
UP = radians(28.0)
"""How far from above the room is seen."""
USUAL = 2400.0
"""How high a wall is drawn whose ceiling nobody measured, mm."""


@dataclass(frozen=True)
class _Seen:
    """A wall in the turned plan: where it stands, and which way the room lies from it."""

    wall: Wall
    side: Side
    inward: Point
    hidden: bool = False

    @property
    def faces(self) -> bool:
        """Whether its face is seen."""
        return self.inward[1] < -0.05 and not self.hidden

    def at(self, station: float, height: float, out: float = 0.0) -> Point:
        """A point of its face on paper, before scaling, at a station and height, that far out from it."""
        (x0, y0), (x1, y1) = self.side
        share = station / (hypot(x1 - x0, y1 - y0) or 1.0)
        x, y = x0 + (x1 - x0) * share + self.inward[0] * out, y0 + (y1 - y0) * share + self.inward[1] * out
        return (x, -y * sin(UP) - (height + self.up) * cos(UP))

    @property
    def up(self) -> float:
        """How far the level line its heights count from lies over that of the room: it may stand on a landing."""
        return self.wall.raised or 0.0


def picture(
    outcome: Outcome, *, room: str, wide: float = 120.0, tall: float = 84.0, before: bool = False, behind: bool = False
) -> Drawing:
    """The room as it will be, or as it is ``before`` the work, its lines within that paper, mm (lettering
    and a margin stand outside, up to 4 mm); both are seen from one side, ``behind`` from the opposite one, and so what
    stood ``before`` on near walls alone."""
    views = seen_walls(outcome, room)
    behind = behind or (before and len(views) == 2 and not _old_seen(views[0]) and _old_seen(views[1]))
    title = f"{room} as it {'is' if before else 'will be'}{', from the other side' if behind else ''}"
    if not views:
        return nothing(title, "The room is not drawn: its lengths and corner angles were not all surveyed.")
    site = site_of_outcome(outcome).rooms[room]
    walls = views[1 if behind else 0]
    paper = _Scaled(wide, tall)
    low = min((h + each.up for each in walls for _, h in _floor(site, each.wall)), default=0.0)
    tops = [h + each.up for each in walls for _, h in _ceiling(site, each.wall) or ()]
    for each in sorted(walls, key=lambda each: -sum(y for _, y in each.side)):
        _wall(outcome, site, each, low, max(tops, default=None), paper, before=before)
    told = _new_trim(outcome, room, walls)
    hidden = [] if behind else [trim for trim in _new_trim(outcome, room) if trim not in told]
    beside = f" On the walls left out: {', '.join(hidden)}." if hidden else ""
    what = "The old trim that was surveyed." if before else f"New trim: {', '.join(told) or 'none'}.{beside}"
    return paper.drawing(title, f"{title}, drawn from the survey, near walls left out. {what}")


def seen_walls(outcome: Outcome, room: str) -> list[list[_Seen]]:
    """The walls of a room turned so that most of the trim is seen, and as they are seen from the opposite corner; none
    where the room cannot be drawn."""
    the_room = outcome.job.room(room)
    sides = sides_of(the_room, outcome.sheet.get(Closures))
    if sides is None:
        return []
    site = site_of_outcome(outcome).rooms[room]
    turn = max(TURNS, key=lambda turn: _shown(outcome, site, _turned(the_room.walls, sides, turn)))
    return [_turned(the_room.walls, sides, turn + half) for half in (0.0, 180.0)]


def _new_trim(outcome: Outcome, room: str, walls: list[_Seen] | None = None) -> list[str]:
    """The new trim of a room; that on the ``walls`` whose faces are seen, where these are given."""
    laid = (outcome.sheet.get(SettingOut) or SettingOut()).laid.of(room=room)
    seen = None if walls is None else {each.wall.name for each in walls if each.faces}
    return list(dict.fromkeys(run.trim for run in laid if seen is None or run.wall in seen))


def _old_seen(walls: list[_Seen]) -> bool:
    """Whether old trim stands on a wall whose face is seen."""
    return any(each.faces and stands_on(each.wall) for each in walls)


def stands_on(wall: Wall) -> bool:
    """Whether old trim was surveyed on a wall or round an opening of it."""
    return bool(wall.existing) or any(opening.existing for opening in wall.openings)


def more_behind(outcome: Outcome, room: str) -> bool:
    """Whether new trim that stands on none of the walls in the picture of a room is seen from the opposite corner."""
    first, behind = (_new_trim(outcome, room, walls) for walls in seen_walls(outcome, room) or ([], []))
    return not set(behind) <= set(first)


class _Scaled:
    """Shapes held until their size is known, then put on paper as large as it takes them."""

    def __init__(self, wide: float, tall: float) -> None:
        self.wide, self.tall = wide, tall
        self.shapes: list[tuple[list[Point], Pen, str | None]] = []
        self.labels: list[tuple[Point, str]] = []

    def polygon(self, points: list[Point], pen: Pen, fill: str = "white") -> None:
        self.shapes.append((points, pen, fill))

    def line(self, points: list[Point], pen: Pen) -> None:
        self.shapes.append((points, pen, None))

    def drawing(self, title: str, alt: str) -> Drawing:
        xs, ys = ([p[axis] for points, *_ in self.shapes for p in points] for axis in (0, 1))
        scale = max((max(xs) - min(xs)) / self.wide, (max(ys) - min(ys)) / self.tall, 1.0)
        paper = Sheet()
        for points, pen, fill in self.shapes:
            placed = [(x / scale, y / scale) for x, y in points]
            if fill is None:
                paper.polyline(placed, pen)
            else:
                paper.polygon(placed, pen, fill)
        for (x, y), words in self.labels:
            paper.words(x / scale, y / scale, words, SMALL, "middle", bold=True)
        return paper.finish(title, alt, "not to scale")


def _turned(walls: tuple[Wall, ...], sides: list[Side], degrees: float) -> list[_Seen]:
    a = radians(degrees)
    found = []
    for wall, side in zip(walls, sides, strict=True):
        (x0, y0), (x1, y1) = ((x * cos(a) - y * sin(a), x * sin(a) + y * cos(a)) for x, y in side)
        length = hypot(x1 - x0, y1 - y0) or 1.0
        found.append(_Seen(wall, ((x0, y0), (x1, y1)), ((y1 - y0) / length, (x0 - x1) / length)))
    beside = zip(found, [*found[-1:], *found[:-1]], [*found[1:], *found[:1]], strict=True)
    return [replace(each, hidden=not (left.faces or right.faces)) for each, left, right in beside]


def _shown(outcome: Outcome, site: RoomSite, walls: list[_Seen]) -> float:
    """How much trim is seen that way round, each wall by how squarely it faces; fireplaces and stairs more."""
    setting_out = outcome.sheet.get(SettingOut)
    total = 0.0
    for each in walls:
        fire = any(opening.kind == "fireplace" for opening in each.wall.openings)
        more = 6.0 if fire else 2.0 if site.flight_on(each.wall.name) else 1.0
        runs = setting_out.runs_on(site.name, each.wall.name) if setting_out else []
        length = sum(run.end - run.start for run in runs)
        length += sum(2 * (old.end or 0.0) - 2 * (old.start or 0.0) for old in each.wall.existing)
        total += more * length * max(-each.inward[1], 0.0)
    return total


def _floor(site: RoomSite, wall: Wall) -> Line:
    return floor_line(site.walls[wall.name], drawn_length(wall) or 0.0)


def _ceiling(site: RoomSite, wall: Wall) -> Line | None:
    return ceiling_line(site.walls[wall.name], drawn_length(wall) or 0.0, _floor(site, wall))


def _wall(
    outcome: Outcome, site: RoomSite, seen: _Seen, low: float, tallest: float | None, paper: _Scaled, *, before: bool
) -> None:
    """A wall with all that is on it. Where its ceiling was not measured that of the room, ``tallest``, is carried over
    it if it lies high enough, else it is drawn as high as walls usually are."""
    length = drawn_length(seen.wall) or 0.0
    floor = _floor(site, seen.wall)
    if not seen.faces:
        paper.line([seen.at(x, y - low) for x, y in floor], HIDDEN)
        return
    usual = max(y for _, y in floor) + USUAL
    level = tallest - seen.up if tallest is not None and tallest - seen.up > usual / 2 else usual
    top = _ceiling(site, seen.wall) or ((0.0, level), (length, level))
    along = old_bands(outcome.sheet, site.name, seen.wall.name, floor, after=not before)
    along += [] if before else bands(outcome.sheet, site.room, seen.wall, length, floor)
    highest = max((y for band in along for _, y in band.top), default=0.0) + 120.0
    if any(height_at(top, x) < y for band in along for x, y in band.top):
        top = tuple((x, highest) for x, _ in top)
    face = [*(seen.at(x, y - low) for x, y in floor), *(seen.at(x, y - low) for x, y in reversed(top))]
    paper.polygon(face, MEDIUM)
    for opening in seen.wall.openings:
        _opening(seen, opening, height_at(floor, opening.at) - low, height_at(top, opening.at) - low, paper)
    for _, points in pitch_line(site, seen.wall.name, length, floor):
        paper.line([seen.at(x, y - low) for x, y in points], THIN)
    for band in along:
        trim = next((each for each in outcome.job.trim if each.name == band.trim), None)
        _band(seen, band, profile_path(trim) if trim else (), low, paper)
    middle = seen.at(length / 2, height_at(top, length / 2) - low + 110.0)
    paper.labels.append((middle, seen.wall.name))


def _band(seen: _Seen, band: Band, path: tuple[Segment, ...], low: float, paper: _Scaled) -> None:
    """A member with the lines of its moulding; what of the wall its top hides is left white."""
    high = path[-1].end[1] if path else 1.0
    edges = (
        [(path[0].start[0], 0.0), *((s.end[0], s.end[1] / high) for s in path)] if path else [(20.0, 0.0), (20.0, 1.0)]
    )
    out = max(x for x, _ in edges)
    over, under = [(x, y - low) for x, y in band.top], [(x, y - low) for x, y in band.underside]
    paper.polygon([*(seen.at(*p) for p in over), *(seen.at(*p, out) for p in reversed(under))], NO_LINE)
    stations = sorted({x for x, _ in (*band.top, *band.underside)})
    for reach, share in edges:
        line = [(x, _between(band.underside, band.top, x, share) - low) for x in stations]
        paper.line([seen.at(*p, reach) for p in line], THIN if share in (0.0, 1.0) else HAIR)
    paper.line([seen.at(*p) for p in over], HAIR)
    for x in (band.start, band.end):
        ends = [(reach, _between(band.underside, band.top, x, share) - low) for reach, share in edges]
        paper.line([seen.at(x, y, reach) for reach, y in ends], HAIR)


def _between(underside: Line, top: Line, station: float, share: float) -> float:
    low, high = height_at(underside, station), height_at(top, station)
    return low + (high - low) * share


def _opening(seen: _Seen, opening: Opening, floor: float, ceiling: float, paper: _Scaled) -> None:
    """An opening with its architrave, a window with its meeting rail and bar, a door with its panels."""
    low = floor + (opening.sill or 0.0)
    high = min(low + (opening.height or ceiling - low), ceiling)
    wide = opening.architrave or 0.0
    for more, pen in ((wide, THIN), (0.0, MEDIUM)):
        x0, x1, y0, y1 = opening.at - more, opening.end + more, low - (more if opening.sill else 0.0), high + more
        paper.polygon([seen.at(x, y) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))], pen)
    middle = (opening.at + opening.end) / 2
    if opening.kind == "window":
        bars = [((opening.at, (low + high) / 2), (opening.end, (low + high) / 2)), ((middle, low), (middle, high))]
        for pair in bars:
            paper.line([seen.at(*point) for point in pair], HAIR)
    elif opening.kind == "door":
        for x0, x1 in pairwise((opening.at, middle, opening.end)):
            for y0, y1 in pairwise((low + 100, low + 850, high - 60)):
                inset = [(x0 + 70, y0 + 60), (x1 - 70, y0 + 60), (x1 - 70, y1 - 60), (x0 + 70, y1 - 60)]
                paper.polygon([seen.at(*point) for point in inset], HAIR)
