"""Pieces, corners and joints."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import radians, tan

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from listel.core.contract.tables import load_table
from listel.core.survey.job import (
    Board,
    Corner,
    Cutting,
    Ends,
    Flight,
    FlightWall,
    Opening,
    Place,
    Reading,
    Room,
    Section,
    Studs,
    Substrate,
    Wall,
)

RETURNS = Ends("return", "return")
TRIMS = (("setting_out", "allowances"), ("cutting", "bench"))


def sticking_out(wall) -> Room:
    """A room with a chimney breast: alcove, return, breast, return, alcove."""
    return Room(
        "Parlour",
        extent="part",
        walls=(
            wall("A", 1310, 89.2),
            wall("B", 372, 89.2, "external"),
            wall("C", 1468, 90.6, "external"),
            wall("D", 372, 89.2),
            wall("E", 1310, None),
        ),
    )


def test_mitred_pieces_of_a_chimney_breast(set_out, trim, wall) -> None:
    out = set_out(sticking_out(wall), trim(projection=22, internal="mitre")).out
    by_wall = {piece.wall: piece for piece in out.pieces}
    assert (by_wall["B"].back, by_wall["B"].face, by_wall["B"].overall) == pytest.approx((372, 372.0, 394.31), abs=0.01)
    assert (by_wall["C"].back, by_wall["C"].face, by_wall["C"].overall) == pytest.approx(
        (1468, 1512.08, 1512.08), abs=0.01
    )
    assert [corner.cut_angle for corner in out.corners] == pytest.approx([44.6, 44.6, 45.3, 44.6])
    assert [corner.saw_reading for corner in out.corners] == pytest.approx([45.4, 45.4, 44.7, 45.4])


def test_both_angles_always_add_up_to_a_right_angle(set_out, trim, square_room) -> None:
    out = set_out(square_room, trim()).out
    for corner in out.corners:
        assert corner.cut_angle + corner.saw_reading == pytest.approx(90)
    for piece in out.pieces:
        for end in (piece.left, piece.right):
            assert end.cut_angle + end.saw_reading == pytest.approx(90)


@given(
    st.lists(st.floats(600, 6000), min_size=4, max_size=4),
    st.lists(st.floats(76, 104), min_size=4, max_size=4),
    st.floats(6, 60),
    st.sampled_from(["mitre", "cope"]),
)
def test_pieces_add_up_to_their_runs(set_out, trim, lengths, angles, projection, joint) -> None:
    walls = tuple(
        Wall(name, Reading(length), Corner("internal", angle))
        for name, length, angle in zip("ABCD", lengths, angles, strict=True)
    )
    out = set_out(Room("Parlour", extent="whole", walls=walls), trim(projection=projection, internal=joint)).out
    for run in out.runs:
        pieces = [piece for piece in out.pieces if piece.wall == run.wall]
        back = run.length + pieces[0].left.past + pieces[-1].right.past
        assert sum(piece.back for piece in pieces) == pytest.approx(back)
        assert sum(piece.end - piece.start for piece in pieces) == pytest.approx(run.length)
        ends = pieces[0].left.gives + pieces[-1].right.gives
        assert sum(piece.face for piece in pieces) == pytest.approx(back + ends)
        assert all(max(piece.back, piece.face) <= piece.overall + 1e-6 for piece in pieces)
        assert all(piece.overall <= 4200 + 1e-6 for piece in pieces)


@given(st.lists(st.floats(76, 104), min_size=3, max_size=3), st.floats(6, 60))
def test_mirrored_room_gives_mirrored_cuts(set_out, trim, wall, angles, projection) -> None:
    lengths = [2000, 1200, 1800, 900]
    ahead = tuple(wall(n, length, a) for n, length, a in zip("ABCD", lengths, [*angles, None], strict=True))
    back = tuple(wall(n, length, a) for n, length, a in zip("DCBA", lengths[::-1], [*angles[::-1], None], strict=True))
    one, other = (
        set_out(Room("Parlour", extent="part", walls=walls), trim(projection=projection, internal="mitre")).out
        for walls in (ahead, back)
    )
    for piece in one.pieces:
        twin = next(each for each in other.pieces if each.wall == piece.wall)
        assert (piece.back, piece.face, piece.overall) == pytest.approx((twin.back, twin.face, twin.overall))
        assert (piece.left.cut_angle, piece.left.gives) == pytest.approx((twin.right.cut_angle, twin.right.gives))


@given(st.integers(0, 3))
def test_starting_the_walk_elsewhere_changes_no_length(set_out, trim, square_room, first) -> None:
    turned = replace(square_room, walls=square_room.walls[first:] + square_room.walls[:first])
    one, other = (
        {f"{p.wall}{p.start:.0f}": p.back + p.face for p in set_out(room, trim(internal="mitre")).out.pieces}
        for room in (square_room, turned)
    )
    assert one == pytest.approx(other)


def test_a_door_keeps_every_piece_from_two_copes(set_out, trim, square_room) -> None:
    found = set_out(square_room, trim())
    assert all((p.left.kind, p.right.kind).count("cope") <= 1 for p in found.out.pieces)
    assert "coped-both-ends" not in found.rules()


def test_copes_run_from_the_first_piece_outwards(set_out, trim, square_room) -> None:
    out = set_out(square_room, trim()).out
    first = min(out.pieces, key=lambda piece: piece.order)
    assert "cope" not in (first.left.kind, first.right.kind) and first.wall == "C"
    assert len(out.corners) == 4
    for corner in out.corners:
        before = max((p for p in out.pieces if p.wall == corner.first), key=lambda p: p.end)
        after = min((p for p in out.pieces if p.wall == corner.second), key=lambda p: p.start)
        coped, other = (before, after) if corner.coped == corner.first else (after, before)
        assert (before.right.kind, after.left.kind) == (("cope", "square") if coped is before else ("square", "cope"))
        assert coped.order > other.order


def test_unbroken_ring_ends_with_one_piece_coped_twice(set_out, trim, square_room) -> None:
    found = set_out(square_room, trim("picture-rail", 45, 20, top=2500, longest=6000))
    twice = [p for p in found.out.pieces if (p.left.kind, p.right.kind) == ("cope", "cope")]
    assert [p.wall for p in twice] == ["A"]
    assert twice[0].order == 4
    assert "coped at both ends" in found.finding("coped-both-ends").says


@pytest.mark.parametrize(
    ("more", "angle", "joint"),
    [
        ({"finish": "paint"}, 90, "cope"),
        ({"finish": "wax"}, 90, "mitre"),
        ({"finish": "paint"}, 135, "mitre"),
        ({"finish": "wax", "internal": "cope"}, 90, "cope"),
        ({"section": Section(90, 80, spring=45)}, 90, "mitre"),
    ],
)
def test_mitre_or_cope(set_out, trim, wall, more, angle, joint) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, angle), wall("B", 2000)))
    (corner,) = set_out(room, trim(**more)).out.corners
    assert corner.joint == joint


def test_sprung_corner_gives_mitre_and_bevel(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000), wall("B", 2000)))
    (corner,) = set_out(room, trim("cornice", section=Section(90, 80, spring=38))).out.corners
    assert (corner.saw_reading, corner.bevel) == pytest.approx((31.619, 33.863), abs=1e-3)


def test_corner_that_was_not_read_is_named_and_not_guessed(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, None), wall("B", 2000)))
    found = set_out(room, trim(internal="mitre"))
    assert [p.right.cut_angle for p in found.out.pieces if p.wall == "A"] == [None]
    assert "A/B" in found.finding("corner-not-surveyed").says


def test_wide_section_at_a_doubtful_corner_is_measured_again(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, 91.3), wall("B", 2000)))
    assert "measure-again" in set_out(room, trim(projection=90)).rules()
    assert "measure-again" not in set_out(room, trim(projection=25)).rules()


def test_gap_to_expect_is_the_bevels_error_over_the_mitre(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000), wall("B", 2000)))
    (corner,) = set_out(room, trim(projection=20)).out.corners
    assert corner.gap == pytest.approx(28.284 * radians(0.5), abs=1e-3)


def test_joint_comes_over_a_stud_and_out_of_the_eye_line(set_out, trim, square_room) -> None:
    studs = Substrate("lime-on-lath", studs=Studs(400, 100))
    long = tuple(replace(w, length=Reading(6000), substrate=studs) if w.name in "AC" else w for w in square_room.walls)
    found = set_out(replace(square_room, walls=long), trim(), trim("picture-rail", 45, 20, top=2500))
    dado = next(p.end for p in found.out.pieces if p.wall == "C" and p.trim == "dado" and p.right.kind == "scarf")
    picture = next(p.end for p in found.out.pieces if p.wall == "C" and p.trim == "picture" and p.right.kind == "scarf")
    assert (dado - 100) % 400 == 0 and (picture - 100) % 400 == 0
    assert abs(dado - picture) >= 300
    assert abs(dado - (6000 - 1900)) >= 600
    placed = [each.where for each in found.findings if each.rule == "setting-out/joint-placed"]
    assert ("C", "dado") in {(where.wall, where.trim) for where in placed}


def test_pieces_are_fixed_from_the_ceiling_down_after_the_architraves(set_out, trim, square_room) -> None:
    members = ("skirting", "architrave", "dado-rail", "picture-rail")
    found = set_out(square_room, *(trim(member, top=None if member != "dado-rail" else 950) for member in members))
    pieces = sorted(found.out.pieces, key=lambda piece: piece.order)
    assert list(dict.fromkeys(piece.trim for piece in pieces)) == ["architrave", "picture", "dado", "skirting"]


def test_joint_over_lath_with_no_stud_found_asks_for_one(set_out, trim, wall) -> None:
    lath = wall("A", 6000, substrate=Substrate("lime-on-lath"))
    found = set_out(Room("Parlour", extent="part", walls=(lath,)), trim())
    assert "was not surveyed" in found.finding("joint-bearer-unknown").says


def test_longest_board_of_the_stock_sets_the_joints(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4000),))
    assert len(set_out(room, trim()).out.pieces) == 1
    assert len(set_out(room, trim(), stock=(Board("dado", 2400), Board("dado", 3000))).out.pieces) == 2
    assert len(set_out(room, trim(longest=1900)).out.pieces) == 3


def test_a_long_point_that_stands_past_its_wall_is_counted(set_out, trim, wall) -> None:
    """The back is shorter than the longest piece, but the mitres at its external corners make the piece longer."""
    breast = (wall("A", 1000, 90, "external"), wall("B", 4195, 90, "external"), wall("C", 1000))
    room = Room("Parlour", extent="part", walls=breast)
    assert len([p for p in set_out(room, trim(projection=2, longest=4200)).out.pieces if p.wall == "B"]) == 1
    found = set_out(room, trim(projection=23, longest=4200))
    assert len([p for p in found.out.pieces if p.wall == "B"]) == 2
    needs = next(i for i in found.finding("joint-bearer-unknown").grounds.inputs if "long point" in i.name)
    assert needs.value == pytest.approx(4195 + 2 * 23)


def test_longest_piece_comes_out_of_the_longest_board(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 4190),))
    stock = (Board("dado", 4200),)
    assert len(set_out(room, trim(longest=4200)).out.pieces) == 1
    assert len(set_out(room, trim(longest=4200), stock=stock).out.pieces) == 2
    assert len(set_out(room, trim(), stock=stock, cutting=Cutting(end_trim=5)).out.pieces) == 1


def test_both_plugins_trim_a_new_board_alike() -> None:
    ours, theirs = (load_table(f"listel.plugins.{name}", table).row("end-trim")["value"] for name, table in TRIMS)
    assert ours == theirs


@given(
    st.lists(st.floats(500, 9000), min_size=3, max_size=3),
    st.lists(st.floats(50, 130), min_size=2, max_size=2),
    st.lists(st.sampled_from(["internal", "external"]), min_size=2, max_size=2),
    st.floats(6, 90),
    st.floats(800, 4500),
    st.sampled_from([0, 6, 12, 20]),
)
@example([500.0, 5140.0, 500.0], [50.0, 50.0], ["internal", "external"], 40.0, 800.0, 20)
def test_every_piece_fits_the_longest_that_was_given(
    set_out, trim, wall, lengths, angles, kinds, projection, longest, steps
) -> None:
    """From long point to long point, on the level and on the rake, at internal and external corners and at scarfs."""
    walls = tuple(
        wall(name, length, angle, kind)
        for name, length, angle, kind in zip("ABC", lengths, [*angles, None], [*kinds, "internal"], strict=True)
    )
    stairs = (Flight("main", 190, 240, steps, walls=(FlightWall("B", 540),)),) if steps else ()
    room = Room("Parlour", extent="part", walls=walls, stairs=stairs)
    out = set_out(room, trim(projection=projection, longest=longest)).out
    assert out.pieces
    assert all(piece.overall <= longest + 1e-6 for piece in out.pieces)
    assert all(piece.back > 0 for piece in out.pieces)
    for piece, other in pairwise(sorted(out.pieces, key=lambda one: (one.wall, one.start))):
        if piece.right.kind == other.left.kind == "scarf":
            assert (other.left.gives > 0) is (other.order > piece.order), "the piece fixed later lies over"
            assert piece.right.gives == -other.left.gives


def test_knee_pieces_meet_at_half_the_pitch(set_out, trim, wall) -> None:
    stair = Flight("main", 190, 240, 12, walls=(FlightWall("C", 1040),))
    room = Room("Parlour", extent="part", walls=(wall("C", 5000),), stairs=(stair,))
    foot, rake, head = set_out(room, trim()).out.pieces
    for end in (foot.right, rake.left, rake.right, head.left):
        assert end.kind == "knee" and end.saw_reading == pytest.approx(38.3675 / 2, abs=1e-4)
    edge = 70 * tan(radians(38.3675 / 2))
    assert foot.overall == pytest.approx(800 + edge, abs=1e-3)
    assert rake.overall == pytest.approx(3673.255 + edge, abs=1e-2)
    assert head.overall == pytest.approx(1320)


def test_rake_that_reaches_a_corner_gives_its_raked_profile(set_out, trim, wall) -> None:
    stair = Flight("main", 190, 240, 20, walls=(FlightWall("B", 240),))
    room = Room("Parlour", extent="part", walls=(wall("A", 3000), wall("B", 2000)), stairs=(stair,))
    found = set_out(room, trim())
    (raked,) = found.out.raked
    assert raked.at == "A/B" and raked.angle == 90
    assert raked.ordinates[0] == (0.0, 0.0, 0.0)
    assert "level piece" in found.finding("raked-profile").says
    corner = next(p for p in found.out.pieces if p.wall == "B" and p.pitch).left
    assert (corner.saw_reading, corner.bevel) == pytest.approx((38.3675, 45), abs=1e-4)


def test_leaning_walls_are_told_to_the_saw(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, lean=1.5), wall("B", 2000)))
    says = set_out(room, trim("skirting", 220, 22, top=220)).finding("leaning-corner").says
    assert "5.8 mm" in says and "1.5°" in says and "44.98°" in says


def test_two_sections_of_one_member_that_meet_are_named(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000), wall("B", 2000)))
    one = trim(projection=20, name="old dado", where=(Place("Parlour", ("A",)),))
    two = trim(projection=30, name="new dado", where=(Place("Parlour", ("B",)),))
    found = set_out(room, one, two)
    assert "33.69° from its length, 56.31° on the saw" in found.finding("two-sections-meet").says
    first, second = found.out.pieces
    assert (first.right.kind, first.right.cut_angle) == ("internal-mitre", pytest.approx(33.690, abs=1e-3))
    assert (first.face, second.face) == pytest.approx((2000 - 30, 2000 - 20))


@pytest.mark.parametrize(
    ("other", "ends", "says"),
    [
        ((70, 25), ("butt", "butt"), "cut square to each other"),
        ((60, 25), ("return", "butt"), "the old is returned into itself there"),
        ((60, 24), ("return", "butt"), "and the new butts on that"),
        ((70, 26), ("butt", "return"), "the new is returned"),
        ((60, 26), ("return", "return"), "the old and the new are returned"),
    ],
)
def test_trims_that_adjoin_along_a_wall_are_returned_where_they_show(set_out, trim, wall, other, ends, says) -> None:
    old = trim(name="old", where=(Place("Parlour", ("A",), 0, 1800),))
    new = trim(name="new", section=Section(*other), where=(Place("Parlour", ("A",), 1800, 4000),))
    found = set_out(Room("Parlour", extent="part", walls=(wall("A", 4000, ends=RETURNS),)), old, new)
    one, two = found.out.pieces
    assert (one.right.kind, two.left.kind) == ends and (one.end, two.start) == (1800, 1800)
    assert says in found.finding("two-sections-meet").says
    apart = replace(new, where=(Place("Parlour", ("A",), 1802, 4000),))
    assert "two-sections-meet" not in set_out(Room("Parlour", walls=(wall("A", 4000),)), old, apart).rules()


@pytest.mark.parametrize(("theta", "short"), [(80, 3.350), (75, 5.091), (90, 0), (100, 0)])
def test_a_square_end_stops_where_its_face_meets_the_other_wall(set_out, trim, wall, theta, short) -> None:
    """Source: derived here by where the face of the piece, 19 out, crosses the line of the other wall."""
    room = Room("Parlour", extent="part", walls=(wall("A", 4000, theta), wall("B", 3000)))
    (piece,) = set_out(room, trim("skirting", 168, 19, top=168, where=(Place("Parlour", ("A",)),))).out.pieces
    other = np.array([-np.cos(np.radians(theta)), np.sin(np.radians(theta))])
    reach = 4000 + min(0.0, float((other * 19 / other[1])[0]))
    assert piece.back == piece.face == piece.overall == pytest.approx(reach) == pytest.approx(4000 - short, abs=1e-3)


def test_a_return_of_a_sprung_moulding_is_a_compound_cut(set_out, trim, square_room) -> None:
    sprung = trim("picture-rail", 60, 40, top=2300, where=(Place("Parlour", ("C",), 500, 2500, ends=RETURNS),))
    sprung = replace(sprung, section=replace(sprung.section, spring=38))
    (piece,) = set_out(square_room, sprung).out.pieces
    assert (piece.left.kind, piece.left.saw_reading, piece.left.bevel) == (
        "return",
        pytest.approx(31.619, abs=1e-3),
        pytest.approx(33.863, abs=1e-3),
    )


def test_a_rail_that_ends_high_is_not_joined_to_a_low_one(set_out, trim, wall) -> None:
    stair = Flight("attic", 195, 225, 13, handrail=870, walls=(FlightWall("A", 1125),))
    room = Room("Parlour", extent="part", walls=(wall("A", 2900), wall("B", 1740)), stairs=(stair,))
    found = set_out(room, trim(top=870))
    assert not found.out.corners and not found.out.raked
    assert "two heights" in found.finding("heights-differ").says
    high = next(piece for piece in found.out.pieces if piece.pitch)
    low = next(piece for piece in found.out.pieces if piece.wall == "B")
    assert (high.right.kind, low.left.kind) == ("plumb", "square")


def test_labels_are_unique_and_say_trim_room_and_wall(set_out, trim, square_room) -> None:
    out = set_out(square_room, trim(name="dado rail"), trim("skirting", 145, 20, name="deep run", top=145)).out
    labels = [piece.label for piece in out.pieces]
    assert len(set(labels)) == len(labels)
    assert {"DR-A1", "DR-A2", "DR-B1", "DR2-A1"} <= set(labels)


def test_order_counts_through_the_room_with_architraves_first(set_out, trim, square_room) -> None:
    out = set_out(square_room, trim(), trim("architrave", 70, 20, top=None)).out
    assert sorted(piece.order for piece in out.pieces) == list(range(1, len(out.pieces) + 1))
    assert max(p.order for p in out.pieces if p.trim == "architrave") < min(
        p.order for p in out.pieces if p.trim == "dado"
    )


def test_grain_groups_are_carried_to_the_pieces(set_out, trim, square_room) -> None:
    out = set_out(square_room, trim(match=(("B", "Parlour/C"),))).out
    assert {p.wall for p in out.pieces if p.match == "B + Parlour/C"} == {"B", "C"}


def test_projection_not_surveyed_is_said_once(set_out, trim, square_room) -> None:
    found = set_out(square_room, trim(section=Section(70)))
    assert found.rules().count("projection-not-surveyed") == 1
    assert all(piece.face == piece.back for piece in found.out.pieces)


def test_external_corner_that_nothing_continues_is_returned(set_out, trim, wall) -> None:
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, 90, "external"), wall("B", 2000)))
    (piece,) = set_out(room, trim(where=(Place("Parlour", ("A",)),))).out.pieces
    assert piece.right.kind == "return"
    assert (piece.back, piece.overall) == pytest.approx((1975, 2000))


def test_a_return_is_a_wedge_of_its_own(set_out, trim, wall) -> None:
    """As long at the face as the moulding stands out, nothing at the back; a piece with two has them told apart."""
    room = Room("Parlour", extent="part", walls=(wall("A", 2000, 90, "external"), wall("B", 2000)))
    (one,) = set_out(room, trim(where=(Place("Parlour", ("A",)),))).out.returns
    assert (one.label, one.part_of, one.back, one.face, one.overall) == ("D-A1r", "D-A1", 0, 25, 25)
    assert (one.left.cut_angle, one.left.kind, one.right.kind) == (45, "external-mitre", "square")
    both = set_out(room, trim(where=(Place("Parlour", ("A",), 300, 1200, ends=RETURNS),))).out
    assert [each.label for each in both.returns] == ["D-A1r1", "D-A1r2"]
    assert [each.start for each in both.returns] == [300, 1200]
    assert set_out(room, trim("skirting", 145, 20, top=145)).out.returns == ()


def test_opening_without_architrave_returns_the_rail(set_out, trim, wall) -> None:
    arch = Opening("archway", 800, 900, 2200)
    room = Room("Parlour", extent="part", walls=(wall("A", 2500, openings=(arch,)),))
    first, second = set_out(room, trim()).out.pieces
    assert (first.right.kind, second.left.kind) == ("return", "return")


def test_rails_on_the_landing_and_the_floor_do_not_meet(set_out, trim, wall) -> None:
    stair = Flight("main", 190, 240, 12, walls=(FlightWall("A", 1040),))
    room = Room("Parlour", extent="part", walls=(wall("A", 5000), wall("B", 2000)), stairs=(stair,))
    found = set_out(room, trim())
    assert found.out.corners == ()
    assert next(p for p in found.out.pieces if p.wall == "B").left.kind == "square"
    assert "two heights" in found.finding("heights-differ").says


def test_a_piece_whose_cuts_cross_is_told_and_has_no_length_below_nothing(set_out, trim, wall) -> None:
    short = (wall("A", 3000, 90), wall("B", 40, 90), wall("C", 3000))
    found = set_out(Room("Parlour", extent="part", walls=short), trim(projection=28, internal="mitre"))
    (piece,) = (piece for piece in found.out.pieces if piece.wall == "B")
    assert piece.face == 0
    told = found.finding("cuts-cross")
    assert told.where.piece == piece.label
    assert "so short that the cuts at its ends cross" in told.says
