"""Lateral capacity of nails and screws: the failure modes after Johansen in Eurocode 5, section 8.2, and with a gap.

Newtons and millimetres, characteristic values. ``headside`` is the thickness of the member under the head,
``point`` the length of the shank beyond it in the member that holds. The two embedment strengths may differ.
"""

from __future__ import annotations

from math import sqrt

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


def across_gap(strength: float, moment: float, diameter: float, gap: float) -> float:
    """Capacity of a shank that crosses a gap between two timbers of one strength, N: a hinge in each.

    x = (-g + sqrt(g^2 + 8 M / (f d))) / 2, F = f d x. Equilibrium of the shank (derived); plaster, void or lath
    counts as gap, since none of them can be leaned on.
    """
    reach = (-gap + sqrt(gap**2 + 8 * moment / (strength * diameter))) / 2
    return strength * diameter * reach


def across_gap_from_masonry(strength: float, moment: float, diameter: float, gap: float) -> float:
    """The same where the far end is held fast in masonry, hinging at its face, N.

    x = -g + sqrt(g^2 + 4 M / (f d)), F = f d x. Equilibrium of the shank (derived).
    """
    reach = -gap + sqrt(gap**2 + 4 * moment / (strength * diameter))
    return strength * diameter * reach
