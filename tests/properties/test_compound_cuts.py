"""Every compound angle against an independent reckoning in three dimensions: numpy planes, and scipy's Rotation on
the saw.

A moulding is a straight prism: its axis, and the normals of its faces. The wanted cut is a plane. Where that plane
lies when the moulding is laid on the saw table gives the table and blade angles; none of the plugin's trigonometry is
used.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from listel.plugins.setting_out.angles import cut_angle, face_allowance, unequal_mitre
from listel.plugins.setting_out.compound import (
    rake_mismatch,
    rake_turning_corner,
    raked_height,
    sprung_cut,
)

corners = st.floats(25, 155)
through = st.one_of(st.floats(25, 155), st.floats(205, 335))
springs = st.floats(0, 90)
pitches = st.floats(1, 60)
projections = st.floats(5, 120)


def wall_moulding(theta: float, spring: float, pitch: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Axis, back normal (into the wall) and mitre plane of a moulding on the first of two walls that meet at the
    origin.

    The first wall runs along +x away from the corner, with the room at +y and z up; the second stands at ``theta``
    through the room. The back leans ``spring`` out of the wall; the moulding rises at ``pitch`` away from the corner.
    """
    axis = np.array([1.0, 0.0, 0.0])
    back = Rotation.from_euler("x", -spring, degrees=True).apply([0.0, -1.0, 0.0])
    tilt = Rotation.from_euler("y", -pitch, degrees=True)
    halving = Rotation.from_euler("z", theta / 2, degrees=True).apply([1.0, 0.0, 0.0])
    plane = np.cross(halving, [0.0, 0.0, 1.0])
    return tilt.apply(axis), tilt.apply(back), plane


def on_the_saw(axis: np.ndarray, back: np.ndarray, plane: np.ndarray) -> tuple[float, float]:
    """Table and blade angles, by turning the moulding until its back lies on the table and its axis along the fence."""
    turn, _ = Rotation.align_vectors([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0]], [axis, back])
    x, y, z = turn.apply(plane)
    mitre = np.degrees(np.arctan2(abs(y), abs(x)))
    bevel = np.degrees(np.arcsin(min(1.0, abs(z))))
    return float(mitre), float(bevel)


@given(springs, corners)
def test_sprung_moulding_on_the_saw(spring: float, corner: float) -> None:
    for theta in (corner, 360 - corner):
        expected = on_the_saw(*wall_moulding(theta, spring, 0.0))
        assert sprung_cut(spring, corner) == pytest.approx(expected, abs=1e-6)


@given(springs, through, st.one_of(pitches, pitches.map(lambda p: -p)))
def test_raking_moulding_on_the_saw(spring: float, theta: float, pitch: float) -> None:
    expected = on_the_saw(*wall_moulding(theta, spring, pitch))
    assert rake_turning_corner(pitch, theta, spring) == pytest.approx(expected, abs=1e-6)


@given(through)
def test_no_spring_is_the_flat_mitre(theta: float) -> None:
    mitre, bevel = sprung_cut(0.0, min(theta, 360 - theta))
    assert mitre == pytest.approx(0.0, abs=1e-9)
    assert bevel == pytest.approx(90 - cut_angle(theta))


@given(through, projections)
def test_face_ends_where_the_two_faces_cross(theta: float, projection: float) -> None:
    crossing = _crossing(theta, projection, projection)
    assert face_allowance(projection, theta) == pytest.approx(-crossing[0], abs=1e-6)


@given(through, projections, projections)
def test_unequal_faces_cross_where_the_mitre_says(theta: float, first: float, second: float) -> None:
    x, _ = _crossing(theta, first, second)
    a, b, along_first, along_second = unequal_mitre(first, second, theta)
    assert along_first == pytest.approx(x, abs=1e-6)
    turned = Rotation.from_euler("z", -theta, degrees=True).apply([*_crossing(theta, first, second), 0.0])
    assert along_second == pytest.approx(turned[0], abs=1e-6)
    assert a + b == pytest.approx(min(theta, 360 - theta), abs=1e-6)


def _crossing(theta: float, first: float, second: float) -> np.ndarray:
    """Where the face of a moulding on the first wall meets the face of one on the second, in plan."""
    along = np.array([np.cos(np.radians(theta)), np.sin(np.radians(theta))])
    inward = np.array([np.sin(np.radians(theta)), -np.cos(np.radians(theta))])
    normals = np.array([[0.0, 1.0], inward])
    assert abs(along @ inward) < 1e-12
    return np.linalg.solve(normals, [first, second])


@given(st.floats(0, 80), st.floats(-40, 200), through, pitches)
def test_raked_point_meets_the_level_one(x: float, y: float, theta: float, pitch: float) -> None:
    """The line along the level moulding through (x, y) and the line along the rake through its raked point meet in
    the mitre."""
    raked = raked_height(x, y, pitch, theta)
    distance = x / np.tan(np.radians(theta) / 2)
    rise = np.tan(np.radians(pitch))
    # The raked height is square to the rake: plumb over the wall corner it is that over cos(pitch).
    at_mitre = raked / np.cos(np.radians(pitch)) + distance * rise
    assert at_mitre == pytest.approx(y, abs=1e-6)


@given(projections, corners, pitches)
def test_climbing_through_a_corner_misses_by_both_halves(projection: float, corner: float, pitch: float) -> None:
    up, down = (raked_height(projection, 0.0, signed, corner) / np.cos(np.radians(pitch)) for signed in (pitch, -pitch))
    assert rake_mismatch(projection, pitch, corner) == pytest.approx(abs(up - down))


@given(springs, corners)
def test_turning_nothing_up_the_rake_is_the_level_cut(spring: float, corner: float) -> None:
    assert rake_turning_corner(1e-9, corner, spring) == pytest.approx(sprung_cut(spring, corner), abs=1e-6)
