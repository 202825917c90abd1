"""Repeating ornament, and the elements of a profile that carry it."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from listel.core.survey.job import ProfileElement, Room
from listel.plugins.proportions.mouldings import element_path
from listel.plugins.setting_out.enrichments import repeats
from listel.plugins.site import tables


@pytest.mark.parametrize(
    ("length", "pitch", "count", "eased", "off"),
    [(3600, 24, 150, 24.0, 0.0), (3570, 40, 89, 40.11, 0.0028), (130, 90, 1, 130.0, 0.444)],
)
def test_an_ornament_fills_a_length_evenly(length, pitch, count, eased, off) -> None:
    found = repeats(length, pitch)
    assert found[0] == count
    assert found[1:] == (pytest.approx(eased, abs=0.005), pytest.approx(off, abs=0.0005))


def test_dentils_are_two_thirds_of_their_pitch() -> None:
    """I. Ware, A Complete Body of Architecture (1756), page 14: 24 high, 16 wide, 8 between."""
    row = tables.elements().row("dentil")
    assert (row["pitch"] * 24, row["block"] * 24) == (24, pytest.approx(16, abs=0.01))


@pytest.mark.parametrize(("length", "weight"), [(3624, "record"), (100, "advice")])
def test_dentils_of_a_run_are_told_with_width_and_gap(set_out, trim, wall, length, weight) -> None:
    """Wall A is taped to so much that its run is filled evenly, or not at all."""
    rail = trim(profile=(ProfileElement("dentil", 24.0, 10.0),), foot=0.0)
    told = set_out(Room("Parlour", extent="part", walls=(wall("A", length),)), rail).finding("enrichment")
    assert told.weight == weight
    assert ("151 of 24.0 mm, 16.0 mm wide with gaps of 8.0 mm" in told.says) is (weight == "record")


@pytest.mark.parametrize("row", tables.elements().rows, ids=lambda row: row.name)
def test_every_element_goes_from_its_foot_to_its_head(row) -> None:
    path = list(element_path(ProfileElement(row.name, 20.0, 8.0), (5.0, 0.0)))
    joints = [segment.start for segment in path[1:]]
    assert path[0].start == (5.0, 0.0) and path[-1].end == pytest.approx((13.0, 20.0))
    assert joints == [pytest.approx(segment.end) for segment in path[:-1]]


def test_a_staff_bead_is_three_quarters_of_a_round() -> None:
    _, round_, _ = element_path(ProfileElement("staff-bead", 20.0), (0.0, 0.0))
    points = round_.points(1.0)
    assert max(x for x, _ in points) == pytest.approx(10 + 10 * sqrt(0.5), abs=0.01)
    assert all(hypot(x - 10 * sqrt(0.5), y - 10) == pytest.approx(10) for x, y in points)
    assert (min(y for _, y in points), max(y for _, y in points)) == pytest.approx((0, 20), abs=0.01)
