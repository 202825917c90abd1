"""A room in plan: its walls walked in order from the left, each turning right at its corner.

Seen from above the walls go round clockwise; x runs right along the first wall, y up. Lengths mm, angles degrees;
``angles[i]`` is the plan angle through the room at the end of side i.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, radians, sin

from listel.core.quick import dataclass
from listel.core.survey.job import Room, Wall

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A room that goes all the way round, with its misfit shared out.

    ``points``: the left end of each wall in order, wall 0 from (0, 0); ``angles``: through the room at the right end
    of each, adding up; ``misfit``: how far the readings miss closing [mm], the angles shared out; ``turn``: error of
    their sum [deg].
    """

    points: tuple[Point, ...]
    angles: tuple[float, ...]
    misfit: float
    turn: float


def angle_error(angles: Sequence[float]) -> float:
    """Sum of the interior angles less what it should be, (n - 2) x 180 [deg]. Source: plane geometry."""
    return sum(angles) - (len(angles) - 2) * 180.0


def headings(angles: Sequence[float]) -> list[float]:
    """Heading of each side from the first [deg], counted against the clock: at each corner the walk turns right by
    180 less the corner angle."""
    found = [0.0]
    for angle in angles[:-1]:
        found.append(found[-1] - 180.0 + angle)
    return found


def walk(sides: Sequence[float], angles: Sequence[float]) -> list[Point]:
    """The corner points in order, start first and the end reached last; in a perfect survey the two agree [mm]."""
    points: list[Point] = [(0.0, 0.0)]
    for side, heading in zip(sides, headings(angles), strict=True):
        x, y = points[-1]
        points.append((x + side * cos(radians(heading)), y + side * sin(radians(heading))))
    return points


def spread_angles(angles: Sequence[float]) -> list[float]:
    """The angles with their error spread equally over the corners [deg]. Source: surveying practice, equal weights."""
    share = angle_error(angles) / len(angles)
    return [angle - share for angle in angles]


def compass_rule(courses: Sequence[Point]) -> list[Point]:
    """Courses (east, north) corrected so that they close: each takes a share of the error in proportion to its length
    [mm].

    Source: N. Bowditch's compass rule, as in C. D. Ghilani and P. R. Wolf, Elementary Surveying, chapter on traverse
    computations (from memory).
    """
    lengths = [hypot(*course) for course in courses]
    perimeter = sum(lengths)
    east, north = (sum(course[axis] for course in courses) for axis in (0, 1))
    return [
        (course[0] - east * length / perimeter, course[1] - north * length / perimeter)
        for course, length in zip(courses, lengths, strict=True)
    ]


def courses_of(points: Sequence[Point]) -> list[Point]:
    """The courses between points, in order."""
    return [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]


def is_ring(room: Room) -> bool:
    """Whether the walls of a room come round to the first again: all surveyed, three or more."""
    if room.extent is not None:
        return room.extent == "whole" and len(room.walls) >= 3
    return len(room.walls) >= 3 and room.walls[-1].corner is not None


def corner_pairs(room: Room) -> list[tuple[Wall, Wall]]:
    """Each wall with the one it meets at its right end, in order: where its corner was surveyed, or neither says what
    its end there comes to instead."""
    pairs = list(pairwise(room.walls))
    pairs = [*pairs, (room.walls[-1], room.walls[0])] if is_ring(room) else pairs
    return [(wall, after) for wall, after in pairs if wall.corner or not (_free(wall, False) or _free(after, True))]


def _free(wall: Wall, left: bool) -> bool:
    """Whether it was surveyed what an end of a wall comes to where no other wall meets it."""
    return wall.ends is not None and wall.ends.at(left) is not None


def plan_of(room: Room) -> Plan | None:
    """The room in plan; None where it was surveyed in part, or a length or an angle is missing."""
    sides = [wall.length.value for wall in room.walls if wall.length]
    angles = [wall.corner.through_room for wall in room.walls if wall.corner and wall.corner.through_room is not None]
    if not is_ring(room) or not len(room.walls) == len(sides) == len(angles) or not sum(sides):
        return None
    shared = spread_angles(angles)
    courses = courses_of(walk(sides, shared))
    east, north = (sum(course[axis] for course in courses) for axis in (0, 1))
    points = [(0.0, 0.0)]
    for course in compass_rule(courses)[:-1]:
        points.append((points[-1][0] + course[0], points[-1][1] + course[1]))
    return Plan(points=tuple(points), angles=tuple(shared), misfit=hypot(east, north), turn=angle_error(angles))
