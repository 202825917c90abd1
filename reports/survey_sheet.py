"""The form for the site: what the survey knows is printed, what it does not know is left open for the pencil."""

from __future__ import annotations

from typing import Any

from listel.core.files import beside
from listel.core.survey.job import ExistingTrim, Fitting, HeightReading, Job, LevelReading, Opening, Room, Wall
from listel.core.survey.own import OwnFact, Schema, own_facts
from listel.core.survey.units import show_angle, show_length

_LEAST_WALLS = 6
_LEAST_ROWS = 7
_SPARE_ROWS = 2


def sheet_html(job: Job, schema: Schema) -> str:
    """The form as one self-contained HTML file that prints on A4 and Letter: the house, then a page for each room.

    ``schema`` is the survey's, with the facts that firms ask for.
    """
    from jinja2 import Environment, StrictUndefined

    def length(mm: float | None) -> str:
        return "" if mm is None else show_length(mm, job.units).removesuffix(" mm")

    def levels(readings: tuple[LevelReading, ...]) -> str:
        return ", ".join(f"{length(one.to_datum)} at {length(one.at)}" for one in readings)

    def heights(readings: tuple[HeightReading, ...]) -> str:
        return ", ".join(f"{length(one.height)}{_at(one, length(one.at))}" for one in readings)

    def own(fact: OwnFact, holder: Any) -> str:
        return fact.told(holder.own, job.units) if holder else ""

    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters.update(length=length, levels=levels, heights=heights, angle=_angle, number=_number)
    template = environment.from_string(beside("listel.reports", "sheet.html.j2").read_text(encoding="utf-8"))
    return template.render(
        job=job,
        asked={on: own_facts(schema, on) for on in ("job", "room", "wall", "trim")},
        own=own,
        wall_rows=_wall_rows,
        openings=_openings,
        fittings=_fittings,
        old_trim=_old_trim,
    )


def _angle(degrees: float | None) -> str:
    return "" if degrees is None else show_angle(degrees)


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _at(reading: HeightReading, station: str) -> str:
    return f" (wall {reading.wall}, at {station})" if reading.wall else ""


def _wall_rows(room: Room) -> list[Wall | None]:
    """The walls of a room, then None for each row left open: none where the whole room was surveyed."""
    if room.extent == "whole" and room.walls:
        return list(room.walls)
    return [*room.walls, *[None] * max(_LEAST_WALLS - len(room.walls), _SPARE_ROWS)]


def _openings(room: Room) -> list[tuple[str, Opening | None]]:
    """(wall, opening) for each opening of a room, then rows left open."""
    known = [(wall.name, opening) for wall in room.walls for opening in wall.openings]
    return [*known, *[("", None)] * _open_rows(len(known))]


def _fittings(room: Room) -> list[tuple[str, Fitting | None]]:
    """(wall, fitting) for each fitting of a room, then rows left open."""
    known = [(wall.name, fitting) for wall in room.walls for fitting in wall.fittings]
    return [*known, *[("", None)] * _open_rows(len(known))]


def _old_trim(room: Room) -> list[tuple[str, ExistingTrim | None]]:
    """(place, old trim) for each piece of a room, then rows left open."""
    known = [(wall.name, old) for wall in room.walls for old in wall.existing]
    known += [
        (f"{wall.name}, {opening.name or opening.kind} {old.side or ''}".rstrip(), old)
        for wall in room.walls
        for opening in wall.openings
        for old in opening.existing
    ]
    known += [(f"{old.wall}, {flight.name}", old) for flight in room.stairs for old in flight.existing]
    return [*known, *[("", None)] * max(3 - len(known), 0)]


def _open_rows(known: int) -> int:
    return max(_LEAST_ROWS - known, _SPARE_ROWS)
