"""Whether the timber is dry enough to be painted."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job, Surveyed
from listel.plugins.sequence.needs import painted

RULES = load_rules(__package__)


def dry_enough(moisture: float) -> bool:
    """Whether timber of that moisture [% MC] may be painted: 18 % or less.

    Source: NHBC Standards, chapter 8.5, 2006, D2 (seen).
    """
    return bool(moisture <= load_table(__package__, "climate").row("paint-moisture")["value"])


def painting_findings(job: Job) -> Iterator[Finding]:
    """A caution for each painted trim, or board of it, that was read too wet to paint."""
    row = load_table(__package__, "climate").row("paint-moisture")
    names = {trim.name for trim in painted(job)}
    boards = [board for board in (*job.stock, *job.rack) if board.trim in names]
    readings: list[tuple[str, str, float | None, Surveyed]] = [
        *((trim.name, trim.name, trim.moisture, trim) for trim in painted(job)),
        *((each.trim, f"board {each.name or 'of the stock'} for {each.trim}", each.moisture, each) for each in boards),
    ]
    for trim, what, moisture, read in readings:
        if moisture is None or dry_enough(moisture):
            continue
        line = job.line(read, "moisture")
        says = f"{what[0].upper()}{what[1:]} reads {moisture:g} %, which is too wet to prime or paint."
        grounds = Grounds(
            (Input("moisture", moisture, "%", line),),
            f"timber is painted at {row['value']} % or less",
            f"{moisture:g} > {row['value']}",
            "too wet to paint",
            row.sources,
        )
        mend = "Let it dry in the room, and read it again before it is primed."
        facts = {"moisture": moisture, "most": row["value"]}
        yield RULES["too-wet-to-paint"].told("caution", says, Where(trim=trim, line=line), grounds, mend, **facts)
