"""Joints, beads and movement classes against figures in print. Each row names where its figure stands."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import pytest

from listel.plugins.bonding.allowances import value
from listel.plugins.bonding.beads import bead_volume, cartridges, pressed_width, pressure, with_waste
from listel.plugins.bonding.strain import classes, fillers, joint_depth, least_class, least_width, strain

ARITHMETIC = "pi d squared / 4, worked by hand"
SIZING = "Sealant trade guidance on joint width (second hand)"


@pytest.mark.parametrize(
    ("diameter", "ml", "of_290", "of_310", "of_350", "wasted"),
    [
        (4, 12.57, 23.1, 24.7, 27.9, 22.2),
        (5, 19.63, 14.8, 15.8, 17.8, 14.2),
        (6, 28.27, 10.3, 11.0, 12.4, 9.9),
        (8, 50.27, 5.8, 6.2, 7.0, 5.6),
        (10, 78.54, 3.7, 3.9, 4.5, 3.6),
    ],
    ids=lambda figure: f"{ARITHMETIC}: {figure}",
)
def test_metres_of_bead_in_a_cartridge(
    diameter: float, ml: float, of_290: float, of_310: float, of_350: float, wasted: float
) -> None:
    per_metre = bead_volume(1000, diameter)
    assert per_metre == pytest.approx(ml, abs=0.005)
    assert [290 / per_metre, 310 / per_metre, 350 / per_metre] == pytest.approx([of_290, of_310, of_350], abs=0.06)
    assert 310 / with_waste(per_metre, value("waste")) == pytest.approx(wasted, abs=0.06)


@pytest.mark.parametrize(
    ("source", "reckoned", "printed", "within"),
    [
        (f"{SIZING}: 4 mm at 30 %", lambda: least_width(4, 30), 13.3, 0.05),
        (f"{SIZING}, worked on: 1.5 mm at 12.5 %", lambda: least_width(1.5, 12.5), 12.0, 0.01),
        (f"{SIZING}, worked on: 1.5 mm at 25 %", lambda: least_width(1.5, 25), 6.0, 0.01),
        ("Sealant trade guidance on depth: 6 mm wide", lambda: joint_depth(6), 6, 0.01),
        ("Sealant trade guidance on depth: 19 mm wide", lambda: joint_depth(19), 9.5, 0.01),
        ("Sealant trade guidance on depth: 32 mm wide", lambda: joint_depth(32), 13, 0.01),
        (f"{ARITHMETIC}: 6 mm bead pressed to 2 mm", lambda: pressed_width(6, 2), 14.1, 0.05),
        (f"{ARITHMETIC}: 27 N on 14 x 400 mm, kPa", lambda: pressure(27, 14, 400), 4.8, 0.05),
        (f"{ARITHMETIC}: zig-zag at 45 degrees", lambda: bead_volume(1000, 6, 45) / bead_volume(1000, 6), 1.414, 0.001),
        (
            f"{ARITHMETIC}: 6 mm bead, 310 ml, 10 % waste",
            lambda: 310 / with_waste(bead_volume(1000, 6), 10),
            9.87,
            0.01,
        ),
        ("Strain is movement over width (ISO 11600): 0.8 in 4 mm", lambda: strain(4, 0.8), 20, 1e-9),
    ],
    ids=lambda figure: figure if isinstance(figure, str) else "",
)
def test_published_figure(source: str, reckoned: Callable[[], float], printed: float, within: float) -> None:
    assert reckoned() == pytest.approx(printed, abs=within), source
    assert within < 0.02 * printed, "a change of 2 % would not be noticed"


def test_classes_of_iso_11600() -> None:
    """ISO 11600, classes for building joints (second hand)."""
    assert [row["movement"] for row in classes("iso")] == [7.5, 12.5, 20, 25]


def test_classes_of_astm_c920() -> None:
    """ASTM C920 (from memory): 12.5, 25, 35, 50 and 100/50, which closes by 50."""
    assert [row["movement"] for row in classes("astm")] == [12.5, 25, 35, 50, 50]


@pytest.mark.parametrize(
    ("percent", "iso", "astm"),
    [
        (0, 7.5, 12.5),
        (7.5, 7.5, 12.5),
        (7.6, 12.5, 12.5),
        (20, 20, 25),
        (20.4, 25, 25),
        (25.5, None, 35),
        (51, None, None),
    ],
)
def test_least_class(percent: float, iso: float | None, astm: float | None) -> None:
    """ISO 11600 and ASTM C920: the least class that is not below the strain; 2 % off either way changes the answer."""
    found = [least_class(percent, "iso"), least_class(percent, "astm")]
    assert [row["movement"] if row else None for row in found] == [iso, astm]


def test_ten_metres_of_8_mm_bead() -> None:
    volume = bead_volume(10000, 8)
    assert volume == pytest.approx(pi * 16 * 10)
    assert cartridges(with_waste(volume, 10), 290) == 2


def test_strain_at_which_hard_fillers_crack() -> None:
    """An allowance, not a standard: 0.1 % gypsum, cellulose and putty, 1 % two-part."""
    assert {row.name: row["movement"] for row in fillers() if row["movement"] <= 1} == {
        "cellulose": 0.1,
        "glue-putty": 0.1,
        "linseed-putty": 0.1,
        "lime-putty": 0.1,
        "two-part": 1,
    }
