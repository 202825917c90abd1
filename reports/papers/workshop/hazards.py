"""The hazards of the job as those who do the work are told them: all on one sheet, and on a room's sheet its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.plugins.safety import Hazard, SafetyNotes

TOLD = 3
"""Hazards of a room whose first control stands on its sheet; the others are named."""


@dataclass(frozen=True, kw_only=True)
class Met:
    """The hazards met in a room, those that the fewest rooms share first: some told with their first control, the
    ``others`` by name."""

    told: tuple[Hazard, ...] = ()
    others: tuple[str, ...] = ()

    @property
    def letters(self) -> int:
        """About how many letters they take."""
        return sum(len(each.name) + len(each.controls[0]) + 3 for each in self.told) + len(", ".join(self.others))


def hazards(outcome: Outcome) -> tuple[Hazard, ...]:
    """The hazards of the job, as the whole file has them, those of one name together."""
    return tuple(_together(outcome))


def _together(outcome: Outcome) -> Iterator[Hazard]:
    notes = outcome.sheet.get(SafetyNotes)
    names: dict[str, list[Hazard]] = {}
    for each in notes.hazards if notes else ():
        names.setdefault(each.name, []).append(each)
    for alike in names.values():
        yield replace(
            alike[0],
            because=" ".join(dict.fromkeys(each.because for each in alike)),
            controls=tuple(dict.fromkeys(said for each in alike for said in each.controls)),
            wear=tuple(dict.fromkeys(worn for each in alike for worn in each.wear)),
            rooms=tuple(dict.fromkeys(room for each in alike for room in each.rooms))
            if all(e.rooms for e in alike)
            else (),
        )


def met_in(outcome: Outcome, room: str) -> Met:
    """The hazards met in one room, not those of the whole job."""
    here = sorted((each for each in hazards(outcome) if room in each.rooms), key=lambda each: len(each.rooms))
    names = dict.fromkeys(each.name.lower() for each in here[TOLD:])
    return Met(told=tuple(here[:TOLD]), others=tuple(names))
