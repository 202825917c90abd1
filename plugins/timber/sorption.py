"""The moisture that air brings wood to, and the air that a moisture stands for."""

from __future__ import annotations

from itertools import pairwise

from listel.core.contract.findings import Source

HANDBOOK_SORPTION = Source(
    "Wood Handbook, Wood as an Engineering Material (FPL-GTR-282)",
    "USDA Forest Products Laboratory",
    "2021",
    "equation 4-5, p. 4-3, coefficients for C",
    "published-seen",
)
BOARD_SORPTION = Source(
    "Australian industry sheet on MDF: moisture content by relative humidity", standing="published-second-hand"
)

W = (349.0, 1.29, 0.0135)
K = (0.805, 0.000736, -0.00000273)
K1 = (6.27, -0.00938, -0.000303)
K2 = (1.91, 0.0407, -0.000293)
"""Coefficients of equation 4-5: each is a + b T + c T squared, T in C."""

COLDEST, HOTTEST = -1.1, 132.2
"""Range of the handbook's own table (Table 4-2), C. Outside it the equation is an extrapolation."""

BOARD_MOISTURE = ((30.0, 6.0, 8.0), (45.0, 7.0, 9.0), (65.0, 9.0, 11.0), (75.0, 10.0, 12.0), (90.0, 15.0, 16.0))
"""MDF: relative humidity %, least and greatest moisture % MC."""


def sorption_constants(temperature: float) -> tuple[float, float, float, float]:
    """W, K, K1 and K2 of equation 4-5 at a temperature [C]. Raises nothing. Source: as :func:`equilibrium_moisture`."""
    w, k, k1, k2 = (a + b * temperature + c * temperature**2 for a, b, c in (W, K, K1, K2))
    return w, k, k1, k2


def equilibrium_moisture(temperature: float, humidity: float) -> float:
    """The moisture content wood comes to in air of that state, % MC.

    In words: two hydrates of water on wood, whose constants are parabolas in the temperature.
    ``temperature`` [C]; ``humidity`` [% RH]. Raises ValueError if the humidity is not 0 to 100 or the
    temperature not -30 to 133. Valid for -1.1 to 132.2 C and 5 to 95 % RH; single species lie within a point
    or two. Source: Wood Handbook (FPL-GTR-282), 2021, equation 4-5, published-seen.

    >>> round(equilibrium_moisture(20, 65), 3)
    11.996
    """
    if not 0 <= humidity <= 100:
        raise ValueError(f"a relative humidity is 0 to 100 %, not {humidity:g}")
    if not -30 <= temperature <= 133:
        raise ValueError(f"the equation of sorption serves -30 to 133 C, not {temperature:g}")
    h = humidity / 100
    w, k, k1, k2 = sorption_constants(temperature)
    kh = k * h
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


def moisture_in_room(temperature: float, humidity: float) -> float:
    """:func:`equilibrium_moisture` with the temperature [C] held to the coldest of the handbook's table, -1.1 C, below
    which moisture hardly changes. Raises ValueError as that does. Source: as that.
    """
    return equilibrium_moisture(max(temperature, COLDEST), humidity)


def humidity_for(temperature: float, moisture: float) -> float:
    """The relative humidity at which wood rests at that moisture, % RH: equation 4-5 turned round by halving.

    ``temperature`` [C]; ``moisture`` [% MC]. Raises ValueError where no humidity brings wood so far.
    Source: as :func:`equilibrium_moisture`.

    >>> round(humidity_for(20, 12), 1)
    65.0
    """
    wettest = equilibrium_moisture(temperature, 100)
    if not 0 <= moisture <= wettest:
        raise ValueError(f"air at {temperature:g} C brings wood to 0 to {wettest:.1f} %, never to {moisture:g} %")
    low, high = 0.0, 100.0
    for _ in range(60):
        middle = (low + high) / 2
        if equilibrium_moisture(temperature, middle) < moisture:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def board_moisture(humidity: float) -> float:
    """The moisture MDF comes to, % MC: midway between the published least and greatest, straight between the figures.

    ``humidity`` [% RH]; below 30 and above 90 % the end figures are kept. Raises nothing. Source: Australian
    industry sheet on MDF, published-second-hand.

    >>> board_moisture(65)
    10.0
    """
    points = [(rh, (low + high) / 2) for rh, low, high in BOARD_MOISTURE]
    if humidity <= points[0][0]:
        return points[0][1]
    for (rh, moisture), (next_rh, next_moisture) in pairwise(points):
        if humidity <= next_rh:
            return moisture + (next_moisture - moisture) * (humidity - rh) / (next_rh - rh)
    return points[-1][1]
