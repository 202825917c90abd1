"""One stage, taken whole or not at all: what it yields, or the hold that says why it gave nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from time import perf_counter

from listel.core.contract.findings import WEIGHTS, Finding
from listel.core.contract.lines import Cures, Sets, lines_of
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import TIES, Sheet, Stage
from listel.core.host.amending import Asked, asked
from listel.core.host.answers import a_kind_of, unfit
from listel.core.host.limits import told_error
from listel.core.host.outcome import Ran
from listel.core.host.outsiders import Limits
from listel.core.host.plugin import Plugin
from listel.core.host.settling import Cure
from listel.core.quick import dataclass
from listel.core.survey.job import Job

MOST_ITEMS = 10_000
"""More findings and results than this from one stage are refused."""

RULES = load_rules(__package__, "engine")

RULE_NAME = re.compile(r"[a-z0-9-]+/[a-z0-9-]+")


@dataclass(frozen=True)
class Wanted:
    """What one stage sets in a result, and what that cured."""

    sets: Sequence[Asked] = ()
    cures: Sequence[Cure] = ()


@dataclass(frozen=True)
class Took:
    """What one stage yielded."""

    found: Sequence[Finding] = ()
    results: Mapping[type, object] = field(default_factory=dict)
    asked: Mapping[type, Wanted] = field(default_factory=dict)


def run_stage(stage: Stage, plugin: Plugin, job: Job, sheet: Sheet, limits: Limits) -> tuple[Took, Ran]:
    """What a stage yields of a job, or one hold where it fails, and the entry that says how it ran."""
    lacking = [kind.__name__ for kind in (*stage.needs, *stage.amends, *stage.settles) if kind not in sheet]
    began = perf_counter()
    took, fault = Took(), ""
    if lacking:
        fault = f"skipped, since {' and '.join(lacking)} could not be given"
    else:
        try:
            took = limits.run(plugin, lambda: _taken(stage, job, sheet, plugin))
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            fault = told_error(error)
    if fault:
        took = Took([stage_fault(stage, plugin, fault, skipped=bool(lacking))])
    entry = Ran(
        stage=stage.name,
        plugin=plugin.name,
        version=plugin.version,
        origin=plugin.origin,
        **{tie: tuple(kind.__name__ for kind in getattr(stage, tie)) for tie in TIES},
        findings=len(took.found),
        fault=fault,
        seconds=perf_counter() - began,
    )
    return took, entry


def _taken(stage: Stage, job: Job, sheet: Sheet, plugin: Plugin) -> Took:
    """All that a stage yields, in a box of its own. Raises TypeError for what it may not yield, or does not."""
    given = stage.examine(job, sheet)
    if not isinstance(given, Iterable) or isinstance(given, str):
        what = "nothing: a yield or a return may be missing" if given is None else a_kind_of(given)
        raise TypeError(f"it returned {what}; a stage yields its findings and results, or returns a list of them")
    items = listed(given)
    declared = set(stage.yields)
    found: list[Finding] = []
    sets: list[Sets | Cures] = []
    results: dict[type, object] = {}
    for item in items:
        if isinstance(item, Finding):
            _check_finding(item)
            found.append(item)
        elif isinstance(item, (Sets, Cures)):
            sets.append(item)
        elif type(item) not in declared:
            raise TypeError(f"it returned {a_kind_of(item)}, which it does not declare under gives or settles")
        elif type(item) in results:
            raise TypeError(f"it returned {type(item).__name__} twice")
        else:
            results[type(item)] = item
    missing = declared - set(results)
    if missing:
        raise TypeError(f"it did not return {', '.join(sorted(kind.__name__ for kind in missing))}, which it declares")
    for kind in stage.settles:
        if len(lines_of(sheet[kind])) != len(lines_of(results[kind])):
            raise TypeError(f"it adds or takes away lines of {kind.__name__}, which it may only settle")
    known = {id(line) for kind in stage.amends for _, _, line in lines_of(sheet[kind])}
    if any(id(each.line) not in known for each in sets):
        raise TypeError("it sets in a line that is not on the sheet, or not of a result it declares under amends")
    if plugin.outside and (says := next(filter(None, map(unfit, (*found, *results.values()))), "")):
        raise TypeError(says)
    if plugin.outside and plugin.code:
        _check_outsider(found, plugin, job)
    return Took(found, results, {kind: _wanted(sheet[kind], sets) for kind in stage.amends})


def _wanted(result: object, items: Sequence[Sets | Cures]) -> Wanted:
    numbers = {id(line): number for number, (_, _, line) in enumerate(lines_of(result))}
    cures = [each for each in items if isinstance(each, Cures) and id(each.line) in numbers]
    for each in cures:
        if not (isinstance(each.reason, str) and each.reason.strip() and RULE_NAME.fullmatch(str(each.rule))):
            raise TypeError(f"it cures {each.rule!r} for the reason {each.reason!r}; a cure names a rule and says why")
    sets = asked(result, (each for each in items if isinstance(each, Sets)))
    return Wanted(sets, [(numbers[id(each.line)], each.rule, each.reason) for each in cures])


def listed(items: Iterable[object]) -> list[object]:
    """The items as a list. Raises TypeError for more than MOST_ITEMS."""
    taken: list[object] = []
    for item in items:
        taken.append(item)
        if len(taken) > MOST_ITEMS:
            raise TypeError(f"it returned more than {MOST_ITEMS} items")
    return taken


def _check_finding(finding: Finding) -> None:
    if finding.weight not in WEIGHTS:
        raise TypeError(f"a finding has the weight {finding.weight!r}; it must be one of {', '.join(WEIGHTS)}")
    if not isinstance(finding.rule, str) or not RULE_NAME.fullmatch(finding.rule):
        raise TypeError(f"a finding has the rule {finding.rule!r}; it must be plugin/words-in-kebab-case")
    if not isinstance(finding.says, str) or not finding.says.strip():
        raise TypeError(f"a finding of {finding.rule} says nothing")


def _check_outsider(found: Iterable[Finding], plugin: Plugin, job: Job) -> None:
    """Raises TypeError where a finding is of a rule that the plugin does not declare, or at a place that is not in the
    survey."""
    declared = {rule.name for rule in plugin.rules()}
    walls = {
        room.name: {"", *(wall.name for wall in room.walls), *(flight.name for flight in room.stairs)}
        for room in job.rooms
    }
    for finding in found:
        room, wall = finding.where.room, finding.where.wall
        if finding.rule not in declared:
            raise TypeError(f"it tells {finding.rule}, which its listel_rules does not declare")
        if room and room not in walls:
            raise TypeError(f"a finding of {finding.rule} is in the room {room}, and the survey has none of that name")
        if room and wall not in walls[room]:
            raise TypeError(f"a finding of {finding.rule} is at the wall {wall}, and the {room} has none of that name")


def stage_fault(stage: Stage, plugin: Plugin, fault: str, *, skipped: bool) -> Finding:
    """The hold for a stage that failed, or was skipped for one that did."""
    which, lost = f"The stage {stage.name} of {plugin.called}", "What it would have checked is not in this statement."
    if skipped:
        says = f"{which} was {fault}. {lost}"
        return RULES["stage-skipped"].told("hold", says, mend="Mend the stage that failed before it.")
    says = f"{which} failed: {fault}. {lost}"
    return RULES["stage-failed"].told("hold", says, mend=f"Mend or remove the plugin ({plugin.origin}).")
