"""The stage: the steps this job needs, in time, with what holds them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from graphlib import CycleError
from math import ceil
from typing import Any

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Source, Where
from listel.core.contract.records import records_on
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Said, Sheet, Step, Steps
from listel.core.contract.tables import load_table
from listel.core.house.filters import date as in_words
from listel.core.survey.job import Done, Job
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence.ahead import ahead
from listel.plugins.sequence.held import barred, step_holds, stopped
from listel.plugins.sequence.members import turn
from listel.plugins.sequence.needs import APPLIES, finishing
from listel.plugins.sequence.painting import painting_findings
from listel.plugins.sequence.programme import (
    DAY,
    Calendar,
    Slot,
    Task,
    at_work,
    critical_path,
    in_working_order,
    programme,
)
from listel.plugins.sequence.results import JobStep, Sequence
from listel.plugins.sequence.times import share_left, wait_after, wait_for, working_hours
from listel.plugins.site import tables

RULES = load_rules(__package__)
DONE_BY_THE_SURVEY = "survey"
"""This step was done when the survey was written."""
REST = {5: "Saturday", 6: "Sunday"}
"""The weekdays on which nobody works."""


def own_steps() -> list[Step]:
    """The steps of fitting trim, from the table."""
    steps = []
    for row in load_table(__package__, "steps"):
        name = row.name
        steps.append(
            Step(
                name=name,
                title=row["title"],
                applies=APPLIES[name],
                needs=tuple(row["needs"]),
                required=row["required"],
                hours=lambda job, sheet, row=row: working_hours(row, job, sheet),  # type: ignore[misc]
                wait=lambda job, sheet, name=name: wait_after(name, job, sheet),  # type: ignore[misc]
                shared=True,
                who=row["who"],
                right_after=("fix",) if name == "punch" else (),
            )
        )
    return steps


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """The steps this job needs as a programme; the survey's own plan held against them."""
    offered = sheet[Steps]
    wanted = [
        (step, _why(step, because, job, sheet)) for step in offered.steps if (because := step.applies(job, sheet))
    ]
    named = {step.name: step for step, _ in wanted}
    wanted = [(_placed(step, named), because) for step, because in wanted]
    calendar = working_days(job)
    tasks, shifts = _tasks([step for step, _ in wanted], job, sheet)
    tasks, cycles = _without_cycles(tasks)
    for cycle in cycles:
        yield _cycle(cycle)
    slots = programme(tasks, calendar, _told_to(job))
    critical = critical_path(slots)
    said = sheet.get(Said) or Said()
    holds = step_holds(said, slots)
    order = [task.name for task in in_working_order(tasks)]
    mine = {task.name: task for task in tasks}
    needs = {task.name: task.needs for task in tasks}
    reasons = {step.name: (step, because) for step, because in wanted}
    done = {step.name for step, _ in wanted if is_done(step, job, sheet)}
    shut = records_on(sheet).stops
    settling = [name for names in shut.values() for name in names if name in needs]
    nowhere = ""
    if settling and ("" in shut or {room.name for room, _ in job.walls_at_work} <= shut.keys()):
        bars = stopped((step for step, _ in wanted), done, settling)
    else:
        bars = barred(said, {name: needs[name] for name in order}, done)
        nowhere = f", but not in the {' or the '.join(filter(None, shut))}" if any(shut) else ""
    steps = tuple(
        _barred(_job_step(*reasons[name], mine[name], shifts.get(name), job, sheet, slots[name], critical, holds), bars)
        for name in order
    )
    meanwhile = tuple(step.name for step in steps if bars and not step.barred and not step.done)
    days = ceil(round(max((slot.free for slot in slots.values()), default=0.0) / DAY, 6))
    yield from ahead(job, sheet, {name: needs[name] for name in order})
    yield from _programme_findings(job, steps, days, calendar, meanwhile, nowhere)
    yield from painting_findings(job)
    audit = None
    if job.plan:
        from listel.plugins.sequence.audit import audited
        from listel.plugins.sequence.telling import audit_findings

        audit = audited(
            job.plan,
            steps,
            holds,
            offered,
            sheet.get(FixingSchedule),
            sheet.get(Bonding),
            tuple(finishing(job)),
        )
        yield from audit_findings(audit, steps)
    covered = _covered(slots)
    yield Sequence(
        steps=steps,
        days=days,
        critical=critical,
        audit=audit,
        meanwhile=meanwhile,
        nowhere=nowhere,
        on_site=days - covered,
        first=_day(job.work.start, covered),
        at_work=_whole([step for step, _ in wanted], job, sheet),
    )


def _tasks(steps: list[Step], job: Job, sheet: Sheet) -> tuple[list[Task], dict[str, int]]:
    """The tasks of these steps, and after how many shifts each is done that is done after each."""
    tasks = [_task(step, job, sheet, steps) for step in steps]
    shifts = {step.name: _shifts(step, tasks, job) for step in steps if step.each_shift}
    return [replace(task, hours=task.hours * shifts.get(task.name, 1)) for task in tasks], shifts


def _whole(steps: list[Step], job: Job, sheet: Sheet) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """The days of the whole job on which somebody works, whatever pieces are done already."""
    tasks, _ = _without_cycles(_tasks(steps, replace(job, done=Done()), sheet)[0])
    slots = programme(tasks, working_days(job))
    covered = _covered(slots)
    return tuple((day - covered, names) for day, names in at_work(slots, working_days(job)) if day >= covered)


def _covered(slots: Mapping[str, Slot]) -> int:
    """The day from the first on which the floors are covered."""
    return int(slots["protect-finishes"].starts // DAY) if "protect-finishes" in slots else 0


def _told_to(job: Job) -> float:
    """The end of the last day on which a piece is told as made or spoilt, hours from the first morning; 0 where none
    is, or the first day of work is not known."""
    last = max((piece.on for piece in job.done.pieces), default="")
    if not (last and job.work.start):
        return 0.0
    return max(0.0, DAY * ((date.fromisoformat(last) - date.fromisoformat(job.work.start)).days + 1))


def working_days(job: Job) -> Calendar:
    """The working week of this job: hours a day from the survey or the table, day one's weekday from the start date."""
    hours = job.work.hours_per_day or load_table(__package__, "climate").row("hours-per-day")["value"]
    return Calendar(hours, _weekday(job.work.start))


def _day(start: str | None, after: int) -> str:
    """The date so many days after the first; empty where that is not known."""
    try:
        return (date.fromisoformat(start or "") + timedelta(after)).isoformat()
    except (ValueError, OverflowError):
        return ""


def _weekday(start: str | None) -> int:
    try:
        return date.fromisoformat(start).weekday() if start else 0
    except ValueError:
        return 0


def is_done(step: Step, job: Job, sheet: Sheet) -> bool:
    """Whether a record of the step counts, for the whole job or for every wall that bears trim, or every piece is told
    as made so far."""
    records = records_on(sheet)
    if step.name == DONE_BY_THE_SURVEY or records.of(step.name) is not None or not share_left(step.name, job, sheet):
        return True
    if all(record.step != step.name for record in records.counting):
        return False
    walls = job.walls_at_work
    return bool(walls) and all(records.of(step.name, room.name, wall.name) is not None for room, wall in walls)


def _why(step: Step, because: str, job: Job, sheet: Sheet) -> str:
    """Why this job needs a step; that it is done in part, where a record of it counts for some walls only."""
    if is_done(step, job, sheet) or all(record.step != step.name for record in records_on(sheet).counting):
        return because
    return f"{because.rstrip('.')}. It is recorded for a part of the walls only."


def _task(step: Step, job: Job, sheet: Sheet, wanted: list[Step]) -> Task:
    names = {other.name for other in wanted}
    needs = [need for need in step.needs if need in names]
    needs += [other.name for other in wanted if step.name in other.before and other.name not in needs]
    if is_done(step, job, sheet):
        return Task(step.name, 0.0, 0.0, tuple(needs), step.who, right_after=step.right_after)
    hours = _hours(step, job, sheet)
    wait = step.wait(job, sheet)[0] if step.wait else 0.0
    return Task(step.name, hours, wait, tuple(needs), step.who, right_after=step.right_after)


def _placed(step: Step, wanted: Mapping[str, Step]) -> Step:
    """The step as it stands in this job: one that is done each shift, and none of whose needs is in it, follows those
    whose shifts they are."""
    follows = [wanted[name] for name in step.each_shift if name in wanted]
    if not follows or any(need in wanted for need in step.needs):
        return step
    before = dict.fromkeys(name for each in follows for name in each.before)
    return replace(step, needs=tuple(each.name for each in follows), before=tuple(before))


def _shifts(step: Step, tasks: Iterable[Task], job: Job) -> int:
    """How many shifts a step is done after: those that each step it follows takes; once where the survey tells its
    own hours."""
    if step.name in dict(job.work.durations):
        return 1
    return sum(ceil(task.hours / working_days(job).hours) for task in tasks if task.name in step.each_shift)


def _without_cycles(tasks: list[Task]) -> tuple[list[Task], list[list[str]]]:
    """The tasks with one need dropped from each ring of steps that wait for each other, and the rings."""
    rings: list[list[str]] = []
    while True:
        try:
            in_working_order(tasks)
        except CycleError as error:
            ring = error.args[1]
            rings.append(ring)
            before, after = ring[0], ring[1]
            tasks = [
                replace(task, needs=tuple(need for need in task.needs if need != before))
                if task.name == after
                else task
                for task in tasks
            ]
        else:
            return tasks, rings


def _title(step: Step, job: Job) -> str:
    """The step in words; the fixing of several members says in what order they go up."""
    members = sorted({trim.member for trim in job.trim}, key=turn)
    if step.name != "fix" or not members:
        return step.title
    first, *rest = (f"the {tables.member(name)['says']}" for name in members)
    if not rest:
        return f"Fix {first}"
    *between, last = rest
    return f"Fix {first} first, {', '.join(['then ' + between[0], *between[1:], last] if between else [last])} last"


def _job_step(
    step: Step,
    because: str,
    task: Task,
    shifts: int | None,
    job: Job,
    sheet: Sheet,
    slot: Slot,
    critical: tuple[str, ...],
    holds: dict[str, list[str]],
) -> JobStep:
    done = is_done(step, job, sheet)
    wait_why = step.wait(job, sheet)[1] if step.wait and not done else ""
    return JobStep(
        name=step.name,
        title=_title(step, job),
        because=because,
        needs=task.needs,
        right_after=step.right_after,
        required=step.required,
        who=step.who,
        hours=task.hours,
        worked=task.hours * max(1, job.work.crew or 1) if step.shared else task.hours,
        wait=round(slot.free - slot.ends, 2),
        wait_why=wait_why,
        starts=slot.starts,
        ends=slot.ends,
        free=slot.free,
        critical=step.name in critical,
        hold=" ".join(holds.get(step.name, [])),
        done=done,
        grounds=_grounds(step, job, sheet, shifts),
    )


def _barred(step: JobStep, bars: Mapping[str, str]) -> JobStep:
    """The step without its dates, where a hold bars it."""
    if step.name not in bars:
        return step
    return replace(step, starts=None, ends=None, free=None, barred=bars[step.name])


def _hours(step: Step, job: Job, sheet: Sheet) -> float:
    """The working hours of what is left of a step: those that the survey tells, else its own."""
    hours = dict(job.work.durations).get(step.name, step.hours(job, sheet) if step.hours else 0.0)
    return round(hours * share_left(step.name, job, sheet), 2)


def _grounds(step: Step, job: Job, sheet: Sheet, shifts: int | None) -> Grounds:
    named = dict(job.work.durations)
    row = load_table(__package__, "steps").find(step.name)
    hours = _hours(step, job, sheet) * (1 if shifts is None else shifts)
    line = job.line(job.work, f"durations/{step.name}") if step.name in named else 0
    inputs = [Input("working hours", hours, "h", line, step.name not in named)]
    left = share_left(step.name, job, sheet)
    if left < 1:
        inputs.append(Input("pieces that it is still to be done to", left * 100, "%"))
    if shifts is not None:
        inputs.append(Input("shifts that it follows", shifts))
    wait, why = step.wait(job, sheet) if step.wait else (0.0, "")
    own = wait_for(step.name, job, sheet) if row else None
    if wait:
        inputs.append(Input(f"wait for {why}", wait, "h", assumed=True, note="the product's own sheet outranks it"))
        inputs += own.inputs if own else ()
    sources = (*(row.sources if row else ()), *(own.sources if own and wait else ()))
    return Grounds(
        tuple(inputs),
        "working hours, then the wait",
        f"{hours:g} h, then {wait:g} h",
        sources=tuple(dict.fromkeys(sources)) or (Source("The plugin's own step", standing="house-rule"),),
    )


# ---------------------------------------------------------------- findings


def _cycle(ring: list[str]) -> Finding:
    says = f"These steps wait for each other, and cannot be put in order: {', '.join(ring)}."
    return RULES["steps-wait-for-each-other"].told("hold", says, mend="Mend the step that was added last.")


def _programme_findings(
    job: Job, steps: tuple[JobStep, ...], days: int, calendar: Calendar, meanwhile: tuple[str, ...], nowhere: str
) -> Iterator[Finding]:
    if not steps:
        return
    start = Input("first day", job.work.start, "", job.line(job.work, "start")) if job.work.start else None
    day = Input(
        "working hours a day", calendar.hours, "h", job.line(job.work, "hours-per-day"), not job.work.hours_per_day
    )
    crew = Input("people on site", job.work.crew or 1, "", job.line(job.work, "crew"), not job.work.crew)
    worked = sum(step.hours for step in steps)
    grounds = Grounds(
        tuple(given for given in (start, day, crew) if given),
        "each step as soon as what it needs is done and dry, one gang, five days a week",
        f"{worked:.1f} working hours in {len(steps)} steps",
        f"{days} days",
        sources=tuple(load_table(__package__, "steps").sources.values()),
    )
    length = f"{days} calendar days at the earliest, {worked:.0f} working hours among them"
    alone = sum(step.worked for step in steps)
    whose = f" The hours are those of the crew together; of one person they are {alone:.0f}." if alone > worked else ""
    says = f"The work takes {length}.{whose}"
    held = [step for step in steps if step.barred]
    if held:
        titles = {step.name: step.title for step in steps}
        by = "; ".join(dict.fromkeys(titles[step.barred].lower() for step in held))
        may = "; ".join(titles[name].lower() for name in meanwhile) or "nothing"
        says = (
            f"The work takes {length}, if each hold is settled in the time reckoned for its step.{whose} {len(held)} "
            f"of {len(steps)} steps cannot be dated while holds stand on: {by}. Meanwhile may go on{nowhere}: {may}."
        )
    facts: dict[str, Any] = {"days": float(days), "hours": round(worked, 1), "held": float(len(held))}
    yield RULES["earliest-finish"].told("record", says, grounds=grounds, **facts)
    if not job.work.start:
        says = "Not surveyed: the first day of work; it decides the dates of the programme and the order of deliveries."
        yield RULES["start-not-surveyed"].told("advice", says, Where(line=job.line(job.work)))
    yield from _day_of_rest(job)


def _day_of_rest(job: Job) -> Iterator[Finding]:
    """A first day of work on which the programme does not work."""
    first = _weekday(job.work.start)
    if job.work.start is None or first not in REST:
        return
    begins = date.fromisoformat(job.work.start) + timedelta(7 - first)
    yield RULES["starts-on-a-day-of-rest"].told(
        "advice",
        f"Work is to start on {in_words(job.work.start)}, on a {REST[first]}; the programme works "
        f"from Monday to Friday and begins on {in_words(begins.isoformat())}.",
        Where(line=job.line(job.work, "start")),
        Grounds((Input("first day", job.work.start, "", job.line(job.work, "start")),), sources=(PRACTICE,)),
    )
