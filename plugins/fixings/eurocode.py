"""Nails and screws in timber after Eurocode 5 (EN 1995-1-1:2004 with A1:2008 and A2:2014), section 8.

Newtons and millimetres; densities are characteristic, in kg/m3, unless the name says mean. Strengths and
capacities are characteristic (5th percentile): :func:`design` makes a design value of them. Nothing here
may be mixed with mean test values or with allowable loads.
"""

from __future__ import annotations

import itertools
from math import cos, radians, sin

from listel.core.contract.findings import Source, Standing
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass

EMBEDMENT, EMBEDMENT_POWER, PREDRILLED_LOSS = 0.082, -0.3, 0.01
YIELD_ROUND, YIELD_SQUARE, YIELD_POWER = 0.3, 0.45, 2.6
NAIL_WIRE = 600.0
WITHDRAWAL, PULL_THROUGH = 20e-6, 70e-6
FULL_SMOOTH, LEAST_SMOOTH, FULL_RING, LEAST_RING = 12.0, 8.0, 8.0, 6.0
ROPE_SHARE = {"round": 0.15, "square": 0.25, "ring": 0.50, "screw": 1.0}
ROPE_PART = 0.25
THIN_DIAMETERS, THIN_TAKE, THIN_DIVISOR = 13.0, 30.0, 400.0
THIN_LEAST, THIN_LEAST_SPLITTING, THIN_DIVISOR_SPLITTING = 7.0, 14.0, 200.0
ROW_POWERS = ((4.0, 0.5), (7.0, 0.7), (10.0, 0.85), (14.0, 1.0))
SLIP_NAIL, SLIP_PREDRILLED = 30.0, 23.0
SCREW_WITHDRAWAL = 0.52
SCREW_GROUP_POWER = 0.9
GAMMA_M = 1.3
GAMMA_LOAD = 1.5
HOLE_SHARE = 0.8
DENSE, THICK = 500.0, 6.0


def clause(locator: str, standing: Standing = "published-seen") -> Source:
    """A clause or equation of Eurocode 5 as a source."""
    return Source(
        "EN 1995-1-1 Eurocode 5: Design of timber structures",
        "CEN",
        "2004, A1:2008, A2:2014",
        locator,
        standing,
    )


def embedment(density: float, diameter: float, predrilled: bool = False) -> float:
    """Characteristic embedment strength of timber under a nail, N/mm2.

    ``density`` kg/m3; ``diameter`` mm, up to 8. Not predrilled 0.082 rho d^-0.3, equation 8.15; predrilled
    0.082 (1 - 0.01 d) rho, equation 8.16 (published, seen).
    """
    if predrilled:
        return EMBEDMENT * (1 - PREDRILLED_LOSS * diameter) * density
    return float(EMBEDMENT * density * diameter**EMBEDMENT_POWER)


def yield_moment(diameter: float, strength: float | None = None, square: bool = False) -> float:
    """Characteristic yield moment of a nail, N mm.

    ``strength``: tensile strength of the wire, N/mm2 (600 if not given, the least that nail wire may have);
    ``square``: square or grooved nails, ``diameter`` being the side. Equation 8.14 (published, seen).
    """
    factor = YIELD_SQUARE if square else YIELD_ROUND
    return float(factor * (NAIL_WIRE if strength is None else strength) * diameter**YIELD_POWER)


def withdrawal_strength(density: float) -> float:
    """Characteristic withdrawal strength of a smooth nail at least 12 d deep in side grain, N/mm2; equation 8.25."""
    return WITHDRAWAL * density**2


def pull_through_strength(density: float) -> float:
    """Characteristic head pull-through strength of a smooth nail, N/mm2 of head diameter squared; equation 8.26."""
    return PULL_THROUGH * density**2


def penetration_factor(penetration: float, diameter: float, ring: bool = False) -> float:
    """Share of the withdrawal strength that a short point may count on, 0 to 1.

    Smooth nails: from nothing at 8 d to all at 12 d; ring-shank nails: from nothing at 6 d to all at 8 d.
    Clause 8.3.2(7) (published, seen).
    """
    least, full = (LEAST_RING, FULL_RING) if ring else (LEAST_SMOOTH, FULL_SMOOTH)
    depth = penetration / diameter
    return 0.0 if depth < least else min(1.0, (depth - least) / (full - least))


def nail_withdrawal(
    density: float,
    diameter: float,
    penetration: float,
    headside: float,
    head: float,
    headside_density: float | None = None,
) -> float:
    """Characteristic axial capacity of a smooth nail in side grain, N.

    The least of the point's hold and, on the head side, shank plus head: equation 8.24 with 8.25, 8.26 and
    clause 8.3.2(7). ``penetration`` of the point, ``headside`` thickness under the head, ``head`` diameter, all mm.
    For loads that do not last: see :func:`may_hold_lasting_pull`.
    """
    shank = withdrawal_strength(density) * diameter * penetration * penetration_factor(penetration, diameter)
    under = headside_density if headside_density is not None else density
    held = withdrawal_strength(under) * diameter * headside + pull_through_strength(under) * head**2
    return min(shank, held)


def may_hold_lasting_pull(kind: str) -> bool:
    """Whether a fixing may be counted on for permanent or long-term pull: smooth nails may not.

    ``kind``: "round" or "square" (smooth), "ring" or "screw". Clause 8.3.2(1) (published, seen).
    """
    return kind not in ("round", "square")


def rope(johansen: float, axial: float, kind: str) -> float:
    """What the rope effect adds to a lateral capacity, N: a quarter of the axial capacity, capped by kind.

    Clause 8.2.2(2): at most 15 % of the Johansen part for round nails, 25 % square, 50 % other nails,
    100 % screws (published, seen).
    """
    return min(ROPE_PART * axial, ROPE_SHARE[kind] * johansen)


def least_thickness(density: float, diameter: float, splits: bool = False) -> float:
    """Least thickness of timber that may be nailed without predrilling, mm.

    Equation 8.18 (published, seen); ``splits``: equation 8.19 for species that split easily (from memory).
    """
    if splits:
        spread = (THIN_DIAMETERS * diameter - THIN_TAKE) * density / THIN_DIVISOR_SPLITTING
        return max(THIN_LEAST_SPLITTING * diameter, spread)
    return max(THIN_LEAST * diameter, (THIN_DIAMETERS * diameter - THIN_TAKE) * density / THIN_DIVISOR)


def predrill_reasons(density: float, diameter: float, thickness: float | None, splits: bool = False) -> tuple[str, ...]:
    """Why a nail must be predrilled, in words; empty if it need not be. Clauses 8.3.1.1(2) and 8.3.1.2(6)."""
    reasons = []
    if density > DENSE:
        reasons.append(f"the timber is denser than {DENSE:.0f} kg/m3")
    if diameter > THICK:
        reasons.append(f"the nail is thicker than {THICK:.0f} mm")
    if thickness is not None and thickness < (least := least_thickness(density, diameter, splits)):
        reasons.append(f"the timber is thinner than {least:.2f} mm")
    return tuple(reasons)


def row_power(spacing_over_diameter: float) -> float:
    """Exponent k_ef of the effective number of nails in a row, Table 8.1, interpolated (published, seen)."""
    if spacing_over_diameter < ROW_POWERS[0][0]:
        raise ValueError("nails in a row stand at least 4 diameters apart")
    for (low, power), (high, next_power) in itertools.pairwise(ROW_POWERS):
        if spacing_over_diameter <= high:
            return power + (next_power - power) * (spacing_over_diameter - low) / (high - low)
    return ROW_POWERS[-1][1]


def effective_nails(number: int, spacing_over_diameter: float, staggered: bool = False) -> float:
    """Effective number of nails in a row along the grain, 8.3.1.1(8); all of them where staggered by a diameter."""
    return float(number) if staggered else number ** row_power(spacing_over_diameter)


def slip_modulus(mean_density: float, diameter: float, predrilled: bool = False) -> float:
    """Slip modulus of one nail in one shear plane, N/mm, from the mean density; Table 7.1 (published, seen)."""
    if predrilled:
        return float(mean_density**1.5 * diameter / SLIP_PREDRILLED)
    return float(mean_density**1.5 * diameter**0.8 / SLIP_NAIL)


def screw_withdrawal_strength(density: float, diameter: float, thread: float) -> float:
    """Characteristic withdrawal strength of a screw, N/mm2; equation 8.39, for 6 to 12 mm and ``thread`` >= 6 d in
    the timber.

    Raises ValueError outside that range: there the maker declares the value (clause 8.7.2, published, seen).
    """
    if not 6 <= diameter <= 12 or thread < 6 * diameter:
        raise ValueError("equation 8.39 covers screws of 6 to 12 mm with 6 diameters of thread in the timber")
    return float(SCREW_WITHDRAWAL * diameter**-0.5 * thread**-0.1 * density**0.8)


def screw_withdrawal(density: float, diameter: float, thread: float, angle: float = 90.0, number: int = 1) -> float:
    """Characteristic withdrawal capacity of screws at ``angle`` degrees to the grain, N; equation 8.38 with 8.39."""
    strength = screw_withdrawal_strength(density, diameter, thread)
    slope = radians(angle)
    small = min(diameter / 8, 1.0)
    group = effective_screws(number)
    return group * strength * diameter * thread * small / (1.2 * cos(slope) ** 2 + sin(slope) ** 2)


def effective_screws(number: int) -> float:
    """Effective number of screws pulled together: n^0.9, clause 8.7.2(8) (published, seen)."""
    return float(number**SCREW_GROUP_POWER)


def together(pull_share: float, shear_share: float, smooth: bool) -> float:
    """Pull and shear at once, at most 1: straight sum for smooth nails (8.27), sum of squares for others (8.28)."""
    return pull_share + shear_share if smooth else pull_share**2 + shear_share**2


def design(characteristic: float) -> float:
    """Design capacity under a lasting load, N: k_mod times the characteristic value over the partial factor; equation
    2.17, Table 3.1 for solid timber in service class 1 or 2."""
    return float(load_table(__package__, "durations").row("permanent")["k_mod"]) * characteristic / GAMMA_M


@dataclass(frozen=True, kw_only=True)
class Spacings:
    """Least distances of nails in mm: ``along`` and ``across`` the grain between nails, from a loaded or unloaded
    end, from a loaded or unloaded edge."""

    along: float
    across: float
    loaded_end: float
    unloaded_end: float
    loaded_edge: float
    unloaded_edge: float


SPACING_FACTORS: dict[str, dict[str, tuple[float, ...]]] = {
    "light": {
        "along": (5, 5, 7),
        "across": (5, 0),
        "end": (10, 5),
        "plain_end": (10,),
        "edge": (5, 2, 5),
        "plain_edge": (5,),
    },
    "dense": {
        "along": (7, 8, 8),
        "across": (7, 0),
        "end": (15, 5),
        "plain_end": (15,),
        "edge": (7, 2, 5),
        "plain_edge": (7,),
    },
    "predrilled": {
        "along": (4, 1, 1),
        "across": (3, 1),
        "end": (7, 5),
        "plain_end": (7,),
        "edge": (3, 2, 4),
        "plain_edge": (3,),
    },
}
"""Table 8.2 in diameters: base and the part that goes with the cosine or sine, thinner than 5 mm first."""


def spacings(density: float, diameter: float, angle: float = 0.0, predrilled: bool = False) -> Spacings:
    """Least spacings, end and edge distances of nails in timber, mm.

    ``angle``: between load and grain, degrees. Table 8.2 (published, seen). Raises ValueError above 500 kg/m3 without
    predrilling, which the clause does not allow.
    """
    if not predrilled and density > DENSE:
        raise ValueError(f"timber over {DENSE:.0f} kg/m3 is predrilled")
    column = "predrilled" if predrilled else "light" if density <= 420 else "dense"
    row = SPACING_FACTORS[column]
    along, across, end, edge = (row[key] for key in ("along", "across", "end", "edge"))
    thin = diameter < 5
    with_grain, over_grain = abs(cos(radians(angle))), abs(sin(radians(angle)))
    return Spacings(
        along=(along[0] + (along[1] if thin else along[2]) * with_grain) * diameter,
        across=(across[0] + across[1] * over_grain) * diameter,
        loaded_end=(end[0] + end[1] * cos(radians(angle))) * diameter,
        unloaded_end=row["plain_end"][0] * diameter,
        loaded_edge=(edge[0] + (edge[1] if thin else edge[2]) * over_grain) * diameter,
        unloaded_edge=row["plain_edge"][0] * diameter,
    )
