"""Change one number of the trade by two per cent, and see whether any test notices.

    python tests/mutation                             the whole list
    python tests/mutation --plugin timber             every number of one plugin
    python tests/mutation --most 400 --seed 7         a sample of the whole list
    python tests/mutation --minutes 3                 the sample of the day, as long as that
    python tests/mutation --list                      the list
    python tests/mutation --among missed.txt          those that stand in a list, or in what was printed before

Each number is tried with the plugin's cases, its published checks, its tests and its laws with few examples; a number
of the site with those of the plugins that lean on it. What nobody notices is printed with its place. Exit status 1
where the share noticed falls below ``--least``, 2 where a test fails with nothing changed.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import random
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import jsonschema  # noqa: F401  (what tests load, loaded once)
import pytest
from numbers_of_the_trade import Number, numbers_of
from trial import QUICK, UNTRIED, Trials, files_for, noticed_anew

ROOT = Path(__file__).resolve().parents[2]
BROKEN: list[str] = []
"""Tests that fail with nothing changed."""


def main() -> int:
    """Try the numbers that were asked for, and print those that nobody notices."""
    parser = argparse.ArgumentParser(description="change one number of the trade, and see whether a test notices")
    parser.add_argument("--plugin", default="", help="numbers of this plugin only")
    parser.add_argument("--file", default="", help="numbers of files whose name holds this only")
    parser.add_argument("--among", type=Path, help="numbers that this file lists only")
    parser.add_argument(
        "--minutes",
        type=float,
        default=0.0,
        help="a random sample for so long, once the tests were read (default: all)",
    )
    parser.add_argument("--most", type=int, default=0, help="a random sample of so many at most (default: all)")
    parser.add_argument(
        "--seed", type=int, default=int(time.time() / 86400), help="of the sample (default: of the day)"
    )
    parser.add_argument("--least", type=float, default=0.0, help="the share that must be noticed")
    parser.add_argument("--no-laws", action="store_true", help="leave out the laws, which take most of the time")
    parser.add_argument("--at-once", type=int, default=os.cpu_count() or 1, help="processes at once")
    parser.add_argument("--list", action="store_true", help="print the numbers and stop")
    parser.add_argument("--who", action="store_true", help="print who notices each number too")
    asked = parser.parse_args()
    numbers = [n for n in numbers_of(ROOT) if asked.plugin in ("", n.plugin) and asked.file in n.file]
    if asked.among:
        listed = re.findall(r"plugins/.*: \S+", asked.among.read_text("utf-8"))
        numbers = [number for number in numbers if str(number) in listed]
    if asked.list:
        print(*(f"{number}" for number in numbers), f"{len(numbers)} numbers", sep="\n")
        return 0
    if asked.most or asked.minutes:
        random.Random(asked.seed).shuffle(numbers)
        numbers = numbers[: asked.most or None]
    noticed = dict(_tried(numbers, asked))
    tried, missed = Counter(number.plugin for number in noticed), Counter[str]()
    for number, who in sorted(noticed.items(), key=lambda each: str(each[0])):
        if not who:
            missed[number.plugin] += 1
        elif asked.who:
            print(f"{number}  <- {who}")
    for plugin, count in sorted(tried.items()):
        print(f"{plugin:12} {count - missed[plugin]:5} of {count:5} noticed")
    share = 1 - missed.total() / max(1, tried.total())
    print(f"{tried.total()} of {len(numbers)} numbers tried (seed {asked.seed}), {share:.1%} noticed")
    return 2 if BROKEN else 1 if share < asked.least else 0


def _tried(numbers: list[Number], asked: argparse.Namespace) -> Iterator[tuple[Number, str]]:
    """Each number that was tried until then, and the test that noticed it."""
    os.chdir(ROOT)
    tried = 0
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TMPDIR"] = tempfile.tempdir = folder
        for place, who in _in_loaded(numbers, asked):
            if place is None:
                BROKEN.append(str(who))
                print(f"fails with nothing changed: {who}", flush=True)
                continue
            if who is None:
                who = "listel loaded anew" if noticed_anew(ROOT, numbers[place]) else ""
            if who == UNTRIED:
                print(f"{UNTRIED}: {numbers[place]}", flush=True)
                continue
            tried += 1
            if not who:
                print(f"nobody notices {numbers[place]} ({tried} tried)", flush=True)
            yield numbers[place], who


def _in_time(numbers: list[Number], minutes: float) -> Iterator[Number]:
    """As many of them as are asked for in so long, from the first on; all where it is 0."""
    until = time.monotonic() + minutes * 60 if minutes else float("inf")
    yield from itertools.takewhile(lambda _: time.monotonic() < until, numbers)


def _in_loaded(numbers: list[Number], asked: argparse.Namespace) -> Iterator[tuple[int | None, str | None]]:
    """The same, by place in the list, from a child process in which all is loaded; this one stays clean."""
    reading, writing = os.pipe()
    pid = os.fork()
    if not pid:
        os.close(reading)
        with os.fdopen(writing, "w", encoding="utf-8") as pipe:
            places = {number: place for place, number in enumerate(numbers)}

            def tell(number: Number | None, who: str | None) -> None:
                print(json.dumps([None if number is None else places[number], who]), file=pipe, flush=True)

            in_time = _in_time(numbers, asked.minutes)
            files = sorted({file for number in numbers for file in files_for(ROOT, number)})
            files = [file for file in files if not (asked.no_laws and "properties" in file)]
            status = pytest.main([*QUICK, *files], plugins=[Trials(ROOT, in_time, asked.at_once, tell)])
        os._exit(int(status))
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as pipe:
        for line in pipe:
            place, who = json.loads(line)
            yield place, who
    if os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) not in (0, 5):
        raise SystemExit(2)


if __name__ == "__main__":
    raise SystemExit(main())
