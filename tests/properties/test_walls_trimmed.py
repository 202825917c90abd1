"""Laws of what stands in the way: over random walls, each millimetre is trimmed or named, by a reckoning of its own."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator

import numpy as np
import pytest
from setting import set_out

from listel.core.survey.job import Corner, Fitting, Job, Opening, Place, Reading, Room, Section, Trim, Wall

MARGIN = 6
BANDS = {"skirting": (0, 168), "dado": (747, 810), "picture": (2250, 2300)}
NEW = 95


def rooms() -> Iterator[tuple[Job, random.Random]]:
    for seed in range(60):
        dice = random.Random(seed)
        lengths = [dice.randint(2500, 6000), dice.randint(2500, 6000)] * 2
        walls = tuple(_wall(dice, name, length) for name, length in zip("ABCD", lengths, strict=True))
        trims = [
            Trim(name, member, (Place("R"),), Section(high - low, 20), finish="paint", top=high)
            for (name, (low, high)), member in zip(
                BANDS.items(), ("skirting", "dado-rail", "picture-rail"), strict=True
            )
        ]
        if dice.random() < 0.6:
            trims.append(Trim("casing", "architrave", (Place("R"),), Section(NEW, 20), finish="paint"))
        yield Job("law", rooms=(Room("R", extent="whole", walls=walls),), trim=tuple(trims)), dice


def _wall(dice: random.Random, name: str, length: int) -> Wall:
    at, openings, fittings = dice.randint(150, 500), [], []
    while at < length - 1100:
        wide = dice.randint(300, 900)
        kind = dice.choice(("window", "window", "door", "radiator"))
        if kind == "radiator":
            fittings.append(
                Fitting(kind, at, dice.choice((100, 130, 150, 300)), wide, 500, taken_off=dice.choice((True, False)))
            )
        else:
            openings.append(
                Opening(
                    kind,
                    at,
                    wide,
                    dice.randint(900, 1400) if kind == "window" else 2032,
                    dice.choice((250, 700, 812, 860, 1000)) if kind == "window" else None,
                    architrave=dice.choice((70, 98, 120)),
                    apron=dice.choice((0, 60, 140)) if kind == "window" else None,
                )
            )
        at += wide + dice.randint(300, 900)
    return Wall(name, Reading(length), Corner("internal", 90), openings=tuple(openings), fittings=tuple(fittings))


def taken(job: Job, wall: Wall, low: int, high: int) -> np.ndarray:
    """For each millimetre of a wall, whether anything stands there between those heights."""
    grid = np.zeros(round(wall.length.value), dtype=bool)
    made = any(trim.member == "architrave" for trim in job.trim)
    for each in wall.openings:
        there = each.architrave
        side = there if not made or NEW <= there <= NEW + 2 * MARGIN else NEW + MARGIN
        foot = 0 if each.sill is None else each.sill - each.apron
        head = (each.sill or 0) + each.height + side
        if foot < high and head > low:
            grid[max(0, round(each.at - side)) : round(each.end + side)] = True
    for each in wall.fittings:
        if not each.taken_off and each.height - 50 < high and each.height + each.depth + 50 > low:
            grid[max(0, round(each.at - 50)) : round(each.at + each.width + 50)] = True
    return grid


@pytest.mark.parametrize(("job", "dice"), [pytest.param(*each, id=str(n)) for n, each in enumerate(rooms())])
def test_each_millimetre_of_a_wall_is_trimmed_or_named(job: Job, dice: random.Random) -> None:
    out, findings = set_out(job)
    named = {each.where.trim: each.says for each in findings if each.rule == "setting-out/left-out"}
    for wall in job.rooms[0].walls:
        for name, (low, high) in BANDS.items():
            blocked = taken(job, wall, low, high)
            runs = np.zeros_like(blocked)
            for run in out.runs:
                if (run.wall, run.trim) == (wall.name, name):
                    assert not runs[round(run.start) : round(run.end)].any()
                    runs[round(run.start) : round(run.end)] = True
            assert not (runs & blocked).any()
            pieces = np.zeros_like(blocked)
            for piece in out.pieces:
                if (piece.wall, piece.trim) == (wall.name, name):
                    pieces[round(piece.start) : round(piece.end)] = True
            assert (pieces == runs).all()
            told = np.zeros_like(blocked)
            for place, start, end in re.findall(r"wall (\w), (\d+) mm to (\d+) mm", named.get(name, "")):
                if place == wall.name:
                    told[int(start) : int(end)] = True
            assert (runs ^ told).all()
            lost = ~runs & ~blocked
            edges = np.flatnonzero(np.diff(np.concatenate(([0], lost.astype(int), [0]))))
            assert all(end - start < 40 for start, end in edges.reshape(-1, 2))


@pytest.mark.parametrize(("job", "dice"), [pytest.param(*each, id=str(n)) for n, each in enumerate(rooms())])
def test_what_butts_ends_where_the_new_architrave_stands(job: Job, dice: random.Random) -> None:
    out, findings = set_out(job)
    legs = [run for run in out.runs if run.trim == "casing" and run.upright]
    for leg in legs:
        (opening,) = (
            each
            for each in job.rooms[0].wall(leg.wall).openings
            if leg.start <= each.end + 30 and leg.end >= each.at - 30
        )
        outer = leg.start if leg.end <= opening.at else leg.end
        ends = [
            (run.end if leg.end <= opening.at else run.start)
            for run in out.runs
            if run.wall == leg.wall and run.trim in BANDS
        ]
        near = [end for end in ends if abs(end - outer) < 30]
        assert all(end == pytest.approx(outer) for end in near)
        told = [
            each
            for each in findings
            if each.rule == "setting-out/architrave-of-other-width"
            and (each.where.wall, each.where.station) == (leg.wall, opening.at)
        ]
        assert len(told) == (opening.architrave != 98)
