"""What a record may lift: which records bear on a finding, and what the finding is then.

The engine judges; what counts for which rule is declared beside the rule (``lifted-by``), and who may say what is the
table of competences. Free text is never read here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cached_property

from listel.core.contract.findings import PRACTICE, WEIGHTS, Finding, Grounds, Where
from listel.core.contract.lift import Lift
from listel.core.contract.records import Records, outlasts
from listel.core.contract.rules import Rule
from listel.core.contract.tables import Row
from listel.core.host.asked import Asked
from listel.core.host.plugin import Plugin
from listel.core.host.record_words import Spot, day_in_words, either, kept_in_words, places_in_words, with_its
from listel.core.quick import dataclass
from listel.core.survey.job import OUTCOMES, Job, Record, Wall

FIRST = "Local codes and licensed practice come first."
OLDER = "It is older than the survey of the job: see that it speaks of these places and of this work."
AT_NO_DAY = "Whether that day is before the work is not known, for the survey tells no start (work, start)."

CONSENT = ("applied-for", "granted", "refused", "not-needed")
LIVED_WITH = ("dealt-with", "by-plan")
"""What says that it is there, and lifts by the word of some."""
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

    @cached_property
    def asked(self) -> Asked:
        """What is asked of one record."""
        return Asked(self.job, self.competences)

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

    @cached_property
    def shown(self) -> Job:
        """The job with every wall as a record that counts shows it to be, and what it was read as kept beside."""
        told = {
            (r.room, r.wall): r.shows for r in self.records.counting if self.records.of(r.step, r.room, r.wall) == r
        }
        rooms = tuple(
            replace(room, walls=tuple(_shown(wall, told.get((room.name, wall.name), "")) for wall in room.walls))
            for room in self.job.rooms
        )
        return replace(self.job, rooms=rooms) if any(told.values()) else self.job

    def _counts(self, record: Record) -> bool:
        lifts = self.lifts.get(record.step)
        return any(not self.asked.lacks(record, lift) for lift in lifts) if lifts else record.outcome == DONE

    def _for(self, lift: Lift, piece: str) -> Records:
        """The records as one rule judges them, of an old piece where it speaks of one."""
        mine = (record for record in self.job.records if record.step == lift.step)
        counting = tuple(record for record in mine if not self.asked.lacks(record, lift, piece))
        return self._with_against(counting, tuple(r for r in counting if _ends(r, lift)))

    def _with_against(self, counting: tuple[Record, ...], ending: tuple[Record, ...]) -> Records:
        """Those that count beside those of a thing found: what was dealt with by somebody whose word does not count for
        that was found all the same."""
        against = (*AGAINST, *LIVED_WITH)
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
        return any(not self.asked.wants(record, lift, lift.keeps[record.outcome].who) for lift in lifts)

    def judged(self, finding: Finding) -> Finding:
        """The finding as the records leave it: a record once every wall it speaks of is cleared; else as heavy as it
        was, or as its rule can be where the thing was found, with what each record lacks."""
        rule = self.rules.get(finding.rule)
        lift = rule.lifted_by if rule else None
        if rule is None or lift is None or finding.weight == "record":
            return finding
        spots, piece = self.spots(finding.where), finding.where.piece
        records = self._for(lift, piece)
        lifted = {spot: record for spot in spots if (record := records.of(lift.step, *spot))}
        still = [spot for spot in spots if spot not in lifted]
        told = self._told_of(lifted)
        if not still:
            stands = f"It stands for {self.asked.stands_for(lift)}." if lift.stands_for else ""
            older = OLDER if any(self.asked.before_survey(record) for record in lifted.values()) else ""
            later = AT_NO_DAY if any(self.asked.at_no_day(record, lift) for record in lifted.values()) else ""
            says = " ".join(filter(None, (finding.says, f"Recorded: {told}.", stands, older, later, lift.lifted)))
            return replace(finding, weight="record", says=says, mend="", record="")
        against = list(dict.fromkeys(filter(None, (records.found(lift.step, *spot) for spot in still))))
        weight = min((finding.weight, *(rule.weights if against else ())), key=WEIGHTS.index)
        known = [f"{self._known(record)} {self._then(record, lift)}" for record in against]
        lacking = list(self._lacking(lift, still, against, piece))
        part = f"It is settled on {places_in_words(lifted)}: {told}; not on {places_in_words(still)}." if lifted else ""
        says = " ".join(filter(None, (*known, finding.says, part, *lacking, FIRST)))
        return replace(finding, weight=weight, says=says, record=self.to_record(lift, piece))

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
        found: dict[str, list[Spot]] = {}
        for room, wall in self.job.walls_at_work:
            found.setdefault(room.name, []).append((room.name, wall.name))
            found.setdefault("", []).append((room.name, wall.name))
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
        return f" ({self.asked.known_as(record.competence)})" if record.competence else ""

    def _known(self, record: Record) -> str:
        """What is known by a record of something found, or refused."""
        place = str(Where(record.room, record.wall))
        note = f": {record.says.rstrip('.')}" if record.says else ""
        verb = VERBS.get(record.outcome, "It was found")
        who = f"by {record.by}{self._as(record)}{day_in_words(record)}"
        return f"{verb} ({record.step.replace('-', ' ')}, {place}, {who}){note}."

    def _lacking(self, lift: Lift, still: list[Spot], against: list[Record], piece: str) -> Iterator[str]:
        """Why each record of the step that touches what is still open does not lift it."""
        mine = [record for record in self.job.records if record.step == lift.step]
        mine = [record for record in mine if any(record.touches(*spot) for spot in still)]
        for record in mine:
            if record.outcome in lift.keeps:
                lacks = self.asked.wants(record, lift, lift.keeps[record.outcome].who)
            else:
                lacks = "" if record.outcome in AGAINST else self.asked.lacks(record, lift, piece)
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
            who = either(self.asked.called(lift.after_found))
            said = f"is said by {self.asked.known_as(record.competence)}"
            return f"{said}, and where it was found ({place}) only {who} may say so"
        if outlasts(record, found):
            return ""
        return f"is not later than what was found ({place}), or does not name that very place"

    def to_record(self, lift: Lift, piece: str = "") -> str:
        """How the survey is told, of an old piece where it is of one."""
        works = self.asked.works(lift, piece)
        covers = f"; covers: [{', '.join(works)}]" if works else ""
        return f"records, step {lift.step}, {self.lifters(lift)}{with_its(lift)}{covers}"

    def lifters(self, lift: Lift) -> str:
        """Which outcomes, said by whom, lift: "outcome clear by ..., or dealt-with by ..."."""
        ways: dict[str, list[str]] = {}
        for outcome in lift.outcomes:
            ways.setdefault(either(map(self.asked.known_as, self._who([lift], outcome))), []).append(outcome)
        return f"outcome {', or '.join(f'{either(outcomes)} by {who}' for who, outcomes in ways.items() if who)}"

    def _who(self, lifts: Iterable[Lift], outcome: str) -> tuple[str, ...]:
        """The competences of the region that may say that outcome of a wall of this job."""
        names = (name for lift in lifts if self.asked.has_finish(lift, outcome) for name in lift.who(outcome))
        return tuple(dict.fromkeys(name for name in names if name in self.asked.known))

    def may_say(self, step: str) -> tuple[str, ...]:
        """What a record of a step may say came of it here: what is anybody's to say, or somebody's of the region."""
        lifts = self.lifts.get(step, [])
        free = [outcome for outcome in outcomes_of(lifts) if not any(lift.who(outcome) for lift in lifts)]
        return tuple(each for each in outcomes_of(lifts) if each in free or self._who(lifts, each))

    def who_says(self, step: str) -> Iterator[tuple[tuple[str, ...], str]]:
        """What a record of a step may say, the outcomes together that the same competences may, each named with its
        paper where it comes first: (("clear", "dealt-with"), "gas engineer, licence number"); no outcome that is
        anybody's to say."""
        lifts, told, found = self.lifts.get(step, []), set[str](), dict[tuple[str, ...], list[str]]()
        for outcome in outcomes_of(lifts):
            found.setdefault(self._who(lifts, outcome), []).append(outcome)
        for who, outcomes in found.items():
            if who:
                yield tuple(outcomes), "; ".join(self.asked.with_paper(name, name in told) for name in who)
            told.update(who)

    def lifted_by(self, rule: str) -> list[str]:
        """What lifts a rule, in lines: each outcome with who may say so and what that is worth, and for how long."""
        declared = self.rules.get(rule)
        lift = declared.lifted_by if declared else None
        if lift is None:
            return []
        lines = [
            f"outcome {outcome}, as {name} ({self.asked.known_as(name)}){self._of_kind(name)}"
            for outcome, names in lift.outcomes.items()
            for name in names
            if name in self.asked.known
        ]
        return [
            f"a record of the step {lift.step}",
            *lines,
            *kept_in_words(lift),
            *([with_its(lift).removeprefix(", ")] if with_its(lift) else []),
            *([f"it stands for {self.asked.stands_for(lift)}"] if lift.stands_for else []),
            "never by free text, nor by a departure" if declared and not declared.departs else "never by free text",
        ]

    def _of_kind(self, name: str) -> str:
        """The kinds of survey that a competence's word rests on, in words."""
        kinds = self.asked.kinds(name)
        return f", of the kind {either(kinds)}" if kinds else ""


def judge_of(job: Job, plugins: Iterable[Plugin]) -> Judge:
    """The judge of a job's records, by the rules and the tables of competences of these plugins."""
    plugins = list(plugins)
    rows = (row for plugin in plugins for table in plugin.tables() if table.name == "competences" for row in table)
    told_by = {step.name: step.told_by for plugin in plugins for step in plugin.steps if step.told_by is not None}
    return Judge(job, {rule.name: rule for plugin in plugins for rule in plugin.rules()}, tuple(rows), told_by)


def outcomes_of(lifts: Collection[Lift]) -> tuple[str, ...]:
    """What a record of a step may say came of it, by all that such records lift."""
    outcomes = {outcome for lift in lifts for outcome in lift.outcomes}
    kept = {outcome for lift in lifts for outcome in lift.keeps}
    if outcomes <= {DONE}:
        return (DONE,)
    family = CONSENT if outcomes & {*CONSENT} else SEARCH
    return tuple(each for each in OUTCOMES if each in family or each in outcomes or each in kept)


def _shown(wall: Wall, kind: str) -> Wall:
    substrate = wall.substrate
    if substrate is None or kind in ("", substrate.kind):
        return wall
    return replace(wall, substrate=replace(substrate, kind=kind, read_as=substrate.kind or ""))


def _follows(kept: Record, found: Record) -> bool:
    """Whether a record says what became later of what another tells of."""
    if kept.step != found.step or not kept.covers(found.room, found.wall) or not kept.on or not found.on:
        return False
    ranks = [BECAME.index(each.outcome) if each.outcome in BECAME else 0 for each in (kept, found)]
    return (kept.on, ranks[0]) > (found.on, ranks[1])


def _ends(record: Record, lift: Lift) -> bool:
    """Whether a record that lifts may say so even where the thing was found."""
    return record.outcome != "clear" or not lift.after_found or record.competence in lift.after_found
