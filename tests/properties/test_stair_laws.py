"""Laws of stairs along a wall: over random flights what rakes, what stops and what meets, by a reckoning of its own."""

from __future__ import annotations

import random
import re
from itertools import pairwise

import pytest
from setting import set_out

from listel.core.survey.job import Corner, Flight, FlightWall, Job, Place, Reading, Room, Section, Trim, Wall, Winders

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
    assert mine("picture") == [(0, pytest.approx(reach), high, high)]
    # a skirting stands on the floor before the first riser, and on the landing beyond the top one
    wound = [(0, 100), (400, foot)] if so["winds"] else [(0, foot)]
    board = [(a, b, 168, 168) for a, b in wound if b - a >= 40]
    if length - head >= 40:
        board.append((head, length, 168 + so["climb"], 168 + so["climb"]))
    assert mine("skirting") == [pytest.approx(each) for each in board]
    assert all(run.top - run.underside == pytest.approx(168) for run in out.runs if run.trim == "skirting")
    # a dado is 870 over the line of nosings, over the lower floor and over the landing, and unbroken but for winders
    for start, end, first, last in mine("dado"):
        for at, top in ((start, first), (end, last)):
            line = (at - foot) / so["going"] * so["rise"] + so["rise"]
            assert top == pytest.approx(870 + min(max(line, 0), so["climb"]), abs=0.5)
    spans = [(start, end) for start, end, _, _ in mine("dado")]
    gaps = [(b, c) for (_, b), (c, _) in pairwise(spans) if c - b > 1]
    assert gaps == ([(100, 400)] if so["winds"] else [])
    by_hand = {each.where.trim for each in findings if each.rule == "setting-out/winders-by-hand"}
    assert by_hand == ({"skirting", "dado"} if so["winds"] else set())
    # at the corner it is joined where its wall ends as high as the floor round the corner, and only there
    for trim in ("skirting", "dado"):
        runs = mine(trim)
        comes = [top for _, end, _, top in runs if end == pytest.approx(length)]
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
        assert covered + named == pytest.approx(length, abs=3)
