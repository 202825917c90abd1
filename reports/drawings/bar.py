"""One piece as it will hang: face to you, top edge up, the wall behind; over it its top edge seen from above."""

from __future__ import annotations

from collections.abc import Sequence

from listel.core.quick import dataclass
from listel.core.survey.job import Trim
from listel.plugins.proportions import profile_path
from listel.plugins.setting_out import Notch, Piece, PieceEnd
from listel.reports.drawings.paper import HAIR, HEAVY, MEDIUM, NO_LINE, SMALL, Box, Drawing, Point, Sheet, shorten

LONG = 36.0
DEEP, HIGH, APART = 2.4, 4.4, 0.9
LEAN = 2.6
"""How far a cut leans on the drawing, mm: its slope is shown, its angle is written."""


@dataclass(frozen=True)
class _End:
    """Where an end stands on paper, in from the piece's longest point: at the back, at the face's top and foot."""

    back: float
    top: float
    foot: float
    cope: bool = False


def bar(
    piece: Piece, trim: Trim | None, *, up: str = "top", turned: bool = False, cut_out: Sequence[Notch] = ()
) -> Drawing:
    """The piece between its two ends. ``up``: what is written on the edge that lies up; ``turned``: an upright piece
    laid with its head to the left; ``cut_out``: its notches and holes. Dots mark the points it is measured between."""
    ends = (piece.right, piece.left) if turned else (piece.left, piece.right)
    paper = Sheet()
    left, right = (_end(end) for end in ends)
    face, low = DEEP + APART, DEEP + APART + HIGH
    paper.hatch(Box(0.0, -1.0, LONG, 0.0), 0.9)
    paper.line((-1.0, 0.0), (LONG + 1.0, 0.0), HEAVY)
    plan = [(left.back, 0.0), (LONG - right.back, 0.0), (LONG - right.top, DEEP), (left.top, DEEP)]
    paper.polygon(plan, MEDIUM, "white")
    outline = [*_edge(left, trim, face), *((LONG - x, y) for x, y in reversed(_edge(right, trim, face)))]
    paper.polygon(outline, MEDIUM, "white")
    start, stop = max(left.top, left.foot) + 0.6, LONG - max(right.top, right.foot) - 0.6
    for share in _arrises(trim):
        y = low - share * HIGH
        paper.line((start, y), (stop, y), HAIR)
    depth = (trim.section.height if trim else None) or 0.0
    for notch in cut_out if depth else ():
        middle, half = (
            LONG * (notch.start + notch.end) / 2 / piece.back,
            LONG * (notch.end - notch.start) / 2 / piece.back,
        )
        foot = low if notch.open_below else face + HIGH * min(1.0, notch.lower / depth)
        hole = Box(middle - max(half, 0.6), face + HIGH * notch.upper / depth, middle + max(half, 0.6), foot)
        paper.rectangle(hole, MEDIUM, "white")
        paper.hatch(hole, 0.7)
    for end, at in ((left, lambda x: x), (right, lambda x: LONG - x)):
        paper.circle(*_long_point(end, at, face, low), 0.75, NO_LINE, "black")
    words = shorten(up, LONG - 12.0, SMALL)
    box = paper.words(_clear_of(cut_out, piece.back) + 1.5, low - HIGH / 2 + 0.36 * SMALL, words, SMALL, "middle")
    paper.rectangle(Box(box.x0 - 3.2, low - HIGH / 2 - 1.4, box.x0, low - HIGH / 2 + 1.4), NO_LINE, "white")
    tip = (box.x0 - 1.6, low - HIGH / 2 - 1.0)
    paper.polygon([tip, (tip[0] - 1.1, tip[1] + 2.0), (tip[0] + 1.1, tip[1] + 2.0)], NO_LINE, "black")
    told = " and ".join(end.kind.replace("-", " ") for end in ends)
    return paper.finish("The piece", f"The piece, face to you, its left and right ends: {told}.", "not to scale")


def _clear_of(cut_out: Sequence[Notch], back: float) -> float:
    """Where along the drawing its word stands clear of what is cut out: in the middle, where that will do."""
    taken = [(LONG * notch.start / back - 5.0, LONG * notch.end / back + 5.0) for notch in cut_out]
    places = (LONG * share for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8))
    return next((x for x in places if not any(low < x < high for low, high in taken)), LONG / 2)


def _end(end: PieceEnd) -> _End:
    if end.kind in ("knee", "head-mitre", "frame-mitre", "plumb", "splayed"):
        short_top = end.long_edge == "underside"
        return _End(0.0, LEAN if short_top else 0.0, 0.0 if short_top else LEAN)
    if abs(end.gives) < 0.5:
        return _End(0.0, 0.0, 0.0)
    if end.gives > 0:
        return _End(LEAN, 0.0, 0.0)
    return _End(0.0, LEAN, LEAN, end.kind == "cope")


def _edge(end: _End, trim: Trim | None, face: float) -> list[Point]:
    """The end as its face shows it, from the foot up; a cope by the line of the moulding."""
    path = profile_path(trim) if end.cope and trim else ()
    if not path:
        return [(end.foot, face + HIGH), (end.top, face)]
    points = [path[0].start, *(point for segment in path for point in segment.points())]
    high = points[-1][1] or 1.0
    out = max(x for x, _ in points) or 1.0
    return [(LEAN * x / out, face + HIGH * (1 - y / high)) for x, y in points]


def _arrises(trim: Trim | None) -> list[float]:
    """How far up the face each edge of the moulding stands, as shares of its height."""
    path = profile_path(trim) if trim else ()
    return sorted({round(segment.end[1] / path[-1].end[1], 3) for segment in path[:-1]} - {0.0, 1.0}) if path else []


def _long_point(end: _End, at, face: float, low: float) -> Point:  # type: ignore[no-untyped-def]
    """The point it is measured from: at the wall, on the face, or at the longer edge of the face."""
    if end.back:
        return (at(0.0), DEEP)
    if end.top and end.top == end.foot:
        return (at(0.0), 0.0)
    return (at(0.0), low if end.top else face)
