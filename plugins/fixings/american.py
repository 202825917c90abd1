"""Nails and screws in timber after the Wood Handbook (mean ultimate) and the NDS (allowable, ten-year load).

Pounds and inches as published; the metric forms follow from them. ``gravity`` is ovendry mass over volume
(at 12 % moisture for the Handbook, ovendry for the NDS). The two kinds of value are never mixed: a mean is
a test result, an allowable load is about a fifth of it.
"""

from __future__ import annotations

from math import pi

from listel.core.contract.findings import Source, Standing
from listel.core.contract.tables import load_table

INCH = 25.4
POUND = 4.4482216153
PSI = POUND / INCH**2

HANDBOOK_NAIL, HANDBOOK_SCREW = 7850.0, 15700.0
NDS_NAIL, NDS_SCREW = 1380.0, 2850.0
NAIL_GRAVITY_POWER, SCREW_GRAVITY_POWER = 2.5, 2.0
PULL_THIN, PULL_THICK, PULL_LIMIT = 690.0, 1725.0, 2.5
HOLE_SOFT, HOLE_HARD, HOLE_GRAVITY = 0.75, 0.90, 0.6
LEAST_DEPTH = 6.0
WORKING_DIVISOR = 5.0


def handbook(locator: str, standing: Standing = "published-seen") -> Source:
    """A place in the Wood Handbook as a source."""
    return Source(
        "Wood Handbook: wood as an engineering material (GTR-190, GTR-282)",
        "USDA Forest Products Laboratory",
        "2010, 2021",
        locator,
        standing,
    )


def nds(locator: str, standing: Standing = "published-seen") -> Source:
    """A clause of the NDS as a source."""
    return Source(
        "National Design Specification for Wood Construction", "American Wood Council", "2018", locator, standing
    )


def handbook_nail_withdrawal(gravity: float, diameter: float, depth: float) -> float:
    """Mean ultimate withdrawal of a bright smooth nail from side grain, N; ``diameter`` and ``depth`` mm.

    7,850 G^(5/2) D L in pounds and inches, chapter 8, equation 8-1 (published, seen).
    """
    return float(HANDBOOK_NAIL * PSI * gravity**NAIL_GRAVITY_POWER * diameter * depth)


def handbook_screw_withdrawal(gravity: float, diameter: float, thread: float) -> float:
    """Mean ultimate withdrawal of a wood screw from side grain, N; ``diameter`` of the shank and ``thread`` length, mm.

    15,700 G^2 D L in pounds and inches, chapter 8 (published, constant from memory).
    """
    return float(HANDBOOK_SCREW * PSI * gravity**SCREW_GRAVITY_POWER * diameter * thread)


def nds_nail_withdrawal(gravity: float, diameter: float) -> float:
    """Allowable withdrawal of a smooth nail from side grain, lb per inch of depth; ``diameter`` in inches.

    1,380 G^(5/2) D, clause 12.2.3.1, equation 12.2-3 (published, seen).
    """
    return float(NDS_NAIL * gravity**NAIL_GRAVITY_POWER * diameter)


def nds_screw_withdrawal(gravity: float, diameter: float) -> float:
    """Allowable withdrawal of a wood screw from side grain, lb per inch of thread; ``diameter`` in inches.

    2,850 G^2 D, clause 12.2.2.1, equation 12.2-2 (published, seen).
    """
    return float(NDS_SCREW * gravity**SCREW_GRAVITY_POWER * diameter)


def nds_pull_through(gravity: float, head: float, thickness: float) -> float:
    """Allowable pull of a head through the timber under it, lb; ``head`` diameter and ``thickness`` in inches.

    690 pi D_H G^2 t up to t = 2.5 D_H, above that 1,725 pi D_H^2 G^2; clause 12.2.5.1 (published, seen).
    """
    if thickness <= PULL_LIMIT * head:
        return PULL_THIN * pi * head * gravity**2 * thickness
    return PULL_THICK * pi * head**2 * gravity**2


def per_mm(pounds_per_inch: float) -> float:
    """Pounds per inch as newtons per millimetre."""
    return pounds_per_inch * POUND / INCH


def nail_hole(gravity: float, diameter: float) -> float:
    """Greatest nail hole that still counts as a lead hole: 75 % of the diameter, 90 % above a gravity of 0.6.

    NDS clause 12.1.6.2 (published, seen). Returned in the unit of ``diameter``.
    """
    return (HOLE_HARD if gravity > HOLE_GRAVITY else HOLE_SOFT) * diameter


def duration() -> float:
    """NDS load duration factor C_D of a lasting load."""
    return float(load_table(__package__, "durations").row("permanent")["c_d"])
