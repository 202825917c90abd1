"""What is laid out before boards are thought of: whole runs, those of one board as pieces, and where the longer ones
may be jointed; and where they are, once somebody has chosen with the boards in mind."""

from __future__ import annotations

from typing import ClassVar

from listel.core.contract.lines import told
from listel.core.quick import dataclass
from listel.plugins.setting_out.results import Blocked, Notched, Piece, Run, RunKey


@dataclass(frozen=True, kw_only=True)
class Places:
    """Stations where a run may be jointed, all over one kind of thing: the best first, then more of them [mm].
    ``over``: what they lie over; ``found``: whether that was surveyed."""

    over: str
    found: bool
    tiers: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, kw_only=True)
class LongRun:
    """A run longer than the longest piece, from ``start`` to ``end`` in stations, and where it may be jointed.

    ``total``: from long point to long point; ``before``: how far its left long point stands before ``start``;
    ``rake``: mm along the run for 1 mm of station; ``lap`` of a joint; ``least`` and ``longest`` piece [mm].
    ``places``: of these kinds the first that will do. ``seen``: stations that a door looks straight at (None: not
    known). ``apart``: kept from the joints of other members. ``halves``: it cut in two, for its ends.
    """

    room: str
    wall: str
    trim: str
    start: float
    end: float
    total: float
    before: float
    rake: float
    lap: float
    least: float
    longest: float
    places: tuple[Places, ...]
    seen: tuple[float, ...] | None
    apart: float
    halves: tuple[Piece, Piece]

    @property
    def key(self) -> RunKey:
        """What names the run."""
        return self.room, self.wall, self.trim, self.start

    def along(self, station: float) -> float:
        """How far a station lies from the left long point, mm."""
        return self.before + (station - self.start) * self.rake

    def station(self, along: float) -> float:
        """The station that lies so far from the left long point, mm."""
        return self.start + (along - self.before) / self.rake


@dataclass(frozen=True, kw_only=True)
class WholeRuns:
    """All that is laid out before boards are thought of: the runs, and those ``panelled`` and ``shuttered``; the
    ``pieces`` that one board makes, returns among them, their labels not settled; and the runs that must be jointed."""

    runs: tuple[Run, ...] = ()
    panelled: tuple[Run, ...] = ()
    shuttered: tuple[Run, ...] = ()
    blocked: tuple[Blocked, ...] = ()
    notched: tuple[Notched, ...] = ()
    pieces: tuple[Piece, ...] = ()
    long: tuple[LongRun, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TrimJoints:
    """Where the long runs of one trim are jointed, chosen together with the boards. ``stations``: by room, wall, trim
    and first station of the run [mm]; ``bound``: no plan with this few joints at the stations there were costs less
    (money, or mm bought); none where it was not reckoned."""

    LINE: ClassVar[str] = "joints"
    trim: str = told("the trim")
    stations: tuple[tuple[RunKey, tuple[float, ...]], ...] = told("joints of each run", "mm", ())
    bound: float | None = told("no plan with this few joints at these stations costs less", "", None)


@dataclass(frozen=True)
class Joints:
    """Where every long run of the job is jointed."""

    lines: tuple[TrimJoints, ...] = ()

    @property
    def stations(self) -> dict[RunKey, tuple[float, ...]]:
        """The joints of every run by its room, wall, trim and first station."""
        return {run: stations for line in self.lines for run, stations in line.stations}
