"""Linings of doors: jambs, head, the board they are ripped from, and the bare opening they stand in."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians, tan

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listel.core.survey.job import ExistingTrim, Job, LevelReading, Opening, Place, Room, Section, Trim

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


def test_a_fireplace_takes_no_lining_nor_an_opening_whose_reveal_is_plastered(set_out, wall, lining) -> None:
    for bare in (Opening("fireplace", 1000, 838, 1200), replace(SASH, reveal=0.0), replace(DOOR, reveal=0.0)):
        found = set_out(hall(wall, bare), lining)
        assert not found.out.runs and not any("lining" in rule for rule in found.rules())


SASH = Opening("window", 600, 900, 1400, 760, architrave=76, reveal=110)


def test_a_window_lining_reckoned_by_hand(set_out, wall, lining, trim) -> None:
    """Clear 900 by 1400 in stuff of 28: jambs 1428 from the board, a head of 928. A board 110 to the frame and 40 out
    from the wall is 150 wide, and goes in first; so an outer door whose frame stands 60 deep in its wall."""
    outer = Opening("door", 2000, 838, 2032, architrave=76, reveal=60)
    room = hall(wall, SASH, thickness=340)
    room = replace(room, walls=(replace(room.walls[0], openings=(SASH, outer)),))
    found = set_out(room, lining, trim("window-board", 29, 40, top=None))
    assert [(round(p.overall, 1), p.left.kind, p.right.kind) for p in found.out.pieces[1:]] == [
        (1428, "square", "rebated"),
        (928, "square", "square"),
        (1428, "square", "rebated"),
        (2070, "scribed", "rebated"),
        (866, "square", "square"),
        (2070, "scribed", "rebated"),
    ]
    assert {(run.trim, run.opening): run.wide for run in found.out.runs} == {
        ("window", "window at 600 mm"): 150,
        ("lining", "window at 600 mm"): 110,
        ("lining", "door at 2000 mm"): 60,
    }
    jamb = next(run for run in found.out.runs if run.trim == "lining")
    assert (jamb.underside, jamb.top) == (760, 2188) and "floor-at-opening" not in found.rules()


@given(
    width=st.integers(500, 1800),
    reveal=st.integers(40, 220),
    splay=st.integers(0, 45),
    thick=st.integers(18, 40),
)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_jambs_follow_the_splay_and_the_head_closes_with_them(set_out, wall, trim, width, reveal, splay, thick) -> None:
    """In plan: a jamb's board is the slant of its reveal; at the face of the wall head and jambs are as long as the
    opening and both jambs, slantwise, less the rebates that lap; at the frame the head is shorter by both splays."""
    sash = Opening("window", 600, width, 1400, 760, architrave=76, reveal=reveal, splay=splay)
    out = set_out(hall(wall, sash), trim("lining", 400, thick, top=None)).out
    left, head, right = sorted(out.runs, key=lambda run: run.start + run.end)
    assert left.wide**2 == pytest.approx(reveal**2 + (reveal * tan(radians(splay))) ** 2)
    assert head.wide == reveal and left.end == 600 and right.start == 600 + width
    lapped = thick / 2 / cos(radians(splay))
    assert head.length == pytest.approx(right.end - left.start - 2 * lapped)
    piece = next(piece for piece in out.pieces if not piece.upright)
    assert {piece.left.saw_reading, piece.right.saw_reading} == {splay}
    assert {piece.left.cut_angle, piece.right.cut_angle} == {90 - splay}


@pytest.mark.parametrize(("board", "ripped"), [(131, True), (130.9, False)])
def test_a_board_that_is_too_narrow_is_not_ripped(set_out, wall, trim, board, ripped) -> None:
    says = set_out(hall(wall, thickness=131), trim("lining", board, 28, top=None)).finding("lining-opening").says
    assert ("Rip its boards" in says) is ripped


def both_sides(wall, here: Opening, there: Opening, floor=((0, 1000),), **more) -> Job:
    """The parlour, and behind its wall a hall that lists the same opening from its own side."""
    readings = tuple(LevelReading(at, to) for at, to in floor)
    behind = Room("Hall", extent="part", walls=(wall("H", 4000, floor=readings, openings=(there,), thickness=131),))
    made = tuple(
        Trim(name, name, (Place("Parlour"), Place("Hall")), Section(*size), finish="paint")
        for name, size in (("lining", (140, 28)), ("architrave", (70, 20)))
    )
    return Job("two rooms", rooms=(hall(wall, here, **more), behind), trim=made)


def pieces_of(found, trim: str) -> list[tuple[str, float]]:
    return [(piece.room, round(piece.overall, 1)) for piece in found.out.pieces if piece.trim == trim]


@pytest.mark.parametrize(("here", "there"), [("Hall", ""), ("", "Parlour"), ("Hall", "Parlour")])
def test_one_hole_is_lined_once_and_trimmed_from_both_rooms(examined, wall, here, there) -> None:
    job = both_sides(wall, replace(DOOR, leads_to=here), replace(DOOR, at=2000, leads_to=there))
    found = examined(job)
    assert pieces_of(found, "lining") == [("Parlour", 2070), ("Parlour", 866), ("Parlour", 2070)]
    assert [room for room, _ in pieces_of(found, "architrave")] == 3 * ["Parlour"] + 3 * ["Hall"]
    assert "Rip its boards to 131 mm" in found.finding("lining-opening").says, "its thickness is told from the hall"
    assert "which-are-one" not in found.rules() and found.rules().count("lining-once") == 1


def test_a_lining_goes_down_to_the_lower_floor_of_both_rooms(examined, wall) -> None:
    """The hall reads 8 mm more clear height over its higher foot, the one at our left, and falls 838 / 100 = 8.4 to its
    own left, which is our right: jambs of 2060 + 8 and 2060 + 16.4, each with 10 left on."""
    there = replace(DOOR, at=2000, height=2040, leads_to="Parlour")
    found = examined(both_sides(wall, DOOR, there, floor=((2000, 1008.38), (2838, 1000))))
    assert pieces_of(found, "lining") == [("Parlour", 2078), ("Parlour", 866), ("Parlour", 2086.4)]


def test_what_stays_behind_is_the_other_jamb(examined, wall) -> None:
    old = ExistingTrim(member="lining", side="left", state="sound", intent="keep")
    job = both_sides(wall, DOOR, replace(DOOR, at=2000, leads_to="Parlour", existing=(old,)))
    sides = [(piece.start, piece.upright) for piece in examined(job).out.pieces if piece.trim == "lining"]
    assert sides == [(DOOR.at - 28, True), (DOOR.at - 14, False)], "their left jamb is our right one"


def test_of_two_doors_between_the_same_rooms_a_name_tells_which_is_which(examined, wall) -> None:
    pairs = [(replace(DOOR, name=name, leads_to="Hall"), replace(DOOR, name=back)) for name, back in ("ab", "ba")]
    for named in (True, False):
        mine, theirs = zip(*pairs, strict=True)
        job = both_sides(wall, mine[0], theirs[0])
        walls = [
            replace(job.rooms[number].walls[0], openings=(first, replace(second, at=2400)))
            for number, (first, second) in enumerate((mine, theirs))
        ]
        rooms = tuple(replace(room, walls=(one,)) for room, one in zip(job.rooms, walls, strict=True))
        found = examined(replace(job, rooms=rooms))
        assert len(pieces_of(found, "lining")) == (6 if named else 12)
        assert ("which-are-one" in found.rules()) is not named
        pairs = [tuple(replace(side, name="") for side in pair) for pair in pairs]


@given(
    floor=st.tuples(st.integers(990, 1010), st.integers(990, 1010)),
    width=st.integers(500, 1200),
    block=st.sampled_from([None, 150]),
    corner=st.booleans(),
)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_legs_reach_the_floor_and_the_head_is_level(set_out, wall, trim, floor, width, block, corner) -> None:
    """From a level line: up from its own floor by its leg, and block, each side comes to one height; the opening is as
    high as surveyed over its higher foot, and a leg no longer than that but by the fall."""
    door = Opening("door", 1000, width, 2000, plinth_block=block and 80, plinth_block_height=block)
    trims = [trim("architrave", 70, 20, top=None)]
    trims += [trim("plinth-block", 150, 25, top=None)] if block else []
    trims += [trim("corner-block", 76, 25, top=None)] if corner else []
    room = hall(wall, door, ((1000, floor[0]), (1000 + width, floor[1])))
    out = set_out(room, *trims).out
    tops = []
    for at, foot in ((0, floor[0]), (-1, floor[1])):
        leg = [run for run in out.runs if run.member == "architrave" and run.upright][at]
        blocks = [run for run in out.runs if run.member == "plinth-block"]
        under = blocks[at].length if blocks else 0.0
        assert leg.underside == pytest.approx(under)
        tops.append(under + leg.length - foot)
    highest = 2000 + 6 + (70 if not corner else -3) - min(floor)
    assert tops == pytest.approx([highest, highest])
    head = next(run for run in out.runs if run.member == "architrave" and not run.upright)
    assert head.underside - floor[0] == pytest.approx(2006 - min(floor)), "as its left end stands over the floor there"


def test_beside_shutters_only_the_head_is_lined_as_wide_as_the_window(set_out, wall, trim, lining) -> None:
    boxing = replace(trim("boxing", 140, 28, top=None), member="shutter-box")
    found = set_out(hall(wall, SASH), lining, boxing)
    (head,) = found.out.pieces
    assert not head.upright and head.overall == SASH.width and "boxing" in head.left.note
    assert [run.opening for run in found.out.shuttered] == [head_run.opening for head_run in found.out.runs]
