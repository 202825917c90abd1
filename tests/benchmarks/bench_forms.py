"""How long each form of the statement takes to make, as ratios to the HTML, for the example jobs from small to large.

    .venv/bin/python tests/benchmarks/bench_forms.py

It prints and asserts nothing on the clock.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from pathlib import Path

from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import read_survey
from listel.reports.markdown import to_markdown
from listel.reports.pdf import to_pdf
from listel.reports.statement import compose, to_html
from listel.reports.word import to_word

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
RUNS = 5


def median_ms(make: Callable[[], object]) -> float:
    """Median time of making it, ms; the first run, which loads the library, is left out."""
    make()
    times = []
    for _ in range(RUNS):
        began = time.perf_counter()
        make()
        times.append(1000 * (time.perf_counter() - began))
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    for name in ("plain-room", "us-house", "stair-hall"):
        outcome = examine(read_survey(EXAMPLES / f"{name}.yaml"), load())
        statement = compose(outcome)
        html = median_ms(lambda outcome=outcome: to_html(compose(outcome)))  # type: ignore[misc]
        size = len(to_html(statement)) / 1000
        print(f"{name}: HTML {html:.0f} ms, {size:.0f} kB")
        forms: dict[str, Callable[[], object]] = {
            "PDF": lambda s=statement: to_pdf(s),  # type: ignore[misc]
            "Word": lambda s=statement: to_word(s),  # type: ignore[misc]
            "Markdown": lambda s=statement: to_markdown(s, "drawings"),  # type: ignore[misc]
        }
        for form, make in forms.items():
            taken = median_ms(make)
            print(f"  {form:<10} {taken:7.0f} ms {taken / html:6.1f} x the HTML {taken / size:6.2f} ms per kB of it")


if __name__ == "__main__":
    main()
