"""The ways people write lengths, angles, temperatures and percentages."""

from __future__ import annotations

import pytest

from listel.core.survey.units import (
    parse_angle,
    parse_date,
    parse_length,
    parse_lengths,
    parse_percent,
    parse_temperature,
    show_angle,
    show_length,
)

LENGTHS = [
    (893, 893.0),
    (34.5, 34.5),
    ("893", 893.0),
    ("893 mm", 893.0),
    ("893mm", 893.0),
    ("89.3 cm", 893.0),
    ("1.2 m", 1200.0),
    ("2.3 m", 2300.0),
    ("1 m 20 cm", 1200.0),
    ("1 m 20 mm", 1020.0),
    ("34 in", 863.6),
    ("34 in.", 863.6),
    ('34"', 863.6),
    ("34''", 863.6),
    ("34″", 863.6),
    ("5 1/2 in", 139.7),
    ('5-1/2"', 139.7),
    ("5½ in", 139.7),
    ("½ in", 12.7),
    ("3⁄4 in", 19.05),
    ("8ft", 2438.4),
    ("8ft 6", 2590.8),
    ("8' 6\"", 2590.8),
    ("8′ 6″", 2590.8),
    ("2' 10 1/2\"", 876.3),
    ("2'-10½\"", 876.3),
    ("2 feet 10.5 inches", 876.3),
    ("1200 millimetres", 1200.0),
    ("-8 mm", -8.0),
    ("−8", -8.0),
]


@pytest.mark.parametrize(("written", "mm"), LENGTHS)
def test_lengths_as_people_write_them(written: object, mm: float) -> None:
    assert parse_length(written) == mm


@pytest.mark.parametrize(
    ("written", "mm"), [(34, 863.6), ("34", 863.6), ("5 1/2", 139.7), ("893 mm", 893.0), ("1/8", 3.175)]
)
def test_a_bare_number_is_inches_where_the_survey_says_so(written: object, mm: float) -> None:
    assert parse_length(written, "inches") == mm


REFUSED = [
    ("12,5", "write 12.5 with a point"),
    ("1,200", "write 1.200 with a point, or 1200 if the comma parts thousands"),
    ("1,448.5", "write 1448.5 without it"),
    ("3 yd", 'unknown unit "yd"'),
    ("", "cannot be read"),
    ("about 3 m", "cannot be read"),
    ("2' 13\"", "12 inches or more"),
    ("1 m 6 in", "not one length"),
    ("8 in 6", "not one length"),
    ("2 10", "not one length"),
    ("1/0 in", "divides by nought"),
    ("10 3/2 in", "a fraction of one or more"),
    ("5/4", 'about 1" thick; write what a tape reads'),
    ("1x6", 'about 3/4" thick and 5 1/2" wide'),
    ("5/4 x 8", '1" thick and 7 1/4" wide'),
    ("2×4", '1 1/2" thick and 3 1/2" wide'),
    ("9" * 500, "too long"),
    (True, "not a number or text"),
    (None, "not a number or text"),
    (float("nan"), "not finite"),
    (float("inf"), "not finite"),
    (10**400, "not finite"),
]


@pytest.mark.parametrize(("written", "says"), REFUSED)
def test_a_length_that_cannot_be_read_says_how_to_mend_it(written: object, says: str) -> None:
    with pytest.raises(ValueError) as fault:
        parse_length(written)
    assert says in str(fault.value)


@pytest.mark.parametrize(
    ("written", "degrees"),
    [
        (91.3, 91.3),
        ("91.3", 91.3),
        ("91.3°", 91.3),
        ("91.3 deg", 91.3),
        ("91° 18'", 91.3),
        ("91°18′", 91.3),
        ("90° 0' 36\"", 90.01),
    ],
)
def test_angles(written: object, degrees: float) -> None:
    assert parse_angle(written) == degrees


@pytest.mark.parametrize("written", ["91,3", "91 18", "91° 70'", "square", "91 mm", True])
def test_angles_refused(written: object) -> None:
    with pytest.raises(ValueError, match=r"91\.3"):
        parse_angle(written)


@pytest.mark.parametrize(
    ("written", "celsius"),
    [(18, 18.0), ("18", 18.0), ("18 °C", 18.0), ("68 F", 20.0), ("68°F", 20.0), ("-4 f", -20.0), ("293.15 K", 20.0)],
)
def test_temperatures(written: object, celsius: float) -> None:
    assert parse_temperature(written) == celsius


def test_a_bare_temperature_in_a_survey_in_inches_is_in_fahrenheit() -> None:
    read = [parse_temperature(each, "inches") for each in (68, "68", "68 F", "20 C")]
    assert read == [20.0] * 4


@pytest.mark.parametrize("written", ["-300", "12 X", "warm", "12 C 3", None])
def test_temperatures_refused(written: object) -> None:
    with pytest.raises(ValueError, match="write a temperature as"):
        parse_temperature(written)


@pytest.mark.parametrize(
    ("written", "percent"), [(14, 14.0), ("14%", 14.0), ("14 % MC", 14.0), ("60 per cent", 60.0), ("60% RH", 60.0)]
)
def test_percentages(written: object, percent: float) -> None:
    assert parse_percent(written) == percent


@pytest.mark.parametrize(
    ("written", "percent"), [("0.42 %", 0.42), ("0.5% MC", 0.5), (0, 0.0), (1, 1.0), ("-0.5", -0.5)]
)
def test_small_percentages_say_so(written: object, percent: float) -> None:
    assert parse_percent(written) == percent


def test_a_length_and_how_many_are_read_in_the_units_that_bare_numbers_are_in() -> None:
    assert parse_lengths("1200x3") == (1200.0, 3)
    assert parse_lengths("48 × 3", "inches") == (1219.2, 3)
    assert parse_lengths("4' 6\"x2") == (1371.6, 2)


@pytest.mark.parametrize("text", ["1200", "x3", "1200x0", "longx2"])
def test_what_is_no_length_and_how_many_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write"):
        parse_lengths(text)


@pytest.mark.parametrize("written", [0.42, "0.42", ".42"])
def test_a_bare_number_that_may_be_a_share_of_one_is_asked_about(written: object) -> None:
    with pytest.raises(ValueError, match=r"may be 42 % or 0\.42 %; write which"):
        parse_percent(written)


@pytest.mark.parametrize("written", ["14 mm", "% 14", "half", [14]])
def test_percentages_refused(written: object) -> None:
    with pytest.raises(ValueError, match="write a percentage as"):
        parse_percent(written)


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (893, "893 mm", "2' 11 3/16\""),
        (876.3, "876 mm", "2' 10 1/2\""),
        (304.8, "305 mm", "1' 0\""),
        (304.5, "305 mm", "1' 0\""),
        (12.7, "13 mm", '1/2"'),
        (25.4, "25 mm", '1"'),
        (0, "0 mm", '0"'),
        (-0.2, "0 mm", '0"'),
        (-12.7, "-13 mm", '-1/2"'),
    ],
)
def test_lengths_shown(mm: float, metric: str, imperial: str) -> None:
    assert show_length(mm) == metric
    assert show_length(mm, "inches") == imperial


def test_angles_shown() -> None:
    assert [show_angle(angle) for angle in (91.3, 45.65, 90.0, -0.001, 100.0)] == [
        "91.3°",
        "45.65°",
        "90°",
        "0°",
        "100°",
    ]


@pytest.mark.parametrize("text", ["31/02/2026", "2026-02-31", "March 2026", "2026-3-4", ""])
def test_a_day_that_is_none_is_refused_in_words(text):
    with pytest.raises(ValueError, match="write a day as 2026-03-14"):
        parse_date(text)


def test_a_day_is_read():
    assert parse_date(" 2026-03-14 ").isoformat() == "2026-03-14"
