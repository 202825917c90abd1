"""Invented houses of a terrace, in the survey's own form: one plan, walls a little longer or shorter in each."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

STOCK = (("skirting", 11.0), ("dado rail", 5.6))
LENGTHS = (2400, 3000, 3600, 4200, 4800)


def terrace(folder: Path, houses: int, streets: int = 1, seed: int = 1) -> list[Path]:
    """So many surveys written into a folder, or into ``streets`` folders of it; one seed gives the same files."""
    dice = Random(seed)
    paths = []
    for number in range(houses):
        street = folder / f"street {number % streets + 1}" if streets > 1 else folder
        street.mkdir(parents=True, exist_ok=True)
        paths.append(street / f"no-{number + 1}.yaml")
        paths[-1].write_text(json.dumps(_house(number, dice), indent=1), encoding="utf-8")
    return paths


def _house(number: int, dice: Random) -> dict[str, object]:
    rooms = ["Front parlour", "Back parlour"][: 1 + number % 2]
    return {
        "listel": 1,
        "invented": True,
        "job": {
            "title": f"An invented terraced house, number {number + 1}",
            "reference": f"T-{number + 1}",
            "surveyed": "2026-03-09",
        },
        "building": {"built": 1871, "region": "england", "protection": "none", "occupied": "empty"},
        "climate": {"heating": "heated"},
        "rooms": [_room(name, dice) for name in rooms],
        "trim": [
            {
                "name": name,
                "member": member,
                "where": [{"room": room, "walls": "all"} for room in rooms],
                "section": {"height": height, "projection": 22, "thickness": 22},
                "timber": "european-redwood",
                "finish": "paint",
                "moisture": 12,
                **({"top": 950 + 10 * (number % 3 == 2)} if member == "dado-rail" else {}),
            }
            for name, member, height in (("skirting", "skirting", 170), ("dado rail", "dado-rail", 63))
        ],
        "stock": [
            {"for": trim, "length": length, "price": round(length * price / 1000, 2)}
            for trim, price in STOCK
            for length in LENGTHS
        ],
        "cutting": {"kerf": 3, "end-trim": 10, "keep": 300, "currency": "GBP"},
        "work": {"start": f"2026-05-{4 + number % 20:02d}", "crew": 2},
    }


def _room(name: str, dice: Random) -> dict[str, object]:
    across, deep = (dice.choice((3200, 3600, 4200)) + dice.randint(-60, 60), 2800 + dice.randint(-60, 60))
    walls = [
        {
            "name": letter,
            "length": length,
            "corner": {"kind": "internal", "angle": 90},
            "substrate": {"kind": "lime-on-brick", "plaster": 18, "condition": "sound"},
        }
        for letter, length in zip("ABCD", (across, deep, across, deep), strict=True)
    ]
    wide = dice.randint(500, 1500)
    walls[0]["openings"] = [{"name": "door", "kind": "door", "at": wide, "width": 838, "height": 2032}]
    return {"name": name, "use": "reception", "height": 2750, "walls": walls}
