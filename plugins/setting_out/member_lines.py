"""Where a member's line goes on a wall: one level stretch, or level, rake and level on the wall of a flight.

Heights are above the room's floor; on the wall of a flight, above the floor at its foot.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from math import atan, cos, degrees, inf, radians, tan

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.existing import Existing, OldPiece, as_high_as_both
from listel.plugins.heights import RailHeights
from listel.plugins.proportions import Proportions
from listel.plugins.setting_out.settings import allowance
from listel.plugins.site import FlightSite, PitchLine, Site, tables

RULES = load_rules(__package__)

NEAR = 5.0
"""mm within which an old piece is taken to reach another, or a corner: two tape readings seldom agree."""
SAME_TOP = 0.5
"""Boards whose tops lie no farther apart [mm] carry one line."""
SAME_LINE = 1e-4
"""Difference of slope under which two stretches are one."""


@dataclass(frozen=True)
class Level:
    """A member's level line in a room: ``top`` above the floor and ``depth`` down from it [mm]; None where not
    known."""

    top: float | None
    depth: float | None
    shown: Input | None = None

    @property
    def underside(self) -> float | None:
        """Underside above the floor [mm]; None where not known."""
        return None if self.top is None or self.depth is None else self.top - self.depth


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """A straight stretch of a member's line: from station ``start`` to ``end``, its top edge at ``top`` above the
    floor at the start [mm], rising at ``pitch`` with the stations [deg]; ``depth`` is plumb [mm]. ``local``: its top
    edge above the floor or pitch line right under it [mm]. ``start_at``/``end_at``: what ends it. ``left_to``: what
    takes its place; empty: nothing."""

    start: float
    end: float
    top: float | None
    depth: float | None
    pitch: float = 0.0
    local: float | None = None
    start_at: str = "corner"
    end_at: str = "corner"
    left_to: str = ""

    def top_at(self, station: float) -> float | None:
        """The top edge above the floor at a station [mm]."""
        return None if self.top is None else self.top + (station - self.start) * tan(radians(self.pitch))

    def band(self, start: float, end: float) -> tuple[float, float] | None:
        """The heights the member takes between two stations, lowest and highest above what is under it [mm]; None if
        not known.

        On a rake the band is as much taller as the rake climbs over the thing's width. A level one comes no lower than
        the floor: what of its board would, is ripped off.
        """
        if self.local is None:
            return None
        slack = abs(tan(radians(self.pitch))) * (end - start) / 2
        low = self.local - (self.depth or 0.0) - slack
        return low if self.pitch else max(0.0, low), self.local + slack


def level_of(job: Job, sheet: Sheet, trim: Trim, room: Room) -> Level:
    """The level line of a trim in a room, from the heights and proportions on the sheet, else from the survey itself;
    that of a skirting is no higher than its board."""
    level = _level_asked(job, sheet, trim, room)
    if tables.is_skirting(trim.member) and level.depth is not None and (level.top or 0.0) > level.depth:
        return _board_high(job, trim, level.depth)
    return level


def _board_high(job: Job, trim: Trim, board: float) -> Level:
    shown = Input("top edge: the height of the board", board, "mm", job.line(trim.section, "height"))
    return Level(board, board, shown)


def _level_asked(job: Job, sheet: Sheet, trim: Trim, room: Room) -> Level:
    depth = trim.section.height
    for top, underside, rule in _placed(sheet, trim, room):
        if top is None and underside is not None and depth is not None:
            top = underside + depth
        if top is not None:
            if depth is None and underside is not None and not tables.member(trim.member).get("stands"):
                depth = top - underside
            return Level(top, depth, Input(f"top edge, {rule}", top, "mm"))
    asked, line = job.top_asked(trim, room.name)
    if asked:
        return Level(asked, depth, Input("top edge", asked, "mm", line))
    if depth is not None and (under := under_it(job, sheet, trim, room)):
        shown = Input(f"top edge: its own height and that of {under.name}", under.top + depth, "mm")
        return Level(under.top + depth, depth, shown)
    if tables.member(trim.member).get("stands") and depth is not None and not tables.goes_in_frames(trim.member):
        return _board_high(job, trim, depth)
    return Level(None, depth)


@dataclass(frozen=True)
class Under:
    """The board that a member sits on: its ``name`` in words, its ``top`` above the floor [mm], and the ``trim`` it is
    made as; None of old work that stays."""

    name: str
    top: float
    trim: Trim | None = None


def under_it(job: Job, sheet: Sheet, trim: Trim, room: Room) -> Under | None:
    """What a trim sits on along its places in a room: the boards that the job makes there, and old ones that stay; None
    where it sits on nothing, where the top of one is not known, or where they differ."""
    member = tables.sits_on(trim.member)
    if not member:
        return None
    mine = [(wall.name, start, inf if end is None else end) for _, wall, start, end in job.places(trim, room.name)]
    old = sheet.get(Existing) or Existing()
    stays = {wall: [piece for piece in old.stays_at(room.name, wall, member) if not piece.flight] for wall, *_ in mine}
    under = {
        piece.label: piece
        for wall, *span in mine
        for piece in stays[wall]
        if _laps(span, _span_of(piece)) and not as_high_as_both(job, trim, room.name, piece)
    }
    bare = [
        (wall, span)
        for wall, *span in mine
        if not any(start <= span[0] + NEAR and end >= span[1] - NEAR for start, end in map(_span_of, stays[wall]))
    ]
    found: list[tuple[str, float | None, Trim | None]] = [
        (f"the {one.name}", level_of(job, sheet, one, room).top, one)
        for one in job.trims_in(room.name)
        if one.member == member
        and any(
            there == wall.name and _laps(span, (start, inf if end is None else end))
            for _, wall, start, end in job.places(one, room.name)
            for there, span in bare
        )
    ]
    found += [(f"{piece.label}, which stays", stands_to(piece), None) for piece in under.values()]
    tops = [top for _, top, _ in found if top is not None]
    if not tops or len(tops) < len(found) or max(tops) - min(tops) > SAME_TOP:
        return None
    return Under(found[0][0], tops[0], found[0][2])


def stands_to(piece: OldPiece) -> float | None:
    """How high the top edge of an old board on the floor stands [mm]: as taped, else its own height."""
    return piece.height if piece.top is None else piece.top


def _span_of(piece: OldPiece) -> tuple[float, float]:
    """The stations that an old piece takes [mm]; to no end where that was not taped."""
    return piece.start, inf if piece.end is None else piece.end


def _laps(span: Sequence[float], other: Sequence[float]) -> bool:
    """Whether two stretches of a wall share more than two tapes may differ by."""
    return min(span[1], other[1]) - max(span[0], other[0]) > NEAR


def _placed(sheet: Sheet, trim: Trim, room: Room) -> Iterator[tuple[float | None, float | None, str]]:
    """What the earlier stages say of this trim in this room: top edge, underside, and by what rule."""
    rails, members = sheet.get(RailHeights), sheet.get(Proportions)
    for line in rails.lines_in(room.name) if rails else ():
        if line.trim == trim.name or (not line.trim and line.member == trim.member):
            yield line.top, line.underside, "as the rail heights give it"
    for each in members.lines_in(room.name) if members else ():
        if each.trim == trim.name or (not each.trim and each.member == trim.member):
            yield each.top, each.underside, each.chosen_rule or "as the proportions give it"


def stretches(
    job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall, start: float, end: float
) -> tuple[list[Stretch], list[Finding]]:
    """The straight stretches of a trim's line on a wall between two stations, and what is missing to draw them."""
    level = level_of(job, sheet, trim, room)
    length = wall.length.value if wall.length else end
    first = "corner" if start <= 0 else "stop"
    last = "corner" if end >= length - 0.5 else "stop"
    flight = sheet[Site].rooms[room.name].flight_on(wall.name)
    if flight is None and tables.climbs(trim.member):
        return [], [
            RULES["flight-not-surveyed"].lacking(
                f"the flight that the {trim.name} goes up along wall {wall.name} of the {room.name}",
                "how it rakes; none of it is set out on this wall until then",
                Where(room.name, wall.name, trim.name, line=job.line(wall)),
                "list the flight under stairs, or take this wall out of the places of the board",
            )
        ]
    if flight is None or not tables.member(trim.member).get("raking"):
        whole = Stretch(
            start=start,
            end=end,
            top=level.top,
            depth=level.depth,
            pitch=0.0,
            local=level.top,
            start_at=first,
            end_at=last,
        )
        row = tables.member(trim.member)
        return (_on_landing(whole, flight, wall) if row.get("stands") or row.get("on") else [whole]), []
    return _on_flight(job, sheet, trim, room, wall, (start, end), (first, last), level, flight)


def _on_landing(whole: Stretch, flight: FlightSite | None, wall: Wall) -> list[Stretch]:
    """A standing member's line on the wall of a flight: on the floor at its foot, and on the one at its head."""
    along, line = (flight.on(wall.name), flight.line(wall.name, whole.end)) if flight else (None, None)
    if along is None or line is None or not line.landing or whole.top is None:
        return [whole]
    head, climb = line.knots[-1]
    if not whole.start < head < whole.end:
        return [whole]
    high = whole.top + climb
    before, after = (whole.top, high) if along.up == "right" else (high, whole.top)
    return [
        replace(whole, end=head, top=before, end_at="string"),
        replace(whole, start=head, top=after, start_at="string"),
    ]


def _on_flight(
    job: Job,
    sheet: Sheet,
    trim: Trim,
    room: Room,
    wall: Wall,
    span: tuple[float, float],
    bounds: tuple[str, str],
    level: Level,
    flight: FlightSite,
) -> tuple[list[Stretch], list[Finding]]:
    """Level to the foot's knee, along the rake, at each winder as steep as that is, and level again from the head's
    knee."""
    where = Where(room.name, wall.name, trim.name, line=job.line(flight.flight))
    along = flight.on(wall.name)
    assert along is not None
    plumb, _ = stair_line(sheet, trim, room, flight, level)
    ahead = 1.0 if along.up == "right" else -1.0
    line = flight.line(wall.name, span[1] if ahead > 0 else span[0])
    if line is None:
        lacks = "rise and going" if along.foot is not None else "where the first riser stands"
        return [], [
            RULES["flight-not-surveyed"].lacking(
                f"{lacks} of {flight.flight.called}",
                "where the rail begins to rake; no rail is set out on this wall until then",
                where,
            )
        ]
    missing: list[Finding] = []
    if along.foot is not None and flight.climb is None:
        missing.append(
            RULES["flight-head-not-surveyed"].lacking(
                f"rise and number of steps of {flight.flight.called}",
                "where the raked rail turns level at its head; it is set out raking to the end of the wall",
                where,
            )
        )
    known = level.top is not None and plumb is not None
    offset = (level.top or 0.0) - (plumb or 0.0) if known else 0.0
    knots = _with_knees(line, offset, span if ahead > 0 else span[::-1])
    parts: list[Stretch] = []
    for (a, low), (b, high) in pairwise(knots if ahead > 0 else knots[::-1]):
        start, end = max(a, span[0]), min(b, span[1])
        if end - start < 0.5:
            continue
        slope = (high - low) / (b - a)
        pitch = degrees(atan(slope))
        parts.append(
            Stretch(
                start=start,
                end=end,
                top=(plumb or 0.0) + low + (start - a) * slope if known else None,
                depth=None if level.depth is None else level.depth / cos(radians(pitch)),
                pitch=pitch,
                local=plumb if pitch else level.top,
                start_at="knee",
                end_at="knee",
            )
        )
    parts = _bounded(parts, bounds)
    return _up_the_flight(parts, flight) if tables.climbs(trim.member) else parts, missing


def _up_the_flight(parts: list[Stretch], flight: FlightSite) -> list[Stretch]:
    """The stretches of a board that goes up its flight: where it would turn level the skirting takes its place, and
    they meet. Common practice, no source."""
    level = [not part.pitch for part in parts]
    left_to = f"level, beyond {flight.flight.called}: the skirting's place"
    return [
        replace(
            part,
            start_at="skirting" if any(level[max(0, number - 1) : number]) else part.start_at,
            end_at="skirting" if any(level[number + 1 : number + 2]) else part.end_at,
            left_to=left_to if level[number] else "",
        )
        for number, part in enumerate(parts)
    ]


def _with_knees(line: PitchLine, offset: float, ends: tuple[float, float]) -> list[tuple[float, float]]:
    """The knots of a line as high over the pitch line as the rake runs, in the order of climbing; where it meets the
    level ones, ``offset`` above the pitch line, it has its knees, and level stretches reach from them to both ``ends``
    [mm]. Source: where two lines cross, derived."""
    knots = list(line.knots)
    if line.floor:
        knee = _at_height(line.knots, line.knots[0][1] + offset)
        knots = [(ends[0], knee[1]), knee, *(knot for knot in knots if knot[1] > knee[1])]
    if line.landing:
        knee = _at_height(line.knots, line.knots[-1][1] + offset)
        knots = [*(knot for knot in knots if knot[1] < knee[1]), knee, (ends[1], knee[1])]
    return [each for number, each in enumerate(knots) if number in (0, len(knots) - 1) or _bends(knots, number)]


def _at_height(knots: Sequence[tuple[float, float]], height: float) -> tuple[float, float]:
    """The point of a climbing line at a height; beyond its ends it goes on as steep as there."""
    pairs = list(pairwise(knots))
    (near, low), (far, high) = next((pair for pair in pairs if height <= pair[1][1]), pairs[-1])
    return near + (far - near) * (height - low) / (high - low), height


def _bends(knots: list[tuple[float, float]], number: int) -> bool:
    """Whether a line bends at one of its knots; not where it rakes on and too little is left to be a piece."""
    (a, low), (at, height), (b, high) = knots[number - 1 : number + 2]
    if low < height < high and min(abs(at - a), abs(b - at)) < allowance("least-piece"):
        return False
    return abs((height - low) * (b - at) - (high - height) * (at - a)) > SAME_LINE * abs((b - at) * (at - a))


def stair_line(
    sheet: Sheet, trim: Trim, room: Room, flight: FlightSite, level: Level
) -> tuple[float | None, float | None]:
    """Top edge plumb above the pitch line [mm], and pitch [deg]: from the rail heights, else the handrail, else the
    level line; a board that stands is as high over the nosings as over the floor."""
    if tables.member(trim.member).get("stands"):
        return level.top, flight.pitch
    rails = sheet.get(RailHeights)
    for line in rails.stairs_in(room.name) if rails else ():
        if line.flight == flight.name and line.trim in ("", trim.name):
            return line.plumb if line.plumb is not None else level.top, line.pitch or flight.pitch
    handrail = flight.flight.handrail
    return handrail if handrail is not None else level.top, flight.pitch


def _bounded(parts: list[Stretch], bounds: tuple[str, str]) -> list[Stretch]:
    """The stretches with the wall's own ends put in place of knees at the first and last."""
    if parts:
        parts[0] = replace(parts[0], start_at=bounds[0])
        parts[-1] = replace(parts[-1], end_at=bounds[1])
    return parts


def line_grounds(job: Job, trim: Trim, room: Room, wall: Wall, level: Level) -> Grounds:
    """Grounds of a run: the wall's length and the member's height."""
    inputs = (
        [Input(f"length of wall {wall.name}", wall.length.value, "mm", job.line(wall, "length"))] if wall.length else []
    )
    if level.shown:
        inputs.append(level.shown)
    if trim.section.height is not None:
        inputs.append(Input("height of the section", trim.section.height, "mm", job.line(trim.section, "height")))
    return Grounds(
        tuple(inputs),
        "the wall from corner to corner, less the openings and fittings that stand in the member's height",
    )
