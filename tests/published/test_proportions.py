"""Sizes of architraves, friezes, cornices and panels against the figures their authors printed."""

from __future__ import annotations

import pytest

from listel.plugins.proportions.openings import architrave_width, dressing
from listel.plugins.proportions.panels import panel_count, panel_width
from listel.plugins.proportions.sizing import cornice_projection

ARCHITRAVES = [
    ("Palladio I.xxvi and Le Muet 1668, pp. 148-159", "palladio", 838, 2032, (139.7, 167.6)),
    ("Gwilt s. 2743 after Chambers", "chambers", 838, 1676, (119.7, 139.7)),
    ("Vignola's Farnese door, Encyclopaedia Britannica 1771, p. 357", "farnese", 838, 1676, (152.4, 152.4)),
    ("Vitruvius IV.6, Ionic door", "vitruvius", 838, 2095, (149.6, 149.6)),
    ("Scamozzi 1687, doors", "scamozzi", 1040, 2080, (173.3, 173.3)),
]


@pytest.mark.parametrize(
    ("source", "rule", "width", "height", "expected"), ARCHITRAVES, ids=[r[0] for r in ARCHITRAVES]
)
def test_architrave_width(source: str, rule: str, width: float, height: float, expected: tuple[float, float]) -> None:
    assert architrave_width(rule, width, height) == pytest.approx(expected, abs=0.1)


def test_palladio_frieze_and_cornice_over_a_door() -> None:
    """Palladio I.xxvi, 1668, pp. 148-159: frieze 3/4, cornice 5/4 of the architrave; all three 419 at 838 clear."""
    architrave = architrave_width("palladio", 838, 2032)[0]
    found = dressing("palladio", architrave, 838)
    assert (found["frieze"], found["cornice"]) == pytest.approx((104.8, 174.6), abs=0.1)
    assert architrave + found["frieze"] + found["cornice"] == pytest.approx(419, abs=0.1)


def test_the_farnese_door_entablature_and_side() -> None:
    """Encyclopaedia Britannica, 1771, p. 357; Gwilt s. 2741: 3/11 of the height, 2/7 of the width."""
    found = dressing("farnese", architrave_width("farnese", 838, 1676)[0], 838)
    assert (found["entablature"], found["side"]) == pytest.approx((457.1, 239.4), abs=0.1)


def test_vitruvius_cymatium_is_a_sixth_of_the_architrave() -> None:
    """Vitruvius IV.6; an opening of 838 by 2095 is his 1 : 2 1/2."""
    assert dressing("vitruvius", 2095 / 14, 838)["cymatium"] == pytest.approx(24.9, abs=0.1)
    assert pytest.approx(2.5) == 2095 / 838


def test_scamozzi_entablature_is_a_quarter_of_the_opening() -> None:
    """Scamozzi 1687: 520 over an opening of 2080, in 5:4:6."""
    architrave = architrave_width("scamozzi", 1040, 2080)[0]
    found = dressing("scamozzi", architrave, 1040)
    assert (architrave, found["frieze"], found["cornice"]) == pytest.approx((173.3, 138.7, 208), abs=0.1)


def test_door_head_rail_at_seven_feet_leaves_three_feet_of_frieze() -> None:
    """The Complete Home, 1906: rail at about seven feet, frieze two to three feet; room of 10 ft."""
    assert pytest.approx(914.4) == 3048 - 7 * 304.8


def test_cornice_projection() -> None:
    """Ware 1920, p. 8; Sheraton 1793, p. 166: a quarter more in the Doric."""
    assert cornice_projection(60, "doric") == pytest.approx(75)
    assert cornice_projection(60, "ionic") == pytest.approx(60)


PANELS = [
    ("five on 3600, stiles 90 (arithmetic)", 3600, 5, 90, 612),
    ("eight on 4862, stiles 110 (arithmetic)", 4862, 8, 110, 484),
    ("five on 4862, stiles 110 (arithmetic)", 4862, 5, 110, 840.4),
]


@pytest.mark.parametrize(("source", "length", "count", "margin", "expected"), PANELS, ids=[row[0] for row in PANELS])
def test_panel_width(source: str, length: float, count: int, margin: float, expected: float) -> None:
    assert panel_width(length, count, margin) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(("ratio", "count"), [(1.0, 8), (1.618, 5)])
def test_panel_count_for_a_wished_ratio(ratio: float, count: int) -> None:
    """Arithmetic: wall 4862, panels 520 high, stiles 110."""
    assert panel_count(4862, 520, 110, ratio) == count
