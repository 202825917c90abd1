"""What ``bonding`` gives: adhesive and filler choice, with quantities."""

from __future__ import annotations

from dataclasses import KW_ONLY
from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.contract.tables import load_table, row_names
from listel.core.quick import dataclass
from listel.plugins.fixings import kind_of


def _adhesives() -> tuple[str, ...]:
    return ("none", *row_names(__package__, "adhesives")())


def _fillers() -> tuple[str, ...]:
    return ("none", *row_names(__package__, "fillers")())


def _called(filler: str, table: str = "fillers") -> str:
    row = load_table(__package__, table).find(filler)
    return str(row["title"]) if row else filler


def hole_name(fixing: str) -> str:
    """The hole that a kind of fixing leaves in the trim."""
    return "screw-holes" if kind_of(fixing)["sunk"] else "nail-holes"


@dataclass(frozen=True, kw_only=True)
class Bond:
    """Adhesive of one trim on one wall; ``adhesive`` "none" means mechanical fixing only."""

    LINE: ClassVar[str] = "bond"
    room: str = told("the room")
    wall: str = told("the wall")
    trim: str = told("the trim")
    adhesive: str = told("the family chosen, none for mechanical fixing only", default="none", words=_adhesives)
    why: str = told("why, in words", default="")
    refused: tuple[tuple[str, str], ...] = told("families refused, each with its reason", default=())
    bead: float | None = told("bead diameter", "mm", None)
    length: float | None = told("length of bead", "mm", None)
    volume: float | None = told("volume, waste included", "ml", None)
    open_minutes: tuple[float, float] | None = told("open time, from and to", "min", None)
    cure_hours: tuple[float, float] | None = told("hours to full strength, from and to", "h", None)
    holds_alone: bool | None = told("whether the wet bead holds the piece alone", default=None)
    props: str = told("how it is held while it cures", default="")
    reversible: str = told("how the adhesive lets go again; empty for none", default="")
    harms: bool = told("whether what it is stuck to is harmed when it lets go", default=False)
    grounds: Grounds = told("why", default=Grounds())

    @property
    def called(self) -> str:
        """The family chosen, in words."""
        return _called(self.adhesive, "adhesives")


@dataclass(frozen=True, kw_only=True)
class Fill:
    """Filler or sealant of one kind of joint, hole or knot."""

    LINE: ClassVar[str] = "fill"
    room: str = told("the room, or empty for the whole job")
    trim: str = told("the trim")
    joint: str = told("what is filled: wall-edge, mitre, scarf, nail-holes, knot, floor-edge ...")
    wall: str = told("the wall", default="")
    width: float | None = told("width of the joint or hole now", "mm", None)
    movement: float | None = told("movement to come, greatest", "mm", None)
    strain: float | None = told("movement over width", "%", None)
    filler: str = told("the family chosen, none for leave open", default="", words=_fillers)
    movement_class: str = told("movement class it must have", default="")
    least_width: float | None = told("least width that would do", "mm", None)
    depth: float | None = told("depth", "mm", None)
    volume: float | None = told("volume, waste included", "ml", None)
    paintable: bool | None = told("whether it takes paint", default=None)
    order: str = told("when it goes in, against priming and painting", default="")
    dry_hours: tuple[float, float] | None = told("hours before it is painted or sanded, from and to", "h", None)
    refused: tuple[tuple[str, str], ...] = told("families refused, each with its reason", default=())
    why: str = told("why, in words", default="")
    movement_low: float | None = told("movement to come, least", "mm", None)
    count: int | None = told("how many holes, where the fixing schedule counts them", default=None)
    glue: str = told("of a joint: the glue that holds its pieces together; empty for none", default="")
    grounds: Grounds = told("why", default=Grounds())

    @property
    def called(self) -> str:
        """The family chosen, in words."""
        return _called(self.filler)

    @property
    def comes_out(self) -> str:
        """That it comes out again, and how; empty where nothing was put in."""
        row = load_table(__package__, "fillers").find(self.filler)
        return f"the {row['title']} is {row['out']}" if row else ""

    @property
    def not_used(self) -> list[str]:
        """The families refused, in words."""
        return [_called(name) for name, _ in self.refused]


@dataclass(frozen=True)
class Material:
    """A quantity to buy."""

    LINE: ClassVar[str] = "material"
    what: str = told("what")
    quantity: float = told("how much")
    unit: str = told("its unit")
    packs: str = told("in packs, in words", default="")
    grounds: Grounds = told("why", default=Grounds())
    _: KW_ONLY
    merchant: str = told("who sells it: fixings, decorators, safety", default="")
    count: int | None = told("how many packs; none: no pack is known", default=None)
    pack: str = told("one pack, in words", default="")


@dataclass(frozen=True, kw_only=True)
class Consumable:
    """What is used up at the work and not reckoned."""

    what: str
    take: str
    merchant: str


@dataclass(frozen=True)
class Bonding:
    """Adhesives, fillers and the quantities of them."""

    bonds: tuple[Bond, ...] = ()
    fills: tuple[Fill, ...] = ()
    materials: tuple[Material, ...] = ()
    consumables: tuple[Consumable, ...] = ()

    def bond(self, room: str, wall: str, trim: str) -> Bond | None:
        """The adhesive of a trim on a wall; None where nothing was judged."""
        return next((b for b in self.bonds if (b.room, b.wall, b.trim) == (room, wall, trim)), None)

    def edge(self, room: str, wall: str, trim: str) -> Fill | None:
        """What seals a trim to a wall."""
        edges = (fill for fill in self.fills if (fill.room, fill.trim, fill.joint) == (room, trim, "wall-edge"))
        return next((fill for fill in edges if wall in fill.wall.split(", ")), None)

    def over_heads(self, trim: str, fixing: str) -> Fill | None:
        """What lies over the heads of a trim's fixings of that kind."""
        name = hole_name(fixing)
        return next((fill for fill in self.fills if (fill.trim, fill.joint) == (trim, name)), None)

    def glued_joints(self, trim: str) -> dict[str, list[str]]:
        """By glue the joints of a trim whose pieces it holds together."""
        found: dict[str, list[str]] = {}
        for fill in self.fills:
            if fill.trim == trim and fill.glue:
                found.setdefault(fill.glue, []).append(fill.joint)
        return found
