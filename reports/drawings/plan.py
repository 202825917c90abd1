"""The plan of one room at its true angles: walls, corners, openings, the order of fixing and which ends are coped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from math import atan2, copysign, cos, hypot, pi, radians, sin

from listel.core.host.outcome import Outcome
from listel.core.survey.job import Fitting, Photo, Room, Wall, Winders
from listel.core.survey.units import Units, show_angle, show_length
from listel.plugins.closure import Closures
from listel.plugins.setting_out import Piece, SettingOut
from listel.plugins.site import FlightSite
from listel.reports.drawings import photo_marks
from listel.reports.drawings.layout import Entry, legend, note, nothing, scale_for, scale_line
from listel.reports.drawings.paper import (
    HEAVY,
    HIDDEN,
    NO_LINE,
    SMALL,
    THIN,
    WIDTH,
    Box,
    Drawing,
    Point,
    Sheet,
    lettering_box,
    letters_width,
)
from listel.reports.drawings.walls import drawn_length, site_of_outcome

Side = tuple[Point, Point]
"""A wall in plan, from its left end to its right."""
FLAT = 0.9
"""Least that a thing fitted to a wall stands out on paper, mm."""
STAIR = 9.0
"""Greatest width of a stair on paper, mm."""
MARGIN = 44.0
"""Paper kept round the room for names and lengths, mm."""


def plan(outcome: Outcome, *, room: str, trim: str = "") -> Drawing:
    """The room seen from above. ``trim``: whose order of fixing is shown; the one in most pieces, if not said."""
    the_room = outcome.job.room(room)
    title = f"{room}, plan"
    setting_out = outcome.sheet.get(SettingOut)
    sides = sides_of(the_room, outcome.sheet.get(Closures))
    if sides is None:
        return nothing(title, "The room is not drawn in plan: its lengths and corner angles were not all surveyed.")
    units = outcome.job.units
    scale, walls = fitted(sides, units)
    paper = Sheet()
    for wall, side in zip(the_room.walls, walls, strict=True):
        wall_line(paper, wall, side)
    keep_off_walls(paper, walls)
    arrow(paper, walls[0])
    flights = site_of_outcome(outcome).rooms[room].flights.values()
    stairs = [stair(paper, walls, the_room, flight, scale) for flight in flights]
    pieces = _pieces(the_room, setting_out, trim)
    samples: list[Entry] = [(arrow_sample, "the first wall, and the way the others follow: from left to right")]
    for piece in pieces:
        _piece_line(paper, the_room, walls, piece, scale)
    for wall, side in zip(the_room.walls, walls, strict=True):
        length = drawn_length(wall)
        words = f"{wall.name}  {show_length(length, units).removesuffix(' mm')}" if length else wall.name
        beside_wall(paper, side, words)
    named = setting_out.numbers if setting_out else {}
    for piece in pieces:
        _piece_number(paper, the_room, walls, piece, named.get(piece.label, ""))
    closed = len(walls) > 2
    for number, wall in enumerate(the_room.walls):
        if wall.corner and wall.corner.angle is not None and (closed or number + 1 < len(walls)):
            after = the_room.walls[(number + 1) % len(walls)].name
            words = f"{wall.name}/{after} {show_angle(wall.corner.angle)}"
            in_corner(paper, walls[number], walls[(number + 1) % len(walls)], words)
    photographs = list(photo_marks.taken_of(outcome.job, room))
    for number, photo in photographs:
        _photograph(paper, the_room, walls, number, photo)
    if photographs:
        samples.append((photo_marks.sample, photo_marks.SAID))
    if pieces:
        samples.append((_order_sample, f"pieces of the {pieces[0].trim}, by number"))
    samples += stair_samples(stairs)
    if any(end.kind == "cope" for piece in pieces for end in (piece.left, piece.right)):
        samples.append((_cope_sample, "the end that is coped"))
    legend(paper, samples, WIDTH)
    said = _squareness(the_room)
    if said:
        note(paper, said, WIDTH)
    scale_said = scale_line(paper, scale, units)
    names = ", ".join(f"{w.name} {show_length(drawn_length(w) or 0, units)}" for w in the_room.walls)
    order = "; ".join(f"{named.get(p.label, p.label)} on {p.wall}" for p in pieces)
    alt = f"Plan of {room} at its true angles. Walls from left to right as one faces them: {names}. {said}" + (
        f" Order of fixing: {order}." if order else ""
    )
    return paper.finish(title, alt, scale_said)


def fitted(sides: Sequence[Side], units: Units) -> tuple[int, list[Side]]:
    """The largest usual scale at which the walls fit the paper, and the walls on it, y down."""
    xs, ys = ([point[axis] for side in sides for point in side] for axis in (0, 1))
    scale = max(scale_for(max(reach) - min(reach), WIDTH - MARGIN, units) for reach in (xs, ys))
    return scale, [((a[0] / scale, -a[1] / scale), (b[0] / scale, -b[1] / scale)) for a, b in sides]


def keep_off_walls(paper: Sheet, walls: Sequence[Side]) -> None:
    """Reserve the walls, so that no lettering lies over them."""
    for side in walls:
        for station in range(0, 101, 4):
            x, y = along(side, station / 100)
            paper.reserve(Box(x - 0.4, y - 0.4, x + 0.4, y + 0.4))


def sides_of(room: Room, closures: Closures | None) -> list[Side] | None:
    """Each wall's ends in plan: from the closure where it has them, else walked by length and angle."""
    closure = closures.of(room.name) if closures else None
    if closure and len(closure.points) == len(room.walls) > 2:
        points = closure.points
        return list(zip(points, (*points[1:], points[0]), strict=True))
    at, heading_angle, sides = (0.0, 0.0), 0.0, []
    for number, wall in enumerate(room.walls):
        length = drawn_length(wall)
        if not length:
            return None
        end = (at[0] + length * cos(heading_angle), at[1] + length * sin(heading_angle))
        sides.append((at, end))
        if number + 1 < len(room.walls):
            turn = wall.corner.through_room if wall.corner else None
            if turn is None:
                return None
            heading_angle -= radians(180.0 - turn)
        at = end
    return sides or None


def along(side: Side, share: float) -> Point:
    """The point of a wall that far along it, 0 its left end, 1 its right."""
    (x0, y0), (x1, y1) = side
    return (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)


def outward(side: Side) -> Point:
    """Unit vector out of the room: to the left of the walk, as the paper has it."""
    (x0, y0), (x1, y1) = side
    length = hypot(x1 - x0, y1 - y0) or 1.0
    return ((y1 - y0) / length, (x0 - x1) / length)


def wall_line(paper: Sheet, wall: Wall, side: Side) -> None:
    """The wall as a heavy line with its openings left out of it."""
    length = drawn_length(wall) or 1.0
    out = outward(side)
    at = 0.0
    for opening in sorted(wall.openings, key=lambda o: o.at):
        start, end = min(max(opening.at, at), length), min(opening.end, length)
        if start > at:
            paper.line(along(side, at / length), along(side, start / length), HEAVY)
        at = max(end, at)
        a, b = along(side, start / length), along(side, at / length)
        paper.lines([(a, (a[0] + out[0] * 2, a[1] + out[1] * 2)), (b, (b[0] + out[0] * 2, b[1] + out[1] * 2))], THIN)
        for depth in (0.7, 1.3) if opening.kind == "window" else (2.0,):
            paper.line(
                (a[0] + out[0] * depth, a[1] + out[1] * depth), (b[0] + out[0] * depth, b[1] + out[1] * depth), THIN
            )
    if at < length:
        paper.line(along(side, at / length), side[1], HEAVY)


def arrow(paper: Sheet, side: Side) -> None:
    """Outside the first wall, from its left end: the way stations and walls run."""
    out, (x, y) = outward(side), side[0]
    way = (-out[1], out[0])

    def at(along: float, off: float) -> Point:
        return (x + way[0] * along + out[0] * off, y + way[1] * along + out[1] * off)

    paper.lines([(at(0.0, 1.8), at(0.0, 4.2)), (at(0.0, 3.0), at(7.0, 3.0))], THIN)
    paper.polygon([at(9.0, 3.0), at(7.0, 2.2), at(7.0, 3.8)], NO_LINE, "black")
    (x0, y0), (x1, y1) = at(0.0, 1.8), at(9.0, 4.2)
    paper.reserve(Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))


def beside_wall(paper: Sheet, side: Side, words: str) -> Box | None:
    """The wall's name and length, outside it where there is room; gives the room they take."""
    out = outward(side)
    half = letters_width(words, SMALL) / 2
    places = []
    for distance in (3.0, 4.5, -3.0, -4.5, -6.0, -9.0, 6.5, 9.0, -13.0, -18.0, 12.0, 16.0, 21.0, 27.0, -24.0, -31.0):
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.15, 0.85, 0.0, 1.0):
            x, y = along(side, share)
            places.append(
                (
                    x + out[0] * (distance + copysign(half, distance)),
                    y + out[1] * (distance + copysign(SMALL / 2, distance)) + 0.36 * SMALL,
                )
            )
    return led(paper, words, places, along(side, 0.5), 6.0)


def in_corner(paper: Sheet, first: Side, second: Side, words: str) -> Box | None:
    """The corner's angle, inside the room; gives the room it takes."""
    x, y = first[1]
    out_a, out_b = outward(first), outward(second)
    inward = (-(out_a[0] + out_b[0]), -(out_a[1] + out_b[1]))
    size = hypot(*inward) or 1.0
    inward = (inward[0] / size, inward[1] / size)
    angle = atan2(inward[1], inward[0])
    places = []
    for distance in (6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0):
        for turn in (0.0, pi / 9, -pi / 9, pi / 5, -pi / 5, pi / 3.5, -pi / 3.5):
            places.append((x + distance * cos(angle + turn), y + distance * sin(angle + turn) + 0.36 * SMALL))
    return led(paper, words, places, (x, y), 8.0)


def led(paper: Sheet, words: str, places: list[Point], named: Point, far: float, *, bold: bool = False) -> Box | None:
    """A label at the first free place; a leader, clear of other lettering, to what it names where that is ``far``.
    Gives the room it takes, None where there is none."""
    for x, y in places:
        box = lettering_box(x, y, words, SMALL, "middle", bold=bold)
        near = (min(max(named[0], box.x0), box.x1), min(max(named[1], box.y0), box.y1))
        away = hypot(near[0] - named[0], near[1] - named[1]) > far
        if not paper.free(box) or (away and not _clear(paper, near, named)):
            continue
        paper.words(x, y, words, SMALL, "middle", bold=bold)
        if away:
            paper.line(near, named, THIN)
            paper.keep_off(near, named)
        return box
    return None


def _clear(paper: Sheet, start: Point, end: Point) -> bool:
    points = [along((start, end), share / 12) for share in range(1, 12)]
    return all(paper.free(Box(x, y, x, y), objects=False) for x, y in points)


def _pieces(room: Room, setting_out: SettingOut | None, trim: str) -> list[Piece]:
    mine = [p for p in setting_out.pieces_on(room.name) if not p.upright] if setting_out else []
    count = Counter(piece.trim for piece in mine)
    wanted = trim or max(count, key=lambda name: count[name], default="")
    return sorted((p for p in mine if p.trim == wanted), key=lambda p: p.order)


def _inside(room: Room, walls: list[Side], name: str) -> tuple[Callable[[float, float], Point], Point] | None:
    """For the wall of that name: the place at a station so far into the room, and the way out of the room; None where
    the room has no such wall."""
    number = next((n for n, wall in enumerate(room.walls) if wall.name == name), None)
    if number is None:
        return None
    side, length = walls[number], drawn_length(room.walls[number]) or 1.0
    out = outward(side)

    def inside(station: float, depth: float) -> Point:
        x, y = along(side, station / length)
        return (x - out[0] * depth, y - out[1] * depth)

    return inside, out


def _piece_line(paper: Sheet, room: Room, walls: list[Side], piece: Piece, scale: float) -> None:
    """A piece as a line beside its wall, the ends that are coped marked."""
    found = _inside(room, walls, piece.wall)
    if found is None:
        return
    inside, out = found
    way = (-out[1], out[0])
    gap = min(0.8, (piece.end - piece.start) / scale / 6) * scale
    ends = (inside(piece.start + gap, 1.6), inside(piece.end - gap, 1.6))
    paper.line(*ends, THIN)
    paper.keep_off(*ends)
    for end, (x, y), sign in ((piece.left, ends[0], 1), (piece.right, ends[1], -1)):
        if end.kind == "cope":
            tip = (x + way[0] * sign * 2.4, y + way[1] * sign * 2.4)
            paper.polygon(
                [(x, y), (tip[0] + out[0], tip[1] + out[1]), (tip[0] - out[0], tip[1] - out[1])], NO_LINE, "black"
            )
            paper.reserve(Box(min(x, tip[0]) - 1, min(y, tip[1]) - 1, max(x, tip[0]) + 1, max(y, tip[1]) + 1))


def _piece_number(paper: Sheet, room: Room, walls: list[Side], piece: Piece, words: str) -> None:
    """The number of a piece, in a ring beside it."""
    found = _inside(room, walls, piece.wall)
    if found is None:
        return
    inside, _ = found
    radius = max(2.1, letters_width(words, SMALL) / 2 + 0.4)
    for depth in (4.2, 5.0, 6.0, 7.5, 9.6, 12.5, 16.0):
        for share in (0.5, 0.42, 0.58, 0.34, 0.66, 0.25, 0.75, 0.15, 0.85):
            x, y = inside(piece.start + (piece.end - piece.start) * share, depth)
            ring = Box(x - radius, y - radius, x + radius, y + radius)
            if paper.free(ring):
                paper.circle(x, y, radius, THIN)
                paper.words(x, y + 0.36 * SMALL, words, SMALL, "middle", ring=ring)
                return


def _photograph(paper: Sheet, room: Room, walls: list[Side], number: int, photo: Photo) -> None:
    """Where a photograph was taken: its number before the station that its taker faced."""
    found = _inside(room, walls, photo.wall)
    if found is not None and photo.at is not None:
        photo_marks.mark(
            paper, number, [at for depth in (7.0, 12.0) for at in photo_marks.near(found[0](photo.at, depth))]
        )


def stair(paper: Sheet, walls: list[Side], room: Room, flight: FlightSite, scale: float) -> tuple[bool, bool]:
    """The nosings of a flight along each of its walls, as far as the newel of its winders, else to a width of the
    drawing's own, and which way it climbs: whether any were drawn, and whether a stretch was drawn of winders whose
    risers are not known."""
    drawn, unknown = False, False
    for along_wall in flight.flight.walls:
        found = _inside(room, walls, along_wall.wall)
        length = drawn_length(room.wall(along_wall.wall)) if found else None
        if found is None or not length:
            continue
        inside, _ = found
        winders, way = along_wall.winders, 1.0 if along_wall.up == "right" else -1.0
        deep = winders.newel.out / scale if winders and winders.newel else min(STAIR, 900 / scale)
        nosings = [at for at, _ in flight.nosings(along_wall.wall, length) if 0 <= at <= length]
        wound = dict(flight.wound(along_wall.wall))
        straight = [at for at in nosings if at not in wound]
        paper.lines([(inside(at, 0.0), inside(at, deep)) for at in straight], THIN)
        if winders and wound:
            turn = winders.newel.at if winders.newel else nearest_to(winders, straight)
            paper.lines([(inside(at, 0.0), inside(turn, deep)) for at in wound], THIN)
        elif winders:
            box = ((winders.start, 0.0), (winders.start, deep), (winders.end, deep), (winders.end, 0.0))
            paper.polyline([inside(*corner) for corner in box], HIDDEN)
            unknown = True
        if len(straight) > 1:
            tail, tip = inside(straight[0], deep / 2), inside(straight[-1], deep / 2)
            paper.line(tail, tip, THIN)
            arrow_head = (inside(straight[-1] - way * 1.8 * scale, deep / 2 + off) for off in (0.8, -0.8))
            paper.polygon([tip, *arrow_head], NO_LINE, "black")
        reach = [*nosings, *((winders.start, winders.end) if winders else ())]
        corners = [inside(at, depth) for at in (min(reach), max(reach)) for depth in (0.4, deep)] if reach else []
        if corners:
            paper.reserve(Box(*(pick(point[axis] for point in corners) for pick in (min, max) for axis in (0, 1))))
        drawn = drawn or bool(nosings)
    return drawn, unknown


def stair_samples(stairs: Sequence[tuple[bool, bool]]) -> list[Entry]:
    """The key to what was drawn of the stairs."""
    samples: list[Entry] = []
    if any(drawn for drawn, _ in stairs):
        samples.append((_stair_sample, "a stair's nosings, as they stand on the wall; the arrow goes up"))
    if any(unknown for _, unknown in stairs):
        samples.append((_winders_sample, "winders, their risers not surveyed"))
    return samples


def fitting(paper: Sheet, room: Room, walls: list[Side], wall: Wall, item: Fitting, scale: float) -> Box | None:
    """What is fitted to a wall, as wide as it is and as far out, with its name; gives the room it takes."""
    found = _inside(room, walls, wall.name)
    if found is None:
        return None
    inside, out = found
    deep, end = max(FLAT, (item.projection or 0.0) / scale), item.at + (item.width or 0.0)
    points = [inside(*at) for at in ((item.at, 0.0), (item.at, deep), (end, deep), (end, 0.0))]
    paper.polyline(points, THIN)
    box = Box(*(pick(point[axis] for point in points) for pick in (min, max) for axis in (0, 1)))
    words, middle = item.name or item.kind.replace("-", " "), (item.at + end) / 2
    half = letters_width(words, SMALL) / 2 * abs(out[0])
    places = (
        [inside(middle, deep / 2)] if letters_width(words, SMALL) < (end - item.at) / scale and deep > SMALL else []
    )
    places += [inside(middle, deep + half + more) for more in (3.0, 4.5, 6.0, 9.0, 12.0, 16.0, 20.0)]
    led(paper, words, [(x, y + 0.36 * SMALL) for x, y in places], inside(middle, deep), 5.0)
    paper.reserve(box)
    return box


def nearest_to(winders: Winders, straight: Sequence[float]) -> float:
    """The end of a stretch of winders that is nearer to the straight steps, else its left end [mm]."""
    ends = winders.start, winders.end
    return min(ends, key=lambda end: min((abs(end - at) for at in straight), default=end))


def _winders_sample(sheet: Sheet, box: Box) -> None:
    y = (box.y0 + box.y1) / 2
    sheet.polyline([(box.x0 + 1, y - 1.4), (box.x0 + 1, y + 1.4), (box.x0 + 6, y + 1.4), (box.x0 + 6, y - 1.4)], HIDDEN)


def _stair_sample(sheet: Sheet, box: Box) -> None:
    y = (box.y0 + box.y1) / 2
    sheet.lines([((x, y - 1.4), (x, y + 1.4)) for x in (box.x0 + 1, box.x0 + 3, box.x0 + 5)], THIN)
    sheet.line((box.x0 + 1, y), (box.x0 + 6, y), THIN)
    sheet.polygon([(box.x0 + 7, y), (box.x0 + 5.5, y - 0.7), (box.x0 + 5.5, y + 0.7)], NO_LINE, "black")


def _order_sample(sheet: Sheet, box: Box) -> None:
    x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
    sheet.circle(x, y, 1.6, THIN)


def arrow_sample(sheet: Sheet, box: Box) -> None:
    """The arrow in the key."""
    y = (box.y0 + box.y1) / 2
    sheet.line((box.x0, y), (box.x1 - 2.0, y), THIN)
    sheet.polygon([(box.x1, y), (box.x1 - 2.0, y - 0.8), (box.x1 - 2.0, y + 0.8)], NO_LINE, "black")


def _cope_sample(sheet: Sheet, box: Box) -> None:
    y = (box.y0 + box.y1) / 2
    sheet.polygon([(box.x0 + 3, y), (box.x0 + 5.4, y - 1), (box.x0 + 5.4, y + 1)], NO_LINE, "black")


def _squareness(room: Room) -> str:
    """How far each surveyed corner is from square, in one sentence."""
    off = []
    for number, wall in enumerate(room.walls):
        corner = wall.corner
        if corner is None or corner.angle is None or abs(corner.angle - 90) >= 20 or abs(corner.angle - 90) < 0.05:
            continue
        after = room.walls[(number + 1) % len(room.walls)].name
        off.append(f"{wall.name}/{after} {abs(corner.angle - 90):.1f}° {'open' if corner.angle > 90 else 'tight'}")
    return f"Out of square: {', '.join(off)}." if off else ""
