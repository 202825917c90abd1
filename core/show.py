"""How findings, grounds and sources read as plain text."""

from __future__ import annotations

import re
from collections.abc import Iterator

from listel.core.findings import Finding, Grounds, Input


def number(value: float | str) -> str:
    """A value as people write it: at most two decimals where it is large, four where it is small."""
    if isinstance(value, (str, bool)):
        return str(value)
    places = 2 if abs(value) >= 10 else 4
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def words(name: str) -> str:
    """The name of a result type as words: FixingSchedule as "Fixing schedule"."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).capitalize()


def input_line(given: Input, source: str = "") -> str:
    """One input in a line: name, value, unit, and whether it was surveyed (file:line) or assumed."""
    text = f"{given.name}: {number(given.value)} {given.unit}".rstrip()
    if given.line:
        text += f" ({source}:{given.line})" if source else f" (survey line {given.line})"
    if given.assumed:
        text += " (assumed)"
    return f"{text}; {given.note}" if given.note else text


def grounds_lines(grounds: Grounds, source: str = "") -> Iterator[str]:
    """The grounds, line by line: inputs, formula, figures, result, uncertainty, sources."""
    for given in grounds.inputs:
        yield f"from     {input_line(given, source)}"
    for label, text in (
        ("by", grounds.formula),
        ("worked", grounds.worked),
        ("gives", grounds.result),
        ("within", grounds.uncertainty),
    ):
        if text:
            yield f"{label:<8} {text}"
    for cited in grounds.sources:
        yield f"source   {cited}"


def finding_line(finding: Finding) -> str:
    """A finding in a line: its weight, rule, place and what it says."""
    weight = "settled" if finding.settled else finding.weight
    return f"{weight:<8} {finding.rule} ({finding.where}): {finding.says}"
