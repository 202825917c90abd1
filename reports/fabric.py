"""What of the building is touched, gathered by room and trim so that a person can read it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import KW_ONLY

from listel.core.contract.findings import Grounds
from listel.core.contract.stage import Sheet
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.bonding import Bonding
from listel.plugins.fixings import FixingSchedule
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Side, Site, opening_name, openings_once, tables


@dataclass(frozen=True)
class Touched:
    """Runs of one trim in one room that are held alike: the walls, into what, by what, how many new holes."""

    room: str
    trim: str
    walls: tuple[str, ...]
    into: str
    by: str
    _: KW_ONLY
    holes: int


@dataclass(frozen=True)
class Stuck:
    """Walls of one room where a trim has the same adhesive (or none), and how it comes off again."""

    room: str
    trim: str
    walls: tuple[str, ...]
    adhesive: str
    comes_off: str
    _: KW_ONLY
    grounds: Grounds


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """An opening as the room sees it that lists it first, and the new trims that go to it from either of its rooms."""

    side: Side
    trims: tuple[str, ...]


def fitted(job: Job, sheet: Sheet) -> Iterator[Fitted]:
    """Every opening of the job, one that leads from room to room once."""
    setting_out, site = sheet.get(SettingOut) or SettingOut(), sheet.get(Site) or Site()
    for side in openings_once(job):
        sides = (side, site.across.get(side.key))
        runs = (run for each in sides if each for run in setting_out.laid.of(room=each.room.name, wall=each.wall.name))
        trims = tuple(
            dict.fromkeys(run.trim for run in runs if any(_goes_to(job, run, each) for each in sides if each))
        )
        yield Fitted(side=side, trims=trims)


def _goes_to(job: Job, run: Run, side: Side) -> bool:
    """Whether a run goes to an opening: round, in or under it, or as panelling of its own within its sides."""
    if (run.room, run.wall) != (side.room.name, side.wall.name):
        return False
    within = side.opening.at <= run.start and run.end <= side.opening.end
    return run.opening == opening_name(job, side.opening) or (tables.goes_in_frames(run.member) and within)


def touched(outcome: Outcome) -> list[Touched]:
    """Every run of the fixing schedule, like with like."""
    schedule = outcome.sheet.get(FixingSchedule)
    found: dict[tuple[str, str, str, str], list[tuple[str, int]]] = {}
    for line in schedule.lines if schedule else ():
        key = (line.room, line.trim, line.into or line.substrate or "not known", line.kind or "not decided")
        found.setdefault(key, []).append((line.wall, line.count - line.old_holes))
    return [
        Touched(
            room, trim, tuple(dict.fromkeys(wall for wall, _ in runs)), into, by, holes=sum(count for _, count in runs)
        )
        for (room, trim, into, by), runs in found.items()
    ]


def stuck(outcome: Outcome) -> list[Stuck]:
    """Every bond, like with like; the grounds are those of the first."""
    bonding = outcome.sheet.get(Bonding)
    found: dict[tuple[str, str, str, str], list[tuple[str, Grounds]]] = {}
    for bond in bonding.bonds if bonding else ():
        key = (bond.room, bond.trim, bond.adhesive, bond.reversible or "not known")
        found.setdefault(key, []).append((bond.wall, bond.grounds))
    return [
        Stuck(room, trim, tuple(dict.fromkeys(wall for wall, _ in bonds)), adhesive, comes_off, grounds=bonds[0][1])
        for (room, trim, adhesive, comes_off), bonds in found.items()
    ]
