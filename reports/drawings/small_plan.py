"""The plan of a room as small as a stamp: the walls by name, the stairs, and the way they follow."""

from __future__ import annotations

from listel.core.host.outcome import Outcome
from listel.plugins.closure import Closures
from listel.reports.drawings.paper import SMALL, Drawing, Sheet, lettering_box, letters_width
from listel.reports.drawings.plan import along, arrow, keep_off_walls, outward, sides_of, wall_line

SIZE = 22.0


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
    for wall, side in zip(the_room.walls, walls, strict=True):
        out, (x, y) = outward(side), along(side, 0.5)
        half = letters_width(wall.name, SMALL) / 2
        spots = [(d, s) for d in (2.4, -2.4, 4.5, -4.5, 7.0) for s in (0.5, 0.65, 0.35)]
        for distance, share in spots:
            x, y = along(side, share)
            at = (x + out[0] * (distance + half * (1 if distance > 0 else -1)), y + out[1] * distance + 0.36 * SMALL)
            box = lettering_box(*at, wall.name, SMALL, "middle", bold=True)
            if paper.free(box, 0.1):
                break
        else:
            continue
        paper.words(*at, wall.name, SMALL, "middle", bold=True)
    return paper.finish(
        f"{room}, plan", f"Plan of {room}: walls {', '.join(w.name for w in the_room.walls)}, clockwise."
    )
