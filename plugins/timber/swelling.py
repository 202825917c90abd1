"""How far a size changes with moisture."""

from __future__ import annotations

from listel.core.contract.findings import Source

HANDBOOK_SWELLING = Source(
    "Wood Handbook, Wood as an Engineering Material (FPL-GTR-190, FPL-GTR-282)",
    "USDA Forest Products Laboratory",
    "2010, 2021",
    "equation 13-2 from 6 to 14 % moisture, equation 13-3 outside",
    "published-second-hand",
)

FIBRE_SATURATION = 30.0
"""Moisture above which wood does not shrink, % MC, unless the timber's row says otherwise."""
LINEAR_FROM, LINEAR_TO = 6.0, 14.0
"""Range of equation 13-2, % MC."""


def in_linear_range(first: float, last: float) -> bool:
    """Whether both moistures [% MC] lie where the plain coefficient serves (6 to 14 %). Source: equation 13-2."""
    return all(LINEAR_FROM <= moisture <= LINEAR_TO for moisture in (first, last))


def change_by_coefficient(size: float, coefficient: float, first: float, last: float) -> float:
    """Change of a size, mm, positive when it swells: size x coefficient x change of moisture.

    ``size`` [mm]; ``coefficient`` [share of the size per 1 % MC]; ``first``, ``last`` [% MC]. Raises ValueError
    outside 6 to 14 %. Source: Wood Handbook (FPL-GTR-190), 2010, equation 13-2, published-second-hand.

    >>> round(change_by_coefficient(232, 0.00245, 8, 11), 3)
    1.705
    """
    if not in_linear_range(first, last):
        raise ValueError(
            "the plain coefficient serves 6 to 14 % moisture; outside it, use the shrinkage (equation 13-3)"
        )
    return size * coefficient * (last - first)


def change_by_shrinkage(
    size: float, shrinkage: float, first: float, last: float, fibre_saturation: float = FIBRE_SATURATION
) -> float:
    """Change of a size, mm, positive when it swells, from the shrinkage from green to ovendry.

    In words: size x change of moisture / (100 f / shrinkage - f + first moisture), f the fibre saturation.
    ``size`` [mm]; ``shrinkage`` [%]; ``first``, ``last`` [% MC], taken as f where they are above it;
    ``fibre_saturation`` [% MC]. Raises ValueError if a moisture is below 0. Source: Wood Handbook
    (FPL-GTR-190), 2010, equation 13-3, published-from-memory.

    >>> round(change_by_shrinkage(169, 10.5, 16, 9), 3)
    -4.354
    """
    if min(first, last) < 0:
        raise ValueError("a moisture content is not below 0 %")
    first, last = min(first, fibre_saturation), min(last, fibre_saturation)
    return size * (last - first) / (fibre_saturation * 100 / shrinkage - fibre_saturation + first)


def coefficient_from_shrinkage(shrinkage: float, fibre_saturation: float = FIBRE_SATURATION) -> float:
    """The coefficient of change per 1 % MC that a total shrinkage [%] stands for: equation 13-3 at 10 % moisture.

    Raises nothing for a shrinkage above 0. Source: derived; gives back the figures of Table 13-5 from Table 4-3.

    >>> round(coefficient_from_shrinkage(11.9), 5)
    0.00431
    """
    return 1 / (100 * fibre_saturation / shrinkage - fibre_saturation + 10)
