"""What stands in the way of a moulding on a wall, and the free stretches it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from listel.core.contract.findings import Finding, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import FlightWall, Job, Opening, Room, Trim, Wall
from listel.plugins.setting_out.member_lines import Stretch
from listel.plugins.setting_out.settings import allowance, lengths
from listel.plugins.site import RoomSite, Site, opening_name, tables

RULES = load_rules(__package__)

HIGHEST = float("inf")
SAME_WIDTH = 0.5
"""Widths of wall this close [mm] are taken as one."""
LEAST_BLOCK = 1e-6
BARE = {"fireplace": "hearth"}
"""What a moulding comes to at an opening that has no architrave, by the opening's kind."""


@dataclass(frozen=True, kw_only=True)
class Obstacle:
    """A rectangle of wall that a moulding cannot cross, clearances included [mm]. ``kind``: architrave, plinth-block,
    opening, hearth, fitting, string, stair, winders or old-work; ``by`` names it. ``way``: "stop" at it;
    "notch" round it and run on; run "behind" what is taken off; it "may-be-apron" or "may-come-off", or it runs "along"
    the moulding, which runs on until that is settled. ``plate``: an electrical one, which may be moved. ``clear``: what
    is kept clear of a fitting at each side, and over and under a plate; ``out``: how far it stands out from the wall
    [mm], None: not surveyed."""

    start: float
    end: float
    low: float
    high: float
    kind: str
    by: str
    way: str = "stop"
    plate: bool = False
    clear: float = 0.0
    out: float | None = None

    @property
    def close(self) -> bool:
        """Whether a moulding ends too close to a fitting to be returned there. Common practice, no source."""
        return self.kind == "fitting" and self.clear < allowance("return-room")

    @property
    def bound(self) -> str:
        """What bounds a moulding that stops at it."""
        return "close-fitting" if self.close else self.kind


@dataclass(frozen=True)
class Free:
    """A free stretch of wall, with what bounds it at each end."""

    start: float
    end: float
    start_at: str
    end_at: str


def architrave_on(job: Job, room: Room, wall: Wall, opening: Opening) -> tuple[float, Trim | None]:
    """Width of wall that the architrave which will be there takes at each side of an opening [mm], and the trim that
    gives it, if the job makes it.

    Where the job makes one, its width with its margin: that which the trim is given, else which the survey's width
    leaves, if that can be one, else the usual, as where the survey gives no more than the architrave itself. Where it
    makes none, the survey's width.
    """
    trim = made_for(job, "architrave", room, wall, opening)
    there = opening.architrave
    if there == 0 or opening.kind == "fireplace":
        trim = None
    if trim is None or trim.section.height is None:
        return there or 0.0, trim
    width, margin = trim.section.height, allowance("architrave-margin")
    if trim.margin is not None:
        return width + trim.margin, trim
    return there if there is not None and width + SAME_WIDTH < there <= width + 2 * margin else width + margin, trim


def made_for(job: Job, member: str, room: Room, wall: Wall, opening: Opening) -> Trim | None:
    """The first trim of a member whose places take in this opening; None where the job makes none."""

    def takes(trim: Trim) -> bool:
        return any(
            there is wall and start <= opening.at and (end is None or opening.end <= end)
            for _, there, start, end in job.places(trim, room.name)
        )

    return next((trim for trim in job.trims_in(room.name) if trim.member == member and takes(trim)), None)


def plinth_height(job: Job, room: Room, opening: Opening) -> float | None:
    """The height of the plinth blocks of an opening [mm]: as surveyed there, else that of the block made for the room;
    None where neither tells."""
    made = (trim.section.height for trim in job.trims_in(room.name) if trim.member == "plinth-block")
    return opening.plinth_block_height if opening.plinth_block_height is not None else next(made, None)


def obstacles(job: Job, site: Site, trim: Trim, room: Room, wall: Wall) -> tuple[list[Obstacle], list[Finding]]:
    """Everything on a wall that could stop this trim, and what was not surveyed about it."""
    found: list[Obstacle] = []
    missing: list[Finding] = []
    for opening in wall.openings:
        width = architrave_on(job, room, wall, opening)[0]
        block = opening.plinth_block if trim.member == "skirting" and opening.plinth_block else None
        side = block or width
        bare = BARE.get(opening.kind) or ("architrave" if width else "opening")
        kind = "plinth-block" if block else bare
        sill = opening.sill or 0.0
        low = sill - (_apron(job, room, wall, opening) or 0.0)
        high = HIGHEST if opening.height is None else sill + opening.height + width
        if opening.height is None and tables.member(trim.member).get("upper"):
            low = HIGHEST
            missing.append(
                RULES["opening-height"].lacking(
                    f"height of the {opening_name(job, opening)}",
                    f"whether the {trim.member} runs on over it; it is set out as if it did",
                    Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening)),
                )
            )
        whole = Obstacle(
            start=opening.at - side,
            end=opening.end + side,
            low=low,
            high=high,
            kind=kind,
            by=opening_name(job, opening),
        )
        found.append(whole)
        if opening.plinth_block and tables.sits_on(trim.member):
            wide, tall = opening.plinth_block, plinth_height(job, room, opening)
            high = HIGHEST if tall is None else tall
            at = opening.at - wide, opening.end + wide
            found.append(replace(whole, start=at[0], end=at[1], high=high, kind="plinth-block"))
        if sill and opening.kind == "window" and _apron(job, room, wall, opening) is None:
            usual = sill - (width or allowance("usual-apron"))
            found.append(replace(whole, low=usual, high=sill, way="may-be-apron"))
    table = load_table(__package__, "clearances")
    for fitting in wall.fittings:
        row = table.find(fitting.kind) or table.row("other")
        name = fitting.name or f"{fitting.kind} at {lengths(job)(fitting.at)}"
        if fitting.height is None:
            missing.append(
                RULES["fitting-height"].lacking(
                    f"height of the {name}",
                    "whether a moulding meets it",
                    Where(room.name, wall.name, station=fitting.at, line=job.line(fitting)),
                )
            )
            continue
        width = fitting.width if fitting.width is not None else row["width"]
        depth = fitting.depth if fitting.depth is not None else row["depth"]
        found.append(
            Obstacle(
                start=fitting.at - row["along"],
                end=fitting.at + width + row["along"],
                low=fitting.height - row["up"],
                high=fitting.height + depth + row["up"],
                kind="fitting",
                by=name,
                plate=bool(row.get("plate")),
                clear=row["along"],
                out=fitting.projection,
                way=_way(fitting.taken_off, row, width),
            )
        )
    return found + _stair(job, site.rooms[room.name], trim, wall), missing


def _way(taken_off: bool | None, row: Row, width: float) -> str:
    """What a moulding does at a fitting of that row, so wide along the wall [mm], of which it was surveyed whether it
    comes off."""
    if row.get("notch"):
        return "notch" if width <= allowance("notch-along") else "along"
    if taken_off is None:
        return "may-come-off" if row.get("comes-off") else "stop"
    return "behind" if taken_off else "stop"


def _apron(job: Job, room: Room, wall: Wall, opening: Opening) -> float | None:
    """How far an apron hangs below the sill of an opening [mm]: as surveyed, else that which the job makes; None where
    neither tells."""
    if opening.apron is not None:
        return opening.apron
    made = made_for(job, "apron", room, wall, opening)
    return made.section.height if made is not None else None


def _stair(job: Job, room: RoomSite, trim: Trim, wall: Wall) -> list[Obstacle]:
    """What a stair along a wall stops: a standing member by the wall string, or the board that goes up the flight and
    begins before its first riser; a raking one by winders whose risers are not known."""
    flight, member = room.flight_on(wall.name), tables.member(trim.member)
    at = flight.on(wall.name) if flight else None
    if flight is None or at is None:
        return []
    winders = [(at.winders.start, at.winders.end)] if at.winders else []
    if member.get("raking"):
        kind, word, spans = "winders", "winders", [] if wall.name in flight.windings else winders
    elif member.get("stands") or member.get("on"):
        kind, word, far = "string", "wall string", _far_end(wall, at)
        line = flight.line(wall.name, far)
        straight = [] if at.foot is None else [(at.foot, line.knots[-1][0] if line and line.landing else far)]
        boards = (one for one in job.trims_in(room.name) if tables.climbs(one.member))
        boarded = any(there is wall for board in boards for _, there, _, _ in job.places(board, room.name))
        before = [(line.knots[0][0], line.knots[1][0])] if boarded and line and line.floor else []
        spans = _together([*winders, *straight, *before])
    else:
        return []
    by = f"{word} of {flight.flight.called}"
    return [Obstacle(start=start, end=end, low=0.0, high=HIGHEST, kind=kind, by=by) for start, end in spans]


def _together(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches of wall in order, those that touch as one."""
    found: list[tuple[float, float]] = []
    for start, end in sorted((min(each), max(each)) for each in spans):
        if found and start <= found[-1][1]:
            start, end = found[-1][0], max(end, found.pop()[1])
        found.append((start, end))
    return found


def _far_end(wall: Wall, at: FlightWall) -> float:
    """The end of the wall that a flight climbs towards [mm]."""
    return (wall.length.value if wall.length else at.foot or 0.0) if at.up == "right" else 0.0


def under_stair(room: RoomSite, trim: Trim, wall: Wall, stretch: Stretch) -> list[Obstacle]:
    """Where a level member would run on under a flight: from where the nosings rise to its underside, towards the
    flight's head and beyond it."""
    flight, member = room.flight_on(wall.name), tables.member(trim.member)
    at = flight.on(wall.name) if flight else None
    line = flight.line(wall.name, _far_end(wall, at)) if flight and at else None
    if flight is None or at is None or line is None or stretch.local is None:
        return []
    under = stretch.local - (stretch.depth or 0.0)
    if member.get("raking") or member.get("stands") or member.get("on"):
        return []
    part = next((pair for pair in pairwise(line.knots) if pair[1][1] > under), None)
    if part is None:
        return []
    (near, low), (far, high) = part
    meets = near + (far - near) * max(0.0, under - low) / (high - low)
    first = line.knots[1][0] if at.foot is None else at.foot
    start, end = sorted(((max if at.up == "right" else min)(first, meets), _far_end(wall, at)))
    by = f"{flight.flight.called}, under which it does not run on"
    return [Obstacle(start=start, end=end, low=0.0, high=HIGHEST, kind="stair", by=by)] if end > start else []


def blocks(obstacle: Obstacle, stretch: Stretch, member: str) -> bool:
    """Whether an obstacle stands in the height of a stretch of moulding.

    Where the member's height is not known, what stands on the floor stops the lower members, and nothing stops the
    upper. Old work of its own stops it whatever its height. Panelling stands down to the floor; what is fitted to the
    wall is set into it.
    """
    if obstacle.kind.startswith("old-"):
        return True
    band = stretch.band(obstacle.start, obstacle.end)
    if band is not None and tables.goes_in_frames(member) and obstacle.kind != "fitting":
        band = (0.0, band[1])
    if band is None:
        return not tables.member(member).get("upper") and obstacle.low <= 0.0 and obstacle.kind != "fitting"
    return obstacle.low < band[1] and obstacle.high > band[0]


def cut_through(obstacle: Obstacle, stretch: Stretch) -> Obstacle:
    """What a moulding is notched round, as a stop where no more than a sliver of its height would be left there; an
    electrical plate as a hole close round it, where enough of a level one is left under and over that."""
    band = stretch.band(obstacle.start, obstacle.end)
    if obstacle.plate and band is not None and not stretch.pitch:
        return _holed(obstacle, band)
    if obstacle.way != "notch" or band is None:
        return obstacle
    left = max(0.0, obstacle.low - band[0]) + max(0.0, band[1] - obstacle.high)
    return replace(obstacle, way="stop") if left < allowance("notch-left") else obstacle


def _holed(plate: Obstacle, band: tuple[float, float]) -> Obstacle:
    spare, least = plate.clear - allowance("plate-hole"), allowance("notch-left")
    low, high = plate.low + spare, plate.high - spare
    if low - band[0] < least or band[1] - high < least:
        return plate
    return replace(plate, start=plate.start + spare, end=plate.end - spare, low=low, high=high, way="notch")


def uncovered(things: list[Obstacle]) -> list[Obstacle]:
    """What stands in the way, but what a wider part of the same thing covers, as a plinth block does the architrave."""
    return [
        each
        for each in things
        if not any(
            other.by == each.by
            and other.start <= each.start
            and other.end >= each.end
            and other.end - other.start > each.end - each.start
            for other in things
        )
    ]


def free_stretches(stretch: Stretch, in_the_way: list[Obstacle]) -> list[Free]:
    """The stretches that the obstacles leave free, in order; touching and overlapping obstacles are taken as one.

    The free stretches and the blocked ones together make up the whole stretch.
    """
    free: list[Free] = []
    at, kind = stretch.start, stretch.start_at
    for each in sorted(in_the_way, key=lambda obstacle: (obstacle.start, obstacle.end)):
        start, end = max(each.start, stretch.start), min(each.end, stretch.end)
        if end - start < LEAST_BLOCK:
            continue
        if start > at + LEAST_BLOCK:
            free.append(Free(at, start, kind, each.bound))
        if end > at:
            at, kind = end, each.bound
    if stretch.end > at + LEAST_BLOCK:
        free.append(Free(at, stretch.end, kind, stretch.end_at))
    return free
