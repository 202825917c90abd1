"""What of one wall is to be drawn, and where on paper its stations and heights are."""

from __future__ import annotations

from dataclasses import field
from functools import cached_property

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Room, Wall
from listel.core.survey.messages import KeyPath
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import RoomSite
from listel.reports.drawings.layout import Sample, figure
from listel.reports.drawings.paper import PLAIN, Box, Point, Sheet, letters_width, shorten
from listel.reports.drawings.walls import Band, Line, height_at

_FAR = 1e5


@dataclass(kw_only=True)
class WallView:
    """One wall on its way to paper. ``origin``: where its left end stands at the height of the level line; ``first``:
    the number that its first numbered thing bears."""

    outcome: Outcome
    site: RoomSite
    wall: Wall
    length: float
    floor: Line
    ceiling: Line | None
    members: list[Band]
    scale: float
    first: int = 1
    origin: Point = (0.0, 0.0)
    paper: Sheet = field(default_factory=Sheet)
    numbered: list[tuple[str, Box, KeyPath]] = field(default_factory=list)
    samples: list[tuple[Sample, str]] = field(default_factory=list)
    beside: dict[tuple[str, float], str] = field(default_factory=dict)

    @property
    def room(self) -> Room:
        """The room it stands in."""
        return self.site.room

    def at(self, station: float, height: float) -> Point:
        """Paper place of a station and a height above the level line: stations run to the right."""
        return (self.origin[0] + station / self.scale, self.origin[1] - height / self.scale)

    def level(self, height: float) -> float:
        """Paper level of a height above the level line."""
        return self.at(0.0, height)[1]

    def box(self, x0: float, x1: float, y0: float, y1: float) -> Box:
        """The paper box between two stations and two heights."""
        (left, low), (right, high) = self.at(min(x0, x1), min(y0, y1)), self.at(max(x0, x1), max(y0, y1))
        return Box(left, high, right, low)

    @property
    def path(self) -> KeyPath:
        """The wall's path from its room."""
        return ("walls", [wall.name for wall in self.room.walls].index(self.wall.name))

    @cached_property
    def legs(self) -> list[tuple[float, float]]:
        """Where the legs of its architraves end and start, from left to right."""
        set_out = self.outcome.sheet.get(SettingOut)
        runs = set_out.runs_on(self.room.name, self.wall.name) if set_out else ()
        return sorted((run.end, run.start) for run in runs if run.member == "architrave" and run.upright)

    def show(self, mm: float) -> str:
        """A length in the job's units, the unit left out where it is mm, as drawings have it."""
        return figure(mm, self.outcome.job.units)

    def sides(self) -> list[Box]:
        """The strips of paper beside the wall that its heights and names will take."""
        left, right = self.at(0.0, 0.0)[0], self.at(self.length, 0.0)[0]
        low, high = self.origin[1] - _FAR, self.origin[1] + _FAR
        return [Box(left - _FAR, low, left - 1.5, high), Box(right + 1.5, low, right + _FAR, high)]

    def title(self, lettering: list[Box]) -> None:
        """The wall's name, over all that stands in its middle."""
        left, right = self.at(0.0, 0.0)[0], self.at(self.length, 0.0)[0]
        name = shorten(f"wall {self.wall.name}", max(right - left + 12.0, 36.0), PLAIN)
        middle, half = (left + right) / 2, letters_width(name, PLAIN, bold=True) / 2 + 1.0
        tops = self.ceiling or ((0.0, height_at(self.floor, 0.0) + 2400.0),)
        levels = [self.level(height) for line in (tops, *(band.top for band in self.members)) for _, height in line]
        levels += [box.y0 for box in lettering if box.x1 > middle - half and box.x0 < middle + half]
        self.paper.words(middle, min(levels) - 2.4, name, PLAIN, "middle", bold=True)
