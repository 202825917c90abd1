"""``listel grounds SURVEY [WORD ...]``: why a finding, or a line of a result, is what it is."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any

from listel.core.engine import Outcome
from listel.core.findings import Finding, Grounds
from listel.core.job import Job
from listel.core.lines import lines_of, plain
from listel.core.run import add_run_arguments, examined
from listel.core.show import finding_line, grounds_lines


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    parser.add_argument(
        "words",
        nargs="*",
        metavar="WORD",
        help="only what holds all these words: a rule, a room, a wall, a kind of line ...",
    )
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print the findings and lines that hold all the words, each with its grounds."""
    outcome = examined(arguments.survey, arguments)
    words = [word.lower() for word in arguments.words]
    findings = [finding for finding in outcome.findings if _holds(finding_line(finding, outcome.job.units), words)]
    lines = [(name, line) for name, line in _grounded(outcome) if words and _holds(f"{name} {plain(line)}", words)]
    if arguments.json:
        print(
            json.dumps(
                {"findings": plain(findings), "lines": [{"kind": name, **plain(line)} for name, line in lines]},
                indent=1,
            )
        )
        return 0
    for finding in findings:
        _print_finding(finding, outcome.job)
    for name, line in lines:
        _print_line(name, line, outcome.job)
    if not findings and not lines:
        print(f"nothing here holds the words: {' '.join(arguments.words)}", file=sys.stderr)
    return 0


def _holds(text: str, words: list[str]) -> bool:
    text = text.lower()
    return all(word in text for word in words)


def _grounded(outcome: Outcome) -> list[tuple[str, Any]]:
    """Every line of every result that carries grounds, with its kind."""
    return [
        (line.LINE, line)
        for result in outcome.sheet
        for _, _, line in lines_of(result)
        if getattr(line, "grounds", Grounds()) != Grounds()
    ]


def _print_finding(finding: Finding, job: Job) -> None:
    print(finding_line(finding, job.units))
    if finding.mend:
        print(f"  mend     {finding.mend}")
    if finding.weighed_by:
        print(f"  weight   given by {finding.weighed_by}")
    if finding.settled:
        print(f"  settled  {finding.settled.reason} (agreed by {finding.settled.agreed})")
    if finding.where.line:
        print(f"  survey   {job.source}:{finding.where.line}")
    for text in grounds_lines(finding.grounds, job.source, job.units):
        print(f"  {text}")
    print()


def _print_line(kind: str, line: Any, job: Job) -> None:
    names = [
        str(getattr(line, key))
        for key in ("label", "name", "room", "wall", "trim", "joint", "stage")
        if getattr(line, key, "")
    ]
    print(f"{kind:<8} {', '.join(names)}")
    for key, by in getattr(line, "set_by", ()):
        what = f"{key.replace('_', ' ')}: {plain(getattr(line, key, ''))}"
        print(f"  set      {what}, by {by}; the grounds tell what it was")
    for text in grounds_lines(line.grounds, job.source, job.units):
        print(f"  {text}")
    print()
