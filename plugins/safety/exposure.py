"""Noise, vibration and dust: the day's dose from tools and hours, and the calculation ``exposure``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log10, sqrt
from typing import Any

from listel.core.contract.findings import Grounds, Input, Source
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.contract.tables import load_table
from listel.plugins.safety.relations import mean_of_day

Use = tuple[float, float]
"""A level or magnitude, and the hours of trigger time a day at it."""

NOISE_FORMULA = Source(
    "Control of Noise at Work Regulations", year="2005", locator="Schedule 1", standing="published-second-hand"
)
VIBRATION_FORMULA = Source(
    "Control of Vibration at Work Regulations",
    "HM Government",
    year="2005",
    locator="Schedule 1 Part I",
    standing="published-second-hand",
)
EAR_FORMULA = Source(
    "BS EN ISO 4869-2, and L108 with its allowance for wear at work", "HSE", standing="published-second-hand"
)
ADVISED = Source(
    "Criteria for a recommended standard: occupational noise exposure", "NIOSH", "1998", standing="published-seen"
)
OSHA_FORMULA = Source(
    "29 CFR 1926.52 Occupational noise exposure",
    "OSHA",
    locator="Table D-2 and (d)(2)",
    standing="published-second-hand",
)
READY_RECKONER = Source("Exposure points ready-reckoners", "HSE", standing="published-second-hand")


def daily_noise(uses: Sequence[Use]) -> float:
    """Daily personal noise exposure LEP,d: the energy of each use spread over eight hours.

    ``uses``: (level dB(A), hours). Returns dB(A). Raises ValueError if no use lasts any time.
    Source: Control of Noise at Work Regulations 2005, Schedule 1 (seen second-hand).

    >>> round(daily_noise([(88, 4)]), 2)
    84.99
    """
    energy = sum(hours * 10 ** (level / 10) for level, hours in uses)
    if energy <= 0:
        raise ValueError("no use lasts any time: give trigger hours above 0")
    return 10 * log10(energy / 8)


def noise_points(level: float, hours: float) -> float:
    """Noise exposure points of one use: 100 points are 85 dB(A) for eight hours; points add up.

    ``level`` dB(A), ``hours``. Source: noise exposure ready-reckoner, HSE (seen second-hand).

    >>> noise_points(85, 8)
    100.0
    """
    return 100 * (hours / 8) * 10 ** ((level - 85) / 10)


def permitted_hours(level: float) -> float:
    """Hours a day permitted at a level in the United States: 8 / 2^((L - 90) / 5).

    ``level`` dBA, valid from 90 to 115. Source: 29 CFR 1926.52, Table D-2 (seen second-hand).

    >>> permitted_hours(100)
    2.0
    """
    return float(8 / 2 ** ((level - 90) / 5))


COUNTED = 90.0
"""Levels under this do not count towards the permitted dose of the United States, dBA: the table starts there."""


def noise_dose(uses: Sequence[Use]) -> float:
    """Share of the permitted noise dose: the sum of each use's hours over the hours permitted at its level.

    Source: 29 CFR 1926.52(d)(2) (seen second-hand).
    """
    return sum(hours / permitted_hours(level) for level, hours in uses if level >= COUNTED)


def advised_dose(uses: Sequence[Use]) -> float:
    """Share of the dose that NIOSH advises: 85 dBA for eight hours, halved for each 3 dB more.

    ``uses``: (level dBA, hours). Source: NIOSH, Criteria for a recommended standard, occupational noise exposure, 1998
    (published, seen).

    >>> round(advised_dose([(100, 0.25)]), 3)
    1.0
    """
    return float(sum(hours / (8 / 2 ** ((level - 85) / 3)) for level, hours in uses if level >= 80))


def daily_vibration(uses: Sequence[Use]) -> float:
    """Daily vibration exposure A(8): root of the sum of magnitude squared times hours, over eight.

    ``uses``: (magnitude m/s2, hours). Returns m/s2. Source: Control of Vibration at Work Regulations 2005,
    Schedule 1 Part I (seen second-hand).

    >>> daily_vibration([(5, 2)])
    2.5
    """
    return sqrt(sum(magnitude**2 * hours for magnitude, hours in uses) / 8)


def vibration_points(magnitude: float, hours: float) -> float:
    """Vibration exposure points of one use: 2 a^2 an hour; 100 is the action value, 400 the limit; points add up.

    ``magnitude`` m/s2, ``hours``. Source: hand-arm vibration ready-reckoner, HSE (published, seen).
    """
    return 2 * magnitude**2 * hours


def reached(kind: str, dose: float, regime: str = "european") -> tuple[str, str, tuple[Source, ...]]:
    """The greatest daily value reached, what must then be done, and its sources; empty words if none is.

    Equal counts as reached; the permitted dose of the United States must be passed. A noise level is read to 0.1 dB, a
    vibration to 0.001 m/s2. Source: the table ``exposure_limits``.
    """
    rows = [row for row in load_table(__package__, "exposure_limits") if (row["kind"], row["regime"]) == (kind, regime)]
    read = round(dose, 1 if kind == "noise" and regime == "european" else 3)
    met = [row for row in rows if (read > row["at"] if regime == "osha" else read >= row["at"])]
    if not met:
        return "", "", rows[0].sources if rows else ()
    top = max(met, key=lambda row: row["at"])
    return f"{top['called']} of {top['at']:g}", top["then"], top.sources


def noise_grounds(uses: Sequence[Use], inputs: tuple[Input, ...], regime: str) -> tuple[float, float | None, Grounds]:
    """The day's noise as (dose, points or None, grounds): LEP,d in dB(A), or the share of the dose for "osha"."""
    if regime == "osha":
        dose = noise_dose(uses)
        worked = (
            " + ".join(f"{h:g} / {permitted_hours(lev):.2f}" for lev, h in uses if lev >= COUNTED)
            or "no level reaches 90 dBA"
        )
        return (
            dose,
            None,
            Grounds(
                inputs,
                "sum of hours over hours permitted",
                worked,
                f"{dose:.2f} of the permitted dose",
                (OSHA_FORMULA,),
            ),
        )
    level = daily_noise(uses)
    points = sum(noise_points(*use) for use in uses)
    inside = " + ".join(f"{h:g} x 10^({lev:g}/10)" for lev, h in uses)
    grounds = Grounds(
        inputs,
        "10 log of the energy of each use spread over eight hours",
        f"10 log10(({inside}) / 8) = {level:.1f}",
        f"{level:.1f} dB(A), {points:.0f} points",
        (NOISE_FORMULA, READY_RECKONER),
    )
    return level, points, grounds


def vibration_grounds(uses: Sequence[Use], inputs: tuple[Input, ...]) -> tuple[float, float, Grounds]:
    """The day's vibration as (A(8) in m/s2, points, grounds)."""
    dose = daily_vibration(uses)
    points = sum(vibration_points(*use) for use in uses)
    inside = " + ".join(f"{a:g}^2 x {h:g}" for a, h in uses)
    grounds = Grounds(
        inputs,
        "root of the sum of magnitude squared times hours, over eight",
        f"sqrt(({inside}) / 8) = {dose:.2f}",
        f"{dose:.2f} m/s2 A(8), {points:.0f} points",
        (VIBRATION_FORMULA, READY_RECKONER),
    )
    return dose, points, grounds


def reckon(given: Mapping[str, Any]) -> Reckoning:
    """The calculation ``exposure``: the day's dose of the tools given.

    Raises ValueError if nothing was given, or the hours do not pair with the levels.
    """
    levels, magnitudes, dusts, hours = (tuple(given.get(key) or ()) for key in ("noise", "vibration", "dust", "hours"))
    if not levels and not magnitudes and not dusts:
        raise ValueError("give --noise (dB(A)), --vibration (m/s2) or --dust (mg/m3), each with its --hours")
    regime = "osha" if given.get("region") == "us" else "european"
    results: dict[str, Any] = {}
    grounds: list[Grounds] = []
    says: list[str] = []
    if magnitudes:
        uses = _paired("vibration", magnitudes, hours)
        dose, points, why = vibration_grounds(uses, _inputs("vibration", uses, "m/s2"))
        results |= {"a8": round(dose, 3), "vibration_points": round(points, 1)}
        grounds.append(why)
        says.append(_sentence("Vibration", "vibration", dose, why.result, regime))
        if regime == "osha":
            says.append(
                "The United States has no vibration limit in law; the doses can still be held against 2.5 and 5 m/s2."
            )
    if levels:
        uses = _paired("noise", levels, hours)
        noise, noise_score, why = noise_grounds(uses, _inputs("noise", uses, "dB(A)"), regime)
        results |= (
            {"dose": round(noise, 4)}
            if noise_score is None
            else {"lep_d": round(noise, 1), "noise_points": round(noise_score, 1)}
        )
        grounds.append(why)
        says.append(_sentence("Noise", "noise", noise, why.result, regime))
    if dusts:
        mean, why, sentence = _dust(_paired("dust", dusts, hours), str(given.get("of") or "hardwood"), regime)
        results["c8"] = round(mean, 3)
        grounds.append(why)
        says.append(sentence)
    says.append(
        "Hours are trigger time. The maker's figures or a measurement outrank tables. Local codes and licensed "
        "practice rule."
    )
    return Reckoning(results, tuple(grounds), tuple(says))


def _dust(uses: list[Use], of: str, regime: str) -> tuple[float, Grounds, str]:
    row = load_table(__package__, "dust").row(f"{of}-{'us' if regime == 'osha' else 'gb'}")
    mean = mean_of_day(uses)
    worked = f"({' + '.join(f'{c:g} x {h:g}' for c, h in uses)}) / 8 = {mean:.3f}"
    limit = row["limit"]
    verdict = "over" if mean > limit + 1e-9 else "at" if abs(mean - limit) <= 1e-9 else "under"
    grounds = Grounds(
        _inputs("dust", uses, "mg/m3"),
        "sum of concentration times hours, over eight",
        worked,
        f"{mean:.2f} mg/m3; limit {limit:g} mg/m3",
        row.sources,
    )
    return (
        mean,
        grounds,
        f"Dust: {mean:.2f} mg/m3 over eight hours, {verdict} the limit of {limit:g} for {of}; still reduce it.",
    )


def _paired(name: str, values: Sequence[float], hours: Sequence[float]) -> list[Use]:
    if len(values) != len(hours):
        raise ValueError(
            f"{len(values)} --{name} and {len(hours)} --hours were given; each needs its own hours, in the same order"
        )
    if any(value < 0 for value in values):
        raise ValueError(f"--{name} must not be below 0")
    if any(h < 0 for h in hours) or not 0 < sum(hours) <= 24:
        raise ValueError("--hours must together be above 0 and at most 24 in a day")
    return list(zip(values, hours, strict=True))


def _inputs(name: str, uses: Sequence[Use], unit: str) -> tuple[Input, ...]:
    def pairs() -> Iterator[Input]:
        for number, (value, hours) in enumerate(uses, 1):
            yield Input(f"{name} {number}", value, unit)
            yield Input(f"hours {number}", hours, "h")

    return tuple(pairs())


def _sentence(title: str, kind: str, dose: float, result: str, regime: str) -> str:
    called, then, _ = reached(kind, dose, regime)
    if not called:
        return f"{title}: {result}; no action value is reached."
    return f"{title}: {result}; the {called} is {'passed' if regime == 'osha' else 'reached'}: {then}."


EXPOSURE = Reckoner(
    "exposure",
    "daily noise, vibration and dust dose from tools and trigger hours",
    (
        Option("noise", "number", "level at the ear, dB(A); repeat for each tool", many=True, least=30, most=150),
        Option("vibration", "number", "vibration magnitude, m/s2; repeat for each tool", many=True, least=0, most=100),
        Option(
            "dust",
            "number",
            "concentration in the air breathed, mg/m3; repeat for each spell",
            many=True,
            least=0,
            most=100,
        ),
        Option("of", "choice", "which dust", default="hardwood", choices=("softwood", "hardwood", "silica")),
        Option(
            "hours", "number", "trigger hours a day, one for each tool in the same order", many=True, least=0, most=24
        ),
        Option(
            "region", "choice", "uk (also Ireland and the European Union) or us", default="uk", choices=("uk", "us")
        ),
    ),
    reckon,
    {"m/s2": "a8", "dB(A)": "lep_d", "mg/m3": "c8"},
)
"""``listel reckon exposure``."""
