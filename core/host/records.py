"""What a record may lift: which records bear on a finding, what each of them lacks, and what is a slip of the survey.

The engine judges; what counts for which rule is declared beside the rule (``lifted-by``), and who may say what is the
table of competences. Free text is never read here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property

from listel.core.contract.findings import PRACTICE, WEIGHTS, Finding, Grounds, Where
from listel.core.contract.records import Records
from listel.core.contract.rules import Lift, Rule
from listel.core.contract.tables import Row
from listel.core.host.registry import Plugin
from listel.core.quick import dataclass
from listel.core.survey.job import OUTCOMES, Departure, Job, Record
from listel.core.survey.messages import Fault

FIRST = "Local codes and licensed practice come first."
OLDER = "It is older than the survey of the job: see that it speaks of these places and of this work."

CONSENT = ("applied-for", "granted", "refused")
DEALT_WITH = "dealt-with"
SEARCH = ("clear", "found", DEALT_WITH)
AGAINST = ("found", "refused")

Spot = tuple[str, str]
"""A room and a wall; "" for all of them."""


@dataclass(frozen=True)
class Judge:
    """Judges the records of one job by the declared rules."""

    job: Job
    rules: Mapping[str, Rule]
    competences: tuple[Row, ...] = ()

    def known_as(self, name: str) -> str:
        """What somebody of that competence is called in the region; its plain words where the region is not known."""
        region = self.job.building.region
        rows = [row for row in self.competences if name in row["as"] and region in row["regions"]]
        return str(rows[0]["called"]) if rows else f"{'an' if name[0] in 'aeiou' else 'a'} {name.replace('-', ' ')}"

    @cached_property
    def known(self) -> list[str]:
        """The competences of the region, in the order of the tables; all of them where it is not known."""
        region = self.job.building.region
        rows = [row for row in self.competences if region is None or region in row["regions"]]
        return list(dict.fromkeys(name for row in rows for name in row["as"]))

    @cached_property
    def lifts(self) -> dict[str, list[Lift]]:
        """What lifts rules, by the step recorded."""
        found: dict[str, list[Lift]] = {}
        for rule in self.rules.values():
            if rule.lifted_by is not None:
                found.setdefault(rule.lifted_by.step, []).append(rule.lifted_by)
        return found

    @cached_property
    def records(self) -> Records:
        """The records that count, and those that stand against."""
        counting = tuple(record for record in self.job.records if self._counts(record))
        return self._with_against(counting)

    def _counts(self, record: Record) -> bool:
        lifts = self.lifts.get(record.step)
        return any(not self.lacks(record, lift) for lift in lifts) if lifts else record.outcome == "done"

    def _for(self, lift: Lift) -> Records:
        """The records as one rule judges them."""
        return self._with_against(tuple(r for r in self.records.counting if not self.lacks(r, lift)))

    def _with_against(self, counting: tuple[Record, ...]) -> Records:
        """Those that count beside those of a thing found: what was dealt with by somebody whose word does not count for
        that was found all the same."""
        against = (*AGAINST, DEALT_WITH)
        return Records(counting, tuple(r for r in self.job.records if r.outcome in against and r not in counting))

    # ------------------------------------------------------------ one record

    def lacks(self, record: Record, lift: Lift) -> str:
        """Why a record does not lift, in words that follow "it"; "" where it does."""
        if record.outcome not in lift.outcomes:
            return f"says {record.outcome.replace('-', ' ')}"
        who = [name for name in lift.outcomes[record.outcome] if name in self.known]
        if record.competence not in who:
            said = f"is said by {self.known_as(record.competence)}" if record.competence else "names no competence"
            asks = _or(map(self.known_as, who)) or "somebody whose competence is not known here"
            return f"{said}, and the rule asks for {asks}"
        if lift.reference and not record.reference:
            return "has no reference"
        if lift.date and not record.on:
            return "has no date"
        return self._out_of_time(record, lift)

    def _out_of_time(self, record: Record, lift: Lift) -> str:
        start = self.job.work.start
        if not record.on:
            return ""
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
            says = " ".join(filter(None, (finding.says, f"Recorded: {told}.", stands, older, lift.lifted)))
            return replace(finding, weight="record", says=says, mend="", record="")
        against = list(dict.fromkeys(filter(None, (records.found(lift.step, *spot) for spot in still))))
        weight = min((finding.weight, *(rule.weights if against else ())), key=WEIGHTS.index)
        known = [self._known(record) for record in against]
        lacking = list(self._lacking(lift, still, against))
        part = f"It is settled on {places_in_words(lifted)}: {told}; not on {places_in_words(still)}." if lifted else ""
        follow = lift.found if against else ""
        says = " ".join(filter(None, (*known, finding.says, follow, part, *lacking, FIRST)))
        return replace(finding, weight=weight, says=says, record=self.to_record(lift))

    def spots(self, where: Where) -> list[Spot]:
        """The walls that a finding speaks of: its own, or every wall of its room, or of the job, that bears trim."""
        if where.wall:
            return [(where.room, where.wall)]
        return self._bearing.get(where.room) or [(where.room, "")]

    @cached_property
    def _bearing(self) -> dict[str, list[Spot]]:
        """The walls that bear trim, by room; under no name those of the job."""
        places = [place for trim in self.job.trim for place in self.job.places(trim)]
        found: dict[str, list[Spot]] = {}
        for spot in dict.fromkeys((room.name, wall.name) for room, wall, _, _ in places):
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
                where = Where(record.room, record.wall, line=self.job.line(record))
                if not any(
                    name == rule.name and any(record.touches(*spot) for spot in spots) for name, spots in spoken
                ):
                    weight = min(rule.weights, key=WEIGHTS.index)
                    grounds = Grounds(sources=rule.sources or (PRACTICE,))
                    yield rule.told(weight, "It stands on this record alone.", where, grounds)

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
        return f"{record.outcome.replace('-', ' ')} by {record.by}{self._as(record)}{_day(record)}{paper}"

    def _as(self, record: Record) -> str:
        return f" ({self.known_as(record.competence)})" if record.competence else ""

    def _known(self, record: Record) -> str:
        """What is known by a record of something found, or refused."""
        place = str(Where(record.room, record.wall))
        note = f": {record.says.rstrip('.')}" if record.says else ""
        verb = "Refused" if record.outcome == "refused" else "It was found"
        return (
            f"{verb} ({record.step.replace('-', ' ')}, {place}, by {record.by}{self._as(record)}{_day(record)}){note}."
        )

    def _lacking(self, lift: Lift, still: list[Spot], against: list[Record]) -> Iterator[str]:
        """Why each record of the step that touches what is still open does not lift it."""
        mine = [record for record in self.job.records if record.step == lift.step]
        mine = [record for record in mine if any(record.touches(*spot) for spot in still)]
        for record in mine:
            lacks = self.lacks(record, lift)
            if lacks and (record not in against or record.outcome == DEALT_WITH):
                place = str(Where(record.room, record.wall))
                yield f"The record by {record.by}{_day(record)} ({place}) does not lift it: it {lacks}."
        if not mine:
            yield f"The survey has no record of it (step {lift.step})."

    def to_record(self, lift: Lift) -> str:
        """How the survey is told."""
        paper = " and ".join([*["reference"] * lift.reference, *["date"] * lift.date])
        wants = f", with its {paper}" if paper else ""
        return f"records, step {lift.step}, {self.lifters(lift)}{wants}"

    def lifters(self, lift: Lift) -> str:
        """Which outcomes, said by whom, lift: "outcome clear by ..., or dealt-with by ..."."""
        ways: dict[str, list[str]] = {}
        for outcome, names in lift.outcomes.items():
            ways.setdefault(_or(self.known_as(name) for name in names if name in self.known), []).append(outcome)
        return f"outcome {', or '.join(f'{_or(outcomes)} by {who}' for who, outcomes in ways.items() if who)}"

    def lifted_by(self, rule: str) -> list[str]:
        """What lifts a rule, in lines: each outcome with who may say so and what that is worth, and for how long."""
        declared = self.rules.get(rule)
        lift = declared.lifted_by if declared else None
        if lift is None:
            return []
        lines = [
            f"outcome {outcome}, as {name} ({self.known_as(name)})"
            for outcome, names in lift.outcomes.items()
            for name in names
            if name in self.known
        ]
        wants = ["a reference"] * lift.reference + ["a date"] * lift.date
        return [
            f"a record of the step {lift.step}",
            *lines,
            *([f"with {' and '.join(wants)}"] if wants else []),
            *([f"it stands for {self._stands_for(lift)}"] if lift.stands_for else []),
            "never by free text, nor by a departure" if declared and not declared.departs else "never by free text",
        ]

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
        may = outcomes_of(record.step, self.rules.values())
        if record.step in known and record.outcome not in may:
            what = "a step that protects" if lifts else "a step that protects nobody"
            says = f"{record.outcome} is no outcome of {record.step}, {what}; write {_or(may)}"
            yield self._fault(record, "outcome", says)
        if record.competence and self.competences and record.competence not in self.known:
            region = (self.job.building.region or "").replace("-", " ")
            elsewhere = any(record.competence in row["as"] for row in self.competences)
            wrong = f"is no competence of {region}" if elsewhere and region else "is no competence known here"
            yield self._fault(record, "as", f"{record.competence} {wrong}. It may be {_or(self.known)}")

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
    return Judge(job, {rule.name: rule for plugin in plugins for rule in plugin.rules()}, tuple(rows))


def slips_of(job: Job, plugins: Iterable[Plugin]) -> list[Fault]:
    """What is wrong with a job's records and departures beside the rules, steps and competences of these plugins."""
    plugins = list(plugins)
    return judge_of(job, plugins).faults(step.name for plugin in plugins for step in plugin.steps)


def lift_in_words(lift: Lift) -> str:
    """What lifts a rule, as it is declared: for the catalogue."""
    ways = " or ".join(f"{outcome} as {', '.join(names)}" for outcome, names in lift.outcomes.items())
    wants = ["reference"] * lift.reference + ["date"] * lift.date
    return f"a record of {lift.step}: {ways}{', with ' + ' and '.join(wants) if wants else ''}"


def outcomes_of(step: str, rules: Iterable[Rule]) -> tuple[str, ...]:
    """What a record of a step may say came of it, by the rules that such records lift."""
    lifts = (rule.lifted_by for rule in rules if rule.lifted_by and rule.lifted_by.step == step)
    outcomes = {outcome for lift in lifts for outcome in lift.outcomes}
    if not outcomes:
        return ("done",)
    family = CONSENT if outcomes & {*CONSENT} else SEARCH
    return tuple(each for each in OUTCOMES if each in family or each in outcomes)


def places_in_words(spots: Iterable[Spot]) -> str:
    """Walls in words: "wall A of the Hall and walls B and C of the Parlour"."""
    rooms: dict[str, list[str]] = {}
    for room, wall in spots:
        rooms.setdefault(room, []).append(wall)
    return " and ".join(_room_in_words(room, walls) for room, walls in rooms.items())


def _room_in_words(room: str, walls: list[str]) -> str:
    if walls == [""]:
        return room or "the whole job"
    return f"wall{'s' if len(walls) > 1 else ''} {', '.join(walls)} of {room}"


def _day(record: Record) -> str:
    return f" on {record.on}" if record.on else ""


def _or(words: Iterable[str]) -> str:
    words = list(words)
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else "".join(words)
