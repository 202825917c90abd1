"""Closure of surveyed rooms, in the words of the statement."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, tan

import pytest

from listel.core.survey.job import Reading, Room, Tolerances
from listel.plugins.closure.suspects import Reading as Read
from listel.plugins.closure.suspects import doubts, slips


def test_room_that_closes_says_so_and_is_adjusted(close, square_room) -> None:
    found = close(square_room)
    closure = found.closure
    assert closure.closed and closure.misclosure == pytest.approx(0, abs=1e-6)
    assert [(round(x), round(y)) for x, y in closure.points] == [(0, 0), (4000, 0), (4000, -3000), (0, -3000)]
    assert found.finding("closes").weight == "record"


def test_swapped_digits_are_named_before_anything_is_cut(close, square_room) -> None:
    # C is 4000 in truth and A reads 3462 swapped as 3642 in a room that is 3462 wide.
    lengths = {"A": 3462, "B": 3000, "C": 3642, "D": 3000}
    room = replace(square_room, walls=tuple(replace(w, length=Reading(lengths[w.name])) for w in square_room.walls))
    found = close(room, tolerances=Tolerances(tape=1.5, bevel=0.3))
    hold = found.finding("does-not-close")
    assert hold.weight == "hold"
    assert "wall C reads 3642 mm, and 3462 mm would close the room to 0 mm, two digits changed places" in hold.says
    assert "Walls A and C are parallel" in hold.says
    closure = found.closure
    assert {suspect.wall for suspect in closure.suspects[:2]} == {"A", "C"}
    assert closure.points == () and not closure.closed


def test_bevel_read_from_the_other_side_is_named(close, wall) -> None:
    walls = (wall("A", 4000, 60), wall("B", 3000, 120), wall("C", 4000, 120), wall("D", 3000, 120))
    closure = close(Room("Parlour", extent="whole", walls=walls)).closure
    assert closure.suspects[0].what == "corner A/B angle" or closure.suspects[0].what == "corner C/D angle"
    assert closure.suspects[0].would_close == 60 or closure.suspects[0].would_close == 120
    assert closure.suspects[0].slip == "the bevel read from the other side"


def test_two_bevels_that_err_by_as_much_are_named_beside_the_lengths(close, wall) -> None:
    """Their sum is right, so that no one bevel is doubted, and a wall would be measured again for nothing."""
    walls = (wall("A", 4210, 90.0), wall("B", 3655, 91.5), wall("C", 4210, 88.5), wall("D", 3655, 90.0))
    found = close(Room("Bedroom", extent="whole", walls=walls), tolerances=Tolerances(tape=2, bevel=0.3))
    says = found.finding("does-not-close").says
    assert not any(suspect.what.startswith("corner") for suspect in found.closure.suspects)
    assert "Or two bevels are wrong by as much" in says and "corners B/C and C/D, 1.5° each" in says


def test_two_bevels_are_no_excuse_where_the_sum_of_the_angles_is_off(close, wall) -> None:
    walls = (wall("A", 4210, 90.0), wall("B", 3655, 80.0), wall("C", 4210, 90.0), wall("D", 3655, 90.0))
    assert "two bevels" not in close(Room("Bedroom", extent="whole", walls=walls)).finding("does-not-close").says


def test_two_readings_that_disagree_hold_the_job_and_the_right_one_is_named(close, square_room) -> None:
    walls = tuple(replace(w, length=Reading(4000, 4190)) if w.name == "A" else w for w in square_room.walls)
    found = close(replace(square_room, walls=walls), tolerances=Tolerances(tape=1.5, bevel=0.2))
    assert found.finding("readings-disagree").weight == "hold"
    suspect = found.closure.suspects[0]
    assert (suspect.wall, suspect.would_close, suspect.slip) == ("A", 4000, "one of its two readings")
    says = found.finding("does-not-close").says
    assert "Wall A was read as 4000 mm and 4190 mm and is taken at their mean, 4095 mm, and 4000 mm would close" in says


def test_readings_within_the_tape_agree(close, square_room) -> None:
    walls = tuple(replace(w, length=Reading(4000, 4001)) if w.name == "A" else w for w in square_room.walls)
    assert "readings-disagree" not in close(replace(square_room, walls=walls)).rules()


def test_room_surveyed_in_part_gets_no_closure_and_says_so(close, square_room) -> None:
    found = close(replace(square_room, extent="part"))
    assert found.closure.closed is None
    assert "in part" in found.finding("part-surveyed").says


def test_missing_angle_is_named(close, wall) -> None:
    walls = (wall("A", 4000), wall("B", 3000, None), wall("C", 4000), wall("D", 3000))
    found = close(Room("Parlour", extent="whole", walls=walls))
    assert found.closure.closed is None
    assert "wall B" in found.finding("not-surveyed").says


def test_tolerances_of_the_survey_decide(close, square_room) -> None:
    walls = tuple(replace(w, length=Reading(4060)) if w.name == "A" else w for w in square_room.walls)
    room = replace(square_room, walls=walls)
    assert close(room, tolerances=Tolerances(tape=2, bevel=0.5)).closure.closed
    assert not close(room, tolerances=Tolerances(tape=2, bevel=0.1)).closure.closed


def test_a_slip_is_no_excuse_of_a_bevel_that_the_angles_show_to_be_good(close, wall) -> None:
    """Wall A read 90 mm short, and the angles close: a hold. Read 30 mm short it is told, until the bevel is given."""
    walls = (wall("A", 4810), wall("B", 4000), wall("C", 4900), wall("D", 4000))
    room = Room("Parlour", extent="whole", walls=walls)
    hold = close(room).finding("does-not-close")
    assert "Wall A reads 4810 mm" in hold.says and "tolerances" in hold.mend
    assert "closes" in close(room, tolerances=Tolerances(bevel=0.5)).rules()
    told = close(replace(room, walls=(wall("A", 4870), *walls[1:])))
    assert "closes" in told.rules()
    caution = told.finding("closes-on-assumption")
    assert caution.weight == "caution" and "A and C are parallel" in caution.says and "tolerances" in caution.mend
    assert "does-not-close" in close(room, tolerances=Tolerances(bevel=0.1)).rules()
    near = replace(room, walls=(wall("A", 4890), *walls[1:]))
    assert "closes-on-assumption" not in close(near).rules()


def test_a_tape_and_bevel_said_to_be_without_error_are_weighed_all_the_same(close, square_room) -> None:
    walls = (replace(square_room.walls[0], length=Reading(4100)), *square_room.walls[1:])
    closure = close(replace(square_room, walls=walls), tolerances=Tolerances(0.0, 0.0, 0.0)).closure
    assert closure.closed is False
    assert closure.suspects


def test_a_room_listed_from_right_to_left_is_told_which_walk_closes(close, wall) -> None:
    """The corners stand at the left ends of their walls; listed the other way round the room closes."""
    read = {"A": (4000, 84.8), "B": (3225, 82.9), "C": (3302, 98.9), "D": (3314, 93.5)}
    walls = tuple(wall(name, *reading) for name, reading in read.items())
    told = close(Room("Parlour", extent="whole", walls=walls))
    assert told.rules() == ["listed-another-way"] and not told.closure.closed and not told.closure.suspects
    assert "close to 2 mm if each corner stood at the left end" in told.closure.says
    turned = close(Room("Parlour", extent="whole", walls=walls[::-1]))
    assert turned.rules() == ["closes"]


def test_a_foot_is_twelve_inches_of_25_4_mm() -> None:
    """Source: the international yard and pound agreement of 1959."""
    wrong = dict(slips(Read(914.4, False), imperial=True))
    assert wrong["foot"] == pytest.approx(609.6)
    ways = [value for name, value in slips(Read(914.4, False), imperial=True) if name == "foot-for-inch"]
    assert ways == pytest.approx([914.4 * 12, 76.2])


def test_what_would_close_a_room_is_told_to_what_a_tape_reads() -> None:
    """A wall of 4000 mm taped 33 mm too long: to a millimetre, or to the nearest eighth of an inch, 157 1/2."""
    others = [Read(3000, False), Read(4000, False), Read(3000, False), *(Read(90, True) for _ in range(4))]
    for imperial, told in ((False, 4000), (True, 157.5 * 25.4)):
        first = next(d for d in doubts([Read(4033, False), *others], 1, 0.01, imperial) if d.number == 0)
        assert (first.slip, first.value) == ("", pytest.approx(told, abs=1e-6))


@pytest.mark.parametrize("read", [169, 171, 173, 175, 177, 179, 89.9, 90])
def test_no_slip_of_a_bevel_is_a_straight_wall_or_the_reading_itself(read: float) -> None:
    ways = [value for name, value in slips(Read(read, True)) if name != "other-kind"]
    assert all(0 < value < 180 and value != read for value in ways)


@pytest.mark.parametrize(("off", "together"), [(4.98, True), (5.05, False)])
def test_walls_within_five_degrees_of_parallel_are_named_together(close, wall, off: float, together: bool) -> None:
    rise = 4000 * tan(radians(off))
    walls = (
        wall("A", 4100),
        wall("B", 3200, 90 - off),
        wall("C", 4000 / cos(radians(off)), 90 + off),
        wall("D", 3200 - rise),
    )
    says = close(Room("Parlour", extent="whole", walls=walls), tolerances=Tolerances(2, 0.2)).closure.says
    assert "wall a reads" in says.lower() and "wall c reads" in says.lower()
    assert ("Walls A and C are parallel" in says) == together


def test_a_reading_a_tenth_as_likely_as_the_likeliest_is_named(close, wall) -> None:
    """C was read twice, and one of the two closes the room; that A has a 6 for a 9 counts for a tenth of that."""
    walls = (wall("A", 2600), wall("B", 3000), wall("C", 0), wall("D", 3000))
    walls = tuple(replace(w, length=Reading(2600, 3200)) if w.name == "C" else w for w in walls)
    says = close(Room("Parlour", extent="whole", walls=walls), tolerances=Tolerances(1, 0.01)).closure.says
    assert "Wall C was read as 2600 mm and 3200 mm and is taken at their mean, 2900 mm, and 2600 mm would close" in says
    assert "wall A reads 2600 mm, and 2900 mm would close the room" in says


def test_the_tenths_of_a_bevel_change_places_too() -> None:
    swapped = [value for name, value in slips(Read(82.9, True)) if name == "swapped-digits"]
    assert swapped == pytest.approx([28.9, 89.2])
