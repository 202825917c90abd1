"""Beads of adhesive and sealant: how much, how many cartridges, and whether the wet bead holds."""

from __future__ import annotations

from math import ceil, cos, pi, radians

CARTRIDGES = (290, 310, 350)
"""Sizes of cartridge, ml. Source: common practice in Europe."""
AMERICAN_CARTRIDGES = (299, 828)
"""Sizes of cartridge in the United States, ml: 10.1 and 28 US fluid ounces. Source: common practice, from memory."""


def bead_volume(length: float, diameter: float, zig_zag: float = 0.0) -> float:
    """Volume of a round bead, ml: pi x diameter squared / 4 x length / cosine of the zig-zag angle.

    ``length``, ``diameter`` [mm]; ``zig_zag`` [deg off the run of the piece]. Raises ValueError for sizes not above
    0 or an angle not from 0 to under 90. Source: derived.

    >>> round(bead_volume(1000, 6), 2)
    28.27
    """
    if length < 0 or diameter <= 0 or not 0 <= zig_zag < 90:
        raise ValueError("a bead has a length, a diameter above 0 and a zig-zag from 0 to under 90 degrees")
    return pi * diameter**2 / 4 * length / cos(radians(zig_zag)) / 1000


def with_waste(volume: float, waste: float) -> float:
    """What is bought for a volume [ml] when that share [%] of each cartridge is lost. Source: derived.

    Raises ValueError for a waste not from 0 to under 100.
    """
    if not 0 <= waste < 100:
        raise ValueError("waste is 0 to under 100 %")
    return volume / (1 - waste / 100)


def cartridges(volume: float, size: float) -> int:
    """How many cartridges of a size hold a volume [ml]. Source: derived. Raises ValueError for a size not above 0."""
    if size <= 0:
        raise ValueError("a cartridge holds more than 0 ml")
    return ceil(volume / size - 1e-9)


def pressed_width(diameter: float, thickness: float) -> float:
    """Width of a round bead pressed to a thickness, mm. Raises ZeroDivisionError for no thickness. Source: derived.

    >>> round(pressed_width(6, 2), 1)
    14.1
    """
    return pi * diameter**2 / 4 / thickness


def pressure(force: float, width: float, length: float) -> float:
    """Pull of a force [N] on a bead ``width`` x ``length`` [mm], kPa. Raises ZeroDivisionError for no area. Derived.

    >>> round(pressure(27, 14, 400), 1)
    4.8
    """
    return force / (width * length) * 1000
