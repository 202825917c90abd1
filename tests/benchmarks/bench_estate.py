"""How long many houses take, and the timber of them all pooled; how that grows with their number:

    .venv/bin/python tests/benchmarks/bench_estate.py [HOUSES ...]

For each number of invented houses: seconds and memory of examining one after another, and of the pooled plan with its
distance from its bound; then the plan alone for so many pieces (``--pieces N``). It prints, and asserts nothing on the
clock.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import resource
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from random import Random
from time import perf_counter, process_time

sys.path.insert(0, str(Path(__file__).parents[1]))

from invented_terrace import LENGTHS, terrace

from listel.core.commands.cli import main
from listel.plugins.cutting import Share, TrimCutting, pooled
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece, PieceEnd


def memory() -> float:
    """The most this process has held, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def houses(count: int, jobs: int) -> None:
    """So many houses from nothing, and once more with nothing changed."""
    with tempfile.TemporaryDirectory() as folder:
        terrace(Path(folder), count, streets=max(1, count // 50))
        for what in ("examined", "again"):
            began = perf_counter()
            with contextlib.redirect_stdout(io.StringIO()):
                main(["estate", folder, "--jobs", str(jobs)])
            took = perf_counter() - began
            print(f"{count:6} houses {what:9} {took:9.1f} s, {1000 * took / count:7.0f} ms a house, {memory():6.0f} MB")


def shares(pieces: int, each: int = 20) -> list[Share]:
    """Houses of so many pieces each, of lengths as rooms have them."""
    dice = Random(pieces)
    end = PieceEnd(kind="square")
    boards = tuple(
        BoardCheck(
            board=f"stock {length} mm",
            trim="skirting",
            rack=False,
            length=float(length),
            price=round(length * 0.011, 2),
            clear=((10.0, length - 10.0),),
        )
        for length in LENGTHS
    )
    found = []
    for number in range(pieces // each):
        lengths = [float(dice.randint(300, 4700)) for _ in range(each)]
        own = tuple(
            Piece(
                label=f"S-{n}",
                room="Hall",
                wall="A",
                trim="skirting",
                start=0.0,
                end=length,
                back=length,
                face=length,
                overall=length,
                left=end,
                right=end,
            )
            for n, length in enumerate(lengths)
        )
        line = TrimCutting(trim="skirting", priced=True, cost=1e9)
        found.append(
            Share(
                house=f"no-{number + 1}",
                alike=("skirting", "170 x 22", "", "", "", "GBP"),
                pieces=own,
                boards=boards,
                own=line,
                kerf=3.0,
                end_trim=10.0,
                keep=300.0,
                rack_price=0.0,
                spare=0.0,
            )
        )
    return [replace(share, begins=f"2026-05-{1 + n % 28:02d}") for n, share in enumerate(found)]


def plan(pieces: int) -> None:
    """The plan for so many pieces of one trim."""
    given, began = shares(pieces), process_time()
    (found,) = pooled(given)
    took, gap = process_time() - began, (found.cost - found.bound) / found.bound
    print(
        f"{pieces:6} pieces pooled {took:9.1f} s CPU, {gap:9.4%} above the bound, {len(found.boards)} boards, "
        f"{found.open} of {len(given)} houses open at most, {memory():6.0f} MB"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("houses", nargs="*", type=int, default=[1, 10, 100])
    parser.add_argument("--pieces", nargs="*", type=int, default=[200, 1000])
    parser.add_argument("--jobs", type=int, default=1)
    arguments = parser.parse_args()
    for number in arguments.houses:
        houses(number, arguments.jobs)
    for number in arguments.pieces:
        plan(number)
