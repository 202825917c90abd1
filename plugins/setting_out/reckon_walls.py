"""The reckoners of walls, ``bow`` and ``closure``: results to 0.01 mm and 0.01 degree."""

from __future__ import annotations

from math import hypot
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Reckoning
from listel.plugins.setting_out.angles import through_room
from listel.plugins.setting_out.bows import BEAMS, bending_of, strip_on, way_round
from listel.plugins.setting_out.closure import judge
from listel.plugins.setting_out.curve import bow_arc, bow_radius
from listel.plugins.setting_out.reckon_cuts import Given, above_nothing, rounded
from listel.plugins.setting_out.settings import allowed
from listel.plugins.setting_out.suspects import Doubt, Reading, doubts
from listel.plugins.setting_out.traverse import expected_misclosure
from listel.plugins.site import compass_rule, courses_of, spread_angles, tables, walk


def bow(given: Given) -> Reckoning:
    """A strip on a bowed wall: radius, length, bending stress, and what to do."""
    above_nothing(given, "thickness", "height", "spacing")
    chord, rise = given["chord"], given["rise"]
    radius, (arc, turn) = bow_radius(chord, rise), bow_arc(chord, rise)
    results: dict[str, Any] = {
        "radius": rounded(radius),
        "arc": rounded(arc),
        "arc_excess": rounded(arc - chord),
        "turn": rounded(turn),
        "gap_if_straight": rounded(rise),
    }
    says = [
        f"The wall bends to a radius of {radius / 1000:.1f} m; along the curve it is {arc - chord:.2f} mm longer "
        "than its chord."
    ]
    grounds = [
        Grounds(
            (Input("chord", chord, "mm"), Input("rise", rise, "mm")),
            "chord squared over 8 rises, and half of the rise",
            f"{chord:g}^2 / (8 x {rise:g}) + {rise:g} / 2 = {radius:.1f}",
            f"{radius:.0f} mm",
            (GEOMETRY,),
        )
    ]
    if None not in (given["thickness"], given["height"], given["timber"]):
        row = tables.timbers().find(given["timber"])
        if row is None:
            known = ", ".join(each.name for each in tables.timbers())
            raise ValueError(f"no bending strength is known here for {given['timber']}: choose one of {known}")
        modulus, strength = bending_of(row)
        spacing, shown, _ = allowed("fixing-spacing")
        if given["spacing"] is not None:
            spacing, shown = given["spacing"], Input("spacing of fixings", given["spacing"], "mm")
        strip = strip_on(chord, rise, given["thickness"], given["height"], modulus, strength, spacing)
        way, why = way_round(chord, rise, given["thickness"], strip, not given["clear"])
        results |= {
            "stress": rounded(strip.stress),
            "share": round(strip.share, 3),
            "least_radius": rounded(strip.least),
            "pull": rounded(strip.pull),
            "spans": strip.spans,
            "way": way,
        }
        says.append(
            f"Outer fibres work at {strip.stress:.1f} N/mm2, {strip.share:.0%} of the strength of clear timber; the "
            f"hardest-worked fixing holds {strip.pull:.0f} N."
        )
        says.append(f"What to do: {way}, for {why}.")
        grounds.append(
            Grounds(
                (
                    Input("thickness", given["thickness"], "mm"),
                    Input("height", given["height"], "mm"),
                    Input("modulus of elasticity", modulus, "N/mm2"),
                    Input("bending strength", strength, "N/mm2"),
                    shown,
                ),
                "stress: modulus x thickness / (2 x radius), or the peak at the fixings where greater; pull: three "
                "moments over even spans",
                result=f"{strip.stress:.1f} N/mm2, {strip.pull:.0f} N",
                sources=(BEAMS, *row.sources),
            )
        )
    return Reckoning(results, tuple(grounds), tuple(says))


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
    (tape, tape_shown, _), (bevel, bevel_shown, _) = allowed("tape"), allowed("bevel")
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
        "misclosure": rounded(verdict.misses),
        "angle_error": rounded(verdict.turn),
        "allowed": rounded(verdict.allowed),
        "allowed_angle_error": rounded(verdict.turn_allowed),
        "expected": rounded(expected_misclosure(sides, spread_angles(angles), tape, bevel)),
        "precision": round(sum(sides) / verdict.misses) if verdict.misses > 0.005 else None,
        "adjusted_sides": [rounded(hypot(east, north)) for east, north in courses],
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
    return {
        "what": f"{'angle' if reading.is_angle else 'side'} {doubt.number % count + 1}",
        "reads": reading.value,
        "would_close": rounded(doubt.value),
        "leaves": rounded(doubt.leaves),
        "slip": doubt.slip,
        "likelihood": round(doubt.likelihood, 3),
    }


def _suspect_words(suspect: dict[str, Any]) -> str:
    """The same as a sentence."""
    slip = f": {suspect['slip']}" if suspect["slip"] else ""
    says = f"{suspect['what'].capitalize()} reads {suspect['reads']:g}; {suspect['would_close']:g} would close the room"
    return f"{says} to {suspect['leaves']:.1f} mm{slip}."
