"""The first sheet of the form: the house, what is asked before any wall is touched, the trim, the profiles."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.survey.job import Job, Record
from listel.plugins.site import tables
from listel.reports.drawings.sketch import grid
from listel.reports.papers.form.filling import LEAST, Firm, Form, Table, Words, joined, number, plain, table, yes_no


def house(job: Job, firm: Firm) -> Form:
    """What is known of the house, and what is open."""
    building, words = job.building, Words(job.units)
    built = f"{'about ' if building.built_about else ''}{building.built}" if building.built else ""
    facts = (
        ("Surveyed by, and date", f"{job.surveyor} {job.surveyed}".strip()),
        ("Built (year, or about); later works", joined(built, ", ".join(map(str, building.refurbished)))),
        (
            "Used as (flat?); the client: at home, landlord, trust, firm, public; firms at work",
            joined(plain(building.use), plain(building.client_kind), number(job.work.contractors)),
        ),
        (
            "Protection, and entry in the list; in the grounds of a listed building?",
            joined(plain(building.protection), building.list_entry, yes_no(building.curtilage)),
        ),
        (
            "Who is there during the work; children under six",
            joined(plain(building.occupied), yes_no(building.children)),
        ),
        ("How it is heated; air today, temperature and humidity", plain(job.climate.heating)),
        ("Smoke and fire alarms: where, who covers and uncovers them; neighbours to tell", ""),
        ("Bevel tried on a square: it reads; tape checked against", ""),
        *firm.facts("job", job),
    )
    asked = (
        ("Asbestos survey seen (kind, rooms, result, reference, date, by)", "asbestos-check"),
        ("Old paint tested for lead (where, result)", "lead-check"),
        ("Cables and pipes looked for (with what, by)", "detect-services"),
        ("Gas: old pipes and brackets, dead or in use (who proved it)", "gas-check"),
    )
    trim = [
        (
            each.name,
            ", ".join(dict.fromkeys(place.room for place in each.where)),
            *map(words.length, (each.section.height, each.section.projection)),
            ", ".join(filter(None, (tables.timber_words(each.timber), each.finish))),
            number(each.moisture),
        )
        for each in job.trim
    ]
    on_record = (
        (says, joined(*(_recorded(each) for each in job.records if each.step == step))) for says, step in asked
    )
    on_the_sheet = (
        table("The house", ("What", "Known, or to be asked"), facts),
        table("Before any wall is drilled, scraped or opened", ("What", "Known, or to be asked"), on_record),
        table(
            "The trim that is there, or wanted",
            ("Member", "Room", "Height on the wall", "Projection", "Timber, finish", "Moisture %"),
            trim,
            LEAST["trim"],
        ),
        *_architraves(job, words),
        *firm.table("trim", "Of each trim", "Member", job.trim),
    )
    lengths = "feet and inches, to 1/16" if job.units == "inches" else "mm"
    return Form(
        way=None,
        hints=f"Lengths in {lengths}. What stands here is known; check it.",
        tables=on_the_sheet,
        sketch=grid(180.0, 60.0, "Profiles, full size or with sizes"),
    )


def _architraves(job: Job, words: Words) -> Iterator[Table]:
    """What is asked of the architraves that are put up; none where none is."""
    rows = [(each.name, words.length(each.margin)) for each in job.trim if each.member == "architrave"]
    if rows:
        yield table("Of each architrave", ("Architrave", "Margin of the lining that it leaves showing inside it"), rows)


def _recorded(record: Record) -> str:
    place = f"{record.room} {record.wall}".strip()
    came = f"{place}: {plain(record.outcome)}" if place else plain(record.outcome)
    return ", ".join(filter(None, (came, record.kind, record.says, record.reference, record.on, record.by)))
