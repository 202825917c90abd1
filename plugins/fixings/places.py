"""Where what is said of a fixing stands, what it is called, and the rules it is told by."""

from __future__ import annotations

from dataclasses import replace

from listel.core.contract.findings import Where
from listel.core.contract.rules import load_rules
from listel.core.survey.units import show_fine, show_length
from listel.plugins.fixings.bearing import Place
from listel.plugins.fixings.size import Size

RULES = load_rules(__package__)


def where(place: Place, key: str = "") -> Where:
    """The run's wall and trim, with the survey line of the choice where the finding is about one."""
    line = place.job.line(place.job.choices, key) if key else place.job.line(place.wall)
    return Where(place.room.name, place.wall.name, place.trim.name, line=line)


def at_start(place: Place) -> Where:
    """The same, with the station it starts from, to tell several runs of one wall apart."""
    return replace(where(place), station=place.run.start)


def of_trim(place: Place, key: str) -> Where:
    """The trim on whatever wall, with the survey line of a choice: for what is said once for the trim."""
    return Where(trim=place.trim.name, line=place.job.line(place.job.choices, key))


def of_wall(place: Place) -> Where:
    """The wall whatever the trim: for what is said once for the wall."""
    return Where(place.room.name, place.wall.name, line=place.job.line(place.wall))


def named(place: Place, size: Size) -> str:
    """A fixing in words: kind, gauge or diameter, and length."""
    units = place.job.units
    thick = f"No. {size.gauge}" if size.gauge else show_fine(size.diameter, units)
    return f"{size.kind['says']} {thick}" + (f" x {show_length(size.length, units)}" if size.length else "")
