"""Limits of defects and moisture against the publications they come from. The source of each stands in its id."""

from __future__ import annotations

import pytest

from listel.core.contract.tables import load_table
from listel.plugins.defects.grade import knot_limit

EN_942 = "EN 942, 2007, knot limits by class (from memory)"


@pytest.mark.parametrize(
    ("grade", "width", "limit"),
    [
        pytest.param("J2", 100, 2, id=f"{EN_942}: J2"),
        pytest.param("J10", 100, 10, id=f"{EN_942}: J10, size governs"),
        pytest.param("J30", 44, 13.2, id=f"{EN_942}: J30 on 44 mm, share governs"),
        pytest.param("J50", 95, 47.5, id=f"{EN_942}: J50 on 95 mm, share governs"),
        pytest.param("J5", 100, 5, id=f"{EN_942}: J5 on 100 mm"),
        pytest.param("J5", 20, 4, id=f"{EN_942}: J5 on 20 mm"),
        pytest.param("J10", 20, 6, id=f"{EN_942}: J10 on 20 mm"),
        pytest.param("J20", 100, 20, id=f"{EN_942}: J20 on 100 mm"),
        pytest.param("J20", 50, 15, id=f"{EN_942}: J20 on 50 mm"),
        pytest.param("J30", 200, 30, id=f"{EN_942}: J30 on 200 mm"),
        pytest.param("J40", 200, 40, id=f"{EN_942}: J40 on 200 mm"),
        pytest.param("J40", 80, 32, id=f"{EN_942}: J40 on 80 mm"),
        pytest.param("J50", 200, 50, id=f"{EN_942}: J50 on 200 mm"),
        pytest.param("J40", None, 40, id=f"{EN_942}: J40, face not surveyed"),
    ],
)
def test_largest_knot(grade: str, width: float | None, limit: float) -> None:
    assert knot_limit(grade, width) == pytest.approx(limit)


@pytest.mark.parametrize(
    ("heating", "scheme", "band"),
    [
        pytest.param("heated-warm", "bs-1186", [8, 12], id="BS 1186-3, 1990, moisture content (second hand)"),
        pytest.param("intermittent", "bs-1186", [13, 17], id="BS 1186-3, 1990, moisture content (second hand) "),
        pytest.param("heated-warm", "en-942", [6, 10], id="EN 942, 2007, moisture by heating (from memory)"),
        pytest.param("unheated", "en-942", [12, 16], id="EN 942, 2007, moisture by heating (from memory) "),
    ],
)
def test_moisture_bands(heating: str, scheme: str, band: list[int]) -> None:
    from listel.plugins import defects

    assert load_table(defects.__name__, "moisture").row(heating)[scheme] == band
