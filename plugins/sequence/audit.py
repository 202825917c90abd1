"""A plan held against the steps this job needs."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cache
from typing import Any

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Steps
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import PlanStep
from listel.core.survey.messages import nearest
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence.clauses import clauses_of
from listel.plugins.sequence.differing import FIX, differing
from listel.plugins.sequence.phrases import Named, known_steps
from listel.plugins.sequence.plan_file import under_headings
from listel.plugins.sequence.reading import COPE, SCRIBE, Pause, Reading, Titles, read_line, titled_by
from listel.plugins.sequence.results import (
    Audit,
    Doubtful,
    Harmful,
    HeldStep,
    JobStep,
    Missed,
    OutOfOrder,
    Recognised,
    Spared,
    TooSoon,
    Unread,
)

HOURS_PER_DAY = 24.0
ANSWERED = frozenset({"consent", "lead-check", "asbestos-check"})
"""Steps whose wait is for somebody's answer, which may be in hand already."""

WITHIN_A_DAY = 8.0
"""Hours that a plan is taken to leave between two steps of the same day."""

_SAYS_ORDER = re.compile(r"\b(?:first|before|beforehand|after|once|having|when|until|till)\b")

RULES = load_rules(__package__)


Readings = Sequence[tuple[PlanStep, Reading]]
"""The clauses of a plan, each with what it was read as."""


@dataclass(frozen=True, kw_only=True)
class _Stand:
    """One place where a step stands in the plan: the number of its clause, its place in it, the part of it between
    commas (none where it says itself what comes first), the day if one is given, and whether it is ``doubted``: an open
    hold stands on the step, and the reading is not sure."""

    number: int
    place: int
    part: int | None
    line: PlanStep
    day: float | None
    doubted: bool


Stands = Mapping[str, Sequence[_Stand]]
"""Every place where each step stands in the plan, in order."""


@dataclass
class _Compared:
    """How many pairs of steps could be held against each other, and how many waits."""

    pairs: int = 0
    waits: int = 0
    wrong: list[OutOfOrder] = field(default_factory=list)
    soon: list[TooSoon] = field(default_factory=list)


def audited(
    plan: Sequence[PlanStep],
    steps: Sequence[JobStep],
    holds: Mapping[str, Sequence[str]],
    offered: Steps = Steps(),
    schedule: FixingSchedule | None = None,
    bonding: Bonding | None = None,
) -> Audit:
    """The plan's clauses read as steps, and what is missing, out of order, too soon, harmful, not needed or not read.

    ``holds`` gives, for each step, what the open holds on it say; one whose step the plan names is addressed. Such a
    step is never taken as there on a reading in doubt, nor where a line only says that it comes after it.
    ``offered`` are all steps the installed plugins know of, whether this job needs them or not, with the phrases they
    gave; a step that the vocabulary lacks is known by its title and its name as well. A step that a clause says it
    comes after is not missed, though its order cannot be told.
    """
    names = {step.name: step for step in steps}
    both: tuple[Any, ...] = (*offered.steps, *steps)
    titles = {step.name: step.title for step in both}
    known = known_steps() | set(titles)
    new = sorted(known - known_steps())
    added = (*((name, words) for name in new for words in (name, titles[name])), *offered.phrases())
    read = _read(under_headings(plan), known, added, tuple(titles.items()))
    readings = _carried_on([(line, _coped(reading) if COPE in names else reading) for line, reading in read])
    stands = _stands(readings, holds)
    implied = {name for _, reading in readings for name in reading.implied if name in names and name not in stands}
    implied -= set(holds)
    recognised = [Recognised(line.line, line.text, reading.steps) for line, reading in readings if reading.steps]
    there = implied | {name for name, places in stands.items() if not all(place.doubted for place in places)}
    refused = {name: line for line, reading in reversed(readings) for name in reading.denied}
    missed = [_missed(step, refused, readings) for step in steps if step.name not in there and not step.done]
    wanting = {step.step for step in missed}
    compared = _Compared()
    _put_in_order(names, stands, compared)
    _wait(steps, stands, readings, compared)
    unread = tuple(_unread(readings, known))
    return Audit(
        recognised=tuple(recognised),
        missed=tuple(missed),
        out_of_order=tuple(compared.wrong),
        too_soon=tuple(compared.soon),
        not_recognised=unread,
        doubtful=tuple(_doubtful(readings)),
        not_needed=tuple(_not_needed(recognised, names)),
        holds=tuple(HeldStep(name, says) for name in holds if name not in there for says in holds[name]),
        good=tuple(_good(steps, there, implied, missed, compared, holds, unread)),
        differs=tuple(differing(readings, schedule, bonding)),
        spared=tuple(_spared(refused, names, wanting)),
        harmful=tuple(_harmful(readings, names)),
    )


def _read(
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


def is_clean(audit: Audit) -> bool:
    """Whether nothing required is missed or out of order, nothing does harm, and no hold is left unaddressed."""
    weights = [entry.weight for entries in (audit.missed, audit.out_of_order, audit.harmful) for entry in entries]
    return "hold" not in weights and not audit.holds


def _coped(reading: Reading) -> Reading:
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


def _carried_on(readings: Readings) -> Readings:
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


def _stands(readings: Readings, held: Collection[str]) -> dict[str, list[_Stand]]:
    stands: dict[str, list[_Stand]] = {}
    for number, ((line, reading), day) in enumerate(zip(readings, _days(readings), strict=True)):
        unsure = {mark.mark for mark, _ in reading.doubts}.intersection(held)
        for place, name in enumerate(reading.steps):
            part = (
                reading.parts[place]
                if place < len(reading.parts) and not _SAYS_ORDER.search(line.text.lower())
                else None
            )
            stand = _Stand(number=number, place=place, part=part, line=line, day=day, doubted=name in unsure)
            stands.setdefault(name, []).append(stand)
    return stands


def _surest(places: Sequence[_Stand]) -> Sequence[_Stand]:
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


def _unread(readings: Readings, known: Collection[str]) -> Iterator[Unread]:
    """The lines that were not recognised, and those whose step: key names a step that nobody knows."""
    for line, reading in readings:
        strange = [name for name in line.steps if name not in known]
        if strange:
            yield Unread(
                line.line, f"step: {', '.join(strange)} ({line.text})", nearest(strange[0], sorted(known)) or ""
            )
        elif reading.lost:
            yield Unread(line.line, line.text, reading.nearest)


def _doubtful(readings: Readings) -> Iterator[Doubtful]:
    """The readings that are not sure, the least sure of those that count first, then those that do not."""
    found = [
        Doubtful(line.line, line.text, mark.mark, round(mark.sure, 2), counted)
        for line, reading in readings
        for mark, counted in reading.doubts
    ]
    yield from sorted(found, key=lambda each: (not each.counted, each.line))


def _not_needed(recognised: Sequence[Recognised], names: Collection[str]) -> Iterator[Recognised]:
    for entry in recognised:
        idle = tuple(step for step in entry.steps if step not in names)
        if idle:
            yield Recognised(entry.line, entry.text, idle)


def _missed(step: JobStep, refused: Mapping[str, PlanStep], readings: Readings) -> Missed:
    """A step left out, with the clause that leaves it out on purpose where there is one, and those that may be it."""
    weight = "hold" if step.required else "caution"
    line = refused.get(step.name)
    perhaps = [
        said.line
        for said, reading in readings
        if step.name in reading.implied or any(mark.mark == step.name for mark, _ in reading.doubts)
    ]
    return Missed(
        step.name,
        weight,
        step.because,
        line.line if line else 0,
        line.text if line else "",
        perhaps=tuple(dict.fromkeys(perhaps)),
    )


def _spared(refused: Mapping[str, PlanStep], names: Mapping[str, JobStep], missed: Collection[str]) -> Iterator[Spared]:
    """The steps that a clause leaves out and that are not missed, each with why not."""
    for name, line in sorted(refused.items(), key=lambda each: each[1].line):
        if name not in missed:
            there = "the survey records it as done" if name in names and names[name].done else "another line does it"
            yield Spared(line.line, line.text, name, there if name in names else "this job does not ask for it")


def _harmful(readings: Readings, names: Mapping[str, JobStep]) -> Iterator[Harmful]:
    """The ways of working that do harm in this job, each with the heaviest that is said against it."""
    needed = {name for name, step in names.items() if not step.done}
    needed |= {"lead-check"} if "lead-method" in names else set()
    for line, reading in readings:
        for method in reading.methods:
            row = load_table(__package__, "methods").find(method)
            if row is None:
                continue
            told = {weight: row["because_with"] for step, weight in row.get("with", {}).items() if step in needed}
            told = {row["weight"]: row["because"], **told} if row.get("weight") else told
            weight = next((weight for weight in ("hold", "caution") if weight in told), "")
            if weight:
                yield Harmful(
                    line=line.line,
                    text=line.text,
                    method=method,
                    words=row["words"],
                    weight=weight,
                    because=told[weight],
                )


@cache
def pair_weights() -> dict[tuple[str, str], str]:
    """How much it weighs that two steps stand the wrong way round, by (first, then)."""
    return {(row["first"], row["then"]): str(row["weight"]) for row in load_table(__package__, "pairs")}


def _put_in_order(names: Mapping[str, JobStep], stands: Stands, compared: _Compared) -> None:
    """Pairs the wrong way round. Where that can hurt, no step may stand before what it needs; else a step that is
    done again after what it needs is in order. Within one clause only the pairs of the table are held against each
    other.
    """
    weights = pair_weights()
    for then in names:
        if then not in stands:
            continue
        listed = [first for first, after in weights if after == then and first in names and first in stands]
        nearest = _nearest_in_plan(then, names, stands)
        for first in dict.fromkeys([*nearest, *listed]):
            if names[first].done:
                continue
            weight = weights.get((first, then), "caution")
            stand = stands[then][0] if weight == "hold" else _surest(stands[then])[-1]
            before = _surest(stands[first])[0]
            compared.pairs += before.number != stand.number
            if before.number > stand.number or (first in listed and _in_clause_after(before, stand)):
                because = _reason(names, first, nearest.get(first, then), then)
                compared.wrong.append(OutOfOrder(first, then, stand.line.line, because, weight))


def _reason(names: Mapping[str, JobStep], first: str, behind: str, then: str) -> str:
    """Why one step comes first: what is said of it, or of the step ``behind`` it that the other rests on in truth."""
    if behind == then:
        return names[first].because
    return f"{_words(behind)} comes between them. {names[behind].because}"


def _in_clause_after(stand: _Stand, other: _Stand) -> bool:
    """Whether one stands in a later part of the same clause than the other."""
    if stand.number != other.number or stand.part is None or other.part is None:
        return False
    return stand.part > other.part


def _nearest_in_plan(name: str, names: Mapping[str, JobStep], stands: Stands) -> dict[str, str]:
    """The steps that must end before this one and stand in the plan, each with the one that needs it: this one, or one
    that is left out and stands for its own needs."""
    found: dict[str, str] = {}
    seen: set[str] = set()
    asked = [(need, name) for need in names[name].needs]
    while asked:
        need, by = asked.pop(0)
        if need in seen or need not in names:
            continue
        seen.add(need)
        if need in stands:
            found[need] = by
        else:
            asked += [(each, need) for each in names[need].needs]
    return found


def _wait(steps: Sequence[JobStep], stands: Stands, readings: Readings, compared: _Compared) -> None:
    """Waits that the plan cuts short: only where it gives days or hours, for only then can it be told.

    Each wait is told once, for the first step that comes too soon after it; none where the plan says that the answer
    waited for is in hand.
    """
    names = {step.name: step for step in steps}
    told = set()
    for step in sorted((s for s in steps if s.name in stands), key=lambda s: stands[s.name][0].number):
        for need in _nearest_in_plan(step.name, names, stands):
            before = names[need]
            start = _surest(stands[need])[0]
            answered = need in ANSWERED and readings[start.number][1].in_hand
            if not before.wait or before.done or answered or need in told or need in step.right_after:
                continue
            after = next((stand for stand in stands[step.name] if stand.number >= start.number), None)
            given = _given(need, start, after, readings) if after else None
            compared.waits += given is not None
            if after and given is not None and given < before.wait - 1e-6:
                told.add(need)
                compared.soon.append(
                    TooSoon(need, step.name, given, before.wait, after.line.line, because=before.wait_why)
                )


def _given(need: str, before: _Stand, after: _Stand, readings: Readings) -> float | None:
    """Hours the plan leaves between two steps: by its days, else by the waits written between, and those written
    elsewhere that name what has to dry; None if it gives neither.
    """
    away = [clause for number, clause in enumerate(readings) if not before.number <= number <= after.number]
    told = [pause.hours for _, reading in away for pause in reading.pauses if pause.of == need]
    for number in range(before.number, after.number + 1):
        line, reading = readings[number]
        written = (Pause(line.wait, len(reading.steps), between=True),) if line.wait is not None else reading.pauses
        for pause in written:
            begun = number > before.number or pause.after > before.place
            over = number < after.number or pause.after <= after.place
            if (begun and over) or (pause.between and before.number == after.number):
                told.append(pause.hours)
    by_waits = sum(told) if told else None
    if before.day is None or after.day is None:
        return by_waits
    by_days = HOURS_PER_DAY * (after.day - before.day) or (WITHIN_A_DAY if by_waits is None else 0.0)
    return max(by_days, by_waits or 0.0)


def _good(
    steps: Sequence[JobStep],
    there: Collection[str],
    implied: Collection[str],
    missed: Sequence[Missed],
    compared: _Compared,
    holds: Mapping[str, Sequence[str]],
    unread: Sequence[Unread],
) -> Iterator[str]:
    needed = [step for step in steps if not step.done]
    if needed and not missed:
        yield f"All {len(needed)} steps this job still needs are in it."
    elif needed:
        yield f"{len(needed) - len(missed)} of the {len(needed)} steps this job still needs are in it."
    if implied:
        meant = ", ".join(_words(name) for name in sorted(implied))
        yield f"Taken as meant, since a line says it comes after: {meant}."
    if compared.pairs and not compared.wrong:
        read = " that could be read" if unread else ""
        yield f"Every step{read} stands after what it rests on."
    addressed = [name for name in holds if name in there]
    if addressed:
        yield f"Steps that open holds stand on are in it: {', '.join(_words(name) for name in addressed)}."
    if compared.waits and not compared.soon:
        yield "No wait that it gives is too short."


def audit_findings(audit: Audit, steps: Sequence[JobStep]) -> Iterator[Finding]:
    """What the audit of the survey's own plan comes to, in one finding; the order of work lists what it found."""
    for harm in audit.harmful:
        yield _harm_told(harm)
    weights = [*(missed.weight for missed in audit.missed), *(pair.weight for pair in audit.out_of_order)]
    refused = sum(1 for missed in audit.missed if missed.text)
    on_purpose = f", {refused} of them on purpose," if refused else ""
    found = [
        _told(len(audit.missed), f"leaves out {{}}{on_purpose} that this job needs", "step"),
        _told(len(audit.out_of_order), "has {} the wrong way round", "pair of steps", "pairs of steps"),
        _told(len(audit.too_soon), "cuts {} short", "wait"),
        _told(len(audit.not_recognised), "has {} that could not be read", "clause"),
        _told(len(audit.differs), "works otherwise than the statement in {}", "clause"),
    ]
    faults = [fault for fault in found if fault]
    if not faults:
        return
    says = f"The plan in the survey {_joined(faults)}."
    inputs = (Input("steps this job needs", float(len(steps))), Input("clauses read", float(len(audit.recognised))))
    looked_for = "each step is looked for in the plan, after all that it rests on and once that is dry"
    weight: Weight = "caution" if audit.too_soon or "hold" in weights else "advice"
    mend = "Mend the plan by the list under Order of work."
    grounds = Grounds(inputs, looked_for, sources=(PRACTICE,))
    line = audit.recognised[0].line if audit.recognised else 0
    yield RULES["plan-differs"].told(weight, says, Where(line=line), grounds, mend, "records, what is done already")


def _harm_told(harm: Harmful) -> Finding:
    row = load_table(__package__, "methods").row(harm.method)
    weight: Weight = "hold" if harm.weight == "hold" else "caution"
    says = f"The plan says \u201c{harm.text}\u201d: {harm.because}."
    grounds = Grounds(formula="a way of working that the plan names", result=row["words"], sources=row.sources)
    return RULES["plan-does-harm"].told(weight, says, Where(line=harm.line), grounds, "Write another way of working.")


def _told(number: int, says: str, one: str, many: str = "") -> str:
    if not number:
        return ""
    return says.format(f"{number} {one if number == 1 else many or f'{one}s'}")


def _joined(parts: Sequence[str]) -> str:
    return ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1]


def _words(step: str) -> str:
    return step.replace("-", " ")
