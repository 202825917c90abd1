"""The reckoner ``closure``: results to 0.01 mm and 0.01 degree."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.plugins.closure.conditions import expected_misclosure
from listel.plugins.closure.judging import judge, through_room
from listel.plugins.closure.settings import assumed
from listel.plugins.closure.suspects import Doubt, Reading, doubts
from listel.plugins.site import compass_rule, courses_of, spread_angles, walk

Given = Mapping[str, Any]


def reckoner() -> Reckoner:
    """The reckoner with its options."""
    side = Option(
        "side",
        "length",
        "length of a wall, from left to right round the room",
        required=True,
        many=True,
        least=20,
        most=200000,
    )
    angle = Option(
        "angle",
        "angle",
        "angle through the room at the right end of that wall",
        required=True,
        many=True,
        least=20,
        most=340,
    )
    tape = Option("tape", "length", "one-sigma uncertainty of the tape", least=0, most=500)
    bevel = Option("bevel", "angle", "one-sigma uncertainty of the bevel", least=0, most=10)
    units = {
        "mm": "misclosure allowed expected adjusted_sides reads would_close leaves",
        "deg": "angle_error allowed_angle_error reads_deg would_close_deg",
    }
    return Reckoner("closure", "Whether walls and corners of a room close", (side, angle, tape, bevel), closure, units)


def closure(given: Given) -> Reckoning:
    """Whether the walls and corners of a room close, and which readings could be wrong where they do not."""
    sides, angles = list(given["side"]), list(given["angle"])
    if len(sides) != len(angles) or len(sides) < 3:
        raise ValueError(
            f"a room needs three walls or more, and one corner for each: {len(sides)} sides and {len(angles)} "
            "angles were given"
        )
    for side in sides:
        if side <= 0:
            raise ValueError(f"a wall of {side:g} mm has no length")
    for angle in angles:
        through_room(angle, "internal")
    (tape, tape_shown), (bevel, bevel_shown) = assumed("tape"), assumed("bevel")
    if given["tape"] is not None:
        tape, tape_shown = given["tape"], Input("uncertainty of the tape", given["tape"], "mm")
    if given["bevel"] is not None:
        bevel, bevel_shown = given["bevel"], Input("uncertainty of the bevel", given["bevel"], "deg")
    if tape <= 0 or bevel <= 0:
        raise ValueError("tape and bevel each have some uncertainty: give it above nothing")
    verdict = judge(sides, angles, tape, bevel)
    readings = [Reading(side, False) for side in sides] + [Reading(angle, True, angle > 180) for angle in angles]
    found = [] if verdict.closed else doubts(readings, tape, bevel)
    count = len(sides)
    suspects = [_suspect(doubt, readings[doubt.number], count) for doubt in found]
    courses = compass_rule(courses_of(walk(sides, spread_angles(angles))))
    results = {
        "closed": verdict.closed,
        "misclosure": _rounded(verdict.misses),
        "angle_error": _rounded(verdict.turn),
        "allowed": _rounded(verdict.allowed),
        "allowed_angle_error": _rounded(verdict.turn_allowed),
        "expected": _rounded(expected_misclosure(sides, spread_angles(angles), tape, bevel)),
        "precision": round(sum(sides) / verdict.misses) if verdict.misses > 0.005 else None,
        "adjusted_sides": [_rounded(hypot(east, north)) for east, north in courses],
        "suspects": suspects,
    }
    says = [
        f"The walk round ends {verdict.misses:.1f} mm off; tape and bevel explain {verdict.allowed:.1f} mm. The "
        f"angles add up to {verdict.turn:+.2f} degrees out."
    ]
    says += [_suspect_words(each) for each in suspects]
    grounds = Grounds(
        (tape_shown, bevel_shown),
        "walk the sides in order, turning at each corner; spread the angle error over the corners; "
        "the misclosure is from the end of the walk back to its start",
        result=f"{verdict.misses:.1f} mm",
        sources=(GEOMETRY,),
    )
    return Reckoning(results, (grounds,), tuple(says))


def _suspect(doubt: Doubt, reading: Reading, count: int) -> dict[str, Any]:
    """A reading that could be wrong, as the results show it."""
    what, deg = ("angle", "_deg") if reading.is_angle else ("side", "")
    return {
        "what": f"{what} {doubt.number % count + 1}",
        f"reads{deg}": reading.value,
        f"would_close{deg}": _rounded(doubt.value),
        "leaves": _rounded(doubt.leaves),
        "slip": doubt.slip,
        "likelihood": round(doubt.likelihood, 3),
    }


def _suspect_words(suspect: dict[str, Any]) -> str:
    """The same as a sentence."""
    slip = f": {suspect['slip']}" if suspect["slip"] else ""
    at, unit = ("_deg", "degrees") if "reads_deg" in suspect else ("", "mm")
    reads, closes = suspect[f"reads{at}"], suspect[f"would_close{at}"]
    says = f"{suspect['what'].capitalize()} reads {reads:g} {unit}; {closes:g} {unit} would close the room"
    return f"{says} to {suspect['leaves']:.1f} mm{slip}."


def _rounded(value: float) -> float:
    return round(value, 2) + 0.0
