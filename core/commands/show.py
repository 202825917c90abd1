"""How findings, grounds and sources read as plain text."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from io import StringIO

from listel.core.contract.findings import Finding, Grounds, Input
from listel.core.house.filters import in_inches, in_units
from listel.core.house.wording import wording
from listel.core.survey.job import Job
from listel.core.survey.units import Units


@contextmanager
def spoken(job: Job) -> Iterator[None]:
    """What is printed within is put in the words of the job's region and the units of its survey."""
    text = StringIO()
    try:
        with redirect_stdout(text):
            yield
    finally:
        sys.stdout.write(wording(job)(text.getvalue()))


def print_json(data: object) -> None:
    """Print data as JSON, in letters that standard output can hold."""
    utf8 = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    print(json.dumps(data, indent=1, ensure_ascii=not utf8))


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


def quantity(given: Input, units: Units = "mm") -> str:
    """The value of an input with its unit, in a job in inches as such a job writes it.

    >>> quantity(Input("depth", 76.2, "mm"), "inches")
    '3"'
    """
    if units == "inches" and given.unit and not isinstance(given.value, str):
        return in_inches(float(given.value), given.unit)
    return in_units(f"{number(given.value)} {given.unit}".rstrip(), units, exact=True)


def input_line(given: Input, source: str = "", units: Units = "mm") -> str:
    """One input in a line: name, value, unit, and whether it was surveyed (file:line) or assumed."""
    text = f"{given.name}: {quantity(given, units)}".rstrip()
    if given.line:
        text += f" ({source}:{given.line})" if source else f" (survey line {given.line})"
    if given.assumed:
        text += " (assumed)"
    return f"{text}; {in_units(given.note, units)}" if given.note else text


def grounds_lines(grounds: Grounds, source: str = "", units: Units = "mm") -> Iterator[str]:
    """The grounds, line by line: inputs, formula, figures, result, uncertainty, sources."""
    for given in grounds.inputs:
        yield f"from     {input_line(given, source, units)}"
    for label, text in (
        ("by", grounds.formula),
        ("worked", grounds.worked),
        ("gives", grounds.result),
        ("within", grounds.uncertainty),
    ):
        if text:
            yield f"{label:<8} {in_units(text, units, exact=label in ('worked', 'gives'))}"
    for cited in grounds.sources:
        yield f"source   {cited}"


def finding_line(finding: Finding, units: Units = "mm") -> str:
    """A finding in a line: its weight, rule, place and what it says."""
    weight = "settled" if finding.settled else finding.weight
    return f"{weight:<8} {finding.rule} ({finding.where.told(units)}): {finding.says}"
