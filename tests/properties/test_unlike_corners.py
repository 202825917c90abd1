"""Laws of corners where two runs of one member are not alike: in plan and in height nothing stands in another's way,
and every end that meets lies on what it meets; by points and lines alone."""

from __future__ import annotations

import random

import numpy as np
import pytest
from setting import set_out

from listel.core.survey.job import (
    Corner,
    Flight,
    FlightWall,
    Job,
    Place,
    Reading,
    Room,
    Section,
    Tolerances,
    Trim,
    Wall,
)

LONG = 3000.0


def _job(dice: random.Random) -> tuple[Job, float]:
    kind, angle = dice.choice((("internal", dice.uniform(50, 150)), ("external", dice.uniform(60, 150))))
    tops = dice.choice(((900, 900), (900, 900), (900, 900 + dice.randint(-150, 150))))
    heights = [dice.choice((70, 70, dice.randint(40, 120))) for _ in "AB"]
    springs = [dice.uniform(30, 60) if dice.random() < 0.3 else None for _ in "AB"]
    sections = [
        Section(height, dice.randint(10, 40), spring=spring) for height, spring in zip(heights, springs, strict=True)
    ]
    sections = [sections[0], sections[0]] if dice.random() < 0.2 else sections
    walls = tuple(Wall(name, Reading(LONG), Corner(kind, angle)) for name in "AB")
    trim = tuple(
        Trim(name, "dado-rail", (Place("R", (name,)),), section, finish="paint", top=top)
        for name, section, top in zip("AB", sections, tops, strict=True)
    )
    job = Job("law", rooms=(Room("R", extent="part", walls=walls),), trim=trim, tolerances=Tolerances(bevel=0.5))
    return job, angle if kind == "internal" else 360 - angle


def on_the_saw(cut: float, spring: float | None) -> tuple[float, float]:
    """Table and blade of an upright cut at that angle to the length: upright against the fence, or flat on its back."""
    if not spring:
        return 90 - cut, 0.0
    normal = np.array([np.sin(np.radians(cut)), -np.cos(np.radians(cut)), 0.0])
    lean = np.radians(spring)
    across, through = np.array([0.0, np.sin(lean), np.cos(lean)]), np.array([0.0, np.cos(lean), -np.sin(lean)])
    turn = np.degrees(np.arctan(abs(normal @ across) / abs(normal[0])))
    return turn, np.degrees(np.arcsin(abs(normal @ through)))


@pytest.mark.parametrize("seed", range(80))
def test_unlike_runs_keep_out_of_each_other_and_meet_where_they_are_cut_to(seed: int) -> None:
    job, theta = _job(random.Random(seed))
    out, findings = set_out(job)
    one, other = (next(piece for piece in out.pieces if piece.wall == name) for name in "AB")
    high = {trim.name: (trim.top, trim.top - trim.section.height) for trim in job.trim}
    overlap = min(high[name][0] for name in "AB") - max(high[name][1] for name in "AB")
    told = [each for each in findings if each.rule == "setting-out/two-sections-meet"]
    assert len(told) == (overlap > 1)
    # In plan: the corner at 0, wall A towards -x, the room towards +y where the corner is read through it.
    turn = np.radians(180 - theta)
    along, inward = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    springs = {trim.name: trim.section.spring for trim in job.trim}
    outs = {trim.name: trim.section.projection for trim in job.trim}
    end_a = [np.array([one.right.past, 0.0]), np.array([one.right.past + one.right.gives, outs["A"]])]
    end_b = [-other.left.past * along, -(other.left.past + other.left.gives) * along + outs["B"] * inward]
    crossing = np.linalg.solve(np.array([[0.0, 1.0], inward]), [outs["A"], outs["B"]])
    if overlap <= 1:
        assert not [line for line in out.corners if line.to]
        return
    for line in out.corners:
        end, point = (one.right, end_a) if line.trim == "A" else (other.left, end_b)
        side = np.linalg.norm(point[1] - point[0])
        assert line.gap == pytest.approx(2 * side * np.sin(np.radians(0.25)))
        own = np.array([-1.0, 0.0]) if line.trim == "A" else along
        cut = np.degrees(np.arccos(abs(np.dot(point[1] - point[0], own)) / side))
        assert (end.saw_reading, end.bevel) == pytest.approx(on_the_saw(cut, springs[line.trim]))
        assert line.cut_angle == end.cut_angle == pytest.approx(90 - line.saw_reading)
        assert (line.bevel or 0.0) == end.bevel
        assert line.measure_again == (line.gap > 0.5)
    if [line.joint for line in out.corners] == ["mitre", "mitre"]:
        assert high["A"] == high["B"]
        for end in (end_a, end_b):
            assert np.allclose(end, [[0, 0], crossing])
    elif theta < 180:
        (line,) = out.corners
        butting, running, cut, square = ("A", "B", end_a, end_b) if line.trim == "A" else ("B", "A", end_b, end_a)
        assert (line.joint, line.to) == ("butt", running)
        assert high[running][0] >= high[butting][0]
        face = inward if running == "B" else np.array([0.0, 1.0])
        assert [np.dot(point, face) for point in cut] == pytest.approx([outs[running]] * 2)
        wall = np.array([0.0, 1.0]) if running == "B" else inward
        reach = [np.dot(point, wall) for point in square]
        assert min(reach) == pytest.approx(0, abs=1e-9)
        under = high[running][1] - high[butting][1]
        assert ("lowest" in told[0].says) == (under > 1)
    else:
        assert (one.right.kind, other.left.kind) == ("return", "return")
        assert not out.corners


@pytest.mark.parametrize("seed", range(12))
def test_a_raking_end_butts_plumb_on_the_face_of_a_higher_one(seed: int) -> None:
    """By the saw's own three axes: the cut plane is upright and lies along the face of the other wall's trim."""
    dice = random.Random(seed)
    theta, face, own, rise, going = dice.uniform(70, 110), dice.randint(15, 40), dice.randint(15, 40), 180, 240
    stair = Flight("up", rise=rise, going=going, steps=20, handrail=900, walls=(FlightWall("A", 1500),))
    walls = (Wall("A", Reading(LONG), Corner("internal", theta)), Wall("B", Reading(LONG), Corner("internal", 90)))
    ends = 900 + (LONG - 1500 + going) * rise / going
    trim = (
        Trim("A", "dado-rail", (Place("R", ("A",)),), Section(60, own), finish="paint", top=900),
        Trim("B", "dado-rail", (Place("R", ("B",)),), Section(90, face), finish="paint", top=ends + 10),
    )
    out, _ = set_out(Job("law", rooms=(Room("R", extent="part", walls=walls, stairs=(stair,)),), trim=trim))
    end = next(piece for piece in out.pieces if piece.wall == "A" and piece.pitch).right
    pitch = np.arctan2(rise, going)
    along, up, outward = (
        np.array([np.cos(pitch), 0, np.sin(pitch)]),
        np.array([-np.sin(pitch), 0, np.cos(pitch)]),
        np.array([0.0, 1, 0]),
    )
    turn = np.radians(180 - theta)
    normal = np.array([-np.sin(turn), np.cos(turn), 0.0])
    saw = np.degrees(np.arctan(abs(normal @ up) / abs(normal @ along)))
    assert (end.kind, end.saw_reading) == ("butt", pytest.approx(saw))
    assert end.bevel == pytest.approx(np.degrees(np.arcsin(abs(normal @ outward))))
    for stands, reach in ((0.0, end.past), (own, end.past + end.gives)):
        assert (along * reach + outward * stands) @ normal == pytest.approx(face)
