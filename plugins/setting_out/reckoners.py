"""The reckoners ``mitre``, ``sprung``, ``rake``, ``bow`` and ``closure``. Results are rounded to 0.01 mm and 0.01 degree."""

from __future__ import annotations

from collections.abc import Mapping
from math import radians, sqrt, tan
from typing import Any

from listel.core.findings import GEOMETRY, Grounds, Input, Source
from listel.core.reckoning import Option, Reckoner, Reckoning
from listel.core.tables import load_table
from listel.plugins.setting_out.angles import (
    cut_angle,
    face_allowance,
    joint_gap,
    mitre_line,
    saw_reading,
    through_room,
    unequal_mitre,
)
from listel.plugins.setting_out.bows import strip_on, way_round
from listel.plugins.setting_out.closure import judge
from listel.plugins.setting_out.compound import (
    edge_difference,
    level_to_rake_cut,
    pitch_of,
    plumb_depth,
    rake_length,
    rake_mismatch,
    rake_turning_corner,
    sprung_cut,
)
from listel.plugins.setting_out.curve import bow_arc, bow_radius
from listel.plugins.setting_out.settings import allowed
from listel.plugins.setting_out.suspects import Reading, doubts
from listel.plugins.setting_out.traverse import compass_rule, courses_of, expected_misclosure, spread_angles, walk

Given = Mapping[str, Any]
HATFIELD = Source("The American House Carpenter", "R. G. Hatfield", "", "art. 323")
BEAMS = Source("Beam theory: bent strips and the theorem of three moments", standing="published-from-memory")
KINDS = ("internal", "external")


def _round(value: float) -> float:
    return round(value, 2) + 0.0


def _corner(given: Given) -> tuple[float, Input, Input]:
    """The corner through the room [deg], and how corner and kind are shown."""
    kind = given["kind"] or "internal"
    theta = through_room(given["corner"], kind)
    if given["corner"] >= 180:
        other = "external" if kind == "internal" else "internal"
        raise ValueError(f"an {kind} corner of {given['corner']:g} degrees cannot be: give it as {other}, {360 - given['corner']:g} degrees")
    shown = Input("kind of corner", kind, assumed=given["kind"] is None, note="internal unless said otherwise" if given["kind"] is None else "")
    return theta, Input("corner, as the bevel reads it", given["corner"], "deg"), shown


def _positive(given: Given, *names: str) -> None:
    """ValueError for a length that is nothing or less."""
    for name in names:
        if given[name] is not None and given[name] <= 0:
            raise ValueError(f"the {name.replace('_', ' ')} must be above nothing: {given[name]:g} mm cannot be")


def mitre(given: Given) -> Reckoning:
    """Cut of a flat moulding at a corner: half of the measured angle, and what that does to the face."""
    _positive(given, "projection", "other_projection")
    theta, corner, kind = _corner(given)
    angle, reading = cut_angle(theta), saw_reading(theta)
    results: dict[str, Any] = {"cut_angle": _round(angle), "saw_reading": _round(reading), "long_point": "back" if theta < 180 else "face"}
    inputs, projection = [corner, kind], given["projection"]
    says = [f"Cut at {angle:.2f} degrees from the length of the moulding: a saw whose scale reads 0 for a square cut shows {reading:.2f}."]
    if projection is not None:
        inputs.append(Input("projection", projection, "mm"))
        allowance = face_allowance(projection, theta)
        sigma, shown, _ = allowed("bevel")
        error = given["error"] if given["error"] is not None else sigma
        inputs.append(Input("error of the angle", error, "deg") if given["error"] is not None else shown)
        gap = joint_gap(projection, theta, error)
        results |= {"face_allowance": _round(allowance), "mitre_line": _round(mitre_line(projection, theta)), "gap": _round(gap)}
        says.append(f"The face is {abs(allowance):.2f} mm {'shorter' if allowance < 0 else 'longer'} than the back at this end. "
                    f"An angle {error:g} degrees out opens {gap:.2f} mm.")
        if given["other_projection"] is not None:
            first, second, along_first, along_second = unequal_mitre(projection, given["other_projection"], theta)
            inputs.append(Input("projection of the other piece", given["other_projection"], "mm"))
            results |= {"cut_angle": _round(first), "saw_reading": _round(90 - first), "other_cut_angle": _round(second),
                        "other_saw_reading": _round(90 - second), "face_allowance": _round(-along_first), "other_face_allowance": _round(-along_second)}
            says = [f"Unequal projections: cut this piece at {first:.2f} and the other at {second:.2f} degrees from their length. "
                    "Their profiles meet only if the projections keep one ratio at every height."]
    grounds = Grounds(tuple(inputs), "half of the corner, from the length; 90 less that on the saw; face less back = -projection x cot(corner through the room / 2)",
                      f"{given['corner']:g} / 2 = {angle:.2f}; 90 - {angle:.2f} = {reading:.2f}", f"{angle:.2f} deg from the length, {reading:.2f} deg on the saw", (GEOMETRY,))
    return Reckoning(results, (grounds,), tuple(says))


def sprung(given: Given) -> Reckoning:
    """Saw-table mitre and blade bevel of a sprung moulding that lies flat on its back."""
    theta, corner, kind = _corner(given)
    mitre_angle, bevel = sprung_cut(given["spring"], min(theta, 360 - theta))
    grounds = Grounds((Input("spring angle, from back to wall", given["spring"], "deg"), corner, kind),
                      "tan mitre = sin spring / tan(corner / 2); sin bevel = cos spring x cos(corner / 2)",
                      result=f"mitre {mitre_angle:.2f} deg, bevel {bevel:.2f} deg", sources=(GEOMETRY,))
    results = {"mitre": _round(mitre_angle), "bevel": _round(bevel), "cut_angle": _round(90 - mitre_angle), "saw_reading": _round(mitre_angle)}
    says = (f"Lying flat on its back: turn the table {mitre_angle:.2f} degrees from square and tilt the blade {bevel:.2f} degrees.",
            "Measure the spring as well as the corner: makers quote it from either leg, and one degree of spring shifts both settings by about half a degree.")
    return Reckoning(results, (grounds,), says)


def rake(given: Given) -> Reckoning:
    """Cuts of a raking moulding: level to rake, plumb, and turning a plan corner."""
    _positive(given, "rise", "going", "height", "run", "projection")
    if given["pitch"] is None and (given["rise"] is None or given["going"] is None):
        raise ValueError("give the pitch, or the rise and going of a step")
    pitch = given["pitch"] if given["pitch"] is not None else pitch_of(given["rise"], given["going"])
    if not 0 < pitch < 90:
        raise ValueError(f"a pitch of {pitch:g} degrees is no rake: it lies between 0 and 90")
    cut = level_to_rake_cut(pitch)
    results: dict[str, Any] = {"pitch": _round(pitch), "level_to_rake_cut": _round(cut), "level_to_rake_cut_angle": _round(90 - cut), "plumb_cut": _round(pitch)}
    inputs = [Input("pitch", pitch, "deg")]
    says = [f"Where level meets rake on one wall, cut both pieces {cut:.2f} degrees from square ({90 - cut:.2f} from the length)."]
    grounds = [Grounds(tuple(inputs), "a mitre halves the turn: half of the pitch", f"{pitch:.2f} / 2 = {cut:.2f}", f"{cut:.2f} deg from square", (GEOMETRY,))]
    if given["height"] is not None:
        results |= {"edge_difference": _round(edge_difference(given["height"], pitch)), "plumb_depth": _round(plumb_depth(given["height"], pitch))}
    if given["run"] is not None:
        results["rake_length"] = _round(rake_length(given["run"], given["run"] * tan(radians(pitch))))
    if given["corner"] is not None:
        theta, corner, kind = _corner(given)
        spring = given["spring"] or 0.0
        rising, falling = (rake_turning_corner(signed, theta, spring) for signed in (pitch, -pitch))
        results |= {"mitre": _round(rising[0]), "bevel": _round(rising[1]), "falling_mitre": _round(falling[0]), "falling_bevel": _round(falling[1])}
        says.append(f"Turning the corner, rising away from it and lying on its back: mitre {rising[0]:.2f}, bevel {rising[1]:.2f} degrees"
                    + (f"; falling away: {falling[0]:.2f} and {falling[1]:.2f}." if spring else "; the same falling away."))
        if given["projection"] is not None:
            results["mismatch"] = _round(rake_mismatch(given["projection"], pitch, theta))
            says.append(f"Climbing through the corner, equal sections would miss each other by {results['mismatch']:.1f} mm at the face: "
                        "run a short level piece round the corner, or work a raked profile.")
        grounds.append(Grounds((*inputs, corner, kind, Input("spring angle", spring, "deg", assumed=given["spring"] is None, note="flat on the wall")),
                               "the upright plane that halves the corner, seen from the moulding's own axes",
                               result=f"mitre {rising[0]:.2f} deg, bevel {rising[1]:.2f} deg", sources=(GEOMETRY, HATFIELD)))
    return Reckoning(results, tuple(grounds), tuple(says))


def bow(given: Given) -> Reckoning:
    """A strip on a bowed wall: radius, length, bending stress, and what to do."""
    _positive(given, "thickness", "height", "spacing")
    chord, rise = given["chord"], given["rise"]
    radius, (arc, turn) = bow_radius(chord, rise), bow_arc(chord, rise)
    results: dict[str, Any] = {"radius": _round(radius), "arc": _round(arc), "arc_excess": _round(arc - chord), "turn": _round(turn), "gap_if_straight": _round(rise)}
    says = [f"The wall bends to a radius of {radius / 1000:.1f} m; along the curve it is {arc - chord:.2f} mm longer than its chord."]
    grounds = [Grounds((Input("chord", chord, "mm"), Input("rise", rise, "mm")), "chord squared over 8 rises, and half of the rise",
                       f"{chord:g}^2 / (8 x {rise:g}) + {rise:g} / 2 = {radius:.1f}", f"{radius:.0f} mm", (GEOMETRY,))]
    if None not in (given["thickness"], given["height"], given["timber"]):
        row = load_table(__package__, "bending").find(given["timber"])
        if row is None:
            known = ", ".join(each.name for each in load_table(__package__, "bending"))
            raise ValueError(f"no bending strength is known here for {given['timber']}: choose one of {known}")
        spacing, shown, _ = allowed("fixing-spacing")
        if given["spacing"] is not None:
            spacing, shown = given["spacing"], Input("spacing of fixings", given["spacing"], "mm")
        strip = strip_on(chord, rise, given["thickness"], given["height"], row["modulus"], row["strength"], spacing)
        way, why = way_round(chord, rise, given["thickness"], strip, not given["clear"])
        results |= {"stress": _round(strip.stress), "share": round(strip.share, 3), "least_radius": _round(strip.least), "pull": _round(strip.pull), "spans": strip.spans, "way": way}
        says.append(f"Outer fibres work at {strip.stress:.1f} N/mm2, {strip.share:.0%} of the strength of clear timber; the hardest-worked fixing holds {strip.pull:.0f} N.")
        says.append(f"What to do: {way}, for {why}.")
        grounds.append(Grounds(
            (Input("thickness", given["thickness"], "mm"), Input("height", given["height"], "mm"), Input("modulus of elasticity", row["modulus"], "N/mm2"),
             Input("bending strength", row["strength"], "N/mm2"), shown),
            "stress: modulus x thickness / (2 x radius), or the peak at the fixings where greater; pull: three moments over even spans",
            result=f"{strip.stress:.1f} N/mm2, {strip.pull:.0f} N", sources=(BEAMS, *row.sources)))
    return Reckoning(results, tuple(grounds), tuple(says))


def closure(given: Given) -> Reckoning:
    """Whether the walls and corners of a room close, and which readings could be wrong where they do not."""
    sides, angles = list(given["side"]), list(given["angle"])
    if len(sides) != len(angles) or len(sides) < 3:
        raise ValueError(f"a room needs three walls or more, and one corner for each: {len(sides)} sides and {len(angles)} angles were given")
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
    suspects = [
        {"what": f"{'side' if each.number < count else 'angle'} {each.number % count + 1}", "reads": readings[each.number].value,
         "would_close": _round(each.value), "leaves": _round(each.leaves), "slip": each.slip, "likelihood": round(each.likelihood, 3)}
        for each in found
    ]
    courses = compass_rule(courses_of(walk(sides, spread_angles(angles))))
    results = {
        "closed": verdict.closed, "misclosure": _round(verdict.misses), "angle_error": _round(verdict.turn), "allowed": _round(verdict.allowed),
        "allowed_angle_error": _round(verdict.turn_allowed), "expected": _round(expected_misclosure(sides, spread_angles(angles), tape, bevel)),
        "precision": round(sum(sides) / verdict.misses) if verdict.misses > 0.005 else None,
        "adjusted_sides": [_round(sqrt(east**2 + north**2)) for east, north in courses], "suspects": suspects,
    }
    says = [f"The walk round ends {verdict.misses:.1f} mm off; tape and bevel explain {verdict.allowed:.1f} mm. The angles add up to {verdict.turn:+.2f} degrees out."]
    says += [f"{each['what'].capitalize()} reads {each['reads']:g}; {each['would_close']:g} would close the room to {each['leaves']:.1f} mm"
             + (f": {each['slip']}" if each["slip"] else "") + "." for each in suspects]
    grounds = Grounds((tape_shown, bevel_shown), "walk the sides in order, turning at each corner; spread the angle error over the corners; "
                      "the misclosure is from the end of the walk back to its start", result=f"{verdict.misses:.1f} mm", sources=(GEOMETRY,))
    return Reckoning(results, (grounds,), tuple(says))


def reckoners() -> list[Reckoner]:
    """The reckoners of this plugin."""
    corner = Option("corner", "angle", "the corner as the bevel reads it: the room's angle at an internal corner, the solid's at an external one", required=True)
    kind = Option("kind", "choice", "internal or external; internal where left out", choices=KINDS)
    projection = Option("projection", "length", "how far the moulding stands out from the wall")
    return [
        Reckoner("mitre", "Cut of a flat moulding at a measured corner", (
            corner, kind, projection, Option("other-projection", "length", "projection of the piece it meets, where it differs"),
            Option("error", "angle", "error of the angle, for the gap it opens")), mitre),
        Reckoner("sprung", "Mitre and bevel of a sprung moulding lying flat", (
            Option("spring", "angle", "spring angle, between its back and the wall", required=True), corner, kind), sprung),
        Reckoner("rake", "Cuts of a raking moulding on a stair", (
            Option("pitch", "angle", "pitch of the stair"), Option("rise", "length", "rise of one step"), Option("going", "length", "going of one step"),
            Option("corner", "angle", "plan corner that the rake turns, as the bevel reads it"), kind,
            Option("spring", "angle", "spring angle, between its back and the wall"), Option("height", "length", "height of the section"),
            Option("run", "length", "level length of the rake"), projection), rake),
        Reckoner("bow", "A moulding on a bowed wall: radius, stress, pull", (
            Option("chord", "length", "chord of the bow", required=True), Option("rise", "length", "rise of the bow over that chord", required=True),
            Option("thickness", "length", "thickness of the moulding"), Option("height", "length", "height of the moulding"),
            Option("timber", "text", "its timber, as the survey names it"), Option("spacing", "length", "spacing of its fixings"),
            Option("clear", "flag", "true where the finish is clear")), bow),
        Reckoner("closure", "Whether walls and corners of a room close", (
            Option("side", "length", "length of a wall, in order round the room", required=True, many=True),
            Option("angle", "angle", "angle through the room at the end of that wall", required=True, many=True),
            Option("tape", "length", "one-sigma uncertainty of the tape"), Option("bevel", "angle", "one-sigma uncertainty of the bevel")), closure),
    ]
