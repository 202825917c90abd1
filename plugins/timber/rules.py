"""The stage ``timber``: moisture and movement of every trim."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Finding, Grounds, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Seasons, Trim
from listel.plugins.timber.acclimatise import day_findings, delivery_findings, wall_findings
from listel.plugins.timber.climate import airs_of, room_airs
from listel.plugins.timber.movement import trim_movement
from listel.plugins.timber.results import Movement

RULES = load_rules(__package__)


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Yield what there is to say of moisture and movement, and a Movement."""
    airs = [room_airs(job, trim) for trim in job.trim]
    lines = tuple(trim_movement(job, *each) for each in zip(job.trim, airs, strict=True))
    for seasons in dict.fromkeys(seasons for trim in job.trim for seasons in job.seasons(trim)):
        yield from _climate_findings(job, seasons)
    for trim, line, its in zip(job.trim, lines, airs, strict=True):
        yield from _facts_missing(job, trim)
        yield from delivery_findings(job, trim, line, its)
    yield from day_findings(job, lines)
    yield from wall_findings(job)
    yield Movement(lines)


def _climate_findings(job: Job, seasons: Seasons) -> Iterator[Finding]:
    airs = airs_of(job, seasons)
    room = next((room.name for room in job.rooms if room.climate == seasons), "")
    where = Where(room, line=job.line(seasons))
    if len(airs) > 1:
        yield RULES["heating-not-surveyed"].lacking(
            f"how the {room or 'building'} is heated, and the air in winter and summer",
            "the moisture timber will live at, and so every movement; the range over all kinds of heating is shown",
            where,
        )
    elif airs[0].assumed:
        given = [value for value in airs[0].inputs if value.assumed]
        yield RULES["air-assumed"].told(
            "record",
            "Not measured, and taken as usual for the kind of heating: "
            + ", ".join(
                f"{value.name} {value.value:g} {value.unit}" for value in given if isinstance(value.value, (int, float))
            )
            + ".",
            where,
            Grounds(inputs=airs[0].inputs, sources=airs[0].usual.sources if airs[0].usual else ()),
            "Hang a logger for a season, or take readings on a cold day and a close one.",
        )


def _facts_missing(job: Job, trim: Trim) -> Iterator[Finding]:
    if trim.timber is None:
        yield RULES["timber-not-surveyed"].lacking(
            f"the timber of {trim.name}",
            "how far it moves and bends; the movement shown is the range over all timbers of the table",
            Where(trim=trim.name, line=job.line(trim)),
        )
    lacks = [
        name
        for name, size in (("height on the wall", trim.section.height), ("thickness", trim.section.thick))
        if size is None
    ]
    if lacks:
        yield RULES["section-not-surveyed"].lacking(
            f"the {' and the '.join(lacks)} of {trim.name}",
            "its movement in mm, the opening of its joints and whether it bends",
            Where(trim=trim.name, line=job.line(trim.section) or job.line(trim)),
        )
