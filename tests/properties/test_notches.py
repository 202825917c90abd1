"""Laws of notches: over random walls what is cut out is where the thing stands on the wall, measured from the piece."""

from __future__ import annotations

import random

import numpy as np
import pytest
from setting import set_out

from listel.core.survey.job import Corner, Fitting, Job, Place, Reading, Room, Section, Trim, Wall

KEPT, SLIVER = 3, 12


@pytest.mark.parametrize("seed", range(30))
def test_every_pixel_of_a_thing_is_cut_out_and_no_more(seed: int) -> None:
    dice = random.Random(seed)
    length = dice.randint(1500, 6500)
    fittings = tuple(
        Fitting(
            dice.choice(("radiator-tail", "radiator-bracket", "pipe", "gas-pipe")),
            dice.randint(100, length - 200),
            dice.choice((0, 40, 100, 140, 900)),
            dice.randint(10, 60),
            dice.randint(15, 400),
        )
        for _ in range(dice.randint(0, 6))
    )
    wall = Wall("A", Reading(length), Corner("internal", dice.choice((80, 90, 100))), fittings=fittings)
    board = Trim("skirting", "skirting", (Place("R"),), Section(168, 20, 20), finish="paint", top=168, longest=3000)
    out, _ = set_out(Job("law", rooms=(Room("R", extent="part", walls=(wall,)),), trim=(board,)))
    wanted, stops = np.zeros((168, length), dtype=bool), np.zeros(length, dtype=bool)
    for each in fittings:
        low, high = max(0, each.height - KEPT), min(168, each.height + each.depth + KEPT)
        here = slice(each.at - KEPT, each.at + each.width + KEPT)
        if high > low and 168 - (high - low) < SLIVER:
            stops[here] = True
        elif high > low:
            wanted[low:high, here] = True
    covered = np.zeros(length, dtype=bool)
    for piece in out.pieces:
        covered[round(piece.start) : round(piece.end)] = True
    assert not (covered & stops).any()
    assert not out.returns, "no return fits beside a pipe"
    blocked = [(round(each.start), round(each.end)) for each in out.blocked]
    assert all((stops | covered)[at] or any(a <= at < b for a, b in blocked) for at in range(length))
    cut = np.zeros_like(wanted)
    for notch in out.notches:
        piece = next(each for each in out.pieces if each.label == notch.piece)
        left = round(piece.start - piece.left.past + notch.start)
        right = round(piece.start - piece.left.past + notch.end)
        cut[168 - round(notch.lower) : 168 - round(notch.upper), left:right] = True
        assert notch.kind == ("notch" if notch.lower == 168 or notch.upper == 0 else "hole")
        assert notch.open_below == (round(notch.lower) == 168)
    assert (cut == wanted)[:, covered].all()
