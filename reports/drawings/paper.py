"""A sheet of drawing paper in mm, written as SVG: pens, lettering, and the room each piece of lettering takes up.

Lines follow ISO 128-2:2020 in weight and type. Lettering is at least 2 mm high (the height of a capital, as
ISO 3098-1:2015 counts it); both standards are cited from memory. The sheet grows with what is drawn on it, so a
drawing may use any origin it likes.
"""

from __future__ import annotations

import re
import unicodedata
from base64 import b64encode
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from html import escape
from itertools import chain
from math import ceil
from typing import NamedTuple

from listel.core.quick import dataclass
from listel.core.survey.messages import KeyPath

Point = tuple[float, float]

WIDTH = 170.0
"""Width between the margins that fits A4 and Letter alike, mm."""

SVG = "http://www.w3.org/2000/svg"
"""The name of the SVG language; not an address anything asks for."""

CAPITAL = 0.716
"""Height of a capital over the size of the letter, in the plainest sans-serif faces."""
SMALL = 2.0 / CAPITAL
"""Letter size whose capitals stand 2 mm: the smallest on any drawing."""
PLAIN = 2.5 / CAPITAL
"""Letter size whose capitals stand 2.5 mm."""
LINE_SPACE = 1.4
"""Distance between lines of lettering over the letter size."""
_ASCENT, _DESCENT = 0.85, 0.25
_FONT = "Liberation Sans, Arial, Helvetica, sans-serif"


class Pen(NamedTuple):
    """A line: its ``width`` in mm and its ``kind``: continuous, dashed or long-dashed-dotted."""

    width: float
    kind: str = "continuous"

    @property
    def dashes(self) -> str:
        """Its dashes and gaps in mm, which ISO 128-2 counts in line widths."""
        counts = {"continuous": (), "dashed": (12, 3), "long-dashed-dotted": (24, 3, 0.5, 3)}[self.kind]
        return " ".join(_number(count * self.width) for count in counts)


HAIR = Pen(0.13)
THIN = Pen(0.25)
MEDIUM = Pen(0.35)
THICK = Pen(0.5)
HEAVY = Pen(0.7)
HIDDEN = Pen(0.18, "dashed")
CENTRE = Pen(0.18, "long-dashed-dotted")


class Box(NamedTuple):
    """A rectangle on the paper, mm; y runs down."""

    x0: float
    y0: float
    x1: float
    y1: float


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """A finished drawing: its SVG, its meaning in words, its scale in words ("" for a diagram) and its size in mm.

    ``further`` holds the sheets that follow where one would be longer than a page; ``shows`` which fact of the survey
    is drawn where: its path, from the room where it is of one.
    """

    svg: str
    alt: str
    title: str
    scale: str
    width: float
    height: float
    further: tuple[Drawing, ...] = ()
    shows: tuple[tuple[KeyPath, Box], ...] = ()


@lru_cache(16384)
def letters_width(words: str, size: float, *, bold: bool = False) -> float:
    """Width of lettering in mm, never less than the common sans-serif faces take."""
    return sum(map(_letter, words)) * size * (1.08 if bold else 1.0)


@lru_cache(4096)
def _letter(letter: str) -> float:
    if letter in " .,:;'|!ijlI()[]/-":
        return 0.42
    if letter in "mwMW@%&":
        return 1.0
    if letter.isascii():
        return 0.78 if letter.isupper() else 0.65
    if unicodedata.combining(letter):
        return 0.0
    return 1.4 if unicodedata.east_asian_width(letter) in "WF" else 1.0


def shorten(words: str, width: float, size: float) -> str:
    """The words, cut short with "…" where they would be wider than ``width``."""
    words = " ".join(words.split())
    if letters_width(words, size) <= width:
        return words
    room = width - letters_width("…", size)
    kept = []
    for letter in words:
        room -= _letter(letter) * size
        if room < 0:
            break
        kept.append(letter)
    return "".join(kept).rstrip() + "…"


def wrap(words: str, width: float, size: float) -> list[str]:
    """The words in lines no wider than ``width``; a word too long for a line is cut short."""
    lines: list[str] = []
    for word in words.split():
        word = shorten(word, width, size)
        if lines and letters_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


CELL = 6.0
"""Width and height of a cell, mm."""
MOST_CELLS = 100
"""Cells that one rectangle is noted in; of a wider one, none."""


class Taken:
    """Rectangles on the paper, in the order they came, each noted in the cells of a grid that it reaches."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self._wide: list[Box] = []
        self._cells: defaultdict[tuple[int, int], list[Box]] = defaultdict(list)

    def add(self, box: Box) -> None:
        """Take one more."""
        self.boxes.append(box)
        if (box.x1 - box.x0 + CELL) * (box.y1 - box.y0 + CELL) > MOST_CELLS * CELL * CELL:
            self._wide.append(box)
            return
        for cell in _cells(*box):
            self._cells[cell].append(box)

    def meets(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether any of them lies in this room, by more than its edge. What lies in its middle is looked at first."""
        middle = (int((x0 + x1) / 2 // CELL), int((y0 + y1) / 2 // CELL))
        for near in (self._wide, self._cells.get(middle, ())):
            for left, top, right, bottom in near:
                if left < x1 and x0 < right and top < y1 and y0 < bottom:
                    return True
        for cell in _cells(x0, y0, x1, y1):
            if cell in self._cells:
                for left, top, right, bottom in self._cells[cell]:
                    if left < x1 and x0 < right and top < y1 and y0 < bottom:
                        return True
        return False


def _cells(x0: float, y0: float, x1: float, y1: float) -> list[tuple[int, int]]:
    rows = range(int(y0 // CELL), int(y1 // CELL) + 1)
    return [(column, row) for column in range(int(x0 // CELL), int(x1 // CELL) + 1) for row in rows]


class Sheet:
    """A sheet to draw on. Whatever is put on it may lie anywhere; :meth:`finish` trims the paper to it and writes it
    down, for many a sheet is only a trial."""

    def __init__(self) -> None:
        self._parts: list[Callable[[], str]] = []
        self.lettering, self.objects = Taken(), Taken()
        self.margins: list[Box] = []
        """Strips kept for lettering that is to come."""
        self._shows: list[tuple[KeyPath, Box]] = []
        self._x: list[float] = []
        self._y: list[float] = []

    @property
    def bounds(self) -> Box:
        """The paper used so far."""
        return Box(min(self._x), min(self._y), max(self._x), max(self._y)) if self._x else Box(0, 0, 0, 0)

    def line(self, start: Point, end: Point, pen: Pen) -> None:
        """A straight line."""
        self.lines([(start, end)], pen)

    def lines(self, pairs: Iterable[tuple[Point, Point]], pen: Pen) -> None:
        """Many straight lines of one pen."""
        pairs = list(pairs)
        if pairs:
            self._reach(*chain.from_iterable(pairs))
            self._path(lambda: "".join([f"M{_through(pair)}" for pair in pairs]), pen, "none")

    def polygon(self, points: Sequence[Point], pen: Pen, fill: str = "none") -> None:
        """A closed outline."""
        self._reach(*points)
        self._path(lambda: f"M{_through(points)}Z", pen, fill)

    def polyline(self, points: Sequence[Point], pen: Pen) -> None:
        """An open line through points."""
        self._reach(*points)
        self._path(lambda: f"M{_through(points)}", pen, "none")

    def rectangle(self, box: Box, pen: Pen, fill: str = "none") -> None:
        """A rectangle with its sides along the paper's."""
        self.polygon([(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)], pen, fill)

    def curve(self, data: str, points: Iterable[Point], pen: Pen, fill: str = "none") -> None:
        """An SVG path in paper mm; ``points`` that it passes through or near, so that the paper reaches them."""
        self._reach(*points)
        self._path(lambda: data, pen, fill)

    def circle(self, x: float, y: float, radius: float, pen: Pen, fill: str = "none") -> None:
        """A circle."""
        self._reach((x - radius, y - radius), (x + radius, y + radius))
        style = f'fill="{fill}" stroke="black" stroke-width="{pen.width}"'
        self._parts.append(lambda: f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" {style}/>')

    def picture(self, box: Box, jpeg: bytes) -> None:
        """A photograph, as JPEG, in that room."""
        place = f'x="{_number(box.x0)}" y="{_number(box.y0)}"'
        self._reach(box[:2], box[2:])
        size = f'width="{_number(box.x1 - box.x0)}" height="{_number(box.y1 - box.y0)}"'
        data = f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"
        self._parts.append(lambda: f'<image {place} {size} href="{data}"/>')

    def hatch(self, box: Box, spacing: float = 2.0, pen: Pen = HAIR) -> None:
        """Lines at 45 degrees over a rectangle; the lines of rectangles that overlap fall on one another."""
        step = spacing * 2**0.5
        pairs: list[tuple[Point, Point]] = []
        for number in range(ceil((box.x0 + box.y0) / step), ceil((box.x1 + box.y1) / step)):
            total = number * step
            low, high = max(box.x0, total - box.y1), min(box.x1, total - box.y0)
            if high > low:
                pairs.append(((low, total - low), (high, total - high)))
        self.lines(pairs, pen)

    def reserve(self, box: Box) -> None:
        """Keep labels off a thing that is drawn there, where they can be."""
        self.objects.add(box)

    def shows(self, path: KeyPath, *boxes: Box) -> None:
        """Note which fact of the survey is drawn there."""
        self._shows += [(path, box) for box in boxes]

    def keep_off(self, start: Point, end: Point, size: float = 2.0) -> None:
        """Keep labels off a line that is drawn there, where they can be."""
        (x0, y0), (x1, y1) = start, end
        count = max(ceil(min(abs(x1 - x0), abs(y1 - y0)) / size), 1)
        for number in range(count):
            xs = [x0 + (x1 - x0) * share / count for share in (number, number + 1)]
            ys = [y0 + (y1 - y0) * share / count for share in (number, number + 1)]
            self.objects.add(Box(min(xs) - 0.1, min(ys) - 0.1, max(xs) + 0.1, max(ys) + 0.1))

    def words(
        self,
        x: float,
        y: float,
        words: str,
        size: float = SMALL,
        anchor: str = "start",
        *,
        upright: bool = False,
        bold: bool = False,
        ring: Box | None = None,
    ) -> Box:
        """Lettering with its baseline at ``y``; ``upright``: to be read from the right; ``ring``: what stands round it,
        which is the room it takes. Gives the room of its letters."""
        words = _clean(words)
        box = lettering_box(x, y, words, size, anchor, upright=upright, bold=bold)
        self.lettering.add(ring or box)
        self._reach(box[:2], box[2:])
        weight = ' font-weight="bold"' if bold else ""
        place = "" if anchor == "start" else f' text-anchor="{anchor}"'
        halo = 'stroke="white" stroke-width="0.7" paint-order="stroke"'

        def part() -> str:
            turn = f' transform="rotate(-90 {_number(x)} {_number(y)})"' if upright else ""
            at = f'x="{_number(x)}" y="{_number(y)}" font-size="{_number(size)}"'
            return f"<text {at} {halo}{place}{weight}{turn}>{escape(words)}</text>"

        self._parts.append(part)
        return box

    def free(self, box: Box, gap: float = 0.3, *, objects: bool = True) -> bool:
        """Whether no lettering (and no reserved thing) lies there."""
        x0, y0, x1, y1 = box.x0 - gap, box.y0 - gap, box.x1 + gap, box.y1 + gap
        for left, top, right, bottom in self.margins:
            if left < x1 and x0 < right and top < y1 and y0 < bottom:
                return False
        return not (self.lettering.meets(x0, y0, x1, y1) or (objects and self.objects.meets(x0, y0, x1, y1)))

    def finish(self, title: str, alt: str, scale: str = "") -> Drawing:
        """The drawing, its paper trimmed to what is on it and 1 mm more all round."""
        area = self.bounds
        x0, y0 = area.x0 - 1, area.y0 - 1
        width, height = area.x1 - area.x0 + 2, area.y1 - area.y0 + 2
        size = f'width="{_number(width)}mm" height="{_number(height)}mm"'
        view = " ".join(_number(value) for value in (x0, y0, width, height))
        svg = (
            f'<svg xmlns="{SVG}" role="img" {size} viewBox="{view}" font-family="{_FONT}">'
            f"<title>{escape(_clean(title))}</title><desc>{escape(_clean(alt))}</desc>"
            f"{''.join(self._joined())}</svg>"
        )
        shows = tuple(self._shows)
        return Drawing(svg=svg, alt=alt, title=title, scale=scale, width=width, height=height, shows=shows)

    def _joined(self) -> Iterable[str]:
        """The parts, neighbours in one style joined: half the bytes, the same picture."""
        held, style = "", ""
        for part in (write() for write in self._parts):
            data, found, rest = part.partition('" fill="none"')
            if found and part.startswith('<path d="') and rest == style:
                held += data[9:]
                continue
            if held:
                yield f'<path d="{held}" fill="none"{style}'
                held = ""
            if found and part.startswith('<path d="'):
                held, style = data[9:], rest
            else:
                yield part
        if held:
            yield f'<path d="{held}" fill="none"{style}'

    def _path(self, data: Callable[[], str], pen: Pen, fill: str) -> None:
        dashes = f' stroke-dasharray="{pen.dashes}"' if pen.dashes else ""
        stroke = f'stroke="black" stroke-width="{pen.width}"{dashes}' if pen.width else 'stroke="none"'
        self._parts.append(lambda: f'<path d="{data()}" fill="{fill}" {stroke}/>')

    def _reach(self, *points: Point) -> None:
        for x, y in points:
            self._x.append(x)
            self._y.append(y)


def _through(points: Iterable[Point]) -> str:
    return "L".join([f"{_number(x)} {_number(y)}" for x, y in points])


NO_LINE = Pen(0.0)


def lettering_box(
    x: float, y: float, words: str, size: float, anchor: str = "start", *, upright: bool = False, bold: bool = False
) -> Box:
    """The room that lettering takes on the paper."""
    width = letters_width(words, size, bold=bold)
    before = {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    if upright:
        return Box(x - _ASCENT * size, y + before - width, x + _DESCENT * size, y + before)
    return Box(x - before, y - _ASCENT * size, x - before + width, y + _DESCENT * size)


_TEXT = re.compile(r"<text ([^>]*)>([^<]*)</text>")
_KEY = re.compile(r'([a-z-]+)="([^"]*)"')


def text_boxes(svg: str) -> list[tuple[str, Box]]:
    """Every piece of lettering in a drawing's SVG with the room it takes, for whoever would check that none overlap."""
    from html import unescape

    found = []
    for keys, content in _TEXT.findall(svg):
        style = dict(_KEY.findall(keys))
        words = unescape(content)
        box = lettering_box(
            float(style["x"]),
            float(style["y"]),
            words,
            float(style["font-size"]),
            style.get("text-anchor", "start"),
            upright="transform" in style,
            bold="font-weight" in style,
        )
        found.append((words, box))
    return found


def _clean(words: str) -> str:
    """The words without what no XML file may hold."""
    if words.isprintable():
        return words
    return "".join("\ufffd" if unicodedata.category(letter) in ("Cc", "Cs", "Cn") else letter for letter in words)


@lru_cache(16384)
def _number(value: float) -> str:
    text = f"{value:.2f}"
    if text[-1] != "0":
        return text
    text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
