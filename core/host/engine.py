"""The engine: run the stages over a job, keep what is sound, and say what failed.

A stage is taken whole or not at all. One that raises, runs too long or returns what it did not declare
becomes a hold that names the plugin; stages that need what it would have given are skipped and say so.

Where something is set in a result, what rests on it is run over the result as it was given as well: a finding that
protects people and stands only there has been amended away, and that is a hold.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import replace
from importlib import import_module
from typing import Any

from listel.core.contract.findings import Finding, Where
from listel.core.contract.firms import FirmHeights
from listel.core.contract.lines import Amendment
from listel.core.contract.records import Records
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Said, Sheet, Stage, Steps
from listel.core.contract.tables import adding
from listel.core.host.added import options_told
from listel.core.host.admit import admitted
from listel.core.host.amending import merged, protection_lost, told
from listel.core.host.collecting import uncollected
from listel.core.host.heights import firm_heights
from listel.core.host.limits import told_error
from listel.core.host.order import in_order
from listel.core.host.outcome import AtWork, Given, Outcome, Ran
from listel.core.host.outsiders import GuardedStep, Limits, answered
from listel.core.host.plugin import Plugin
from listel.core.host.records import AGAINST, DONE, Judge, judge_of
from listel.core.host.registry import Registry
from listel.core.host.settling import Cured, cures_that_fail, cures_that_stand, settled, with_departures
from listel.core.host.slips import slips_of
from listel.core.host.taking import Wanted, run_stage, stage_fault
from listel.core.host.voices import Voices, voices_of
from listel.core.survey.job import Job, Record
from listel.core.survey.messages import SurveyFaults, nearest

AT_WORK: ContextVar[Callable[[str], None]] = ContextVar("at_work", default=lambda stage: None)
"""Told the name of each stage before it runs."""

RULES = load_rules(__package__, "engine")


@uncollected()
def examine(
    job: Job,
    registry: Registry,
    house: Sequence[Plugin] = (),
    given: Sequence[Given] = (),
    *,
    limits: bool = True,
    options: Mapping[str, Mapping[str, Any]] | None = None,
) -> Outcome:
    """Run every stage over the job, and settle what the survey's records and departures settle; stages find what is
    ``given`` on the sheet, by its type. ``options``: what plugins are told, by name; house files have the last word.

    A plugin from outside that cannot stand beside the others is left out so far, and becomes a hold. Its code runs in
    a process of its own and within a time, but where ``limits`` is False: then that is left to the caller. Its sections
    are tried, so that one that cannot be made is a hold whatever is written of the outcome. Raises
    SurveyFaults for a record or a departure that the rules at work do not allow.
    """
    plugins = admitted([*registry.plugins, *house])
    added = tuple(table for plugin in plugins if plugin.outside for table in plugin.tables())
    forms = [(plugin.name, form) for plugin in plugins for form in plugin.options]
    told = options_told(forms, options or {}, *(plugin.told for plugin in plugins))
    with adding(added):
        made = _examined(job, plugins, Limits(at_work=limits), house, (told, *given) if told.told else given)
        made = replace(made, added=added)
        if any(section.outside for section in made.sections):
            made = import_module("listel.reports.sections").tried(made)
        return made


def _examined(
    job: Job, plugins: Sequence[Plugin], limits: Limits, house: Sequence[Plugin], given: Sequence[Given]
) -> Outcome:
    if slips := slips_of(job, plugins):
        raise SurveyFaults(slips)
    job = judge_of(job, plugins).shown
    judge = judge_of(job, plugins)
    owners = {stage.name: plugin for plugin in plugins for stage in plugin.stages}
    order = in_order([stage for plugin in plugins for stage in plugin.stages])
    faults: list[tuple[Plugin, str]] = []
    steps = tuple(
        GuardedStep(step, plugin, limits, faults).step() if plugin.outside and plugin.code else step
        for plugin in plugins
        for step in plugin.steps
    )
    words = tuple(each for plugin in plugins for each in plugin.words)
    told_at_loading = [_load_fault(plugin, fault) for plugin in plugins for fault in plugin.faults]
    told_at_loading += _tied_to_nothing(plugins, {step.name for step in steps})
    heights, split = firm_heights(RULES, job, plugins, limits, faults)
    told_at_loading += split
    sheet = Sheet(
        {
            Steps: Steps(steps, words),
            Records: judge.records,
            FirmHeights: heights,
            **{type(each): each for each in given},
        }
    )
    run = _Run(job, owners, voices_of(job, plugins), judge, sheet, told_at_loading, limits)
    for stage in order:
        run.take(stage, [other for other in order if set(other.amends) & set(stage.amends)])
    at_last = [_load_fault(plugin, fault) for plugin, fault in faults]
    at_last += protection_lost(RULES, run.bare_said, run.said, run.amendments)
    at_last += cures_that_fail(run.cured, run.said, judge.rules)
    at_last += [*_alone(judge, run.said), *_of_no_step(judge, [step.name for step in steps])]
    at_last += _of_one_voice(judge)
    findings = [*run.said, *run.voices.said(at_last)]
    findings += run.voices.unused(findings)
    sections = tuple(sorted((s for p in plugins for s in p.sections), key=lambda s: (s.place, s.name)))
    at_work = tuple(AtWork(p.name, p.version, p.origin, p.outside, p.code) for p in plugins)
    names = tuple(plugin.name for plugin in house)
    return Outcome(
        job=job,
        sheet=_with(run.sheet, {Steps: Steps(tuple(map(answered, steps)), words)}),
        findings=tuple(with_departures(job, findings, judge.rules)),
        ran=tuple(run.ran),
        sections=sections,
        digest=_digest(job, plugins, given),
        house=names,
        plugins=at_work,
        amendments=tuple(run.amendments),
        given=tuple(given),
        rules=judge.rules,
    )


class _Run:
    """One run over one job: the sheet and what is said so far, and both as they would be if nobody amended.

    ``said`` and ``bare_said`` are weighed and settled as they come: a stage that asks what holds the job is told
    the same as the statement.
    """

    def __init__(
        self,
        job: Job,
        owners: Mapping[str, Plugin],
        voices: Voices,
        judge: Judge,
        sheet: Sheet,
        said: Iterable[Finding],
        limits: Limits,
    ) -> None:
        self.job, self.owners, self.voices, self.judge, self.limits = job, owners, voices, judge, limits
        self.sheet, self.bare = sheet, sheet
        self.said, self.bare_said = list(voices.said(said)), list[Finding]()
        self.ran: list[Ran] = []
        self.amendments: list[Amendment] = []
        self.cured: list[Cured] = []
        self._givers: dict[type, Stage] = {}
        self._asked: dict[type, list[tuple[str, Wanted]]] = {}

    def take(self, stage: Stage, beside: Sequence[Stage]) -> None:
        """Run a stage; ``beside`` are all stages that amend what it amends, itself among them."""
        self._givers |= dict.fromkeys(stage.gives, stage)
        apart = not stage.amends and self._differs(stage)
        alone = _alone(self.judge, self.said)
        self.sheet = _with(self.sheet, {Said: Said((*self.said, *alone))})
        AT_WORK.get()(stage.name)
        took, entry = run_stage(stage, self.owners[stage.name], self.job, self.sheet, self.limits)
        self.ran.append(entry)
        self._say(self.said, took.found)
        self.sheet = _with(self.sheet, took.results)
        if stage.amends:
            self._amend(stage, took.asked, beside)
            return
        if apart:
            bare = _with(self.bare, {Said: Said(tuple(self.bare_said))})
            took, _ = run_stage(stage, self.owners[stage.name], self.job, bare, self.limits)
        self.bare = _with(self.bare, took.results)
        self._say(self.bare_said, took.found)

    def _differs(self, stage: Stage) -> bool:
        """Whether the stage would see another sheet if nobody amended."""
        kinds = [kind for kind in stage.reads if kind is not Said]
        return any(self.sheet.get(kind) is not self.bare.get(kind) for kind in kinds)

    def _say(self, said: list[Finding], found: Iterable[Finding]) -> None:
        for finding in self.voices.said(found):
            made = settled(self.job, self.judge.judged(finding), self.judge.rules)[0]
            said.append(self._cure(made) if said is self.said else made)

    def _cure(self, finding: Finding) -> Finding:
        for cured in self.cured:
            finding = cured.settle(finding)
        return finding

    def _amend(self, stage: Stage, wanted: Mapping[type, Wanted], beside: Sequence[Stage]) -> None:
        """Keep what a stage sets; once the last beside it has run, put together what all of them set."""
        by = stage.author or self.owners[stage.name].name
        done = {entry.stage for entry in self.ran}
        for kind in (kind for kind in stage.amends if kind in self.sheet):
            self._asked.setdefault(kind, []).append((by, wanted.get(kind, Wanted())))
            if all(other.name in done for other in beside if kind in other.amends):
                self._put_together(kind)

    def _put_together(self, kind: type) -> None:
        given: Any = self.sheet[kind]
        wanted = self._asked.pop(kind)
        made = merged(given, [(by, each.sets) for by, each in wanted])
        giver = self._givers[kind]
        plugin = self.owners[giver.name]
        if made.amendments and giver.follow:
            follow = giver.follow
            try:
                made = made.followed(self.limits.run(plugin, lambda: follow(self.job, self.sheet, made.result)))
            except KeyboardInterrupt:
                raise
            except BaseException as error:
                self._say(self.said, [stage_fault(giver, plugin, told_error(error), skipped=False)])
                return
        self._say(self.said, told(RULES, made, self.job.units))
        self.amendments += made.amendments
        cures = [(by, each.cures) for by, each in wanted]
        self.cured += cures_that_stand(given, cures, made.amendments, self.judge.rules)
        self.said[:] = map(self._cure, self.said)
        self.sheet = _with(self.sheet, {kind: made.result})


def _alone(judge: Judge, said: Iterable[Finding]) -> list[Finding]:
    """What the records tell of which nothing said speaks."""
    return [judge.judged(finding) for finding in judge.found_alone(said)]


def _of_no_step(judge: Judge, steps: Collection[str]) -> Iterator[Finding]:
    """What there is to say of records of steps that nobody offers, or that are not what a step asks."""
    for record in judge.job.records:
        where = Where(record.room, record.wall, line=judge.job.line(record))
        lifts = judge.lifts.get(record.step, [])
        if record.outcome == DONE and lifts and record not in judge.records.counting:
            lacks = judge.asked.lacks(record, lifts[0])
            says = f"The record of {record.step} by {record.by} does not count: it {lacks}."
            yield RULES["record-unused"].told("caution", says, where, mend=f"Record it as {judge.to_record(lifts[0])}.")
        if record.step not in steps and record.step not in judge.lifts:
            near = nearest(record.step, steps)
            meant = f"; {near} is the nearest" if near else ""
            says = f"The record of {record.step} by {record.by} settles nothing: no step has that name{meant}."
            against = record.outcome in AGAINST
            if against:
                says += f" It tells of something {record.outcome}, and no rule can say what follows."
            yield RULES["record-unused"].told("hold" if against else "advice", says, where)


def _of_one_voice(judge: Judge) -> Iterator[Finding]:
    """Names under which several competences speak that protect people, and the client's own."""
    said: dict[str, dict[str, Record]] = {}
    for record in judge.records.counting:
        if record.step in judge.lifts:
            said.setdefault(record.by.strip().casefold(), {})[record.competence] = record
    for name, records in said.items():
        last = next(reversed(records.values()))
        own = bool(name) and name == judge.job.client.strip().casefold()
        if own or len(records) > 1:
            who = " and ".join(map(judge.asked.known_as, records))
            whose = ", the client of this job," if own else ""
            says = f"The records by {last.by}{whose} speak as {who}: see the paper for each."
            yield RULES["one-voice"].told("caution", says, Where(last.room, last.wall, line=judge.job.line(last)))


def _with(sheet: Sheet, results: Mapping[type, object]) -> Sheet:
    return Sheet({**{type(result): result for result in sheet}, **results}) if results else sheet


def _load_fault(plugin: Plugin, fault: str) -> Finding:
    end = "" if fault.endswith(("?", ".")) else "."
    says = f"The plugin {plugin.name} ({plugin.origin}) is not fully at work: {fault}{end}"
    return RULES["plugin-failed"].told("hold", says, mend="Mend or remove the plugin.")


def _tied_to_nothing(plugins: Iterable[Plugin], names: set[str]) -> Iterator[Finding]:
    """Steps of outside plugins that are tied to steps nobody offers."""
    for step in (step for plugin in plugins if plugin.outside for step in plugin.steps):
        for other in (*step.needs, *step.before):
            if other not in names:
                says = f"The step {step.name} is tied to a step {other}, which no installed plugin offers."
                yield RULES["step-unknown"].told("caution", says, mend="Check the step's name.")
    names = names | {words.step for plugin in plugins if not plugin.outside for words in plugin.words}
    for plugin in (plugin for plugin in plugins if plugin.outside):
        for named in dict.fromkeys(words.step for words in plugin.words):
            if named not in names:
                says = f"The words of {plugin.name} for {named} mean nothing: no step or way of working is named so."
                yield RULES["step-unknown"].told("caution", says, mend="Check the step's name.")


def _digest(job: Job, plugins: Iterable[Plugin], given: Iterable[Given]) -> str:
    parts = [job.digest, *sorted(f"{p.called} {p.tables_digest}" for p in plugins)]
    parts += sorted(f"{type(each).__name__} {each.digest}" for each in given)
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()
