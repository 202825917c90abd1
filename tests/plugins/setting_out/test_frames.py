"""Frames of panel mould: their pieces against the frame drawn corner by corner."""

from __future__ import annotations

from math import cos, degrees, hypot, radians, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from listel.plugins.setting_out.frames import frame_end, inner_edge
from listel.plugins.setting_out.results import Run

SIDES = {
    "foot": ("foot-left", "foot-right"),
    "head": ("head-left", "head-right"),
    "left": ("foot-left", "head-left"),
    "right": ("foot-right", "head-right"),
}


def run(side: str, wide: float, high: float, pitch: float) -> Run:
    """A piece of a frame whose lower left corner stands at 0, 0."""
    upright, rise = side in ("left", "right"), wide * tan(radians(pitch)) if side == "right" else 0.0
    return Run(
        room="Hall",
        wall="A",
        trim="panels",
        member="panel-mould",
        start=0.0,
        end=1.0 if upright else wide,
        underside=rise,
        top=rise + high,
        pitch=pitch,
        upright=upright,
        start_at=SIDES[side][0],
        end_at=SIDES[side][1],
    )


@given(st.floats(200, 3000), st.floats(200, 1500), st.floats(-45, 45), st.floats(10, 60))
def test_the_pieces_of_a_frame_close_on_its_corners(wide: float, high: float, pitch: float, width: float) -> None:
    climb = wide * tan(radians(pitch))
    corners = {
        "foot-left": (0, 0),
        "foot-right": (wide, climb),
        "head-right": (wide, climb + high),
        "head-left": (0, high),
    }
    ring = ["foot-left", "foot-right", "head-right", "head-left"]
    inner = {}
    for number, corner in enumerate(ring):
        at, before, after = (np.array(corners[ring[n % 4]], float) for n in (number, number - 1, number + 1))
        u, v = ((other - at) / np.linalg.norm(other - at) for other in (before, after))
        angle = degrees(np.arccos(np.clip(u @ v, -1, 1)))
        assert 2 * (90 - frame_end(corner, pitch).saw_reading) == pytest.approx(angle)
        inner[corner] = at + (u + v) / np.linalg.norm(u + v) * width / np.sin(radians(angle / 2))
    for side, (first, second) in SIDES.items():
        piece = run(side, wide, high, pitch)
        assert piece.length == pytest.approx(hypot(*np.subtract(corners[first], corners[second])))
        line = (np.array(corners[second], float) - corners[first]) / piece.length
        assert inner_edge(piece, width) == pytest.approx(float((inner[second] - inner[first]) @ line))


def test_a_level_frame_is_mitred_at_45() -> None:
    assert {frame_end(corner, 0.0).saw_reading for corner in SIDES["foot"] + SIDES["head"]} == {45.0}
    assert inner_edge(run("foot", 800, 400, 0.0), 30) == pytest.approx(740)
    assert run("foot", 800, 400, 30.0).length == pytest.approx(800 / cos(radians(30)))
