"""How joints open when the section moves."""

from __future__ import annotations

from math import atan, degrees, radians, sin, tan


def mitre_opening(share: float, angle: float) -> float:
    """How far a mitre opens, degrees, when the section moves across its width and not along its length.

    In words: each piece's cut turns from half the corner angle to the arc tangent of (1 - share) times its
    tangent; the joint opens by both turns. ``share`` [change of width / width, positive when it shrinks];
    ``angle`` [corner angle, deg, above 0 and below 180]. Positive opens at the heel (the short points), negative
    at the toe (the long points). Raises ValueError for an angle outside the range. Source: derived.

    >>> round(mitre_opening(0.02, 90), 3)
    1.157
    """
    if not 0 < angle < 180:
        raise ValueError(f"a mitred corner is above 0 and below 180 degrees, not {angle:g}")
    half = radians(angle / 2)
    return 2 * degrees(half - atan((1 - share) * tan(half)))


def mitre_gap(width: float, share: float, angle: float) -> float:
    """The gap at the open end of a mitre, mm, the other end still touching: opening x length of the mitre.

    ``width`` [mm, across the piece]; ``share`` and ``angle`` as in :func:`mitre_opening`. Raises ValueError as
    that does. Source: derived.

    >>> round(mitre_gap(95, 0.02, 90), 2)
    2.71
    """
    line = width / sin(radians(angle / 2))
    return abs(radians(mitre_opening(share, angle))) * line


def edge_share(height: float, from_edge: float) -> float:
    """The share of the movement across a piece that its edge sees, when it is fixed ``from_edge`` away from it.

    ``height``, ``from_edge`` [mm]. The stretch between the fixing and the edge moves, the rest moves the other
    way. Raises nothing. Source: derived.

    >>> edge_share(145, 29)
    0.2
    """
    return min(from_edge, height) / height
