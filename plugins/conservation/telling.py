"""What is said of new work beside old: what is conjecture, and that it is marked as new."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.contract.findings import Finding, Grounds, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.core.survey.units import show_length
from listel.plugins.conservation.evidence import borne_out, copies, traced
from listel.plugins.existing import NEW, Existing
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site

RULES = load_rules(__package__)


def untold(job: Job, site: Site, lacks: Sequence[str]) -> Iterator[Finding]:
    """What an authority reads first, where it was not surveyed."""
    if site.protection.inside and lacks:
        where = Where(line=job.line(job.building))
        mend = "Tell it under building."
        decides = "what the authority has to weigh"
        yield RULES["not-told-to-authority"].lacking("; ".join(lacks), decides, where, mend)


def carried(job: Job, site: Site, existing: Existing, setting_out: SettingOut) -> Iterator[Finding]:
    """New trim in a room that has no trace of it, where another room has: conjecture, and recorded as such."""
    house = traced(job, existing)
    for trim in job.trim:
        for room in job.rooms:
            runs = setting_out.runs_on(room.name, trim=trim.name)
            if not runs:
                continue
            borne = borne_out(job, room, trim, existing, house, runs)
            if not borne.carried:
                continue
            says = f"The {trim.name} of the {room.name} is {borne.words}. A trace speaks for its own room."
            where = Where(room.name, trim=trim.name, line=job.line(trim))
            grounds = Grounds(sources=load_table(__package__, "traces").row("surviving").sources)
            weight: Weight = "caution" if site.protection.asked else "advice"
            mend = "Look for a trace in that room, or say in the statement that it is conjecture."
            yield RULES["carried-over"].told(weight, says, where, grounds, mend)


def marked(job: Job, site: Site, existing: Existing, setting_out: SettingOut) -> Iterator[Finding]:
    """Once for the job: new work that copies the old is marked and dated on its back; nobody is to take it for old."""
    let_in = [mend.label for mend in existing.mends if mend.kind in NEW]
    whole = copies(job, site, existing, setting_out)
    if not (let_in or whole):
        return
    parts = [f"the {name} of the {room}" for name, room in whole]
    parts += [f"what is let into old trim ({', '.join(let_in)})"] if let_in else []
    year = job.work.start[:4] if job.work.start else "the year"
    high = " to ".join(show_length(size, job.units) for size in (5.0, 10.0))
    says = (
        f"Nobody is to take new work for old. Marked on the back of every piece: {'; '.join(parts)}. The mark: {year} "
        f"and the firm's name, {high} high, cut or burnt in there or on a hidden end, told on the drawing; never "
        "on the face, and no new wood is aged."
    )
    sources = RULES["mark-new"].sources
    yield RULES["mark-new"].told("record", says, grounds=Grounds(formula="what copies old work", sources=sources))
