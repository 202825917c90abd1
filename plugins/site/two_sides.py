"""Openings listed from both rooms they join: which two are the sides of one hole in the wall."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import partial
from math import radians, tan

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Room, Wall
from listel.core.survey.units import show_length
from listel.plugins.site.plan import corner_pairs

RULES = load_rules(__package__)

Key = tuple[str, str, float, float | None]
JOINS = ("door", "archway", "window", "hatch")
"""Kinds of opening that one can look through from room to room."""
MIRRORED = {"": "", "left": "right", "right": "left", "head": "head"}
"""What a side of an opening is from the room behind it."""
SLACKS = (("width", 10.0), ("height", 25.0), ("thickness", 15.0))
"""How far the two sides of one hole may differ as taped [mm]: its clear width; its clear height, for the floors of two
rooms seldom lie level; the wall's thickness. Our own allowances."""


STATION = 25.0
"""How far an opening may stand otherwise on the two faces of one square wall as taped [mm]: two lengths and two
stations are read, each to the edge of what stands there. Our own allowance."""
NOT_SURVEYED = {"thickness": 600.0, "skew": 3.0}
"""What is allowed for where the thickness of the wall [mm] or the bevel of a corner [degrees off square] was not
taken. Our own allowance."""


@dataclass(frozen=True, kw_only=True)
class Side:
    """An opening as one room sees it."""

    room: Room
    wall: Wall
    opening: Opening

    @property
    def key(self) -> Key:
        """What tells it from every other of the job."""
        return self.room.name, self.wall.name, self.opening.at, self.opening.sill

    @property
    def sizes(self) -> tuple[float | None, ...]:
        """Clear width, clear height, thickness of the wall [mm], as :data:`SLACKS` has them."""
        return self.opening.width, self.opening.height, self.wall.thickness

    def named(self, job: Job) -> str:
        """What it is called in a sentence."""
        return f"{opening_name(job, self.opening)} on wall {self.wall.name} of the {self.room.name}"


def opening_name(job: Job, opening: Opening) -> str:
    """What an opening is called: its name, else its kind and station."""
    return opening.name or f"{opening.kind} at {show_length(opening.at, job.units)}"


def joining(job: Job) -> list[Side]:
    """Every opening that may be seen from two rooms."""
    return [
        Side(room=room, wall=wall, opening=opening)
        for room in job.rooms
        for wall in room.walls
        for opening in wall.openings
        if opening.kind in JOINS
    ]


def openings_once(job: Job) -> Iterator[Side]:
    """Every opening of the job, one that is listed from both its rooms once."""
    across, seen = two_sided(joining(job)), set[Key]()
    for room in job.rooms:
        for wall in room.walls:
            for opening in wall.openings:
                side = Side(room=room, wall=wall, opening=opening)
                seen.add(side.key)
                other = across.get(side.key)
                if other is None or other.key not in seen:
                    yield side


def differ(one: Side, other: Side) -> list[tuple[str, float, float]]:
    """What of two sides lies further apart than one hole allows: its name and both sizes [mm]."""
    pairs = zip(SLACKS, one.sizes, other.sizes, strict=True)
    return [(name, a, b) for (name, slack), a, b in pairs if a is not None and b is not None and abs(a - b) > slack]


def could_be_one(one: Side, other: Side) -> bool:
    """Whether two openings may be one hole, by their kind and sizes, their walls, the storeys of their rooms and where
    each is said to lead. A window is taken to look out of doors unless both walls are said to be inside."""
    if one.room is other.room or one.opening.kind != other.opening.kind or differ(one, other):
        return False
    storeys = {side.room.storey for side in (one, other) if side.room.storey and not side.room.stairs}
    inside = [None, False] if one.opening.kind != "window" else [False]
    return (
        len(storeys) < 2
        and all(side.wall.external in inside for side in (one, other))
        and one.opening.leads_to in ("", other.room.name)
        and other.opening.leads_to in ("", one.room.name)
    )


def two_sided(sides: list[Side]) -> dict[Key, Side]:
    """The other side of each opening that is listed twice, by what the survey says of where they lead. Of several in
    the room it leads to it is the one of the same name, the one that leads back, the one of the same size; none where
    more than one is left."""
    of_room, into = defaultdict[str, list[Side]](list), defaultdict[str, list[Side]](list)
    for side in sides:
        of_room[side.room.name].append(side)
        into[side.opening.leads_to].append(side)
    partners = {}
    for side in sides:
        told, here = side.opening.leads_to, side.room.name
        found = [
            one
            for one in (of_room[told] if told else into[here])
            if one.room is not side.room
            and one.opening.kind == side.opening.kind
            and one.opening.leads_to in ("", here)
        ]
        named = [one for one in found if one.opening.name and one.opening.name == side.opening.name]
        found = named or found
        found = [one for one in found if told and one.opening.leads_to] or found
        found = [one for one in found if not differ(one, side)] or found
        if len(found) == 1:
            partners[side.key] = found[0]
    return {key: other for key, other in partners.items() if other.key in partners and partners[other.key].key == key}


def sides_that_differ(job: Job, across: Mapping[Key, Side]) -> Iterator[Finding]:
    """What the two sides of one hole read otherwise, once for each hole."""
    seen: set[Key] = set()
    for key, other in across.items():
        side = across[other.key]
        seen.add(key)
        apart = [] if other.key in seen else differ(side, other)
        if not apart:
            continue
        words = ", ".join(f"{name} {show_length(a, job.units)} and {show_length(b, job.units)}" for name, a, b in apart)
        inputs = [
            Input(f"{name} from the {one.room.name}", value, "mm", job.line(one.opening))
            for name, a, b in apart
            for one, value in ((side, a), (other, b))
        ]
        rule = RULES["sides-differ"]
        yield rule.told(
            "caution",
            f"The {side.named(job)} and the {other.named(job)} are the two sides of one opening, and do not agree: "
            f"{words}.",
            Where(side.room.name, side.wall.name, station=side.opening.at, line=job.line(side.opening)),
            Grounds(tuple(inputs), "one hole read from both rooms", sources=rule.sources),
            "tape both sides again; or, if they are two openings, say of each where it leads",
        )


def stations_that_differ(job: Job, across: Mapping[Key, Side]) -> Iterator[Finding]:
    """Openings whose two sides cannot stand behind each other, once for each, where the walls they stand in are taken
    for the two faces of one: as long as each other, from internal corner to internal corner."""
    seen: set[Key] = set()
    for key, other in across.items():
        seen.add(key)
        if other.key not in seen:
            yield from _stations(job, across[other.key], other)


def _stations(job: Job, one: Side, other: Side) -> Iterator[Finding]:
    """``one``: as the first of the two rooms sees it. Source: a station counts from the left, so what is left from the
    one room is right from the other; a skew end stands further along one face by the wall's thickness times the tangent
    of its angle off square (geometry)."""
    ends, others = _ends(one), _ends(other)
    if ends is None or others is None or not one.wall.length or not other.wall.length:
        return
    thick = one.wall.thickness or other.wall.thickness
    deep = NOT_SURVEYED["thickness"] if thick is None else thick
    skews = [max(pair) for pair in zip(ends, reversed(others), strict=True)]
    left, right = (STATION + deep * tan(radians(skew)) for skew in skews)
    length, behind = one.wall.length.value, other.wall.length.value
    if abs(length - behind) > left + right - STATION:
        return
    off_left = one.opening.at - (behind - other.opening.end)
    off_right = length - one.opening.end - other.opening.at
    if abs(off_left) <= left or abs(off_right) <= right:
        return
    show = partial(show_length, units=job.units)
    off = min(abs(off_left), abs(off_right))
    inputs = []
    for side, long in ((one, length), (other, behind)):
        on = f"wall {side.wall.name} of the {side.room.name}"
        inputs.append(Input(f"left edge on {on}", side.opening.at, "mm", job.line(side.opening, "at")))
        inputs.append(Input(f"length of {on}", long, "mm", job.line(side.wall, "length")))
    inputs.append(Input("thickness of the wall", deep, "mm", assumed=thick is None))
    inputs.append(Input("furthest off square at its left and right end", f"{skews[0]:g}, {skews[1]:g}", "deg"))
    rule = RULES["stations-differ"]
    yield rule.told(
        "caution",
        f"The {one.named(job)} stands from {show(one.opening.at)} to {show(one.opening.end)}, and from "
        f"{show(other.opening.at)} to {show(other.opening.end)} on wall {other.wall.name} of the {other.room.name}. If "
        f"these walls, {show(length)} and {show(behind)} long, are the two faces of one from corner to corner, the two "
        f"stand {show(off)} apart: behind the first the second would begin at "
        f"{show(behind - one.opening.at - other.opening.width)}.",
        Where(other.room.name, other.wall.name, station=other.opening.at, line=job.line(other.opening, "at")),
        Grounds(
            tuple(inputs),
            "the left edge from the one room against the length less the right edge from the other, at both ends; "
            "allowed: our own, and at each end the thickness times the tangent of how far it is off square",
            f"{one.opening.at:g} - ({behind:g} - {other.opening.end:g}) = {off_left:.0f}; "
            f"{length:g} - {one.opening.end:g} - {other.opening.at:g} = {off_right:.0f}",
            f"{off:.0f} mm apart; {left:.0f} mm and {right:.0f} mm allowed",
            rule.sources,
        ),
        "tape both again, each from the left end of its wall; where the rooms do not end at the same two walls, "
        "depart from this with that as the reason",
        off=off,
    )


def _ends(side: Side) -> tuple[float, float] | None:
    """How far off square the corners at the left and the right end of a wall are [degrees]; None where it does not run
    from internal corner to internal corner."""
    before = next((first for first, second in corner_pairs(side.room) if second is side.wall), None)
    corners = [wall.corner if wall else None for wall in (before, side.wall)]
    if side.wall.bow or not all(corner and corner.kind == "internal" for corner in corners):
        return None
    angles = [corner.angle if corner else None for corner in corners]
    left, right = (NOT_SURVEYED["skew"] if angle is None else abs(90 - angle) for angle in angles)
    return left, right
