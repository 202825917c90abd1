"""One rail in one room, with what the rules need to know of it."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Input, Where
from listel.core.contract.firms import HeightOffer
from listel.core.quick import dataclass
from listel.core.survey.job import Fitting, Job, Opening, Room, Trim, Wall
from listel.core.survey.units import show_length
from listel.plugins.heights.marks import assumed_face
from listel.plugins.heights.results import RoomOrders
from listel.plugins.site import RoomSite


@dataclass(frozen=True, kw_only=True)
class Case:
    """A member in a room: ``trim`` None where only marks of it were found. ``orders``: the room against the orders;
    ``firms``: what the rules of plugins offer."""

    job: Job
    site: RoomSite
    member: str
    trim: Trim | None
    orders: RoomOrders
    firms: tuple[HeightOffer, ...] = ()

    @property
    def room(self) -> Room:
        """The room as surveyed."""
        return self.site.room

    @property
    def rail(self) -> str:
        """The member in words."""
        return self.member.replace("-", " ")

    @property
    def trim_name(self) -> str:
        """The trim's name, empty where there is none."""
        return "" if self.trim is None else self.trim.name

    @property
    def where(self) -> Where:
        """The place of findings about it."""
        return Where(self.room.name, trim=self.trim_name, line=self.job.line(self.trim or self.room))

    @property
    def face(self) -> Input:
        """The rail's depth of face, mm; assumed, and said so, where the section was not surveyed."""
        if self.trim is not None and self.trim.section.height is not None:
            given = self.trim.section
            return Input("depth of its face", given.height or 0.0, "mm", self.job.line(given, "height"))
        return assumed_face(self.member)

    @property
    def surveyed_face(self) -> float | None:
        """The depth of face, mm, where it was surveyed."""
        return self.trim.section.height if self.trim is not None else None

    @property
    def depth(self) -> float:
        """The rail's depth of face, mm."""
        return float(self.face.value)

    @property
    def height_input(self) -> Input:
        """The room height as an input."""
        line = self.orders.grounds.inputs[0].line
        return Input("room height", self.orders.height or 0.0, "mm", line)

    def misfit(self, top: float) -> str:
        """Why the rail cannot have its top edge there, mm above the floor: the room ends; "" where it can."""
        if top < self.depth:
            return "it would reach below the floor"
        if self.orders.height is not None and top > self.orders.height:
            return "it would stand above the ceiling"
        return ""

    def show(self, mm: float) -> str:
        """A length in the units of the job."""
        return show_length(mm, self.job.units)

    def fittings(self) -> Iterator[tuple[Wall, Fitting]]:
        """The fittings on the stretches of wall the rail runs along; not what is taken off, for it runs behind that,
        nor brackets, which are let into its back."""
        for wall, start, end in self._stretches():
            for fitting in wall.fittings:
                passed = fitting.taken_off or fitting.kind == "radiator-bracket"
                if not passed and _within(fitting.at, fitting.width, start, end):
                    yield wall, fitting

    def openings(self) -> Iterator[tuple[Wall, Opening]]:
        """The openings on the stretches of wall the rail runs along."""
        for wall, start, end in self._stretches():
            for opening in wall.openings:
                if _within(opening.at, opening.width, start, end):
                    yield wall, opening

    def _stretches(self) -> Iterator[tuple[Wall, float, float | None]]:
        if self.trim is not None:
            for _, wall, start, end in self.job.places(self.trim, self.room.name):
                yield wall, start, end


def _within(at: float, width: float | None, start: float, end: float | None) -> bool:
    """Whether something stands on a stretch of wall, at least in part."""
    return at + (width or 0.0) >= start and (end is None or at <= end)
