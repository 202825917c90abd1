"""The air of rooms in winter and summer: as surveyed, else as their kind of heating usually has it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import KW_ONLY

from listel.core.contract.findings import Input
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Air, Job, Seasons, Trim
from listel.plugins.timber.species import Species, limit

HEATINGS = ("heated", "intermittent", "unheated", "conservation")


@dataclass(frozen=True)
class RoomAir:
    """One pair of seasons of some ``rooms``: temperature [C] and relative humidity [%] of each, and where they come
    from; ``known``: False for one of all kinds of heating that it may be."""

    rooms: tuple[str, ...]
    heating: str
    winter: tuple[float, float]
    summer: tuple[float, float]
    inputs: tuple[Input, ...]
    _: KW_ONLY
    known: bool
    usual: Row | None = None

    @property
    def assumed(self) -> bool:
        """Whether any of its four figures was assumed."""
        return any(given.assumed for given in self.inputs)

    def moistures(self, species: Species) -> tuple[float, float]:
        """What that timber comes to in winter and in summer, % MC."""
        return species.moisture_in(*self.winter), species.moisture_in(*self.summer)

    def reading(self, species: Species) -> tuple[float, float]:
        """The moisture to wait for, % MC: the mean of the seasons, with the tolerance either side."""
        middle = sum(self.moistures(species)) / 2
        allowed = limit("reading-tolerance")["value"]
        return middle - allowed, middle + allowed


def room_airs(job: Job, trim: Trim) -> tuple[RoomAir, ...]:
    """The seasons of the rooms that a trim goes to: a pair for each air, or one for every kind of heating where air and
    heating are not known."""
    return tuple(air for seasons, rooms in job.seasons(trim).items() for air in airs_of(job, seasons, rooms))


def airs_of(job: Job, seasons: Seasons, rooms: Iterable[str] = ()) -> tuple[RoomAir, ...]:
    """The pair of seasons in some rooms of one air, or one for every kind of heating where it is not known."""
    known = seasons.heating is not None or all(_known(air) for air in (seasons.winter, seasons.summer))
    heatings = (seasons.heating or "",) if known else HEATINGS
    return tuple(_air(job, seasons, heating, tuple(dict.fromkeys(rooms)), known) for heating in heatings)


def _known(air: Air | None) -> bool:
    return air is not None and air.temperature is not None and air.humidity is not None


def _usual(job: Job, heating: str) -> Row | None:
    if not heating:
        return None
    american = job.building.region == "united-states" and heating == "heated"
    return load_table(__package__, "climates").row("heated-american" if american else heating)


def _air(job: Job, given: Seasons, heating: str, rooms: tuple[str, ...], known: bool) -> RoomAir:
    usual = _usual(job, heating)
    inputs: list[Input] = []
    seasons: dict[str, tuple[float, float]] = {}
    for season, air in (("winter", given.winter), ("summer", given.summer)):
        found = []
        for matter, unit in (("temperature", "C"), ("humidity", "%")):
            surveyed: float | None = getattr(air, matter, None)
            assumed = surveyed is None
            value = float(usual[f"{season}_{matter}"] if surveyed is None and usual else surveyed or 0.0)
            note = f"usual where the heating is: {heating}" if assumed else ""
            line = 0 if assumed or air is None else job.line(air, matter)
            inputs.append(Input(f"{season} {matter}", value, unit, line, assumed, note=note))
            found.append(value)
        seasons[season] = (found[0], found[1])
    return RoomAir(rooms, heating, seasons["winter"], seasons["summer"], tuple(inputs), known=known, usual=usual)
