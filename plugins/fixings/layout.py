"""Where the fixings of a run go: evenly with pairs near the ends, at studs, or on old plugs."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from math import ceil

LEAST_PAIR_GAP = 20.0
JOINT_REACH = 30.0
SLACK = 1e-6


def even_spacing(length: float, ends: float, most: float) -> tuple[int, float]:
    """Number of fixings and their distance in mm: n = max(2, ceil((L - 2 e) / s) + 1), spread evenly (derived)."""
    between = length - 2 * ends
    number = max(2, ceil(between / most - SLACK) + 1)
    return number, between / (number - 1)


def spread(start: float, end: float, most: float) -> list[float]:
    """Stations from start to end, both included, evenly and no farther apart than ``most``."""
    number, apart = even_spacing(end - start, 0.0, most)
    return [*(start + apart * place for place in range(number - 1)), end]


def end_distance(length: float, ends: float, least: float) -> float | None:
    """How far the first fixing stands from an end of a run, mm; None where the run cannot take two fixings.

    ``ends``: the custom; ``least``: what the timber needs not to split. A short run gives way from the custom to the
    least, a quarter of its length where that serves.
    """
    if length >= 2 * ends + LEAST_PAIR_GAP:
        return ends
    short = max(least, length / 4)
    return short if length >= 2 * short + LEAST_PAIR_GAP else None


def evenly(
    start: float, end: float, most: float, ends: float, second: float, least: float, joints: Iterable[float] = ()
) -> list[float]:
    """Stations for continuous bearing: first ``ends`` from each end, a ``second`` close to it, one at each joint
    between two pieces, the rest evenly between those.

    No two are farther apart than ``most``. A run too short for two fixings gets one in its middle, or none where
    even that would stand nearer to an end than ``least``.
    """
    length = end - start
    edge = end_distance(length, ends, least)
    if edge is None:
        return [(start + end) / 2] if length >= 2 * least else []
    pair = second - ends
    if most <= pair or length < 2 * second + pair:
        return spread(start + edge, end - edge, most)
    near, far = start + second, end - second
    marks = [near, *sorted(at for at in joints if near + pair <= at <= far - pair), far]
    middle = [at for one, other in itertools.pairwise(marks) for at in spread(one, other, most)[:-1]]
    return [start + edge, *middle, far, end - edge]


def on_bearers(bearers: Iterable[float], start: float, end: float, least: float) -> list[float]:
    """Those stations of studs (or battens) a run can be fixed to: none nearer to its ends than ``least``."""
    return [station for station in sorted(set(bearers)) if start + least - SLACK <= station <= end - least + SLACK]


def between_plugs(
    plugs: Iterable[float], start: float, end: float, most: float, ends: float, least: float
) -> list[float]:
    """Old plugs used again, and new fixings between them wherever the gap is wider than ``most``."""
    edge = end_distance(end - start, ends, least)
    if edge is None:
        return []
    old = on_bearers(plugs, start, end, edge)
    marks = sorted({start + edge, end - edge, *old})
    merged = [mark for mark in marks if mark in old or all(abs(mark - plug) >= edge for plug in old)]
    stations = merged[:1]
    for near, far in itertools.pairwise(merged):
        stations += spread(near, far, most)[1:]
    return stations


def over_joints(stations: list[float], joints: Iterable[float]) -> list[float]:
    """The same with a fixing more at each joint between two pieces that has none within 30 mm (common practice)."""
    more = [joint for joint in joints if not near_one(joint, stations)]
    return sorted([*stations, *more])


def near_one(joint: float, stations: Iterable[float]) -> bool:
    """Whether a joint stands over one of the fixings."""
    return any(abs(joint - station) <= JOINT_REACH for station in stations)


def widest_gap(stations: list[float]) -> float | None:
    """The greatest distance between neighbours; None for fewer than two."""
    gaps = [far - near for near, far in itertools.pairwise(stations)]
    return max(gaps, default=None)


def widest_share(stations: list[float], start: float, end: float) -> float:
    """The longest stretch of a run that one fixing carries: half way to its neighbours, and all of it to an end."""
    if not stations:
        return end - start
    bounds = [start, *((near + far) / 2 for near, far in itertools.pairwise(stations)), end]
    return max(far - near for near, far in itertools.pairwise(bounds))
