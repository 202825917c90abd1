"""The engine: run the stages over a job, keep what is sound, and say what failed.

A stage is taken whole or not at all. One that raises, runs too long or returns what it did not declare
becomes a hold that names the plugin; stages that need what it would have given are skipped and say so.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from time import perf_counter
from typing import Any

from listel.core.contract.findings import WEIGHTS, Finding, Settled, Where
from listel.core.contract.lines import plain
from listel.core.contract.stage import Said, Section, Sheet, Stage, Step, Steps
from listel.core.host.admit import admitted
from listel.core.host.limits import time_limit, told_error
from listel.core.host.order import in_order
from listel.core.host.registry import Plugin, Registry, Weighing
from listel.core.survey.job import Job
from listel.core.survey.messages import nearest

STAGE_SECONDS = 20.0
"""How long a stage of a plugin from outside may take."""

STEP_SECONDS = 5.0
"""How long a step of a plugin from outside may take to answer one question."""

MOST_ITEMS = 10_000
"""More findings and results than this from one stage are refused."""

RULE_NAME = re.compile(r"[a-z0-9-]+/[a-z0-9-]+")


@dataclass(frozen=True)
class Ran:
    """One stage that ran, or was skipped: ``fault`` says why in words. ``seconds`` is for the trace only."""

    stage: str
    plugin: str
    version: str
    origin: str
    needs: tuple[str, ...]
    wants: tuple[str, ...]
    gives: tuple[str, ...]
    amends: tuple[str, ...]
    findings: int = 0
    fault: str = ""
    seconds: float = field(default=0.0, compare=False)


@dataclass(frozen=True)
class AtWork:
    """One plugin, or one firm's house rules, that was at work: ``origin`` says which."""

    plugin: str
    version: str
    origin: str
    outside: bool


@dataclass(frozen=True)
class Outcome:
    """Everything that came of one job: the job, the sheet of results, the findings in order, and what ran.

    ``digest`` covers the survey, the plugins with their versions and tables, and the house rules: two people
    with the same digest ran the same thing.
    """

    job: Job
    sheet: Sheet
    findings: tuple[Finding, ...]
    ran: tuple[Ran, ...]
    sections: tuple[Section, ...]
    digest: str
    house: tuple[str, ...] = ()
    plugins: tuple[AtWork, ...] = ()

    @property
    def holds(self) -> tuple[Finding, ...]:
        """The findings that hold the job and that nobody has settled."""
        return tuple(finding for finding in self.findings if finding.open_hold)

    @property
    def fit_for_issue(self) -> bool:
        """Whether the statement may be issued: no hold is open."""
        return not self.holds


def examine(job: Job, registry: Registry, house: Sequence[Plugin] = ()) -> Outcome:
    """Run every stage over the job, and settle what the survey's departures settle.

    A plugin from outside that cannot stand beside the others is left out so far, and becomes a hold.
    """
    plugins = admitted([*registry.plugins, *house])
    owners = {stage.name: plugin for plugin in plugins for stage in plugin.stages}
    order = in_order([stage for plugin in plugins for stage in plugin.stages])
    findings = [_load_fault(plugin, fault) for plugin in plugins for fault in plugin.faults]
    asked: list[tuple[Plugin, str]] = []
    steps = tuple(
        _guarded_step(step, plugin, asked) if plugin.outside else step for plugin in plugins for step in plugin.steps
    )
    sheet = Sheet({Steps: Steps(steps)})
    ran: list[Ran] = []
    for stage in order:
        sheet = _with(sheet, {Said: Said(tuple(_settled(job, finding)[0] for finding in findings))})
        sheet, found, entry = _run(stage, owners[stage.name], job, sheet)
        findings += found
        ran.append(entry)
    findings += [_load_fault(plugin, fault) for plugin, fault in asked]
    sections = tuple(sorted((s for p in plugins for s in p.sections), key=lambda s: (s.place, s.name)))
    settled = tuple(_settle(job, _weighed(findings, plugins)))
    at_work = tuple(AtWork(p.name, p.version, p.origin, p.outside) for p in plugins)
    names = tuple(plugin.name for plugin in house)
    return Outcome(job, sheet, settled, tuple(ran), sections, _digest(job, plugins), names, at_work)


def _guarded_step(step: Step, plugin: Plugin, faults: list[tuple[Plugin, str]]) -> Step:
    """A step of a plugin from outside: what it fails to answer goes into ``faults``, and it is left out."""

    def guarded(word: str, ask: Any, fits: Callable[[Any], bool], otherwise: Any) -> Callable[[Job, Sheet], Any]:
        def answer(job: Job, sheet: Sheet) -> Any:
            try:
                with time_limit(STEP_SECONDS):
                    told = ask(job, sheet)
                if not fits(told):
                    raise TypeError(f"it returned a {type(told).__name__}")
                return told
            except KeyboardInterrupt:
                raise
            except BaseException as error:
                fault = (plugin, f"{word} of its step {step.name} failed: {told_error(error)}")
                if fault not in faults:
                    faults.append(fault)
                return otherwise

        return answer

    return replace(
        step,
        applies=guarded("applies", step.applies, lambda told: isinstance(told, str), ""),
        hours=step.hours and guarded("hours", step.hours, _is_hours, 0.0),
        wait=step.wait and guarded("wait", step.wait, lambda told: _is_hours(told[0]) and len(told) == 2, (0.0, "")),
    )


def _is_hours(told: Any) -> bool:
    return isinstance(told, (int, float)) and not isinstance(told, bool) and 0 <= told < 1e6


def _run(stage: Stage, plugin: Plugin, job: Job, sheet: Sheet) -> tuple[Sheet, list[Finding], Ran]:
    lacking = [kind.__name__ for kind in (*stage.needs, *stage.amends) if kind not in sheet]
    began = perf_counter()
    found: list[Finding] = []
    results: dict[type, object] = {}
    fault = ""
    if lacking:
        fault = f"skipped, since {' and '.join(lacking)} could not be given"
    else:
        try:
            found, results = _taken(stage, plugin, job, sheet)
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            fault = told_error(error)
    if fault:
        found = [_stage_fault(stage, plugin, fault, skipped=bool(lacking))]
    needs, wants, gives, amends = (
        tuple(kind.__name__ for kind in kinds) for kinds in (stage.needs, stage.wants, stage.gives, stage.amends)
    )
    took = perf_counter() - began
    origin = (stage.name, plugin.name, plugin.version, plugin.origin)
    entry = Ran(*origin, needs, wants, gives, amends, len(found), fault, took)
    return (_with(sheet, results), found, entry)


def _with(sheet: Sheet, results: dict[type, object]) -> Sheet:
    return Sheet({**{type(result): result for result in sheet}, **results}) if results else sheet


def _taken(stage: Stage, plugin: Plugin, job: Job, sheet: Sheet) -> tuple[list[Finding], dict[type, object]]:
    """All that a stage yields, in a box of its own. Raises TypeError for what it may not yield, or does not."""
    if plugin.outside:
        with time_limit(STAGE_SECONDS):
            items = _listed(stage.examine(job, sheet))
    else:
        items = _listed(stage.examine(job, sheet))
    declared = {*stage.gives, *stage.amends}
    found: list[Finding] = []
    results: dict[type, object] = {}
    for item in items:
        if isinstance(item, Finding):
            _check_finding(item)
            found.append(item)
        elif type(item) not in declared:
            raise TypeError(f"it returned a {type(item).__name__}, which it does not declare under gives or amends")
        elif type(item) in results:
            raise TypeError(f"it returned {type(item).__name__} twice")
        else:
            results[type(item)] = item
    missing = declared - set(results)
    if missing:
        raise TypeError(f"it did not return {', '.join(sorted(kind.__name__ for kind in missing))}, which it declares")
    return found, results


def _listed(items: Iterable[object]) -> list[object]:
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


def _stage_fault(stage: Stage, plugin: Plugin, fault: str, *, skipped: bool) -> Finding:
    name = f"{plugin.name} {plugin.version}".strip()
    if skipped:
        says = f"The stage {stage.name} of {name} was {fault}. What it would have checked is not in this statement."
        return Finding(
            "engine/stage-skipped", "hold", says, mend="Mend the stage that failed before it.", protects=True
        )
    says = f"The stage {stage.name} of {name} failed: {fault}. What it would have checked is not in this statement."
    return Finding(
        "engine/stage-failed", "hold", says, mend=f"Mend or remove the plugin ({plugin.origin}).", protects=True
    )


def _load_fault(plugin: Plugin, fault: str) -> Finding:
    end = "" if fault.endswith(("?", ".")) else "."
    says = f"The plugin {plugin.name} ({plugin.origin}) is not fully at work: {fault}{end}"
    return Finding("engine/plugin-failed", "hold", says, mend="Mend or remove the plugin.", protects=True)


def _weighed(findings: Iterable[Finding], plugins: Iterable[Plugin]) -> Iterator[Finding]:
    """The findings with the weights that house rules give them, the heavier of two; one that protects people is
    never made lighter."""
    findings = list(findings)
    weighings = [weighing for plugin in plugins for weighing in plugin.weights]
    given = {each.rule: each for each in sorted(weighings, key=lambda each: WEIGHTS.index(each.weight), reverse=True)}
    yield from _weighs_nothing(findings, given)
    for finding in findings:
        weighing = given.get(finding.rule)
        if weighing is None or weighing.weight == finding.weight:
            yield finding
        elif finding.protects and WEIGHTS.index(weighing.weight) > WEIGHTS.index(finding.weight):
            yield finding
            lighter = f"{weighing.by} would make {finding.rule} a mere {weighing.weight}"
            says = f"{lighter}; it protects people and keeps its weight."
            yield Finding("engine/weight-refused", "caution", says, finding.where, protects=True)
        else:
            yield replace(finding, weight=weighing.weight, weighed_by=weighing.by)


def _weighs_nothing(findings: Iterable[Finding], given: Mapping[str, Weighing]) -> Iterator[Finding]:
    """What there is to say about weights of rules of which no finding stands here."""
    rules = sorted({finding.rule for finding in findings})
    for rule, weighing in given.items():
        if rule not in rules:
            near = nearest(rule, rules)
            meant = f" Is {near} meant?" if near else ""
            says = f"The weight that {weighing.by} gives to {rule} weighs nothing: no such finding stands here.{meant}"
            yield Finding("house/weight-unused", "record", says)


def _settled(job: Job, finding: Finding) -> tuple[Finding, int | None]:
    """The finding, settled if a departure covers it and it may be settled; and which departure covers it."""
    at = finding.where
    for number, departure in enumerate(job.departures):
        places = ((departure.room, at.room), (departure.wall, at.wall), (departure.trim, at.trim))
        if departure.rule != finding.rule or any(wanted not in ("", got) for wanted, got in places):
            continue
        if finding.protects:
            return finding, number
        return replace(finding, settled=Settled(departure.reason, departure.agreed, job.line(departure))), number
    return finding, None


def _settle(job: Job, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings, settled where a departure covers them; then what there is to say about the departures."""
    used: set[int] = set()
    for finding in findings:
        settled, number = _settled(job, finding)
        if number is not None:
            used.add(number)
            if finding.protects:
                yield _refused(job, finding, number)
        yield settled
    for number, departure in enumerate(job.departures):
        if number not in used:
            says = f"The departure from {departure.rule} settles nothing: no finding of that rule stands there."
            where = Where(departure.room, departure.wall, line=job.line(departure))
            yield Finding("engine/departure-unused", "advice", says, where)


def _refused(job: Job, finding: Finding, number: int) -> Finding:
    says = (
        f"The departure from {finding.rule} is refused: the finding protects people, "
        "and is only resolved by recording what was done."
    )
    where = replace(finding.where, line=job.line(job.departures[number]))
    return Finding("engine/departure-refused", "caution", says, where, protects=True)


def _digest(job: Job, plugins: Iterable[Plugin]) -> str:
    parts = [job.digest, *sorted(f"{p.name} {p.version} {p.tables_digest}" for p in plugins)]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def outcome_json(outcome: Outcome) -> dict[str, object]:
    """The outcome as JSON holds it, valid against ``schemas/outcome.schema.json``."""
    from listel import __version__

    job = outcome.job
    results = {
        type(result).__name__: plain(result) for result in outcome.sheet if not isinstance(result, (Said, Steps))
    }
    about = {
        name: getattr(job, name) for name in ("title", "reference", "revision", "surveyed", "units", "source", "digest")
    }
    ran = [{key: value for key, value in plain(entry).items() if key != "seconds"} for entry in outcome.ran]
    return {
        "listel": __version__,
        "digest": outcome.digest,
        "survey": about,
        "fit_for_issue": outcome.fit_for_issue,
        "house": list(outcome.house),
        "plugins": [
            {"plugin": each.plugin, "version": each.version, "origin": each.origin} for each in outcome.plugins
        ],
        "findings": plain(outcome.findings),
        "results": results,
        "ran": ran,
    }
