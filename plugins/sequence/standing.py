"""A plan as it was read: the reading of each clause, and where and on which day each step stands in it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from listel.core.quick import dataclass
from listel.core.survey.job import PlanStep
from listel.plugins.sequence.clauses import clauses_of
from listel.plugins.sequence.differing import FIX
from listel.plugins.sequence.phrases import Named
from listel.plugins.sequence.reading import COPE, SCRIBE, Reading, Titles, read_line, titled_by

_SAYS_ORDER = re.compile(r"\b(?:first|before|beforehand|after|once|having|when|until|till)\b")

Readings = Sequence[tuple[PlanStep, Reading]]
"""The clauses of a plan, each with what it was read as."""


@dataclass(frozen=True, kw_only=True)
class Stand:
    """One place where a step stands in the plan: the number of its clause, its place in it, the part of it between
    commas (none where it says itself what comes first), the day if one is given, and whether it is ``doubted``: an open
    hold stands on the step, and the reading is not sure."""

    number: int
    place: int
    part: int | None
    line: PlanStep
    day: float | None
    doubted: bool


Stands = Mapping[str, Sequence[Stand]]
"""Every place where each step stands in the plan, in order."""


def clauses_read(
    plan: Sequence[PlanStep], known: Collection[str], added: Named, titles: Titles
) -> Iterator[tuple[PlanStep, Reading]]:
    """Every clause of the plan with its reading; a line whose meaning is given, or that is a step's title, is one."""
    reading: Reading | None = None
    for line in plan:
        settled = tuple(step for step in line.steps if step in known)
        whole = settled or titled_by(line.text, titles)
        clauses = [line.text] if whole else clauses_of(line.text) or [line.text]
        for number, clause in enumerate(clauses, 1):
            entry = replace(line, text=clause, wait=line.wait if number == len(clauses) else None)
            reading = read_line(clause, settled, added, titles, reading)
            yield entry, reading


def coped(reading: Reading) -> Reading:
    """The reading in a job that copes its corners: what is scribed in a corner is coped."""
    if COPE not in reading.scribed:
        return reading

    def meant(steps: Sequence[str]) -> list[tuple[str, int]]:
        """Each step, with the place of the one it was read as."""
        both = [
            (name, at) for at, step in enumerate(steps) for name in (reading.scribed if step == SCRIBE else (step,))
        ]
        return list({name: (name, at) for name, at in reversed(both)}.values())[::-1]

    steps = meant(reading.steps)
    doubts = [
        (mark._replace(mark=name), counted)
        for mark, counted in reading.doubts
        for name in (reading.scribed if mark.mark == SCRIBE else (mark.mark,))
    ]
    return replace(
        reading,
        steps=tuple(name for name, _ in steps),
        parts=tuple(reading.parts[at] for _, at in steps),
        denied=tuple(name for name, _ in meant(reading.denied)),
        doubts=tuple(doubts),
    )


def carried_on(readings: Readings) -> Readings:
    """The readings, with a line that names nothing but members read as fixing where the line before it fixes."""
    found: list[tuple[PlanStep, Reading]] = []
    fixing: Reading | None = None
    for line, reading in readings:
        if reading.members and fixing:
            unsure = tuple(doubt for doubt in fixing.doubts if doubt[0].mark == FIX)
            reading = replace(reading, steps=(FIX,), lost=False, nearest="", doubts=unsure)
        if reading.steps:
            fixing = reading if FIX in reading.steps else None
        found.append((line, reading))
    return found


def stands_in(readings: Readings, held: Collection[str]) -> dict[str, list[Stand]]:
    """Every place where each step stands; ``held``: the steps that open holds stand on."""
    stands: dict[str, list[Stand]] = {}
    for number, ((line, reading), day) in enumerate(zip(readings, _days(readings), strict=True)):
        unsure = {mark.mark for mark, _ in reading.doubts}.intersection(held)
        for place, name in enumerate(reading.steps):
            part = (
                reading.parts[place]
                if place < len(reading.parts) and not _SAYS_ORDER.search(line.text.lower())
                else None
            )
            stand = Stand(number=number, place=place, part=part, line=line, day=day, doubted=name in unsure)
            stands.setdefault(name, []).append(stand)
    return stands


def surest(places: Sequence[Stand]) -> Sequence[Stand]:
    """The places that no doubt is in; all of them where there is none such."""
    return [place for place in places if not place.doubted] or places


def _days(readings: Readings) -> list[float | None]:
    """The day of every line; none where the plan does not tell one day from another."""
    days: list[float | None] = []
    for line, reading in readings:
        days.append(_day(line, reading, days[-1] if days else None))
    return days if len(set(days) - {None}) > 1 else [None] * len(days)


def _day(line: PlanStep, reading: Reading, day: float | None) -> float | None:
    """The day a line is done on: the one it gives, the next of the weekday it names, else that of the line before."""
    if line.day is not None:
        return line.day
    if reading.day is not None:
        return reading.day
    if reading.weekday is not None:
        since = 1.0 if day is None else day
        return since + (reading.weekday - (since - 1)) % 7
    return day
