"""The fixing points of a run: rows up the member, stations along it, and what each stands on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from math import cos, inf, radians

from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.units import custom
from listel.plugins.fixings import eurocode, layout
from listel.plugins.fixings.bearing import FRAMED, Bearing, Place, band
from listel.plugins.fixings.results import FixingPoint
from listel.plugins.fixings.runs import joints_along, underside_along
from listel.plugins.site import arrises, tables

ON = {
    "studs": "stud",
    "battens": "batten",
    "ground": "ground",
    "masonry": "masonry",
    "blocks": "block",
    "panelling": "panelling",
    "lining": "lining",
    "board": "board",
    "trim": "the board behind",
}
OLD_HOLE = "old hole"
EDGE = 15.0
SCRIBED = 0.85
"""Share of a board that is left where it counts as whole; more scribed off it, and its rows close up."""
AT_CORNER = 1.0
"""A run that ends this close [mm] to the end of its wall comes to the corner."""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """Where a run's fixings stand along it: ``stations`` of one row, ``start`` and ``end`` of the run on the same axis
    (up the leg for an upright), the points themselves, the ``rows``, how far each stands ``down`` from
    the top edge, the ``joints`` between pieces."""

    stations: tuple[float, ...]
    start: float
    end: float
    points: tuple[FixingPoint, ...]
    rows: int
    slope: float
    down: tuple[float, ...] = ()
    joints: tuple[float, ...] = ()

    @property
    def spacing(self) -> float | None:
        """Greatest distance between neighbours along the run, mm."""
        gap = layout.widest_gap(list(self.stations))
        return None if gap is None else gap / cos(radians(self.slope))

    @cached_property
    def share(self) -> float:
        """The longest stretch of run one fixing carries, mm."""
        return layout.widest_share(list(self.stations), self.start, self.end) / cos(radians(self.slope)) / self.rows


def spacing_row(place: Place, bearing: Bearing, hung: float) -> Row:
    """The row of the spacing table for a member on what bears it, as custom has it in the units of the job."""
    member = "panelling" if place.rails else str(tables.member(place.trim.member)["fixed"])
    if member == "skirting":
        member = "skirting-studs" if bearing.kind in FRAMED else "skirting-masonry"
    if member == "picture-rail" and hung == 0:
        member = "picture-rail-unloaded"
    row = load_table(__package__, "spacing").row(member)
    return replace(row, values={key: custom(value, place.job.units) for key, value in row.values.items()})


def rows_of(place: Place, row: Row) -> int:
    """Rows of fixings up a member: both edges of an architrave, each rail of panelling, two on tall boards, one at the
    foot of what is sprung."""
    if place.trim.member == "architrave":
        return 2
    if place.rails:
        return len(place.rails)
    height = place.trim.section.height
    if height is None or place.trim.section.spring:
        return 1
    return 2 if row.get("two_rows_over") is not None and height > row["two_rows_over"] else 1


def offsets(place: Place, bearing: Bearing, row: Row, rows: int) -> list[float]:
    """Height of each row above the underside of the run at its start, mm: on the grounds where there are any, else as
    far down from the top edge on every wall, however much is scribed off the other, and over the nosings of a flight;
    of panelling along its rails; of what is sprung in the flat at its foot, where alone it touches the wall."""
    edges = band(place)
    if edges is None:
        return []
    height = edges[1] - edges[0]
    if place.trim.section.spring:
        return [(place.trim.section.foot or 0.0) / 2]
    if bearing.heights:
        return [min(max(0.0, ground - edges[0]), height) for ground in bearing.heights[-rows:]]
    if place.trim.member == "architrave":
        return [min(EDGE, height / 4), height - min(EDGE, height / 4)]
    if place.rails:
        return [(low + high) / 2 for low, high in place.rails]
    whole = place.trim.section.height or height
    whole = whole if SCRIBED * whole <= height <= whole else height
    if place.run.pitch and place.run.reach is not None:
        whole = min(whole, place.run.reach)
    return [height - whole * 3 / 4, height - whole / 4] if rows == 2 else [height - whole / 2]


def least_end(density: float, diameter: float) -> float:
    """Least end distance of a fixing in a predrilled trim, mm: the unloaded end of Table 8.2 in Eurocode 5."""
    return eurocode.spacings(density, diameter, predrilled=True).unloaded_end


def thinned(stations: list[float], most: float) -> list[float]:
    """Studs no nearer than need be: from each the farthest within ``most``, both ends kept."""
    kept = stations[:1]
    for here, following in pairwise([*stations, inf]):
        if following - kept[-1] > most + layout.SLACK and here != kept[-1]:
            kept.append(here)
    return kept


def along(
    place: Place,
    bearing: Bearing,
    start: float,
    end: float,
    most: float,
    row: Row,
    least: float,
    thin: bool,
    joints: Iterable[float] = (),
) -> list[float]:
    """Stations of one row: on the studs surveyed, on old plugs, else evenly with pairs at the ends and one at each
    joint."""
    ends = max(float(row["ends"]), least)
    if not place.run.upright:
        start, end = off_the_arris(place, bearing, start, end, ends)
    if bearing.stations and not place.run.upright:
        stations = layout.on_bearers(bearing.stations, start, end, least)
        return thinned(stations, most) if thin else stations
    if layout.on_bearers(bearing.plugs, start, end, ends):
        return layout.between_plugs(bearing.plugs, start, end, most, ends, least)
    return layout.evenly(start, end, most, ends, float(row["second"]), least, joints)


def off_the_arris(place: Place, bearing: Bearing, start: float, end: float, ends: float) -> tuple[float, float]:
    """The stretch of a run over which ``ends`` is kept, so that no fixing stands nearer to an external corner of brick
    or stone than its arris bears, on either side of the corner [mm]."""
    left, right = arrises(place.room, place.wall) if bearing.kind == "masonry" else (0.0, 0.0)
    length = place.wall.length.value if place.wall.length else end
    if start < AT_CORNER:
        start += max(0.0, left - ends)
    if end > length - AT_CORNER:
        end -= max(0.0, right - ends)
    return start, max(start, end)


def lay_out(
    place: Place, sheet: Sheet, bearing: Bearing, most: float, row: Row, least: float, thin: bool = False
) -> Layout | None:
    """The fixing points of a run with ``most`` mm between fixings; None for an upright whose height is not known.

    ``thin``: leave studs out where ``most`` allows it.
    """
    if place.holes and not place.splice:
        return in_old_holes(place, bearing, row)
    if place.run.upright:
        return up_the_leg(place, bearing, most, row, least)
    run = place.run
    plan = most * cos(radians(run.pitch))
    joints = joints_along(place, sheet)
    stations = along(place, bearing, run.start, run.end, plan, row, least, thin, joints)
    if not bearing.stations:
        stations = layout.over_joints(stations, joints)
    rows = rows_of(place, row)
    heights = offsets(place, bearing, row, rows)
    rows = max(1, len(heights)) if bearing.heights else rows
    underside = underside_along(place, sheet)
    points = []
    for number in range(rows):
        for station in stations:
            height = None if underside is None or not heights else underside(station) + heights[number]
            on = standing_on(place, bearing, station, number)
            points.append(FixingPoint(station, height, on, joint=layout.near_one(station, joints)))
    return Layout(
        stations=tuple(stations),
        start=run.start,
        end=run.end,
        points=tuple(points),
        rows=rows,
        slope=run.pitch,
        down=tuple(sorted(edges[1] - edges[0] - height for height in heights)) if (edges := band(place)) else (),
        joints=tuple(joints),
    )


def in_old_holes(place: Place, bearing: Bearing, row: Row) -> Layout:
    """An old piece put back: a fixing in each of its old holes, and where one no longer bites a new one straight over
    it, in the same stud. Common practice, no source."""
    run, upright = place.run, place.run.upright
    heights = offsets(place, bearing, row, 1)
    middle = None if run.underside is None or not heights else run.underside + heights[0]
    points = []
    for hole in place.holes:
        on = ON[bearing.kind] if hole.off else OLD_HOLE
        station = (run.start + run.end) / 2 if upright else hole.at
        height = hole.at + hole.off if upright else None if middle is None else middle + hole.off
        points.append(FixingPoint(station, height, on))
    low, high = (run.underside or 0.0, run.top or 0.0) if upright else (run.start, run.end)
    stations = tuple(hole.at for hole in place.holes)
    return Layout(stations=stations, start=low, end=high, points=tuple(points), rows=1, slope=run.pitch)


def standing_on(place: Place, bearing: Bearing, station: float, row: int) -> str:
    """What a point stands on, in a word; a stud that was not surveyed is still to be found."""
    if row == 0 and station in bearing.plugs and station in place.reused:
        return OLD_HOLE
    if station in place.face.plugs:
        return "old plug"
    if bearing.kind in FRAMED and not bearing.stations:
        return f"{ON[bearing.kind]} to be found"
    if bearing.kind == "lining" and row == 1:
        return "stud or ground"
    return ON[bearing.kind]


def up_the_leg(place: Place, bearing: Bearing, most: float, row: Row, least: float) -> Layout | None:
    """An upright, row by row across its width."""
    run = place.run
    if run.underside is None or run.top is None:
        return None
    across = across_the_leg(place, bearing, row)
    heights = along(place, bearing, run.underside, run.top, most, row, least, False)
    points = [
        FixingPoint(station, height, on if number or height not in place.reused else OLD_HOLE)
        for number, (station, on) in enumerate(across)
        for height in heights
    ]
    return Layout(
        stations=tuple(heights), start=run.underside, end=run.top, points=tuple(points), rows=len(across), slope=0.0
    )


def across_the_leg(place: Place, bearing: Bearing, row: Row) -> list[tuple[float, str]]:
    """Each row of an upright, by its station and what it stands on: of a panel one up its middle; of a lining one or
    two; of an architrave two, one to the lining on the side of the opening and one near the other edge."""
    run = place.run
    middle, on = (run.start + run.end) / 2, ON[bearing.kind]
    if tables.goes_through_openings(run.member):
        return [(middle, "stud" if on == "ground" else on)] * rows_of(place, row)
    if tables.goes_round_panels(run.member):
        return [(middle, on)]
    edge = min(EDGE, (run.end - run.start) / 4)
    near, far = run.start + edge, run.end - edge
    inner, outer = (far, near) if opens_after(place) else (near, far)
    return [(inner, "lining"), (outer, "stud or ground")]


def opens_after(place: Place) -> bool:
    """Whether the opening an architrave leg goes round lies beyond it, as stations run."""
    middle = (place.run.start + place.run.end) / 2
    nearest = place.site.wall(place.room.name, place.wall.name).opening_by(middle)
    return nearest is not None and middle < (nearest.at + nearest.end) / 2
