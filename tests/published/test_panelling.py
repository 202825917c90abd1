"""Panelling and shutters against published figures. Each names its source."""

from __future__ import annotations

import pytest

from listel.plugins.panelling.shutters import reckon

INCH = 25.4


def test_leaves_and_boxing_of_a_window() -> None:
    """A treatise on shutters and their boxings, 1852 (seen): a window 48 in wide in a wall of 18 in, the frame 6 in and
    set back 4 1/2, plaster 2: the boxing is 9 1/2 in; leaves of 9 1/2, 8 and 6 1/2 make 24, with two rebates 24 1/2;
    for leaves of 1 1/4, 1 and 1 in it is 1/16 in a leaf deeper than they are, 3 7/16."""
    breadth = 18 - 6 - 4.5 + 2
    found = reckon({"width": 48 * INCH, "breadth": breadth * INCH, "leaf": (1.25 * INCH, INCH, INCH)}).results
    assert found["covers"] == pytest.approx([9.5 * INCH, 8 * INCH, 6.5 * INCH])
    assert sum(found["widths"]) == pytest.approx(24.5 * INCH)
    assert found["depth"] == pytest.approx((3 + 7 / 16) * INCH, abs=0.01)
