"""The reckoners ``joint`` and ``bead``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.plugins.bonding.allowances import allowance, value
from listel.plugins.bonding.beads import CARTRIDGES, bead_volume, cartridges, with_waste
from listel.plugins.bonding.strain import (
    classes,
    fillers,
    joint_depth,
    least_class,
    least_width,
    refusal,
    strain,
)


def _joint(given: Mapping[str, Any]) -> Reckoning:
    width, movement = given["width"], given["movement"]
    percent = strain(width, movement)
    iso, astm = least_class(percent, "iso"), least_class(percent, "astm")
    refused = {row.name: reason for row in fillers() if (reason := refusal(row, width, movement))}
    results = {
        "strain": percent,
        "least_class": iso["movement"] if iso else None,
        "astm_class": astm["movement"] if astm else None,
        "least_width": {
            row.name: least_width(movement, row["movement"]) for row in (*classes("iso"), *classes("astm"))
        },
        "depth": joint_depth(width),
        "serve": [row.name for row in fillers() if "gap" in row["serves"] and row.name not in refused],
        "refused": refused,
    }
    served = iso.name if iso else "no class of ISO 11600"
    grounds = Grounds(
        inputs=(Input("width", width, "mm"), Input("movement", movement, "mm")),
        formula="strain = movement / width; the least class not below it; least width = movement / class",
        worked=f"{movement:g} / {width:g} = {percent:.1f} %",
        result=f"{percent:.1f} %: {served}",
        sources=tuple(source for row in (classes("iso")[0], classes("astm")[0]) for source in row.sources),
    )
    return Reckoning(results, (grounds,), (f"The joint is strained {percent:.1f} %: {served} serves.",))


def _bead(given: Mapping[str, Any]) -> Reckoning:
    waste = given["waste"] if given["waste"] is not None else value("waste")
    net = bead_volume(given["length"], given["diameter"], given["zig_zag"] or 0.0)
    volume = with_waste(net, waste)
    size = given["cartridge"]
    results: dict[str, Any] = {"net_volume": net, "volume": volume}
    sizes = (size,) if size is not None else CARTRIDGES
    counts = {one: cartridges(volume, one) for one in sizes}
    results["cartridges"] = [{"size": one, "count": count} for one, count in counts.items()]
    told = ", or ".join(f"{count} of {one:g} ml" for one, count in counts.items())
    grounds = Grounds(
        inputs=(
            Input("length", given["length"], "mm"),
            Input("diameter", given["diameter"], "mm"),
            Input("zig-zag", given["zig_zag"] or 0.0, "deg"),
            Input("waste", waste, "%", 0, given["waste"] is None, note=allowance("waste").sources[0].title),
        ),
        formula="pi x diameter squared / 4 x length / cosine of the zig-zag, divided by (1 - waste)",
        worked=f"{net:.1f} ml / (1 - {waste / 100:g}) = {volume:.1f} ml",
        result=told,
        sources=(GEOMETRY,),
    )
    return Reckoning(results, (grounds,), (f"{volume:.0f} ml, waste included: {told}.",))


def reckoners() -> list[Reckoner]:
    """The two reckoners."""
    return [
        Reckoner(
            "joint",
            "how hard movement strains a joint, the least movement class that serves, and the least width",
            (
                Option("width", "length", "width of the joint", required=True, least=0.2, most=100),
                Option("movement", "length", "movement to come", required=True, least=0, most=100),
            ),
            _joint,
            {"%": "strain least_class astm_class", "mm": "least_width depth"},
        ),
        Reckoner(
            "bead",
            "how much adhesive or sealant a bead takes, in cartridges",
            (
                Option("length", "length", "length of the piece", required=True, least=20, most=200000),
                Option("diameter", "length", "diameter of the bead", required=True, least=1, most=30),
                Option("cartridge", "number", "ml in a cartridge; without it every usual size", least=20, most=1500),
                Option("waste", "percent", "share of each cartridge that is lost (10 if not given)", least=0, most=95),
                Option("zig-zag", "angle", "angle of a zig-zag bead off the run of the piece", least=0, most=85),
            ),
            _bead,
            {"ml": "net_volume volume size"},
        ),
    ]
