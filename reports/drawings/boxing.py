"""The boxing of shutters from above, its leaves folded in it."""

from __future__ import annotations

from itertools import accumulate

from listel.core.host.outcome import Outcome
from listel.plugins.panelling import Panelling, Shutters
from listel.reports.drawings.layout import Span, column, dimensions, figure, scale_for, scale_line
from listel.reports.drawings.paper import HIDDEN, SMALL, THICK, Box, Drawing, Sheet, letters_width

HIGHEST = 90.0
"""Paper that the breadth of a boxing may take, mm."""


def boxing(outcome: Outcome, *, label: str) -> Drawing:
    """The boxing at the left of a window, inside, laid along its splay: the sash frame over it, the room under it, the
    window at its right. Each leaf hangs on the one before it and folds back behind it."""
    made = next(each for each in outcome.sheet[Panelling].shutters if each.label == label)
    units = outcome.job.units
    thick = outcome.job.trim_named(made.trim).leaves
    scale = scale_for(made.breadth, HIGHEST, units)
    paper, deep, broad = Sheet(), made.depth / scale, made.breadth / scale
    paper.rectangle(Box(0.0, 0.0, deep, broad), HIDDEN)
    told = []
    for number, (leaf, wide) in enumerate(zip(_folded(made, thick), made.widths, strict=True)):
        box = Box(*(size / scale for size in leaf))
        paper.rectangle(box, THICK, "white")
        size = f"leaf {number + 1}, {figure(wide, units)} by {figure(thick[number], units)}"
        told.append((box.x1, box.y0 + (number + 1) * (box.y1 - box.y0) / (len(thick) + 1), size))
    for y, words in ((-2.0, "sash frame"), (broad + 2.0 + SMALL, "face of the room")):
        paper.words(deep / 2, y, words, SMALL, "middle")
    column(paper, deep + 8.0, told)
    over = letters_width("face of the room", SMALL) / 2
    dimensions(paper, [Span(0.0, broad, figure(made.breadth, units))], min(0.0, deep / 2 - over), across=False, away=-1)
    dimensions(paper, [Span(0.0, deep, figure(made.depth, units))], broad + 3.0 + SMALL, across=True, away=1)
    title = f"{made.label}, {made.opening}: the left boxing from above, its leaves folded"
    alt = (
        f"{title}. {figure(made.breadth, units)} broad and {figure(made.depth, units)} deep inside. From the window: "
        f"{'; '.join(words for _, _, words in told)}."
    )
    return paper.finish(title, alt, scale_line(paper, scale, units))


def _folded(made: Shutters, thick: tuple[float, ...]) -> list[tuple[float, float, float, float]]:
    """Each leaf in its boxing, front one first, with the room it has beside it: its sides from the back of the boxing,
    its ends from the sash frame [mm]."""
    room = (made.depth - sum(thick)) / len(thick)
    sides = list(accumulate((size + room for size in thick), initial=room / 2))
    found, hung = [], 0.0
    for number, (wide, size) in enumerate(zip(made.widths, thick, strict=True)):
        ends = (hung - wide, hung) if number % 2 else (hung, hung + wide)
        found.append((made.depth - sides[number] - size, ends[0], made.depth - sides[number], ends[1]))
        hung = ends[0] if number % 2 else ends[1]
    return found
