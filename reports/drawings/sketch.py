"""What is drawn on a form before anything is known: squares to sketch on, and which way to go round a room."""

from __future__ import annotations

from listel.reports.drawings.paper import HAIR, SMALL, THICK, THIN, Box, Drawing, Sheet

SQUARE = 5.0
"""One square of the grid, mm."""
ARM = 0.4
"""Half a cross at the corner of a square, mm: it guides the pencil and does not hide it."""


def grid(wide: float, tall: float, what: str) -> Drawing:
    """Squares of 5 mm to sketch on, a small cross at each corner."""
    paper = Sheet()
    across, down = int(wide // SQUARE), int(tall // SQUARE)
    width, height = across * SQUARE, down * SQUARE
    for x, y in ((x * SQUARE, y * SQUARE) for x in range(1, across) for y in range(1, down)):
        paper.lines([((x - ARM, y), (x + ARM, y)), ((x, y - ARM), (x, y + ARM))], HAIR)
    paper.rectangle(Box(0.0, 0.0, width, height), THIN)
    return paper.finish(what, f"{what}: squares of 5 mm to sketch on.")


def way_round() -> Drawing:
    """A room from above: you stand in it, and the walls follow from left to right, each from its left end."""
    paper = Sheet()
    paper.rectangle(Box(0.0, 0.0, 44.0, 20.0), THICK)
    for start, end, barb in (
        ((4.0, 3.0), (40.0, 3.0), (-1.5, 1.0)),
        ((41.0, 5.0), (41.0, 15.0), (-1.0, -1.5)),
        ((40.0, 17.0), (4.0, 17.0), (1.5, -1.0)),
        ((3.0, 15.0), (3.0, 5.0), (1.0, 1.5)),
    ):
        paper.line(start, end, THIN)
        paper.line(end, (end[0] + barb[0], end[1] + barb[1]), THIN)
        other = (barb[0], -barb[1]) if start[1] == end[1] else (-barb[0], barb[1])
        paper.line(end, (end[0] + other[0], end[1] + other[1]), THIN)
    for x, y, wall in ((22.0, -1.5, "A"), (47.5, 11.0, "B"), (22.0, 24.0, "C"), (-3.5, 11.0, "D")):
        paper.words(x, y, wall, SMALL, "middle", bold=True)
    paper.words(4.0, 6.5, "0", SMALL, "middle")
    paper.words(22.0, 11.0, "you, facing A", SMALL, "middle")
    says = "From above: you stand in the room. Wall A is before you, B to its right, then C and D, clockwise."
    return paper.finish("The way round a room", f"{says} Stations run from the left end of each wall.")
