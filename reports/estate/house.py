"""What is kept of one house: enough for the index, the pooled timber and the programme, as plain data."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from listel.core.host.firm import Firm
from listel.core.host.outcome import Given, Outcome
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.core.survey.units import show_length
from listel.plugins.cutting import Share, shares_of
from listel.plugins.estimate import Estimate, Sum, sums
from listel.plugins.fixings import FixingSchedule
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut


@dataclass(frozen=True)
class Held:
    """One open hold: its rule, and what it says."""

    rule: str
    says: str
    where: str


@dataclass(frozen=True)
class Lacking:
    """A fact that a survey leaves out, what it decides, and in how many places."""

    fact: str
    decides: str
    places: int


@dataclass(frozen=True)
class Choice:
    """What was settled for a trim in a room, in words: its ``what`` (height, section ...) and its ``value``."""

    room: str
    member: str
    what: str
    value: str


@dataclass(frozen=True)
class Trace:
    """Evidence of old trim in a room: what shows it, of which member, at which height [mm] above the floor."""

    room: str
    kind: str
    member: str
    height: float


@dataclass(frozen=True, kw_only=True)
class House:
    """One house. ``street``: the folder its survey lies in; ``made_of``: the digest of all that it was made of;
    ``digest``: its statement's; ``fault``: why there is no outcome, or empty; ``days``: length of its programme."""

    name: str
    street: str
    survey: str
    made_of: str
    fault: str = ""
    title: str = ""
    reference: str = ""
    site: str = ""
    surveyed: str = ""
    units: str = ""
    digest: str = ""
    begins: str = ""
    days: int = 0
    metres: float = 0.0
    hours: float | None = None
    total: float | None = None
    currency: str = ""
    sums: tuple[Sum, ...] = ()
    holds: tuple[Held, ...] = ()
    lacking: tuple[Lacking, ...] = ()
    choices: tuple[Choice, ...] = ()
    traces: tuple[Trace, ...] = ()
    rack: tuple[str, ...] = ()
    """The boards of its rack, each in words."""
    photos: tuple[tuple[str, str], ...] = ()
    """The files of its photographs, each with its digest."""
    pieces: int = 0
    timber: str = ""
    """The digest of the file that says what it asks of each trim."""

    @property
    def fit(self) -> bool:
        """Whether its statement may be issued."""
        return not self.fault and not self.holds


@dataclass(frozen=True, kw_only=True)
class Task:
    """One survey to examine: the house's name, the folder that stands for its street, and its file with its whole
    folder and its text."""

    name: str
    street: str
    path: Path
    folder: Path
    text: str
    made_of: str
    fault: str = ""
    """Why its text cannot be read, or empty."""


def made_of(text: str, *others: str) -> str:
    """The digest of a survey's text and of all that is at work over it."""
    return sha256("\0".join((text, *others)).encode()).hexdigest()


@dataclass(frozen=True)
class Examined:
    """What came of one survey: the house, what it asks of each trim, and its statement as HTML; of one that cannot be
    read only the house, with its fault."""

    house: House
    shares: tuple[Share, ...] = ()
    html: str = ""


def examined(task: Task, firm: Firm, given: tuple[Given, ...]) -> Examined:
    """One survey examined."""
    from listel.core.survey.missing import missing_facts
    from listel.core.survey.photographs import photographs
    from listel.core.survey.yaml_places import read_text
    from listel.reports.statement import compose, to_html

    empty = House(name=task.name, street=task.street, survey=str(task.path), made_of=task.made_of)
    if task.fault:
        return Examined(replace(empty, fault=task.fault))
    try:
        job = firm.read_text(task.text, task.path.name)
        seen = (photographs(job, task.folder),) if job.photos else ()
        outcome = firm.examine(job, (*given, *seen))
        html = to_html(compose(outcome))
    except InputFault as fault:
        return Examined(replace(empty, fault=str(fault)))
    missing = missing_facts(read_text(task.text, task.path.name, "survey"), firm.schema)
    lacking = tuple(Lacking(one.fact, one.decides, len(one.places)) for one in missing)
    files = tuple((photo.file, file_digest(task.folder / photo.file)) for photo in job.photos)
    shares = tuple(shares_of(job, outcome.sheet, task.name))
    house = replace(_house(empty, outcome), lacking=lacking, photos=files)
    metres, pieces = sum(share.own.metres for share in shares), sum(len(share.pieces) for share in shares)
    return Examined(replace(house, metres=metres, pieces=pieces), shares, html)


def file_digest(path: Path) -> str:
    """The digest of a file's bytes; empty where it cannot be read."""
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def _house(empty: House, outcome: Outcome) -> House:
    job, sheet = outcome.job, outcome.sheet
    sequence, estimate = sheet.get(Sequence), sheet.get(Estimate)
    priced = estimate if estimate and estimate.total is not None else None
    members = {trim.name: trim.member for trim in job.trim}
    return replace(
        empty,
        title=job.title,
        reference=job.reference,
        site=job.site,
        surveyed=job.surveyed,
        units=job.units,
        digest=outcome.digest,
        begins=job.work.start or "",
        days=sequence.days if sequence else 0,
        hours=float(priced.hours) if priced else None,
        total=float(priced.total or 0) if priced else None,
        currency=priced.currency if priced else "",
        sums=sums(priced, members) if priced else (),
        holds=tuple(Held(hold.rule, hold.says, hold.where.told(job.units)) for hold in outcome.holds),
        choices=tuple(_choices(outcome)),
        rack=tuple(f"{board.name} for {board.trim}, {show_length(board.length)}" for board in job.rack),
        traces=tuple(
            Trace(room.name, mark.kind, mark.member, mark.height) for room in job.rooms for mark in room.evidence
        ),
    )


def _choices(outcome: Outcome) -> list[Choice]:
    """What was settled room by room, each once."""
    job, found = outcome.job, dict[Choice, None]()
    set_out, fixings = outcome.sheet.get(SettingOut), outcome.sheet.get(FixingSchedule)
    tops: dict[tuple[str, str], list[int]] = {}
    for run in set_out.runs if set_out else ():
        if run.top is not None and not run.upright and not run.pitch:
            tops.setdefault((run.room, run.member), []).append(round(run.top))
    for (room, member), heights in tops.items():
        ends = [show_length(height, job.units) for height in sorted({min(heights), max(heights)})]
        found[Choice(room, member, "top", " to ".join(ends))] = None
    for line in fixings.lines if fixings else ():
        if line.kind:
            found[Choice(line.room, line.member, "fixing", line.kind.replace("-", " "))] = None
    for room, trim, words in _trims(job):
        for what, value in words:
            found[Choice(room, trim, what, value)] = None
    return list(found)


def _trims(job: Job) -> list[tuple[str, str, list[tuple[str, str]]]]:
    told = []
    for trim in job.trim:
        sizes = [show_length(size, job.units) for size in (trim.section.height, trim.section.projection) if size]
        words = [("section", " x ".join(sizes)), ("timber", trim.timber or ""), ("finish", trim.finish or "")]
        for room in dict.fromkeys(place.room for place in trim.where):
            told.append((room, trim.member, [(what, value.replace("-", " ")) for what, value in words if value]))
    return told
