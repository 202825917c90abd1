"""The units that an estimate counts in: metric, or those of feet and inches, as the firm's rates or the survey say."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from math import fsum

from listel.core.survey.units import FOOT, METRE, Units

HUNDREDTH = Decimal("0.01")
SIZES = {"m": METRE, "ft": FOOT, "m2": METRE**2, "sq ft": FOOT**2}
"""Units of length and area in mm and mm2."""

IN_FEET = {"m": "ft", "m2": "sq ft", "litre": "quart", "ml": "fl oz", "kg": "lb", "nr": "each"}
"""What stands for each of our units where lengths are in feet and inches."""

METRIC = {
    "ft": ("m", Decimal("0.3048")),
    "sq ft": ("m2", Decimal("0.09290304")),
    "gallon": ("litre", Decimal("3.785411784")),
    "quart": ("litre", Decimal("0.946352946")),
    "fl oz": ("ml", Decimal("29.5735295625")),
    "lb": ("kg", Decimal("0.45359237")),
}
"""Each unit of the United States in ours. Source: NIST Special Publication 811, Guide for the Use of the International
System of Units, 2008, appendix B (published, cited from memory)."""


def unit_in(unit: str, units: Units) -> str:
    """What stands for a metric unit in those units: m or ft."""
    return IN_FEET.get(unit, unit) if units == "inches" else unit


def amount_in(amount: Decimal, unit: str, units: Units) -> Decimal:
    """So much of a metric unit in what stands for it there, to its hundredth, halves up."""
    size = METRIC.get(unit_in(unit, units), (unit, Decimal(1)))[1]
    return (amount / size).quantize(HUNDREDTH, ROUND_HALF_UP)


def measured(measures: Iterable[float], unit: str) -> Decimal:
    """The sum of lengths [mm] or areas [mm2] in a unit of ``SIZES``, rounded once to its hundredth; in whatever order
    they come."""
    return Decimal(repr(round(fsum(measures) / SIZES[unit], 6))).quantize(HUNDREDTH, ROUND_HALF_UP)
