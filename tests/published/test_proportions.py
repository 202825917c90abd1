"""Sizes of architraves and panels against the figures their authors printed."""

from __future__ import annotations

import pytest

from listel.plugins.proportions.openings import architrave_width
from listel.plugins.proportions.panels import panel_count, panel_width

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
