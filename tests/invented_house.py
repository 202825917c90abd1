"""A whole invented house, as large as one likes, in the survey's own form."""

from __future__ import annotations

import cmath
import math
import random
from typing import Any

USES = ("reception", "bedroom", "passage", "reception", "bedroom")
SUBSTRATES: tuple[dict[str, Any], ...] = (
    {"kind": "lime-on-brick", "plaster": 18, "condition": "sound", "finish": "paper"},
    {"kind": "lime-on-lath", "plaster": 22, "void": 75, "condition": "sound", "studs": {"centres": 356, "first": 142}},
    {"kind": "lime-on-rubble", "plaster": 25, "condition": "sound"},
)


def invented_house(rooms: int) -> dict[str, Any]:
    """The data of a survey of so many rooms of six walls.

    Every room has a skirting and a picture rail, every second a dado rail; the same number gives the same house.
    """
    dice = random.Random(rooms)
    named = [f"Room {number + 1}" for number in range(rooms)]
    return {
        "listel": 1,
        "invented": True,
        "job": {
            "title": f"An invented house of {rooms} rooms",
            "client": "An invented client",
            "surveyed": "2026-03-09",
        },
        "building": {"built": 1838, "region": "england", "protection": "listed-grade-2", "occupied": "empty"},
        "climate": {"heating": "heated"},
        "rooms": [_room(name, number, dice) for number, name in enumerate(named)],
        "trim": [
            _trim("skirting", "skirting", 225, named),
            _trim("dado rail", "dado-rail", 63, named[::2]),
            _trim("picture rail", "picture-rail", 51, named),
        ],
        "stock": [
            {"for": trim, "length": length, "price": round(length * price / 1000, 2)}
            for trim, price in (("skirting", 11), ("dado rail", 5.6), ("picture rail", 4.7))
            for length in (3000, 4200)
        ],
        "rack": [
            {"for": "dado rail", "name": f"R{number + 1}", "length": dice.randrange(900, 3000)}
            for number in range(rooms)
        ],
        "cutting": {"kerf": 3, "currency": "GBP"},
        "work": {"start": "2026-04-20", "crew": 2},
    }


def _trim(name: str, member: str, height: int, rooms: list[str]) -> dict[str, Any]:
    where = [{"room": room, "walls": "all"} for room in rooms]
    made = {"timber": "european-redwood", "finish": "paint", "moisture": 12, "longest": 4000}
    return {"name": name, "member": member, "where": where, "section": {"height": height, "projection": 24}, **made}


def _room(name: str, number: int, dice: random.Random) -> dict[str, Any]:
    walls = _walls(dice)
    walls[0]["openings"] = [
        {"kind": "window", "at": 900, "width": 1100, "height": 1900, "sill": 720, "architrave": 110}
    ]
    walls[1]["openings"] = [{"kind": "door", "at": 400, "width": 840, "height": 2032, "architrave": 110}]
    walls[1]["fittings"] = [{"kind": "switch", "at": 1500, "height": 1200, "width": 86, "depth": 86}]
    walls[2]["fittings"] = [{"kind": "socket", "at": 900, "height": 330, "width": 146, "depth": 86}]
    about = {"period": "early-victorian", "use": USES[number % len(USES)], "extent": "whole", "datum": 1000}
    return {"name": name, **about, "height": dice.randrange(2700, 3100), "walls": walls}


def _walls(dice: random.Random) -> list[dict[str, Any]]:
    """Six walls round a crooked room with an alcove: whatever the dice give, they close."""
    long, wide, alcove, deep = (dice.randrange(*span) for span in ((4200, 6000), (3200, 4600), (900, 1600), (350, 500)))
    plan = ((0, 0), (long, 0), (long, wide), (alcove, wide), (alcove, wide + deep), (0, wide + deep))
    points = [complex(x + dice.randrange(-20, 21), y + dice.randrange(-20, 21)) for x, y in plan]
    legs = [points[(at + 1) % 6] - points[at] for at in range(6)]
    return [_wall("ABCDEF"[at], legs[at], legs[(at + 1) % 6], dice) for at in range(6)]


def _wall(name: str, leg: complex, after: complex, dice: random.Random) -> dict[str, Any]:
    """A wall that runs along ``leg``, the next one along ``after``."""
    length, turn = round(abs(leg)), math.degrees(cmath.phase(after / leg))
    return {
        "name": name,
        "length": {"first": length, "second": length + dice.randrange(-1, 2)},
        "corner": {"kind": "internal" if turn > 0 else "external", "angle": round(180 - abs(turn), 1)},
        "substrate": dice.choice(SUBSTRATES),
        "moisture": 12,
        "floor": [{"at": at, "to-datum": 1000 + dice.randrange(-6, 7)} for at in (0, length)],
    }
