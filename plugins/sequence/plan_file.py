"""Read a plan as people keep it: a YAML list, or text or Markdown with one step a line."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from listel.core.files import beside
from listel.core.survey.faults import InputFault
from listel.core.survey.job import PlanStep
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.schema_words import schema_faults
from listel.core.survey.yaml_places import marked, read_document, text_of
from listel.plugins.sequence.wording import plain_words

MOST_LINES = 2000
HOW_TO_WRITE = "a plan is written in English, one step a line, or says with a step: key what each line means"

_BULLET = re.compile(r"^\s*(?:[-*+\u2022]|\d+[.)]|[a-z][.)]|\[[ xX]\])\s+")
_RULE = re.compile(r"^\W*$")
_LEAVES_OUT = re.compile(
    r"(?i)\b(?:not|never|avoid|omit(?:ted)?|exclu\w+|(?:leave|leaving|left) out|(?:do|wo|ca|is|are)n['\u2019]?t)\b"
)
_ASKS_FOR = re.compile(r"(?i)^(?:if|when|unless|until|before|while)\b|\b(?:forget|miss|yet|already|only|just|but)\b")
LONGEST_HEADING = 8
"""Words of the longest line that heads a list."""
LEFT_OUT = "Not to do: "
"""What a line is read behind that stands in a list of what is not to be done."""


class PlanFault(InputFault):
    """The plan cannot be read as one; the message says what was found and what to write."""


def read_plan(path: Path) -> tuple[PlanStep, ...]:
    """The lines of a plan, with their line numbers.

    Raises PlanFault (or SurveyFaults for YAML) if the file is missing, empty, no text, or of another form.
    """
    if path.suffix in (".yaml", ".yml"):
        return _from_yaml(path)
    return plan_from_text(text_of(path, "plan"), str(path))


def plan_from_text(text: str, path: str) -> tuple[PlanStep, ...]:
    """The lines of a plan's text; ``path`` names it. Raises PlanFault as :func:`read_plan` does."""
    if "\0" in text:
        raise PlanFault(f"{path}: this is no text; type the plan, one step a line, or as a YAML list")
    lines = text.splitlines()
    steps = tuple(_steps(lines))
    if len(steps) > MOST_LINES:
        raise PlanFault(f"{path}: {len(steps):,} lines are too many for a plan; at most {MOST_LINES:,} are read")
    if not steps:
        raise PlanFault(f"{path}: the plan is empty; write one step a line, in your own words")
    return steps


def under_headings(plan: Sequence[PlanStep]) -> tuple[PlanStep, ...]:
    """The lines without those that head a list of what is not to be done; those of that list say so themselves."""
    found: list[PlanStep] = []
    left_out = False
    for line in plan:
        if not line.steps and _heads(line.text):
            left_out = leaves_out(line.text)
            if left_out:
                continue
        found.append(replace(line, text=f"{LEFT_OUT}{line.text}") if left_out and not line.steps else line)
    return tuple(found)


def leaves_out(heading: str) -> bool:
    """Whether what a heading heads is not to be done: "Not to do:", "We leave out:", but not "Do not forget:"."""
    words = heading.lstrip("# ")
    return bool(_LEAVES_OUT.search(words)) and not _ASKS_FOR.search(words)


def _heads(text: str) -> bool:
    return text.rstrip().endswith(":") and len(text.split()) <= LONGEST_HEADING


def _steps(lines: Sequence[str]) -> Iterator[PlanStep]:
    """The lines of a text. A list of what is not to be done ends at the next heading, or behind an empty line unless
    its bullets go on."""
    left_out, bulleted, gap = False, None, False
    for number, line in enumerate(lines, 1):
        bullet = bool(_BULLET.match(line))
        if not line.strip():
            gap = bulleted is not None
            continue
        if left_out and gap and not (bullet and bulleted):
            left_out = False
        heading = line.lstrip().startswith("#")
        if heading or (not bullet and _heads(line)):
            left_out, bulleted = leaves_out(line), None
            if left_out:
                gap = False
                continue
        elif bulleted is None:
            bulleted = bullet
        gap = False
        if step := _line(line, number):
            yield replace(step, text=f"{LEFT_OUT}{step.text}") if left_out else step


def check_language(plan: Sequence[PlanStep], source: str) -> None:
    """Raises PlanFault if more of the plan's small words are of another language than English; a plan whose lines
    carry a step: key may be in any.
    """
    if any(line.steps for line in plan):
        return
    words = [word for line in plan for word in re.findall(r"[^\W\d_]+", line.text.lower())]
    foreign = sum(word in plain_words("not-english") for word in words)
    english = sum(word in plain_words("common") and word not in plain_words("not-english") for word in words)
    if foreign > english:
        raise PlanFault(f"{source}: this plan seems to be in another language; {HOW_TO_WRITE}")


def _line(text: str, number: int) -> PlanStep | None:
    heading = text.lstrip().startswith("#")
    words = text.strip().lstrip("#").strip() if heading else text
    while _BULLET.match(words):
        words = _BULLET.sub("", words, count=1)
    words = marked(words.strip())
    if not words or _RULE.match(words):
        return None
    if heading and not re.match(r"(?i)day\s+\d", words):
        return None
    return PlanStep(words[:2000], line=number)


def _from_yaml(path: Path) -> tuple[PlanStep, ...]:
    document = read_document(path, "plan")
    data: list[Any] = document.data
    schema = json.loads(beside("listel.schemas", "plan.schema.json").read_text(encoding="utf-8"))
    faults = [*document.faults, *schema_faults(document, schema)]
    if faults:
        raise SurveyFaults(faults)
    lines = document.lines()
    return tuple(_entry(entry, lines.get(str(number), 0)) for number, entry in enumerate(data))


def _entry(entry: Any, line: int) -> PlanStep:
    if isinstance(entry, str):
        return PlanStep(entry, line=line)
    named = entry.get("step", ())
    steps = (named,) if isinstance(named, str) else tuple(named)
    return PlanStep(entry["text"], steps, entry.get("day"), entry.get("wait"), line)
