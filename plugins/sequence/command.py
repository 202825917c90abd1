"""``listel audit SURVEY [--plan PLAN]``: a plan of work held against what this job needs."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from listel.core.lines import plain
from listel.core.run import add_run_arguments, examined

if TYPE_CHECKING:
    from listel.plugins.sequence.results import Audit


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    parser.add_argument(
        "--plan", type=Path, metavar="PLAN", help="the plan: a YAML list, or text or Markdown with one step a line"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print the audit; exit status 1 when a required step is missed or out of order, or a hold is not addressed."""
    from listel.core.stage import Said
    from listel.plugins.sequence import Sequence
    from listel.plugins.sequence.audit import audited, is_clean
    from listel.plugins.sequence.plan_file import PlanFault, read_plan
    from listel.plugins.sequence.rules import step_holds

    plan = read_plan(arguments.plan) if arguments.plan else None
    outcome = examined(arguments.survey, arguments)
    plan = plan or outcome.job.plan
    if not plan:
        raise PlanFault(
            f"{arguments.survey}: there is no plan; give one with --plan, or write it under plan: in the survey"
        )
    sequence = outcome.sheet.get(Sequence)
    if sequence is None:
        raise PlanFault("the sequence could not be made; listel statement says why")
    audit = audited(plan, sequence.steps, step_holds(Said(outcome.findings)))
    if not audit.recognised:
        raise PlanFault(
            f"{arguments.plan or arguments.survey}: none of the {len(plan)} lines was recognised as a step; "
            "a plan is written in English, one step a line, or says with a step: key what each line means"
        )
    if arguments.json:
        print(json.dumps(plain(audit), indent=1, ensure_ascii=False))
    else:
        _print(audit)
    return 0 if is_clean(audit) else 1


def _print(audit: Audit) -> None:
    for good in audit.good:
        print(f"good     {good}")
    for missed in audit.missed:
        print(f"missed   {missed.step} ({missed.weight}): {missed.because}")
    for pair in audit.out_of_order:
        print(f"order    line {pair.line}: {pair.then} stands before {pair.first} ({pair.weight}): {pair.because}")
    for wait in audit.too_soon:
        gap = f"{wait.given:g} h given, {wait.needed:g} h needed for {wait.because}"
        print(f"too soon line {wait.line}: {wait.then} after {wait.step}: {gap}")
    for hold in audit.holds:
        print(f"hold     {hold}")
    for line in audit.not_needed:
        print(f"unneeded line {line.line}: {line.text} ({', '.join(line.steps)})")
    for unread in audit.not_recognised:
        near = f" (nearest: {unread.nearest})" if unread.nearest else ""
        print(f"unread   line {unread.line}: {unread.text}{near}")
    print(f"\n{len(audit.recognised)} lines recognised:")
    for read in audit.recognised:
        print(f"  line {read.line}: {', '.join(read.steps)}: {read.text}")
