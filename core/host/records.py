"""What a record may lift: which records bear on a finding, what each of them lacks, and what is a slip of the survey.

The engine judges; what counts for which rule is declared beside the rule (``lifted-by``), and who may say what is the
table of competences. Free text is never read here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from datetime import date, timedelta
from functools import cached_property

from listel.core.contract.findings import PRACTICE, WEIGHTS, Finding, Grounds, Where
from listel.core.contract.records import Records, outlasts
from listel.core.contract.rules import Lift, Rule
from listel.core.contract.tables import Row
from listel.core.host.record_words import Spot, all_of, day_in_words, either, kept_in_words, places_in_words, with_its
from listel.core.host.registry import Plugin
from listel.core.quick import dataclass
from listel.core.survey.job import OUTCOMES, Departure, Job, Record
from listel.core.survey.messages import Fault

FIRST = "Local codes and licensed practice come first."
OLDER = "It is older than the survey of the job: see that it speaks of these places and of this work."
AT_NO_DAY = "Whether that day is before the work is not known, for the survey tells no start (work, start)."

CONSENT = ("applied-for", "granted", "refused", "not-needed")
DEALT_WITH = "dealt-with"
DONE = "done"
SEARCH = ("clear", "found")
AGAINST = ("found", "refused", "removed", "sealed")
BECAME = ("found", "sealed", "removed")
STAYS = "sealed"
"""What stays where it is, and holds whoever works there."""

VERBS = {"refused": "Refused", "removed": "It was taken out", "sealed": "It was sealed and stays"}
"""What was found, or refused, in words that begin a sentence."""


@dataclass(frozen=True)
class Judge:
    """Judges the records of one job by the declared rules."""

    job: Job
    rules: Mapping[str, Rule]
    competences: tuple[Row, ...] = ()
    told_by: Mapping[str, Lift] = field(default_factory=dict)
    """Which record says that a step is done, by the names of those of which not anybody's does."""

    def known_as(self, name: str) -> str:
        """What somebody of that competence is called in the region; its plain words where the region is not known."""
        row = self._row(name)
        return str(row["called"]) if row else f"{'an' if name[0] in 'aeiou' else 'a'} {name.replace('-', ' ')}"

    def kinds(self, name: str) -> Sequence[str]:
        """The kinds of survey that a competence's word may rest on in the region; none where it rests on no survey."""
        row = self._row(name)
        return row.get("kinds", ()) if row else ()

    def _row(self, name: str) -> Row | None:
        """The row of a competence in the region; None where it has none, or the region is not known."""
        region = self.job.building.region
        return next((row for row in self.competences if name in row["as"] and region in row["regions"]), None)

    @cached_property
    def known(self) -> list[str]:
        """The competences of the region, in the order of the tables; all of them where it is not known."""
        region = self.job.building.region
        rows = [row for row in self.competences if region is None or region in row["regions"]]
        return list(dict.fromkeys(name for row in rows for name in row["as"]))

    @cached_property
    def lifts(self) -> dict[str, list[Lift]]:
        """What lifts rules, or says that a step is done, by the step recorded."""
        found: dict[str, list[Lift]] = {}
        of_rules = (rule.lifted_by for rule in self.rules.values() if rule.lifted_by is not None)
        of_steps = (lift for step, lift in self.told_by.items() if lift.step == step)
        for lift in (*of_rules, *of_steps):
            found.setdefault(lift.step, []).append(lift)
        return found

    @cached_property
    def records(self) -> Records:
        """The records that count, and those that stand against."""
        counting = tuple(record for record in self.job.records if self._counts(record))
        ending = tuple(r for r in counting if any(_ends(r, lift) for lift in self.lifts.get(r.step, ())))
        return self._with_against(counting, ending)

    def _counts(self, record: Record) -> bool:
        lifts = self.lifts.get(record.step)
        return any(not self.lacks(record, lift) for lift in lifts) if lifts else record.outcome == DONE

    def _for(self, lift: Lift) -> Records:
        """The records as one rule judges them."""
        counting = tuple(r for r in self.records.counting if not self.lacks(r, lift))
        return self._with_against(counting, tuple(r for r in counting if _ends(r, lift)))

    def _with_against(self, counting: tuple[Record, ...], ending: tuple[Record, ...]) -> Records:
        """Those that count beside those of a thing found: what was dealt with by somebody whose word does not count for
        that was found all the same."""
        against = (*AGAINST, DEALT_WITH)
        found = [r for r in self.job.records if r.outcome in against and r not in counting]
        told = tuple(r for r in found if not any(_follows(kept, r) and self._kept(kept) for kept in found))
        return Records(counting, told, ending, tuple(record for record in told if self._stops(record)))

    def _stops(self, record: Record) -> bool:
        """Whether all other work stops where a record tells of something found, but not where it was left sealed."""
        stays = record.outcome == STAYS and self._kept(record)
        return not stays and any(lift.stops for lift in self.lifts.get(record.step, ()))

    def _kept(self, record: Record) -> bool:
        """Whether a record says what became of a thing found, by whom and on what paper a rule asks."""
        lifts = [lift for lift in self.lifts.get(record.step, ()) if record.outcome in lift.keeps]
        return any(not self._wants(record, lift, lift.keeps[record.outcome].who) for lift in lifts)

    # ------------------------------------------------------------ one record

    def lacks(self, record: Record, lift: Lift) -> str:
        """Why a record does not lift, in words that follow "it"; "" where it does."""
        if unfit := self._unfit(record, lift):
            return unfit
        unnamed = self._unnamed(lift) if lift.names_works else []
        return f"does not cover {all_of(unnamed)}" if unnamed else ""

    def _unnamed(self, lift: Lift) -> list[str]:
        """The works of the job that no record which is else as the rule asks covers."""
        fit = [record for record in self.job.records if record.step == lift.step and not self._unfit(record, lift)]
        named = {work for record in fit for work in record.covers_works}
        return [work for work in self.job.works if work not in named]

    def _unfit(self, record: Record, lift: Lift) -> str:
        """Why a record does not lift whatever it covers, in words that follow "it"; "" where it may."""
        if record.outcome not in lift.outcomes:
            return f"says {record.outcome.replace('-', ' ')}"
        return self._wants(record, lift, lift.outcomes[record.outcome]) or self._wrong_kind(record)

    def _wrong_kind(self, record: Record) -> str:
        """What is wrong with the kind of the survey that a record rests on, where somebody's word rests on one."""
        kinds = self.kinds(record.competence)
        if not kinds or record.kind in kinds:
            return ""
        asked = f"the rule asks for one of the kind {either(kinds)}"
        if not record.kind:
            return f"does not say what kind of survey it rests on, and {asked}"
        return f"rests on a survey of the kind {record.kind}, and {asked}"

    def _wants(self, record: Record, lift: Lift, names: Sequence[str]) -> str:
        """What of a record is not as its rule asks, which is said by one of these competences."""
        who = [name for name in names if name in self.known]
        if record.competence not in who:
            said = f"is said by {self.known_as(record.competence)}" if record.competence else "names no competence"
            asks = either(map(self.known_as, who)) or "somebody whose competence is not known here"
            return f"{said}, and the rule asks for {asks}"
        if lift.reference and not record.reference:
            return "has no reference"
        if lift.date and not record.on:
            return "has no date"
        if not lift.whole_job and not record.room:
            return "names no room, and speaks only of the places it names"
        return self._out_of_time(record, lift)

    def _out_of_time(self, record: Record, lift: Lift) -> str:
        start = self.job.work.start
        if not record.on:
            return ""
        if not self.job.surveyed and not lift.before_survey:
            return "is held against no day, for the survey does not say when it was made (job, surveyed)"
        works = max(self.job.building.refurbished, default=0)
        if lift.until_works and date.fromisoformat(record.on).year <= works and not self._after_survey(record):
            return f"is dated {record.on}, no later than the works of {works}, which opened what it speaks of"
        if self._before_survey(record) and not lift.before_survey:
            before = f"before the survey of {self.job.surveyed}"
            return f"is dated {record.on}, {before}, and cannot speak of what was read then"
        if start and record.on > start and not lift.during_work:
            return f"is dated {record.on}, after the work was to start on {start}"
        days = timedelta(int(365.25 * self._years(lift)))
        if days and start and date.fromisoformat(record.on) + days < date.fromisoformat(start):
            return f"is dated {record.on} and has run out before the work starts on {start}"
        return ""

    def _years(self, lift: Lift) -> int:
        """The years in which the work must begin by the law of the region; 0 where it knows none."""
        return lift.years.get(self.job.building.region or "", 0)

    def _stands_for(self, lift: Lift) -> str:
        """How long a record lifts, in words; "" where nothing bounds it."""
        years = self._years(lift)
        return f"{lift.stands_for}; else {years} years in which the work must begin" if years else lift.stands_for

    def _after_survey(self, record: Record) -> bool:
        return bool(self.job.surveyed and record.on > self.job.surveyed)

    def _at_no_day(self, record: Record, lift: Lift) -> bool:
        """Whether nothing in the survey tells that a record's day has come before the work."""
        seen = bool(self.job.surveyed) and not self._after_survey(record)
        return bool(record.on) and not (seen or lift.during_work or self.job.work.start)

    def _before_survey(self, record: Record) -> bool:
        return bool(self.job.surveyed and record.on and record.on < self.job.surveyed)

    # ------------------------------------------------------------ one finding

    def judged(self, finding: Finding) -> Finding:
        """The finding as the records leave it: a record once every wall it speaks of is cleared; else as heavy as it
        was, or as its rule can be where the thing was found, with what each record lacks."""
        rule = self.rules.get(finding.rule)
        lift = rule.lifted_by if rule else None
        if rule is None or lift is None or finding.weight == "record":
            return finding
        spots = self.spots(finding.where)
        records = self._for(lift)
        lifted = {spot: record for spot in spots if (record := records.of(lift.step, *spot))}
        still = [spot for spot in spots if spot not in lifted]
        told = self._told_of(lifted)
        if not still:
            stands = f"It stands for {self._stands_for(lift)}." if lift.stands_for else ""
            older = OLDER if any(self._before_survey(record) for record in lifted.values()) else ""
            later = AT_NO_DAY if any(self._at_no_day(record, lift) for record in lifted.values()) else ""
            says = " ".join(filter(None, (finding.says, f"Recorded: {told}.", stands, older, later, lift.lifted)))
            return replace(finding, weight="record", says=says, mend="", record="")
        against = list(dict.fromkeys(filter(None, (records.found(lift.step, *spot) for spot in still))))
        weight = min((finding.weight, *(rule.weights if against else ())), key=WEIGHTS.index)
        known = [f"{self._known(record)} {self._then(record, lift)}" for record in against]
        lacking = list(self._lacking(lift, still, against))
        part = f"It is settled on {places_in_words(lifted)}: {told}; not on {places_in_words(still)}." if lifted else ""
        says = " ".join(filter(None, (*known, finding.says, part, *lacking, FIRST)))
        return replace(finding, weight=weight, says=says, record=self.to_record(lift))

    def _then(self, record: Record, lift: Lift) -> str:
        """What holds after a record of something found."""
        return lift.keeps[record.outcome].then if self._kept(record) else lift.found

    def spots(self, where: Where) -> list[Spot]:
        """The walls that a finding speaks of: its own, or every wall of its room, or of the job, that is worked at."""
        if where.wall:
            return [(where.room, where.wall)]
        return self._bearing.get(where.room) or [(where.room, "")]

    @cached_property
    def _bearing(self) -> dict[str, list[Spot]]:
        """The walls that bear trim, new or old that is not only kept, by room; under no name those of the job."""
        places = [(room.name, wall.name) for trim in self.job.trim for room, wall, _, _ in self.job.places(trim)]
        found: dict[str, list[Spot]] = {}
        for spot in dict.fromkeys([*places, *self.job.old_at_work]):
            found.setdefault(spot[0], []).append(spot)
            found.setdefault("", []).append(spot)
        return found

    def found_alone(self, findings: Iterable[Finding]) -> Iterator[Finding]:
        """What a record alone tells: a thing found, or a consent refused, of which no rule would have spoken."""
        spoken = [(finding.rule, self.spots(finding.where)) for finding in findings if finding.weight != "record"]
        for rule in self.rules.values():
            lift = rule.lifted_by
            if lift is None or not lift.alone:
                continue
            for record in self.records.against:
                if record.step != lift.step or self.records.found(lift.step, record.room, record.wall) is None:
                    continue
                if self._is_left(record):
                    continue
                where = Where(record.room, record.wall, line=self.job.line(record))
                if not any(
                    name == rule.name and any(record.touches(*spot) for spot in spots) for name, spots in spoken
                ):
                    weight = min(rule.weights, key=WEIGHTS.index)
                    grounds = Grounds(sources=rule.sources or (PRACTICE,))
                    yield rule.told(weight, "It stands on this record alone.", where, grounds)

    def _is_left(self, record: Record) -> bool:
        """Whether what was found stays, sealed, where nobody works."""
        worked = any(record.touches(*spot) for spot in self._bearing.get("", ()))
        return record.outcome == STAYS and self._kept(record) and not worked

    # ------------------------------------------------------------ in words

    def _told_of(self, lifted: Mapping[Spot, Record]) -> str:
        by_record: dict[Record, list[Spot]] = {}
        for spot, record in lifted.items():
            by_record.setdefault(record, []).append(spot)
        if len(by_record) == 1:
            return self._in_words(next(iter(by_record)))
        return "; ".join(f"{places_in_words(spots)} {self._in_words(record)}" for record, spots in by_record.items())

    def _in_words(self, record: Record) -> str:
        paper = f", reference {record.reference}" if record.reference else ""
        return f"{record.outcome.replace('-', ' ')} by {record.by}{self._as(record)}{day_in_words(record)}{paper}"

    def _as(self, record: Record) -> str:
        return f" ({self.known_as(record.competence)})" if record.competence else ""

    def _known(self, record: Record) -> str:
        """What is known by a record of something found, or refused."""
        place = str(Where(record.room, record.wall))
        note = f": {record.says.rstrip('.')}" if record.says else ""
        verb = VERBS.get(record.outcome, "It was found")
        who = f"by {record.by}{self._as(record)}{day_in_words(record)}"
        return f"{verb} ({record.step.replace('-', ' ')}, {place}, {who}){note}."

    def _lacking(self, lift: Lift, still: list[Spot], against: list[Record]) -> Iterator[str]:
        """Why each record of the step that touches what is still open does not lift it."""
        mine = [record for record in self.job.records if record.step == lift.step]
        mine = [record for record in mine if any(record.touches(*spot) for spot in still)]
        for record in mine:
            if record.outcome in lift.keeps:
                lacks = self._wants(record, lift, lift.keeps[record.outcome].who)
            else:
                lacks = "" if record.outcome in AGAINST else self.lacks(record, lift)
                lacks = lacks or next((no for found in against if (no := self._no_end(record, found, lift))), "")
            if lacks:
                place = str(Where(record.room, record.wall))
                yield f"The record by {record.by}{day_in_words(record)} ({place}) does not lift it: it {lacks}."
        if not mine:
            yield f"The survey has no record of it (step {lift.step})."

    def _no_end(self, record: Record, found: Record, lift: Lift) -> str:
        """Why a record that is all its rule asks does not end what was found, in words that follow "it"; "" where it
        does."""
        place = str(Where(found.room, found.wall))
        if record.outcome in AGAINST or record == found:
            return ""
        if not _ends(record, lift):
            who = either(self.known_as(name) for name in lift.after_found if name in self.known)
            return (
                f"is said by {self.known_as(record.competence)}, and where it was found ({place}) only {who} may say so"
            )
        if outlasts(record, found):
            return ""
        return f"is not later than what was found ({place}), or does not name that very place"

    def to_record(self, lift: Lift) -> str:
        """How the survey is told."""
        covers = f"; covers: [{', '.join(self.job.works)}]" if lift.names_works else ""
        return f"records, step {lift.step}, {self.lifters(lift)}{with_its(lift)}{covers}"

    def lifters(self, lift: Lift) -> str:
        """Which outcomes, said by whom, lift: "outcome clear by ..., or dealt-with by ..."."""
        ways: dict[str, list[str]] = {}
        for outcome, names in lift.outcomes.items():
            ways.setdefault(either(self.known_as(name) for name in names if name in self.known), []).append(outcome)
        return f"outcome {', or '.join(f'{either(outcomes)} by {who}' for who, outcomes in ways.items() if who)}"

    def who_says(self, step: str) -> Iterator[tuple[tuple[str, ...], str]]:
        """What a record of a step may say, the outcomes together that the same competences may, each named with its
        paper where it comes first: (("clear", "dealt-with"), "gas engineer, licence number"); no outcome that is
        anybody's to say."""
        lifts, told, found = self.lifts.get(step, []), set[str](), dict[tuple[str, ...], list[str]]()
        for outcome in outcomes_of(lifts):
            names = dict.fromkeys(name for lift in lifts for name in lift.who(outcome) if name in self.known)
            found.setdefault(tuple(names), []).append(outcome)
        for who, outcomes in found.items():
            if who:
                yield tuple(outcomes), "; ".join(self._with_paper(name, name in told) for name in who)
            told.update(who)

    def _with_paper(self, name: str, known: bool) -> str:
        row = None if known else self._row(name)
        return ", ".join(filter(None, (name.replace("-", " "), str(row["paper"]) if row else "")))

    def lifted_by(self, rule: str) -> list[str]:
        """What lifts a rule, in lines: each outcome with who may say so and what that is worth, and for how long."""
        declared = self.rules.get(rule)
        lift = declared.lifted_by if declared else None
        if lift is None:
            return []
        lines = [
            f"outcome {outcome}, as {name} ({self.known_as(name)}){self._of_kind(name)}"
            for outcome, names in lift.outcomes.items()
            for name in names
            if name in self.known
        ]
        return [
            f"a record of the step {lift.step}",
            *lines,
            *kept_in_words(lift),
            *([with_its(lift).removeprefix(", ")] if with_its(lift) else []),
            *([f"it stands for {self._stands_for(lift)}"] if lift.stands_for else []),
            "never by free text, nor by a departure" if declared and not declared.departs else "never by free text",
        ]

    def _of_kind(self, name: str) -> str:
        """The kinds of survey that a competence's word rests on, in words."""
        kinds = self.kinds(name)
        return f", of the kind {either(kinds)}" if kinds else ""

    # ------------------------------------------------------------ slips

    def faults(self, steps: Iterable[str]) -> list[Fault]:
        """Every slip of the records and departures that only the rules can tell. ``steps``: names of all steps."""
        known = {*steps, *self.lifts}
        return [
            *(fault for record in self.job.records for fault in self._record_faults(record, known)),
            *(fault for departure in self.job.departures if (fault := self._departure_fault(departure))),
        ]

    def _record_faults(self, record: Record, known: set[str]) -> Iterator[Fault]:
        lifts = self.lifts.get(record.step, [])
        may = outcomes_of(lifts)
        if record.step in known and record.outcome not in may:
            what = "a step that protects" if lifts else "a step that protects nobody"
            says = f"{record.outcome} is no outcome of {record.step}, {what}; write {either(may)}"
            yield self._fault(record, "outcome", says)
        told_by = self.told_by.get(record.step)
        if told_by and told_by.step != record.step:
            says = f"{record.step} has no record of its own, and is told by that of {told_by.step}"
            yield self._fault(record, "step", f"{says}: {self.to_record(told_by)}")
        if record.competence and self.competences and record.competence not in self.known:
            region = (self.job.building.region or "").replace("-", " ")
            elsewhere = any(record.competence in row["as"] for row in self.competences)
            wrong = f"is no competence of {region}" if elsewhere and region else "is no competence known here"
            yield self._fault(record, "as", f"{record.competence} {wrong}. It may be {either(self.known)}")

    def _departure_fault(self, departure: Departure) -> Fault | None:
        rule = self.rules.get(departure.rule)
        if rule is None or rule.departs:
            return None
        lift = rule.lifted_by
        instead = f"What settles it: {self.to_record(lift)}" if lift else f"It is settled by {rule.settled_by}"
        return self._fault(departure, "rule", f"no departure settles {rule.name}, whoever agrees. {instead}")

    def _fault(self, thing: Record | Departure, key: str, says: str) -> Fault:
        return self.job.fault(thing, key, says)


def judge_of(job: Job, plugins: Iterable[Plugin]) -> Judge:
    """The judge of a job's records, by the rules and the tables of competences of these plugins."""
    plugins = list(plugins)
    rows = (row for plugin in plugins for table in plugin.tables() if table.name == "competences" for row in table)
    told_by = {step.name: step.told_by for plugin in plugins for step in plugin.steps if step.told_by is not None}
    return Judge(job, {rule.name: rule for plugin in plugins for rule in plugin.rules()}, tuple(rows), told_by)


def slips_of(job: Job, plugins: Iterable[Plugin]) -> list[Fault]:
    """What is wrong with a job's records and departures beside the rules, steps and competences of these plugins."""
    plugins = list(plugins)
    return judge_of(job, plugins).faults(step.name for plugin in plugins for step in plugin.steps)


def outcomes_of(lifts: Collection[Lift]) -> tuple[str, ...]:
    """What a record of a step may say came of it, by all that such records lift."""
    outcomes = {outcome for lift in lifts for outcome in lift.outcomes}
    kept = {outcome for lift in lifts for outcome in lift.keeps}
    if outcomes <= {DONE}:
        return (DONE,)
    family = CONSENT if outcomes & {*CONSENT} else SEARCH
    return tuple(each for each in OUTCOMES if each in family or each in outcomes or each in kept)


def _follows(kept: Record, found: Record) -> bool:
    """Whether a record says what became later of what another tells of."""
    if kept.step != found.step or not kept.covers(found.room, found.wall) or not kept.on or not found.on:
        return False
    ranks = [BECAME.index(each.outcome) if each.outcome in BECAME else 0 for each in (kept, found)]
    return (kept.on, ranks[0]) > (found.on, ranks[1])


def _ends(record: Record, lift: Lift) -> bool:
    """Whether a record that lifts may say so even where the thing was found."""
    return not lift.after_found or record.competence in lift.after_found
