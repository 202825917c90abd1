"""Runs: what the walls leave free for each member."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import cos, radians

import pytest

from listel.core.survey.job import Ends, Fitting, Flight, FlightWall, Ground, Opening, Place, Room, Substrate

DOOR = Opening("door", 1500, 900, 2040, architrave=70)
THINGS = (
    Fitting("radiator", 2900, 150, 1000, 600, taken_off=False),
    Fitting("socket", 600, 300, 146, 86),
    Fitting("switch", 3300, 1150, 86, 86),
)


@pytest.mark.parametrize(
    ("member", "height", "top", "free"),
    [
        ("skirting", 145, 145, [(0, 1430), (2470, 2850), (3950, 4200)]),
        ("dado-rail", 70, 950, [(0, 1430), (2470, 4200)]),
        ("dado-rail", 70, 770, [(0, 1430), (2470, 2850), (3950, 4200)]),
        ("picture-rail", 45, 2145, [(0, 1430), (2470, 4200)]),
        ("picture-rail", 45, 2300, [(0, 4200)]),
    ],
)
def test_free_stretches_of_a_wall(set_out, trim, wall, member, height, top, free) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(DOOR,), fittings=THINGS),))
    found = set_out(room, trim(member, height, top=top))
    assert found.runs(member.split("-")[0]) == free


def test_free_and_blocked_stretches_make_up_the_wall(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(DOOR,), fittings=THINGS),))
    out = set_out(room, trim("skirting", 145, top=145)).out
    pieces = sorted([(r.start, r.end) for r in out.runs] + [(b.start, b.end) for b in out.blocked])
    assert pieces[0][0] == 0 and pieces[-1][1] == 4200
    assert all(a[1] == b[0] for a, b in itertools.pairwise(pieces))


def test_run_ends_tell_what_bounds_them(set_out, trim, wall) -> None:
    blocks = replace(DOOR, plinth_block=85)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(blocks,), fittings=THINGS),))
    first, second, third = set_out(room, trim("skirting", 145, top=145)).out.runs
    assert (first.start_at, first.end_at, first.end) == ("free", "plinth-block", 1415)
    assert (second.start_at, second.end_at) == ("plinth-block", "fitting")
    assert (third.start_at, third.end_at) == ("fitting", "corner")


def test_a_stretch_too_short_is_named_and_left_out(set_out, trim, wall) -> None:
    near = replace(DOOR, at=95)
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, openings=(near,)),))
    found = set_out(room, trim())
    assert found.runs("dado") == [(1065, 2000)]
    assert "25 mm" in found.finding("too-short").says


def test_window_stops_what_its_sill_reaches_down_to(set_out, trim, wall) -> None:
    window = Opening("window", 1000, 1200, 1400, sill=920, architrave=60)
    room = Room("Parlour", extent="part", walls=(wall("A", 4000, openings=(window,)),))
    assert set_out(room, trim(top=950)).runs("dado") == [(0, 940), (2260, 4000)]
    assert set_out(room, trim(top=850)).runs("dado") == [(0, 4000)]


def test_pipe_is_notched_round(set_out, trim, wall) -> None:
    low = Fitting("pipe", 1000, 0, depth=129)
    room = Room("Parlour", extent="part", walls=(wall("A", 3000, fittings=(low,)),))
    found = set_out(room, trim("skirting", 145, top=145))
    assert found.runs("skirting") == [(0, 3000)]
    assert "from 997 mm to 1031 mm" in found.finding("notch").says


@pytest.mark.parametrize("depth", [None, 131])
def test_a_moulding_stops_at_what_would_cut_it_through(set_out, trim, wall, depth) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 3000, fittings=(Fitting("pipe", 1000, 0, depth=depth),)),))
    found = set_out(room, trim("skirting", 145, top=145))
    assert found.runs("skirting") == [(0, 997), (1031, 3000)]
    assert "997 mm to 1031 mm (pipe at 1000 mm)" in found.finding("left-out").says


def test_unknown_height_leaves_out_what_is_sure_and_says_so(set_out, trim, wall) -> None:
    window = Opening("window", 2500, 800, 1200, sill=800)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(DOOR, window), fittings=THINGS),))
    found = set_out(room, trim(top=None))
    assert found.runs("dado") == [(0, 1430), (2470, 4200)]
    assert all(run.top is None for run in found.out.runs)
    assert "height of the dado" in found.finding("height-unknown").says


def test_wall_of_no_length_gives_no_run_and_says_so(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", None), wall("B", 3000)))
    found = set_out(room, trim())
    assert {run.wall for run in found.out.runs} == {"B"}
    assert found.rules().count("wall-length") == 1


def test_a_place_with_stations_stops_where_it_says(set_out, trim, square_room) -> None:
    found = set_out(square_room, trim(where=(Place("Parlour", ("C",), 500, 2500, ends=Ends("return", "return")),)))
    (run,) = found.out.runs
    assert (run.start, run.end, run.start_at, run.end_at) == (500, 2500, "return", "return")
    (piece,) = found.out.pieces
    assert (piece.left.kind, piece.right.kind) == ("return", "return")
    assert (piece.back, piece.face, piece.overall) == pytest.approx((1950, 2000, 2000))


STAIR = Flight("main", 190, 240, 12, walls=(FlightWall("C", 1040),))


def test_rail_on_a_stair_wall_is_level_raking_and_level(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(STAIR,))
    foot, rake, head = set_out(room, trim()).out.runs
    assert (foot.end, rake.start, rake.end, head.start) == pytest.approx((800, 800, 3680, 3680))
    assert rake.pitch == pytest.approx(38.3675, abs=1e-4)
    assert rake.length == pytest.approx(3673.255, abs=1e-3)
    assert head.top == pytest.approx(950 + 12 * 190)
    assert rake.top - rake.underside == pytest.approx(70 / cos(radians(rake.pitch)))


def test_rail_on_a_stair_that_climbs_the_other_way(set_out, trim, wall) -> None:
    down = replace(STAIR, walls=(FlightWall("C", 3760, "left"),))
    room = Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(down,))
    head, rake, foot = set_out(room, trim()).out.runs
    assert rake.pitch == pytest.approx(-38.3675, abs=1e-4)
    assert (rake.start, rake.end) == pytest.approx((1120, 4000))
    assert head.top == pytest.approx(950 + 2280) and foot.top == 950


def test_knee_moves_with_the_height_on_the_flight(set_out, trim, wall) -> None:
    """Half a riser more on the level than on the flight puts both knees half a going on: level 945, 850 on the
    flight."""
    stair = replace(STAIR, handrail=855)
    room = Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(stair,))
    foot, _, head = set_out(room, trim(top=950)).out.runs
    assert foot.end == pytest.approx(800 + 120)
    assert head.start == pytest.approx(3680 + 120)


def test_flight_that_was_not_surveyed_gives_no_rail(set_out, trim, wall) -> None:
    stair = Flight("main", walls=(FlightWall("C"),))
    room = Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(stair,))
    found = set_out(room, trim())
    assert found.out.runs == ()
    assert "flight-not-surveyed" in found.rules()


def test_skirting_stops_at_the_wall_string(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(STAIR,))
    assert set_out(room, trim("skirting", 145, top=145)).runs("skirting") == [(0, 1040), (3680, 5000)]


def test_architrave_has_two_legs_and_a_head(set_out, trim, square_room) -> None:
    found = set_out(square_room, trim("architrave", 70, 20, top=None))
    left, right, head = found.out.runs
    assert left.upright and right.upright and not head.upright
    assert left.length == right.length == 2040 + 6 + 70, "the lining shows a margin of 6 mm"
    assert (left.start, left.end) == (1424, 1494)
    assert (head.start, head.end, head.length) == (1424, 2376, 952)
    assert [piece.overall for piece in found.out.pieces] == [2116, 952, 2116]


def test_architrave_without_a_surveyed_width_stands_back_by_its_margin(set_out, trim, wall) -> None:
    bare = replace(DOOR, architrave=None)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(bare,)),))
    found = set_out(room, trim("architrave", 70, 20, top=None), trim())
    assert found.runs("architrave")[0] == (1424, 1494)
    assert found.runs("dado") == [(0, 1424), (2476, 4200)]


@pytest.mark.parametrize("surveyed", [None, 70, 76])
def test_a_margin_that_is_given_decides_and_is_not_assumed(set_out, trim, wall, surveyed) -> None:
    bare = replace(DOOR, architrave=surveyed)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(bare,)),))
    found = set_out(room, trim("architrave", 70, 20, top=None, margin=9), trim())
    assert found.runs("architrave")[0] == (1421, 1491)
    assert not any(run.taken for run in found.out.runs)


@pytest.mark.parametrize("packed_too", [True, False])
def test_a_packed_trim_is_cut_to_its_own_face_and_drawn_off_the_wall(set_out, trim, wall, packed_too) -> None:
    """In a square corner the piece ends at the back of what stands there: at the packing, or at the bare wall."""
    out = Substrate("brick", grounds=(Ground(100, behind=-30.0),))
    walls = wall("A", 4000, substrate=out), wall("B", 3000, substrate=out if packed_too else None)
    found = set_out(Room("Parlour", extent="part", walls=walls), trim("skirting", 168, 20, top=None, internal="mitre"))
    run_a, run_b = (next(run for run in found.out.runs if run.wall == name) for name in "AB")
    assert (run_a.off, run_b.off) == (30, 30 if packed_too else 0)
    on_a, on_b = (next(piece for piece in found.out.pieces if piece.wall == name) for name in "AB")
    assert on_a.back == pytest.approx(4000 - run_b.off) and on_b.back == pytest.approx(3000 - 30)


def test_legs_stand_on_their_plinth_blocks(set_out, trim, wall) -> None:
    blocks = replace(DOOR, plinth_block=85)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(blocks,)),))
    found = set_out(room, trim("plinth-block", 160, 30, top=None), trim("architrave", 70, 20, top=None))
    leg = next(run for run in found.out.runs if run.trim == "architrave" and run.upright)
    assert (leg.underside, leg.start_at) == (160, "plinth-block")
    assert [p.overall for p in found.out.pieces if p.trim == "plinth"] == [160, 160]


def test_the_height_of_a_plinth_block_is_taken_from_its_opening(set_out, trim, wall) -> None:
    """The surveyed block counts before the one that is made; without either the legs are set out from the floor."""
    blocks, architrave = replace(DOOR, plinth_block=85), trim("architrave", 70, 20, top=None)
    surveyed = replace(blocks, plinth_block_height=210)

    def legs(opening: Opening, *trims):
        room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(opening,)),))
        found = set_out(room, architrave, *trims)
        piece = next(piece for piece in found.out.pieces if piece.trim == "architrave" and piece.upright)
        return piece.overall, "plinth-block-height" in found.rules()

    assert legs(blocks) == (2116, True)
    assert legs(surveyed) == (2116 - 210, False)
    assert legs(surveyed, trim("plinth-block", 160, 30, top=None)) == (2116 - 210, False)


def test_run_grounds_name_their_inputs(set_out, trim, square_room) -> None:
    run = set_out(square_room, trim()).out.runs[0]
    assert {"length of wall A", "top edge"} <= {each.name for each in run.grounds.inputs}


def test_a_window_board_goes_past_the_casings_and_the_apron_ends_under_them(set_out, trim, wall) -> None:
    """American carpentry text on stools (1900 to 1925, seen): casings of 3 1/2 in with reveals and horns of 1/4 in make
    the stool 8 in longer than the jamb is wide."""
    window = Opening("window", 1200, 914.4, 1400, 800, architrave=3.75 * 25.4)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(window,)),))
    found = set_out(room, trim("window-board", 29, 60, top=None), trim("apron", 90, 19, top=None))
    board, apron = found.out.pieces
    assert board.overall == pytest.approx(914.4 + 8 * 25.4)
    assert (apron.start, apron.end) == pytest.approx((1200 - 95.25, 1200 + 914.4 + 95.25))
    assert (apron.back, apron.left.kind, apron.right.kind) == (pytest.approx(apron.face - 38), "return", "return")
    under = {run.trim: run.underside for run in found.out.runs}
    assert under == {"window": 771, "apron": 681}
    assert "window-size" in set_out(replace_sill(room), trim("apron", 90, 19, top=None)).rules()
    horned = replace(trim("window-board", 29, 60, top=None), horn=19.0)
    assert set_out(room, horned).out.pieces[0].overall == pytest.approx(914.4 + 2 * (95.25 + 19)), "as it was asked for"


@pytest.mark.parametrize(
    ("stays", "ends"), [(True, ["return", "fitting", "fitting", "return"]), (False, ["return"] * 2)]
)
def test_an_apron_stops_at_a_radiator_that_stays_and_a_window_board_passes_over_it(set_out, trim, wall, stays, ends):
    window = Opening("window", 1200, 900, 1400, 800, architrave=95)
    radiator = Fitting("radiator", 1400, 150, 500, 700, taken_off=not stays)
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(window,), fittings=(radiator,)),))
    out = set_out(room, trim("window-board", 29, 60, top=None), trim("apron", 90, 19, top=None)).out
    board, *aprons = out.runs
    assert [at for run in aprons for at in (run.start_at, run.end_at)] == ends and board.end_at == "horn"
    assert len(out.blocked) == stays and all(run.end <= 1400 or run.start >= 1900 for run in aprons if stays)


def replace_sill(room: Room) -> Room:
    """The room with a window of which no sill was surveyed."""
    first = room.walls[0]
    bare = tuple(replace(opening, sill=None) for opening in first.openings)
    return replace(room, walls=(replace(first, openings=bare),))


@pytest.mark.parametrize("side", [76.0, None])
def test_legs_and_head_are_square_against_corner_blocks(set_out, trim, wall, side) -> None:
    """A block stands 6 mm wider than the casing (Kidder, section 168, seen), half of that over each edge."""
    room = Room("Parlour", extent="part", walls=(wall("A", 4200, openings=(DOOR,)),))
    block = trim("corner-block", 76, 23, top=None)
    block = replace(block, section=replace(block.section, height=side))
    runs = set_out(room, trim("architrave", 70, 20, top=None), block).out.runs
    left, right, head = (run for run in runs if run.trim == "architrave")
    blocks = [run for run in runs if run.trim == "corner"]
    assert [(one.start, one.underside, one.top) for one in blocks] == [
        (left.start - 3, left.top, left.top + 76),
        (right.start - 3, right.top, right.top + 76),
    ]
    assert (head.start, head.end) == (blocks[0].end, blocks[1].start)
    assert {left.end_at, right.end_at, head.start_at, head.end_at} == {"corner-block"}
    assert left.top == head.underside - 3
