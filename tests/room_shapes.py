"""Random rooms as polygons, and what tape and bevel would read in them."""

from __future__ import annotations

import random
from math import atan2, cos, degrees, hypot, radians, sin

from listel.plugins.site import angle_error

Point = tuple[float, float]


def room(rng: random.Random) -> list[Point]:
    """Corner points of a random room of 4 to 12 walls, clockwise seen from above: a star shape, or a rectangle with
    breasts, alcoves and notched corners."""
    count = rng.randint(4, 12)
    if count % 2 or rng.random() < 0.5:
        turns = sorted(rng.uniform(0, 360) for _ in range(count))
        return [_polar(rng.uniform(2000, 4500), -turn) for turn in turns]
    wide, deep = rng.randint(3000, 7000), rng.randint(2500, 6000)
    points: list[Point] = [(0, 0), (wide, 0), (wide, deep), (0, deep)]
    for _ in range(60):
        if len(points) == count:
            break
        at = rng.randrange(len(points))
        start, end = points[at], points[(at + 1) % len(points)]
        length = hypot(end[0] - start[0], end[1] - start[1])
        along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        if (count - len(points)) % 4 == 0 and length > 1600:
            near, far = rng.uniform(0.3, 0.4) * length, rng.uniform(0.6, 0.7) * length
            out = rng.choice([-1, 1]) * rng.randint(250, 600)
            across = (-along[1] * out, along[0] * out)
            a, b = ((start[0] + along[0] * s, start[1] + along[1] * s) for s in (near, far))
            new = [a, (a[0] + across[0], a[1] + across[1]), (b[0] + across[0], b[1] + across[1]), b]
            points[at + 1 : at + 1] = new
        elif len(points) == 4 and count % 4 == 2:
            third = points[(at + 2) % 4]
            m, t = rng.uniform(0.5, 0.8), rng.uniform(0.3, 0.6)
            p = (start[0] + (end[0] - start[0]) * m, start[1] + (end[1] - start[1]) * m)
            r = (end[0] + (third[0] - end[0]) * t, end[1] + (third[1] - end[1]) * t)
            points[(at + 1) % 4 : (at + 1) % 4 + 1] = [p, (p[0] + r[0] - end[0], p[1] + r[1] - end[1]), r]
    return [(x, -y) for x, y in points]


def _polar(radius: float, turn: float) -> Point:
    return radius * cos(radians(turn)), radius * sin(radians(turn))


def read(points: list[Point]) -> tuple[list[float], list[float]]:
    """Walls and corner angles through the room."""
    count = len(points)
    sides, angles = [], []
    for i in range(count):
        p, q, r = (points[(i + step) % count] for step in range(3))
        sides.append(hypot(q[0] - p[0], q[1] - p[1]))
        turn = degrees(atan2(r[1] - q[1], r[0] - q[0]) - atan2(q[1] - p[1], q[0] - p[0]))
        angles.append((180 + turn) % 360)
    return sides, angles


def fair(sides: list[float], angles: list[float]) -> bool:
    """Whether it is a room that could be built: no sliver of a wall, no needle of a corner, no turn the wrong way
    round."""
    return min(sides) > 150 and all(15 < a < 345 and abs(a - 180) > 5 for a in angles) and abs(angle_error(angles)) < 1
