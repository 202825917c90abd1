"""What ``defects`` gives: is the timber fit for its grade and place, and what to look for at each stage."""

from __future__ import annotations

from typing import ClassVar

from listel.core.contract.findings import Grounds
from listel.core.contract.lines import told
from listel.core.quick import dataclass


@dataclass(frozen=True, kw_only=True)
class DefectVerdict:
    """One defect of one board: whether it stays in the work, and what is to be done with it."""

    start: float = told("from the marked end", "mm")
    end: float = told("to", "mm")
    kind: str = told("what it is")
    size: float | None = told("size across", "mm", None)
    cut_out: bool = told("whether it must be cut out", default=True)
    treat: str = told("seal, fill, plug, cut out ...", default="")
    why: str = told("why", default="")


@dataclass(frozen=True, kw_only=True)
class BoardCheck:
    """One board against the place it is for. ``clear``: usable stretches (from, to), defects and margins left out."""

    LINE: ClassVar[str] = "board"
    board: str = told("its name: rack name, or stock with its length")
    trim: str = told("the trim it is for")
    rack: bool = told("true for an offcut on the rack")
    length: float = told("its length", "mm")
    price: float | None = told("price of one", "", None)
    quantity: int | None = told("how many; none: no limit", "", None)
    usable: bool = told("whether any of it may be used", default=True)
    verdicts: tuple[DefectVerdict, ...] = told("each defect", default=())
    clear: tuple[tuple[float, float], ...] = told("usable stretches", "mm", ())
    says: str = told("the verdict in words", default="")
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True, kw_only=True)
class Snag:
    """Something to look for at a stage, with its tolerance."""

    LINE: ClassVar[str] = "snag"
    stage: str = told("the step it is looked for after")
    look_for: str = told("what to look for")
    limit: str = told("the tolerance, in words")
    value: float | None = told("the tolerance as a number", "mm", None)
    how: str = told("how to look", default="")
    members: tuple[str, ...] = told("the members of this job that can have it", default=())
    corner: bool = told("whether it is looked for where walls meet", default=False)
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class DefectChecks:
    """Verdicts on every board, and the snag list."""

    boards: tuple[BoardCheck, ...] = ()
    snags: tuple[Snag, ...] = ()
