"""Linings of doors: jambs, head, the board they are ripped from, and the bare opening they stand in."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listel.core.survey.job import LevelReading, Opening, Room

DOOR = Opening("door", 1000, 838, 2032, architrave=76)
LEFT_ON = 10


@pytest.fixture
def lining(trim):
    return trim("lining", 140, 28, top=None)


def hall(wall, opening: Opening = DOOR, floor=((0, 1000), (3600, 1000)), **more) -> Room:
    readings = tuple(LevelReading(at, to) for at, to in floor)
    return Room("Parlour", extent="part", walls=(wall("A", 3600, floor=readings, openings=(opening,), **more),))


def test_a_lining_reckoned_by_hand(set_out, wall, lining) -> None:
    """Clear 838 by 2032 in stuff of 28, the floor 12 down over 3600: it falls 838 / 3600 x 12 = 2.8 from jamb to jamb.
    The head goes 14 into each jamb: 838 + 28 = 866. Left jamb 2032 + 28 = 2060, right 2062.8, each 10 long at its foot.
    """
    found = set_out(hall(wall, floor=((0, 1000), (3600, 1012)), thickness=131), lining)
    left, head, right = found.out.pieces
    assert [round(piece.overall, 1) for piece in (left, head, right)] == [2070, 866, 2072.8]
    assert [(piece.left.kind, piece.right.kind) for piece in (left, head, right)] == [
        ("scribed", "rebated"),
        ("square", "square"),
        ("scribed", "rebated"),
    ]
    assert found.runs("lining") == [(972, 1000), (1838, 1866), (986, 1852)]
    says = found.finding("lining-opening").says
    assert "914 mm by 2073 mm" in says and "to 131 mm" in says and "right jamb is 3 mm the longer" in says
    assert f"{hypot(838, 2032):.0f} mm" in says
    assert "838 + 2 x (28 + 10) = 914;" in found.finding("lining-opening").grounds.worked


@given(
    width=st.integers(500, 1200),
    height=st.integers(1800, 2400),
    thick=st.integers(18, 40),
    floor=st.tuples(st.integers(990, 1010), st.integers(990, 1010)),
)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_jambs_and_head_close_with_the_opening_and_the_floor(set_out, wall, trim, width, height, thick, floor) -> None:
    """From a level line: up from each foot by its jamb both come to one height, the head's top; the clear opening is as
    surveyed, at the higher foot; the head and what is left of both jambs make up the whole width."""
    door = Opening("door", 1000, width, height, architrave=76)
    room = hall(wall, door, ((1000, floor[0]), (1000 + width, floor[1])))
    left, head, right = set_out(room, trim("lining", 140, thick, top=None)).out.pieces
    tops = [jamb.overall - LEFT_ON - foot for jamb, foot in ((left, floor[0]), (right, floor[1]))]
    assert tops[0] == pytest.approx(tops[1])
    assert tops[0] - thick + min(floor) == pytest.approx(height)
    assert head.overall + 2 * (thick - thick / 2) == pytest.approx(right.end - left.start)
    assert right.start - left.end == pytest.approx(width)


def test_it_is_fixed_before_its_architrave_which_stands_back_from_it(set_out, wall, trim, lining) -> None:
    found = set_out(hall(wall, replace(DOOR, architrave=None)), lining, trim("architrave", 70, 20, top=None))
    orders = {name: [p.order for p in found.out.pieces if p.trim == name] for name in ("lining", "architrave")}
    assert max(orders["lining"]) < min(orders["architrave"])
    assert found.runs("architrave")[0][1] == DOOR.at - 6, "a margin of 6 of the lining shows"


def test_a_window_and_a_fireplace_take_no_lining(set_out, wall, lining) -> None:
    for kind in ("window", "fireplace"):
        found = set_out(hall(wall, Opening(kind, 1000, 838, 1200, 800 if kind == "window" else None)), lining)
        assert not found.out.runs and not any("lining" in rule for rule in found.rules())


@pytest.mark.parametrize(("board", "ripped"), [(131, True), (130.9, False)])
def test_a_board_that_is_too_narrow_is_not_ripped(set_out, wall, trim, board, ripped) -> None:
    says = set_out(hall(wall, thickness=131), trim("lining", board, 28, top=None)).finding("lining-opening").says
    assert ("Rip its boards" in says) is ripped
