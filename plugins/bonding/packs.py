"""What is bought as it is sold: whose counter it stands on, and how many packs of which size."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import ceil

from listel.core.contract.tables import load_table
from listel.plugins.bonding.results import Consumable, Material


def sold(kind: str, material: Material, *, american: bool) -> Material:
    """The material with its merchant and its packs: the smallest that holds it, else as many of the largest.

    KeyError for a kind that the table ``packs`` does not have.
    """
    row = load_table(__package__, "packs").row(kind)
    packs = row.get("us", row["packs"]) if american else row["packs"]
    size, words = next((pack for pack in packs if pack[0] >= material.quantity - 1e-9), packs[-1])
    return replace(material, merchant=row["merchant"], count=ceil(material.quantity / size - 1e-9), pack=words)


def consumables(works: Iterable[str]) -> Iterator[Consumable]:
    """What work of those kinds uses up besides: "all", "paint", "glue", "plugs"."""
    wanted = {"all", *works}
    for row in load_table(__package__, "packs").rows:
        if row.get("for") in wanted:
            yield Consumable(what=row["what"], take=row["take"], merchant=row["merchant"])
