"""The walls of a room as they are seen from it, several to a sheet at one scale, with one key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Room, Wall
from listel.core.survey.messages import KeyPath
from listel.core.survey.units import Units
from listel.reports.drawings.layout import Entry, figure, legend, legend_height, note, nothing, scale_for, scale_line
from listel.reports.drawings.one_wall import drawn
from listel.reports.drawings.paper import SMALL, WIDTH, Box, Drawing, Sheet, letters_width
from listel.reports.drawings.wall_view import WallView
from listel.reports.drawings.walls import (
    bands,
    ceiling_line,
    drawn_length,
    floor_line,
    height_at,
    old_bands,
    site_of_outcome,
)

SIDES = {"mm": 52.0, "inches": 64.0}
"""Paper kept for heights at the left and names at the right of the longest wall, mm."""
HIGHEST = 120.0
"""Paper a wall may take up, mm."""
TALLEST = 226.0
"""Paper a sheet may take up, mm."""
GAP = 5.0
"""Between walls that stand side by side, mm."""
NAMES = 34.0
"""Paper that the names of members may take, mm."""


@dataclass(frozen=True)
class _Trial:
    """A wall that was drawn on a sheet of its own: the room it takes, and the width of its members' names."""

    view: WallView
    area: Box
    names: float


Row = list[_Trial]


def elevation(outcome: Outcome, *, room: str, wall: str = "") -> Drawing:
    """The walls of the room at the largest usual scale that the paper takes for the longest, or one of them."""
    the_room = outcome.job.room(room)
    walls = [the_room.wall(wall)] if wall else list(the_room.walls)
    title = f"{room}, wall {wall}, seen from the room" if wall else f"{room}, the walls seen from the room"
    not_drawn = [each.name for each in walls if drawn_length(each) is None]
    why = f"Not drawn: wall {', '.join(not_drawn)}; its length was not surveyed, and nothing on it was placed."
    trials = _trials(outcome, the_room, [each for each in walls if each.name not in not_drawn])
    if not trials:
        return nothing(title, why)
    key = _key(trials)
    pages = _pages(_rows(trials), legend_height(key, WIDTH))
    sheets = []
    for number, rows in enumerate(pages, 1):
        name = f"{title}, sheet {number} of {len(pages)}" if len(pages) > 1 else title
        said = why if not_drawn and number == len(pages) else ""
        sheets.append(_sheet(rows, name, key if number == len(pages) else [], said))
    return replace(sheets[0], further=tuple(sheets[1:]))


def _trials(outcome: Outcome, room: Room, walls: Sequence[Wall]) -> list[_Trial]:
    """Each wall drawn for its size; the numbers of what is on the walls run through the room."""
    scale = _room_scale(room, outcome.job.units)
    site = site_of_outcome(outcome).rooms[room.name]
    found: list[_Trial] = []
    number = 1
    for wall in walls:
        length = drawn_length(wall) or 0.0
        floor = floor_line(site.walls[wall.name], length)
        members = old_bands(outcome.sheet, room.name, wall.name, floor, after=True)
        members += bands(outcome.sheet, room, wall, length, floor)
        ceiling = ceiling_line(site.walls[wall.name], length, floor)
        view = WallView(
            outcome=outcome,
            site=site,
            wall=wall,
            length=length,
            floor=floor,
            ceiling=ceiling,
            members=members,
            scale=scale,
            first=number,
        )
        drawn(view, 0.0)
        number += len(view.numbered)
        marked = {trim for trim, end in view.beside if end}
        names = [*(band.named for band in members if band.named not in marked), *(["ceiling"] if ceiling else [])]
        wide = max((letters_width(name, SMALL) + 3.0 for name in names), default=0.0)
        found.append(_Trial(view, view.paper.bounds, min(wide, NAMES)))
    return found


def _room_scale(room: Room, units: Units) -> int:
    """One scale for all walls of a room: the largest at which the longest and the highest fit."""
    longest = max((drawn_length(wall) or 0.0 for wall in room.walls), default=0.0)
    highest = max((reading.height for reading in room.height), default=0.0)
    return max(scale_for(longest, WIDTH - SIDES[units], units), scale_for(highest, HIGHEST, units))


def _key(trials: list[_Trial]) -> list[Entry]:
    """What the lines and marks of all the walls mean, each once."""
    said: dict[str, Entry] = {}
    for trial in trials:
        for sample, words in trial.view.samples:
            said.setdefault(words, (sample, words))
    return list(said.values())


def _rows(trials: list[_Trial]) -> list[Row]:
    """Walls side by side as far as the paper goes; one too short for a row of its own may join an earlier row."""
    rows: list[Row] = []
    for trial in trials:
        row = next((row for row in rows if _width([*row, trial]) <= WIDTH), None)
        if row is None:
            rows.append([trial])
        else:
            row.append(trial)
    return rows


def _width(row: Row) -> float:
    return sum(trial.area.x1 - trial.area.x0 + GAP for trial in row) - GAP + row[-1].names


def _height(row: Row) -> float:
    return max(trial.area.y1 for trial in row) - min(trial.area.y0 for trial in row) + GAP


def _numbers(rows: list[Row]) -> list[tuple[str, str, KeyPath]]:
    views = sorted((trial.view for row in rows for trial in row), key=lambda view: view.first)
    return [
        (str(number), words, path)
        for view in views
        for number, (words, _, path) in enumerate(view.numbered, view.first)
    ]


def _pages(rows: list[Row], key: float) -> list[list[Row]]:
    """The rows by sheets; under the last there is room for the key as well."""
    pages: list[list[Row]] = []
    for number, row in enumerate(rows, 1):
        room = TALLEST - (key if number == len(rows) else 0.0)
        if (
            pages
            and sum(map(_height, [*pages[-1], row]))
            + legend_height([entry[:2] for entry in _numbers([*pages[-1], row])], WIDTH)
            <= room
        ):
            pages[-1].append(row)
        else:
            pages.append([row])
    return pages


def _sheet(rows: list[Row], title: str, key: list[Entry], said: str) -> Drawing:
    """The rows one under another, the level lines of each row's walls in one line."""
    paper = Sheet()
    level = 0.0
    views = []
    for row in rows:
        top = min(trial.area.y0 for trial in row)
        across = 0.0
        for trial in row:
            view = replace(trial.view, paper=paper, origin=(across - trial.area.x0, level - top))
            view.numbered, view.samples, view.beside = [], [], {}
            drawn(view, trial.names if trial is row[-1] else 0.0)
            across += trial.area.x1 - trial.area.x0 + GAP
            views.append(view)
        level += _height(row)
    numbers = _numbers(rows)
    key_boxes = legend(paper, [*key, *((sign, words) for sign, words, _ in numbers)], WIDTH)
    for box, (_, _, path) in zip(key_boxes[len(key) :], numbers, strict=True):
        paper.shows(path, box)
    if said:
        note(paper, said, WIDTH)
    untaped = [view.wall.name for view in views if not view.wall.length]
    if untaped:
        note(paper, f"Length not surveyed, drawn as far as the things on it reach: wall {', '.join(untaped)}.", WIDTH)
    units = views[0].outcome.job.units
    words = scale_line(paper, views[0].scale, units)
    return paper.finish(title, " ".join(_alt(view, units) for view in views), words)


def _alt(view: WallView, units: Units) -> str:
    """A wall in words."""
    parts = [f"Elevation of wall {view.wall.name} of {view.room.name}, {figure(view.length, units)} long."]
    for band in view.members:
        top = height_at(band.top, band.start) - height_at(view.floor, band.start)
        parts.append(
            f"{band.named} from {figure(band.start, units)} to {figure(band.end, units)}, "
            f"its top {figure(top, units)} above the floor at its left end."
        )
    parts += [f"{number}: {words}." for number, (words, _, _) in enumerate(view.numbered, view.first)]
    return " ".join(parts)
