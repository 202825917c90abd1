"""Corners where a member meets another section of its kind, or itself at another height: mitred, butted or
returned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from math import cos, radians, sin, tan

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.units import show_angle
from listel.plugins.closure import tolerance
from listel.plugins.setting_out.angles import joint_gap, unequal_mitre
from listel.plugins.setting_out.corners import SAME_HEIGHT, apart, height_at_corner, how_it_lies, plan_setting
from listel.plugins.setting_out.free_ends import SAME_PLACE, adjoining
from listel.plugins.setting_out.results import CornerCut, PieceEnd, Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.site import corner_pairs, tables

RULES = load_rules(__package__)

EndKey = tuple[str, str, bool]
"""Wall, trim, and whether at the left end of its piece there."""


@dataclass(frozen=True, kw_only=True)
class Side:
    """One of two runs that come to a corner: its height there, ``low`` to ``high`` above the floor of the room [mm];
    ``low`` None: not known."""

    run: Run
    trim: Trim
    wall: Wall
    at_start: bool
    low: float | None
    high: float

    @property
    def key(self) -> EndKey:
        """What names its end."""
        return self.wall.name, self.trim.name, self.at_start

    @property
    def out(self) -> float | None:
        """How far it stands out [mm]."""
        return self.trim.section.projection

    @property
    def _standing(self) -> tuple[float, float, float]:
        """What decides which of two runs on into a corner: the higher, then the deeper, then the one that stands out
        more, so that as much as can be of the end of the other lies on its face."""
        return round(self.high), -round(self.high if self.low is None else self.low), self.out or 0.0

    def runs_on(self, other: Side) -> bool:
        """Whether it runs on into the corner, and the other butts on its face; of two alike the left one."""
        return self._standing > other._standing or (self._standing == other._standing and not self.at_start)


@dataclass(frozen=True, kw_only=True)
class Unlike:
    """Two runs of one member that would stand in each other's way at a corner and are not alike there."""

    room: Room
    sides: tuple[Side, Side]

    @property
    def theta(self) -> float | None:
        """The corner through the room [deg]."""
        return self.sides[0].wall.turn

    @property
    def joint(self) -> str:
        """How they are joined: mitre where they are as high and no cut passes square, else butt at an internal corner
        and return at an external one; empty where corner or projection was not surveyed."""
        one, other = self.sides
        if self.theta is None or one.out is None or other.out is None:
            return ""
        alike = one.trim.section.height == other.trim.section.height and not apart(one.run, other.run)
        level = not one.run.pitch and not other.run.pitch
        if alike and level and max(unequal_mitre(one.out, other.out, self.theta)[:2]) < 90.0:
            return "mitre"
        return "butt" if self.theta < 180.0 else "return"

    @property
    def cut(self) -> tuple[Side, ...]:
        """Those of its sides that are cut to the other one: both of a mitre, the one that butts."""
        one, other = self.sides
        if self.joint == "mitre":
            return self.sides
        return ((other if one.runs_on(other) else one),) if self.joint == "butt" else ()

    def beyond(self, side: Side) -> Side:
        """The side that a side meets."""
        return self.sides[1] if side is self.sides[0] else self.sides[0]

    def end(self, side: Side) -> PieceEnd:
        """The end of a side that is cut: mitred to where the two faces cross, or butted on the other's face.

        Source: where two lines cross, derived.
        """
        theta, own, other = self.theta, side.out or 0.0, self.beyond(side)
        assert theta is not None
        face, turn, slope = other.out or 0.0, radians(theta), cos(radians(side.run.pitch))
        if self.joint == "mitre":
            plan, _, along, _ = unequal_mitre(own, face, theta)
            kind = f"{'internal' if theta < 180.0 else 'external'}-mitre"
            past, gives, note = 0.0, -along, f"an unequal mitre, to the {other.trim.name}"
        else:
            plan, kind = min(theta, 180.0 - theta), "butt"
            past, gives = -face / sin(turn) / slope, -own / tan(turn) / slope
            note = f"butts on the face of the {other.trim.name}; scribe it where that is moulded"
        cut, saw, bevel = plan_setting(side.trim, plan, side.run.pitch)
        if side.trim.section.spring or side.run.pitch:
            note = f"{note}; {how_it_lies(side.trim)}"
        return PieceEnd(kind=kind, cut_angle=cut, saw_reading=saw, bevel=bevel, gives=gives, past=past, note=note)


def unlike_corners(room: Room, runs: Lines[Run], trims: Mapping[str, Trim]) -> Iterator[Unlike]:
    """Every corner of a room where two runs of one member are in each other's way and are not one trim in one line."""
    for first, second, before, after in _meeting(room, runs):
        if (
            before.member != after.member
            or (before.pitch and after.pitch)
            or not tables.goes_along_walls(before.member)
        ):
            continue
        one = _side(before, trims[before.trim], first, at_start=False)
        other = _side(after, trims[after.trim], second, at_start=True)
        same = before.trim == after.trim and not apart(before, after)
        if not same and _in_the_way(one, other):
            yield Unlike(room=room, sides=(one, other))


def _meeting(room: Room, runs: Lines[Run]) -> Iterator[tuple[Wall, Wall, Run, Run]]:
    """Every two runs along the walls that come to one corner of a room, with the walls left and right of it."""
    for first, second in corner_pairs(room):
        lefts = [run for run in runs.of(room=room.name, wall=first.name) if run.end_at == "corner"]
        rights = [run for run in runs.of(room=room.name, wall=second.name) if run.start_at == "corner"]
        for before, after in product(lefts, rights):
            if not before.upright and not after.upright:
                yield first, second, before, after


def _side(run: Run, trim: Trim, wall: Wall, at_start: bool) -> Side:
    high = height_at_corner(run, at_start)
    depth = None if run.top is None or run.underside is None else run.top - run.underside
    low = None if depth is None else high - depth
    return Side(run=run, trim=trim, wall=wall, at_start=at_start, low=low, high=high)


def _in_the_way(one: Side, other: Side) -> bool:
    """Whether two sides share some height; of unknown height they do where their top edges are level, or not known."""
    if one.low is None or other.low is None:
        return not apart(one.run, other.run)
    return min(one.high, other.high) - max(one.low, other.low) > SAME_HEIGHT


def unlike_line(job: Job, unlike: Unlike, side: Side, doubted: bool) -> CornerCut:
    """The line of a corner for one of two trims that are cut to each other there."""
    first, second = (each.wall for each in unlike.sides)
    corner, other, end = first.corner, unlike.beyond(side), unlike.end(side)
    assert corner is not None and unlike.theta is not None
    own, face, plan = side.out or 0.0, other.out or 0.0, plan_angle(unlike, side)
    sigma, sigma_shown = tolerance(job, "bevel")
    most, most_shown, _ = allowed("joint-gap")
    gap = joint_gap(own, 2 * plan, sigma)
    inputs = (
        Input("corner angle", corner.angle or 0.0, "deg", job.line(corner, "angle")),
        Input("projection", own, "mm", job.line(side.trim.section, "projection")),
        Input(f"projection of the {other.trim.name}", face, "mm", job.line(other.trim.section, "projection")),
        sigma_shown,
        most_shown,
    )
    grounds = Grounds(
        inputs,
        "the mitre runs from the wall corner to where the two faces cross; gap: its line x the error of the corner"
        if unlike.joint == "mitre"
        else "the end lies along the face of the other; gap: its line x the error of the corner",
        f"{own:g} / sin {plan:.2f} = {own / sin(radians(plan)):.2f} mm of line",
        f"cut {end.cut_angle or 0.0:.2f} deg from the length, {end.saw_reading or 0.0:.2f} deg on the saw's scale",
        (GEOMETRY,),
        uncertainty=f"corner +/- {sigma:g} deg, joint gap {gap:.2f} mm",
    )
    return CornerCut(
        room=unlike.room.name,
        trim=side.trim.name,
        first=first.name,
        second=second.name,
        kind=corner.kind,
        angle=corner.angle,
        joint=unlike.joint,
        to=other.trim.name,
        cut_angle=end.cut_angle,
        saw_reading=end.saw_reading,
        bevel=end.bevel or None,
        gap=gap,
        measure_again=doubted or gap > most,
        grounds=grounds,
    )


def plan_angle(unlike: Unlike, side: Side) -> float:
    """The angle of a side's cut from its length as seen from above [deg]."""
    theta, other = unlike.theta, unlike.beyond(side)
    assert theta is not None
    if unlike.joint == "mitre":
        return unequal_mitre(side.out or 0.0, other.out or 0.0, theta)[0]
    return min(theta, 180.0 - theta)


def meeting_sections(job: Job, runs: Lines[Run]) -> list[Finding]:
    """Corners where two runs of one member meet that are not alike there, or stand apart: how each is cut."""
    trims = {trim.name: trim for trim in job.trim}
    found, told = [], set()
    for room in job.rooms:
        for unlike in unlike_corners(room, runs, trims):
            one, other = unlike.sides
            if one.trim is other.trim:
                told.add((room.name, one.wall.name, one.trim.name))
                found.append(_two_heights(job, room, one.wall, other.wall, one.trim, _how(job, unlike)))
            else:
                found.append(_two_sections(job, unlike))
        found += _end_to_end(job, room, runs, trims)
        for first, second, trim in _apart(room, runs, trims):
            if (room.name, first.name, trim.name) not in told:
                says = "its ends are set out each on its own, and do not meet."
                found.append(_two_heights(job, room, first, second, trim, says))
    return found


def _end_to_end(job: Job, room: Room, runs: Lines[Run], trims: Mapping[str, Trim]) -> Iterator[Finding]:
    """Two trims of one member that adjoin along a wall: which of them is returned."""
    for wall in room.walls:
        here = [run for run in runs.of(room=room.name, wall=wall.name) if tables.goes_along_walls(run.member)]
        for before in here:
            other = adjoining(job, trims[before.trim], room, wall, before.end, left=False)
            after = next((run for run in here if other and run.trim == other.name), None)
            if other is None or after is None or abs(after.start - before.end) > SAME_PLACE:
                continue
            ends = (before.trim, before.end_at), (after.trim, after.start_at)
            back = [name for name, kind in ends if kind == "return"]
            how = (
                f"the {' and the '.join(back)} {'are' if len(back) > 1 else 'is'} returned into itself there, mitred "
                "with a piece of the same board"
                if back
                else "they are cut square to each other"
            )
            butts = "".join(f", and the {name} butts on that" for name, kind in ends if back and kind == "butt")
            at = lengths(job)(before.end)
            says = f"On wall {wall.name} the {before.trim} meets the {after.trim} at {at}: {how}{butts}."
            where = Where(room.name, wall.name, before.trim, station=before.end, line=job.line(wall))
            yield RULES["two-sections-meet"].told("advice", says, where, Grounds(sources=(PRACTICE,)))


def _apart(room: Room, runs: Lines[Run], trims: Mapping[str, Trim]) -> Iterator[tuple[Wall, Wall, Trim]]:
    """Corners to which one trim comes at two heights."""
    for first, second, before, after in _meeting(room, runs):
        if before.trim == after.trim and apart(before, after):
            yield first, second, trims[before.trim]


def _two_heights(job: Job, room: Room, first: Wall, second: Wall, trim: Trim, how: str) -> Finding:
    says = (
        f"At corner {first.name}/{second.name} the {trim.name} stands at two heights, as on a landing and the floor "
        f"below it, or where it ends high beside a stair: {how}"
    )
    mend = (
        "if both walls are on the landing, give the one without the flight its raised: that floor above the room's; "
        "where the flight goes down from the room, give its own wall that lower floor, as raised: -2535"
    )
    where = Where(room.name, first.name, trim.name, line=job.line(first))
    return RULES["heights-differ"].told("advice", says, where, Grounds(sources=(PRACTICE,)), mend)


def _two_sections(job: Job, unlike: Unlike) -> Finding:
    """What to do where two sections meet at a corner."""
    one, other = unlike.sides
    where = Where(unlike.room.name, one.wall.name, one.trim.name, line=job.line(one.wall))
    says = (
        f"At corner {one.wall.name}/{other.wall.name} the {one.trim.name} meets the {other.trim.name}, "
        f"{'of one' if one.trim.section == other.trim.section else 'another'} section: {_how(job, unlike)}"
    )
    grounds = Grounds(sources=(PRACTICE,))
    if unlike.theta is not None and unlike.joint:
        inputs = [
            Input(
                f"projection of the {side.trim.name}", side.out or 0.0, "mm", job.line(side.trim.section, "projection")
            )
            for side in unlike.sides
        ]
        inputs.append(
            Input("corner through the room", unlike.theta, "deg", job.line(one.wall.corner or one.wall, "angle"))
        )
        cuts = " and ".join(f"{plan_angle(unlike, side):.2f}" for side in unlike.cut)
        grounds = Grounds(
            tuple(inputs),
            "mitred where they are as high: from the wall corner to where the two faces cross; else the higher runs on "
            "into an internal corner, and at an external one each is returned",
            result=f"{cuts} deg from its length" if cuts else "a return on each",
            sources=(GEOMETRY, PRACTICE),
        )
    return RULES["two-sections-meet"].told("advice", says, where, grounds)


def _how(job: Job, unlike: Unlike) -> str:
    """How the two sides are cut, in words."""
    if not unlike.joint:
        return "what they show to each other was not surveyed, so each is cut as if the other were not there."
    if unlike.joint == "return":
        return "they do not meet at one height, so each is returned into itself."
    if unlike.joint == "mitre":
        cuts = " and ".join(f"the {side.trim.name} at {_setting(unlike.end(side))}" for side in unlike.cut)
        return (
            f"they are as high, so both are mitred, {cuts}. The profiles meet only if their projections keep one ratio "
            "at every height."
        )
    (side,) = unlike.cut
    on = unlike.beyond(side)
    says = (
        f"the {_named(unlike, on)} runs on square into the corner, and the {_named(unlike, side)} butts on its face, "
        f"cut at {_setting(unlike.end(side))}."
    )
    if side.low is not None and on.low is not None and on.low - side.low > SAME_HEIGHT:
        lowest = lengths(job)(on.low - side.low)
        says += f" The lowest {lowest} of that meets nothing there: leave it long to the wall, and notch it."
    return says


def _setting(end: PieceEnd) -> str:
    """How an end is cut, in words."""
    tilt = f", the blade tilted {show_angle(end.bevel)}" if end.bevel else ""
    return f"{show_angle(end.cut_angle or 0.0)} from its length, {show_angle(end.saw_reading or 0.0)} on the saw{tilt}"


def _named(unlike: Unlike, side: Side) -> str:
    """A side's trim, with its wall where both are of one trim."""
    one, other = unlike.sides
    return f"{side.trim.name} of wall {side.wall.name}" if one.trim is other.trim else side.trim.name
