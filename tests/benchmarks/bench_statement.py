"""How long the commands take, cold, as ratios to ``python -c pass`` in the same environment.

Run it in a normal (not editable) install:

    .venv/bin/python tests/benchmarks/bench_statement.py

It prints and asserts nothing on the clock.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
RUNS = 9


def median_ms(*words: str, keep: bool = True, python: str = sys.executable) -> float:
    """Median wall time of a whole process, ms; not ``keep``: with nothing kept from the run before (tables,
    templates)."""
    times = []
    for _ in range(RUNS):
        if not keep:
            os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp()
        began = time.perf_counter()
        subprocess.run([python, *words], capture_output=True, cwd=tempfile.gettempdir())
        times.append(1000 * (time.perf_counter() - began))
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    nothing = median_ms("-c", "pass")
    print(f"{'python -c pass, in this environment':<44} {nothing:7.1f} ms    1.0 x")
    named = shutil.which("python3") or sys.executable
    bare = median_ms("-c", "pass", python=named)
    print(f"{'python3 -c pass, as the path has it':<44} {bare:7.1f} ms {bare / nothing:6.1f} x")
    with tempfile.TemporaryDirectory() as out:
        rows = {
            "listel --help": ["--help"],
            "listel reckon mitre": ["reckon", "mitre", "--corner", "91.3", "--kind", "internal", "--projection", "28"],
            "listel plugins": ["plugins"],
        }
        for name in ("plain-room", "us-house", "stair-hall"):
            survey = str(EXAMPLES / f"{name}.yaml")
            rows[f"listel survey {name}"] = ["survey", survey]
            rows[f"listel statement {name} (whole)"] = ["statement", survey, "--out", out]
        for name, words in rows.items():
            taken = median_ms("-m", "listel", *words)
            print(f"{name:<44} {taken:7.1f} ms {taken / nothing:6.1f} x")
        taken = median_ms("-m", "listel", *words, keep=False)
        print(f"{'the last one, the first time ever':<44} {taken:7.1f} ms {taken / nothing:6.1f} x")


if __name__ == "__main__":
    main()
