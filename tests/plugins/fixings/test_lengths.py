"""Screws as they are sold, in inches and in long lengths: common practice, no source."""

from __future__ import annotations

import pytest

from listel.plugins.fixings.size import stock_length

SIXTEENTHS = (12, 16, 20, 24, 28, 32, 36, 40, 48, 56, 64, 72, 80, 96, 112, 128, 144, 160)


@pytest.mark.parametrize("sixteenths", SIXTEENTHS)
def test_what_just_wants_a_length_gets_it(sixteenths: int) -> None:
    length = sixteenths * 25.4 / 16
    assert stock_length(length - 0.01, "inches") == pytest.approx(length)


@pytest.mark.parametrize("length", [200, 220, 240])
def test_the_longest_in_millimetres(length: int) -> None:
    assert stock_length(length - 0.01, "mm") == length
