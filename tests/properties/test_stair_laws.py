"""Laws of stairs along a wall: over random flights what rakes, what stops and what meets, by a reckoning of its own."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from pytest import approx
from setting import set_out

from listel.core.survey.job import (
    Corner,
    Flight,
    FlightWall,
    Job,
    Newel,
    Place,
    Reading,
    Room,
    Section,
    Trim,
    Wall,
    Winders,
)

HEIGHTS = {"skirting": (0, 168), "dado": (807, 870), "picture": (2000, 2050)}


def _job(dice: random.Random) -> tuple[Job, dict[str, float]]:
    rise, going, steps = dice.randint(150, 220), dice.randint(220, 300), dice.randint(3, 16)
    length, up = dice.randint(4000, 9000), dice.choice(("right", "left"))
    foot = dice.randint(700, 1800)
    climb, raised = rise * steps, dice.choice((0, rise * steps, rise * steps - 90))
    winds = dice.random() < 0.3
    winders = Winders(100, 400) if winds else None
    at = foot if up == "right" else length - foot
    if winders and up == "left":
        winders = Winders(length - 400, length - 100)
    flight = Flight(
        "stair", rise=rise, going=going, steps=steps, handrail=870, walls=(FlightWall("A", at, up, winders),)
    )
    corner = Corner("internal", 90)
    beyond = Wall("B", Reading(2000), corner, raised=raised)
    stair = Wall("A", Reading(length), corner)
    walls = (stair, beyond) if up == "right" else (beyond, stair)
    trim = tuple(
        Trim(name, member, (Place("R"),), Section(high - low, 20), finish="paint", top=high)
        for (name, (low, high)), member in zip(HEIGHTS.items(), ("skirting", "dado-rail", "picture-rail"), strict=True)
    )
    job = Job("law", rooms=(Room("R", extent="part", walls=walls, stairs=(flight,)),), trim=trim)
    return job, {
        "rise": rise, "going": going, "steps": steps, "length": length, "foot": foot, "climb": climb,
        "raised": raised, "winds": winds, "left": up == "left",
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(60))
def test_what_rakes_stops_and_meets(seed: int) -> None:
    job, so = _job(random.Random(seed))
    out, findings = set_out(job)
    length, foot = so["length"], so["foot"]
    head = foot + so["going"] * (so["steps"] - 1)

    def mine(trim: str) -> list[tuple[float, float, float, float]]:
        """Each run on the wall of the stair, from the foot's side: its stations, its top at each end."""
        runs = []
        for run in out.runs:
            if (run.wall, run.trim) == ("A", trim):
                ends = [(run.start, run.top), (run.end, run.top + (run.end - run.start) * slope(run.pitch))]
                if so["left"]:
                    ends = [(length - at, top) for at, top in ends][::-1]
                runs.append((ends[0][0], ends[1][0], ends[0][1], ends[1][1]))
        return sorted(runs)

    def slope(pitch: float) -> float:
        sign = (pitch > 0) - (pitch < 0)
        return sign * so["rise"] / so["going"]

    # a picture rail does not run on under the flight: it ends where the line of nosings comes to its underside
    low, high = HEIGHTS["picture"]
    stops = foot + (low - so["rise"]) * so["going"] / so["rise"]
    reach = min(length, stops) if so["climb"] > low else length
    assert mine("picture") == [(0, approx(reach), high, high)]
    # a skirting stands on the floor before the first riser, and on the landing beyond the top one
    wound = [(0, 100), (400, foot)] if so["winds"] else [(0, foot)]
    board = [(a, b, 168, 168) for a, b in wound if b - a >= 40]
    if length - head >= 40:
        board.append((head, length, 168 + so["climb"], 168 + so["climb"]))
    assert mine("skirting") == [approx(each) for each in board]
    assert all(run.top - run.underside == approx(168) for run in out.runs if run.trim == "skirting")
    # a dado is 870 over the line of nosings, over the lower floor and over the landing, and unbroken but for winders
    for start, end, first, last in mine("dado"):
        for at, top in ((start, first), (end, last)):
            line = (at - foot) / so["going"] * so["rise"] + so["rise"]
            assert top == approx(870 + min(max(line, 0), so["climb"]), abs=0.5)
    spans = [(start, end) for start, end, _, _ in mine("dado")]
    gaps = [(b, c) for (_, b), (c, _) in pairwise(spans) if c - b > 1]
    assert gaps == ([(100, 400)] if so["winds"] else [])
    unknown = {each.where.trim for each in findings if each.rule == "setting-out/winders-not-surveyed"}
    assert unknown == ({"dado"} if so["winds"] else set())
    # at the corner it is joined where its wall ends as high as the floor round the corner, and only there
    for trim in ("skirting", "dado"):
        runs = mine(trim)
        comes = [top for _, end, _, top in runs if end == approx(length)]
        meets = [abs(top - so["raised"] - HEIGHTS[trim][1]) <= 1 for top in comes]
        assert [line.trim for line in out.corners if line.trim == trim and not line.to] == [trim] * sum(meets)
        told = [each for each in findings if each.rule == "setting-out/heights-differ" and each.where.trim == trim]
        assert len(told) == len(meets) - sum(meets)
    # what is left out is named
    for trim in HEIGHTS:
        spans = [(start, end) for start, end, _, _ in mine(trim)]
        covered = sum(end - start for start, end in spans)
        said = next((e.says for e in findings if e.rule == "setting-out/left-out" and e.where.trim == trim), "")
        named = sum(float(b) - float(a) for a, b in re.findall(r"wall A, (\d+) mm to (\d+) mm", said))
        assert covered + named == approx(length, abs=3)


def _winding(dice: random.Random) -> tuple[Job, list[tuple[str, float, float]], tuple[float, float, float, float]]:
    """Two flights and the winders between them about a newel, with every nosing by a reckoning of its own: wall,
    station, and height above the floor of the room."""
    rise, going, number = dice.randint(160, 210), dice.randint(220, 280), dice.randint(2, 4)
    lower, upper = dice.randint(2, 6), dice.randint(2, 6)
    theta, out, reach = dice.uniform(80, 110), dice.randint(700, 1000), dice.randint(700, 1000)
    length, far = 1500.0 + reach + going * lower, 5000.0
    # Wall A runs from (-length, 0) to the corner at the origin, the room is above it; wall B leaves at theta.
    newel = np.array([-reach, out])
    along = np.array([np.cos(np.radians(180 - theta)), np.sin(np.radians(180 - theta))])
    inward = np.array([-along[1], along[0]])
    out_b, at_b = float(newel @ inward), float(newel @ along)
    nosings: list[tuple[str, float]] = [("A", length - reach - going * n) for n in range(lower, 0, -1)]
    start = np.angle(-1j)
    for place in range(number + 1):
        angle = start + np.radians(180 - theta) * place / number
        ray = np.array([np.cos(angle), np.sin(angle)])
        hits = []
        for name, side in (("A", np.array([-1.0, 0.0])), ("B", along)):
            matrix = np.array([side, -ray]).T
            if abs(np.linalg.det(matrix)) > 1e-9:
                off, ahead = np.linalg.solve(matrix, newel)
                if off >= -1e-6 and ahead > 0:
                    hits.append((ahead, name, length - off if name == "A" else off))
        nosings.append(min(hits)[1:])
    nosings += [("B", at_b + going * n) for n in range(1, upper)]
    table = [(wall, at, rise * n) for n, (wall, at) in enumerate(nosings, 1)]
    first_b = next(n for n, (wall, at, _) in enumerate(table) if wall == "B" and at >= at_b - 1e-6)
    foot_a, raised = table[0][1], table[first_b][2] - rise
    walls = (
        Wall("A", Reading(length), Corner("internal", theta)),
        Wall("B", Reading(far), Corner("internal", 90), raised=raised),
    )
    a = Winders(length - reach, length, number=number, newel=Newel(length - reach, out))
    b = Winders(0, at_b, number=number, newel=Newel(at_b, out_b))
    hand = dice.choice((880, dice.randint(700, 1300)))
    stairs = (
        Flight("lower", rise, going, lower, handrail=hand, walls=(FlightWall("A", foot_a, "right", a),)),
        Flight("upper", rise, going, upper, handrail=hand, walls=(FlightWall("B", at_b, "right", b),)),
    )
    rail = Trim("dado", "dado-rail", (Place("R"),), Section(60, 20), finish="paint", top=880)
    high = dice.randint(400, 2400)
    level = Trim("picture", "picture-rail", (Place("R", ("A",)),), Section(50, 20), finish="paint", top=high)
    room = Room("R", extent="part", walls=walls, stairs=stairs)
    room = mirrored(room) if dice.random() < 0.5 else room
    return Job("law", rooms=(room,), trim=(rail, level)), table, (length, rise, length - reach, at_b)


def mirrored(room: Room) -> Room:
    """The room as a mirror shows it: its walls the other way round, every station from the other end."""
    lengths = {wall.name: wall.length.value for wall in room.walls}
    one, other = room.walls
    walls = (replace(other, corner=one.corner), replace(one, corner=other.corner))

    def turned(along: FlightWall) -> FlightWall:
        end, winders = lengths[along.wall], along.winders
        newel = replace(winders.newel, at=end - winders.newel.at)
        winders = replace(winders, start=end - winders.end, end=end - winders.start, newel=newel)
        return replace(along, foot=end - along.foot, up="left", winders=winders)

    stairs = tuple(replace(flight, walls=tuple(turned(along) for along in flight.walls)) for flight in room.stairs)
    return replace(room, walls=walls, stairs=stairs)


@pytest.mark.parametrize("seed", range(40))
def test_a_rail_follows_the_nosings_of_winders_round_a_corner(seed: int) -> None:
    job, table, (length, rise, at_a, at_b) = _winding(random.Random(seed))
    out, findings = set_out(job)
    runs = sorted((run for run in out.runs if run.trim == "dado"), key=lambda run: (run.wall, run.start))
    base = {wall.name: wall.raised or 0.0 for wall in job.rooms[0].walls}
    mirror = job.rooms[0].walls[0].name == "B"
    ends = {"A": length, "B": 5000.0}

    def place(wall: str, at: float) -> float:
        return ends[wall] - at if mirror else at

    def top_at(wall: str, at: float) -> float:
        at = place(wall, at)
        run = next(run for run in runs if run.wall == wall and run.start - 1e-6 <= at <= run.end + 1e-6)
        return base[wall] + run.top + (at - run.start) * np.tan(np.radians(run.pitch))

    # plumb over each nosing it stands as high, in a straight line from one to the next, also round the corner; but a
    # stretch too short to be a piece is taken in one with the next
    stubs = [abs(at - end) for wall, at, _ in table for end in ((length,) if wall == "A" else (0.0,))]
    near = 15 if min(stubs) < 40 else 1e-6
    hand, top = job.rooms[0].stairs[0].handrail, table[-1][2] + 880

    def rail(height: float) -> float:
        """Over the nosings as the handrail, but level where it meets the level rail below and above."""
        return min(max(880.0, hand + height), top)

    for wall, at, height in table[:-1]:
        assert top_at(wall, at) == approx(rail(height), abs=near)
    for (wall, at, height), (other, then, _) in pairwise(table[:-1]):
        if wall == other:
            assert top_at(wall, (at + then) / 2) == approx(rail(height + rise / 2), abs=near)
        else:
            corner = rail(height + rise * (length - at) / (length - at + then))
            assert top_at("A", length) == approx(corner) == approx(top_at("B", 0))
    assert top_at("A", 0) == 880 and top_at("B", 5000) == approx(top)
    for wall, long in ends.items():
        assert sum(run.end - run.start for run in runs if run.wall == wall) == approx(long)
    # a level moulding stops where the nosings rise to its underside
    (picture,) = (run for run in out.runs if run.trim == "picture")
    going = job.rooms[0].stairs[0].going
    line = [(table[0][1] - going, 0.0), *((at, height) for wall, at, height in table if wall == "A")]
    short, over = length - line[-1][0], next(at for wall, at, _ in table if wall == "B")
    line.append((length, line[-1][1] + rise * short / (short + over)))
    heights = np.interp(np.arange(length), *zip(*line, strict=True))
    met = [at for at, height in enumerate(heights) if height > picture.underside and at >= table[0][1]]
    stop = picture.end if not mirror else length - picture.start
    assert stop == approx(min([*met, length]), abs=1.5 + near)
    # the pieces meet: each end at a knee is cut at half of what the line turns there, and both turn the corner alike
    for before, after in pairwise(sorted(out.pieces, key=lambda piece: (piece.trim, piece.wall, piece.start))):
        if before.wall == after.wall and before.right.kind == "knee":
            assert before.right.saw_reading == after.left.saw_reading == approx(abs(before.pitch - after.pitch) / 2)
    for piece in out.pieces:
        for end in (piece.left, piece.right):
            assert end.kind != "internal-mitre" or end.saw_reading == approx(abs(piece.pitch))
    steep = [
        abs(next(run.pitch for run in runs if run.wall == wall and place(wall, at) in (run.start, run.end)))
        for wall, at in (("A", length), ("B", 0.0))
    ]
    (line,) = out.corners
    assert (line.saw_reading, line.bevel or 0.0) == (
        approx((np.mean(steep), 90 - line.angle / 2)) if min(steep) else approx((90 - line.angle / 2, 0.0))
    )
    # marked on the walls, the risers give the same pieces as from the newel
    marks = {"A": [place(wall, at) for wall, at, _ in table if wall == "A" and at > at_a - 1e-6], "B": []}
    marks["B"] = [place(wall, at) for wall, at, _ in table if wall == "B" and at < at_b - 1e-6]
    stairs = tuple(
        replace(
            flight, walls=(replace(along, winders=replace(along.winders, risers=tuple(marks[along.wall]), newel=None)),)
        )
        for flight in job.rooms[0].stairs
        for along in flight.walls
    )
    again, _ = set_out(replace(job, rooms=(replace(job.rooms[0], stairs=stairs),)))
    assert [(p.label, p.back, p.overall) for p in again.pieces] == [
        (p.label, approx(p.back), approx(p.overall)) for p in out.pieces
    ]
    assert not [each for each in findings if each.rule == "setting-out/winders-not-surveyed"]


def test_winders_round_two_corners_have_a_wall_of_their_own_between() -> None:
    """A half-turn: each nosing of the three walls one rise over the last, and straight between them round both."""
    nosings = {"A": [1000, 1240, 1480, 1720], "B": [400, 1000, 1600], "C": [300, 900, 1140]}
    longs = {"A": 2000, "B": 2000, "C": 3000}
    raised = {"A": None, "B": 200 * 4, "C": 200 * (4 + 3 + 1)}
    winders = {
        "A": Winders(1480, 2000, risers=(1720,)),
        "B": Winders(0, 2000, risers=(400, 1000, 1600)),
        "C": Winders(0, 900, risers=(300,)),
    }
    foot, steps = {"A": 1000, "B": None, "C": 900}, {"A": 3, "B": None, "C": 2}
    walls = tuple(
        Wall(name, Reading(long), Corner("internal", 90), raised=raised[name]) for name, long in longs.items()
    )
    stairs = tuple(
        Flight(name, 200, 240, steps[name], handrail=900, walls=(FlightWall(name, foot[name], "right", winders[name]),))
        for name in "ABC"
    )
    rail = Trim("dado", "dado-rail", (Place("R"),), Section(60, 20), finish="paint", top=900)
    job = Job("half turn", rooms=(Room("R", extent="part", walls=walls, stairs=stairs),), trim=(rail,))
    out, findings = set_out(job)
    # developed, the walls in one line, the stations go on from wall to wall
    starts = {"A": 0, "B": 2000, "C": 4000}
    line = [starts[name] + at for name in "ABC" for at in nosings[name]]
    heights = [200 * number for number in range(1, len(line) + 1)]
    for run in out.runs:
        for at in (run.start, (run.start + run.end) / 2, run.end):
            top = (raised[run.wall] or 0) + run.top + (at - run.start) * np.tan(np.radians(run.pitch))
            wanted = np.interp(starts[run.wall] + at, [line[0] - 240, *line], [0, *heights])
            assert top == approx(wanted + 900)
    assert sum(run.end - run.start for run in out.runs) == approx(7000)
    assert [f"{each.first}/{each.second}" for each in out.corners] == ["A/B", "B/C"]
    assert not {each.rule for each in findings} & {"setting-out/winders-not-surveyed", "setting-out/heights-differ"}


@pytest.mark.parametrize("seed", range(30))
def test_the_board_of_a_flight_goes_up_that_alone_and_the_skirting_has_the_rest(seed: int) -> None:
    """Along the wall of a flight each station has one board, but where neither may stand for want of room."""
    dice = random.Random(seed)
    job, so = _job(dice)
    low, high = HEIGHTS["skirting"]
    board = Trim("board", "stair-skirting", (Place("R", walls=("A",)),), Section(high - low, 20), finish="paint")
    out, _ = set_out(replace(job, trim=(*job.trim, board)))
    runs = sorted(
        (run for run in out.runs if run.wall == "A" and run.trim in ("board", "skirting")), key=lambda run: run.start
    )
    assert all(bool(run.pitch) == (run.trim == "board") for run in runs)
    assert all(before.end <= after.start + 1e-6 for before, after in pairwise(runs)), "never two for one place"
    first = so["foot"] - so["going"]
    head = min(so["length"], so["foot"] + so["going"] * (so["steps"] - 1))
    raked = sorted(
        (so["length"] - run.end, so["length"] - run.start) if so["left"] else (run.start, run.end)
        for run in runs
        if run.trim == "board"
    )
    if not so["winds"]:
        assert raked == [(approx(first), approx(head))]
        covered = sum(run.end - run.start for run in runs)
        assert covered == approx(so["length"], abs=40), "and none is left out that is long enough for a piece"


def test_a_board_too_narrow_for_its_steps_is_mended_by_what_is_said() -> None:
    """Of one without a top the top would rise with the board: so it is told with the width."""
    flight = Flight("stair", rise=197, going=254, steps=8, walls=(FlightWall("A", 1500),))
    room = Room("R", extent="part", walls=(Wall("A", Reading(6000)),), stairs=(flight,))
    narrow = Trim("board", "stair-skirting", (Place("R"),), Section(235, 19))
    _, told = set_out(Job("law", rooms=(room,), trim=(narrow,)))
    (held,) = (one for one in told if one.rule == "setting-out/short-of-the-steps")
    assert "and give it top: 235 mm" in held.mend
    needed = next(fact.value for fact in held.facts if fact.name == "needed")
    wide = replace(narrow, section=Section(needed, 19), top=235.0)
    _, told = set_out(Job("law", rooms=(room,), trim=(wide,)))
    assert not [one for one in told if one.rule == "setting-out/short-of-the-steps"]
