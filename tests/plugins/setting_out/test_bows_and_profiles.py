"""Bowed walls, and profiles drawn from their elements."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listel.core.survey.job import Bow, ProfileElement, Room, Section, Trim
from listel.plugins.proportions import profile_path
from listel.plugins.proportions.mouldings import profile_faults
from listel.plugins.setting_out.curve import (
    bow_arc,
    bow_radius,
    even_offsets,
    fixing_forces,
    least_radius,
    stiffness,
)

KINDS = (
    "fillet", "fascia", "bead", "astragal", "torus", "ovolo", "cavetto", "cyma-recta", "cyma-reversa", "scotia",
    "conge", "chamfer", "quirk", "reed", "flute",
)  # fmt: skip


def test_pull_grows_with_the_number_of_fixings() -> None:
    stiff = stiffness(10000, 145, 18)
    two, four, six = (fixing_forces(even_offsets(3600, 25, n), 3600 / n, stiff)[0] for n in (2, 4, 6))
    assert [max(map(abs, each)) for each in (two, four, six)] == pytest.approx([18.125, 20.714, 29.279], abs=1e-3)


@given(st.lists(st.floats(-20, 20), min_size=3, max_size=9), st.floats(100, 900))
def test_forces_of_a_drawn_strip_balance(offsets, spacing) -> None:
    forces, _ = fixing_forces(tuple(offsets), spacing, 7e8)
    scale = max(1.0, *map(abs, forces))
    assert sum(forces) == pytest.approx(0, abs=1e-9 * scale)
    assert sum(i * force for i, force in enumerate(forces)) == pytest.approx(0, abs=1e-8 * scale)


@pytest.mark.parametrize(("chord", "rise"), [(0, 5), (2000, 0), (2000, -3), (100, 51)])
def test_bow_that_cannot_be(chord, rise) -> None:
    with pytest.raises(ValueError, match=r"chord|rise"):
        bow_radius(chord, rise)


def test_length_along_a_bow() -> None:
    arc, turn = bow_arc(1200, 150)
    assert (arc, turn) == pytest.approx((1249.391, 56.145), abs=1e-3)
    assert least_radius(10000, 18, 20) == 4500


@pytest.mark.parametrize(
    ("bow", "more", "way"),
    [
        (Bow(2000, 9), {}, "bend"),
        (Bow(2000, 3), {}, "scribe"),
        (Bow(600, 10), {"section": Section(145, 18)}, "pack"),
        (Bow(1200, 150), {}, "kerf"),
        (Bow(1200, 150), {"finish": "wax"}, "laminate"),
    ],
)
def test_way_round_a_bow(set_out, trim, wall, bow, more, way) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4000, bow=bow),))
    (check,) = set_out(room, trim(timber="european-redwood", **more)).out.bows
    assert check.way == way
    assert check.gap == bow.rise


def test_bow_of_unknown_timber_says_so(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4000, bow=Bow(2000, 9)),))
    found = set_out(room, trim())
    assert found.out.bows[0].stress is None
    assert "bow-section" in found.rules()


def test_a_wall_tried_and_found_straight_is_no_bow(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4000, bow=Bow(2000, 0)),))
    found = set_out(room, trim())
    assert found.out.bows == ()


elements = st.builds(
    ProfileElement, st.sampled_from(KINDS), st.floats(2, 40), st.floats(-30, 30).map(lambda p: round(p, 1))
)


@given(st.lists(elements, min_size=1, max_size=6), st.floats(0, 30))
def test_profile_is_one_line_from_foot_to_top(given_elements, foot) -> None:
    trim = Trim("t", "dado-rail", profile=tuple(given_elements), foot=foot)
    path = profile_path(trim)
    assert path[0].start == pytest.approx((foot, 0))
    for before, after in itertools.pairwise(path):
        assert before.end == pytest.approx(after.start)
    assert path[-1].end[1] == pytest.approx(sum(element.height for element in given_elements))
    assert path[-1].end[0] == pytest.approx(foot + sum(element.projection for element in given_elements))
    for segment in path:
        if segment.centre is not None:
            for point in (segment.start, *segment.points()):
                distance = ((point[0] - segment.centre[0]) ** 2 + (point[1] - segment.centre[1]) ** 2) ** 0.5
                assert distance == pytest.approx(segment.radius, rel=1e-6)


def test_foot_is_found_from_the_projection() -> None:
    trim = Trim(
        "t",
        "dado-rail",
        section=Section(30, 25),
        profile=(ProfileElement("ovolo", 20, 15), ProfileElement("fillet", 10)),
    )
    assert profile_path(trim)[0].start == (10, 0)
    assert profile_faults(trim) == ""
    assert "height" in profile_faults(replace(trim, section=Section(40, 25)))


def test_bead_stands_out_and_flute_is_sunk() -> None:
    def reach(kind: str) -> list[float]:
        (segment,) = profile_path(Trim("t", "dado-rail", profile=(ProfileElement(kind, 10),), foot=20))
        return [x for x, _ in segment.points()]

    assert max(reach("bead")) == pytest.approx(25)
    assert min(reach("flute")) == pytest.approx(15)


def test_plain_section_is_a_rectangle() -> None:
    (face,) = profile_path(Trim("t", "dado-rail", section=Section(60, 20)))
    assert (face.start, face.end) == ((20, 0), (20, 60))
    assert profile_path(Trim("t", "dado-rail")) == ()
