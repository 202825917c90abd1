"""Splices: where old timber is cut, and how long the new piece is. Lengths mm; source of each relation named."""

from __future__ import annotations

from dataclasses import KW_ONLY
from math import sqrt

from listel.core.quick import dataclass


def scarf_length(thickness: float, slope: float) -> float:
    """Length of a scarf cut 1 in ``slope`` through a thickness, mm. Source: geometry.

    >>> scarf_length(18, 8)
    144
    """
    return slope * thickness


def area_factor(slope: float) -> float:
    """Glued area of a scarf 1 in ``slope`` over the cross-section it joins. Source: geometry.

    >>> round(area_factor(10), 2)
    10.05
    """
    return sqrt(1 + slope * slope)


@dataclass(frozen=True)
class Splice:
    """A splice: its long points, where sound timber ends at each side, and whether it goes on to the old end there."""

    start: float
    end: float
    cut_from: float
    cut_to: float
    at_start: bool
    _: KW_ONLY
    at_end: bool


def splices(bad: list[tuple[float, float]], start: float, end: float, scarf: float, least: float) -> list[Splice]:
    """The splices that take out the ``bad`` stretches (sound margins included) of a piece from ``start`` to ``end``.

    Each side of a splice is a scarf into sound timber, but where less than ``least`` of the old piece would be left
    there: then it goes on to that end. Two with less than ``least`` between them are made one. Source: geometry.
    """
    merged: list[tuple[float, float]] = []
    for low, high in sorted(bad):
        if merged and low - merged[-1][1] < 2 * scarf + least:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    found = []
    for low, high in merged:
        at_start, at_end = low - scarf - start < least, end - high - scarf < least
        left, right = start if at_start else low - scarf, end if at_end else high + scarf
        found.append(Splice(left, right, max(low, start), min(high, end), at_start, at_end=at_end))
    return found
