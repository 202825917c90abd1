"""A plan held against the steps this job needs."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field
from functools import cache
from typing import Any

from listel.core.contract.stage import Steps
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import PlanStep
from listel.core.survey.messages import nearest
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence.differing import FIX, differing
from listel.plugins.sequence.members import members_named, turn
from listel.plugins.sequence.phrases import known_steps
from listel.plugins.sequence.plan_file import under_headings
from listel.plugins.sequence.reading import COPE, Pause, Titles
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
from listel.plugins.sequence.standing import Readings, Stand, Stands, carried_on, clauses_read, coped, stands_in, surest
from listel.plugins.site import tables

HOURS_PER_DAY = 24.0
ANSWERED = frozenset({"consent", "lead-check", "asbestos-check"})
"""Steps whose wait is for somebody's answer, which may be in hand already."""

WITHIN_A_DAY = 8.0
"""Hours that a plan is taken to leave between two steps of the same day."""


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
    called: Titles = (),
) -> Audit:
    """The plan's clauses read as steps, and what is missing, out of order, too soon, harmful, not needed or not read.

    ``holds`` gives, for each step, what the open holds on it say; one whose step the plan names is addressed. Such a
    step is never taken as there on a reading in doubt, nor where a line only says that it comes after it.
    ``offered`` are all steps the installed plugins know of, whether this job needs them or not, with the phrases they
    gave; a step that the vocabulary lacks is known by its title and its name as well; ``called``: whole lines
    that are a step in this job, as a title is. A step that a clause says it comes after is not missed, though its order
    cannot be told.
    """
    names = {step.name: step for step in steps}
    both: tuple[Any, ...] = (*offered.steps, *steps)
    titles = {step.name: step.title for step in both}
    known = known_steps() | set(titles)
    new = sorted(known - known_steps())
    added = (*((name, words) for name in new for words in (name, titles[name])), *offered.phrases())
    read = clauses_read(under_headings(plan), known, added, (*titles.items(), *called))
    readings = carried_on([(line, coped(reading) if COPE in names else reading) for line, reading in read])
    stands = stands_in(readings, holds)
    implied = {name for _, reading in readings for name in reading.implied if name in names and name not in stands}
    implied -= set(holds)
    recognised = [Recognised(line.line, line.text, reading.steps) for line, reading in readings if reading.steps]
    there = implied | {name for name, places in stands.items() if not all(place.doubted for place in places)}
    refused = {name: line for line, reading in reversed(readings) for name in reading.denied}
    missed = [_missed(step, refused, readings) for step in steps if step.name not in there and not step.done]
    wanting = {step.step for step in missed}
    compared = _Compared()
    _put_in_order(names, stands, compared)
    _put_members_in_order(readings, {line.member for line in schedule.lines} if schedule else set(), compared)
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


def is_clean(audit: Audit) -> bool:
    """Whether no step is missed, nothing of a hold's weight is out of order or does harm, and no hold is left
    unaddressed."""
    weights = [entry.weight for entries in (audit.out_of_order, audit.harmful) for entry in entries]
    return "hold" not in weights and not audit.missed and not audit.holds


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
    needed |= {check for method, check in WORKED_WITH.items() if method in names}
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


WORKED_WITH = {"lead-method": "lead-check", "asbestos-method": "asbestos-check"}
"""By the step that works with what a check found, that check: it is on record, and the thing is there."""


@cache
def pair_weights() -> dict[tuple[str, str], str]:
    """How much it weighs that two steps stand the wrong way round, by (first, then)."""
    return {(row["first"], row["then"]): str(row["weight"]) for row in load_table(__package__, "pairs")}


def _put_in_order(names: Mapping[str, JobStep], stands: Stands, compared: _Compared) -> None:
    """Pairs the wrong way round. Where that can hurt, no step may stand before what it needs; else a step that is
    done again after what it needs is in order. Within one clause only the pairs of the table are held against each
    other, and none of which either may come first.
    """
    weights = pair_weights()
    for then in names:
        if then not in stands:
            continue
        listed = [first for first, after in weights if after == then and first in names and first in stands]
        nearest = _nearest_in_plan(then, names, stands)
        for first in dict.fromkeys([*nearest, *listed]):
            weight = weights.get((first, then), "caution")
            if names[first].done or weight == "none":
                continue
            stand = stands[then][0] if weight == "hold" else surest(stands[then])[-1]
            before = surest(stands[first])[0]
            compared.pairs += before.number != stand.number
            if before.number > stand.number or (first in listed and _in_clause_after(before, stand)):
                because = _reason(names, first, nearest.get(first, then), then)
                compared.wrong.append(OutOfOrder(first, then, stand.line.line, because, weight))


def _put_members_in_order(readings: Readings, members: Collection[str], compared: _Compared) -> None:
    """Members of this job that are fixed before one that they meet, and that is there first. Source: the table
    ``members``."""
    first: dict[str, tuple[int, PlanStep]] = {}
    for number, (line, reading) in enumerate(readings):
        if FIX in reading.steps:
            first = {**dict.fromkeys(members_named(line.text).intersection(members), (number, line)), **first}
    for then, (number, line) in first.items():
        for other in tables.member(then).get("meets", ()):
            if other not in first or turn(other) >= turn(then):
                continue
            compared.pairs += first[other][0] != number
            if first[other][0] > number:
                named, met = (tables.member(name)["says"] for name in (then, other))
                because = f"The {named} meets the {met}, which is there first."
                compared.wrong.append(OutOfOrder(f"fix the {met}", f"fix the {named}", line.line, because))


def _reason(names: Mapping[str, JobStep], first: str, behind: str, then: str) -> str:
    """Why one step comes first: what is said of it, or of the step ``behind`` it that the other rests on in truth."""
    if behind == then:
        return names[first].because
    return f"{_words(behind)} comes between them. {names[behind].because}"


def _in_clause_after(stand: Stand, other: Stand) -> bool:
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
            start = surest(stands[need])[0]
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


def _given(need: str, before: Stand, after: Stand, readings: Readings) -> float | None:
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


def _words(step: str) -> str:
    return step.replace("-", " ")
