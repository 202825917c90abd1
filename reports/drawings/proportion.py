"""The proportion diagram: the wall as an author's order parts it, beside the members of this room."""

from __future__ import annotations

from listel.core.host.outcome import Outcome
from listel.core.survey.units import Units
from listel.plugins.heights import RailHeights
from listel.plugins.proportions import OrderShares, Proportions
from listel.reports.drawings.layout import column, figure, nothing, scale_for, scale_line
from listel.reports.drawings.paper import HEAVY, HIDDEN, MEDIUM, SMALL, THICK, THIN, WIDTH, Box, Drawing, Sheet, wrap

HIGHEST = 110.0
BAR = 14.0
_LEFT, _RIGHT = 52.0, 104.0


def proportion(outcome: Outcome, *, room: str, author: str = "", order: str = "") -> Drawing:
    """The order's parts and the room's members at one scale; the first order reckoned, where none is named."""
    proportions = outcome.sheet.get(Proportions)
    shares = next(
        (
            shares
            for shares in (proportions.orders if proportions else ())
            if shares.room == room and author in ("", shares.author) and order in ("", shares.order)
        ),
        None,
    )
    title = f"{room}, the wall against an order"
    if shares is None:
        return nothing(title, "No order was reckoned for this room.")
    title = f"{room}, the wall against the {shares.order.capitalize()} order after {shares.author.title()}"
    units = outcome.job.units
    scale = scale_for(shares.height, HIGHEST, units)
    paper = Sheet()
    _bars(paper, shares, scale)
    _order(paper, shares, scale, units)
    members = _members(outcome, room)
    labels = []
    for name, low, high in members:
        box = Box(_RIGHT, -high / scale, _RIGHT + BAR, -low / scale)
        paper.rectangle(box, MEDIUM, "white")
        labels.append((box.x1, (box.y0 + box.y1) / 2, f"{name}, {figure(low, units)} to {figure(high, units)}"))
        if box.y0 < -0.5:
            paper.line((_LEFT + BAR, box.y0), (_RIGHT, box.y0), HIDDEN)
    if labels:
        column(paper, _RIGHT + BAR + 6.0, labels, width=WIDTH - _RIGHT - BAR - 6.0)
    words = scale_line(paper, scale, units)
    parts = ", ".join(f"{name} {figure(size, units)}" for name, size in shares.parts)
    here = "; ".join(f"{name} {figure(low, units)} to {figure(high, units)}" for name, low, high in members)
    return paper.finish(title, f"{title}. The order from the floor: {parts}. In the room: {here or 'nothing'}.", words)


def _bars(paper: Sheet, shares: OrderShares, scale: float) -> None:
    top = -shares.height / scale
    for x, words in ((_LEFT, f"the {shares.order} order"), (_RIGHT, "this room")):
        paper.rectangle(Box(x, top, x + BAR, 0.0), THIN)
        for number, line in enumerate(reversed(wrap(words, 46.0, SMALL))):
            paper.words(x + BAR / 2, top - 2.5 - number * 4.0, line, SMALL, "middle")
    paper.line((_LEFT - 4.0, 0.0), (_RIGHT + BAR + 4.0, 0.0), HEAVY)
    paper.line((_LEFT - 4.0, top), (_RIGHT + BAR + 4.0, top), HEAVY)


def _order(paper: Sheet, shares: OrderShares, scale: float, units: Units) -> None:
    level = 0.0
    labels = []
    for name, size in shares.parts:
        box = Box(_LEFT, -(level + size) / scale, _LEFT + BAR, -level / scale)
        paper.rectangle(box, THICK)
        labels.append((box.x0, (box.y0 + box.y1) / 2, f"{name.replace('-', ' ')}, {figure(size, units)}"))
        level += size
    column(paper, _LEFT - 6.0, labels, anchor="end", width=_LEFT - 7.0)


def _members(outcome: Outcome, room: str) -> list[tuple[str, float, float]]:
    """Every member placed in the room, by name, underside and top."""
    found = []
    heights, proportions = outcome.sheet.get(RailHeights), outcome.sheet.get(Proportions)
    for rail in heights.lines_in(room) if heights else ():
        if rail.top is not None:
            found.append((rail.trim or rail.member.replace("-", " "), rail.underside or rail.top, rail.top))
    for line in proportions.lines_in(room) if proportions else ():
        if line.top is not None:
            low = line.underside if line.underside is not None else line.top
            found.append((line.trim or line.member.replace("-", " "), low, line.top))
    return sorted(dict.fromkeys(found), key=lambda member: (member[1], member[0]))
