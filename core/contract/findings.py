"""What a stage has to say, and what it rests on.

A finding says one thing about one place, with a weight and with its grounds: the inputs
(each with its survey line, or marked as assumed), the formula in words and with figures,
the result, and the sources.
"""

from __future__ import annotations

from dataclasses import KW_ONLY
from typing import Literal, get_args

from listel.core.quick import dataclass
from listel.core.survey.units import Units, show_length

Weight = Literal["hold", "caution", "advice", "record"]
"""``hold``: work may not start or go on until it is settled. Then ``caution``, ``advice``, ``record``."""

WEIGHTS: tuple[Weight, ...] = get_args(Weight)

Standing = Literal[
    "published-seen",
    "published-second-hand",
    "published-from-memory",
    "common-practice",
    "allowance",
    "derived",
    "house-rule",
]
"""How far a source can be leaned on.

``published-seen``: the figure stood on the page of the publication. ``published-second-hand``: seen
quoted elsewhere. ``published-from-memory``: known from the named publication, not opened.
``common-practice``: custom of the trade, no source. ``allowance``: our own setting, no authority,
meant to be changed. ``derived``: arithmetic or geometry. ``house-rule``: a firm's own rule.
"""

STANDINGS: tuple[Standing, ...] = get_args(Standing)


@dataclass(frozen=True)
class Source:
    """Where a figure or rule comes from: ``title``, ``author`` or body, ``year``, ``locator`` (clause, table, page);
    ``checked``: when it was last looked at, year and month, "" where nobody wrote it down. Its standing says how.
    """

    title: str
    author: str = ""
    year: str = ""
    locator: str = ""
    standing: Standing = "published-seen"
    _: KW_ONLY
    checked: str = ""

    @property
    def published(self) -> bool:
        """Whether others published it, so that its title is theirs."""
        return self.standing.startswith("published")

    def __str__(self) -> str:
        """The source as one line of text, its standing last."""
        parts = [part for part in (self.author, self.title, self.year, self.locator) if part]
        return f"{', '.join(parts)} ({self.standing.replace('-', ' ')})"


GEOMETRY = Source("Arithmetic and geometry", standing="derived")
PRACTICE = Source("Common practice, no source", standing="common-practice")


@dataclass(frozen=True)
class Input:
    """One value a finding rests on.

    ``unit`` is "mm", "deg", "%", "N", "kg/m3", "C" ... or "" for words and counts. ``line`` is the
    survey line it came from (0: not from the survey). ``assumed`` values are shown as assumed,
    and ``note`` says on what ground they were assumed.
    """

    name: str
    value: float | str
    unit: str = ""
    line: int = 0
    assumed: bool = False
    _: KW_ONLY
    note: str = ""


@dataclass(frozen=True)
class Grounds:
    """Why a number or a finding is what it is.

    ``formula`` in words ("half of the corner angle"), ``worked`` with figures ("91.3 / 2 = 45.65"),
    ``result`` with its unit ("45.65 deg"), ``uncertainty`` where measurement matters ("+/- 0.2 mm").
    """

    inputs: tuple[Input, ...] = ()
    formula: str = ""
    worked: str = ""
    result: str = ""
    sources: tuple[Source, ...] = ()
    _: KW_ONLY
    uncertainty: str = ""


@dataclass(frozen=True)
class Where:
    """A place in the job: room, wall, trim, piece by name; station (mm along the wall) and height (mm above floor)."""

    room: str = ""
    wall: str = ""
    trim: str = ""
    piece: str = ""
    station: float | None = None
    _: KW_ONLY
    height: float | None = None
    line: int = 0

    def __str__(self) -> str:
        """The place in words, widest first, without its survey line."""
        return self.told("mm")

    def told(self, units: Units) -> str:
        """The same, its station in the units of the job."""
        words = [
            self.room,
            f"wall {self.wall}" if self.wall else "",
            self.trim,
            f"piece {self.piece}" if self.piece else "",
        ]
        if self.station is not None:
            words.append(f"at {show_length(self.station, units)}")
        return ", ".join(word for word in words if word) or "the whole job"


@dataclass(frozen=True)
class Settled:
    """A finding that the person has settled against the rule: the reason, and who agreed to it; or one that is
    ``cured`` by what a firm set: why, and which."""

    reason: str
    agreed: str
    line: int = 0
    cured: bool = False


@dataclass(frozen=True)
class Fact:
    """One fact that a finding tells, as its rule declares it: a figure in its ``unit``, or words."""

    name: str
    value: float | str
    unit: str = ""


@dataclass(frozen=True)
class Finding:
    """One thing a stage has to say.

    ``rule`` is ``plugin/words-in-kebab-case``. ``says`` is one plain sentence or two; ``mend`` what would
    settle it; ``record`` how the survey is told that it is ("records, step consent"), which only those who keep the
    survey are shown. ``protects`` marks findings that protect people: they cannot be departed from, only
    resolved by recording what was done. ``facts`` are the figures and words it tells, by name. ``settled`` is filled by
    the engine from the survey's departures and from what cured it, ``weighed_by`` by a house rule that gave the finding
    another weight, ``worded_by`` by a firm whose words it says.
    """

    rule: str
    weight: Weight
    says: str
    where: Where = Where()
    grounds: Grounds = Grounds()
    _: KW_ONLY
    mend: str = ""
    protects: bool = False
    facts: tuple[Fact, ...] = ()
    settled: Settled | None = None
    weighed_by: str = ""
    worded_by: str = ""
    record: str = ""

    @property
    def open_hold(self) -> bool:
        """Whether this finding holds the job: a hold that nobody has settled."""
        return self.weight == "hold" and self.settled is None
