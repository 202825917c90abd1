"""The reckoners ``moisture`` and ``movement``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.plugins.site import tables
from listel.plugins.timber.sorption import (
    COLDEST,
    HANDBOOK_SORPTION,
    HOTTEST,
    equilibrium_moisture,
    humidity_for,
)
from listel.plugins.timber.species import Direction, Species, species_named
from listel.plugins.timber.swelling import FIBRE_SATURATION, HANDBOOK_SWELLING, in_linear_range


def _moisture(given: Mapping[str, Any]) -> Reckoning:
    temperature, humidity, wanted = given["temperature"], given["humidity"], given["emc"]
    if (humidity is None) == (wanted is None):
        raise ValueError("give either --humidity (for the moisture) or --emc (for the humidity)")
    says = (
        ()
        if COLDEST <= temperature <= HOTTEST
        else (f"Outside {COLDEST:g} to {HOTTEST:g} C the equation is stretched.",)
    )
    if wanted is not None:
        humidity = humidity_for(temperature, wanted)
        results = {"humidity": humidity, "emc": wanted}
        result = f"{humidity:.1f} % relative humidity"
        asked = Input("moisture", wanted, "%")
    else:
        results = {"emc": equilibrium_moisture(temperature, humidity)}
        result = f"{results['emc']:.1f} % moisture content"
        asked = Input("relative humidity", humidity, "%")
    grounds = Grounds(
        inputs=(Input("temperature", temperature, "C"), asked),
        formula="(1800 / W) x (K h / (1 - K h) + (K1 K h + 2 K1 K2 (K h)^2) / (1 + K1 K h + K1 K2 (K h)^2))",
        worked=f"h = {humidity / 100:.3f}, T = {temperature:g} C",
        result=result,
        sources=(HANDBOOK_SORPTION,),
        uncertainty="single species lie within about 1 point; wetting and drying differ by 1 to 4 points",
    )
    return Reckoning(results, (grounds,), (f"Timber there comes to {results['emc']:.1f} %.", *says))


def _movement(given: Mapping[str, Any]) -> Reckoning:
    one = species_named(given["timber"])
    width, first, last = given["width"], given["from"], given["to"]
    if width <= 0 or min(first, last) < 0:
        raise ValueError("the width is above 0 and moistures are 0 % or more")
    pairs: tuple[tuple[str, Direction], ...] = (("tangential", "tangential"), ("radial", "radial"))
    if one.is_board:
        pairs = (("plane", "plane"), ("thickness", "through"))
    results: dict[str, float] = {}
    grounds = []
    for name, direction in pairs:
        handbook = one.handbook_changes(direction, width, first, last)
        every = one.changes(direction, width, first, last)
        results[name] = max(handbook, key=abs)
        results[f"{name}_most"] = max(every, key=abs)
        grounds.append(_movement_grounds(one, name, direction, given, every))
    told = ", ".join(f"{name} {results[name]:+.2f} mm" for name, _ in pairs)
    return Reckoning(results, tuple(grounds), (f"{one.name}, {width:g} mm: {told}.",))


def _movement_grounds(
    one: Species, name: str, direction: Direction, given: Mapping[str, Any], every: tuple[float, ...]
) -> Grounds:
    width, first, last = given["width"], given["from"], given["to"]
    linear = one.is_board or in_linear_range(first, last)
    low, high = one.coefficients(direction) if linear else tables.both(one.row[f"shrinkage_{direction}"])
    places = 5 if linear else 1
    shown = " to ".join(f"{each:.{places}f}" for each in dict.fromkeys((low, high)))
    greatest = max(one.handbook_changes(direction, width, first, last), key=abs)
    if linear:
        used, unit, worked = "coefficient", "per 1 %", f"{width:g} x {high:.5f} x ({last:g} - {first:g})"
    else:
        full = one.row.get("fibre_saturation", FIBRE_SATURATION)
        start, end = min(first, full), min(last, full)
        used, unit = "shrinkage", "%"
        worked = f"{width:g} x ({end:g} - {start:g}) / (100 x {full:g} / {high:g} - {full:g} + {start:g})"
    swelling = " to ".join(f"{each:g}" for each in dict.fromkeys(one.swelling(direction)))
    return Grounds(
        inputs=(
            Input("timber", one.name),
            Input("width", given["width"], "mm"),
            Input("from", given["from"], "%"),
            Input("to", given["to"], "%"),
            Input(f"{name} {used}", shown, unit),
            *([Input(f"{name} swelling", swelling, "% per 1 %")] if swelling else []),
        ),
        formula="width x coefficient x change of moisture from 6 to 14 %; outside, width x change of moisture / (100 x "
        "fibre saturation / shrinkage - fibre saturation + first moisture)",
        worked=f"{worked} = {greatest:+.2f}",
        result=f"{min(every, key=abs):+.2f} to {max(every, key=abs):+.2f} mm over all published figures",
        sources=(*one.sources, HANDBOOK_SWELLING),
    )


def reckoners() -> list[Reckoner]:
    """The two reckoners."""
    return [
        Reckoner(
            "moisture",
            "the moisture timber comes to in air of a temperature and humidity, or the humidity for a moisture",
            (
                Option("temperature", "temperature", "air temperature", required=True, least=-40, most=60),
                Option("humidity", "percent", "relative humidity", least=5, most=100),
                Option("emc", "percent", "moisture to find the humidity for", least=1, most=40),
            ),
            _moisture,
            {"%": "humidity emc"},
        ),
        Reckoner(
            "movement",
            "how far a width of timber moves between two moistures",
            (
                Option("timber", "word", "the timber", required=True, table="timbers"),
                Option("width", "length", "the width", required=True, least=3, most=5000),
                Option("from", "percent", "moisture first", required=True, least=0, most=100),
                Option("to", "percent", "moisture last", required=True, least=0, most=100),
            ),
            _movement,
            {"mm": "tangential tangential_most radial radial_most plane plane_most thickness thickness_most"},
        ),
    ]
