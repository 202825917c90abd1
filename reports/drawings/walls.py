"""A wall as its elevation needs it: floor, ceiling and members as lines, heights from one level line."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from math import inf, radians, tan

from listel.core.contract.stage import Sheet
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Room, Wall
from listel.plugins.existing import Existing
from listel.plugins.heights import RailHeights
from listel.plugins.panelling import Frame, Panelling
from listel.plugins.setting_out import Piece, Run, SettingOut
from listel.plugins.site import FlightSite, RoomSite, Site, WallSite, site_of, tables

Line = tuple[tuple[float, float], ...]
"""Points (station, height above the level line), stations rising."""


Shown = tuple[float, float, float, float]
"""Of a part of a frame the stations of its edges, its lower and its upper edge."""


def height_at(line: Line, station: float) -> float:
    """The height of a line at a station; level beyond its ends."""
    if station <= line[0][0]:
        return line[0][1]
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        if station <= x1:
            return y0 + (y1 - y0) * (station - x0) / (x1 - x0) if x1 > x0 else y1
    return line[-1][1]


def between(line: Line, start: float, end: float) -> Line:
    """The stretch of a line from one station to another."""
    inner = [(x, y) for x, y in line if start < x < end]
    return ((start, height_at(line, start)), *inner, (end, height_at(line, end)))


def drawn_length(wall: Wall) -> float | None:
    """The wall's length; where it was not taped, as far as anything on it reaches; None where nothing does."""
    if wall.length:
        return wall.length.value
    ends = [opening.end for opening in wall.openings]
    ends += [fitting.at + (fitting.width or 0.0) for fitting in wall.fittings]
    ends += [reading.at for reading in (*wall.floor, *wall.ceiling)]
    return max(ends, default=0.0) or None


def site_of_outcome(outcome: Outcome) -> Site:
    """The site as the outcome has it; worked out from its job where the outcome holds none."""
    return outcome.sheet.get(Site) or site_of(outcome.job)


def floor_line(wall: WallSite, length: float) -> Line:
    """The floor as surveyed from the level line; level where no reading was taken."""
    level = -(wall.datum or 0.0)
    points = wall.floors.points(0.0, length) or ((0.0, -level), (length, -level))
    return tuple((station, -tape) for station, tape in points)


def ceiling_line(wall: WallSite, length: float, floor: Line) -> Line | None:
    """The ceiling as the site has it above the level line, else its usual height over the floor's left end."""
    known = wall.ceilings.points(0.0, length)
    if known or wall.usual is None:
        return known or None
    level = height_at(floor, 0.0) + wall.usual
    return ((0.0, level), (length, level))


@dataclass(frozen=True, kw_only=True)
class Band:
    """A member on a wall between two stations: its underside and its top as lines from the level line. ``old``: of
    old trim its place among the wall's own; None of new."""

    trim: str
    member: str
    underside: Line
    top: Line
    pieces: tuple[tuple[float, float, str], ...] = ()
    old: int | None = None

    @property
    def named(self) -> str:
        """What it is called on the wall: the number of an old piece, else its trim."""
        return self.trim if self.old is None else self.pieces[0][2]

    @property
    def start(self) -> float:
        """Its first station."""
        return self.top[0][0]

    @property
    def end(self) -> float:
        """Its last station."""
        return self.top[-1][0]


def bands(sheet: Sheet, room: Room, wall: Wall, length: float, floor: Line) -> list[Band]:
    """Every member that runs along the wall, from the setting out, what stands on panelling after it; the rails alone
    where there is none."""
    setting_out = sheet.get(SettingOut)
    if setting_out is None:
        return _rails(sheet, room, wall, length, floor)
    here = (room.name, wall.name)
    pieces: defaultdict[tuple[str, str], list[Piece]] = defaultdict(list)
    for piece in sorted(setting_out.pieces_on(*here), key=lambda piece: piece.start):
        if not piece.upright:
            pieces[piece.trim, piece.side].append(piece)
    found = []
    for run in setting_out.runs_on(*here):
        if run.upright:
            found += _upright(run, floor)
            continue
        if run.top is None or run.end <= run.start:
            continue
        top, underside = (
            _edge(edge, run, setting_out.edge_on(edge, *here, run.trim), floor) for edge in ("top", "underside")
        )
        if top is None:
            continue
        ours = pieces[run.trim, run.side]
        first, last = (bisect_left(ours, at, key=lambda piece: piece.start) for at in (run.start - 1, run.end))
        named = tuple((piece.start, piece.end, piece.label) for piece in ours[first:last])
        found.append(Band(trim=run.trim, member=run.member, underside=underside or top, top=top, pieces=named))
    return [*framed(sheet, room, wall, floor, Panelling.shown), *found, *_closed(sheet, room, wall, floor)]


def _closed(sheet: Sheet, room: Room, wall: Wall, floor: Line) -> Iterator[Band]:
    """The leaves of shutters, closed over their window, from its left to its right."""
    shutters = sheet[SettingOut].shutters
    for made in (sheet.get(Panelling) or Panelling()).shutters:
        if (made.room, made.wall) != (room.name, wall.name):
            continue
        run = shutters[made.label]
        opening = next(each for each in wall.openings if (each.at, each.end) == (run.start, run.end))
        foot = height_at(floor, opening.at) + (opening.sill or 0.0)
        first = (run.start + run.end) / 2 - sum(made.covers)
        edges = list(itertools.accumulate((*made.covers, *reversed(made.covers)), initial=first))
        for start, end in itertools.pairwise(edges):
            under, top = (((start, foot + at), (end, foot + at)) for at in (0.0, made.height))
            yield Band(trim=made.trim, member=run.member, underside=under, top=top)


def framed(
    sheet: Sheet, room: Room, wall: Wall, floor: Line, shown: Callable[[Panelling, Frame], Iterable[Shown]]
) -> Iterator[Band]:
    """What is ``shown`` of the frames of panelling on a wall, their members or their panels, level from the foot that
    was set out."""
    laid = (sheet.get(SettingOut) or SettingOut()).laid
    panelling = sheet.get(Panelling) or Panelling()
    for frame in panelling.frames:
        if (frame.room, frame.wall) != (room.name, wall.name):
            continue
        for run in laid.of(room=room.name, wall=wall.name, trim=frame.trim)[:1]:
            foot = height_at(floor, run.start) + (run.underside or 0.0)
            for start, end, low, high in shown(panelling, frame):
                edges = [((start, foot + at), (end, foot + at)) for at in (low, high)]
                yield Band(trim=frame.trim, member="wainscot", underside=edges[0], top=edges[1])


def _upright(run: Run, floor: Line) -> list[Band]:
    """An upright of a panel, a leg or a block round an opening."""
    if run.top is None or run.underside is None:
        return []
    level, ends = height_at(floor, run.start), (run.start, run.end)
    low, high = (tuple((at, level + height) for at in ends) for height in (run.underside, run.top))
    return [Band(trim=run.trim, member=run.member, underside=low, top=high)]


def old_bands(sheet: Sheet, room: str, wall: str, floor: Line, *, after: bool) -> list[Band]:
    """The old trim along a wall whose height was surveyed: all of it, or what of it stands there ``after`` the work."""
    existing = sheet.get(Existing)
    found = []
    mine = [p for p in (existing.pieces_on(room, wall) if existing else ()) if not (p.opening or p.flight)]
    for number, piece in enumerate(mine):
        if piece.end is None:
            continue
        top = piece.top if piece.top is not None else piece.height
        if top is None or piece.height is None or (after and not piece.stays):
            continue
        over = tuple((x, height_at(floor, x) + top) for x in (piece.start, piece.end))
        under = tuple((x, y - piece.height) for x, y in over)
        mark = ((piece.start, piece.end, piece.label),)
        found.append(Band(trim=piece.trim, member=piece.member, underside=under, top=over, pieces=mark, old=number))
    return found


def _edge(edge: str, run: Run, marks: Sequence[tuple[float, float]], floor: Line) -> Line | None:
    """One edge of a run: through the marks on the wall where there are at least two, else from the run itself."""
    height = run.top if edge == "top" else run.underside
    here = marks[bisect_left(marks, (run.start - 1,)) : bisect_left(marks, (run.end + 1, inf))]
    own = [(station, height_at(floor, station) + above) for station, above in here]
    stands = tables.member(run.member).get("stands") and run.member != "architrave"
    if edge == "underside" and stands and not run.pitch and (run.underside or 0.0) < 1.0:
        return between(floor, run.start, run.end)
    if len({station for station, _ in own}) >= 2 and not run.pitch:
        return between(tuple(own), run.start, run.end)
    if height is None:
        return None
    level = height_at(floor, run.start) + height
    rise = (run.end - run.start) * tan(radians(run.pitch))
    line = ((run.start, level), (run.end, level + rise))
    return _scribed(line, floor) if edge == "underside" and stands else line


def _scribed(line: Line, floor: Line) -> Line:
    """The straight underside of a board that stands, no lower than the floor."""
    (start, low), (end, high) = line
    before, after = low - height_at(floor, start), high - height_at(floor, end)
    meets = start + (end - start) * before / (before - after) if before * after < 0 else start
    return tuple((at, max(height_at(line, at), height_at(floor, at))) for at in sorted({start, meets, end}))


def _rails(sheet: Sheet, room: Room, wall: Wall, length: float, floor: Line) -> list[Band]:
    heights = sheet.get(RailHeights)
    found = []
    for rail in heights.lines_in(room.name) if heights else ():
        if rail.top is not None:
            base = height_at(floor, 0.0)
            top = ((0.0, base + rail.top), (length, base + rail.top))
            low = rail.top if rail.underside is None else rail.underside
            underside = ((0.0, base + low), (length, base + low))
            found.append(Band(trim=rail.trim or rail.member, member=rail.member, underside=underside, top=top))
    return found


def pitch_line(room: RoomSite, wall: str, length: float, floor: Line) -> list[tuple[FlightSite, Line]]:
    """Each flight along the wall with its steps, winders among them where they are known."""
    found = []
    for site in room.flights.values():
        nosings, rise = site.nosings(wall, length), site.flight.rise or 0.0
        along = site.on(wall)
        if along is None or not nosings:
            continue
        foot = height_at(floor, along.foot if along.foot is not None else nosings[0][0])
        points = [point for at, height in nosings for point in ((at, foot + height - rise), (at, foot + height))]
        last, way = nosings[-1], 1.0 if along.up == "right" else -1.0
        end = last[0] + way * (site.flight.going or 0.0)
        found.append((site, (*points, (min(max(end, 0.0), length), foot + last[1]))))
    return found
