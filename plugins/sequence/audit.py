"""A plan held against the steps this job needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from listel.core.findings import PRACTICE, Finding, Grounds, Input, Where
from listel.core.job import PlanStep
from listel.plugins.sequence.recognise import Reading, read_line
from listel.plugins.sequence.results import Audit, JobStep, Missed, OutOfOrder, Recognised, TooSoon, Unread

HOURS_PER_DAY = 24.0


@dataclass(frozen=True)
class _Stand:
    """Where a step first stands in the plan: the number of its line, and the day if one is given."""

    number: int
    line: PlanStep
    day: float | None


def audited(plan: Sequence[PlanStep], steps: Sequence[JobStep], holds: Mapping[str, Sequence[str]]) -> Audit:
    """The plan's lines read as steps, and what is missing, out of order, too soon, not needed or not read.

    ``holds`` gives, for each step, what the open holds on it say; one whose step the plan names is addressed.
    """
    names = {step.name: step for step in steps}
    readings = [(line, read_line(line.text, line.steps)) for line in plan]
    stands = _stands(readings)
    recognised = [Recognised(line.line, line.text, reading.steps) for line, reading in readings if reading.steps]
    unread = [Unread(line.line, line.text, reading.nearest) for line, reading in readings if reading.lost]
    not_needed = [entry for entry in recognised if not set(entry.steps) & set(names)]
    missed = [_missed(step) for step in steps if step.name not in stands and not step.done]
    wrong = list(_out_of_order(names, stands))
    soon = list(_too_soon(steps, stands, readings))
    open_holds = [f"{name}: {says}" for name in holds if name not in stands for says in holds[name]]
    good = tuple(_good(steps, stands, missed, wrong, soon, holds))
    return Audit(
        tuple(recognised),
        tuple(missed),
        tuple(wrong),
        tuple(soon),
        tuple(unread),
        tuple(not_needed),
        tuple(open_holds),
        good,
    )


def is_clean(audit: Audit) -> bool:
    """Whether nothing required is missed or out of order, and no hold is left unaddressed."""
    heavy = [entry for entry in (*audit.missed, *audit.out_of_order) if entry.weight == "hold"]
    return not heavy and not audit.holds


def _stands(readings: Sequence[tuple[PlanStep, Reading]]) -> dict[str, _Stand]:
    stands: dict[str, _Stand] = {}
    day: float | None = None
    for number, (line, reading) in enumerate(readings):
        day = line.day if line.day is not None else reading.day if reading.day is not None else day
        for name in reading.steps:
            stands.setdefault(name, _Stand(number, line, day))
    return stands


def _missed(step: JobStep) -> Missed:
    return Missed(step.name, "hold" if step.required else "caution", step.because)


def _out_of_order(names: Mapping[str, JobStep], stands: Mapping[str, _Stand]) -> Iterator[OutOfOrder]:
    for then in names:
        if then not in stands:
            continue
        for first in _nearest_in_plan(then, names, stands):
            if stands[first].number > stands[then].number:
                weight = "hold" if names[first].required else "caution"
                yield OutOfOrder(first, then, stands[then].line.line, names[first].because, weight)


def _nearest_in_plan(name: str, names: Mapping[str, JobStep], stands: Mapping[str, _Stand]) -> list[str]:
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


def _too_soon(
    steps: Sequence[JobStep], stands: Mapping[str, _Stand], readings: Sequence[tuple[PlanStep, Reading]]
) -> Iterator[TooSoon]:
    """Waits that the plan cuts short: only where it gives days or hours, for only then can it be told."""
    for step in steps:
        for need in step.needs:
            before = next((other for other in steps if other.name == need), None)
            if before is None or not before.wait or before.done or need in step.right_after:
                continue
            if need not in stands or step.name not in stands or stands[need].number > stands[step.name].number:
                continue
            given = _given(stands[need], stands[step.name], readings)
            if given is not None and given < before.wait - 1e-6:
                yield TooSoon(need, step.name, given, before.wait, stands[step.name].line.line, before.wait_why)


def _given(before: _Stand, after: _Stand, readings: Sequence[tuple[PlanStep, Reading]]) -> float | None:
    """Hours the plan leaves between two steps: by its days, else by the waits written between; None if it gives
    neither.
    """
    waits = [
        line.wait if line.wait is not None else reading.wait
        for line, reading in readings[before.number : max(after.number, before.number + 1)]
    ]
    told = [wait for wait in waits if wait is not None]
    by_waits = sum(told) if told else None
    by_days = None
    if before.day is not None and after.day is not None:
        by_days = HOURS_PER_DAY * (after.day - before.day)
    if by_days is None:
        return by_waits
    return max(by_days, by_waits or 0.0)


def _good(
    steps: Sequence[JobStep],
    stands: Mapping[str, _Stand],
    missed: Sequence[Missed],
    wrong: Sequence[OutOfOrder],
    soon: Sequence[TooSoon],
    holds: Mapping[str, Sequence[str]],
) -> Iterator[str]:
    needed = [step for step in steps if not step.done]
    if needed and not missed:
        yield f"All {len(needed)} steps this job needs are in it."
    elif needed:
        yield f"{len(needed) - len(missed)} of the {len(needed)} steps this job needs are in it."
    if stands and not wrong:
        yield "Every step stands after what it rests on."
    addressed = [name for name in holds if name in stands]
    if addressed:
        yield f"Steps that are held are in it: {', '.join(name.replace('-', ' ') for name in addressed)}."
    if any(step.wait for step in steps) and not soon:
        yield "No wait that it gives is too short."


def audit_findings(audit: Audit) -> Iterator[Finding]:
    """What the audit of the survey's own plan has to say in the statement; the order of work shows it line by line."""
    looked_for = Grounds(formula="each step this job needs is looked for in the plan", sources=(PRACTICE,))
    for weight, group in (("hold", "caution"), ("caution", "advice")):
        left_out = [_words(missed.step) for missed in audit.missed if missed.weight == weight]
        if left_out:
            says = f"The plan leaves out {_count(len(left_out), 'step')} this job needs: {', '.join(left_out)}."
            mend = "Add them to the plan, or record that they are done."
            yield Finding("sequence/plan-misses-step", group, says, grounds=looked_for, mend=mend)  # type: ignore[arg-type]
    for pair in audit.out_of_order:
        says = f"The plan has {_words(pair.then)} before {_words(pair.first)}. {pair.because}"
        grounds = Grounds(formula="what a step rests on must end before it starts", sources=(PRACTICE,))
        yield Finding(
            "sequence/plan-out-of-order", "caution", says, Where(line=pair.line), grounds, "Change the order."
        )
    for wait in audit.too_soon:
        yield _too_soon_finding(wait)
    if audit.not_recognised:
        lines = "; ".join(unread.text[:80] for unread in audit.not_recognised)
        says = f"{_count(len(audit.not_recognised), 'line')} of the plan were not recognised: {lines}."
        mend = "Add a step: key that says which step it is."
        yield Finding("sequence/plan-line-unread", "advice", says, Where(line=audit.not_recognised[0].line), mend=mend)


def _too_soon_finding(wait: TooSoon) -> Finding:
    gap = f"{wait.given:g} h between {_words(wait.step)} and {_words(wait.then)}"
    says = f"The plan leaves {gap}; {wait.needed:g} h are needed for {wait.because}."
    inputs = (Input("given", wait.given, "h", wait.line), Input("needed", wait.needed, "h"))
    grounds = Grounds(inputs, "the wait given is held against the wait needed", sources=(PRACTICE,))
    return Finding("sequence/plan-too-soon", "caution", says, Where(line=wait.line), grounds, "Leave more time.")


def _words(step: str) -> str:
    return step.replace("-", " ")


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
