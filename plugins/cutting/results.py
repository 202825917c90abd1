"""What ``cutting`` gives: what is cut from which board, what is bought, what goes back on the rack."""

from __future__ import annotations

from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass
from listel.core.survey.units import Units, show_length
from listel.plugins.cutting.problem import Problem, Solution
from listel.plugins.defects import BoardCheck
from listel.plugins.setting_out import Piece

HAIR = 1e-6
"""Two costs no farther apart are one."""


@dataclass(frozen=True, kw_only=True)
class Cut:
    """One piece on one board: running dimensions from the board's marked end."""

    piece: str = told("the piece's label")
    start: float = told("from the marked end to its first point", "mm")
    end: float = told("from the marked end to its last point", "mm")
    left: str = told("its left end as one faces the wall, in words; the foot of an upright piece", default="")
    right: str = told("its end cut at the end, in words", default="")
    kerf: float = told("kerf lost after it", "mm", 0.0)


@dataclass(frozen=True, kw_only=True)
class CutBoard:
    """One board and what is cut from it. ``remnants``: what is left, (from, to), long enough to keep."""

    board: str = told("its name")
    length: float = told("its length", "mm")
    bought: bool = told("true where it is bought new")
    price: float | None = told("what it costs", "", None)
    cuts: tuple[Cut, ...] = told("the cuts, from the marked end", default=())
    defects: tuple[tuple[float, float, str], ...] = told("defects left out: from, to, kind", default=())
    remnants: tuple[tuple[float, float], ...] = told("clear stretches that go back on the rack", "mm", ())
    waste: float = told("length lost", "mm", 0.0)


@dataclass(frozen=True)
class Purchase:
    """Boards to order."""

    length: float = told("board length", "mm")
    count: int = told("how many")
    price: float | None = told("price of one", "", None)


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Timber of one section that pieces of a trim want and no board surveyed gives."""

    section: tuple[float | None, float | None] = told("height and thickness", "mm")
    own: bool = told("whether it is another section than the trim's, for splices of old work")
    count: int = told("how many lengths")
    longest: float = told("the longest of them", "mm")
    length: float = told("all of them end to end", "mm")

    def sized(self, units: Units) -> str:
        """Its section, in words."""
        sizes = [show_length(size, units) for size in self.section if size is not None]
        return " x ".join(sizes) or "a section not surveyed"


@dataclass(frozen=True, kw_only=True)
class Unmade:
    """A piece, or a spare, that no board gives."""

    piece: str = told("the piece's label")
    length: float = told("long point to long point", "mm")
    left: str = told("its left end as one faces the wall, in words; the foot of an upright piece")
    right: str = told("its right end, in words")
    why: str = told("why no board gives it, in words")


@dataclass(frozen=True, kw_only=True)
class TrimCutting:
    """The cutting list of one trim. Costs are money where prices were given, else mm bought."""

    LINE: ClassVar[str] = "cutting"
    trim: str = told("the trim")
    boards: tuple[CutBoard, ...] = told("each board with its cuts", default=())
    bought: tuple[Purchase, ...] = told("boards to order", default=())
    had: tuple[Purchase, ...] = told("new boards that lie there, or were cut from", default=())
    cost: float = told("cost of new stock", "", 0.0)
    priced: bool = told("true: cost is money; false: mm bought", default=False)
    bound: float = told("no plan can cost less than this", "", 0.0)
    proven: bool = told("whether the cost is proven least", default=False)
    claim: str = told("what is proven of the cost, and of which plans, in words", default="")
    objectives: tuple[tuple[str, float, float | None, bool], ...] = told(
        "each objective: name, value, bound (none: none is known), proven", default=()
    )
    greedy_cost: float = told("cost of the better of the two everyday rules", "", 0.0)
    saved: str = told("what the plan saves against them, in words", default="")
    metres: float = told("length of trim cut", "m", 0.0)
    waste_share: float = told("length lost over length used up", "", 0.0)
    unmade: tuple[Unmade, ...] = told("pieces that no board gives", default=())
    wanted: tuple[Wanted, ...] = told("the timber that they want", default=())
    notes: tuple[str, ...] = told("what to mind", default=())
    grounds: Grounds = told("why", default=Grounds())

    @property
    def in_all(self) -> tuple[Purchase, ...]:
        """The new boards of the whole job: those to order, and those that are there or were cut from."""
        counts: dict[tuple[float, float | None], int] = {}
        for each in (*self.bought, *self.had):
            counts[each.length, each.price] = counts.get((each.length, each.price), 0) + each.count
        return tuple(Purchase(length, count, price) for (length, price), count in counts.items())


@dataclass(frozen=True)
class CuttingList:
    """The cutting list of the job."""

    lines: tuple[TrimCutting, ...] = ()


@dataclass(frozen=True)
class JointPlans:
    """The cutting problems that came of choosing joints, each with the plan that was found with them."""

    plans: tuple[tuple[Problem, Solution], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Share:
    """What one house asks of a trim: its pieces, the boards surveyed for it, and its own cutting list. ``alike``: what
    must be the same for two houses to be cut together: section, profile, timber, finish, currency, and the settings of
    the saw. ``begins``: the first day of its work, or empty."""

    house: str
    alike: tuple[str, ...]
    pieces: tuple[Piece, ...]
    boards: tuple[BoardCheck, ...]
    own: TrimCutting
    kerf: float
    end_trim: float
    keep: float
    rack_price: float
    spare: float
    begins: str = ""


@dataclass(frozen=True, kw_only=True)
class HouseSaving:
    """What a trim costs one house cut by itself, and its part of the cost of all together (money, or mm bought): the
    saving is shared as the houses' own costs are to each other."""

    house: str
    alone: float
    together: float


@dataclass(frozen=True, kw_only=True)
class PooledTrim:
    """One trim of several houses cut as one. ``boards`` in the order they are cut; ``houses_of`` each; ``open``: the
    most houses begun and not finished at one time; ``pooled``: False where the houses' own plans cost no more;
    ``bought_apart``: what they buy by those; ``lot``: which of the lots it is bought in, or empty."""

    trim: str
    alike: tuple[str, ...]
    houses: tuple[str, ...]
    boards: tuple[CutBoard, ...]
    houses_of: tuple[tuple[str, ...], ...]
    bought: tuple[Purchase, ...]
    cost: float
    alone: float
    bound: float
    priced: bool
    pooled: bool
    open: int
    unmade: tuple[Unmade, ...]
    shares: tuple[HouseSaving, ...]
    bought_apart: tuple[Purchase, ...] = ()
    lot: str = ""

    @property
    def currency(self) -> str:
        """The currency its boards are priced in; empty where none was given."""
        return self.alike[-1] if self.priced else ""

    @property
    def named(self) -> str:
        """The trim with its section and timber, and its lot."""
        return ", ".join(filter(None, (self.trim, self.alike[1], self.alike[3].replace("-", " "), self.lot)))

    @property
    def proven(self) -> bool:
        """Whether no plan for all these pieces costs less."""
        return self.cost <= self.bound + HAIR
