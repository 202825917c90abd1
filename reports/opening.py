"""The first half page: what anyone wants to know, in sentences, from the outcome's own figures."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import KW_ONLY

from listel.core.host.outcome import Outcome
from listel.core.house.filters import date
from listel.core.house.wording import wording
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.bonding import Bonding
from listel.plugins.conservation import OfficerTable
from listel.plugins.existing import Existing
from listel.plugins.safety import SafetyNotes
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import tables

FEET = 304.8


@dataclass(frozen=True)
class Run:
    """A trim of the job, its ``member`` as its region calls it: how ``much`` of it there is, ``by_length`` or counted,
    and where. Empty: not known, or it only ``mends`` old trim."""

    trim: str
    member: str
    much: str
    runs: int
    rooms: tuple[str, ...]
    _: KW_ONLY
    mends: bool
    by_length: bool

    @property
    def named(self) -> str:
        """Its name, and what it is where that does not say so."""
        return self.trim if self.member in self.trim.lower() else f"{self.trim} ({self.member})"


def runs(outcome: Outcome) -> list[Run]:
    """Each trim with how much of it there is, from the setting out."""
    laid = (outcome.sheet.get(SettingOut) or SettingOut()).laid
    existing = outcome.sheet.get(Existing) or Existing()
    only_mend = existing.only_mend(outcome.job.trim, (run.trim for run in laid))
    said, found = wording(outcome.job), []
    for trim in outcome.job.trim:
        mine = laid.of(trim=trim.name)
        rooms = tuple(dict.fromkeys(place.room for place in trim.where))
        metres = sum(run.length for run in mine) / 1000
        much = quantity(metres, outcome.job) if metres else ""
        by_window, counted = tables.goes_at_windows(trim.member), tables.member(trim.member).get("counted")
        if mine and by_window:
            much = "1 window" if len(mine) == 1 else f"{len(mine)} windows"
        elif mine and counted:
            much = f"{len(mine)} in all"
        member, by_length = said(trim.member.replace("-", " ")), not (mine and (by_window or counted))
        found.append(Run(trim.name, member, much, len(mine), rooms, mends=trim.name in only_mend, by_length=by_length))
    return found


def listed(words: Iterable[str], most: int = 6, of: str = "") -> str:
    """Words as a sentence lists them; those past ``most`` are counted, as more ``of`` what they are."""
    items = list(words)
    if len(items) > most:
        items = [*items[: most - 1], f"{len(items) - most + 1} more{of and f' {of}'}"]
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}" if items else ""


def quantity(metres: float, job: Job) -> str:
    """A length of trim in metres, or in feet where the survey is in inches."""
    return f"{metres * 1000 / FEET:.0f} ft" if job.units == "inches" else f"{metres:.1f} m"


def opening(outcome: Outcome) -> list[tuple[str, str]]:
    """The rows of the first half page: a question and its answer."""
    return [
        ("What will be done", _what(outcome)),
        ("Where", _where(outcome.job)),
        ("When", _when(outcome)),
        ("What is kept", _kept(outcome)),
        ("What could go wrong", _risks(outcome)),
    ]


def _what(outcome: Outcome) -> str:
    parts = []
    for run in (run for run in runs(outcome) if not run.mends):
        measured = f"{run.much} of {run.named}" if run.by_length else f"{run.named}, {run.much}"
        parts.append(measured if run.much else run.named)
    if not parts:
        return "The survey names no trim, so no work is set out here yet."
    return f"This work sets out, cuts and fixes {listed(parts, of='trims')}."


def _where(job: Job) -> str:
    names = [room.name for room in job.rooms]
    rooms = f"In {'one room' if len(names) == 1 else f'{len(names)} rooms'}: {listed(names, 8)}."
    return f"{job.site.rstrip('.')}. {rooms}" if job.site else rooms


def _when(outcome: Outcome) -> str:
    sequence, work = outcome.sheet.get(Sequence), outcome.job.work
    start = f"The first day is {date(work.start)}." if work.start else "No starting date is set."
    if sequence is None or not sequence.days:
        return f"{start} How long it takes is not reckoned."
    waits = sorted((s for s in sequence.steps if s.wait), key=lambda step: -step.wait)[:2]
    longest = f" The longest waits come after: {'; '.join(s.title.lower() for s in waits)}." if waits else ""
    held = ", if what holds it is settled in the time reckoned" if any(step.barred for step in sequence.steps) else ""
    if sequence.first not in ("", work.start):
        start = f"{start} Work in the rooms begins on {date(sequence.first)} at the earliest."
    return f"{start} It takes about {sequence.days} days, waits included{held}.{longest}"


def _kept(outcome: Outcome) -> str:
    job = outcome.job
    said = []
    table = outcome.sheet.get(OfficerTable)
    if table and any(not item.new for item in table.items):
        told = [
            f"{quantity(total.length / 1000, job)} {total.name}"
            for total in table.totals
            if total.length and total.name != "new"
        ]
        said.append(f"Of the old trim {listed(told)}." if told else "")
    bonding = outcome.sheet.get(Bonding)
    if bonding and bonding.bonds:
        dry = sum(1 for bond in bonding.bonds if bond.adhesive == "none")
        share = "Every run is" if dry == len(bonding.bonds) else f"{dry} of {len(bonding.bonds)} runs are"
        said.append(f"{share} held to the wall by fixings alone{_glued(bonding)} and can be taken off again.")
    evidence = sum(len(room.evidence) for room in job.rooms)
    if evidence:
        trace = "One trace" if evidence == 1 else f"{evidence} traces"
        said.append(f"{trace} of the earlier trim {'was' if evidence == 1 else 'were'} found and recorded.")
    return " ".join(said) or "The survey records nothing that is to be kept."


def _glued(bonding: Bonding) -> str:
    """The joints that are glued all the same, between one piece and the next."""
    glued = {fill.joint for fill in bonding.fills if fill.glue}
    named = [many for one, many in (("mitre", "mitres"), ("scarf", "scarfs")) if one in glued]
    return f", glued only at {listed(named)}," if named else ", without adhesive,"


def _risks(outcome: Outcome) -> str:
    notes = outcome.sheet.get(SafetyNotes)
    hazards = list(dict.fromkeys(hazard.name.lower() for hazard in notes.hazards)) if notes else []
    cautions = [f for f in outcome.findings if f.weight == "caution" and f.settled is None]
    said = []
    if hazards:
        said.append(f"The hazards this job has: {listed(hazards)}.")
    if cautions:
        count = "One caution is" if len(cautions) == 1 else f"{len(cautions)} cautions are"
        said.append(f"{count} told in the sections that follow.")
    return " ".join(said) or "Nothing was found that calls for more than ordinary care."
