"""The plan of a room as small as a stamp: the walls by name, the stairs, and the way they follow."""

from __future__ import annotations

from itertools import product
from math import atan2, copysign, cos, dist, inf, radians, sin

from listel.core.host.outcome import Outcome
from listel.plugins.closure import Closures
from listel.reports.drawings.paper import SMALL, Drawing, Point, Sheet, lettering_box, letters_width
from listel.reports.drawings.plan import Side, along, arrow, keep_off_walls, led, outward, sides_of, wall_line

SIZE = 22.0
MIDDLE = 0.36 * SMALL
"""How far under the middle of a letter it stands, mm."""
FAR = (4.5, 6.0, 8.0, 10.5, 13.0, 16.0, 20.0)
"""How far from its wall a name with a line to it may stand, mm."""
CLEARLY = 0.2
"""So much nearer to its own wall than to any other stands a name without a line to it, mm."""


def small_plan(outcome: Outcome, room: str, size: float = SIZE) -> Drawing | None:
    """The room's plan within a square of that size, mm; None where its shape is not known."""
    the_room = outcome.job.room(room)
    sides = sides_of(the_room, outcome.sheet.get(Closures))
    if sides is None:
        return None
    xs, ys = ([point[axis] for side in sides for point in side] for axis in (0, 1))
    scale = max(max(xs) - min(xs), max(ys) - min(ys), 1.0) / (size - 10.0)
    walls = [((a[0] / scale, -a[1] / scale), (b[0] / scale, -b[1] / scale)) for a, b in sides]
    paper = Sheet()
    for wall, side in zip(the_room.walls, walls, strict=True):
        wall_line(paper, wall, side)
    keep_off_walls(paper, walls)
    arrow(paper, walls[0])
    named = [
        (wall.name, walls[number], [*walls[:number], *walls[number + 1 :]])
        for number, wall in enumerate(the_room.walls)
    ]
    named.sort(key=lambda each: dist(*each[1]))
    for each in [each for each in named if not _beside(paper, *each)]:
        _led_to(paper, *each)
    return paper.finish(
        f"{room}, plan", f"Plan of {room}: walls {', '.join(w.name for w in the_room.walls)}, clockwise."
    )


def _beside(paper: Sheet, name: str, side: Side, others: list[Side]) -> bool:
    """Put the name of a wall beside it, where no other wall is nearer; whether there is room for it."""
    out, half = outward(side), letters_width(name, SMALL) / 2
    for distance, share in product((2.4, -2.4), (0.5, 0.65, 0.35, 0.8, 0.2)):
        x, y = along(side, share)
        x, y = x + out[0] * (distance + copysign(half, distance)), y + out[1] * distance
        nearest = min((_from_wall(each, (x, y)) for each in others), default=inf)
        if _from_wall(side, (x, y)) < nearest - CLEARLY and paper.free(
            lettering_box(x, y + MIDDLE, name, SMALL, "middle", bold=True), 0.1
        ):
            paper.words(x, y + MIDDLE, name, SMALL, "middle", bold=True)
            return True
    return False


def _led_to(paper: Sheet, name: str, side: Side, others: list[Side]) -> None:
    """Put the name of a wall further out, or into the room, with a line to its middle that crosses no other wall."""
    (x, y), out = along(side, 0.5), outward(side)
    way = atan2(out[1], out[0])
    turns = [radians(sign * turn + half) for half in (0, 180) for turn in (0, 20, 40, 60) for sign in (1, -1)]
    spots = [(x + far * cos(way + turn), y + far * sin(way + turn)) for far, turn in product(FAR, turns)]
    free = [(a, b + MIDDLE) for a, b in spots if not any(_cross(((x, y), (a, b)), each) for each in others)]
    led(paper, name, free, (x, y), 0.0, bold=True)


def _cross(one: Side, other: Side) -> bool:
    """Whether two lines cross."""

    def turns(side: Side, point: Point) -> float:
        (x0, y0), (x1, y1) = side
        return (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)

    return all(turns(a, b[0]) * turns(a, b[1]) < 0 for a, b in ((one, other), (other, one)))


def _from_wall(side: Side, point: Point) -> float:
    """How far a point is from a wall."""
    (x0, y0), (x1, y1) = side
    length = dist(*side) or 1.0
    share = ((point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)) / length**2
    return dist(point, along(side, min(max(share, 0.0), 1.0)))
