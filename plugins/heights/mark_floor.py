"""The floor under a mark: from the floor of the mark's own wall, by the level line, to the floor that heights are
counted from."""

from __future__ import annotations

from collections.abc import Callable

from listel.core.contract.findings import Input
from listel.core.quick import dataclass
from listel.core.survey.job import Evidence, Job, Room
from listel.core.survey.units import show_length
from listel.plugins.heights.levels import SHARES, chosen_kind, floor_fall, readings
from listel.plugins.site import RoomSite, WallSite

RAILS = ("dado-rail", "plate-rail")


@dataclass(frozen=True, kw_only=True)
class MarkFloor:
    """The floor at a mark against the floor that heights are counted from: tapes from both up to the datum, mm, and
    the ``share`` of the floor's fall that the member follows. ``unsure``: what is not known of it, in words."""

    there: float = 0.0
    reference: float = 0.0
    share: float = 0.0
    formula: str = ""
    inputs: tuple[Input, ...] = ()
    unsure: str = ""

    def at_reference(self, height: float) -> float:
        """A height above the floor there, mm, as the member's line has it above the reference floor, mm.

        Source: geometry, as :func:`listel.plugins.heights.levels.above_floor` turned round.
        """
        return height - (1 - self.share) * (self.there - self.reference)

    def worked(self, length: Callable[[float], str]) -> str:
        """The step in figures, to follow the height above the floor there."""
        there, reference = length(self.there), length(self.reference)
        return f" - half of ({there} - {reference})" if self.share else f" - {there} + {reference}"


def mark_floor(job: Job, site: RoomSite, evidence: Evidence) -> MarkFloor:
    """The floor under a mark, from the readings of its wall: at its station, or their mean where that is not known.

    Where the member follows the floor, or stands for itself, or no reading tells of that floor, the height is taken
    as it is.
    """
    room = site.room
    reference = _reference(room, evidence.member)
    share = _share(job, room, evidence.member)
    if reference is None or share == 1:
        return MarkFloor()
    wall = site.walls.get(evidence.wall or "")
    if wall is None or not wall.floors:
        return MarkFloor(unsure=_unknown(job, room, wall))
    tape, named = reference
    there, at, unsure = _there(job, wall, evidence.at)
    up = "up to the level line"
    line = job.line(wall.wall.floor[0]) if wall.wall.floor else 0
    inputs = (
        Input(f"tape from the floor {up}, wall {wall.name}, {at}", there, "mm", line),
        Input(f"tape from the floor {named} {up}", tape, "mm"),
    )
    by = "to half of the floor's fall" if share else "by the level line"
    return MarkFloor(
        there=there,
        reference=tape,
        share=share,
        formula=f"{by} to the floor {named}",
        inputs=inputs,
        unsure=unsure,
    )


def _there(job: Job, wall: WallSite, at: float | None) -> tuple[float, str, str]:
    """The tape at the mark, mm, where on the wall that is, and what is not known of it."""
    if at is not None:
        return wall.floor(at) or 0.0, f"at {show_length(at, job.units)}", ""
    tapes = [reading for _, reading in wall.floors.readings]
    mean, fall = sum(tapes) / len(tapes), max(tapes) - min(tapes)
    unsure = ""
    if fall >= 1:
        reach = show_length(max(abs(tape - mean) for tape in tapes), job.units)
        unsure = (
            f"+/- {reach}: the mark's place along wall {wall.name} was not noted, and the floor there is "
            f"{show_length(fall, job.units)} out of level"
        )
    return mean, f"mean of {len(tapes)}" if len(tapes) > 1 else "one reading", unsure


def _unknown(job: Job, room: Room, wall: WallSite | None) -> str:
    fall = floor_fall(room)
    if fall < 1:
        return ""
    what = f"the floor was not levelled at wall {wall.name}" if wall else "the mark's place on the wall is not known"
    return f"the floor falls {show_length(fall, job.units)} in the room, and {what}"


def _reference(room: Room, member: str) -> tuple[float, str] | None:
    """The tape from the floor that a member's height is counted from, mm, and where that floor is; None where no floor
    was read, or the member does not run level along the walls."""
    found = readings(room)
    if not found:
        return None
    if member in (*RAILS, "picture-rail", "wainscot-cap"):
        return room.reference or 0.0, "that heights are counted from"
    if member == "skirting":
        return min(reading.to_datum for _, reading in found), "at its highest"
    return None


def _share(job: Job, room: Room, member: str) -> float:
    """The share of the floor's fall that the member's line follows."""
    if member in RAILS:
        return SHARES[chosen_kind(room, job.choices.line)]
    return SHARES[job.choices.line or "level"] if member == "skirting" else 0.0
