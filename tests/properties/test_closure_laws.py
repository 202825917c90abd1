"""Closure of rooms: a perfect room closes, turning it changes nothing, and one wrong reading in many is found and
named."""

from __future__ import annotations

import random
from collections.abc import Iterator
from math import cos, hypot, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from room_shapes import fair, read, room

from listel.core.survey.job import Job
from listel.plugins.closure.conditions import Conditions, conditions, expected_misclosure
from listel.plugins.closure.judging import judge
from listel.plugins.closure.settings import bevel_shown
from listel.plugins.closure.suspects import Reading, doubts, misclosure, slips
from listel.plugins.site import angle_error, compass_rule, courses_of, spread_angles, walk

Point = tuple[float, float]
TAPE, BEVEL = 1.5, 0.3
ROOMS = 200


def surveys(tape: float, bevel: float) -> Iterator[tuple[random.Random, list[Reading]]]:
    """Seeded rooms as surveyed: each reading with its own error, lengths to 1 mm and angles to 0.1 degree."""
    for seed in range(10 * ROOMS):
        rng = random.Random(seed)
        sides, angles = read(room(rng))
        if fair(sides, angles):
            taken = [Reading(round(side + rng.gauss(0, tape)), False) for side in sides]
            taken += [Reading(round(angle + rng.gauss(0, bevel), 1), True, angle > 180) for angle in angles]
            yield rng, taken


def split(readings: list[Reading]) -> tuple[list[float], list[float]]:
    half = len(readings) // 2
    return [each.value for each in readings[:half]], [each.value for each in readings[half:]]


def alone(found: Conditions, number: int) -> float:
    """One sigma of what the closure says one reading should grow by."""
    return float((np.array(found.rows[number]) @ np.array(found.inverse) @ np.array(found.rows[number])) ** -0.5)


def corrupted(rng: random.Random, readings: list[Reading], swap: bool) -> tuple[int, list[Reading]] | None:
    """One reading made wrong by over 5 times what the rest of the survey leaves open about it; None where that cannot
    be."""
    number = rng.randrange(len(readings) // 2 if swap else len(readings))
    reading = readings[number]
    tolerance = 5 * alone(conditions(*split(readings), TAPE, BEVEL), number)
    if swap:
        wrong = [value for name, value in slips(reading) if name == "swapped-digits"]
    else:
        wrong = [reading.value + sign * rng.uniform(1.02, 4) * tolerance for sign in (-1, 1)]
    highest = 350 if reading.is_angle else 20000
    wrong = [value for value in wrong if abs(value - reading.value) > tolerance and 10 < value < highest]
    if not wrong:
        return None
    return number, [
        *readings[:number],
        Reading(rng.choice(wrong), reading.is_angle, reading.external),
        *readings[number + 1 :],
    ]


def outcome(swap: bool) -> tuple[int, int, int]:
    """Of 200 corrupted rooms: how many there were, in how many the wrong reading was named, in how many it came
    first."""
    tried = named = first = 0
    for rng, readings in surveys(TAPE, BEVEL):
        spoiled = corrupted(rng, readings, swap)
        if spoiled is None:
            continue
        number, wrong = spoiled
        tried += 1
        if not judge(*split(wrong), TAPE, BEVEL).closed:
            found = [doubt.number for doubt in doubts(wrong, TAPE, BEVEL)]
            named += number in found
            first += found[:1] == [number]
        if tried == ROOMS:
            break
    return tried, named, first


def test_any_wrong_reading_is_among_those_named(capsys: pytest.CaptureFixture[str]) -> None:
    tried, named, first = outcome(swap=False)
    with capsys.disabled():
        print(f"\none wrong reading of any kind: named in {named} of {tried} rooms, first in {first}")
    assert tried == ROOMS
    assert named >= 0.99 * tried


def test_a_swapped_digit_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    tried, named, first = outcome(swap=True)
    with capsys.disabled():
        print(f"\ntwo digits changed places: named in {named} of {tried} rooms, first in {first}")
    assert tried == ROOMS
    assert named >= 0.99 * tried
    assert first >= 0.80 * tried


def test_without_tolerances_the_angles_themselves_bound_what_the_bevel_explains() -> None:
    """A careful bevel, and nobody says so: a swapped digit that a bevel of 0.2 would show is no less shown."""
    tried = held = sound = 0
    for rng, readings in surveys(TAPE, 0.2):
        sides, angles = split(readings)
        shown, _ = bevel_shown(Job("law"), angles)
        assert 0.2 <= shown <= max(0.2, abs(sum(angles) - 180 * (len(angles) - 2)) / len(angles) ** 0.5 + 1e-9)
        sound += judge(sides, angles, TAPE, shown).closed
        wrong = corrupted(rng, readings, swap=True)
        tried += 1
        held += wrong is None or not judge(*split(wrong[1]), TAPE, shown).closed
        if tried == ROOMS:
            break
    assert held >= 0.9 * tried
    assert sound >= 0.95 * tried


def test_few_sound_surveys_are_refused() -> None:
    verdicts = [judge(*split(readings), TAPE, BEVEL).closed for _, readings in surveys(TAPE, BEVEL)][:400]
    assert sum(verdicts) >= 0.95 * len(verdicts)


@given(st.integers(0, 10**6), st.floats(0, 360), st.integers(0, 11))
def test_perfect_room_closes_and_turning_it_changes_nothing(seed: int, turn: float, first: int) -> None:
    points = room(random.Random(seed))
    sides, angles = read(points)
    if not fair(sides, angles):
        return
    assert angle_error(angles) == pytest.approx(0, abs=1e-6)
    assert misclosure(sides, angles) == pytest.approx(0, abs=1e-6)
    assert judge(sides, angles, TAPE, BEVEL).closed
    shift = first % len(sides)
    turned = [_turned(point, turn) for point in points[shift:] + points[:shift]]
    again_sides, again_angles = read(turned)
    assert again_sides == pytest.approx(sides[shift:] + sides[:shift])
    assert again_angles == pytest.approx(angles[shift:] + angles[:shift])


def _turned(point: Point, turn: float) -> Point:
    x, y = point
    c, s = cos(radians(turn)), sin(radians(turn))
    return x * c - y * s + 500, x * s + y * c - 300


@given(st.integers(0, 10**6), st.lists(st.floats(-8, 8), min_size=24, max_size=24))
def test_adjusted_plan_closes(seed: int, errors: list[float]) -> None:
    sides, angles = read(room(random.Random(seed)))
    if not fair(sides, angles):
        return
    wrong = [side + error for side, error in zip(sides, errors, strict=False)]
    adjusted = compass_rule(courses_of(walk(wrong, spread_angles(angles))))
    assert sum(course[0] for course in adjusted) == pytest.approx(0, abs=1e-6)
    assert sum(course[1] for course in adjusted) == pytest.approx(0, abs=1e-6)


@given(st.integers(0, 10**6))
def test_mirrored_room_closes_alike(seed: int) -> None:
    sides, angles = read(room(random.Random(seed)))
    if not fair(sides, angles):
        return
    sides[0] += 37
    # Walked the other way round, side i ends at the corner where it began.
    back_sides, back_angles = sides[::-1], [*angles[:-1][::-1], angles[-1]]
    assert misclosure(back_sides, back_angles) == pytest.approx(misclosure(sides, angles), rel=1e-6)


def test_expected_misclosure_of_a_chimney_breast_room() -> None:
    sides = [4212.0, 2606, 1496, 1010, 2719, 3620]
    angles = spread_angles([89.6, 90.4, 269.5, 90.6, 89.9, 90.3])
    assert misclosure(sides, angles) == pytest.approx(22.298, abs=0.001)
    ends = [walk(sides, [*angles[:i], angle + 1e-4, *angles[i + 1 :]])[-1] for i, angle in enumerate(angles)]
    end = walk(sides, angles)[-1]
    turned = sum(((x - end[0]) ** 2 + (y - end[1]) ** 2) * (0.3 / 1e-4) ** 2 for x, y in ends)
    assert expected_misclosure(sides, angles, 2, 0.3) == pytest.approx((6 * 2**2 + turned) ** 0.5, rel=1e-4)
    assert sum(sides) / misclosure(sides, angles) == pytest.approx(702, abs=0.5)
    adjusted = compass_rule(courses_of(walk(sides, angles)))
    assert [hypot(*each) for each in adjusted] == pytest.approx(
        [4217.14, 2607.88, 1494.17, 1010.73, 2715.68, 3617.37], abs=0.005
    )
