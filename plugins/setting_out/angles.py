"""Joints between two level mouldings that lie flat on the wall: angles in degrees, lengths in mm.

``theta`` is always the plan angle between the two wall faces measured through the room: under 180 at an internal
corner, over 180 at an external one. One formula then serves both, and the sign tells them apart.
"""

from __future__ import annotations

from math import atan2, cos, degrees, radians, sin, tan


def cut_angle(theta: float) -> float:
    """Angle of the mitre from the length of the moulding [deg]: half of the corner. Source: plane geometry, derived."""
    return min(theta, 360.0 - theta) / 2


def saw_reading(theta: float) -> float:
    """The same cut on a saw whose scale reads 0 for a square cut [deg]: 90 less the cut angle. Source: derived."""
    return 90.0 - cut_angle(theta)


def face_allowance(projection: float, theta: float) -> float:
    """Face length less back length at a mitred end [mm]: less at an internal corner, more at an external one.

    Formula: minus the projection times the cotangent of half the corner through the room. Source: plane geometry,
    derived.
    """
    return -projection / tan(radians(theta) / 2)


def mitre_line(projection: float, theta: float) -> float:
    """Length of the mitre seen from above [mm]: projection over the sine of half the corner. Source: derived."""
    return projection / sin(radians(theta) / 2)


def joint_gap(projection: float, theta: float, error: float) -> float:
    """Gap that an angle error [deg] opens at one edge of a mitre [mm]: twice the mitre line times sin(error / 2).

    Source: chord of a small wedge, derived.
    """
    return 2 * mitre_line(projection, theta) * sin(radians(abs(error)) / 2)


def unequal_mitre(first: float, second: float, theta: float) -> tuple[float, float, float, float]:
    """Mitre of two unequal projections: cut angles of both [deg from their length] and setbacks along each wall [mm].

    The mitre runs from the wall corner to where the two faces cross; the cut angles add up to the corner. Setbacks are
    negative beyond the corner. Source: where two lines cross, derived; the bevelled mitre of unequal widths is
    described by Ernest Joyce, The Technique of Furniture Making, "Intersection of mouldings" (published, seen: figure
    only).
    """
    turn = radians(theta)
    along_first = (second + first * cos(turn)) / sin(turn)
    along_second = (first + second * cos(turn)) / sin(turn)
    beta_first = degrees(atan2(first * sin(turn), second + first * cos(turn)))
    beta_second = degrees(atan2(second * sin(turn), first + second * cos(turn)))
    return abs(beta_first), abs(beta_second), along_first, along_second


def plumb_on_leaning_walls(height: float, lean: float, theta: float) -> float:
    """How far a mitre cut plumb opens over the height of a moulding where both walls lean by ``lean`` [mm].

    Formula: height times sin(lean) over tan(theta / 2). Source: derived.
    """
    return abs(height * sin(radians(lean)) / tan(radians(theta) / 2))
