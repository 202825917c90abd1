"""The section of a moulding at full size, with the arcs' centres and the height of each element."""

from __future__ import annotations

from listel.core.engine import Outcome
from listel.core.job import Trim
from listel.core.units import Units
from listel.reports.drawings.layout import Span, column, dimensions, figure, legend, nothing, scale_for, scale_line
from listel.reports.drawings.mouldings import Arc, Stroke, outline
from listel.reports.drawings.paper import HEAVY, THICK, THIN, WIDTH, Box, Drawing, Point, Sheet

HIGHEST = 100.0


def profile(outcome: Outcome, *, trim: str) -> Drawing:
    """The trim's section, full size where the paper takes it."""
    title = f"{trim}, section"
    the_trim = next((each for each in outcome.job.trim if each.name == trim), None)
    strokes = outline(the_trim) if the_trim else []
    if the_trim is None or not strokes:
        return nothing(title, "The section of this trim was not surveyed.")
    units = outcome.job.units
    top = strokes[-1].end[1]
    furthest = max([the_trim.section.projection or 0.0, *(point[0] for s in strokes for point in (s.start, s.end))])
    scale = max(scale_for(top, HIGHEST, units), scale_for(furthest, 60.0, units))
    paper = Sheet()
    _outline(paper, strokes, scale)
    paper.line((0.0, 6.0), (0.0, -top / scale - 6.0), HEAVY)
    dimensions(paper, [Span(0.0, -top / scale, figure(top, units))], 0.0, across=False, away=-1)
    dimensions(paper, [Span(0.0, furthest / scale, figure(furthest, units))], 0.0, across=True, away=1)
    centres = _centres(paper, strokes, scale)
    labels = _elements(the_trim, strokes, scale, units)
    if labels:
        column(paper, furthest / scale + 14.0, labels)
    if centres:
        legend(paper, [], [(_centre_sample, "the centre an arc is struck from")], WIDTH)
    words = scale_line(paper, scale, units)
    parts = "; ".join(f"{e.kind.replace('-', ' ')} {figure(e.height, units)} high" for e in the_trim.profile)
    size = f"{figure(top, units)} high and {figure(furthest, units)} out from the wall"
    alt = f"Section of {trim}, {size}. {parts or 'No profile was surveyed'}."
    return paper.finish(title, alt, words)


def _outline(paper: Sheet, strokes: list[Stroke], scale: float) -> None:
    def at(point: Point) -> str:
        return f"{point[0] / scale:.2f} {-point[1] / scale:.2f}"

    first, last = strokes[0].start, strokes[-1].end
    data = f"M0 0L{at(first)}"
    for stroke in strokes:
        if isinstance(stroke, Arc):
            (ax, ay), (bx, by), (cx, cy) = stroke.start, stroke.end, stroke.centre
            clockwise = (ax - cx) * -(by - cy) - -(ay - cy) * (bx - cx) > 0
            radii = " ".join(f"{radius / scale:.2f}" for radius in stroke.radii)
            data += f"A{radii} 0 0 {int(clockwise)} {at(stroke.end)}"
        else:
            data += f"L{at(stroke.end)}"
    data += f"L0 {-last[1] / scale:.2f}"
    reach = max(s.end[0] for s in strokes) / scale
    paper.curve(data, [(0.0, 0.0), (reach, -last[1] / scale)], THICK)


def _centres(paper: Sheet, strokes: list[Stroke], scale: float) -> bool:
    centres = dict.fromkeys(stroke.centre for stroke in strokes if isinstance(stroke, Arc))
    for x, y in centres:
        _cross(paper, x / scale, -y / scale)
    return bool(centres)


def _cross(paper: Sheet, x: float, y: float) -> None:
    paper.lines([((x - 0.9, y), (x + 0.9, y)), ((x, y - 0.9), (x, y + 0.9))], THIN)


def _centre_sample(sheet: Sheet, box: Box) -> None:
    _cross(sheet, (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)


def _elements(trim: Trim, strokes: list[Stroke], scale: float, units: Units) -> list[tuple[float, float, str]]:
    """Each element's name and height, led to the middle of its height on the face."""
    labels = []
    level = 0.0
    for element in trim.profile:
        middle = level + element.height / 2
        face = max(
            (p[0] for s in strokes for p in (s.start, s.end) if level <= p[1] <= level + element.height), default=0.0
        )
        size = figure(element.height, units)
        labels.append((face / scale + 1.0, -middle / scale, f"{element.kind.replace('-', ' ')} {size}"))
        level += element.height
    return labels
