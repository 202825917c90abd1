"""What a closed room's readings must fulfil, how far they miss it, and what each reading has to do with that.

Lengths mm, angles degrees; ``angles[i]`` is the plan angle through the room at the right end of wall i.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin, sqrt

from listel.core.quick import dataclass
from listel.plugins.site import angle_error, headings, walk


def expected_misclosure(sides: Sequence[float], angles: Sequence[float], tape: float, bevel: float) -> float:
    """Misclosure to expect of tape and bevel, one sigma [mm]: root of n tape^2 + bevel^2 x sum of squared distances.

    The distances are from each corner to the closing point; ``bevel`` [deg] is taken in radians. Source: propagation of
    independent errors, derived.
    """
    points = walk(sides, angles)
    squares = sum((x - points[-1][0]) ** 2 + (y - points[-1][1]) ** 2 for x, y in points[1:-1])
    return sqrt(len(sides) * tape**2 + radians(bevel) ** 2 * squares)


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """How far a traverse misses its three conditions, and the weight of that against what tape and bevel can do.

    ``turn``: error of the angle sum [deg]; ``east``, ``north``: misclosure with the angles as read [mm]; ``weight``:
    the squared misses over their variances, distributed as chi-squared with three conditions where only chance is at
    work.
    """

    turn: float
    east: float
    north: float
    weight: float
    rows: tuple[tuple[float, ...], ...]
    inverse: tuple[tuple[float, ...], ...]

    @property
    def misses(self) -> tuple[float, float, float]:
        """The three misses in one."""
        return self.turn, self.east, self.north


def conditions(sides: Sequence[float], angles: Sequence[float], tape: float, bevel: float) -> Conditions:
    """The three conditions of a closed traverse, each linear in the readings for small errors.

    ``rows`` holds for every reading (sides, then angles) how far each condition moves when it grows by one unit;
    ``inverse`` is the inverse of the misses' covariance. Source: condition equations of least squares, derived.
    """
    points = walk(sides, angles)
    end = points[-1]
    rows = [(0.0, cos(radians(heading)), sin(radians(heading))) for heading in headings(angles)]
    for number in range(len(angles)):
        x, y = end[0] - points[number + 1][0], end[1] - points[number + 1][1]
        rows.append((1.0, -radians(y), radians(x)))
    variances = [tape**2] * len(sides) + [bevel**2] * len(angles)
    covariance = [
        [sum(row[i] * row[j] * spread for row, spread in zip(rows, variances, strict=True)) for j in range(3)]
        for i in range(3)
    ]
    inverse = _inverse(covariance)
    misses = (angle_error(angles), end[0], end[1])
    weight = _form(inverse, misses, misses)
    return Conditions(turn=misses[0], east=misses[1], north=misses[2], weight=weight, rows=tuple(rows), inverse=inverse)


def _form(matrix: Sequence[Sequence[float]], a: Sequence[float], b: Sequence[float]) -> float:
    return sum(a[i] * matrix[i][j] * b[j] for i in range(3) for j in range(3))


def estimate(found: Conditions, row: Sequence[float]) -> tuple[float, float]:
    """What the reading of a ``row`` should grow by to close the traverse best, and the weight left then; the
    difference of two rows stands for one that grows as the other shrinks.

    With row a, misses c and inverse covariance W: correction = -(a W c) / (a W a); left = c W c - (a W c)^2 / (a W a).
    Source: W. Baarda's test of one reading at a time in least squares (from memory); derived again.
    """
    own = _form(found.inverse, row, row)
    shared = _form(found.inverse, row, found.misses)
    return -shared / own, found.weight - shared**2 / own


def _inverse(m: list[list[float]]) -> tuple[tuple[float, ...], ...]:
    """The inverse of a 3 x 3 matrix by cofactors, scaled first so that mm and degrees do not swamp each other."""
    scale = [sqrt(m[i][i]) for i in range(3)]
    n = [[m[i][j] / (scale[i] * scale[j]) for j in range(3)] for i in range(3)]

    def cofactor(i: int, j: int) -> float:
        a, b = (i + 1) % 3, (i + 2) % 3
        c, d = (j + 1) % 3, (j + 2) % 3
        return n[a][c] * n[b][d] - n[a][d] * n[b][c]

    determinant = sum(n[0][j] * cofactor(0, j) for j in range(3))
    return tuple(tuple(cofactor(j, i) / determinant / (scale[i] * scale[j]) for j in range(3)) for i in range(3))
