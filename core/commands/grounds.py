"""``listel grounds SURVEY [WORD ...]``: why a finding, or a line of a result, is what it is."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from typing import Any

from listel.core.commands.run import add_run_arguments, firm_of
from listel.core.commands.show import finding_line, grounds_lines, print_json, spoken
from listel.core.contract.findings import Finding, Grounds
from listel.core.contract.lines import Amendment, lines_of, plain
from listel.core.contract.rules import Rule
from listel.core.host.outcome import Outcome
from listel.core.host.records import Judge, judge_of
from listel.core.house.filters import shown_value
from listel.core.survey.job import Job
from listel.core.survey.units import show_length


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    parser.add_argument(
        "words",
        nargs="*",
        metavar="WORD",
        help="only what holds all these words: a rule, a room, a wall, a trim, a member, a kind of line ...",
    )
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print the findings and lines that hold all the words, each with its grounds."""
    firm = firm_of(arguments)
    outcome = firm.examine(firm.read(arguments.survey))
    judge = judge_of(outcome.job, firm.registry.plugins)
    words = [_stem(word) for word in arguments.words]
    findings = [finding for finding in outcome.findings if _finding_holds(finding, outcome.job, words)]
    lines = [line for line in _grounded(outcome) if words and _line_holds(line, words)]
    lines = [line for line in lines if any(word in line.LINE.split("-") for word in words)] or lines
    if arguments.json:
        print_json({"findings": plain(findings), "lines": [{"about": line.LINE, **plain(line)} for line in lines]})
        return 0
    untold = [judge.rules[name] for name in arguments.words if name in judge.rules and not findings]
    with spoken(outcome.job):
        for finding in findings:
            _print_finding(finding, judge)
        for line in lines:
            _print_line(line, [each for each in outcome.amendments if _of(each, outcome) is line], outcome.job)
        for rule in untold:
            _print_untold(rule, judge)
    if not findings and not lines and not untold:
        kinds = ", ".join(sorted({line.LINE for line in _grounded(outcome)}))
        says = f"nothing here holds the words: {' '.join(arguments.words)}. The kinds of line are: {kinds}"
        print(says, file=sys.stderr)
    return 0


NAMES = ("label", "name", "room", "wall", "trim", "member", "edge", "joint", "stage")
"""The keys that name a line."""


def _stem(word: str) -> str:
    """A word as it is looked for: in small letters, one of a kind where it tells of many."""
    word = word.lower()
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _finding_holds(finding: Finding, job: Job, words: list[str]) -> bool:
    where = finding.where
    return _holds(finding_line(finding, job.units), (where.room, where.wall, where.trim, where.piece), words)


def _line_holds(line: Any, words: list[str]) -> bool:
    return _holds(f"{line.LINE} {plain(line)}", [getattr(line, key, "") for key in NAMES], words)


def _holds(text: str, names: Iterable[object], words: list[str]) -> bool:
    """Whether the text holds every word, of several together also with dashes; a letter or two, as of a wall, must be
    one of the names."""
    text, known = text.lower(), {str(name).lower() for name in names}
    return all(word in known if len(word) < 3 else word in text or word.replace(" ", "-") in text for word in words)


def _grounded(outcome: Outcome) -> list[Any]:
    """Every line of every result that carries grounds."""
    return [
        line
        for result in outcome.sheet
        for _, _, line in lines_of(result)
        if getattr(line, "grounds", Grounds()) != Grounds()
    ]


def _of(amendment: Amendment, outcome: Outcome) -> Any:
    """The line that an amendment is of."""
    result = next(result for result in outcome.sheet if type(result).__name__ == amendment.result)
    return getattr(result, amendment.field)[amendment.index]


def _print_finding(finding: Finding, judge: Judge) -> None:
    job = judge.job
    print(finding_line(finding, job.units))
    if finding.mend:
        print(f"  mend     {finding.mend}")
    if finding.record:
        print(f"  record   {finding.record}")
    for text in judge.lifted_by(finding.rule):
        print(f"  lifts    {text}")
    if finding.weighed_by:
        print(f"  weight   given by {finding.weighed_by}")
    if finding.worded_by:
        print(f"  words    of {finding.worded_by}")
    if finding.settled:
        how = "what it set cured it, says" if finding.settled.cured else "agreed by"
        print(f"  settled  {finding.settled.reason} ({how} {finding.settled.agreed})")
    if finding.where.line:
        print(f"  survey   {job.source}:{finding.where.line}")
    for text in grounds_lines(finding.grounds, job.source, job.units):
        print(f"  {text}")
    print()


def _print_untold(rule: Rule, judge: Judge) -> None:
    """What would lift a rule of which no finding stands in this job."""
    print(f"{rule.name}: nothing of it stands in this job; it is told where {rule.when}.")
    for text in judge.lifted_by(rule.name) or [rule.settled_by]:
        print(f"  lifts    {text}")
    print()


def _print_line(line: Any, amendments: Iterable[Amendment], job: Job) -> None:
    names = [str(getattr(line, key)) for key in NAMES if getattr(line, key, "")]
    spans = [getattr(line, key, None) for key in ("start", "end", "station")]
    at = " to ".join(show_length(span, job.units) for span in spans if isinstance(span, float))
    print(f"{line.LINE:<8} {', '.join(dict.fromkeys([*names, *filter(None, [at])]))}")
    for each in amendments:
        was, now = (shown_value(value, each.unit, job.units) for value in (each.was, each.now))
        print(f"  set      {each.key.replace('_', ' ')}: {now}, by {each.by}; it was {was}")
    for text in grounds_lines(line.grounds, job.source, job.units):
        print(f"  {text}")
    print()
