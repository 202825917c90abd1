"""The filters that templates use."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from listel.core.house.filters import alike, by, in_units


@dataclass(frozen=True)
class Row:
    trim: str
    wall: str


def test_lines_that_say_the_same_stand_together_in_the_order_they_came() -> None:
    rows = [Row("rail", "B"), Row("base", "A"), Row("rail", "A")]
    assert alike(rows, "trim") == [(("rail",), [rows[0], rows[2]]), (("base",), [rows[1]])]


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("closer than 13 mm", 'closer than 1/2"'),
        ("2 to 6 mm pack", '1/16" to 1/4" pack'),
        ("0.5 mm under paint", "0.020 in under paint"),
        ("under a 2 m straight-edge", "under a 6 1/2 ft straight-edge"),
        ("no more than 15 kg", "no more than 33 lb"),
        ("1000 times", "1000 times"),
        ("stations 664 to 1432 mm, heights -3 mm", 'stations 2\' 2 1/8" to 4\' 8 3/8", heights -1/8"'),
        ("at 10 C, 3 C above the dew point", "at 50 F, 5 F above the dew point"),
        ("10 to 25 C", "50 to 77 F"),
        ("3 mm per m up to 6 m", "0.036 in per ft up to 19 1/2 ft"),
        ("studs 400 to 600 mm apart", "studs 1' 4\" to 2' 0\" apart"),
        ("12 to 25 mm", '1/2" to 1"'),
        ("0.13 litre for 1.4 m2", "0.1 US qt for 15.1 sq ft"),
        ("1 of 300 ml, 760 kg/m3, 10 N/m", "1 of 10.1 US fl oz, 47.4 lb/ft3, 0.7 lbf/ft"),
    ],
)
def test_a_text_of_a_table_is_written_in_the_units_of_the_job(text: str, inches: str) -> None:
    assert in_units(text, "mm") == text
    assert in_units(text, "inches") == inches


def test_what_was_reckoned_is_no_custom() -> None:
    assert in_units("3175 mm less 25 mm", "inches", exact=True) == '10\' 5" less 1"'


def test_lines_are_looked_up_by_what_they_say():
    rows = [SimpleNamespace(room=room) for room in ("Hall", "Attic", "Hall")]
    assert by(rows, "room") == {"Hall": [rows[0], rows[2]], "Attic": [rows[1]]}
