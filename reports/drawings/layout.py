"""Lettering where it overlaps nothing: dimensions in rows, numbers beside things, labels in columns, the key."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from math import cos, inf, pi, sin
from typing import TypeVar

from listel.core.quick import dataclass
from listel.core.survey.units import INCH, Units, show_length
from listel.reports.drawings.paper import (
    LINE_SPACE,
    MEDIUM,
    SMALL,
    THIN,
    Box,
    Drawing,
    Pen,
    Point,
    Sheet,
    lettering_box,
    letters_width,
    shorten,
    wrap,
)

Item = TypeVar("Item")

ROW = 5.5
"""Distance between rows of dimensions, mm."""
FIRST_ROW = 7.0
"""From the object to the first row of dimensions, mm."""
_TICK = 0.9
_BALL = 2.3

_METRIC = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
"""Scales of ISO 5455:1979, cited from memory, and 1:25, which it leaves to those who need it."""
_INCHES = {
    1: "full size",
    2: "half size",
    4: "3 in to 1 ft",
    8: "1 1/2 in to 1 ft",
    12: "1 in to 1 ft",
    24: "1/2 in to 1 ft",
    48: "1/4 in to 1 ft",
    96: "1/8 in to 1 ft",
    192: "1/16 in to 1 ft",
    480: "1 in to 40 ft",
    1200: "1 in to 100 ft",
}
_INCHES_MORE = (4800, 12000)


def scale_for(length: float, paper: float, units: Units) -> int:
    """The largest usual scale (its n of 1:n) at which ``length`` mm fits on ``paper`` mm; if none fits, the least."""
    scales = _METRIC if units == "mm" else (*_INCHES, *_INCHES_MORE)
    return next((scale for scale in scales if length / scale <= paper), scales[-1])


def figure(mm: float, units: Units) -> str:
    """A length as drawings have it: its unit left out where it is mm."""
    return show_length(mm, units).removesuffix(" mm")


def scale_words(scale: float, units: Units) -> str:
    """The scale in words, as it holds when printed at full size."""
    ratio = "1:1, full size" if scale == 1 else f"1:{scale}"
    if units == "inches" and scale in _INCHES and scale > 2:
        return f"{ratio} ({_INCHES[int(scale)]})"
    return ratio


# ---------------------------------------------------------------- dimensions


@dataclass(frozen=True)
class Span:
    """One dimension: from ``start`` to ``end`` along its axis (paper mm), with its figure."""

    start: float
    end: float
    figure: str


def rows_of(spans: Sequence[Span], size: float = SMALL) -> list[tuple[int, Span]]:
    """Each span with its row, the short ones nearest the object; in no row do two overlap, their figures included."""
    rows: list[list[tuple[float, float]]] = []
    placed: list[tuple[int, Span]] = []
    for span in sorted(set(spans), key=lambda s: (round(abs(s.end - s.start), 3), s.start, s.figure)):
        middle, half = _figure(span, size)
        low = min(span.start, span.end, middle - half)
        high = max(span.start, span.end, middle + half)
        number = next((n for n, row in enumerate(rows) if _fits(row, low, high)), len(rows))
        if number == len(rows):
            rows.append([])
        insort(rows[number], (low, high))
        placed.append((number, span))
    return placed


def _fits(row: list[tuple[float, float]], low: float, high: float) -> bool:
    after = bisect_left(row, (low,))
    return (not after or low >= row[after - 1][1] - 0.01) and (after == len(row) or high <= row[after][0] + 0.01)


def _figure(span: Span, size: float) -> tuple[float, float]:
    """Where a dimension's figure is centred, and half the room it takes: beyond the far end where it is too wide."""
    half = letters_width(span.figure, size) / 2 + 0.6
    if 2 * half <= abs(span.end - span.start):
        return (span.start + span.end) / 2, half
    return (span.end + half + 0.8 if span.end >= span.start else span.end - half - 0.8), half


def dimensions(sheet: Sheet, spans: Sequence[Span], base: float, *, across: bool, away: int) -> float:
    """Draw dimensions in rows off the line ``base``: ``across`` the paper, else up it; ``away`` -1 or +1 is the side.

    Gives how far out the last row reaches.
    """

    def at(along: float, out: float) -> Point:
        return (along, out) if across else (out, along)

    reach: dict[float, float] = {}
    furthest = base
    for row, span in rows_of(spans):
        out = base + away * (FIRST_ROW + row * ROW)
        furthest = max(furthest, out, key=lambda value: abs(value - base))
        sheet.line(at(span.start, out), at(span.end, out), THIN)
        for end in (span.start, span.end):
            tick = (at(end - _TICK, out + _TICK), at(end + _TICK, out - _TICK))
            sheet.line(*tick, MEDIUM)
            reach[end] = max(reach.get(end, out), out, key=lambda value: abs(value - base))
        middle, half = _figure(span, SMALL)
        beyond = middle + half if middle > max(span.start, span.end) else middle - half
        if not min(span.start, span.end) <= middle <= max(span.start, span.end):
            sheet.line(at(span.end, out), at(beyond, out), THIN)
        sheet.words(*at(middle, out - 0.9), span.figure, SMALL, "middle", upright=not across)
    for end, out in reach.items():
        sheet.line(at(end, base + away * 1.0), at(end, out + away * 1.5), THIN)
    return furthest + away * 2.0


# ---------------------------------------------------------------- numbers and labels


_ROUND = [
    (ring, cos(-pi / 2 + 2 * pi * part / (8 + 2 * ring)), sin(-pi / 2 + 2 * pi * part / (8 + 2 * ring)))
    for ring in range(1, 24)
    for part in range(8 + 2 * ring)
]


def _rings(box: Box) -> Iterable[Point]:
    x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
    yield x, y
    half, rise = (box.x1 - box.x0) / 2, (box.y1 - box.y0) / 2
    for ring, across, down in _ROUND:
        yield x + (half + _BALL * ring) * across, y + (rise + _BALL * ring) * down


def number_beside(sheet: Sheet, number: int, box: Box) -> Box | None:
    """A number in a ring on a thing, or beside it with a leader where it is too small; None where there is no room."""
    words = str(number)
    radius = max(_BALL, letters_width(words, SMALL) / 2 + 0.5)
    place = _ring_place(sheet, radius, box)
    if place is None:
        return None
    x, y = place
    ring = _ring(x, y, radius)
    if not _within(ring, box):
        near = (min(max(x, box.x0), box.x1), min(max(y, box.y0), box.y1))
        gap = ((near[0] - x) ** 2 + (near[1] - y) ** 2) ** 0.5
        if gap > radius:
            edge = (x + (near[0] - x) * radius / gap, y + (near[1] - y) * radius / gap)
            sheet.line(edge, near, THIN)
    sheet.circle(x, y, radius, THIN, "white")
    sheet.words(x, y + 0.36 * SMALL, words, SMALL, "middle", ring=ring)
    return ring


def _ring_place(sheet: Sheet, radius: float, box: Box) -> Point | None:
    """The first place on a thing or round it that is free of lettering and other things, else of lettering."""
    over: Point | None = None
    for place in _rings(box):
        ring = _ring(*place, radius)
        if sheet.free(ring, objects=False):
            if _within(ring, box) or sheet.free(ring):
                return place
            over = over or place
    return over


def _ring(x: float, y: float, radius: float) -> Box:
    return Box(x - radius, y - radius, x + radius, y + radius)


def _within(ring: Box, box: Box) -> bool:
    return ring.x0 > box.x0 and ring.x1 < box.x1 and ring.y0 > box.y0 and ring.y1 < box.y1


def label_near(
    sheet: Sheet, words: str, places: Iterable[Point], anchor: str = "middle", size: float = SMALL, gap: float = 0.3
) -> bool:
    """A label at the first of the places (baselines) where it overlaps nothing; False where there is none."""
    for x, y in places:
        if sheet.free(lettering_box(x, y, words, size, anchor), gap):
            sheet.words(x, y, words, size, anchor)
            return True
    return False


def label_led(sheet: Sheet, words: str, named: Point, size: float = SMALL) -> bool:
    """A label near a point with a leader to it, where it overlaps nothing; False where there is no such place."""
    half, rise = letters_width(words, size) / 2, 0.36 * size
    for x, y in _rings(Box(named[0] - half, named[1] - 1.0, named[0] + half, named[1] + 1.0)):
        box = lettering_box(x, y + rise, words, size, "middle")
        end = (min(max(named[0], box.x0), box.x1), min(max(named[1], box.y0), box.y1))
        if sheet.free(box) and _clear_between(sheet, end, named):
            sheet.words(x, y + rise, words, size, "middle")
            sheet.line(end, named, THIN)
            return True
    return False


def _clear_between(sheet: Sheet, end: Point, named: Point) -> bool:
    """Whether a straight leader between two points crosses no lettering."""
    shares = (number / 8 for number in range(9))
    points = ((end[0] + (named[0] - end[0]) * share, end[1] + (named[1] - end[1]) * share) for share in shares)
    return all(sheet.free(Box(x, y, x, y), 0.0, objects=False) for x, y in points)


def spread(levels: Sequence[float], least: float) -> list[float]:
    """Positions as near to ``levels`` as they can be, in the same order, with at least ``least`` between neighbours.

    Neighbours that would overlap are pooled into a block centred on the mean of what they want.
    """
    order = sorted(range(len(levels)), key=lambda index: (levels[index], index))
    blocks: list[list[float]] = []  # each: [sum of (wanted - offset in block), count]
    for index in order:
        blocks.append([levels[index], 1])
        while len(blocks) > 1:
            above, below = blocks[-2], blocks[-1]
            if above[0] / above[1] + above[1] * least <= below[0] / below[1]:
                break
            blocks.pop()
            above[0] += below[0] - below[1] * above[1] * least
            above[1] += below[1]
    found = [0.0] * len(levels)
    taken = iter(order)
    for total, count in blocks:
        for place in range(int(count)):
            found[next(taken)] = total / count + place * least
    return found


def column(
    sheet: Sheet,
    x: float,
    labels: Sequence[tuple[float, float, str]],
    anchor: str = "start",
    width: float = 60.0,
    lowest: float = inf,
) -> None:
    """Labels one above another at ``x``, none under ``lowest``, each with a leader from the (x, y) it names.
    ``labels``: (x, y, words)."""
    levels = spread([level for _, level, _ in labels], SMALL * LINE_SPACE)
    for index in sorted(range(len(levels)), key=lambda index: -levels[index]):
        levels[index] = min(levels[index], lowest)
        lowest = levels[index] - SMALL * LINE_SPACE
    side = 1 if anchor == "start" else -1
    for (start, level, words), y in zip(labels, levels, strict=True):
        sheet.polyline([(start, level), (x - side * 3.0, y), (x - side * 0.8, y)], THIN)
        sheet.words(x, y + 0.36 * SMALL, shorten(words, width, SMALL), SMALL, anchor)


# ---------------------------------------------------------------- what stands under every drawing

Sample = Callable[[Sheet, Box], None]
"""Draws a sample of a line, hatch or mark in a box of the key."""
Entry = tuple[Sample | str, str]
"""An entry of the key: a sample or a number, and what it means."""
KEY_GAP = 3.0
"""From what is drawn to its key, mm."""


def line_sample(pen: Pen) -> Sample:
    """A sample of a line of that pen."""
    return lambda sheet, box: sheet.line((box.x0, (box.y0 + box.y1) / 2), (box.x1, (box.y0 + box.y1) / 2), pen)


def legend(sheet: Sheet, entries: Sequence[Entry], width: float) -> list[Box]:
    """The key, under what is drawn, in two columns: samples of lines and marks, and the numbered things. Gives the room
    that each takes."""
    area = sheet.bounds
    half = width / 2 - 2.0
    boxes = []
    for number, entries_of_one in enumerate(_columns(entries, width)):
        x, y = area.x0 + number * (half + 4.0), area.y1 + KEY_GAP
        for sign, words in entries_of_one:
            top = y
            if isinstance(sign, str):
                sheet.words(x + 8.0, y + 2.5, sign, SMALL, "end")
            else:
                sign(sheet, Box(x, y, x + 8.0, y + 3.0))
            for line in _told(words, width):
                sheet.words(x + 10.0, y + 2.5, line, SMALL)
                y += SMALL * LINE_SPACE
            boxes.append(Box(x, top, x + half, y))
    return boxes


def legend_height(entries: Sequence[Entry], width: float) -> float:
    """The height that :func:`legend` takes, the gap over it included, mm."""
    deepest = max((sum(len(_told(words, width)) for _, words in each) for each in _columns(entries, width)), default=0)
    return KEY_GAP + deepest * SMALL * LINE_SPACE if deepest else 0.0


def _columns(entries: Sequence[Entry], width: float) -> tuple[Sequence[Entry], Sequence[Entry]]:
    """The entries in two columns, the first no shorter than the second."""
    heights = [len(_told(words, width)) for _, words in entries]
    half = next((n for n in range(len(entries) + 1) if 2 * sum(heights[:n]) >= sum(heights)), 0)
    return entries[:half], entries[half:]


def _told(words: str, width: float) -> list[str]:
    return wrap(words, width / 2 - 12.0, SMALL) or [""]


def scale_line(sheet: Sheet, scale: float, units: Units) -> str:
    """The scale, the unit of the figures and a scale bar, under what is drawn. Gives the scale in words."""
    area = sheet.bounds
    words = scale_words(scale, units)
    bar, unit_length, divisions = _bar(scale, units)
    x, y = area.x0, area.y1 + 5.5
    lengths = "mm" if units == "mm" else "feet and inches"
    end = sheet.words(x, y, f"Scale {words}; lengths in {lengths}", SMALL).x1
    _scale_bar(sheet, end + 8.0, y, bar, unit_length, divisions, units)
    return words


def _bar(scale: float, units: Units) -> tuple[float, float, int]:
    """A scale bar 20 to 50 mm long: its division on paper, what that stands for, and how many there are."""
    ladder = (
        [k * 10.0**n for n in range(6) for k in (1, 2, 5)]
        if units == "mm"
        else [INCH * k for k in (0.5, 1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 2400, 6000, 12000)]
    )
    length = next((value for value in ladder if value / scale >= 9.5), ladder[-1])
    return length / scale, length, 3 if length / scale < 16 else 2


def _scale_bar(sheet: Sheet, x: float, y: float, step: float, length: float, divisions: int, units: Units) -> None:
    for number in range(divisions):
        fill = "black" if number % 2 == 0 else "white"
        sheet.rectangle(Box(x + number * step, y - 1.2, x + (number + 1) * step, y), THIN, fill)
    sheet.words(x - 1.0, y, "0", SMALL, "end")
    total = length * divisions
    words = f"{total / 1000:g} m" if units == "mm" and total >= 1000 else show_length(total, units)
    sheet.words(x + divisions * step + 1.0, y, words, SMALL)


def note(sheet: Sheet, words: str, width: float) -> None:
    """A note in plain lettering under what is drawn."""
    area = sheet.bounds
    for number, line in enumerate(wrap(words, width, SMALL)):
        sheet.words(area.x0, area.y1 + 4.0 + number * SMALL * LINE_SPACE, line, SMALL)


def nothing(title: str, why: str) -> Drawing:
    """A sheet that says why there is nothing to draw."""
    sheet = Sheet()
    for number, line in enumerate(wrap(why, 150, SMALL)):
        sheet.words(0, number * SMALL * LINE_SPACE, line)
    return sheet.finish(title, why)


def in_sheets(items: Sequence[Item], most: int, title: str, made: Callable[[Sequence[Item], str], Drawing]) -> Drawing:
    """A drawing of many items, ``most`` to a sheet; the sheets after the first follow it."""
    count = -(-len(items) // most)
    sheets = [
        made(
            items[number * most : (number + 1) * most],
            f"{title}, sheet {number + 1} of {count}" if count > 1 else title,
        )
        for number in range(count)
    ]
    return replace(sheets[0], further=tuple(sheets[1:]))
