"""Profiles: the named elements of a moulding as lines and arcs with their centres. x runs out from the wall, y up;
mm."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import atan2, ceil, cos, degrees, hypot, radians, sin, sqrt, tan

from listel.core.quick import dataclass
from listel.core.survey.job import ProfileElement, Section, Trim
from listel.plugins.site import tables

Point = tuple[float, float]
STEP = 10.0


@dataclass(frozen=True, kw_only=True)
class Segment:
    """A line or an arc of a profile, from ``start`` to ``end`` [mm]. An arc has its ``centre`` and ``radius`` and
    turns the short way round, but for half rounds, ``clockwise`` or not with x to the right and y up. ``element``:
    the member it belongs to."""

    kind: str
    start: Point
    end: Point
    centre: Point | None = None
    radius: float = 0.0
    clockwise: bool = False
    element: str = ""

    def points(self, step: float = 10.0) -> list[Point]:
        """Points along it, its end included and its start left out, every ``step`` degrees of an arc."""
        if self.centre is None:
            return [self.end]
        cx, cy = self.centre
        first = degrees(atan2(self.start[1] - cy, self.start[0] - cx))
        turn = (degrees(atan2(self.end[1] - cy, self.end[0] - cx)) - first) % 360
        turn = turn - 360 if self.clockwise else turn
        count = max(1, ceil(abs(turn) / step))
        angles = [radians(first + turn * n / count) for n in range(1, count)]
        return [*((cx + self.radius * cos(a), cy + self.radius * sin(a)) for a in angles), self.end]


def profile_path(trim: Trim) -> tuple[Segment, ...]:
    """The face of a moulding from its underside up, as lines and arcs; the back and the flat edges close it.

    It starts at the trim's ``foot`` (its projection at the underside), or where its furthest point then reaches the
    section's projection. A trim without elements is a plain rectangle, or the round of a quadrant where its member is
    one, or where it is sprung a board that leans; one
    without a height or projection either has no path, nor has a sprung one without its thickness, nor have shutters,
    which are leaves in a boxing. Source: the
    compass constructions of the Roman mouldings, as in R. G. Hatfield, The American House Carpenter, arts. 310-323
    (published, seen); each element's function says more.
    """
    section = trim.section
    if tables.goes_at_windows(trim.member):
        return ()
    if not trim.profile:
        if section.height is None or section.projection is None:
            return ()
        if tables.member(trim.member).get("quadrant"):
            return (quarter((section.projection, 0.0), (0.0, section.height), False, "quadrant"),)
        return tuple(_line(*pair, "plain") for pair in pairwise(_plain_face(section)))
    if trim.foot is not None:
        return _path(trim.profile, trim.foot)
    drawn = _path(trim.profile, 0.0)
    if not drawn:
        return ()
    reach = [x for segment in drawn for x, _ in (segment.start, *segment.points())]
    return _path(trim.profile, (section.projection or max(reach) - min(reach)) - max(reach))


def _plain_face(section: Section) -> list[Point]:
    """The face of a board, from its underside up: plumb, or of a sprung one parallel to its back as far as it stands
    out, and there plumb to its top. None of a sprung one whose thickness was not surveyed."""
    p, h = section.projection or 0.0, section.height or 0.0
    if not section.spring:
        return [(p, 0.0), (p, h)]
    if section.foot is None or section.thickness is None:
        return []
    lean = radians(section.spring)
    low = max(section.thickness / cos(lean) - section.foot * tan(lean), 0.0)
    leaves = min((p - low) / tan(lean), h)
    return [(low, 0.0), (p, leaves), *([(p, h)] if leaves < h else [])]


def back_points(trim: Trim) -> list[Point]:
    """The back of a moulding from its top down: on the wall; of a sprung one leaning from where it meets the ceiling
    to the flat at its foot, and of one whose thickness was not surveyed nothing. Source: geometry (derived)."""
    section, path = trim.section, profile_path(trim)
    if not path or (section.spring and section.foot is None):
        return []
    top = path[-1].end[1]
    if not section.spring or section.foot is None:
        return [(0.0, top), (0.0, 0.0)]
    return [((top - section.foot) * tan(radians(section.spring)), top), (0.0, section.foot), (0.0, 0.0)]


def _path(elements: tuple[ProfileElement, ...], foot: float) -> tuple[Segment, ...]:
    """The elements one on another, from so far out of the wall [mm]; steps of no length are left out."""
    at: Point = (foot, 0.0)
    found: list[Segment] = []
    for element in elements:
        found += [segment for segment in element_path(element, at) if segment.start != segment.end]
        at = (at[0] + element.projection, at[1] + element.height)
    return tuple(found)


def profile_points(trim: Trim, step: float = STEP) -> list[Point]:
    """Points along the face of a moulding, from its underside up [mm], for ordinates."""
    path = profile_path(trim)
    return [path[0].start, *(point for segment in path for point in segment.points(step))] if path else []


def element_path(element: ProfileElement, at: Point) -> Iterator[Segment]:
    """The segments of one element that starts at a point. An element of no height is a level step."""
    p, h = element.projection, element.height
    end = (at[0] + p, at[1] + h)
    name = element.kind
    shape = tables.elements().row(name)["shape"]
    if h == 0 or shape == "slope":
        yield _line(at, end, name)
    elif shape == "step":
        step = (at[0] + p, at[1])
        yield from (_line(at, step, name), _line(step, end, name))
    elif shape == "quirk":
        inner = at[0] - h
        yield from (
            _line(at, (inner, at[1]), name),
            _line((inner, at[1]), (inner, end[1]), name),
            _line((inner, end[1]), end, name),
        )
    elif shape in ("round", "flute"):
        yield half_round(at, end, hollow=shape == "flute", name=name)
    elif shape == "staff":
        yield from staff(at, end, name)
    elif p == 0:
        yield _line(at, end, name)
    elif shape in ("quarter", "hollow"):
        yield quarter(at, end, hollow=shape == "hollow", name=name)
    elif shape == "conge":
        yield from conge(at, end)
    elif shape == "scotia":
        yield from scotia(at, end)
    else:
        yield from ogee(at, end, recta=shape == "recta", name=name)


def _line(start: Point, end: Point, name: str) -> Segment:
    return Segment(kind="line", start=start, end=end, element=name)


def _arc(start: Point, end: Point, centre: Point, name: str) -> Segment:
    """An arc the short way round from start to end."""
    across = (start[0] - centre[0]) * (end[1] - centre[1]) - (start[1] - centre[1]) * (end[0] - centre[0])
    return Segment(
        kind="arc",
        start=start,
        end=end,
        centre=centre,
        radius=hypot(start[0] - centre[0], start[1] - centre[1]),
        clockwise=across < 0,
        element=name,
    )


def half_round(start: Point, end: Point, hollow: bool, name: str) -> Segment:
    """A bead, astragal, torus or reed (standing out) or a flute (``hollow``): half a circle on the line between its
    ends."""
    centre = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    return Segment(
        kind="arc",
        start=start,
        end=end,
        centre=centre,
        radius=hypot(end[0] - start[0], end[1] - start[1]) / 2,
        clockwise=hollow,
        element=name,
    )


def staff(start: Point, end: Point, name: str) -> Iterator[Segment]:
    """A three-quarter round on the face, its height the whole diameter: it leaves and meets the face at 45 degrees.

    Source: trigonometry of the round (derived).
    """
    radius = (end[1] - start[1]) / 2
    off = radius * sqrt(0.5)
    middle = (start[0] + off, start[1] + radius)
    low, high = (start[0], middle[1] - off), (start[0], middle[1] + off)
    yield _line(start, low, name)
    yield Segment(kind="arc", start=low, end=high, centre=middle, radius=radius, clockwise=False, element=name)
    yield _line(high, end, name)


def quarter(start: Point, end: Point, hollow: bool, name: str) -> Segment:
    """An ovolo, or a cavetto where ``hollow``: a quarter circle where height and projection agree, else one tangent
    arc.

    The round stands on its inner end: the centre is where the line that halves the chord at right angles meets the
    level line through the outer end (projection under height), or the plumb line through the inner end (over it); the
    hollow is the same arc turned about the middle of the chord. Source: R. G. Hatfield, The American House Carpenter,
    art. 317 (published, seen; formula derived).
    """
    p, h = abs(end[0] - start[0]), end[1] - start[1]
    radius = (p**2 + h**2) / (2 * min(p, h))
    along, up = (p - radius, h) if p <= h else (0.0, radius)
    if hollow:
        along, up = p - along, h - up
    rising = end[0] > start[0]
    centre = (start[0] + along, start[1] + up) if rising else (end[0] + along, end[1] - up)
    return _arc(start, end, centre, name)


def conge(start: Point, end: Point) -> Iterator[Segment]:
    """A small cove that eases an upright face into a fillet: a quarter whose radius is its projection.

    Source: the apophyge of the orders (common practice).
    """
    p, h = end[0] - start[0], end[1] - start[1]
    if abs(p) >= h:
        yield quarter(start, end, hollow=True, name="conge")
    elif p > 0:
        knee = (start[0], end[1] - p)
        yield from (_line(start, knee, "conge"), quarter(knee, end, hollow=True, name="conge"))
    else:
        knee = (end[0], start[1] - p)
        yield from (quarter(start, knee, hollow=True, name="conge"), _line(knee, end, "conge"))


def scotia(start: Point, end: Point) -> Iterator[Segment]:
    """A deep hollow of two quadrants on one level line: the lower of radius (h - p) / 2, the upper (h + p) / 2.

    With the upper lip set back by a third of the height they are two thirds and one third of it. Falls back on one
    hollow where the lips are further apart than the height. Source: P. Nicholson's construction (second-hand).
    """
    p, h = end[0] - start[0], end[1] - start[1]
    if abs(p) >= h:
        yield quarter(start, end, hollow=True, name="scotia")
        return
    lower, upper = (h - p) / 2, (h + p) / 2
    middle = (start[0] - lower, start[1] + lower)
    yield _arc(start, middle, (start[0], start[1] + lower), "scotia")
    yield _arc(middle, end, (middle[0] + upper, middle[1]), "scotia")


def ogee(start: Point, end: Point, recta: bool, name: str) -> Iterator[Segment]:
    """A cyma: recta with its hollow outermost, reversa with its round outermost. Two quadrants where height and
    projection agree, else two arcs of 60 degrees whose centres make equal-sided triangles on the halves of the chord.

    Source: constructions after I. Ware and P. Nicholson (second-hand).
    """
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    rising = end[0] > start[0]
    hollow_first = recta != rising
    if abs(abs(end[0] - start[0]) - (end[1] - start[1])) < 1e-9:
        yield quarter(start, middle, hollow_first, name)
        yield quarter(middle, end, not hollow_first, name)
        return
    for a, b, hollow in ((start, middle, hollow_first), (middle, end, not hollow_first)):
        dx, dy = b[0] - a[0], b[1] - a[1]
        side = 1.0 if not hollow else -1.0
        centre = ((a[0] + b[0]) / 2 - side * dy * sqrt(3) / 2, (a[1] + b[1]) / 2 + side * dx * sqrt(3) / 2)
        yield _arc(a, b, centre, name)


def profile_faults(trim: Trim) -> str:
    """Where a profile disagrees with its section, in words; empty where it agrees to 1 mm or there is nothing to
    compare."""
    if not trim.profile:
        return ""
    words = []
    height = sum(element.height for element in trim.profile)
    if trim.section.height is not None and abs(height - trim.section.height) > 1:
        words.append(f"its elements add up to {height:g} mm in height, the section says {trim.section.height:g}")
    widest = max((x for x, _ in profile_points(trim)), default=0.0)
    if trim.section.projection is not None and abs(widest - trim.section.projection) > 1:
        words.append(f"its elements reach {widest:.1f} mm from the wall, the section says {trim.section.projection:g}")
    return " and ".join(words)
