"""Figures of repair against the publications they come from. The source of each stands in its id."""

from __future__ import annotations

import pytest

from listel.core.contract.tables import load_table
from listel.plugins.existing.figures import value
from listel.plugins.existing.splices import area_factor, scarf_length

HANDBOOK = "Wood Handbook GTR-190, USDA, 2010, chapter 10: glued area at least 10 times the section (seen)"


@pytest.mark.parametrize(
    ("slope", "factor"),
    [
        pytest.param(1, 1.41, id="geometry: a scarf of 45 degrees; it fails as a joint of strength"),
        pytest.param(8, 8.06, id="geometry: 1 in 8"),
        pytest.param(10, 10.05, id=f"{HANDBOOK}: 1 in 10 passes"),
        pytest.param(12, 12.04, id=f"{HANDBOOK}: 1 in 12, the strongest"),
    ],
)
def test_glued_area_of_a_scarf(slope: float, factor: float) -> None:
    assert area_factor(slope) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize(
    ("thickness", "slope", "length"),
    [
        pytest.param(20, 10, 200, id="derived: 20 mm at 1 in 10"),
        pytest.param(18, 8, 144, id="derived: 18 mm at 1 in 8"),
        pytest.param(22, 12, 264, id="derived: a loaded picture rail of 22 mm"),
    ],
)
def test_length_of_a_scarf(thickness: float, slope: float, length: float) -> None:
    assert scarf_length(thickness, slope) == length


@pytest.mark.parametrize(
    ("name", "figure"),
    [
        pytest.param("glue-dry", 15, id="EN 204, CEN, 2016: D1 up to 15 % (second hand)"),
        pytest.param("glue-wet", 18, id="EN 204, CEN, 2016: D2 up to 18 % (second hand)"),
        pytest.param("decay-stops", 20, id="Wood protection MO-312, US Navy, section 4.2: decay stops at 20 % (seen)"),
        pytest.param("slope-loaded", 12, id=f"{HANDBOOK}: highest strength at 1 in 12 or flatter"),
    ],
)
def test_figures(name: str, figure: float) -> None:
    assert value(name) == pytest.approx(figure, abs=0.5)


@pytest.mark.parametrize(
    ("name", "figure"),
    [
        pytest.param("navy", (750 - 32) / 1.8, id="MO-913, US Navy, 1991: 750 F (seen)"),
        pytest.param("epa", (1100 - 32) / 1.8, id="40 CFR 745.85(a)(3)(ii), EPA: 1100 F (seen)"),
        pytest.param("household", 450, id="Advice to households, UK government: below 450 C (second hand)"),
    ],
)
def test_heats(name: str, figure: float) -> None:
    assert load_table("listel.plugins.existing", "heats").row(name)["most"] == pytest.approx(figure, abs=0.5)


def test_the_slope_of_trim_with_backing_lies_in_what_restorers_use() -> None:
    """Window restorers, 2012 (second hand): 1 in 4 best, 1 in 2 acceptable, in thickened epoxy; ours is no steeper."""
    assert value("slope-backed") >= 4
