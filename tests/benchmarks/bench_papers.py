"""How many pages each paper of each demo takes, and how long to set. Run: python tests/benchmarks/bench_papers.py"""

from __future__ import annotations

import time
from io import BytesIO
from pathlib import Path

from pypdf import PdfReader

from listel.core.contract.stage import READERS
from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.photographs import photographs
from listel.core.survey.reading import read_survey
from listel.reports.pdf import to_pdf
from listel.reports.statement import compose

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
DEMOS = ("stair-hall", "us-house", "plain-room")


def main() -> None:
    """Print a row for each demo: the pages of each paper, with the seconds it took."""
    registry = load([])
    print("pages (seconds)   " + "".join(f"{readers:>16}" for readers in READERS))
    for name in DEMOS:
        job = read_survey(EXAMPLES / f"{name}.yaml")
        outcome = examine(job, registry, given=[photographs(job, EXAMPLES)])
        paper = "us-letter" if outcome.job.units == "inches" else "a4"
        row = []
        for readers in READERS:
            began = time.process_time()
            pages = len(PdfReader(BytesIO(to_pdf(compose(outcome, readers=readers), paper).content)).pages)
            row.append(f"{pages} ({time.process_time() - began:.1f})")
        print(f"{name:<18}" + "".join(f"{each:>16}" for each in row))


if __name__ == "__main__":
    main()
