"""Bowed walls: radius, length, bending stress and the pull that draws a strip in. Lengths mm, stresses N/mm2, forces
N."""

from __future__ import annotations

from math import asin, ceil, degrees


def bow_radius(chord: float, rise: float) -> float:
    """Radius of an even curve from its chord and rise [mm]: chord squared over 8 rise, and half of the rise.

    Raises ValueError where chord and rise cannot be. Source: intersecting chords of a circle, derived.
    """
    if chord <= 0:
        raise ValueError(f"a chord of {chord:g} mm cannot be: measure along the wall from end to end of the bow")
    if rise <= 0:
        raise ValueError(
            f"a rise of {rise:g} mm is no bow: give it as a length above nothing, and say hollow or bulging beside it"
        )
    if rise > chord / 2:
        raise ValueError(f"a rise of {rise:g} mm is over half of its chord of {chord:g} mm: measure both again")
    return chord**2 / (8 * rise) + rise / 2


def bow_arc(chord: float, rise: float) -> tuple[float, float]:
    """Length along the curve [mm] and the angle it turns through [deg]. Source: circle geometry, derived."""
    radius = bow_radius(chord, rise)
    half = asin(min(1.0, chord / (2 * radius)))
    return 2 * radius * half, degrees(2 * half)


def bending_stress(modulus: float, thickness: float, radius: float) -> float:
    """Stress in the outer fibre of a strip bent to a radius [N/mm2]: modulus x thickness / (2 radius).

    Source: Euler and Bernoulli's beam theory (from memory).
    """
    return modulus * thickness / (2 * radius)


def least_radius(modulus: float, thickness: float, stress: float) -> float:
    """Least radius at which the outer fibre keeps to a stress [mm]: modulus x thickness / (2 stress). Source: as
    above."""
    return modulus * thickness / (2 * stress)


def stiffness(modulus: float, height: float, thickness: float) -> float:
    """EI of a rectangular strip bent about its flat [N mm2]: modulus x height x thickness cubed / 12. Source: as
    above."""
    return modulus * height * thickness**3 / 12


def fixing_forces(offsets: tuple[float, ...], spacing: float, stiff: float) -> tuple[tuple[float, ...], float]:
    """Forces that hold a straight strip to a wall of measured offsets, and the greatest bending moment [N, N mm].

    ``offsets`` of the wall from a straight line at evenly spaced fixings [mm], ``spacing`` between them [mm],
    ``stiff`` the EI [N mm2]. Three moments: M(i-1) + 4 M(i) + M(i+1) = 6 EI (y(i-1) - 2 y(i) + y(i+1)) / d^2, ends
    free to turn; the force at a fixing is (M(i-1) - 2 M(i) + M(i+1)) / d. Raises ValueError for fewer than three
    fixings. Source: Clapeyron's theorem of three moments with supports out of line (from memory); derived again.
    """
    count = len(offsets)
    if count < 3 or spacing <= 0:
        raise ValueError("drawing a strip in takes three fixings or more, some distance apart")
    wanted = [6 * stiff * (offsets[i - 1] - 2 * offsets[i] + offsets[i + 1]) / spacing**2 for i in range(1, count - 1)]
    inner = _solve_141(wanted)
    moments = [0.0, *inner, 0.0]
    padded = [0.0, *moments, 0.0]
    forces = tuple((padded[i] - 2 * padded[i + 1] + padded[i + 2]) / spacing for i in range(count))
    return forces, max(abs(moment) for moment in moments)


def _solve_141(right: list[float]) -> list[float]:
    """Solve the three-moment equations: 4 on the diagonal, 1 beside it (Thomas's method)."""
    factor: list[float] = []
    value: list[float] = []
    for wanted in right:
        pivot = 4.0 - (factor[-1] if factor else 0.0)
        factor.append(1.0 / pivot)
        value.append((wanted - (value[-1] if value else 0.0)) / pivot)
    for i in range(len(right) - 2, -1, -1):
        value[i] -= factor[i] * value[i + 1]
    return value


def even_offsets(chord: float, rise: float, spans: int) -> tuple[float, ...]:
    """Offsets of a shallow even bow from its chord at evenly spaced fixings [mm] (a parabola). Source: derived."""
    return tuple(4 * rise * (i / spans) * (1 - i / spans) for i in range(spans + 1))


def drawn_in(chord: float, rise: float, stiff: float, spacing: float) -> tuple[float, float]:
    """Greatest force on one fixing and greatest bending moment [N, N mm] of a strip of that EI [N mm2] drawn to an
    even bow by fixings no farther apart than the ``spacing`` [mm]. Source: see :func:`fixing_forces`."""
    spans = max(2, ceil(chord / spacing - 1e-9))
    forces, moment = fixing_forces(even_offsets(chord, rise, spans), chord / spans, stiff)
    return max(abs(force) for force in forces), moment
