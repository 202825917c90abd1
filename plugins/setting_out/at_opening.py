"""One run of trim round an opening or through it."""

from __future__ import annotations

from listel.core.contract.findings import Grounds
from listel.core.survey.job import Room, Trim, Wall
from listel.plugins.setting_out.results import Run


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
) -> Run:
    """A run at an opening of that name: its stations and heights [mm], and what stands at its ends, of an upright one
    the foot first."""
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
        grounds=grounds,
    )
