"""Laws of bowed walls: the forces against a spline of the tests' own, the length against a polygon."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from setting import set_out

from listel.core.survey.job import Bow, Corner, Job, Place, Reading, Room, Section, Trim, Wall
from listel.plugins.setting_out.curve import drawn_in

chords, rises = st.floats(800, 6000), st.floats(1, 40)


@given(chords, rises, st.floats(1e7, 1e10), st.floats(150, 900))
def test_the_pull_is_what_a_natural_spline_through_the_fixings_asks(
    chord: float, rise: float, stiff: float, spacing: float
) -> None:
    pull, moment = drawn_in(chord, rise, stiff, spacing)
    spans = max(2, int(np.ceil(chord / spacing - 1e-9)))
    at = np.linspace(0, chord, spans + 1)
    bent = CubicSpline(at, 4 * rise * (at / chord) * (1 - at / chord), bc_type="natural")
    middles = bent(np.concatenate(([-1.0], (at[:-1] + at[1:]) / 2, [chord + 1])), 3)
    middles[0] = middles[-1] = 0.0
    assert pull == pytest.approx(stiff * np.abs(np.diff(middles)).max(), rel=1e-6)
    assert moment == pytest.approx(stiff * np.abs(bent(at, 2)).max(), rel=1e-6)


@settings(max_examples=40)
@given(st.floats(2000, 4000), st.floats(4, 12), st.booleans(), st.floats(9, 19))
def test_a_straight_board_drawn_round_a_bow_keeps_its_middle_line(
    length: float, rise: float, hollow: bool, thick: float
) -> None:
    wall = Wall("A", Reading(length), Corner("internal", 90), bow=Bow(length, rise, hollow))
    trim = Trim(
        "rail", "dado-rail", (Place("R"),), Section(60, thick), timber="european-redwood", finish="paint", top=900
    )
    job = Job("law", rooms=(Room("R", extent="part", walls=(wall,)),), trim=(replace(trim, longest=5000),))
    out, _ = set_out(job)
    (bow,), (piece,) = out.bows, out.pieces
    radius = (length**2 / 4 + rise**2) / (2 * rise)
    turn = np.linspace(-1, 1, 20001) * np.arcsin(length / 2 / radius)

    def along(out_from_wall: float) -> float:
        away = radius + (-out_from_wall if hollow else out_from_wall)
        line = away * np.column_stack((np.sin(turn), np.cos(turn)))
        return float(np.hypot(*np.diff(line, axis=0).T).sum())

    asked = along(thick / 2) - along(0) if bow.drawn else 0.0
    assert piece.back - length == pytest.approx(asked, abs=1e-4)
    assert piece.overall - length == pytest.approx(asked, abs=1e-4)
