"""The reckoners of cuts, ``mitre``, ``sprung`` and ``rake``: results to 0.01 mm and 0.01 degree."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, radians, sin, tan
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Reckoning
from listel.plugins.closure import assumed, through_room
from listel.plugins.setting_out.angles import (
    cut_angle,
    face_allowance,
    mitre_line,
    saw_reading,
    unequal_mitre,
)
from listel.plugins.setting_out.compound import (
    HATFIELD,
    edge_difference,
    level_to_rake_cut,
    plumb_depth,
    rake_length,
    rake_mismatch,
    rake_turning_corner,
    sprung_cut,
)
from listel.plugins.site import pitch_of

Given = Mapping[str, Any]


def rounded(value: float) -> float:
    """A result to 0.01, without a minus before nothing."""
    return round(value, 2) + 0.0


def how_read(corner: Input) -> list[str]:
    """How a corner that was given through the room was read, as a sentence; none where it is as the bevel reads it."""
    return [corner.note[0].upper() + corner.note[1:] + "."] if corner.note else []


def corner_of(given: Given) -> tuple[float, Input, Input]:
    """The corner through the room [deg], and how corner and kind are shown. Over 180 degrees it is read as an external
    corner measured through the room, and said so; ValueError where it is said to be internal."""
    kind, read = given["kind"] or ("external" if given["corner"] > 180 else "internal"), given["corner"]
    note = ""
    if read >= 180:
        through_room(read, kind)
        if kind == "internal":
            raise ValueError(
                f"an internal corner of {read:g} degrees cannot be: give it as external, {360 - read:g} degrees"
            )
        note = f"{read:g} was given through the room, so the solid is 360 - {read:g}"
        read = 360.0 - read
    shown = Input(
        "kind of corner",
        kind,
        assumed=given["kind"] is None,
        note="" if given["kind"] else "over 180 degrees" if note else "internal unless said otherwise",
    )
    return through_room(read, kind), Input("corner, as the bevel reads it", read, "deg", note=note), shown


def above_nothing(given: Given, *names: str) -> None:
    """ValueError for a length that is nothing or less."""
    for name in names:
        if given[name] is not None and given[name] <= 0:
            raise ValueError(f"the {name.replace('_', ' ')} must be above nothing: {given[name]:g} mm cannot be")


def mitre(given: Given) -> Reckoning:
    """Cut of a flat moulding at a corner, and what that does to the face; with another projection, of both pieces."""
    above_nothing(given, "projection", "other_projection")
    theta, corner, kind = corner_of(given)
    projection, other = given["projection"], given["other_projection"]
    if other is not None and projection is None:
        raise ValueError("give the projection of this piece too: the cut lies between the two")
    read = min(theta, 360.0 - theta)
    angle, second, line, faces = cut_angle(theta), None, None, (0.0, 0.0)
    inputs, says = [corner, kind], how_read(corner)
    formula = "half of the corner, from the length; 90 less that on the saw"
    worked = f"{read:g} / 2 = {angle:.2f}; 90 - {angle:.2f} = {saw_reading(theta):.2f}"
    if projection is not None:
        inputs.append(Input("projection", projection, "mm"))
        line, faces = mitre_line(projection, theta), (face_allowance(projection, theta),) * 2
        formula += "; face less back = -projection x cot(corner through the room / 2)"
    if other is not None:
        inputs.append(Input("projection of the other piece", other, "mm"))
        angle, second, along, along_other = unequal_mitre(projection, other, theta)
        line, faces = hypot(projection, along), (-along, -along_other)
        formula = (
            "tan cut = p sin(corner) / (q + p cos(corner)), corner through the room, p this projection and q the "
            "other; the line runs from the corner of the walls to where the faces cross"
        )
        worked = (
            f"atan({projection:g} x sin {theta:g} / ({other:g} + {projection:g} x cos {theta:g})) = {angle:.2f}; "
            f"90 - {angle:.2f} = {90 - angle:.2f}"
        )
    results: dict[str, Any] = {
        "cut_angle": rounded(angle),
        "saw_reading": rounded(90 - angle),
        "long_point": "back" if faces[0] < 0 or (projection is None and theta < 180) else "face",
    }
    says.append(
        f"Cut at {angle:.2f} degrees from the length of the moulding: a saw whose scale reads 0 for a square cut shows "
        f"{90 - angle:.2f}."
    )
    if line is not None:
        sigma, shown = assumed("bevel")
        error = given["error"] if given["error"] is not None else sigma
        inputs.append(Input("error of the angle", error, "deg") if given["error"] is not None else shown)
        gap = 2 * line * sin(radians(abs(error)) / 2)
        results |= {"face_allowance": rounded(faces[0]), "mitre_line": rounded(line), "gap": rounded(gap)}
        says.append(
            f"The face is {abs(faces[0]):.2f} mm {'shorter' if faces[0] < 0 else 'longer'} than the back at this end. "
            f"An angle {error:g} degrees out opens {gap:.2f} mm."
        )
    if second is not None:
        results |= {
            "other_cut_angle": rounded(second),
            "other_saw_reading": rounded(90 - second),
            "other_face_allowance": rounded(faces[1]),
        }
        says.append(
            f"Unequal projections: cut the other piece at {second:.2f} degrees, {90 - second:.2f} on the saw. Their "
            "profiles meet only if the projections keep one ratio at every height."
        )
    result = f"{angle:.2f} deg from the length, {90 - angle:.2f} deg on the saw"
    if given["explain"]:
        says += cut_drawn(angle, results["long_point"] == "back")
    return Reckoning(results, (Grounds(tuple(inputs), formula, worked, result, (GEOMETRY,)),), tuple(says))


def cut_drawn(angle: float, back_longer: bool) -> list[str]:
    """The right end of a board seen from above, cut at that angle from its length [deg], as lines of text: the wall at
    the top, the room below. A letter stands twice as high as it is wide."""
    rows, board = 5, 24
    steps = [round(2 * row / tan(radians(angle))) if angle < 90 else 0 for row in range(rows)]
    lean = [max(steps) - step for step in steps] if back_longer else steps
    sides = ["_" * (board + lean[0]), *(" " * (board + step) for step in lean[1:-1]), "_" * (board + lean[-1])]
    stroke = "|" if angle >= 90 else "/" if back_longer else "\\"
    words = ["  back, on the wall", "", f"  {angle:.2f} degrees from the length", "", "  face, to the room"]
    return [f"{side}{stroke}{word}".rstrip() for side, word in zip(sides, words, strict=True)]


def sprung(given: Given) -> Reckoning:
    """Saw-table mitre and blade bevel of a sprung moulding that lies flat on its back."""
    theta, corner, kind = corner_of(given)
    mitre_angle, bevel = sprung_cut(given["spring"], min(theta, 360 - theta))
    grounds = Grounds(
        (Input("spring angle, from back to wall", given["spring"], "deg"), corner, kind),
        "tan mitre = sin spring / tan(corner / 2); sin bevel = cos spring x cos(corner / 2)",
        result=f"mitre {mitre_angle:.2f} deg, bevel {bevel:.2f} deg",
        sources=(GEOMETRY,),
    )
    results = {
        "mitre": rounded(mitre_angle),
        "bevel": rounded(bevel),
        "cut_angle": rounded(90 - mitre_angle),
        "saw_reading": rounded(mitre_angle),
    }
    says = (
        *how_read(corner),
        f"Lying flat on its back: turn the table {mitre_angle:.2f} degrees from square and tilt the blade "
        f"{bevel:.2f} degrees.",
        "Measure the spring as well as the corner: makers quote it from either leg, and one degree of spring "
        "shifts both settings by about half a degree.",
    )
    return Reckoning(results, (grounds,), says)


def rake(given: Given) -> Reckoning:
    """Cuts of a raking moulding: level to rake, plumb, and turning a plan corner."""
    above_nothing(given, "rise", "going", "height", "run", "projection")
    if given["pitch"] is None and (given["rise"] is None or given["going"] is None):
        raise ValueError("give the pitch, or the rise and going of a step")
    pitch = given["pitch"] if given["pitch"] is not None else pitch_of(given["rise"], given["going"])
    if not 0 < pitch < 90:
        raise ValueError(f"a pitch of {pitch:g} degrees is no rake: it lies between 0 and 90")
    cut = level_to_rake_cut(pitch)
    results: dict[str, Any] = {
        "pitch": rounded(pitch),
        "level_to_rake_cut": rounded(cut),
        "level_to_rake_cut_angle": rounded(90 - cut),
        "plumb_cut": rounded(pitch),
    }
    inputs = [Input("pitch", pitch, "deg")]
    says = [
        f"Where level meets rake on one wall, cut both pieces {cut:.2f} degrees from square ({90 - cut:.2f} from "
        "the length)."
    ]
    grounds = [
        Grounds(
            tuple(inputs),
            "a mitre halves the turn: half of the pitch",
            f"{pitch:.2f} / 2 = {cut:.2f}",
            f"{cut:.2f} deg from square",
            (GEOMETRY,),
        )
    ]
    if given["height"] is not None:
        results |= {
            "edge_difference": rounded(edge_difference(given["height"], pitch)),
            "plumb_depth": rounded(plumb_depth(given["height"], pitch)),
        }
    if given["run"] is not None:
        results["rake_length"] = rounded(rake_length(given["run"], given["run"] * tan(radians(pitch))))
    if given["corner"] is not None:
        theta, corner, kind = corner_of(given)
        spring = given["spring"] or 0.0
        rising, falling = (rake_turning_corner(signed, theta, spring) for signed in (pitch, -pitch))
        results |= {
            "mitre": rounded(rising[0]),
            "bevel": rounded(rising[1]),
            "falling_mitre": rounded(falling[0]),
            "falling_bevel": rounded(falling[1]),
        }
        says += how_read(corner)
        says.append(
            f"Turning the corner, rising away from it and lying on its back: mitre {rising[0]:.2f}, bevel "
            f"{rising[1]:.2f} degrees"
            + (f"; falling away: {falling[0]:.2f} and {falling[1]:.2f}." if spring else "; the same falling away.")
        )
        if given["projection"] is not None:
            results["mismatch"] = rounded(rake_mismatch(given["projection"], pitch, theta))
            says.append(
                f"Climbing through the corner, equal sections would miss each other by {results['mismatch']:.1f} mm "
                "at the face: "
                "run a short level piece round the corner, or work a raked profile."
            )
        grounds.append(
            Grounds(
                (
                    *inputs,
                    corner,
                    kind,
                    Input("spring angle", spring, "deg", assumed=given["spring"] is None),
                ),
                "the upright plane that halves the corner, seen from the moulding's own axes",
                result=f"mitre {rising[0]:.2f} deg, bevel {rising[1]:.2f} deg",
                sources=(GEOMETRY, HATFIELD),
            )
        )
    return Reckoning(results, tuple(grounds), tuple(says))
