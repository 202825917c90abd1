"""``listel audit SURVEY [--plan PLAN]``: a plan of work held against what this job needs."""

from __future__ import annotations

import argparse
from collections.abc import Collection, Sequence
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

from listel.core.commands.run import add_run_arguments, examined
from listel.core.commands.show import print_json
from listel.core.commands.waiting import waiting
from listel.core.contract.lines import plain

if TYPE_CHECKING:
    from listel.core.host.outcome import Outcome
    from listel.core.survey.job import PlanStep
    from listel.plugins.sequence.results import Audit, Doubtful, Missed


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    parser.add_argument(
        "--plan", type=Path, metavar="PLAN", help="the plan: a YAML list, or text or Markdown with one step a line"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print the audit; exit status 1 when a step is missed, a required one is out of order, the plan does harm or a
    hold is not addressed."""
    from listel.plugins.sequence.audit import is_clean
    from listel.plugins.sequence.plan_file import read_plan

    plan = read_plan(arguments.plan) if arguments.plan else None
    with waiting("audit"):
        outcome = examined(arguments.survey, arguments)
    audit = audit_of(outcome, plan or outcome.job.plan, str(arguments.plan or arguments.survey))
    if arguments.json:
        print_json({**plain(audit), "good": " ".join(audit.good)})
    else:
        _print(audit)
    return 0 if is_clean(audit) else 1


def audit_of(outcome: Outcome, plan: Sequence[PlanStep], source: str) -> Audit:
    """A plan held against what a job needs; ``source`` names it. Raises PlanFault where there is none, where none of
    its lines is a step, or where the sequence could not be made."""
    from listel.core.contract.stage import Said, Steps
    from listel.core.contract.tables import adding
    from listel.plugins.bonding import Bonding
    from listel.plugins.fixings import FixingSchedule
    from listel.plugins.sequence import Sequence as Programme
    from listel.plugins.sequence.audit import audited
    from listel.plugins.sequence.held import step_holds
    from listel.plugins.sequence.needs import finishing
    from listel.plugins.sequence.plan_file import HOW_TO_WRITE, PlanFault, check_language

    if not plan:
        raise PlanFault(f"{source}: there is no plan; give one with --plan, or write it under plan: in the survey")
    check_language(plan, source)
    sequence = outcome.sheet.get(Programme)
    if sequence is None:
        raise PlanFault("the sequence could not be made; listel statement says why")
    holds = step_holds(Said(outcome.findings), [step.name for step in sequence.steps])
    with adding(outcome.added):
        audit = audited(
            plan,
            sequence.steps,
            holds,
            outcome.sheet[Steps],
            outcome.sheet.get(FixingSchedule),
            outcome.sheet.get(Bonding),
            tuple(finishing(outcome.job)),
        )
    if not (audit.recognised or audit.harmful or any(missed.text for missed in audit.missed)):
        raise PlanFault(f"{source}: none of the {len(plan)} lines was recognised as a step; {HOW_TO_WRITE}")
    return audit


def in_words(audit: Audit) -> list[tuple[str, list[str]]]:
    """The audit: what is wrong first, each kind under its heading, what is good and read last."""
    order = [
        f"line {pair.line}: {_words(pair.then)} stands before {_words(pair.first)} ({pair.weight}): {pair.because}"
        for pair in audit.out_of_order
    ]
    soon = [
        f"line {wait.line}: {_words(wait.then)} after {_words(wait.step)}: "
        f"{_hours(wait.given)} given, {_hours(wait.needed)} needed for {wait.because}"
        for wait in audit.too_soon
    ]
    unread = [
        f"line {line.line}: {line.text}" + (f" (nearest: {_words(line.nearest)})" if line.nearest else "")
        for line in audit.not_recognised
    ]
    refused = [
        f"line {each.line}: {each.text}: {_words(each.step)} ({each.weight}){_unless(each)}: {each.because}"
        for each in audit.missed
        if each.text
    ]
    left = [
        f"{_words(each.step)} ({each.weight}){_unless(each)}: {each.because}" for each in audit.missed if not each.text
    ]
    harm = [f"line {each.line}: {each.text} ({each.weight}): {each.because}" for each in audit.harmful]
    return [
        ("Not to be done so", harm),
        ("Left out on purpose", refused),
        ("Left out", left),
        ("The wrong way round", order),
        ("Too soon", soon),
        ("Held, and not in the plan", [f"{_words(hold.step)}: {hold.says}" for hold in audit.holds]),
        ("Not as the statement has it", [f"line {e.line}: {e.text}: {e.says}" for e in audit.differs]),
        ("Not needed here", [f"line {e.line}: {e.text} ({_listed(e.steps)})" for e in audit.not_needed]),
        (
            "Left out on purpose, and not missed",
            [f"line {e.line}: {e.text} ({_words(e.step)}): {e.because}" for e in audit.spared],
        ),
        (f"Not recognised ({len(unread)}); a step: key would say what is meant", unread),
        ("Read in doubt; a step: key would say what is meant", [_in_doubt(each) for each in audit.doubtful]),
        ("Good", list(audit.good)),
        ("Read as", [f"line {e.line}: {_listed(e.steps)}: {e.text}" for e in audit.recognised]),
    ]


def _unless(missed: Missed) -> str:
    lines = " or ".join(map(str, missed.perhaps))
    return f", unless line {lines} is it, which is not sure" if lines else ""


def _in_doubt(doubtful: Doubtful) -> str:
    says = {"-": f"{_words(doubtful.means[1:])} left out", "!": _words(doubtful.means[1:])}
    means = says.get(doubtful.means[0], _words(doubtful.means))
    read = "read as" if doubtful.counted else "not read as"
    return f"line {doubtful.line}: {doubtful.text}: {read} {means} ({doubtful.sure:.0%} sure)"


def _print(audit: Audit) -> None:
    """The audit for a terminal."""
    for heading, lines in in_words(audit):
        _group(heading, lines)


def _group(heading: str, lines: Collection[str]) -> None:
    if lines:
        print(heading)
        for line in lines:
            print(fill(line, 110, initial_indent="  ", subsequent_indent="      "))


def _words(step: str) -> str:
    return step.replace("-", " ")


def _listed(steps: Sequence[str]) -> str:
    return ", ".join(_words(step) for step in steps)


def _hours(hours: float) -> str:
    """Hours as people say them: 8 h, 7 days."""
    return f"{hours:.3g} h" if hours < 48 else f"{hours / 24:.2g} days" if hours < 240 else f"{hours / 24:.0f} days"
