"""Change one number of the trade by two per cent, and see whether any test notices.

    python tests/mutation --minutes 5 --seed 3            a sample of the whole list
    python tests/mutation --plugin timber                 every number of one plugin
    python tests/mutation --list                          the list

Each number is tried in a process of its own, with the plugin's cases, its published checks, its laws and its tests. A
number that nobody notices is printed with its place. Exit status 1 where the share noticed falls below ``--least``.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from numbers_of_the_trade import Number, numbers_of
from trial import noticed

ROOT = Path(__file__).parents[2]


def main() -> int:
    """Try the numbers that were asked for, and print those that nobody notices."""
    parser = argparse.ArgumentParser(description="change one number of the trade, and see whether a test notices")
    parser.add_argument("--plugin", default="", help="numbers of this plugin only")
    parser.add_argument("--minutes", type=float, default=0.0, help="a random sample for so long (default: all)")
    parser.add_argument("--seed", type=int, default=int(time.time()), help="of the sample")
    parser.add_argument("--least", type=float, default=0.0, help="the share that must be noticed")
    parser.add_argument("--list", action="store_true", help="print the numbers and stop")
    asked = parser.parse_args()
    numbers = [number for number in numbers_of(ROOT) if asked.plugin in ("", number.plugin)]
    if asked.list:
        print(*(f"{number}" for number in numbers), f"{len(numbers)} numbers", sep="\n")
        return 0
    sound = {number.plugin: replace(number, changed=number.value) for number in numbers}
    broken = sorted(set(sound) - {number.plugin for number in _tried(list(sound.values()), float("inf"))[1]})
    if broken:
        print(f"the tests of {', '.join(broken)} fail with nothing changed")
        return 2
    random.Random(asked.seed).shuffle(numbers)
    tried, missed = _tried(numbers, time.monotonic() + asked.minutes * 60 if asked.minutes else float("inf"))
    for number in sorted(missed, key=str):
        print(f"nobody notices {number}")
    share = 1 - len(missed) / tried if tried else 1.0
    print(
        f"{tried} of {len(numbers)} numbers tried (seed {asked.seed}), {len(missed)} not noticed: {share:.1%} noticed"
    )
    return 1 if share < asked.least else 0


def _tried(numbers: list[Number], until: float) -> tuple[int, list[Number]]:
    """How many were tried, as many at once as there are processors, and those that nobody noticed."""
    running: dict[int, Number] = {}
    missed: list[Number] = []
    tried = 0
    waiting = iter(numbers)
    while True:
        while len(running) < (os.cpu_count() or 1) and time.monotonic() < until:
            number = next(waiting, None)
            if number is None:
                break
            running[noticed(ROOT, number)] = number
        if not running:
            return tried, missed
        pid, status = os.wait()
        number = running.pop(pid)
        tried += 1
        if os.waitstatus_to_exitcode(status) == 0:
            missed.append(number)


if __name__ == "__main__":
    raise SystemExit(main())
