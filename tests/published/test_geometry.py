"""Setting out against published figures. Each row names its source; where a figure was not read again, it says from
memory."""

from __future__ import annotations

from math import atan, cos, degrees, hypot, radians, sin, sqrt

import pytest

from listel.core.survey.job import ProfileElement, Section, Trim
from listel.plugins.proportions.mouldings import element_path
from listel.plugins.setting_out.angles import unequal_mitre
from listel.plugins.setting_out.compound import (
    edge_difference,
    level_to_rake_cut,
    plumb_depth,
    rake_length,
    raked_height,
    sprung_cut,
)
from listel.plugins.setting_out.curve import bending_stress, bow_radius, even_offsets, fixing_forces
from listel.plugins.setting_out.ends import square_into
from listel.plugins.setting_out.frames import frame_end
from listel.plugins.site import compass_rule, pitch_of

SAMPLE = "Sample traverse computations, teaching sheet on the compass rule (seen)"
PURDUE = "Purdue University, ASM 215, course page on traverse calculations (seen); its sums are of values to 0.01"
GHILANI = "Ghilani and Wolf, Elementary Surveying, closed traverse by azimuths (from memory)"


def dms(degree: float, minute: float = 0, second: float = 0) -> float:
    """Degrees from degrees, minutes and seconds."""
    return degree + minute / 60 + second / 3600


def courses(azimuths: list[float], lengths: list[float]) -> list[tuple[float, float]]:
    """Courses (departure, latitude) from azimuths and lengths."""
    return [(length * sin(radians(a)), length * cos(radians(a))) for a, length in zip(azimuths, lengths, strict=True)]


SAMPLE_AZIMUTHS = [dms(5, 30), dms(46, 2), 180 - dms(67, 38), 180 - dms(12, 25), 180 + dms(83, 44), 360 - dms(55, 9)]
SAMPLE_LENGTHS = [495.85, 850.62, 855.45, 1020.87, 1117.26, 660.08]
PURDUE_AZIMUTHS = [dms(26, 10), dms(104, 35), dms(195, 30), dms(358, 18), dms(306, 54)]
PURDUE_LENGTHS = [285.10, 610.45, 720.48, 203.00, 647.02]
GHILANI_AZIMUTHS = [dms(126, 55, 17), dms(178, 18, 58), dms(15, 31, 54), dms(284, 35, 20), dms(206, 9, 41)]
GHILANI_LENGTHS = [647.25, 203.03, 720.35, 610.24, 285.13]


@pytest.mark.parametrize(
    ("azimuths", "lengths", "departures", "latitudes", "within"),
    [
        pytest.param(
            SAMPLE_AZIMUTHS,
            SAMPLE_LENGTHS,
            [45.7328, 609.1538, 788.0003, 215.8168, -1114.6225, -544.0812],
            [491.8995, 587.6733, -328.4036, -1000.4252, -125.7134, 374.9694],
            6e-5,
            id=SAMPLE,
        ),
        pytest.param(
            PURDUE_AZIMUTHS,
            PURDUE_LENGTHS,
            [125.66, 590.65, -192.69, -6.07, -517.55],
            [255.96, -153.52, -694.07, 202.97, 388.66],
            0.0101,
            id=PURDUE,
        ),
    ],
)
def test_adjusted_courses_of_textbook_traverses(azimuths, lengths, departures, latitudes, within) -> None:
    adjusted = compass_rule(courses(azimuths, lengths))
    assert [each[0] for each in adjusted] == pytest.approx(departures, abs=within)
    assert [each[1] for each in adjusted] == pytest.approx(latitudes, abs=within)


@pytest.mark.parametrize(
    ("azimuths", "lengths", "misclosure", "one_in", "within"),
    [
        pytest.param(SAMPLE_AZIMUTHS, SAMPLE_LENGTHS, 24.6876, 202.5, (1e-3, 0.1), id=SAMPLE),
        pytest.param(PURDUE_AZIMUTHS, PURDUE_LENGTHS, 0.89, 2771, (0.01, 25), id=PURDUE),
        pytest.param(GHILANI_AZIMUTHS, GHILANI_LENGTHS, 0.08, 30000, (0.005, 1000), id=GHILANI),
    ],
)
def test_misclosure_of_textbook_traverses(azimuths, lengths, misclosure, one_in, within) -> None:
    walked = courses(azimuths, lengths)
    found = hypot(sum(each[0] for each in walked), sum(each[1] for each in walked))
    assert found == pytest.approx(misclosure, abs=within[0])
    assert sum(lengths) / found == pytest.approx(one_in, abs=within[1])


def test_a_printed_correction() -> None:
    """Three-leg exercise of a surveying question bank (seen): the second leg's departure is corrected by +0.3488."""
    departures, lengths = [-228.92, 326.62, -98.69], [121.87, 199.85, 245.57]
    walked = [(d, sqrt(max(0.0, length**2 - d**2))) for d, length in zip(departures, lengths, strict=True)]
    share = -sum(departures) * lengths[1] / sum(lengths)
    assert share == pytest.approx(0.3488, abs=5e-5)
    assert len(compass_rule(walked)) == 3


HANDBOOK = "mitre-saw handbooks' table for a square corner (from memory)"
CUBE = "the body diagonal of a cube, arctan(1/sqrt 2) and 30 degrees (geometry)"


@pytest.mark.parametrize(
    ("spring", "corner", "mitre", "bevel"),
    [
        pytest.param(38, 90, 31.62, 33.86, id=f"38 degrees, {HANDBOOK}"),
        pytest.param(45, 90, 35.26, 30.00, id=f"45 degrees, {HANDBOOK}"),
        pytest.param(52, 90, 38.24, 25.81, id=f"52 degrees, {HANDBOOK}"),
        pytest.param(45, 90, degrees(atan(1 / sqrt(2))), 30.0, id=CUBE),
    ],
)
def test_compound_settings_of_the_handbooks(spring, corner, mitre, bevel) -> None:
    assert sprung_cut(spring, corner) == pytest.approx((mitre, bevel), abs=0.005)


@pytest.mark.parametrize(
    ("rise", "going", "pitch"),
    [
        pytest.param(200, 223, 41.89, id="Approved Document K 2013, Table 1.1 (seen): private stair, pitch at most 42"),
        pytest.param(150, 300, 26.57, id="Approved Document K 2013, Table 1.1 (seen): least rise with greatest going"),
    ],
)
def test_pitch_of_steps(rise, going, pitch) -> None:
    assert pitch_of(rise, going) == pytest.approx(pitch, abs=0.005)


def test_stair_of_twelve_goings() -> None:
    """A flight of 12 goings of 240 and rises of 190: carpenters' square, 12 steps stepped off along the rake
    (geometry)."""
    pitch = pitch_of(190, 240)
    assert rake_length(12 * 240, 12 * 190) == pytest.approx(12 * hypot(190, 240))
    assert level_to_rake_cut(pitch) == pytest.approx(19.18, abs=0.005)
    assert edge_difference(70, pitch) == pytest.approx(24.354, abs=5e-4)
    assert plumb_depth(70, pitch) == pytest.approx(70 / cos(radians(pitch)))


def test_raking_moulding_matched_with_a_level_return() -> None:
    """R. G. Hatfield, The American House Carpenter, art. 323 (seen, graphical): projections are kept, and each point
    of the raking section stands where a line along the rake from the level return's mitre cuts it. Drawn here by
    coordinates."""
    pitch, x, y = 35.0, 28.0, 63.0
    # External square corner at the foot: the level return's point comes to the mitre x beyond the wall corner. From
    # there the line runs up the rake; its distance, square to it, from the rake through the wall corner is wanted.
    drawn = y * cos(radians(pitch)) + x * sin(radians(pitch))
    assert raked_height(x, y, pitch, 270.0) == pytest.approx(drawn)
    assert drawn == pytest.approx(67.67, abs=0.005)


def test_bevelled_mitre_of_unequal_widths() -> None:
    """Ernest Joyce, The Technique of Furniture Making, "Intersection of mouldings" (seen, figure): the mitre runs
    through the crossing of the inner lines. At a square corner its slope is the ratio of the widths."""
    first, second, _, _ = unequal_mitre(20, 30, 90)
    assert first == pytest.approx(degrees(atan(20 / 30)))
    assert first + second == pytest.approx(90)


def test_stress_of_a_bent_lamination() -> None:
    """Swedish glulam textbook on EN 1995-1-1 (second-hand): 33 mm bent to 8000 mm, E 13000 N/mm2, near the bending
    strength."""
    assert bending_stress(13000, 33, 8000) == pytest.approx(26.81, abs=0.005)


def test_centre_load_of_a_simple_beam() -> None:
    """Standard beam table (from memory): a centre load of 48 EI h / L^3 sags a simple beam by h; three supports give
    it."""
    length, rise, stiff = 3600.0, 25.0, 7.047e8
    forces, moment = fixing_forces(even_offsets(length, rise, 2), length / 2, stiff)
    load = 48 * stiff * rise / length**3
    assert forces == pytest.approx((-load / 2, load, -load / 2))
    assert moment == pytest.approx(load * length / 4)


def test_radius_from_chord_and_rise() -> None:
    """Intersecting chords, Euclid III.35: (chord / 2)^2 = rise x (2 radius - rise)."""
    radius = bow_radius(2000, 10)
    assert pytest.approx(10 * (2 * radius - 10)) == 1000.0**2
    assert radius == 50005.0


@pytest.mark.parametrize(
    ("kind", "projection", "height", "centre", "radius"),
    [
        pytest.param(
            "ovolo", 20, 30, (-12.5, 30), 32.5, id="Hatfield, American House Carpenter, art. 317 (seen): tall"
        ),
        pytest.param("ovolo", 30, 20, (0, 32.5), 32.5, id="Hatfield, American House Carpenter, art. 317 (seen): wide"),
        pytest.param("ovolo", 20, 20, (0, 20), 20, id="Roman ovolo: a quarter circle (common practice)"),
        pytest.param("cavetto", 20, 20, (20, 0), 20, id="Roman cavetto: a quarter circle (common practice)"),
    ],
)
def test_centres_of_quarter_rounds(kind, projection, height, centre, radius) -> None:
    (arc,) = element_path(ProfileElement(kind, height, projection), (0.0, 0.0))
    assert arc.centre == pytest.approx(centre)
    assert arc.radius == pytest.approx(radius)


@pytest.mark.parametrize(
    ("kind", "projection", "height", "centres", "radii"),
    [
        pytest.param("cyma-recta", 25, 25, [(0, 12.5), (25, 12.5)], [12.5, 12.5], id="cyma recta, Ware (second-hand)"),
        pytest.param(
            "cyma-reversa", 25, 25, [(12.5, 0), (12.5, 25)], [12.5, 12.5], id="cyma reversa, Ware (second-hand)"
        ),
        pytest.param("scotia", -10, 30, [(0, 20), (-10, 20)], [20, 10], id="scotia of two quadrants, Nicholson (seen)"),
    ],
)
def test_centres_of_double_curves(kind, projection, height, centres, radii) -> None:
    arcs = list(element_path(ProfileElement(kind, height, projection), (0.0, 0.0)))
    assert [arc.radius for arc in arcs] == pytest.approx(radii)
    for arc, centre in zip(arcs, centres, strict=True):
        assert arc.centre == pytest.approx(centre)
    if kind == "cyma-recta":
        flat = list(element_path(ProfileElement(kind, 20, 30), (0.0, 0.0)))
        assert flat[0].radius == pytest.approx(hypot(20, 30) / 2)


def test_corners_of_a_raked_panel_frame() -> None:
    # A mitre halves the angle (joiners' manuals, seen, for the halving); the corners of the frame derived: pitch 39.560
    # (rise over going of 190 over 230), acute 64.780 and obtuse 25.220 from square.
    assert frame_end("foot-left", 39.560).saw_reading == pytest.approx(64.780, abs=0.001)
    assert frame_end("foot-right", 39.560).saw_reading == pytest.approx(25.220, abs=0.001)
    assert frame_end("head-left", -39.560).saw_reading == pytest.approx(64.780, abs=0.001)


def test_what_can_be_cut_as_a_sprung_moulding() -> None:
    """Plane geometry: a back between the wall and the ceiling, at a corner that is none at 180 degrees."""
    assert sprung_cut(90, 90) == pytest.approx((45, 0))
    assert sprung_cut(0, 90) == pytest.approx((0, 45))
    assert sprung_cut(45, 179)[0] < 1
    for spring, corner in ((91, 90), (-1, 90), (45, 180), (45, 182), (45, 0)):
        with pytest.raises(ValueError, match="cannot be"):
            sprung_cut(spring, corner)


def test_a_square_end_in_a_sharp_corner_stops_short() -> None:
    """Plane geometry: 20 mm of trim in a corner of 60 degrees stops 20 / tan 60 short; at 90 and over it does not."""
    trim = Trim("rail", "dado-rail", section=Section(63, 20))
    assert square_into(trim, 60) == pytest.approx(-11.547, abs=0.001)
    assert [square_into(trim, theta) for theta in (90, 91)] == [0, 0]
