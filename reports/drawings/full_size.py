"""The sections of all trims at full size and unbroken, on as few sheets as they take, with a line to check them by."""

from __future__ import annotations

import itertools
from dataclasses import KW_ONLY

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Trim
from listel.core.survey.units import Units
from listel.plugins.proportions import Segment, back_points, profile_path
from listel.reports.drawings.layout import figure, in_sheets, nothing
from listel.reports.drawings.paper import (
    HAIR,
    MEDIUM,
    PLAIN,
    SMALL,
    THICK,
    Box,
    Drawing,
    Sheet,
    letters_width,
    shorten,
    wrap,
)

WIDE, TALL = 145.0, 230.0
"""Paper that a sheet of sections may take, and the most of one section on it, mm."""
WALL = 5.0
LAP = 10.0
"""How much of a section that is taller than a sheet stands on both of its sheets, mm."""
CHECK: dict[Units, tuple[float, int, str]] = {"mm": (100.0, 10, "100 mm"), "inches": (101.6, 8, "4 inches")}
"""The line that a sheet is checked by: its length in mm, its divisions, its length in words."""


@dataclass(frozen=True)
class _Tile:
    """A stretch of a trim's section, from one height to another, as one sheet can hold it."""

    trim: Trim
    path: tuple[Segment, ...]
    back: list[tuple[float, float]]
    low: float
    high: float
    _: KW_ONLY
    part: str = ""

    @property
    def out(self) -> float:
        """How far the section reaches from the wall, mm."""
        return max(x for segment in self.path for x, _ in (segment.start, *segment.points()))

    @property
    def width(self) -> float:
        """The paper it takes across, its words included, mm."""
        return WALL + max(self.out + 14.0, 42.0, letters_width(self.name, PLAIN, bold=True) + 5.0 - WALL)

    @property
    def name(self) -> str:
        """What stands over it."""
        return f"{self.trim.name.capitalize()}{', ' + self.part if self.part else ''}"

    @property
    def height(self) -> float:
        """The paper it takes, its words included, mm."""
        return self.high - self.low + 18.0


def full_size(outcome: Outcome) -> Drawing:
    """Every trim's section at 1:1: its wall hatched at the left, its top edge up; the sheets after the first follow."""
    title = "Sections at full size"
    tiles = [tile for trim in outcome.job.trim for tile in _tiles(trim)]
    if not tiles:
        return nothing(title, "No trim's section was surveyed.")
    sheets = _sheets(sorted(tiles, key=lambda tile: -tile.height))
    units = outcome.job.units
    return in_sheets(sheets, 1, title, lambda some, name: _sheet(some[0], name, units))


def _tiles(trim: Trim) -> list[_Tile]:
    path, back = profile_path(trim), back_points(trim)[::-1]
    if not path:
        return []
    found: list[_Tile] = []
    top, low = path[-1].end[1], 0.0
    if top <= TALL:
        return [_Tile(trim, path, back, 0.0, top)]
    while low < top:
        high = min(low + TALL, top)
        found.append(_Tile(trim, path, back, low, high, part=f"part {len(found) + 1}"))
        low = top if high == top else high - LAP
    return found


Column = list[_Tile]


def _sheets(tiles: list[_Tile]) -> list[list[Column]]:
    """Tiles in columns, columns on sheets: each where there is room first."""
    sheets: list[list[Column]] = []
    for tile in tiles:
        for columns in sheets:
            room = next((c for c in columns if sum(t.height for t in c) + tile.height <= TALL + 19.0), None)
            if room is not None and tile.width <= max(t.width for t in room) + 8.0:
                room.append(tile)
                break
            if sum(max(t.width for t in c) for c in columns) + tile.width <= WIDE:
                columns.append([tile])
                break
        else:
            sheets.append([[tile]])
    return sheets


def _sheet(columns: list[Column], title: str, units: Units) -> Drawing:
    paper, x, alts = Sheet(), 0.0, []
    for column in columns:
        level = 0.0
        for tile in column:
            _section(paper, tile, x, level, units)
            level += tile.height
            size = f"{figure(tile.trim.section.height or tile.high, units)} by {figure(tile.out, units)}"
            alts.append(f"{tile.trim.name} {size}{', ' + tile.part if tile.part else ''}")
        x += max(tile.width for tile in column)
    (check, parts, told), x, foot = CHECK[units], max(x + 3.0, 60.0), paper.bounds.y1
    paper.line((x, foot - check), (x, foot), MEDIUM)
    for number in range(parts + 1):
        level = foot - number * check / parts
        paper.line((x, level), (x + (2.4 if number in (0, parts // 2, parts) else 1.2), level), MEDIUM)
    says = f"This line is {told} long. If your rule says otherwise, the sheet was shrunk: print it at 100 %."
    for number, line in enumerate(wrap(says, 22.0, SMALL)):
        paper.words(x + 4.0, foot - check / 2 + number * SMALL * 1.4, line, SMALL)
    return paper.finish(title, f"Sections at full size: {'; '.join(alts)}.", "1:1")


def _section(paper: Sheet, tile: _Tile, x: float, level: float, units: Units) -> None:
    """One tile with its name over it; where it is cut off, a dashed line and what goes on there."""
    paper.words(x, level + 3.4, shorten(tile.name, WIDE / 2, PLAIN), PLAIN, bold=True)
    size = f"{figure(tile.trim.section.height or tile.high, units)} x {figure(tile.out, units)}"
    paper.words(x, level + 7.4, shorten(size, tile.width - 4.0, SMALL), SMALL)
    top, back = level + 10.0, x + WALL
    low = top + tile.high - tile.low
    paper.hatch(Box(x, top, back, low), 1.4)
    paper.line((back, top), (back, low), THICK)
    face = [tile.path[0].start, *(point for segment in tile.path for point in segment.points(2.0))]
    kept, rear = _clipped(face, tile.low, tile.high), _clipped(tile.back, tile.low, tile.high)
    outline = rear[: tile.low == 0] + kept + (rear[-1:] if tile.high == tile.path[-1].end[1] else [])
    for points in (outline, rear):
        paper.polyline([(back + px, low - (py - tile.low)) for px, py in points], THICK)
    side = back + tile.out + 4.0
    paper.lines(
        [((side, top), (side, low)), ((side - 1, top), (side + 1, top)), ((side - 1, low), (side + 1, low))], HAIR
    )
    paper.words(side + 1.5, (top + low) / 2, figure(tile.high - tile.low, units), SMALL)


def _clipped(points: list[tuple[float, float]], low: float, high: float) -> list[tuple[float, float]]:
    """The stretch of a rising line between two heights."""
    found: list[tuple[float, float]] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        a, b = max(min(y0, y1), low), min(max(y0, y1), high)
        if b < a:
            continue
        for y in (max(min(y0, high), low), max(min(y1, high), low)):
            x = x0 if y1 == y0 else x0 + (x1 - x0) * (y - y0) / (y1 - y0)
            if not found or found[-1] != (x, y):
                found.append((x, y))
            if y1 == y0:
                found.append((x1, y1))
    return found
