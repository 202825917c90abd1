"""What is wrong with the records and departures of a survey beside the rules, steps and competences of its plugins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.host.plugin import Plugin
from listel.core.host.record_words import either
from listel.core.host.records import Judge, judge_of, outcomes_of
from listel.core.survey.job import Departure, Job, Record
from listel.core.survey.messages import Fault


def slips_of(job: Job, plugins: Iterable[Plugin]) -> list[Fault]:
    """Every slip of a job's records and departures that only the rules, steps and competences of these plugins tell."""
    plugins = list(plugins)
    judge = judge_of(job, plugins)
    steps = {*(step.name for plugin in plugins for step in plugin.steps), *judge.lifts}
    faults = [
        *(fault for record in job.records for fault in _record_faults(judge, record, steps)),
        *(fault for departure in job.departures for fault in _departure_faults(judge, departure)),
    ]
    return list(dict.fromkeys(faults))


def _record_faults(judge: Judge, record: Record, steps: set[str]) -> Iterator[Fault]:
    lifts = judge.lifts.get(record.step, [])
    may = outcomes_of(lifts)
    if record.step in steps and record.outcome not in may:
        what = "a step that protects" if lifts else "a step that protects nobody"
        says = f"{record.outcome} is no outcome of {record.step}, {what}; write {either(may)}"
        yield judge.job.fault(record, "outcome", says)
    told_by = judge.told_by.get(record.step)
    if told_by and told_by.step != record.step:
        says = f"{record.step} has no record of its own, and is told by that of {told_by.step}"
        yield judge.job.fault(record, "step", f"{says}: {judge.to_record(told_by)}")
    if record.shows and not (record.wall and record.outcome == "clear" and any(lift.shows for lift in lifts)):
        says = "what a wall is, is shown by a record that is clear, names the wall and is of a step that looks into it"
        looked = [step for step, mine in judge.lifts.items() if any(lift.shows for lift in mine)]
        yield judge.job.fault(record, "shows", f"{says}: {either(looked)}")
    known = judge.asked.known
    if record.competence and judge.competences and record.competence not in known:
        region = (judge.job.building.region or "").replace("-", " ")
        elsewhere = any(record.competence in row["as"] for row in judge.competences)
        wrong = f"is no competence of {region}" if elsewhere and region else "is no competence known here"
        yield judge.job.fault(record, "as", f"{record.competence} {wrong}. It may be {either(known)}")


def _departure_faults(judge: Judge, departure: Departure) -> Iterator[Fault]:
    rule = judge.rules.get(departure.rule)
    if rule is not None and not rule.departs:
        lift = rule.lifted_by
        instead = f"What settles it: {judge.to_record(lift)}" if lift else f"It is settled by {rule.settled_by}"
        yield judge.job.fault(departure, "rule", f"no departure settles {rule.name}, whoever agrees. {instead}")
