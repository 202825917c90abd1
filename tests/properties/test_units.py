"""Lengths, angles and temperatures: what is shown reads back, and reading agrees with an outside library."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.survey.units import (
    parse_angle,
    parse_length,
    parse_load,
    parse_percent,
    parse_temperature,
    show_angle,
    show_length,
)

millimetres = st.floats(-50_000, 50_000, allow_nan=False)
SIXTEENTH = 25.4 / 16


@given(millimetres)
def test_a_length_shown_in_mm_reads_back_to_half_a_millimetre(mm: float) -> None:
    assert abs(parse_length(show_length(mm)) - mm) <= 0.5 + 1e-6


@given(millimetres)
def test_a_length_shown_in_inches_reads_back_to_half_a_sixteenth(mm: float) -> None:
    assert abs(parse_length(show_length(mm, "inches")) - mm) <= SIXTEENTH / 2 + 1e-5


@given(st.integers(-40_000, 40_000))
def test_whole_sixteenths_are_shown_exactly(sixteenths: int) -> None:
    mm = sixteenths * SIXTEENTH
    assert parse_length(show_length(mm, "inches"), "inches") == pytest.approx(mm, abs=1e-6)


@given(st.integers(-40_000, 40_000))
def test_whole_millimetres_are_shown_exactly(mm: int) -> None:
    assert parse_length(show_length(float(mm))) == mm


@given(
    st.integers(0, 60),
    st.integers(0, 11),
    st.integers(0, 15),
    st.sampled_from(["{}' {} {}/16\"", "{}ft {} {}/16", "{}'-{} {}/16 in"]),
)
def test_feet_inches_and_sixteenths(feet: int, inches: int, part: int, form: str) -> None:
    exact = (Fraction(feet) * 12 + inches + Fraction(part, 16)) * Fraction(254, 10)
    assert parse_length(form.format(feet, inches, part)) == pytest.approx(float(exact), abs=1e-6)


@given(st.floats(-360, 360, allow_nan=False))
def test_an_angle_shown_reads_back_to_a_hundredth(degrees: float) -> None:
    assert abs(parse_angle(show_angle(degrees)) - degrees) <= 0.005 + 1e-9


@given(st.integers(0, 359), st.integers(0, 59), st.integers(0, 59))
def test_degrees_minutes_and_seconds(degrees: int, minutes: int, seconds: int) -> None:
    assert parse_angle(f"{degrees}° {minutes}' {seconds}\"") == pytest.approx(
        degrees + minutes / 60 + seconds / 3600, abs=1e-8
    )


@given(st.text(max_size=80))
@settings(max_examples=300)
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    for parse in (parse_length, parse_angle, parse_temperature, parse_percent):
        try:
            assert math.isfinite(parse(text))
        except ValueError as fault:
            assert ";" in str(fault) or "is not" in str(fault)


numbers = st.integers(0, 10_000_000).map(lambda thousandths: f"{thousandths / 1000:.3f}")


@pytest.fixture(scope="module")
def outside():  # type: ignore[no-untyped-def]
    """Pint's registry of units: an independent reading."""
    return pytest.importorskip("pint").UnitRegistry()


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft", "inches", "feet", "metre", "millimetre"])
def test_lengths_agree_with_an_outside_library(outside, unit: str) -> None:  # type: ignore[no-untyped-def]
    @given(numbers)
    @settings(max_examples=30)
    def agree(number: str) -> None:
        expected = outside.Quantity(float(number), unit).to("mm").magnitude
        assert parse_length(f"{number} {unit}") == pytest.approx(expected, rel=1e-9, abs=1e-6)

    agree()


@pytest.mark.parametrize(("letter", "unit"), [("F", "degF"), ("C", "degC"), ("K", "kelvin")])
def test_temperatures_agree_with_an_outside_library(outside, letter: str, unit: str) -> None:  # type: ignore[no-untyped-def]
    @given(numbers)
    @settings(max_examples=30)
    def agree(number: str) -> None:
        expected = outside.Quantity(float(number), unit).to("degC").magnitude
        assert parse_temperature(f"{number} {letter}") == pytest.approx(expected, rel=1e-9, abs=1e-5)

    agree()


@pytest.mark.parametrize(
    ("text", "newtons"),
    [
        (60, 60.0),
        ("60 N/m", 60.0),
        ("0.2 kN a metre", 200.0),
        ("6 kg", 58.8399),
        ("6 kilos per metre", 58.8399),
        ("13 lb a metre", 57.826881),
        ("4 lb a foot", 58.375612),
        ("1/2 stone/yd", "yd"),
        ("1/2 stone to the foot", 102.157321),
        ("8 oz/ft", 7.296951),
        ("6 kg 4 oz", "more than one number"),
        ("6 kg a", "metre or a foot"),
        ("-6 kg", "cannot be read"),
        ("6 bags", "unknown unit"),
        ("heavy", "write a load as 6 kg"),
        (True, "write a load as"),
    ],
)
def test_loads_as_people_say_them(text: object, newtons: float | str) -> None:
    """1 kg weighs 9.80665 N (standard gravity, CGPM 1901); 1 lb is 0.45359237 kg (international agreement, 1959)."""
    if isinstance(newtons, str):
        with pytest.raises(ValueError, match=newtons):
            parse_load(text)
    else:
        assert parse_load(text) == pytest.approx(newtons, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "as_told"),
    [
        (4, "4 lb a foot"),
        ("4", "4 lb a foot"),
        ("13 lb", "13 lb a foot"),
        ("13 lb a metre", "13 lb a metre"),
        ("8 oz", "8 oz a foot"),
        ("60 N/m", "60 N/m"),
        ("6 kg", ""),
        ("60 N", ""),
    ],
)
def test_a_load_in_a_survey_in_inches_is_one_on_each_foot_or_is_asked_about(text: object, as_told: str) -> None:
    if as_told:
        assert parse_load(text, "inches") == pytest.approx(parse_load(as_told), abs=1e-6)
    else:
        with pytest.raises(ValueError, match="may be on a metre or on a foot"):
            parse_load(text, "inches")
