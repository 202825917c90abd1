"""Laws of free ends: over rooms surveyed in part each is what the survey says of it, or is named."""

from __future__ import annotations

import random
import re

import pytest
from setting import set_out

from listel.core.survey.job import Corner, Ends, Job, Place, Reading, Room, Section, Trim, Wall

WORDS = (None, "return", "butt", "newel", "run-on")
OUT, THICK, SLOPE = 25, 20, 1.0
"""Projection and thickness [mm]; the thickness over the overlap of a scarf at 45 degrees."""


def _job(dice: random.Random) -> Job:
    walls = tuple(
        Wall(
            name,
            Reading(dice.randint(1500, 4000)),
            Corner(dice.choice(("internal", "external")), 90),
            ends=Ends(dice.choice(WORDS), dice.choice(WORDS)),
        )
        for name in "ABC"[: dice.randint(1, 3)]
    )
    start, end = (dice.choice((None, 200)), dice.choice((None, 1200)))
    place = Place("R", ("A",), start, end, ends=Ends(dice.choice(WORDS), dice.choice(WORDS)))
    trims = (
        Trim("skirting", "skirting", (Place("R"),), Section(168, OUT, THICK), finish="clear", top=168),
        Trim("dado", "dado-rail", (place,), Section(63, OUT, THICK), finish="clear", top=900),
    )
    return Job("law", rooms=(Room("R", extent="part", walls=walls),), trim=trims)


def _said(job: Job, trim: str, wall: Wall, left: bool) -> str | None:
    """What the survey says of an end, or what stands there, by a reckoning of its own."""
    walls, place = job.rooms[0].walls, next(each for each in job.trim if each.name == trim).where[0]
    own = getattr(place.ends, "left" if left else "right") if place.ends else None
    if (place.start if left else place.end) is not None:
        return own
    if left and wall is not walls[0]:
        return walls[walls.index(wall) - 1].corner.kind
    if not left and wall is not walls[-1]:
        return wall.corner.kind
    said = own or getattr(wall.ends, "left" if left else "right")
    return said or ("internal" if not left and wall.corner.kind == "internal" else None)


@pytest.mark.parametrize("seed", range(60))
def test_each_free_end_is_what_the_survey_says_or_named(seed: int) -> None:
    job = _job(random.Random(seed))
    out, findings = set_out(job)
    told = {each.where.trim: each.says for each in findings if each.rule == "setting-out/free-end-not-said"}
    named = {
        (trim, wall, side == "left")
        for trim, says in told.items()
        for side, wall in re.findall(r"the (left|right) one on wall (\w) at", says)
    }
    for piece in out.pieces:
        wall = job.rooms[0].wall(piece.wall)
        more = 0.0
        for left, end in ((True, piece.left), (False, piece.right)):
            said = _said(job, piece.trim, wall, left)
            assert ((piece.trim, piece.wall, left) in named) == (said is None)
            corner = not left and wall.corner
            if said == "return" or (said == "external" and piece.trim == "dado"):
                assert end.kind == "return"
                more -= OUT
            elif said in ("butt", "newel"):
                assert end.kind == "butt" and said.replace("butt", "stands there") in end.note
            elif said == "run-on" and not corner:
                assert end.kind == "scarf"
                more += THICK / SLOPE / 2 * (-1 if left else 1)
            elif said == "run-on":
                assert "beyond" in end.note and (end.kind, end.gives > 0) == (
                    f"{corner.kind}-mitre",
                    corner.kind == "external",
                )
            elif said is None:
                assert end.kind == "square" and "leave it long" in end.note
        assert piece.back == pytest.approx(piece.end - piece.start + more)
    for trim in job.trim:
        assert sum(piece.trim == trim.name for piece in out.pieces) == len(
            [1 for wall in job.rooms[0].walls if not trim.where[0].walls or wall.name in trim.where[0].walls]
        )
