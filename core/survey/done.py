"""What came after the statement: pieces cut and fixed, products used, changes made on site. Lengths are mm.

Part of the job model (core/survey/job.py).
"""

from typing import Literal, get_args

from listel.core.quick import dataclass
from listel.core.survey.surveyed import Surveyed, spelt
from listel.core.survey.units import Length

PieceState = Literal["cut", "dry-fitted", "fixed", "spoilt"]
"""How far a piece is. A spoilt one is wanted again, and its timber is gone."""
STATES: tuple[PieceState, ...] = get_args(PieceState)


@dataclass(frozen=True, kw_only=True)
class DonePiece(Surveyed):
    """One piece by its label, of which ``trim``: its ``state``, its overall ``length`` as cut, from which ``board`` and
    ``at`` what distance from the board's marked end."""

    piece: str
    trim: str = spelt("for", "")
    state: PieceState
    by: str
    on: str = ""
    length: Length | None = None
    board: str = ""
    at: Length | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class BoughtBoards(Surveyed):
    """New boards that lie in the shop: for which ``trim``, how long, how many."""

    trim: str = spelt("for")
    length: Length
    count: int
    on: str = ""


@dataclass(frozen=True, kw_only=True)
class MarkedBoard(Surveyed):
    """A board of one ``trim`` with the pieces that are marked out on it, each ``at`` what distance from its marked
    end."""

    trim: str = spelt("for")
    board: str
    pieces: tuple[str, ...]
    at: tuple[Length, ...]


@dataclass(frozen=True, kw_only=True)
class AsFixed(Surveyed):
    """Fixings that went in otherwise than scheduled, and ``why``."""

    room: str
    wall: str
    trim: str
    kind: str
    length: Length | None = None
    spacing: Length | None = None
    count: int | None = None
    why: str
    by: str
    on: str = ""


@dataclass(frozen=True, kw_only=True)
class Used(Surveyed):
    """A product that was used: for ``what``, which ``product``, its ``batch``."""

    what: str
    product: str
    batch: str = ""
    room: str = ""
    on: str = ""


@dataclass(frozen=True, kw_only=True)
class SnagClosed(Surveyed):
    """A snag put right: what it was, by whom."""

    snag: str
    by: str
    on: str = ""
    room: str = ""


@dataclass(frozen=True, kw_only=True)
class Done(Surveyed):
    """Everything that is done so far."""

    pieces: tuple[DonePiece, ...] = ()
    boards: tuple[BoughtBoards, ...] = ()
    marked: tuple[MarkedBoard, ...] = ()
    fixings: tuple[AsFixed, ...] = ()
    products: tuple[Used, ...] = ()
    snags: tuple[SnagClosed, ...] = ()

    @property
    def made(self) -> dict[str, DonePiece]:
        """Pieces that are cut, fitted or fixed, by label: what was told last holds."""
        last = {piece.piece: piece for piece in self.pieces}
        return {label: piece for label, piece in last.items() if piece.state != "spoilt"}


@dataclass(frozen=True, kw_only=True)
class GivenJoints(Surveyed):
    """Where a trim on one wall is jointed, in stations: the cutting list keeps to them."""

    room: str
    wall: str
    trim: str
    at: tuple[Length, ...]


@dataclass(frozen=True, kw_only=True)
class SiteChange(Surveyed):
    """Something done otherwise than the statement said: its ``reason``, who ``agreed``, and whether it touches what
    ``consent`` covered."""

    what: str
    reason: str
    agreed: str
    on: str = ""
    room: str = ""
    wall: str = ""
    trim: str = ""
    consent: bool | None = None
