"""The outline of a moulding from its named elements: straight lines and quarter arcs, from the underside up."""

from __future__ import annotations

from dataclasses import dataclass

from listel.core.job import ProfileElement, Trim

Point = tuple[float, float]
"""(out from the wall, up it), mm."""

ROUNDS = ("bead", "astragal", "torus", "reed")
HOLLOWS = ("scotia", "flute")


@dataclass(frozen=True)
class Arc:
    """A quarter (or half) of a circle or ellipse: its ``centre``, its radii out and up, and where it ends."""

    start: Point
    end: Point
    centre: Point
    radii: Point


@dataclass(frozen=True)
class Straight:
    """A straight line."""

    start: Point
    end: Point


Stroke = Arc | Straight


def outline(trim: Trim) -> list[Stroke]:
    """The face of a moulding from its underside to its top; a plain rectangle where no profile was surveyed.

    Empty where the section was not surveyed either.
    """
    section = trim.section
    if not trim.profile:
        if not section.height or not section.projection:
            return []
        return [Straight((section.projection, 0.0), (section.projection, section.height))]
    x = trim.foot if trim.foot is not None else _foot(trim)
    y = 0.0
    strokes: list[Stroke] = []
    for element in trim.profile:
        strokes += _strokes(element, (x, y))
        x, y = strokes[-1].end if strokes else (x, y)
    return strokes


def _foot(trim: Trim) -> float:
    """Where the profile starts, out from the wall, so that its furthest point reaches the section's projection."""
    furthest = at = least = 0.0
    for element in trim.profile:
        at += element.projection
        furthest, least = max(furthest, at), min(least, at)
    return max((trim.section.projection or furthest - least) - furthest, -least)


def _strokes(element: ProfileElement, start: Point) -> list[Stroke]:
    (x0, y0), (high, out) = start, (element.height, element.projection)
    end = (x0 + out, y0 + high)
    kind = element.kind
    if kind in ROUNDS or (kind in HOLLOWS and not out):
        return _half(start, end, hollow=kind in HOLLOWS)
    if kind == "ovolo" and out:
        return [_quarter(start, end, convex=True)]
    if kind in ("cavetto", "conge", "scotia") and out:
        return [_quarter(start, end, convex=False)]
    if kind in ("cyma-recta", "cyma-reversa") and out:
        middle = (x0 + out / 2, y0 + high / 2)
        first_convex = (kind == "cyma-recta") == (out > 0)
        return [_quarter(start, middle, convex=first_convex), _quarter(middle, end, convex=not first_convex)]
    if kind == "chamfer":
        return [Straight(start, end)]
    step = (x0 + out, y0)
    return [*([Straight(start, step)] if out else []), Straight(step, end)]


def _quarter(start: Point, end: Point, *, convex: bool) -> Arc:
    """A quarter arc: convex as an ovolo is, hollow as a cavetto is, whichever way the moulding goes out."""
    outward = end[0] > start[0]
    centre = (start[0], end[1]) if convex == outward else (end[0], start[1])
    return Arc(start, end, centre, (abs(end[0] - start[0]), abs(end[1] - start[1])))


def _half(start: Point, end: Point, *, hollow: bool) -> list[Stroke]:
    """A half round on the line from start to end, standing out of the face or sunk into it."""
    centre = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    radius = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5 / 2
    side = -1.0 if hollow else 1.0
    high = (end[1] - start[1]) or 1.0
    lean = (end[0] - start[0]) / high
    size = (1 + lean * lean) ** 0.5
    crown = (centre[0] + side * radius / size, centre[1] - side * radius * lean / size)
    return [Arc(start, crown, centre, (radius, radius)), Arc(crown, end, centre, (radius, radius))]
