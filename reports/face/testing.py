"""The test kit for those who write plugins and house rules.

With pytest: the fixtures ``small_job`` (one room, two walls, one dado rail) and ``outcome_of(job, *plugins)``, and
every file whose name ends in ``cases.yaml`` and that holds ``listel-cases: 1`` is run, each case a test of its own.
"""

from __future__ import annotations

from pathlib import Path

from listel.core.contract.stage import Reader
from listel.core.contract.testing import StageRun, assert_grounded, run_stage
from listel.core.host.outcome import Outcome
from listel.library import audit as _audit
from listel.plugins.sequence import Audit

__all__ = ["StageRun", "assert_grounded", "audit", "render", "run_stage"]


def render(section: str, outcome: Outcome, reader: Reader = "all") -> str:
    """A section of a statement, by its name, as HTML: its words, then its findings; "" where it says nothing.

    AssertionError where it cannot be made, or no section has that name.
    """
    from listel.reports.statement import composed

    names = [each.name for each in outcome.sections]
    assert section in names, f"there is no section {section}; there are {', '.join(names)}"
    told, statement = composed(outcome, readers=reader)
    failed = [each.says for each in told.findings if each.rule == "engine/section-failed"]
    assert section in [each.name for each in told.sections], " ".join(failed)
    anchors = (f"part-{section}", f"sheet-{section}")
    return next((str(part.body) for part in statement.parts if part.name in anchors), "")


def audit(plan: Path | str, outcome: Outcome) -> Audit:
    """A plan of work held against the steps of an outcome: a file, or text with one step a line (one alone, too)."""
    return _audit(outcome, f"{plan}\n" if isinstance(plan, str) else plan)
