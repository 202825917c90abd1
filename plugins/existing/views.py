"""The photographs of a job: those that cannot be shown, and what no photograph shows."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job
from listel.core.survey.photographs import Photographs
from listel.plugins.existing.results import Existing

RULES = load_rules(__package__)


def told_of_photographs(job: Job, listed: Photographs | None) -> Iterator[Finding]:
    """Each photograph that cannot be shown, at its line."""
    if listed is None and job.photos:
        where = Where(line=job.line(job.photos[0]))
        says = "The survey was not read from a folder, so its photographs are not shown: their captions stand alone."
        yield RULES["photo-not-shown"].told("caution", says, where)
    for each in listed.photos if listed else ():
        if each.fault:
            says = f"Photograph {each.photo.name} is not shown. {each.fault}."
            where = Where(each.photo.room, each.photo.wall, line=job.line(each.photo, "file"))
            yield RULES["photo-not-shown"].told("caution", says, where)


def without_view(job: Job, existing: Existing) -> Iterator[Finding]:
    """Advice, once a room, where a trace or an old piece is in no photograph."""
    for room in job.rooms:
        lacks = [piece.label for piece in existing.pieces_on(room.name) if not piece.photos]
        lacks += [
            f"the {trace.kind.replace('-', ' ')} of the {trace.member.replace('-', ' ')}"
            + (f" on wall {trace.wall}" if trace.wall else "")
            for trace in room.evidence
            if not trace.photos
        ]
        if lacks:
            says = (
                f"No photograph shows {', '.join(lacks)} of the {room.name}: take each before the work, with a scale "
                "in it."
            )
            where = Where(room.name, line=job.line(room))
            yield RULES["no-view"].told("advice", says, where, Grounds(sources=RULES["no-view"].sources))
