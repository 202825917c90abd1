"""Which step each open hold stands on, and what it says."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from listel.core.contract.findings import Finding
from listel.core.contract.stage import Said, Step
from listel.core.contract.tables import Row, load_table

AT_A_DESK = ("conservation-officer",)
"""Who enters no room to do a step."""
LAST_RESORT = "fix"
"""A hold of a rule the table does not know, or of a step this job does not have, stands on the fixing."""


def hold_row(rule: str) -> Row | None:
    """The row of the table for a rule: the longest beginning that fits, or None."""
    rows = sorted(load_table(__package__, "holds"), key=lambda row: -len(row.name))
    return next((row for row in rows if rule.startswith(row.name)), None)


def step_holds(said: Said, steps: Collection[str]) -> dict[str, list[str]]:
    """For each of the job's steps, what its open holds say: once for each rule, with a count of the others."""
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


def barred(said: Said, needs: Mapping[str, Sequence[str]], done: Collection[str]) -> dict[str, str]:
    """Each step that may not start while the holds stand, with the step that the hold which bars it stands on.

    ``needs``: of every step the steps it needs, each after those. A step that a hold stands on is barred itself, unless
    doing it is how the hold is settled; what comes after it is barred in any case.
    """
    stands: dict[str, bool] = {}
    for finding in said.findings:
        if finding.open_hold:
            row = hold_row(finding.rule)
            known = row is not None and row["step"] in needs
            step = row["step"] if row is not None and known else LAST_RESORT
            by_doing = row is not None and known and bool(row.get("by_doing"))
            stands[step] = stands.get(step, True) and by_doing
    found: dict[str, str] = {}
    for name, before in needs.items():
        if name in done:
            continue
        if not stands.get(name, True):
            found[name] = name
            continue
        behind = next((need for need in before if need in found or need in stands), None)
        if behind is not None:
            found[name] = found.get(behind, behind)
    return found


def stopped(steps: Iterable[Step], done: Collection[str], settling: Collection[str]) -> dict[str, str]:
    """Each step that may not start where all work is stopped, with the first of the steps that settle why: all but
    those, and but what is decided at a desk."""
    return {
        step.name: next(iter(settling))
        for step in steps
        if step.name not in (*settling, *done)
        and not (step.told_by and step.told_by.step in settling)
        and step.who not in AT_A_DESK
    }


def _told(findings: list[Finding]) -> str:
    more = len(findings) - 1
    return findings[0].says if not more else f"{findings[0].says} (And {more} more of this kind.)"
