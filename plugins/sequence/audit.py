"""A plan held against the steps this job needs."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Steps
from listel.core.contract.tables import load_table
from listel.core.survey.job import PlanStep
from listel.core.survey.messages import nearest
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence.differing import FIX, differing
from listel.plugins.sequence.recognise import Pause, Reading, known_steps, read_line
from listel.plugins.sequence.results import Audit, JobStep, Missed, OutOfOrder, Recognised, TooSoon, Unread

HOURS_PER_DAY = 24.0
ANSWERED = frozenset({"consent", "lead-check", "asbestos-check"})
"""Steps whose wait is for somebody's answer, which may be in hand already."""

WITHIN_A_DAY = 8.0
"""Hours that a plan is taken to leave between two steps of the same day."""

RULES = load_rules(__package__)


Readings = Sequence[tuple[PlanStep, Reading]]


@dataclass(frozen=True)
class _Stand:
    """One place where a step stands in the plan: the number of its line, its place in it, and the day if one is
    given."""

    number: int
    place: int
    line: PlanStep
    day: float | None


Stands = Mapping[str, Sequence[_Stand]]
"""Every place where each step stands in the plan, in order."""


def audited(
    plan: Sequence[PlanStep],
    steps: Sequence[JobStep],
    holds: Mapping[str, Sequence[str]],
    offered: Steps = Steps(),
    schedule: FixingSchedule | None = None,
) -> Audit:
    """The plan's lines read as steps, and what is missing, out of order, too soon, not needed or not read.

    ``holds`` gives, for each step, what the open holds on it say; one whose step the plan names is addressed.
    ``offered`` are all steps the installed plugins know of, whether this job needs them or not, with the phrases they
    gave; a step that the vocabulary lacks is known by its title and its name as well. A step that a line
    says it comes after is not missed, though its order cannot be told.
    """
    names = {step.name: step for step in steps}
    titles = {step.name: step.title for step in (*offered.steps, *steps)}
    known = known_steps() | set(titles)
    new = sorted(known - known_steps())
    added = (*((name, words) for name in new for words in (name, titles[name])), *offered.phrases())
    read = [(line, read_line(line.text, tuple(s for s in line.steps if s in known), added)) for line in plan]
    readings = _carried_on(read)
    stands = _stands(readings)
    implied = {name for _, reading in readings for name in reading.implied if name in names and name not in stands}
    recognised = [Recognised(line.line, line.text, reading.steps) for line, reading in readings if reading.steps]
    there = implied | set(stands)
    missed = [_missed(step) for step in steps if step.name not in there and not step.done]
    wrong = list(_out_of_order(names, stands))
    soon = list(_too_soon(steps, stands, readings))
    return Audit(
        recognised=tuple(recognised),
        missed=tuple(missed),
        out_of_order=tuple(wrong),
        too_soon=tuple(soon),
        not_recognised=tuple(_unread(readings, known)),
        not_needed=tuple(_not_needed(recognised, names)),
        holds=tuple(f"{name}: {says}" for name in holds if name not in stands for says in holds[name]),
        good=tuple(_good(steps, stands, implied, missed, wrong, soon, holds)),
        differs=tuple(differing(readings, schedule)),
    )


def is_clean(audit: Audit) -> bool:
    """Whether nothing required is missed or out of order, and no hold is left unaddressed."""
    weights = [*(entry.weight for entry in audit.missed), *(entry.weight for entry in audit.out_of_order)]
    return "hold" not in weights and not audit.holds


def _carried_on(readings: Readings) -> Readings:
    """The readings, with a line that names nothing but members read as fixing where the line before it fixes."""
    found: list[tuple[PlanStep, Reading]] = []
    fixing = False
    for line, reading in readings:
        if reading.members and fixing:
            reading = replace(reading, steps=(FIX,), lost=False, nearest="")
        if reading.steps:
            fixing = FIX in reading.steps
        found.append((line, reading))
    return found


def _stands(readings: Readings) -> dict[str, list[_Stand]]:
    stands: dict[str, list[_Stand]] = {}
    for number, ((line, reading), day) in enumerate(zip(readings, _days(readings), strict=True)):
        for place, name in enumerate(reading.steps):
            stands.setdefault(name, []).append(_Stand(number, place, line, day))
    return stands


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


def _not_needed(recognised: Sequence[Recognised], names: Collection[str]) -> Iterator[Recognised]:
    for entry in recognised:
        idle = tuple(step for step in entry.steps if step not in names)
        if idle:
            yield Recognised(entry.line, entry.text, idle)


def _missed(step: JobStep) -> Missed:
    return Missed(step.name, "hold" if step.required else "caution", step.because)


@cache
def pair_weights() -> dict[tuple[str, str], str]:
    """How much it weighs that two steps stand the wrong way round, by (first, then)."""
    return {(row["first"], row["then"]): str(row["weight"]) for row in load_table(__package__, "pairs")}


def _out_of_order(names: Mapping[str, JobStep], stands: Stands) -> Iterator[OutOfOrder]:
    """Pairs the wrong way round. Where that can hurt, no step may stand before what it needs; else a step that is
    done again after what it needs is in order.
    """
    weights = pair_weights()
    for then in names:
        if then not in stands:
            continue
        listed = [first for first, after in weights if after == then and first in names and first in stands]
        for first in dict.fromkeys([*_nearest_in_plan(then, names, stands), *listed]):
            if names[first].done:
                continue
            weight = weights.get((first, then), "caution")
            stand = stands[then][0 if weight == "hold" else -1]
            if stands[first][0].number > stand.number:
                yield OutOfOrder(first, then, stand.line.line, names[first].because, weight)


def _nearest_in_plan(name: str, names: Mapping[str, JobStep], stands: Stands) -> list[str]:
    """The steps that must end before this one and stand in the plan; one that is left out stands for its own needs."""
    found: list[str] = []
    seen: set[str] = set()
    asked = list(names[name].needs)
    while asked:
        need = asked.pop(0)
        if need in seen or need not in names:
            continue
        seen.add(need)
        if need in stands:
            found.append(need)
        else:
            asked += names[need].needs
    return found


def _too_soon(steps: Sequence[JobStep], stands: Stands, readings: Readings) -> Iterator[TooSoon]:
    """Waits that the plan cuts short: only where it gives days or hours, for only then can it be told.

    Each wait is told once, for the first step that comes too soon after it; none where the plan says that the answer
    waited for is in hand.
    """
    names = {step.name: step for step in steps}
    told = set()
    for step in sorted((s for s in steps if s.name in stands), key=lambda s: stands[s.name][0].number):
        for need in _nearest_in_plan(step.name, names, stands):
            before = names[need]
            start = stands[need][0]
            answered = need in ANSWERED and readings[start.number][1].in_hand
            if not before.wait or before.done or answered or need in told or need in step.right_after:
                continue
            after = next((stand for stand in stands[step.name] if stand.number >= start.number), None)
            given = _given(start, after, readings) if after else None
            if after and given is not None and given < before.wait - 1e-6:
                told.add(need)
                yield TooSoon(need, step.name, given, before.wait, after.line.line, before.wait_why)


def _given(before: _Stand, after: _Stand, readings: Readings) -> float | None:
    """Hours the plan leaves between two steps: by its days, else by the waits written between; None if it gives
    neither.
    """
    told = []
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
    stands: Stands,
    implied: Collection[str],
    missed: Sequence[Missed],
    wrong: Sequence[OutOfOrder],
    soon: Sequence[TooSoon],
    holds: Mapping[str, Sequence[str]],
) -> Iterator[str]:
    needed = [step for step in steps if not step.done]
    if needed and not missed:
        yield f"All {len(needed)} steps this job still needs are in it."
    elif needed:
        yield f"{len(needed) - len(missed)} of the {len(needed)} steps this job still needs are in it."
    if implied:
        meant = ", ".join(_words(name) for name in sorted(implied))
        yield f"Taken as meant, since a line says it comes after: {meant}."
    if stands and not wrong:
        yield "Every step stands after what it rests on."
    addressed = [name for name in holds if name in stands]
    if addressed:
        yield f"Steps that are held are in it: {', '.join(_words(name) for name in addressed)}."
    if any(step.wait for step in steps) and not soon:
        yield "No wait that it gives is too short."


def audit_findings(audit: Audit, steps: Sequence[JobStep]) -> Iterator[Finding]:
    """What the audit of the survey's own plan comes to, in one finding; the order of work lists what it found."""
    weights = [*(missed.weight for missed in audit.missed), *(pair.weight for pair in audit.out_of_order)]
    found = [
        _told(len(audit.missed), "leaves out {} that this job needs", "step"),
        _told(len(audit.out_of_order), "has {} the wrong way round", "pair of steps", "pairs of steps"),
        _told(len(audit.too_soon), "cuts {} short", "wait"),
        _told(len(audit.not_recognised), "has {} that could not be read", "line"),
        _told(len(audit.differs), "fixes otherwise than the schedule in {}", "line"),
    ]
    faults = [fault for fault in found if fault]
    if not faults:
        return
    says = f"The plan in the survey {_joined(faults)}."
    inputs = (Input("steps this job needs", float(len(steps))), Input("lines read", float(len(audit.recognised))))
    looked_for = "each step is looked for in the plan, after all that it rests on and once that is dry"
    weight: Weight = "caution" if audit.too_soon or "hold" in weights else "advice"
    mend = "Mend the plan by the list under Order of work. To record what is done already: records."
    grounds = Grounds(inputs, looked_for, sources=(PRACTICE,))
    line = audit.recognised[0].line if audit.recognised else 0
    yield RULES["plan-differs"].told(weight, says, Where(line=line), grounds, mend)


def _told(number: int, says: str, one: str, many: str = "") -> str:
    if not number:
        return ""
    return says.format(f"{number} {one if number == 1 else many or f'{one}s'}")


def _joined(parts: Sequence[str]) -> str:
    return ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1]


def _words(step: str) -> str:
    return step.replace("-", " ")
