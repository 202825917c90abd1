"""How long one wall takes that carries very much: two thousand sockets, as many doors, or a run in very short pieces.

    .venv/bin/python tests/benchmarks/bench_wall.py [sockets doors pieces]

Times are of the processor; each is told beside that of a wall of a quarter as much. It prints and asserts nothing.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from time import process_time
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from invented_house import invented_house

from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.reports.statement import render


def sockets(count: int) -> dict[str, Any]:
    """A wall with so many sockets over its skirting."""
    socket = {"kind": "socket", "height": 330, "width": 60, "depth": 60}
    return _one_wall(LONGEST, ["skirting"], fittings=[{**socket, "at": at} for at in _stations(count)])


def doors(count: int) -> dict[str, Any]:
    """A wall with so many doors, each with its new architrave."""
    door = {"kind": "door", "width": 60, "height": 2032, "architrave": 10}
    return _one_wall(LONGEST, ["skirting", "architrave"], openings=[{**door, "at": at} for at in _stations(count)])


def pieces(count: int) -> dict[str, Any]:
    """A wall whose skirting comes in so many pieces of 300 mm."""
    return _one_wall(300 * count, ["skirting"], longest=300)


LONGEST = 200_000
"""The longest wall that a survey may hold, mm."""


def _stations(count: int) -> list[int]:
    return [20 + LONGEST * number // count for number in range(count)]


def _one_wall(length: int, members: list[str], longest: int = 4000, **holds: Any) -> dict[str, Any]:
    survey = invented_house(1)
    room = survey["rooms"][0]
    wall = {"name": "A", "length": length, "substrate": {"kind": "lime-on-brick", "plaster": 18}, **holds}
    made = {"timber": "european-redwood", "finish": "paint", "moisture": 12, "longest": longest}
    trims = [
        {"name": member, "member": member, "where": [{"room": room["name"], "walls": "all"}], **made}
        for member in members
    ]
    sections = {"skirting": {"height": 225, "projection": 24}, "architrave": {"height": 10, "projection": 24}}
    return {
        **survey,
        "rooms": [{**room, "extent": "part", "walls": [wall]}],
        "trim": [{**trim, "section": sections[trim["member"]]} for trim in trims],
        "stock": [{"for": member, "length": 4200, "price": 40} for member in members],
        "rack": [],
    }


def times(survey: dict[str, Any]) -> dict[str, float]:
    """Seconds of the processor to examine it and to render its statement, and those of each stage as they went by."""
    job = job_from_text(json.dumps(survey, indent=1))
    began = process_time()
    outcome = examine(job, load([]))
    took = {"examine": process_time() - began}
    began = process_time()
    render(outcome)
    return {**took, "render": process_time() - began, **{f"  {ran.stage}": ran.seconds for ran in outcome.ran}}


def main() -> None:
    """Print the table."""
    sizes = {"sockets": (sockets, 2000), "doors": (doors, 1900), "pieces": (pieces, 666)}
    for name in sys.argv[1:] or sizes:
        made, count = sizes[name]
        less, more = times(made(count // 4)), times(made(count))
        print(f"{count} {name}")
        for part, seconds in more.items():
            if seconds > 0.05:
                print(f"  {part:20} {seconds:8.2f} s {seconds / max(less[part], 1e-3):6.1f} times a quarter's")


if __name__ == "__main__":
    main()
