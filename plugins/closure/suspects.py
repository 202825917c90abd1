"""Which reading of a room that does not close could be the wrong one, and by what slip."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import exp, hypot, log

from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.plugins.closure.conditions import conditions, estimate
from listel.plugins.closure.settings import allowance
from listel.plugins.site import spread_angles, walk

INCH = 25.4
FOOT = 12 * INCH


@dataclass(frozen=True)
class Reading:
    """One reading of a traverse. ``value`` as the traverse takes it (mm, or degrees through the room); ``external``:
    the bevel read the solid; ``others``: other readings of the same thing [mm]."""

    value: float
    is_angle: bool
    external: bool = False
    others: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """A reading that alone could be wrong: its ``number`` (sides, then angles), the ``value`` that would close the
    room, the misclosure that it ``leaves`` [mm], the ``slip`` that explains it (or ""), and its ``likelihood`` among
    all doubts, 0 to 1."""

    number: int
    value: float
    leaves: float
    slip: str
    likelihood: float = 0.0


def misclosure(sides: Sequence[float], angles: Sequence[float]) -> float:
    """Length of the misclosure once the error of the angles is spread over the corners [mm]. Source: surveying
    practice."""
    return hypot(*walk(sides, spread_angles(angles))[-1])


def doubts(readings: Sequence[Reading], tape: float, bevel: float, imperial: bool = False) -> list[Doubt]:
    """Every reading that alone, corrected, would close the room within chance, the likeliest first.

    A reading is weighed by how well its correction closes the room, given what tape [mm] and bevel [deg] can do (half
    the weighted misclosure left, as a logarithm), and by how likely the slip is that would explain it. Lengths of
    parallel walls come out equal, for closure alone cannot tell them apart.
    """
    weights = {row.name: (float(row["weight"]), str(row["says"])) for row in load_table(__package__, "slips")}
    scored: list[tuple[float, Doubt]] = []
    for number, reading in enumerate(readings):
        best = max(_ways(readings, number, reading, tape, bevel, imperial, weights), default=None)
        if best is not None:
            score, value, slip = best
            leaves = misclosure(*_split(_with(readings, number, value)))
            scored.append((score, Doubt(number=number, value=value, leaves=leaves, slip=slip)))
    if not scored:
        return []
    top = max(score for score, _ in scored)
    scored = [(score, doubt) for score, doubt in scored if score >= top + log(allowance("least-likely"))]
    total = sum(exp(score - top) for score, _ in scored)
    ranked = [(exp(score - top) / total, doubt) for score, doubt in scored]
    ranked.sort(key=lambda pair: (-round(pair[0], 9), pair[1].number))
    return [replace(each, likelihood=share) for share, each in ranked]


def opposite_bevels(
    sides: Sequence[float], angles: Sequence[float], tape: float, bevel: float
) -> list[tuple[float, int, int, float]]:
    """Every two corners whose angles, one grown and the other shrunk by as much, would close the room within chance,
    though their sum shows nothing: how likely beside the best, 0 to 1, the corners, and that much [deg]."""
    found, count = conditions(sides, angles, tape, bevel), len(sides)
    ways = []
    for first, second in combinations(range(count), 2):
        row = [a - b for a, b in zip(found.rows[count + first], found.rows[count + second], strict=True)]
        grows, left = estimate(found, row)
        if left <= allowance("suspect-limit"):
            ways.append((left, first, second, abs(grows)))
    best = min(ways, default=(0.0,))[0]
    return [(exp((best - left) / 2), first, second, by) for left, first, second, by in ways]


def _ways(
    readings: Sequence[Reading],
    number: int,
    reading: Reading,
    tape: float,
    bevel: float,
    imperial: bool,
    weights: dict[str, tuple[float, str]],
) -> Iterator[tuple[float, float, str]]:
    """The ways in which one reading could be corrected: score, corrected value, slip in words."""
    limit = allowance("suspect-limit")
    value, left = _best_value(readings, number, tape, bevel)
    if left > limit:
        return
    step = 0.1 if reading.is_angle else INCH / 8 if imperial else 1.0
    yield -left / 2 + log(weights["unknown"][0]), round(value / step) * step, ""
    for name, corrected in slips(reading, imperial):
        weight, words = weights[name]
        left = conditions(*_split(_with(readings, number, corrected)), tape, bevel).weight
        if left <= limit:
            yield -left / 2 + log(weight), corrected, words


def _best_value(readings: Sequence[Reading], number: int, tape: float, bevel: float) -> tuple[float, float]:
    """The value of one reading that closes the traverse best, and the weight left: linear for lengths, by steps for
    angles."""
    value = readings[number].value
    left = float("inf")
    for _ in range(12):
        found = conditions(*_split(_with(readings, number, value)), tape, bevel)
        correction, left = estimate(found, found.rows[number])
        value += correction
        if abs(correction) < 1e-6:
            break
        if value <= 0 or (readings[number].is_angle and value >= 360):
            return value, float("inf")
    return value, left


def _with(readings: Sequence[Reading], number: int, value: float) -> list[float]:
    values = [each.value for each in readings]
    values[number] = value
    return values


def _split(values: Sequence[float]) -> tuple[list[float], list[float]]:
    half = len(values) // 2
    return list(values[:half]), list(values[half:])


def slips(reading: Reading, imperial: bool = False) -> Iterator[tuple[str, float]]:
    """What a reading could have been but for a common slip: the slip's name and the value, in the reading's own
    unit."""
    if reading.is_angle:
        yield from _angle_slips(reading)
    else:
        yield from _length_slips(reading, imperial)


def _length_slips(reading: Reading, imperial: bool) -> Iterator[tuple[str, float]]:
    value = reading.value
    for other in reading.others:
        yield "other-reading", other
    unit = INCH if imperial else 1.0
    for name, change in (("swapped-digits", _swapped), ("six-nine", _six_nine)):
        for changed in _changed(value, unit, change):
            yield name, changed
    for name, whole in (("foot", FOOT),) if imperial else (("hundred", 100.0), ("thousand", 1000.0)):
        yield name, value + whole
        if value > whole:
            yield name, value - whole
    if imperial:
        yield "foot-for-inch", value * 12
        yield "foot-for-inch", value / 12


def _angle_slips(reading: Reading) -> Iterator[tuple[str, float]]:
    read = 360.0 - reading.value if reading.external else reading.value
    ways = [("swapped-digits", each) for each in _changed(read, 0.1, _swapped)]
    ways += [("other-side", 180.0 - read), ("ten-degrees", read + 10), ("ten-degrees", read - 10)]
    for name, angle in ways:
        if 0 < angle < 180 and angle != read:
            yield name, 360.0 - angle if reading.external else angle
    yield "other-kind", 360.0 - reading.value


def _changed(value: float, unit: float, change: Callable[[str], Iterator[str]]) -> list[float]:
    """A value with the digits of its whole number of units changed; what is over stays."""
    whole = int(value / unit + 1e-6)
    rest = value - whole * unit
    return sorted({int(text) * unit + rest for text in change(str(whole)) if int(text) not in (0, whole)})


def _swapped(text: str) -> Iterator[str]:
    for i in range(len(text) - 1):
        yield text[:i] + text[i + 1] + text[i] + text[i + 2 :]


def _six_nine(text: str) -> Iterator[str]:
    for i, digit in enumerate(text):
        if digit in "69":
            yield text[:i] + {"6": "9", "9": "6"}[digit] + text[i + 1 :]
