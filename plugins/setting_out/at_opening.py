"""One run of trim round an opening or through it, and the floor under it there."""

from __future__ import annotations

from listel.core.contract.findings import Grounds
from listel.core.survey.job import Opening, Room, Trim, Wall
from listel.plugins.setting_out.results import Run
from listel.plugins.site import Levels


def run_at_opening(
    trim: Trim,
    room: Room,
    wall: Wall,
    *,
    opening: str,
    span: tuple[float, float],
    heights: tuple[float, float],
    ends: tuple[str, str],
    grounds: Grounds,
    upright: bool = True,
    wide: float | None = None,
) -> Run:
    """A run at an opening of that name: its stations and heights [mm], what stands at its ends, of an upright one the
    foot first, and how wide its board is ripped [mm]."""
    return Run(
        room=room.name,
        wall=wall.name,
        trim=trim.name,
        member=trim.member,
        start=span[0],
        end=span[1],
        underside=heights[0],
        top=heights[1],
        upright=upright,
        start_at=ends[0],
        end_at=ends[1],
        opening=opening,
        base=wall.raised or 0.0,
        wide=wide,
        grounds=grounds,
    )


def under_the_foot(floors: Levels, opening: Opening, *stations: float) -> tuple[float, ...]:
    """How far the floor at each station lies under the higher foot of an opening, over which its clear height counts
    [mm]; nothing where it stands on a sill, or the floor was not read."""
    if opening.sill or not floors:
        return (0.0,) * len(stations)
    at_feet, here = ([floors.at(at) or 0.0 for at in each] for each in ((opening.at, opening.end), stations))
    return tuple(at - min(at_feet) for at in here)
