"""What it costs to draw a straight rail to an even curve."""

from __future__ import annotations

from listel.core.contract.findings import Source

BEAM = Source("Euler-Bernoulli beam; three-moment equation with supports off the line", standing="derived")


def inertia(breadth: float, thickness: float) -> float:
    """Second moment of area, mm4, of a piece ``breadth`` [mm] up the wall bent through its ``thickness`` [mm]."""
    return breadth * thickness**3 / 12


def even_stress(stiffness: float, thickness: float, radius: float) -> float:
    """Stress at the face, N/mm2, in an even curve: E x thickness / (2 x radius).

    ``stiffness`` [N/mm2]; ``thickness``, ``radius`` [mm]. Raises ZeroDivisionError for no radius. Source: derived
    (Euler-Bernoulli).

    >>> round(even_stress(13000, 33, 8000), 2)
    26.81
    """
    return stiffness * thickness / (2 * radius)


def support_moments(spans: int) -> list[float]:
    """Moments over the fixings of a strip held to an even curve, as shares of E I / radius; the ends are 0.

    In words: M(i-1) + 4 M(i) + M(i+1) = 6 at every inner fixing, all spans alike. Raises ValueError for less than
    two spans. Source: three-moment equation, derived.

    >>> [round(m, 4) for m in support_moments(2)]
    [0.0, 1.5, 0.0]
    """
    if spans < 2:
        raise ValueError("a strip is bent by three fixings at least, that is two spans")
    upper, right = [0.0], [0.0]
    for _ in range(spans - 1):
        pivot = 4 - upper[-1]
        upper.append(1 / pivot)
        right.append((6 - right[-1]) / pivot)
    moments = [0.0] * (spans + 1)
    for i in range(spans - 1, 0, -1):
        moments[i] = right[i] - upper[i] * moments[i + 1]
    return moments


def support_forces(spans: int) -> list[float]:
    """Forces at the fixings, as shares of E I / (radius x span): + pushes away from the wall's centre, - pulls back.

    In words: (M(i-1) - 2 M(i) + M(i+1)) / span. Raises ValueError as :func:`support_moments`. Source: derived.

    >>> [round(f, 4) for f in support_forces(4)]
    [1.2857, -1.7143, 0.8571, -1.7143, 1.2857]
    """
    padded = [0.0, *support_moments(spans), 0.0]
    return [padded[i] - 2 * padded[i + 1] + padded[i + 2] for i in range(spans + 1)]
