"""Lateral capacity of nails and screws: the failure modes after Johansen in Eurocode 5, section 8.2, and with a gap.

Newtons and millimetres, characteristic values. ``headside`` is the thickness of the member under the head,
``point`` the length of the shank beyond it in the member that holds. The two embedment strengths may differ.
"""

from __future__ import annotations

from math import inf, sqrt

HINGE, TWO_HINGES = 1.05, 1.15
THICK_HINGES = 2.3


def modes(
    headside: float, point: float, head_strength: float, point_strength: float, moment: float, diameter: float
) -> dict[str, float]:
    """The six modes of a nail in single shear between two timbers, N, without rope effect.

    ``head_strength`` and ``point_strength``: embedment strengths, N/mm2; ``moment``: yield moment, N mm.
    Equation 8.6, modes a to f (published, seen).
    """
    bearing = head_strength * headside * diameter
    beta = point_strength / head_strength
    r = point / headside
    bend = moment / (head_strength * diameter)
    rigid = sqrt(beta + 2 * beta**2 * (1 + r + r**2) + beta**3 * r**2) - beta * (1 + r)
    in_head = sqrt(2 * beta * (1 + beta) + 4 * beta * (2 + beta) * bend / headside**2) - beta
    in_point = sqrt(2 * beta**2 * (1 + beta) + 4 * beta * (1 + 2 * beta) * bend / point**2) - beta
    return {
        "a": bearing,
        "b": point_strength * point * diameter,
        "c": bearing / (1 + beta) * rigid,
        "d": HINGE * bearing / (2 + beta) * in_head,
        "e": HINGE * head_strength * point * diameter / (1 + 2 * beta) * in_point,
        "f": TWO_HINGES * sqrt(2 * beta / (1 + beta)) * sqrt(2 * moment * head_strength * diameter),
    }


def single_shear(
    headside: float, point: float, head_strength: float, point_strength: float, moment: float, diameter: float
) -> tuple[str, float]:
    """The mode that governs and its capacity, N: the least of equation 8.6."""
    found = modes(headside, point, head_strength, point_strength, moment, diameter)
    mode = min(found, key=lambda name: found[name])
    return mode, found[mode]


def thick_steel(headside: float, strength: float, moment: float, diameter: float) -> float:
    """Single shear against a thick steel plate (a diameter or more), N, without rope; equation 8.10 (published, seen).

    Also stands, as an allowance, for a nail held fast in sound masonry: Eurocode 5 has no such case.
    """
    bearing = strength * headside * diameter
    one_hinge = sqrt(2 + 4 * moment / (strength * diameter * headside**2)) - 1
    return min(bearing, bearing * one_hinge, THICK_HINGES * sqrt(moment * strength * diameter))


def across_gap(
    headside: float,
    point: float,
    head_strength: float,
    point_strength: float,
    moment: float,
    diameter: float,
    gap: float,
) -> tuple[str, float]:
    """The mode that governs a shank that crosses a ``gap`` [mm] between its two members, and its capacity, N.

    Plaster, void or lath counts as gap, since none of them can be leaned on. Modes as in :func:`modes`, without their
    factors: a, b: the one or the other bears all along; c: the shank turns in both; d, e: it turns in the head's side,
    in the point's, and hinges in the other; f: it hinges in both. Each is the root F of A F^2 + B F + C = 0 from the
    equilibrium of the shank. Source: General Dowel Equations, Technical Report 12, American Wood Council (from memory);
    checked by limit analysis.
    """
    return _least(headside, point, head_strength * diameter, point_strength * diameter, moment, gap, "abcdef")


def across_gap_from_masonry(
    headside: float, strength: float, moment: float, diameter: float, gap: float
) -> tuple[str, float]:
    """The same where the far end is held fast in masonry, so that the shank can only hinge at its face: a, d and f."""
    return _least(headside, inf, strength * diameter, inf, moment, gap, "adf")


def _least(
    headside: float, point: float, head: float, far: float, moment: float, gap: float, names: str
) -> tuple[str, float]:
    """The least of the named modes, for bearing of ``head`` and ``far`` along the shank, N/mm."""
    found = {"a": head * headside, "b": far * point}
    turning = {
        "head": (1 / (4 * head), headside / 2, head * headside**2 / 4),
        "hinge in head": (1 / (2 * head), 0.0, moment),
        "point": (1 / (4 * far), point / 2, far * point**2 / 4) if "b" in names else (0.0, 0.0, moment),
        "hinge in point": (1 / (2 * far), 0.0, moment),
    }
    for mode, near, there in (
        ("c", "head", "point"),
        ("d", "head", "hinge in point"),
        ("e", "hinge in head", "point"),
        ("f", "hinge in head", "hinge in point"),
    ):
        a, b, c = (one + other for one, other in zip(turning[near], turning[there], strict=True))
        b += gap
        found[mode] = (-b + sqrt(b**2 + 4 * a * c)) / (2 * a)
    mode = min(names, key=lambda name: found[name])
    return mode, found[mode]
