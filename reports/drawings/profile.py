"""The section of a moulding at full size, with the arcs' centres, and the height and radius of each element."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Trim
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.proportions import Segment, back_points, profile_path
from listel.reports.drawings.layout import (
    Entry,
    Span,
    column,
    dimensions,
    figure,
    legend,
    nothing,
    scale_for,
    scale_line,
)
from listel.reports.drawings.paper import HEAVY, NO_LINE, SMALL, THICK, THIN, WIDTH, Box, Drawing, Sheet

HIGHEST = 110.0
WIDEST = 90.0
LONG, KEPT = 60.0, 16.0
"""A plain upright face longer than LONG is broken, and KEPT of it drawn, mm on paper."""


@dataclass(frozen=True)
class _Section:
    """A path on paper: its scale, and the stretch of a plain face that is left out, from and to [mm], if any."""

    path: tuple[Segment, ...]
    back: list[tuple[float, float]]
    scale: float
    left_out: tuple[float, float] | None

    def up(self, height: float) -> float:
        """Paper level of a height."""
        low, high = self.left_out or (0.0, 0.0)
        return -(height - max(0.0, min(height, high) - low if height > low else 0.0)) / self.scale

    @property
    def top(self) -> float:
        """The height of the whole, mm."""
        return self.path[-1].end[1]

    @property
    def furthest(self) -> float:
        """Its furthest reach from the wall, mm."""
        return max(x for segment in self.path for x, _ in (segment.start, *segment.points()))


def profile(outcome: Outcome, *, trim: str) -> Drawing:
    """The trim's section, full size where the paper takes it; a long plain face is broken."""
    title = f"{trim}, section"
    the_trim = next((each for each in outcome.job.trim if each.name == trim), None)
    path = profile_path(the_trim) if the_trim else ()
    if the_trim is None or not path:
        return nothing(title, "The section of this trim was not surveyed.")
    units = outcome.job.units
    section = _section(path, back_points(the_trim), units)
    paper = Sheet()
    _outline(paper, section)
    struck = dict.fromkeys(segment.centre for segment in path if segment.centre)
    centres = [centre for centre in struck if abs(centre[0]) / section.scale <= WIDEST]  # a flat arc's is far away
    near = any(-12.0 < x / section.scale < -2.0 for x, _ in centres)
    height = Span(start=0.0, end=section.up(section.top), figure=figure(section.top, units))
    dimensions(paper, [height], -8.0 if near else 0.0, across=False, away=-1)
    reach = section.furthest
    dimensions(
        paper, [Span(start=0.0, end=reach / section.scale, figure=figure(reach, units))], 0.0, across=True, away=1
    )
    for x, y in centres:
        _cross(paper, x / section.scale, section.up(y))
    labels = _elements(the_trim, section, units)
    if labels:
        right = max([reach, *(x for x, _ in centres)]) / section.scale
        column(paper, right + 14.0, labels)
    lies, flat, spring = "", the_trim.section.face, the_trim.section.spring
    if spring and flat is not None:
        lies = f"lying flat {figure(flat, units)} wide, its back at {show_angle(spring)} to the wall"
        paper.words(0.0, paper.bounds.y1 + 5.0, lies, SMALL)
    key: list[Entry] = [(_centre_sample, "the centre an arc is struck from")] if centres else []
    if section.left_out:
        key.append((_break_sample, "a plain face, part of it left out"))
    if key:
        legend(paper, key, WIDTH)
    words = scale_line(paper, section.scale, units)
    parts = "; ".join(f"{e.kind.replace('-', ' ')} {figure(e.height, units)} high" for e in the_trim.profile)
    size = f"{figure(section.top, units)} high and {figure(reach, units)} out from the wall"
    paper.shows(("trim", [each.name for each in outcome.job.trim].index(trim)), paper.bounds)
    size += f"; {lies}" if lies else ""
    alt = f"Section of {trim}, {size}. {parts or 'No profile was surveyed'}."
    return paper.finish(title, alt, words)


def _section(path: tuple[Segment, ...], back: list[tuple[float, float]], units: Units) -> _Section:
    """The path at full size, its longest plain face broken where that is long; else at a scale that the paper takes."""
    whole = _Section(path, back, 1.0, None)
    upright = [s for s in path if s.centre is None and s.start[0] == s.end[0]]
    longest = max(upright, key=lambda s: s.end[1] - s.start[1], default=None)
    if longest and longest.end[1] - longest.start[1] > LONG:
        middle = (longest.start[1] + longest.end[1]) / 2
        half = (longest.end[1] - longest.start[1] - KEPT) / 2
        broken = _Section(path, back, 1.0, (middle - half, middle + half))
        if -broken.up(broken.top) <= HIGHEST and broken.furthest <= WIDEST:
            return broken
    return _Section(
        path, back, max(scale_for(whole.top, HIGHEST, units), scale_for(whole.furthest, WIDEST, units)), None
    )


def _outline(paper: Sheet, section: _Section) -> None:
    """The section against the wall; where part is left out, a break across it, where its back is not known no line."""
    scale = section.scale

    def at(point: tuple[float, float]) -> str:
        return f"{point[0] / scale:.2f} {section.up(point[1]):.2f}"

    path = section.path
    data = f"M{at(section.back[-1])}L{at(path[0].start)}" if section.back else f"M{at(path[0].start)}"
    for segment in path:
        if segment.centre:
            radius = f"{segment.radius / scale:.3f}"
            data += f"A{radius} {radius} 0 0 {int(segment.clockwise)} {at(segment.end)}"
        else:
            data += f"L{at(segment.end)}"
    top = section.up(section.top)
    points = [(x / scale, section.up(y)) for segment in path for x, y in segment.points()]
    data += "".join(f"L{at(point)}" for point in section.back)
    paper.curve(data, [(0.0, 0.0), *points], THICK)
    paper.line((0.0, 6.0), (0.0, top - 6.0), HEAVY)
    if section.left_out:
        level = section.up(section.left_out[0])
        face = next(s.start[0] for s in path if s.start[1] <= section.left_out[0] <= s.end[1] and not s.centre) / scale
        _break(paper, -2.5, face + 2.5, level)


def _break(paper: Sheet, start: float, end: float, level: float) -> None:
    """The break: two long thin lines with a zigzag, and nothing of the outline between them."""
    middle = (start + end) / 2
    paper.rectangle(Box(start, level - 0.8, end, level + 0.8), NO_LINE, "white")
    for y in (level - 0.8, level + 0.8):
        zigzag = [
            (start, y),
            (middle - 1.2, y),
            (middle - 0.4, y - 1.6),
            (middle + 0.4, y + 1.6),
            (middle + 1.2, y),
            (end, y),
        ]
        paper.polyline(zigzag, THIN)


def _break_sample(sheet: Sheet, box: Box) -> None:
    _break(sheet, box.x0, box.x1, (box.y0 + box.y1) / 2)


def _cross(paper: Sheet, x: float, y: float) -> None:
    paper.lines([((x - 0.9, y), (x + 0.9, y)), ((x, y - 0.9), (x, y + 0.9))], THIN)


def _centre_sample(sheet: Sheet, box: Box) -> None:
    _cross(sheet, (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)


def _elements(trim: Trim, section: _Section, units: Units) -> list[tuple[float, float, str]]:
    """Each element's name, height and radius, led to the middle of its height on the face."""
    labels = []
    level = 0.0
    for element in trim.profile:
        low, high = level - 0.001, level + element.height + 0.001
        mine = [s for s in section.path if low <= min(s.start[1], s.end[1]) and max(s.start[1], s.end[1]) <= high]
        middle = level + element.height / 2
        face = max((x for segment in mine for x in _face(segment, middle)), default=0.0)
        radii = list(dict.fromkeys(_fine(s.radius, units) for s in mine if s.centre))
        words = f"{element.kind.replace('-', ' ')} {figure(element.height, units)}"
        if radii:
            words += f", {'radii' if len(radii) > 1 else 'radius'} {' and '.join(radii)}"
        labels.append((face / section.scale + 1.0, section.up(middle), words))
        level += element.height
    return labels


def _face(segment: Segment, height: float) -> Iterator[float]:
    """How far out a segment stands at a height; nothing where it does not reach it."""
    for (x0, y0), (x1, y1) in pairwise([segment.start, *segment.points(5.0)]):
        if min(y0, y1) <= height <= max(y0, y1):
            yield x0 + (x1 - x0) * (height - y0) / (y1 - y0) if y1 != y0 else max(x0, x1)


def _fine(mm: float, units: Units) -> str:
    return f"{mm:.1f}".removesuffix(".0") if units == "mm" else show_length(mm, "inches")
