"""The records of a survey as the engine has judged them: those that count, and those that stand against.

The engine puts them on the sheet before any stage runs, so that every stage asks the same judgement.
"""

from __future__ import annotations

from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Record


@dataclass(frozen=True)
class Records:
    """``counting``: records that are all their rules ask, ``ending`` those of them that may end what was found;
    ``against``: those of a thing found, or a consent refused, ``stopping`` those of them that stop all other work."""

    counting: tuple[Record, ...] = ()
    against: tuple[Record, ...] = ()
    ending: tuple[Record, ...] = ()
    stopping: tuple[Record, ...] = ()

    def of(self, step: str, room: str = "", wall: str = "") -> Record | None:
        """The record by which that step counts as done there ("" for the whole room, the whole job); None if none
        does, or if a later one says that something was found."""
        for record in self.counting:
            if record.step == step and record.covers(room, wall) and not self._reopened(record, room, wall):
                return record
        return None

    def found(self, step: str, room: str = "", wall: str = "") -> Record | None:
        """The record that something was found, or refused, there or in a part of it; None where it is settled since."""
        for record in self.against:
            if record.step == step and record.touches(room, wall) and not self._closed(record):
                return record
        return None

    @property
    def stops(self) -> dict[str, list[str]]:
        """The rooms in which all work has stopped ("": the whole job), each with the steps that settle why."""
        found: dict[str, list[str]] = {}
        for record in self.stopping:
            if not self._closed(record):
                found.setdefault(record.room, []).append(record.step)
        return found

    def _reopened(self, record: Record, room: str, wall: str) -> bool:
        ends = record in self.ending
        return any(
            other.step == record.step and other.touches(room, wall) and not (ends and outlasts(record, other))
            for other in self.against
        )

    def _closed(self, found: Record) -> bool:
        return any(
            record.step == found.step and record.covers(found.room, found.wall) and outlasts(record, found)
            for record in self.ending
        )


def records_on(sheet: Sheet) -> Records:
    """The judged records on a sheet; none where the engine put none there."""
    return sheet.get(Records) or Records()


def outlasts(record: Record, found: Record) -> bool:
    """Whether a record that counts is later than one of something found, and speaks of that place: made safe the same
    day, or clear the day it was taken out, is after it; what is clear in general was not looked at where it was found.
    """
    if not record.on or not found.on or (record.outcome == "clear" and not found.covers(record.room, record.wall)):
        return False
    after = record.outcome != "clear" or found.outcome == "removed"
    return record.on > found.on or (record.on == found.on and after)
