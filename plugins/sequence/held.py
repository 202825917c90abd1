"""Which step each open hold stands on, and its sentence made short."""

from __future__ import annotations

import re
from collections.abc import Collection

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Said
from listel.core.contract.tables import Row, load_table

LAST_RESORT = "fix"
"""A hold of a rule the table does not know, or of a step this job does not have, stands on the fixing."""

_FIRST = re.compile(r"^.+?[.!?](?=\s+[A-Z]|$)", re.DOTALL)


def hold_row(rule: str) -> Row | None:
    """The row of the table for a rule: the longest beginning that fits, or None."""
    rows = sorted(load_table(__package__, "holds"), key=lambda row: -len(row.name))
    return next((row for row in rows if rule.startswith(row.name)), None)


def step_holds(said: Said, steps: Collection[str]) -> dict[str, list[str]]:
    """For each of the job's steps, its open holds: one sentence for each rule, with a count where there are several."""
    kinds: dict[tuple[str, str], list[Finding]] = {}
    for finding in said.findings:
        if finding.open_hold:
            row = hold_row(finding.rule)
            step = row["step"] if row and row["step"] in steps else LAST_RESORT
            kinds.setdefault((step, finding.rule), []).append(finding)
    holds: dict[str, list[str]] = {}
    for (step, _), findings in kinds.items():
        holds.setdefault(step, []).append(_told(findings))
    return holds


def _told(findings: list[Finding]) -> str:
    more = len(findings) - 1
    sentence = first_sentence(findings[0].says)
    return sentence if not more else f"{sentence} (And {more} more of this kind.)"


def first_sentence(says: str) -> str:
    """The first sentence of what a finding says; a stop within a number or before a small letter ends none."""
    found = _FIRST.match(says)
    return found[0] if found else says
