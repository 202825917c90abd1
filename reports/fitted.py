"""Which openings new trim goes to."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Side, Site, opening_name, openings_once, tables


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
