"""The reckoners of cuts, ``mitre``, ``sprung`` and ``rake``: results to 0.01 mm and 0.01 degree."""

from __future__ import annotations

from collections.abc import Mapping
from math import radians, tan
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Reckoning
from listel.plugins.closure import assumed, through_room
from listel.plugins.setting_out.angles import (
    cut_angle,
    face_allowance,
    joint_gap,
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


def corner_of(given: Given) -> tuple[float, Input, Input]:
    """The corner through the room [deg], and how corner and kind are shown."""
    kind = given["kind"] or "internal"
    theta = through_room(given["corner"], kind)
    if given["corner"] >= 180:
        other = "external" if kind == "internal" else "internal"
        raise ValueError(
            f"an {kind} corner of {given['corner']:g} degrees cannot be: give it as {other}, "
            f"{360 - given['corner']:g} degrees"
        )
    shown = Input(
        "kind of corner",
        kind,
        assumed=given["kind"] is None,
        note="internal unless said otherwise" if given["kind"] is None else "",
    )
    return theta, Input("corner, as the bevel reads it", given["corner"], "deg"), shown


def above_nothing(given: Given, *names: str) -> None:
    """ValueError for a length that is nothing or less."""
    for name in names:
        if given[name] is not None and given[name] <= 0:
            raise ValueError(f"the {name.replace('_', ' ')} must be above nothing: {given[name]:g} mm cannot be")


def mitre(given: Given) -> Reckoning:
    """Cut of a flat moulding at a corner: half of the measured angle, and what that does to the face."""
    above_nothing(given, "projection", "other_projection")
    theta, corner, kind = corner_of(given)
    angle, reading = cut_angle(theta), saw_reading(theta)
    results: dict[str, Any] = {
        "cut_angle": rounded(angle),
        "saw_reading": rounded(reading),
        "long_point": "back" if theta < 180 else "face",
    }
    inputs, projection = [corner, kind], given["projection"]
    says = [
        f"Cut at {angle:.2f} degrees from the length of the moulding: a saw whose scale reads 0 for a square cut "
        f"shows {reading:.2f}."
    ]
    if projection is not None:
        inputs.append(Input("projection", projection, "mm"))
        allowance = face_allowance(projection, theta)
        sigma, shown = assumed("bevel")
        error = given["error"] if given["error"] is not None else sigma
        inputs.append(Input("error of the angle", error, "deg") if given["error"] is not None else shown)
        gap = joint_gap(projection, theta, error)
        results |= {
            "face_allowance": rounded(allowance),
            "mitre_line": rounded(mitre_line(projection, theta)),
            "gap": rounded(gap),
        }
        says.append(
            f"The face is {abs(allowance):.2f} mm {'shorter' if allowance < 0 else 'longer'} than the back at "
            "this end. "
            f"An angle {error:g} degrees out opens {gap:.2f} mm."
        )
        if given["other_projection"] is not None:
            first, second, along_first, along_second = unequal_mitre(projection, given["other_projection"], theta)
            inputs.append(Input("projection of the other piece", given["other_projection"], "mm"))
            results |= {
                "cut_angle": rounded(first),
                "saw_reading": rounded(90 - first),
                "other_cut_angle": rounded(second),
                "other_saw_reading": rounded(90 - second),
                "face_allowance": rounded(-along_first),
                "other_face_allowance": rounded(-along_second),
            }
            says = [
                f"Unequal projections: cut this piece at {first:.2f} and the other at {second:.2f} degrees from "
                "their length. "
                "Their profiles meet only if the projections keep one ratio at every height."
            ]
    grounds = Grounds(
        tuple(inputs),
        "half of the corner, from the length; 90 less that on the saw; face less back = -projection x cot(corner "
        "through the room / 2)",
        f"{given['corner']:g} / 2 = {angle:.2f}; 90 - {angle:.2f} = {reading:.2f}",
        f"{angle:.2f} deg from the length, {reading:.2f} deg on the saw",
        (GEOMETRY,),
    )
    return Reckoning(results, (grounds,), tuple(says))


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
