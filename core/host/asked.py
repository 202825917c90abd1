"""What a rule asks of one record, and what of it a record lacks: who says it, on what paper, when, and of what.

Who may say what in a region is the table of competences. Free text is never read here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from functools import cached_property

from listel.core.contract.lift import Lift
from listel.core.contract.tables import Row
from listel.core.host.record_words import all_of, either
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Record


@dataclass(frozen=True)
class Asked:
    """What the records of one job lack, by the competences of its region."""

    job: Job
    competences: tuple[Row, ...] = ()

    def known_as(self, name: str) -> str:
        """What somebody of that competence is called in the region; its plain words where the region is not known."""
        row = self._row(name)
        return str(row["called"]) if row else f"{'an' if name[0] in 'aeiou' else 'a'} {name.replace('-', ' ')}"

    def called(self, names: Iterable[str]) -> list[str]:
        """What those of these competences that the region knows are called there."""
        return [self.known_as(name) for name in names if name in self.known]

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

    def with_paper(self, name: str, known: bool) -> str:
        """A competence and what its record names as its reference; the name alone where that is ``known``."""
        row = None if known else self._row(name)
        return ", ".join(filter(None, (name.replace("-", " "), str(row["paper"]) if row else "")))

    def lacks(self, record: Record, lift: Lift, piece: str = "") -> str:
        """Why a record does not lift what is told of an old piece, or of the job, in words that follow "it"; "" where
        it does."""
        if unfit := self._unfit(record, lift):
            return unfit
        unnamed = self._unnamed(lift, piece)
        return f"does not cover {all_of(unnamed)}" if unnamed else ""

    def works(self, lift: Lift, piece: str = "") -> list[str]:
        """The works that a record must cover: those of the piece that is spoken of, else of the whole job."""
        every = self.job.works if lift.names_works else []
        return [work for work in every if piece and work.startswith(f"{piece} ")] or every

    def _unnamed(self, lift: Lift, piece: str) -> list[str]:
        """The works that no record which is else as the rule asks covers."""
        fit = [record for record in self.job.records if record.step == lift.step and not self._unfit(record, lift)]
        named = {work for record in fit for work in record.covers_works}
        return [work for work in self.works(lift, piece) if work not in named]

    def _unfit(self, record: Record, lift: Lift) -> str:
        """Why a record does not lift whatever it covers, in words that follow "it"; "" where it may."""
        if record.outcome not in lift.outcomes:
            return f"says {record.outcome.replace('-', ' ')}"
        wants = self.wants(record, lift, lift.outcomes[record.outcome])
        return wants or self._wrong_kind(record) or self._wrong_finish(record, lift)

    def has_finish(self, lift: Lift, outcome: str, room: str = "", wall: str = "") -> bool:
        """Whether that wall, or any of the job, has a finish on which alone an outcome counts; True of others."""
        finishes = {*lift.on_finish.get(outcome, ())}
        walls = (w for each in self.job.rooms if room in ("", each.name) for w in each.walls if wall in ("", w.name))
        return not finishes or any(w.substrate and finishes & {*w.substrate.finish} for w in walls)

    def _wrong_finish(self, record: Record, lift: Lift) -> str:
        """That an outcome counts only on some finishes, and the record names no wall that has one."""
        finishes = lift.on_finish.get(record.outcome, ())
        if not finishes or (record.wall and self.has_finish(lift, record.outcome, record.room, record.wall)):
            return ""
        named = either(finish.replace("-", " ") for finish in finishes)
        return f"says {record.outcome.replace('-', ' ')}, which is for a wall with {named}, and names none that has it"

    def _wrong_kind(self, record: Record) -> str:
        """What is wrong with the kind of the survey that a record rests on, where somebody's word rests on one."""
        kinds = self.kinds(record.competence)
        if not kinds or record.kind in kinds:
            return ""
        asked = f"the rule asks for one of the kind {either(kinds)}"
        if not record.kind:
            return f"does not say what kind of survey it rests on, and {asked}"
        return f"rests on a survey of the kind {record.kind}, and {asked}"

    def wants(self, record: Record, lift: Lift, names: Sequence[str]) -> str:
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
        if self.before_survey(record) and not lift.before_survey:
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

    def stands_for(self, lift: Lift) -> str:
        """How long a record lifts, in words; "" where nothing bounds it."""
        years = self._years(lift)
        return f"{lift.stands_for}; else {years} years in which the work must begin" if years else lift.stands_for

    def _after_survey(self, record: Record) -> bool:
        return bool(self.job.surveyed and record.on > self.job.surveyed)

    def at_no_day(self, record: Record, lift: Lift) -> bool:
        """Whether nothing in the survey tells that a record's day has come before the work."""
        seen = bool(self.job.surveyed) and not self._after_survey(record)
        return bool(record.on) and not (seen or lift.during_work or self.job.work.start)

    def before_survey(self, record: Record) -> bool:
        return bool(self.job.surveyed and record.on and record.on < self.job.surveyed)
