"""Openings listed from both rooms they join: which two are the sides of one hole in the wall."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Room, Wall
from listel.core.survey.units import show_length

RULES = load_rules(__package__)

Key = tuple[str, str, float, float | None]
JOINS = ("door", "archway", "window", "hatch")
"""Kinds of opening that one can look through from room to room."""
MIRRORED = {"": "", "left": "right", "right": "left", "head": "head"}
"""What a side of an opening is from the room behind it."""
SLACKS = (("width", 10.0), ("height", 25.0), ("thickness", 15.0))
"""How far the two sides of one hole may differ as taped [mm]: its clear width; its clear height, for the floors of two
rooms seldom lie level; the wall's thickness. Our own allowances."""


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
        what = self.opening.name or f"{self.opening.kind} at {show_length(self.opening.at, job.units)}"
        return f"{what} on wall {self.wall.name} of the {self.room.name}"


def joining(job: Job) -> list[Side]:
    """Every opening that may be seen from two rooms."""
    return [
        Side(room=room, wall=wall, opening=opening)
        for room in job.rooms
        for wall in room.walls
        for opening in wall.openings
        if opening.kind in JOINS
    ]


def openings_once(job: Job) -> Iterator[Opening]:
    """Every opening of the job, one that is listed from both its rooms once."""
    across, seen = two_sided(joining(job)), set[Key]()
    for room in job.rooms:
        for wall in room.walls:
            for opening in wall.openings:
                key = Side(room=room, wall=wall, opening=opening).key
                seen.add(key)
                other = across.get(key)
                if other is None or other.key not in seen:
                    yield opening


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
