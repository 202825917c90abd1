"""Laws that moisture, movement and fillers keep, whatever the figures."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from listel.plugins.bonding.strain import admits, fillers, least_class, strain
from listel.plugins.timber.joints import mitre_gap, mitre_opening
from listel.plugins.timber.sorption import board_moisture, equilibrium_moisture, humidity_for
from listel.plugins.timber.species import possible_species
from listel.plugins.timber.swelling import change_by_coefficient, change_by_shrinkage

temperatures = st.floats(5, 60)
humidities = st.floats(0, 99)
moistures = st.floats(0, 30)
dry = st.floats(6, 14)
sizes = st.floats(5, 400)
shrinkages = st.floats(2, 12)
TIMBERS = [one for one in possible_species(None) if not one.is_board]


@given(temperatures, humidities, humidities)
def test_moisture_rises_with_humidity(temperature: float, one: float, other: float) -> None:
    assume(abs(one - other) > 0.01)
    low, high = sorted((one, other))
    assert equilibrium_moisture(temperature, low) < equilibrium_moisture(temperature, high)
    assert board_moisture(low) <= board_moisture(high)


@given(temperatures, temperatures, st.floats(5, 95))
def test_moisture_falls_with_temperature(one: float, other: float, humidity: float) -> None:
    assume(abs(one - other) > 0.01)
    cold, warm = sorted((one, other))
    assert equilibrium_moisture(cold, humidity) > equilibrium_moisture(warm, humidity)


@given(temperatures, st.floats(1, 95))
def test_the_humidity_for_a_moisture_gives_it_back(temperature: float, humidity: float) -> None:
    assert humidity_for(temperature, equilibrium_moisture(temperature, humidity)) == pytest.approx(humidity, abs=1e-6)


@given(sizes, st.floats(0.0005, 0.005), dry, dry, dry)
def test_movement_by_coefficient_is_additive_and_antisymmetric(
    size: float, coefficient: float, first: float, middle: float, last: float
) -> None:
    whole = change_by_coefficient(size, coefficient, first, last)
    parts = change_by_coefficient(size, coefficient, first, middle) + change_by_coefficient(
        size, coefficient, middle, last
    )
    assert parts == pytest.approx(whole, abs=1e-9)
    assert change_by_coefficient(size, coefficient, last, first) == pytest.approx(-whole, abs=1e-12)


@given(sizes, shrinkages, moistures, moistures, moistures)
def test_movement_by_shrinkage_is_additive_and_comes_back(
    size: float, shrinkage: float, first: float, middle: float, last: float
) -> None:
    """Each stretch starts from the size the one before left."""
    whole = change_by_shrinkage(size, shrinkage, first, last)
    there = change_by_shrinkage(size, shrinkage, first, middle)
    assert there + change_by_shrinkage(size + there, shrinkage, middle, last) == pytest.approx(whole, abs=1e-9)
    assert change_by_shrinkage(size + whole, shrinkage, last, first) == pytest.approx(-whole, abs=1e-9)


@given(st.sampled_from(TIMBERS), sizes, moistures, moistures)
def test_every_timber_shrinks_as_it_dries_and_most_along_its_rings(one, size, first, last) -> None:  # type: ignore[no-untyped-def]
    assume(abs(first - last) > 0.01)
    low, high = sorted((first, last))
    saturation = one.row.get("fibre_saturation", 30)
    assume(low < saturation - 0.01)
    assert all(change < 0 for change in one.changes("tangential", size, high, low))
    assert max(map(abs, one.changes("radial", size, high, low))) < max(
        map(abs, one.changes("tangential", size, high, low))
    )


@given(st.floats(1, 30), st.floats(0, 5), st.floats(0, 5))
def test_more_movement_never_admits_a_stiffer_filler(width: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    lives = {movement: {row.name for row in fillers() if admits(row, width, movement)} for movement in (less, more)}
    assert lives[more] <= lives[less]
    stiffest = {
        movement: min((row["movement"] for row in fillers() if row.name in lives[movement]), default=float("inf"))
        for movement in (less, more)
    }
    assert stiffest[more] >= stiffest[less]


@given(st.floats(0.5, 30), st.floats(0, 5), st.floats(0, 5))
def test_more_movement_never_asks_a_lesser_class(width: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    asked = [least_class(strain(width, movement), "iso") for movement in (less, more)]
    figures = [row["movement"] if row else float("inf") for row in asked]
    assert figures[0] <= figures[1]


@given(st.floats(5, 300), st.floats(-0.05, 0.05), st.floats(40, 160))
def test_a_mitre_opens_at_the_heel_when_it_dries_and_wider_pieces_open_more(
    width: float, share: float, angle: float
) -> None:
    assume(abs(share) > 1e-6)
    assert (mitre_opening(share, angle) > 0) is (share > 0)
    assert mitre_gap(2 * width, share, angle) == pytest.approx(2 * mitre_gap(width, share, angle))
