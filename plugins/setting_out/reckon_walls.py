"""The reckoner ``bow``: results to 0.01 mm and 0.01 degree."""

from __future__ import annotations

from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Reckoning
from listel.plugins.setting_out.bows import BEAMS, bending_of, strip_on, way_round
from listel.plugins.setting_out.curve import bow_arc, bow_radius
from listel.plugins.setting_out.reckon_cuts import Given, above_nothing, rounded
from listel.plugins.setting_out.settings import allowed
from listel.plugins.site import tables


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
        row = tables.timber(given["timber"])
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
