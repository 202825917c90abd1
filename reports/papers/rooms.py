"""What is told of a room on the papers that are used in it: its levels, its corners, its holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf
from typing import TYPE_CHECKING

from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.job import Room
from listel.core.survey.units import Units, show_length
from listel.plugins.setting_out import CornerCut, Mark, SettingOut
from listel.reports.drawings import draw
from listel.reports.drawings.paper import Drawing
from listel.reports.drawings.picture import more_behind, stands_on

if TYPE_CHECKING:
    from listel.reports.drawings.strip import Level

SAME = 0.5
"""Marks within this of each other are one level line, mm."""


@dataclass(frozen=True, kw_only=True)
class TrimLevel:
    """Where a trim's edges stand from the level line, mm; None where that differs along the walls."""

    trim: str
    top: float | None
    underside: float | None
    apart: bool

    @property
    def told(self) -> bool:
        """Whether one figure serves."""
        return self.top is not None


@dataclass(frozen=True)
class Corner:
    """A corner that is cut to one setting, with the joint of its trims in words."""

    cut: CornerCut
    joint: str


UPPER, LOWER = ("top", "head"), ("underside", "foot")
"""The edges that are marked of a trim, and of a panel."""


def levels(setting_out: SettingOut, room: str) -> list[TrimLevel]:
    """Each trim of a room with its level, the highest first."""
    mine = setting_out.marks_on(room)
    found = []
    for trim in dict.fromkeys(mark.trim for mark in mine):
        own = setting_out.marks_on(room, trim=trim)
        top, underside = (_one([mark for mark in own if mark.edge in edges]) for edges in (UPPER, LOWER))
        apart = any(mark.from_datum is None for mark in own)
        found.append(TrimLevel(trim=trim, top=top, underside=underside, apart=apart))
    return sorted(found, key=lambda level: -(level.top or 0.0))


def _one(edges: list[Mark]) -> float | None:
    """The one distance from the level line of all these marks that have one; None where they differ or none has."""
    known = [edge.from_datum for edge in edges if edge.from_datum is not None]
    return known[0] if known and max(known) - min(known) <= SAME else None


def drawn_levels(found: Iterable[TrimLevel], units: Units) -> list[Level]:
    """The levels as they stand beside a drawing of the walls."""
    from listel.reports.drawings.strip import Level

    edges = dict.fromkeys(edge for level in found for edge in (level.top, level.underside) if edge is not None)
    return [Level(height=edge, words=signed(edge, units)) for edge in edges]


def signed(height: float, units: Units) -> str:
    """A height over (+) or under (\u2212) the level line, without the unit where it is mm."""
    words = show_length(abs(height), units).removesuffix(" mm")
    return f"{'+' if height >= 0 else chr(0x2212)}{words}"


def corners(setting_out: SettingOut, room: str) -> list[Corner]:
    """The corners of a room in order, each once for all the trims that are cut to one setting there."""
    groups: dict[tuple[object, ...], list[CornerCut]] = {}
    mine = setting_out.corners_of(room)
    places = list(dict.fromkeys((corner.first, corner.second) for corner in mine))
    for corner in sorted(mine, key=lambda corner: places.index((corner.first, corner.second))):
        key = (corner.first, corner.second, corner.kind, corner.angle, corner.cut_angle, corner.saw_reading)
        groups.setdefault((*key, corner.bevel), []).append(corner)
    whole = {place: len({c.trim for c in mine if (c.first, c.second) == place}) for place in places}
    return [Corner(group[0], _joint(group, whole[group[0].first, group[0].second])) for group in groups.values()]


def _joint(group: list[CornerCut], trims: int) -> str:
    """How the trims of a corner meet; they are named where they do not all meet alike."""
    ways: dict[str, list[str]] = {}
    for corner in group:
        way = f"{corner.coped} coped" if corner.coped else f"{corner.joint} both"
        if corner.to:
            way = f"{f'{corner.coped} coped' if corner.coped else corner.joint} to the {corner.to}"
        ways.setdefault(way, []).append(corner.trim)
    first, *rest = sorted(ways.items(), key=lambda way: -len(way[1]))
    said = first[0] if len(group) == trims else f"{first[0]}: {', '.join(first[1])}"
    return "; ".join([said, *(f"{', '.join(names)} {way}" for way, names in rest)])


BESIDE = 8.0
"""What stands beside the lines of a picture in its column: its lettering, and the gap to the next, mm."""


NEARLY = 0.9
"""So large a share of the largest size is taken where it saves a row."""


def pictures(
    outcome: Outcome, wide: float, tall: float, *, most: int, within: float = inf
) -> list[tuple[Drawing, ...]]:
    """Each room as it will be, where old trim was surveyed as it is before that, the first ``most`` of them: in the
    fewest rows that show them nearly as large as any do, each at most ``tall``, all of them ``within`` so many
    millimetres and ``wide``. New trim that stands on near walls alone is shown from the other side, where that leaves
    no room out."""
    both: list[Asked] = [[(room, view) for view in views(outcome, room)] for room in outcome.job.rooms]
    front = [[(room, view) for room, view in one if view is not BEHIND] for one in both]
    asked = both if sum(map(len, both)) <= most else front
    ways = [_in_rows(asked, columns, most) for columns in range(1, most + 1)]
    sizes = [(wide / max(map(len, rows), default=1) - BESIDE, min(tall, within / (len(rows) or 1))) for rows in ways]
    largest = max(map(min, sizes))
    (across, high), rows = min(
        (each for each in zip(sizes, ways, strict=True) if min(each[0]) >= NEARLY * largest),
        key=lambda way: len(way[1]),
    )
    return [
        tuple(draw("picture", outcome, room=room.name, wide=across, tall=high, **view) for room, view in row)
        for row in rows
    ]


View = Mapping[str, bool]
Asked = list[tuple[Room, View]]
"""Pictures of a room: before the work, after it, after it from the other side."""
BEFORE: View = {"before": True}
AFTER: View = {}
BEHIND: View = {"behind": True}


def views(outcome: Outcome, room: Room) -> list[View]:
    """How a room is shown: before the work where old trim was surveyed, after it, and from the other side where new
    trim stands on near walls alone."""
    before = [BEFORE] if stands_there(room) else []
    return [*before, AFTER, *([BEHIND] if more_behind(outcome, room.name) else [])]


def _in_rows(asked: list[Asked], columns: int, most: int) -> list[Asked]:
    """The pictures of all rooms in rows of so many at most, both of one room in one row where that holds two."""
    rows: list[Asked] = []
    for one in asked:
        if sum(map(len, rows)) + len(one) > most:
            break
        for part in [one] if len(one) <= columns else [[each] for each in one]:
            if not rows or len(rows[-1]) + len(part) > columns:
                rows.append([])
            rows[-1] += part
    return rows


def stands_there(room: Room) -> bool:
    """Whether old trim was surveyed in a room."""
    return any(map(stands_on, room.walls))
