"""What ``conservation`` gives: the officer's table, its items old and new, and its totals."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass


@dataclass(frozen=True, kw_only=True)
class Total:
    """One total of the officer's table."""

    LINE: ClassVar[str] = "total"
    name: str = told("kept in place, refixed, repaired, replaced, set aside, not decided, of these lost, new")
    length: float = told("its length", "mm")
    share: float | None = told("of the old trim surveyed; of the new: of all the trim there then is", "%", None)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Undoing:
    """What holds one run of new trim, an old piece that goes back or what is let into one, and how it comes off."""

    LINE: ClassVar[str] = "undoing"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    old: str = told("the old piece it puts back, or the repair it holds; empty: new trim", default="")
    into: str = told("what its fixings bear in", default="not known")
    by: str = told("the fixing, in words", default="not decided")
    holes: int = told("new holes", default=0)
    stuck: bool = told("whether it is glued to the wall", default=False)
    glue: str = told("what glues it, and where", default="none")
    filled: str = told("what lies over its heads, and what seals its edge", default="nothing")
    comes_off: str = told("how it comes off again")
    harms: bool = told("whether that harms it or what it is fixed to, beyond the holes", default=False)
    grounds: Grounds = told("why", default=Grounds())

    @property
    def what(self) -> str:
        """What it is called in every paper."""
        return self.old or self.trim


@dataclass(frozen=True, kw_only=True)
class Drilled:
    """Old work that stays in its place and that something is fixed into."""

    LINE: ClassVar[str] = "drilled"
    piece: str = told("the old piece; empty: panelling that the survey lists as none", default="")
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim that is fixed into it")
    old: str = told("the old piece that is put back so, or the repair; empty: new trim", default="")
    holes: int = told("new holes in it")
    stuck: bool = told("whether that is glued on as well", default=False)

    @property
    def holed(self) -> str:
        """What is done to it, in words."""
        new = f"{self.holes} new hole{'s' * (self.holes > 1)}{', and glue,' * self.stuck}"
        return f"{new} for {self.old or f'the {self.trim}'}"


def done_to(piece: str, drilled: Iterable[Drilled]) -> str:
    """What is fixed into an old piece that stays, in words; empty for nothing."""
    return "; ".join(each.holed for each in drilled if each.piece == piece)


@dataclass(frozen=True, kw_only=True)
class Item:
    """One row of the officer's table, old or new."""

    LINE: ClassVar[str] = "officer-item"
    label: str = told("its number, or the trim's name")
    room: str = told("the room")
    wall: str = told("the wall, or the walls", default="")
    new: bool = told("whether it is new work")
    proved: bool = told("of new work: whether anything of its own room bears it out", default=True)
    departs: bool = told("of new work: whether it is unlike all that survives in its own room", default=False)
    carried: bool = told("of new work: whether it follows another room, its own having no trace of it", default=False)
    what: str = told("what it is")
    where: str = told("where it is")
    worth: str = told("its age and worth; of new work what bears it out")
    replaces: tuple[str, ...] = told("of new work: the old pieces that come off where it goes", default=())
    happens: str = told("what happens to it")
    length: float | None = told("its length; 0 of what is counted by the window", "mm", None)
    why: str = told("why that")
    considered: str = told("what else was looked at", default="")
    undone: str = told("how it is undone")
    photos: tuple[str, ...] = told("the photographs that show it", default=())
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class OfficerTable:
    """What happens to each piece, why, and how it is undone; ``undoing`` run by run; ``drilled``: what stays and is
    fixed into; the totals; ``asks``: each heading that the region's authority asks for, with what the job answers under
    it; ``title`` as it calls such a statement."""

    title: str = ""
    items: tuple[Item, ...] = ()
    totals: tuple[Total, ...] = ()
    asks: tuple[tuple[str, str], ...] = ()
    undoing: tuple[Undoing, ...] = ()
    drilled: tuple[Drilled, ...] = ()

    @property
    def harmed(self) -> tuple[str, ...]:
        """Each new trim that does not come off without harm, with its room and walls."""
        places: dict[tuple[str, str], dict[str, None]] = {}
        for line in self.undoing:
            if line.harms and not line.old:
                places.setdefault((line.trim, line.room), {})[line.wall] = None
        return tuple(f"{trim} ({room}, {', '.join(walls)})" for (trim, room), walls in places.items())
