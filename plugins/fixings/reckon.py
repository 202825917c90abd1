"""The reckoners ``nail`` and ``lead-hole``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.plugins.fixings import american, eurocode, holes, johansen
from listel.plugins.fixings.wood import CHARACTERISTIC_SHARE, GRAVITY_DENSITY, USUAL_FRAME, USUAL_TRIM
from listel.plugins.site import tables

HEAD_DIAMETERS = 2.0
USUAL_GAUGE = 8


def reckoners() -> list[Reckoner]:
    """Both reckoners."""
    return [
        Reckoner(
            "nail",
            "A nail in timber: spacings, lead hole, withdrawal and lateral capacity, after Eurocode 5 or the NDS.",
            (
                Option("diameter", "length", "diameter of the shank", required=True, least=0.5, most=20),
                Option("length", "length", "length of the nail", least=5, most=400),
                Option("trim", "length", "thickness of the trim it passes", least=1, most=200),
                Option(
                    "plaster", "length", "plaster or hollow between trim and timber", default=0.0, least=0, most=300
                ),
                Option("head", "length", "diameter of the head (twice the shank if not given)", least=1, most=50),
                Option(
                    "timber-density",
                    "number",
                    "characteristic density of the trim, kg/m3 (Eurocode 5)",
                    least=100,
                    most=1300,
                ),
                Option(
                    "bearing-density",
                    "number",
                    "characteristic density of what bears, kg/m3; as the trim if not given",
                    least=100,
                    most=1300,
                ),
                Option("gravity", "number", "specific gravity of what bears (NDS)", least=0.1, most=1.3),
                Option("angle", "angle", "between load and grain", default=0.0, least=0, most=90),
                Option("square", "flag", "square or cut nail"),
                Option(
                    "number",
                    "count",
                    "nails in a row along the grain, at the least spacing",
                    default=1,
                    least=1,
                    most=100,
                ),
                Option("code", "choice", "timber code", default="eurocode-5", choices=("eurocode-5", "nds")),
            ),
            nail,
            {
                "mm": "least_thickness lead_hole spacings spacings_predrilled spacings_not_predrilled penetration "
                "least_penetration",
                "N/mm2": "embedment embedment_predrilled withdrawal_strength pull_through_strength",
                "N/mm": "slip_modulus withdrawal_by_depth mean_test_by_depth",
                "N mm": "yield_moment",
                "N": "withdrawal withdrawal_lasting lateral lateral_with_rope lateral_lasting_design",
            },
        ),
        Reckoner(
            "lead-hole",
            "The lead hole for a nail or screw after each source, and the one to drill.",
            (
                Option("kind", "choice", "nail or screw", default="screw", choices=("nail", "screw")),
                Option("gauge", "number", "screw gauge (No.)", least=0, most=24),
                Option("diameter", "length", "diameter of the shank, instead of a gauge", least=0.5, most=20),
                Option("timber", "word", "the timber drilled", table="timbers"),
                Option("gravity", "number", "its specific gravity, instead of its name", least=0.1, most=1.3),
                Option("hardwood", "flag", "it is a hardwood"),
                Option("near-end", "flag", "within 100 mm of an end"),
            ),
            lead_hole,
            {"mm": "diameter lead_hole figures clearance_hole"},
        ),
    ]


def positive(given: Mapping[str, Any], *names: str) -> None:
    """ValueError if one of the figures given is not above 0."""
    for name in names:
        if given[name] is not None and given[name] <= 0:
            raise ValueError(f"--{name.replace('_', '-')} is above 0")


def nail(given: Mapping[str, Any]) -> Reckoning:
    """One nail after the code asked for."""
    positive(given, "diameter", "length", "trim", "head", "timber_density", "bearing_density", "gravity", "number")
    if given["plaster"] < 0:
        raise ValueError("--plaster is 0 or more")
    return nail_nds(given) if given["code"] == "nds" else nail_eurocode(given)


def nail_nds(given: Mapping[str, Any]) -> Reckoning:
    """Allowable withdrawal by depth, and the hole; its sentence has the whole pounds an inch that the tables print."""
    diameter = given["diameter"] / american.INCH
    gravity, known = given_or(given, "gravity", tables.framing(USUAL_FRAME)["gravity"], "")
    pounds = american.nds_nail_withdrawal(gravity, diameter)
    results: dict[str, Any] = {
        "withdrawal_by_depth": round(american.per_mm(pounds), 1),
        "mean_test_by_depth": round(american.handbook_nail_withdrawal(gravity, given["diameter"], 1.0), 1),
        "lead_hole": round(american.nail_hole(gravity, given["diameter"]), 2),
        "least_penetration": american.LEAST_DEPTH * given["diameter"],
    }
    deep = penetration(given)
    if deep is not None:
        results["penetration"] = deep
        results["withdrawal"] = american.per_mm(pounds) * deep if deep >= results["least_penetration"] else 0.0
    grounds = Grounds(
        (Input("diameter", round(diameter, 4), "in"), known),
        "W = 1,380 G^2.5 D for each inch of depth in side grain",
        f"1380 x {gravity:g}^2.5 x {diameter:.4f} = {pounds:.2f}",
        f"{pounds:.2f} lb/in",
        (
            american.nds("12.2.3.1, equation 12.2-3"),
            american.nds("12.1.6.2, 12.1.6.4"),
            american.handbook("equation 8-1, the mean of tests, not to be loaded"),
        ),
    )
    return Reckoning(
        results, (grounds,), (f"Allowable withdrawal {pounds:.0f} lb for each inch of depth, for ten-year load.",)
    )


def given_or(given: Mapping[str, Any], name: str, usual: float, unit: str) -> tuple[float, Input]:
    """A figure given, or the usual one shown as assumed."""
    value = given[name]
    words = name.replace("_", " ")
    if value is not None:
        return value, Input(words, value, unit)
    return usual, Input(words, usual, unit, assumed=True, note="not given")


def penetration(given: Mapping[str, Any]) -> float | None:
    """Depth of the point in what bears, mm: length less trim and plaster; None where the length or trim is not given.

    Raises ValueError where the nail does not reach.
    """
    if given["length"] is None or given["trim"] is None:
        return None
    deep = given["length"] - given["trim"] - given["plaster"]
    if deep <= 0:
        raise ValueError("the nail does not reach what bears it: take a longer one")
    return float(deep)


def nail_eurocode(given: Mapping[str, Any]) -> Reckoning:
    """Embedment, yield moment, spacings with and without a lead hole, least thickness, withdrawal, lateral capacity."""
    diameter, square = given["diameter"], given["square"]
    if diameter > 8:
        raise ValueError("the equations cover nails up to 8 mm; a thicker one is a dowel")
    usual = tables.framing(USUAL_FRAME)["characteristic"]
    density, known = given_or(given, "timber_density", usual, "kg/m3")
    bearing, bears = given_or(given, "bearing_density", density, "kg/m3")
    head, wide = given_or(given, "head", HEAD_DIAMETERS * diameter, "mm")
    reasons = eurocode.predrill_reasons(density, diameter, given["trim"])
    hole = holes.nail_hole(diameter, density / CHARACTERISTIC_SHARE / GRAVITY_DENSITY)
    moment = eurocode.yield_moment(diameter, square=square)
    drilled = bool(reasons)
    results: dict[str, Any] = {
        "embedment": eurocode.embedment(density, diameter),
        "embedment_predrilled": eurocode.embedment(density, diameter, predrilled=True),
        "yield_moment": moment,
        "predrill": drilled,
        "least_thickness": eurocode.least_thickness(density, diameter),
        "lead_hole": round(hole.diameter, 2),
        "spacings": asdict(eurocode.spacings(density, diameter, given["angle"], drilled)),
        "spacings_predrilled": asdict(eurocode.spacings(density, diameter, given["angle"], True)),
        "withdrawal_strength": eurocode.withdrawal_strength(bearing),
        "pull_through_strength": eurocode.pull_through_strength(density),
        "slip_modulus": eurocode.slip_modulus(density / CHARACTERISTIC_SHARE, diameter, drilled),
    }
    if density <= eurocode.DENSE:
        results["spacings_not_predrilled"] = asdict(eurocode.spacings(density, diameter, given["angle"]))
    says = [
        f"Drill {hole.diameter:.1f} mm, because {' and '.join(reasons)}."
        if drilled
        else "It needs no hole, but is drilled near an end."
    ]
    deep = penetration(given)
    if deep is not None:
        results |= carried(given, density, bearing, head, deep, drilled, moment)
        in_row = results["spacings"]["along"] / diameter
        results["effective_number"] = eurocode.effective_nails(given["number"], in_row)
        says.append(
            f"Characteristic withdrawal {results['withdrawal']:.0f} N for loads that pass; smooth nails get none "
            f"for loads that last."
        )
    grounds = Grounds(
        (Input("diameter", diameter, "mm"), known, bears, wide),
        "f_ax = 20e-6 rho^2; F_ax = least of f_ax d t_pen k and f_ax d t + f_head d_h^2; lateral: least mode "
        "after Johansen, no rope",
        f"penetration {deep:g} mm" if deep is not None else "length and trim not given",
        f"{results['withdrawal']:.0f} N characteristic" if deep is not None else "",
        (
            eurocode.clause("equations 8.6, 8.14 to 8.18, 8.24 to 8.26; 8.3.2(1), 8.3.2(7); Tables 7.1, 8.2"),
            hole.source,
        ),
    )
    return Reckoning(results, (grounds,), tuple(says))


def carried(
    given: Mapping[str, Any], density: float, bearing: float, head: float, deep: float, drilled: bool, moment: float
) -> dict[str, Any]:
    """Withdrawal and lateral capacity of a nail of known depth, characteristic, N; plaster counts as a gap."""
    diameter, trim = given["diameter"], given["trim"]
    strengths = (eurocode.embedment(density, diameter, drilled), eurocode.embedment(bearing, diameter, drilled))
    mode, lateral = johansen.single_shear(trim, deep, *strengths, moment, diameter)
    if given["plaster"]:
        across = johansen.across_gap(trim, deep, *strengths, moment, diameter, given["plaster"])
        mode, lateral = min((mode, lateral), across, key=lambda each: each[1])
    pull = eurocode.nail_withdrawal(bearing, diameter, deep, trim, head, density)
    kind = "square" if given["square"] else "round"
    return {
        "penetration": deep,
        "least_penetration": eurocode.LEAST_SMOOTH * diameter,
        "penetration_factor": eurocode.penetration_factor(deep, diameter),
        "withdrawal": pull,
        "withdrawal_lasting": pull if eurocode.may_hold_lasting_pull(kind) else 0.0,
        "lateral": lateral,
        "lateral_mode": mode,
        "lateral_with_rope": lateral + eurocode.rope(lateral, pull, kind) if mode in "cdef" else lateral,
        "lateral_lasting_design": eurocode.design(lateral),
    }


def lead_hole(given: Mapping[str, Any]) -> Reckoning:
    """The hole after each source, and the one we drill."""
    positive(given, "diameter", "gravity")
    row = tables.timber(given["timber"] or USUAL_TRIM)
    gravity = given["gravity"] if given["gravity"] is not None else float(row["gravity"])
    hard = given["hardwood"] or row["kind"] == "hardwood"
    assumed = given["timber"] is None and given["gravity"] is None and not given["hardwood"]
    diameter, shank = shank_of(given)
    if given["kind"] == "nail":
        found, one, clear = holes.nail_holes(diameter, gravity), holes.nail_hole(diameter, gravity), None
    else:
        found, one = holes.screw_holes(diameter, hard), holes.screw_hole(diameter, hard, given["near_end"])
        clear = round(holes.clearance(diameter), 2)
    results: dict[str, Any] = {
        "diameter": round(diameter, 2),
        "lead_hole": round(one.diameter, 2),
        "chosen": one.by,
        "figures": {hole.by: round(hole.diameter, 2) for hole in found},
    }
    if clear is not None:
        results["clearance_hole"] = clear
    wood = Input(
        "timber",
        row.name if given["timber"] or assumed else "as given",
        assumed=assumed,
        note="not given" if assumed else "",
    )
    grounds = Grounds(
        (
            shank,
            wood,
            Input("gravity", gravity, assumed=assumed),
            Input("hardwood", "yes" if hard else "no", assumed=assumed),
        ),
        "screws: Eurocode 5 in hardwood and near an end, else the printed table; nails: the lesser of what the "
        "sources allow",
        "; ".join(f"{hole.by}: {hole.diameter:.2f} mm" for hole in found),
        f"{one.diameter:.2f} mm",
        (*dict.fromkeys(hole.source for hole in found), holes.RULE),
    )
    low, high = min(hole.diameter for hole in found), max(hole.diameter for hole in found)
    says = f"Drill {one.diameter:.1f} mm; the sources run from {low:.1f} to {high:.1f} mm."
    return Reckoning(results, (grounds,), (says,))


def shank_of(given: Mapping[str, Any]) -> tuple[float, Input]:
    """The shank diameter in mm with its input: given, from the gauge, or of the usual No. 8 screw, shown as assumed."""
    if given["diameter"] is not None:
        return given["diameter"], Input("diameter", given["diameter"], "mm")
    if given["kind"] == "nail":
        raise ValueError("give the nail's --diameter")
    gauge, known = given_or(given, "gauge", USUAL_GAUGE, "")
    if not 0 <= gauge <= 24:
        raise ValueError("screw gauges run from 0 to 24")
    return holes.gauge_diameter(gauge), known
