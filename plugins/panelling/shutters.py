"""The reckoner ``shutters``: the leaves of one side of a window, and the boxing they fold into."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from typing import Any

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.contract.tables import load_table
from listel.plugins.panelling.stage import allowed, figure


def leaf_widths(width: float, breadth: float) -> tuple[float, ...]:
    """What each leaf of one side covers of half a window, the front one as wide as its boxing and each behind it
    narrower by the same [mm]. Raises ValueError where the boxing is as broad as half of the window, which one leaf
    covers, or so narrow that the innermost leaf would have no width."""
    half = width / 2
    if breadth >= half:
        return (half,)
    count = ceil(half / breadth - 1e-9)
    less = (count * breadth - half) / (count * (count - 1) / 2)
    return tuple(breadth - number * less for number in range(count))


def shutters(given: Mapping[str, Any]) -> Reckoning:
    """Leaves, with their rebates, and the depth of the boxing. Raises ValueError where the thicknesses are not as many
    as the leaves."""
    widths = leaf_widths(given["width"], given["breadth"])
    thick = given["leaf"] or []
    rebate, room = allowed("leaf-rebate"), allowed("leaf-room")
    if thick and len(thick) != len(widths):
        raise ValueError(f"this window takes {len(widths)} leaves a side; give as many thicknesses, not {len(thick)}")
    depth = sum(thick) + len(thick) * figure(room)
    results: dict[str, Any] = {
        "leaves": len(widths),
        "covers": [round(width, 2) for width in widths],
        "timber": round(sum(widths) + (len(widths) - 1) * figure(rebate), 2),
    }
    results |= {"depth": round(depth, 2)} if thick else {}
    says = [f"{len(widths)} leaves a side cover {', '.join(f'{width:.1f}' for width in widths)} mm, front leaf first."]
    says += [f"The boxing is {depth:.1f} mm deep inside for the leaves folded."] if thick else []
    table = load_table("listel.plugins.panelling", "allowances")
    grounds = Grounds(
        (
            Input("width of the window", given["width"], "mm"),
            Input("breadth of the boxing", given["breadth"], "mm"),
            rebate,
            *((room,) if thick else ()),
        ),
        "half of the window; the front leaf as wide as the boxing, each behind it narrower by the same",
        " + ".join(f"{width:g}" for width in widths) + f" = {sum(widths):g}",
        sources=(GEOMETRY, *table.row("leaf-rebate").sources),
    )
    return Reckoning(results, (grounds,), tuple(says))


SHUTTERS = Reckoner(
    "shutters",
    "Leaves of folding shutters and the depth of their boxing",
    (
        Option("width", "length", "clear width of the window between the boxings", required=True),
        Option(
            "breadth", "length", "breadth of the boxing, from the sash frame to the face of the room", required=True
        ),
        Option("leaf", "length", "thickness of a leaf, front one first", many=True),
    ),
    shutters,
)
