"""Reckoners: one small calculation offered on its own at the command line (``listel reckon NAME``)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import KW_ONLY, field
from typing import Any, Literal

from listel.core.contract.findings import Finding, Grounds
from listel.core.quick import dataclass

Kind = Literal[
    "length", "angle", "temperature", "percent", "number", "count", "lengths", "text", "choice", "word", "flag"
]


@dataclass(frozen=True)
class Option:
    """One option of a reckoner.

    ``name`` without the dashes ("room-height"); it reaches the calculation as ``given["room_height"]``: a length in mm,
    an angle in degrees, a temperature in C, a percentage as its number, lengths (1200x3) as one in mm and how many, a
    word as a survey writes it, whose ``table`` is named ("timbers"): everyday words are taken as there.
    ``many``: may be given more than once, and arrives as a tuple. ``default`` None with ``required`` False arrives as
    None.
    A default that stands for an unknown fact must be shown as assumed in the grounds. What is below ``least`` or above
    ``most`` (mm, degrees, C, %, or as the number stands) is a slip of the point or the unit, and is refused in words.
    """

    name: str
    kind: Kind
    says: str
    required: bool = False
    default: Any = None
    _: KW_ONLY
    many: bool = False
    choices: tuple[str, ...] = ()
    table: str = ""
    least: float | None = None
    most: float | None = None

    @property
    def key(self) -> str:
        """Its name as the calculation is given it."""
        return self.name.replace("-", "_")


@dataclass(frozen=True)
class Reckoning:
    """What a reckoner found: ``results`` by name, in the units that the reckoner declares, and why."""

    results: dict[str, Any]
    grounds: tuple[Grounds, ...] = ()
    says: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Reckoner:
    """A calculation with a name, a one-line summary and its options.

    ``units``: of each unit ("mm", "deg", "N", "%" ...) the names of the results, at whatever depth, that are told in
    it, with spaces between: a person who asks in inches is answered in American units. Counts and shares have none.
    ``reckon(given)`` raises ValueError, with a sentence that says how to mend it, where the figures cannot be.
    """

    name: str
    summary: str
    options: tuple[Option, ...]
    reckon: Callable[[Mapping[str, Any]], Reckoning] = field(compare=False)
    units: Mapping[str, str] = field(default_factory=dict, compare=False)
