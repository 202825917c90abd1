"""A room's sheet of the workshop pack: mark, drill, fix."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import ceil

from listel.core.contract.findings import Finding
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Room
from listel.core.survey.units import Units, show_length
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.safety import SafetyNotes
from listel.plugins.setting_out import Mark, SettingOut
from listel.plugins.site import tables
from listel.reports.drawings.layout import figure
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.small_plan import small_plan
from listel.reports.drawings.strip import strip
from listel.reports.papers.holds import Held, Hold, sentence
from listel.reports.papers.rooms import UPPER, Corner, TrimLevel, corners, drawn_levels, levels
from listel.reports.papers.workshop.before import Keeps, kept_to
from listel.reports.papers.workshop.hazards import Met, met_in

SHEET, LINE, CORNER_TABLE, TOPS = 186.0, 3.9, 21.0, 14.0
"""Paper that a room's drawing and its tables share on the shorter sheet, US Letter, of a line of them, of a table of
corners, of what stands over the tops and under them, mm."""
INTO, DRILLS, KEEP_OUT, WIDE, LETTER = 32.0, 136.0, 20.0, 186.0, 1.62
"""The width of the drill table's column of what is drilled into, of its columns of trims together, of that of what to
keep out of, of the sheet, of a letter, mm."""
LEAST, MOST = 56.0, 122.0
"""The paper that the drawing takes at the least and at the most, mm."""
AT_THE_WALL = ("setting-out/past-what-it-stands-on", "setting-out/steps-at-corner")
"""The cautions that a room's sheet tells beside the fixings of their wall."""
CORNERS = 8
"""Corners in one table at most."""


@dataclass(frozen=True, kw_only=True)
class Drill:
    """The fixings of one trim on one wall: what to take and where, from the left, each starred where it lies in a
    keep-out band; ``alike``: the trim told before it that has them at the same stations."""

    take: str
    stations: tuple[tuple[str, bool], ...]
    alike: str = ""


@dataclass(frozen=True, kw_only=True)
class WallRow:
    """One wall: what it is and what holes in it keep to, the fixings of each trim in the order of the columns, the
    bands to keep out of, what stops the work there."""

    wall: str
    into: str
    keeps: Keeps
    drills: tuple[tuple[Drill, ...], ...]
    keep_out: tuple[tuple[float, float], ...]
    stops: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TopRow:
    """Tops above the floor at one station, for trims that no single level serves; ``station`` None: all along the wall.
    ``read``: whether the floor was read there."""

    wall: str
    station: float | None
    tops: tuple[float | None, ...]
    read: bool


@dataclass(frozen=True, kw_only=True)
class RoomSheet:
    """Everything to mark, drill and fix by in one room."""

    met: Met
    plan: Drawing | None
    drawing: Drawing
    levels: tuple[TrimLevel, ...]
    trims: tuple[str, ...]
    """The head of each column of the drill table: a trim, and how far under its top edge its rows lie."""
    walls: tuple[WallRow, ...]
    corners: tuple[tuple[Corner, ...], ...]
    tops: tuple[TopRow, ...]
    loose: tuple[str, ...]
    first: str
    last: str


def room_sheet(outcome: Outcome, setting_out: SettingOut, room: Room, held: Held) -> RoomSheet | None:
    """The sheet of a room; None where nothing is set out in it."""
    here = setting_out.pieces_on(room.name)
    if not here:
        return None
    units, named = outcome.job.units, setting_out.numbers
    found = levels(setting_out, room.name)
    schedule = outcome.sheet.get(FixingSchedule)
    lines = [line for line in schedule.lines_on(room.name) if line.points] if schedule else []
    fresh = [line for line in lines if not _goes_back(line)]
    along = [trim.name for trim in outcome.job.trim if tables.on_walls(trim.member)]
    trims = tuple(trim for trim in along if any(line.trim == trim for line in fresh))
    cut = corners(setting_out, room.name)
    loose = tuple(level.trim for level in found if not level.told)
    walls = tuple(_wall_rows(outcome, room, lines, trims, held))
    tables_of_corners = tuple(tuple(cut[n : n + CORNERS]) for n in range(0, len(cut), CORNERS))
    tops = tuple(tops_above_floor(setting_out, room.name, loose))
    met = met_in(outcome, room.name)
    tall = left_for_drawing(walls, len(trims), len(tables_of_corners), len(tops), units, said=met.letters)
    ordered = [named[piece.label] for piece in sorted(here, key=lambda piece: piece.order)]
    return RoomSheet(
        met=met,
        plan=small_plan(outcome, room.name),
        drawing=strip(outcome, room=room.name, levels=drawn_levels(found, units), tall=tall),
        levels=tuple(level for level in found if level.told),
        trims=tuple(", ".join(filter(None, (trim, _usual(fresh, trim, units)))) for trim in trims),
        walls=walls,
        corners=tables_of_corners,
        tops=tops,
        loose=loose,
        first=ordered[0],
        last=ordered[-1],
    )


def left_for_drawing(
    walls: tuple[WallRow, ...], trims: int, corners: int, tops: int, units: Units, *, said: int = 0
) -> float:
    """The paper that the words of a room's sheet leave for its drawing, mm; where they fill a sheet by themselves it
    runs on to another, and leaves the most. ``said``: the letters of what stands over the drawing."""
    letters = DRILLS / max(trims, 1) / LETTER
    lines = sum(
        max(
            ceil(_into(row) * LETTER / INTO),
            ceil(sum(len(figure(at, units)) + 1 for band in row.keep_out for at in band) * LETTER / KEEP_OUT),
            *(ceil(_letters(drills) / letters) for drills in row.drills),
        )
        for row in walls
    )
    lines_said = ceil(said * LETTER / WIDE) + sum(
        ceil((sum(map(len, (*row.stops, *row.notes))) + 14) * LETTER / WIDE) for row in walls if row.stops or row.notes
    )
    left = SHEET - LINE * (lines + 1.2 * lines_said + 0.3 * len(walls) + 1.3 * tops) - CORNER_TABLE * corners
    left -= TOPS if tops else 0.0
    return MOST if left < 0.0 else min(max(left, LEAST), MOST)


def _into(row: WallRow) -> int:
    """About how many letters it takes to say what a wall is drilled into, and what holes in it keep to."""
    keeps = row.keeps
    told = len(keeps.deepest) + 18 if keeps.deepest else 0
    told += len(keeps.unsound) + 10 if keeps.unsound else 0
    told += 10 if keeps.gas else 0
    return len(row.into) + told + (18 if keeps.flue != "no" else 0)


def _letters(drills: tuple[Drill, ...]) -> int:
    """About how many letters the fixings of one trim on one wall take."""
    return sum(
        len(drill.take) + 2 + (len(drill.alike) + 3 if drill.alike else sum(len(at) + 1 for at, _ in drill.stations))
        for drill in drills
    )


def _wall_rows(
    outcome: Outcome, room: Room, lines: list[Fixing], trims: tuple[str, ...], held: Held
) -> Iterator[WallRow]:
    fresh = [line for line in lines if not _goes_back(line)]
    usual = {trim: _usual(fresh, trim, outcome.job.units) for trim in trims}
    notes = outcome.sheet.get(SafetyNotes)
    for wall in room.walls:
        there = [line for line in lines if line.wall == wall.name]
        mine = [line for line in there if not _goes_back(line)]
        here = (room.name, wall.name)
        stops = [_stop(hold, said) for hold, said in held.get(here, ())]
        if not there and not stops:
            continue
        starred = {
            (crossing.trim, round(crossing.start))
            for crossing in (notes.crossings_on(*here) if notes else ())
            if crossing.fixing
        }
        makeup = tables.makeup(wall)
        plugs = wall.substrate.plugs if wall.substrate else ()
        units = outcome.job.units
        said = [f"Old plugs, first: {', '.join(figure(plug, units) for plug in plugs)}."] if plugs else []
        framed = [line for line in mine if tables.goes_round_panels(line.member)]
        said += [f"{each.says} {sentence(each.mend)}" for each in outcome.findings if _is_told(each, *here)]
        said += [_back(line, starred, units) for line in there if _goes_back(line)]
        said += [_round_opening(line, units) for line in mine if line.trim not in trims and line not in framed]
        said += _panels(framed, units)
        yield WallRow(
            wall=wall.name,
            into=makeup.name.replace("-", " ") if makeup else "not surveyed",
            keeps=kept_to(outcome, *here),
            drills=tuple(_alike(trims, [_drills(mine, trim, starred, units, usual[trim]) for trim in trims])),
            keep_out=tuple(_keep_out(notes, room.name, wall.name)),
            stops=tuple(dict.fromkeys(stops)),
            notes=tuple(said),
        )


def _goes_back(line: Fixing) -> bool:
    """Whether it is of an old piece along a wall, or a splice of one, which has its own holes and no column."""
    return bool(line.old) and not line.upright


def _back(line: Fixing, starred: set[tuple[str, int]], units: Units) -> str:
    """Where an old piece is fixed: its own stations, and how many of them are old holes."""
    stations = sorted({round(point.station) for point in line.points})
    told = " ".join(f"{figure(at, units)}{'*' * ((line.trim, at) in starred)}" for at in stations)
    dead = " A star: prove it dead first, and move none." if any((line.trim, at) in starred for at in stations) else ""
    holes = f"{line.old_holes} of {line.count} in its old holes"
    return f"{line.old.capitalize()}: {_size(line, units)} at {told}, {holes}.{dead}"


def _is_told(finding: Finding, room: str, wall: str) -> bool:
    """Whether a finding that holds nothing is to be known at the wall itself."""
    return finding.rule in AT_THE_WALL and (finding.where.room, finding.where.wall) == (room, wall)


def _stop(hold: Hold, said: Finding) -> str:
    """Why the work stops at a wall; who lifts what protects people stands on the first sheet."""
    return f"{hold.says} See no. {hold.number} of the first sheet." if hold.protects else said.says


def _size(line: Fixing, units: Units) -> str:
    """A fixing as it is taken from its box: "No. 8 x 90"."""
    size = show_length(line.length, units).removesuffix(" mm") if line.length is not None else "length not known"
    name = line.gauge or (figure(line.diameter, units) if line.diameter is not None else "")
    return " x ".join(part for part in (name, size) if part) or line.kind.replace("-", " ")


def _round_opening(line: Fixing, units: Units) -> str:
    """The fixings of a piece round an opening: a leg's by their number, a head's by their stations."""
    if line.upright:
        which = "jamb" if tables.goes_through_openings(line.member) else "leg"
        heights = sorted({round(point.height) for point in line.points if point.height is not None})
        up = (
            f", {line.rows} rows, up from the floor at {' '.join(figure(at, units) for at in heights)}"
            if heights
            else ""
        )
        leg = f"{line.trim.capitalize()}, {which} at {figure(line.start, units)}"
        return f"{leg}: {line.count} of {_size(line, units)}{up}."
    stations = " ".join(figure(station, units) for station in sorted({round(point.station) for point in line.points}))
    return f"{line.trim.capitalize()}, head: {_size(line, units)} at {stations}."


def _panels(lines: list[Fixing], units: Units) -> Iterator[str]:
    """The fixings of the panels of a wall: of each size the feet and heads together, then the uprights."""
    found: dict[tuple[str, str], list[Fixing]] = {}
    for line in lines:
        found.setdefault((line.trim, _size(line, units)), []).append(line)
    for (trim, size), alike in found.items():
        level = sorted({round(point.station) for line in alike if not line.upright for point in line.points})
        uprights = [line for line in alike if line.upright]
        up = "; ".join(f"{figure(line.start, units)}: {line.count}" for line in uprights)
        parts = [f"foot and head at {' '.join(figure(at, units) for at in level)}"] if level else []
        parts += [f"evenly up the upright at {up}"] if uprights else []
        yield f"{trim.capitalize()}, {size}: {'; '.join(parts)}."


def _down(line: Fixing, units: Units) -> str:
    """How far under the top edge the rows of a line lie: "56 and 169 down"."""
    *upper, last = [figure(down, units) for down in line.rows_down] or [""]
    return " and ".join(filter(None, (", ".join(upper), last))) + " down" if last else ""


def _usual(lines: Iterable[Fixing], trim: str, units: Units) -> str:
    """How far down the rows of a trim lie on most walls of the room."""
    found = Counter(down for line in lines if line.trim == trim and (down := _down(line, units)))
    return found.most_common(1)[0][0] if found else ""


def _drills(
    lines: list[Fixing], trim: str, starred: set[tuple[str, int]], units: Units, usual: str
) -> tuple[Drill, ...]:
    """The fixings of one trim on one wall, those of one size together; ``usual``: what the head of their column says of
    how far down they lie."""
    found: dict[str, set[int]] = {}
    for line in lines:
        if line.trim == trim:
            take, down = _size(line, units), _down(line, units)
            if down and down != usual:
                take += f", {down}"
            found.setdefault(take, set()).update(round(point.station) for point in line.points)
    return tuple(
        Drill(take=take, stations=tuple((figure(at, units), (trim, at) in starred) for at in sorted(stations)))
        for take, stations in found.items()
    )


def _alike(trims: tuple[str, ...], drills: list[tuple[Drill, ...]]) -> Iterator[tuple[Drill, ...]]:
    """The same, with the trim named before that has its fixings at the same stations."""
    for number, mine in enumerate(drills):
        if len(mine) != 1:
            yield mine
            continue
        before = zip(trims[:number], drills[:number], strict=True)
        same = next((t for t, other in before if len(other) == 1 and other[0].stations == mine[0].stations), "")
        yield (replace(mine[0], alike=same),)


def _keep_out(notes: SafetyNotes | None, room: str, wall: str) -> Iterator[tuple[float, float]]:
    """The upright bands of a wall in which a cable or pipe may run, those that overlap as one."""
    zones = notes.zones_on(room, wall) if notes else []
    bands = sorted((zone.x0, zone.x1) for zone in zones if zone.kind in ("vertical", "pipe", "gas"))
    held: list[list[float]] = []
    for low, high in bands:
        if held and low <= held[-1][1]:
            held[-1][1] = max(held[-1][1], high)
        else:
            held.append([max(low, 0.0), high])
    yield from ((low, high) for low, high in held)


def tops_above_floor(setting_out: SettingOut, room: str, loose: tuple[str, ...]) -> Iterator[TopRow]:
    """The tops of those trims where the floor was read and at the ends of each wall; once where they stay the same."""
    walls: dict[str, dict[int, list[Mark]]] = {}
    for mark in setting_out.marks_on(room):
        if mark.edge in UPPER and mark.trim in loose:
            walls.setdefault(mark.wall, {}).setdefault(round(mark.station), []).append(mark)
    for wall, stations in walls.items():
        rows = []
        for station, marks in stations.items():
            here = {mark.trim: mark.above_floor for mark in marks}
            tops = tuple(here.get(trim) for trim in loose)
            rows.append(TopRow(wall=wall, station=float(station), tops=tops, read=all(mark.read for mark in marks)))
        alike = len(rows) > 1 and len({(row.tops, row.read) for row in rows}) == 1
        yield from [replace(rows[0], station=None)] if alike else rows
