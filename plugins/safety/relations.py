"""Small published relations that the hazards rest on: one function each, named for what it gives."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees, log

SQUARE_FOOT = 0.3048**2
"""One square foot, m2."""

RRP_MINOR = 6.0
"""Painted surface of one room that may be disturbed as minor work, sq ft. Source: 40 CFR 745.83 (published, seen)."""


def mean_of_day(spells: Sequence[tuple[float, float]]) -> float:
    """Eight-hour mean concentration: the sum of concentration times hours, over eight.

    ``spells``: (mg/m3, hours). Returns mg/m3. Source: EH40 Workplace exposure limits, HSE, method of
    calculation (from memory).

    >>> mean_of_day([(5, 4), (1, 4)])
    3.0
    """
    return sum(concentration * hours for concentration, hours in spells) / 8


def dew_point(temperature: float, humidity: float) -> float:
    """Temperature at which air of a temperature (C) and humidity (% RH) gives up water, C.

    Magnus formula with 17.625 and 243.04 C, valid from -40 to 50 C. Raises ValueError for humidity not above 0.
    Source: Alduchov and Eskridge, Improved Magnus form approximation, 1996 (from memory).

    >>> round(dew_point(20, 60), 1)
    12.0
    """
    if humidity <= 0:
        raise ValueError("humidity must be above 0 %")
    gamma = log(humidity / 100) + 17.625 * temperature / (243.04 + temperature)
    return 243.04 * gamma / (17.625 - gamma)


def lifting_filter(base: float) -> float:
    """The lifting filter cut for carrying with a turn of the body over 45 degrees, 10 %, and a lift a minute, 30 %, kg.

    Source: INDG143 and L23, HSE (cuts seen second-hand; multiplying them is our own choice).

    >>> round(lifting_filter(25), 2)
    15.75
    """
    return base * 0.9 * 0.7


def team_filter(people: int, base: float = 25.0) -> float:
    """What so many people together carry by the filter, kg: of two two thirds of what each carries alone, of three or
    more half. Source: L23, HSE, Manual handling, appendix on handling in teams (from memory).

    >>> [round(team_filter(people), 1) for people in (1, 2, 3, 4)]
    [15.7, 21.0, 23.6, 31.5]
    """
    shares = {1: 1.0, 2: 2 / 3}
    return lifting_filter(base) * people * shares.get(people, 0.5)


def ladder_foot(height: float) -> tuple[float, float]:
    """How far out the foot of a leaning ladder stands for a height (same unit), and its angle in degrees: one out,
    four up.

    Source: LA455 Safe use of ladders and stepladders, HSE and industry (seen second-hand).
    """
    out = height / 4
    return out, degrees(atan(height / out))


def penetration(length: float, trim: float, punch: float) -> float:
    """How deep a fixing driven square goes into the wall, mm: its length, less the trim, plus the depth it is sunk.

    Source: geometry.

    >>> penetration(60, 20, 2)
    42
    """
    return length - trim + punch


def removed_area(parts: Sequence[tuple[float, float]]) -> float:
    """Painted area disturbed by taking parts down, sq ft: each part counts its whole painted face, not the cut.

    ``parts``: (length mm, width mm). Source: 40 CFR 745.83, EPA (published, seen).

    >>> round(removed_area([(12 * 304.8, 6 * 25.4)]), 2)
    6.0
    """
    return sum(length * width for length, width in parts) / 1e6 / SQUARE_FOOT


def minor_work(area: float, prohibited: bool = False) -> bool:
    """Whether an area (sq ft, one room, one month) is minor repair that the lead rule leaves out.

    A prohibited practice (open flame, heat over 593 C, powered sanding without HEPA capture) is never minor.
    Source: 40 CFR 745.83 and 745.85(a)(3), EPA (published, seen).
    """
    return not prohibited and round(area, 6) <= RRP_MINOR


REAL_WORLD = 4.0
"""What a protector takes off less worn at work than in the laboratory, dB. Source: L108, HSE (seen second-hand)."""


def ear_by_snr(level_c: float, snr: float) -> float:
    """Level at the ear under a protector, dB(A), from the level outside in dB(C) and its single number rating.

    Source: BS EN ISO 4869-2, with the allowance of L108, HSE (makers' examples seen second-hand).

    >>> ear_by_snr(97, 28)
    73.0
    """
    return level_c - snr + REAL_WORLD


def ear_by_hml(level_a: float, level_c: float, high: float, medium: float, low: float) -> float:
    """Level at the ear under a protector, dB(A), from the levels outside in dB(A) and dB(C) and its H, M and L.

    Source: BS EN ISO 4869-2, with the allowance of L108, HSE (makers' examples seen second-hand).

    >>> ear_by_hml(96, 99, 30, 24, 22)
    76.25
    """
    deep = level_c - level_a
    slope = (medium - low) / 8 if deep > 2 else (high - medium) / 4
    return level_a - (medium - slope * (deep - 2)) + REAL_WORLD
