"""How long the statement of a large house takes to render, by part, and how that grows with the rooms.

    .venv/bin/python tests/benchmarks/bench_rooms.py

The house is the stair hall example's first room over and over, six of its walls to a room. It prints, and asserts
nothing on the clock.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace
from pathlib import Path

from listel.core.commands.run import installed
from listel.core.contract.stage import READERS
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import Registry
from listel.core.survey.reading import read_survey
from listel.reports.statement import render

EXAMPLE = Path(__file__).parents[2] / "schemas" / "examples" / "stair-hall.yaml"
STEPS = (1, 5, 10, 25)


def house(rooms: int, registry: Registry) -> Outcome:
    """The outcome of a house of that many rooms; without its cutting list, which is timed elsewhere."""
    job = read_survey(EXAMPLE)
    first = next(room for room in job.rooms if len(room.walls) >= 6)
    made = tuple(replace(first, name=f"Room {number}", walls=first.walls[:6], extent="part") for number in range(rooms))
    trims = tuple(
        replace(
            trim, where=tuple(replace(trim.where[0], room=room.name, walls=(), start=None, end=None) for room in made)
        )
        for trim in job.trim[:2]
    )
    return examine(replace(job, rooms=made, trim=trims, stock=(), rack=(), records=(), departures=()), registry)


def main() -> None:
    """Print the table."""
    registry = installed(argparse.Namespace(plugin=[]))
    for rooms in STEPS:
        began = time.process_time()
        outcome = house(rooms, registry)
        examined = time.process_time() - began
        walls = sum(len(room.walls) for room in outcome.job.rooms)
        print(f"{rooms:3} rooms, {walls:4} walls, {len(outcome.findings):5} findings; examined in {examined:6.2f} s")
        for readers in READERS:
            began = time.process_time()
            page = render(outcome, readers=readers)
            print(f"    for {readers:8} {time.process_time() - began:6.2f} s, {len(page) / 1024:7.0f} KiB")


if __name__ == "__main__":
    main()
