"""Compound cuts: sprung mouldings lying flat on the saw, rakes that turn a plan corner, any two mouldings at all.

``mitre`` is the saw-table angle from a square cut, ``bevel`` the tilt of the blade; both in degrees.
"""

from __future__ import annotations

from math import asin, atan, cos, degrees, hypot, radians, sin, tan

from listel.core.contract.findings import Source

HATFIELD = Source(
    "The American House Carpenter", "R. G. Hatfield", "", "art. 323, raking mouldings matched with level returns"
)


def sprung_cut(spring: float, corner: float) -> tuple[float, float]:
    """Mitre and bevel of a sprung moulding that lies flat on its back [deg].

    Formulas: tan mitre = sin spring / tan(corner / 2); sin bevel = cos spring x cos(corner / 2). ``spring`` is the
    angle between its back and the wall, 0 to 90; ``corner`` the angle the bevel reads, under 180 [deg].
    Raises ValueError outside these. Source: vector geometry, derived; the figures for 38 and 45 degrees at a square
    corner agree with those printed in mitre-saw handbooks (from memory).
    """
    if not 0 <= spring <= 90:
        raise ValueError(
            f"a spring angle of {spring:g} degrees cannot be: it lies between 0 (on the wall) and 90 (on the ceiling)"
        )
    if not 0 < corner < 180:
        raise ValueError(
            f"a corner of {corner:g} degrees cannot be cut: give the angle the bevel reads, between 0 and 180"
        )
    half, tilt = radians(corner) / 2, radians(spring)
    return degrees(atan(sin(tilt) / tan(half))), degrees(asin(cos(tilt) * cos(half)))


def rake_turning_corner(pitch: float, theta: float, spring: float = 0.0) -> tuple[float, float]:
    """Mitre and bevel of a raking moulding cut to the upright plane that halves a plan corner [deg].

    ``pitch`` is positive where the moulding rises away from the corner, ``theta`` the corner through the room,
    ``spring`` the angle of its back from the wall. With spring 0 the mitre is the pitch and the bevel 90 less half of
    the corner. Source: dot products of the mitre plane with the moulding's own axes, derived.
    """
    half, rise, tilt = radians(theta) / 2, radians(pitch), radians(spring)
    along = sin(half) * cos(rise)
    across = -(sin(half) * sin(rise) * cos(tilt) + cos(half) * sin(tilt))
    through = sin(half) * sin(rise) * sin(tilt) - cos(half) * cos(tilt)
    return degrees(atan(abs(across) / abs(along))), degrees(asin(min(1.0, abs(through))))


# ---------------------------------------------------------------- stairs and rakes


def level_to_rake_cut(pitch: float) -> float:
    """Cut from square of both pieces where a level rail meets a raking one of the same section on one wall [deg].

    Half of the pitch: a mitre halves the turn. Source: derived; halving shown in Joyce, The Technique of Furniture
    Making.
    """
    return pitch / 2


def edge_difference(height: float, turn: float) -> float:
    """How far the two edges of a piece differ at a knee [mm]: its height times tan(turn / 2). Source: derived."""
    return height * tan(radians(turn) / 2)


def rake_length(run: float, rise: float) -> float:
    """Length along the rake [mm] over a level run with a rise. Source: Pythagoras."""
    return hypot(run, rise)


def plumb_depth(height: float, pitch: float) -> float:
    """Plumb depth of a raking moulding of that height square across [mm]: height over cos pitch. Source: derived."""
    return height / cos(radians(pitch))


def easing_tangent(radius: float, pitch: float) -> float:
    """Distance from the knee at which an easing of that radius starts [mm]: radius times tan(pitch / 2). Source:
    derived."""
    return radius * tan(radians(pitch) / 2)


def raked_height(x: float, y: float, pitch: float, theta: float) -> float:
    """Height, square to the rake, of the raked point that meets the level point (x out, y up) at a plan corner [mm].

    Formula: y cos(pitch) - x cot(theta / 2) sin(pitch), with ``pitch`` positive where the raking piece rises away
    from the corner and ``theta`` the corner through the room. The projection x is kept. Source: derived; the
    graphical method is R. G. Hatfield, The American House Carpenter, art. 323, "Raking mouldings matched with level
    returns" (published, seen).
    """
    return y * cos(radians(pitch)) - x * sin(radians(pitch)) / tan(radians(theta) / 2)


def rake_mismatch(x: float, pitch: float, theta: float) -> float:
    """Height by which two equal sections miss each other where a rail climbs through a plan corner [mm].

    Formula: 2 x cot(theta / 2) tan(pitch), ``x`` the projection. Source: derived.
    """
    return abs(2 * x * tan(radians(pitch)) / tan(radians(theta) / 2))
