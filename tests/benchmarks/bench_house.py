"""How long a whole house takes, by part, and how that grows with the number of its rooms:

    .venv/bin/python tests/benchmarks/bench_house.py

Each time is a ratio to that of the smallest house, beside the ratio of the rooms: what grows faster than the rooms is
marked. Times are of the processor, so a busy machine tells the same. It prints and asserts nothing on the clock.
"""

from __future__ import annotations

import json
import resource
import sys
from collections import Counter
from pathlib import Path
from time import process_time
from typing import Any
from unittest.mock import patch

sys.path.insert(0, str(Path(__file__).parents[1]))

from invented_house import invented_house

from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.setting_out import SettingOut
from listel.reports import drawings
from listel.reports.statement import render

SIZES = (10, 50, 200)
WORTH_MARKING = 0.05
"""Seconds under which growth is not marked: it is mostly chance."""


def parts(rooms: int) -> tuple[dict[str, float], str]:
    """Seconds by part for a house of so many rooms, and what came of it in words."""
    text = json.dumps(invented_house(rooms), indent=1)
    took: Counter[str] = Counter()

    began = process_time()
    job = job_from_text(text)
    took["read the survey"] = process_time() - began

    began = process_time()
    outcome = examine(job, load([]))
    took["examine, all stages"] = process_time() - began
    for ran in outcome.ran:
        took[f"  stage {ran.stage}"] = ran.seconds

    draw = drawings.draw

    def timed(name: str, *given: Any, **keys: Any) -> drawings.Drawing:
        started = process_time()
        made = draw(name, *given, **keys)
        took[f"  drawing {name}"] += process_time() - started
        return made

    began = process_time()
    with patch.object(drawings, "draw", timed):
        page = render(outcome)
    whole = process_time() - began
    drawn = sum(seconds for part, seconds in took.items() if part.startswith("  drawing"))
    took["render the statement"] = whole
    took["  words and tables"] = whole - drawn

    began = process_time()
    render(outcome, readers="workshop")
    took["render the workshop pack"] = process_time() - began

    walls = sum(len(room.walls) for room in job.rooms)
    pieces = len(outcome.sheet[SettingOut].pieces)
    told = f"{rooms} rooms, {walls} walls, {pieces} pieces, {len(outcome.findings)} findings, {len(page) / 1e6:.1f} MB"
    return took, f"{told}; memory at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB so far"


def main() -> None:
    """Print the table."""
    parts(1)
    houses = {rooms: parts(rooms) for rooms in SIZES}
    for _, told in houses.values():
        print(told)
    first = SIZES[0]
    print(f"{'':28}" + "".join(f"{f'{rooms} rooms':>18}" for rooms in SIZES))
    for part, once in sorted(houses[SIZES[-1]][0].items(), key=lambda row: list(houses[first][0]).index(row[0])):
        row = f"{part:28}"
        for rooms in SIZES:
            seconds, base = houses[rooms][0][part], houses[first][0][part]
            ratio = seconds / base if base else 0.0
            row += f"{seconds:9.3f} s {ratio:6.1f}x"
        print(row + ("  faster than the rooms" if once > WORTH_MARKING and ratio > 1.25 * SIZES[-1] / first else ""))


if __name__ == "__main__":
    main()
