"""One member in one room, with what the rules need to know of it."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Input, Where
from listel.core.contract.firms import HeightOffer
from listel.core.contract.tables import Table, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Room, Trim, Wall
from listel.core.survey.units import show_length
from listel.plugins.heights import Mark, RailHeight, RoomOrders

LESSER_RANKS = ("upper", "service")
"""Standings of a room whose trim is smaller than that of a principal room."""


def table(name: str) -> Table:
    """A table of this plugin."""
    return load_table(__package__, name)


def limit(name: str) -> float:
    """A setting of the table ``limits``."""
    return float(table("limits").row(name)["value"])


@dataclass(frozen=True, kw_only=True)
class Case:
    """A member in a room: ``trim`` None where only marks of it were found. ``rails``: the dado and plate
    rails; ``firms``: the heights that the rules of firms offer it."""

    job: Job
    room: Room
    member: str
    trim: Trim | None
    orders: RoomOrders
    rails: tuple[RailHeight, ...] = ()
    firms: tuple[HeightOffer, ...] = ()

    @property
    def named(self) -> str:
        """The member in words."""
        return self.member.replace("-", " ")

    @property
    def trim_name(self) -> str:
        """The trim's name, empty where there is none."""
        return "" if self.trim is None else self.trim.name

    @property
    def size(self) -> float | None:
        """Its height on the wall (an architrave's face), mm, as surveyed."""
        return self.trim.section.height if self.trim is not None else None

    @property
    def size_input(self) -> Input:
        """That size as an input."""
        if self.trim is None or self.size is None:
            return Input(f"size of the {self.named}", "not surveyed", assumed=True)
        return Input(f"size of {self.trim.name}", self.size, "mm", self.job.line(self.trim.section, "height"))

    @property
    def height_input(self) -> Input:
        """The room height as an input."""
        return Input("room height", self.orders.height or 0.0, "mm", self.orders.grounds.inputs[0].line)

    @property
    def ceiling(self) -> float | None:
        """The ceiling above the floor that heights are counted from, mm; the room height where that floor was not
        read."""
        return self.orders.ceiling if self.orders.ceiling is not None else self.orders.height

    @property
    def ceiling_input(self) -> Input:
        """That ceiling as an input."""
        if self.orders.ceiling is None:
            return self.height_input
        line = self.orders.grounds.inputs[0].line
        return Input("ceiling above the floor at the room's reference station", self.orders.ceiling, "mm", line)

    @property
    def where(self) -> Where:
        """The place of findings about it."""
        return Where(self.room.name, trim=self.trim_name, line=self.job.line(self.trim or self.room))

    @property
    def american(self) -> bool:
        """Whether the building is in the United States."""
        return self.job.building.region == "united-states"

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Traces of this member in the room, strongest first."""
        found = (mark for mark in self.orders.marks if mark.member == self.member)
        return tuple(sorted(found, key=lambda mark: mark.rank))

    def show(self, mm: float) -> str:
        """A length in the units of the job."""
        return show_length(mm, self.job.units)

    def other(self, member: str) -> Trim | None:
        """The trim of another member in the same room."""
        return next((trim for trim in self.job.trims_in(self.room.name) if trim.member == member), None)

    def openings(self) -> Iterator[tuple[Wall, Opening]]:
        """The doors, windows and archways on the walls the trim goes to, or on every wall where there is no trim."""
        walls = None
        if self.trim is not None:
            walls = {wall.name for _, wall, _, _ in self.job.places(self.trim, self.room.name)}
        for wall in self.room.walls:
            if walls is None or wall.name in walls:
                for opening in wall.openings:
                    if opening.kind in ("door", "window", "archway"):
                        yield wall, opening
