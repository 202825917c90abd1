"""How wide tables and drawings stand on paper."""

from __future__ import annotations

import re
from math import ceil
from operator import itemgetter

from listel.core.quick import dataclass
from listel.reports.drawings.paper import letters_width
from listel.reports.walk import Node

LONGEST_WORD = 24
"""Letters after which a word may break anywhere; codes and digests have such words, English has not."""
SIZES = (8.5, 7.5, 6.5)
"""Type sizes of a table, pt: the first in which every word has room is taken."""
_OPENING = frozenset(("short", "title-block"))
"""Classes of the tables that open the statement: in larger type, under a heading that does for a caption."""

_UNIT = re.compile(r"(?<=\d) (?=(?:mm|m|in|ft|h|kg|N|kN|%|°)(?![\w-]))")
WRITTEN = 34.0
"""A column that is written in by hand, its head of the class ``write``, mm."""
MOST_SPANNED = 40
"""Columns that one cell may span at most."""

_MM_PER_POINT = 25.4 / 72
_FACE = 0.8
"""Book faces run narrower than the drawings' plain lettering, for which letters are counted."""
_BOLD = 1.1
_ROUNDS = 8
"""How often the room of a table is shared out anew."""
_GAP = 4.0
"""Room between the words of one column and the next, mm."""


@dataclass(frozen=True)
class Columns:
    """The widths of a table's columns, mm, the type size they were reckoned for, pt, and whether words must break."""

    widths: tuple[float, ...]
    size: float
    tight: bool


def rows(table: Node) -> tuple[list[Node], list[Node]]:
    """A table's head rows and its body rows."""
    head = [row for part in table.parts("thead") for row in part.parts("tr")]
    return head, [row for row in table.parts("tr") if not any(row is each for each in head)]


def cells(row: Node) -> list[tuple[int, int, Node]]:
    """The cells of a row, heads and others: the column each starts in, how many it spans, and the cell."""
    found, at = [], 0
    for part in row.inside:
        if isinstance(part, Node) and part.tag in ("th", "td"):
            span = part.keys.get("colspan", "1")
            wide = min(max(int(span), 1), MOST_SPANNED) if span.isdecimal() else 1
            found.append((at, wide, part))
            at += wide
    return found


def caption(table: Node) -> Node | None:
    """The caption that a table shows, if it shows one."""
    return None if _OPENING.intersection(table.classes) else next(iter(table.parts("caption")), None)


def with_units(text: str) -> str:
    """The text with each number held to the unit after it by a space that does not break."""
    return _UNIT.sub("\u00a0", text)


def columns(table: Node, room: float, *, large: bool = False) -> Columns:
    """Widths that give each column its longest word at least, and the more the more it has to say in all.

    ``room`` is the width of the text, mm. A table never stands wider than that: where its longest words have no
    room in the smallest type, they are broken. ``large``: it may be set in larger type.
    """
    head, body = rows(table)
    placed = [cell for row in (*head, *body) for cell in cells(row)]
    count = max((at + span for at, span, _ in placed), default=0)
    alone = [[cell for at, span, cell in placed if at == column and span == 1] for column in range(count)]
    for size in (10.0, 9.5, *SIZES) if large else (9.5, *SIZES) if _OPENING.intersection(table.classes) else SIZES:
        least = [max((_least(cell, size) for cell in column), default=_GAP) for column in alone]
        if sum(least) <= room:
            break
    wished = [max(low, *(_whole(cell, size) for cell in column)) for low, column in zip(least, alone, strict=True)]
    lines = [{at: _whole(cell, size) for at, span, cell in cells(row) if span == 1} for row in (*head, *body)]
    return Columns(tuple(_lowest(least, wished, lines, room)), size, sum(least) > room)


def _lowest(least: list[float], wished: list[float], lines: list[dict[int, float]], room: float) -> list[float]:
    """The room shared out first by what each column has to say, then by how much of the rows' height is its doing: of
    these the widths under which the table is lowest. ``lines``: how wide the words of each row's cells would stand in
    one line, by column."""
    weights = [sum((row[at] for row in lines if at in row), _GAP) ** 0.7 for at in range(len(least))]
    found = []
    for _ in range(_ROUNDS):
        widths = _shared(least, wished, weights, room)
        rows_high = [{at: ceil(wide / widths[at] - 1e-9) for at, wide in row.items()} for row in lines]
        found.append((sum(max(high.values(), default=0) for high in rows_high), widths))
        does = [_GAP / room] * len(least)
        for high in rows_high:
            squares = {at: each**2 for at, each in high.items() if each > 1}
            for at, square in squares.items():
                does[at] += max(high.values()) * square / sum(squares.values())
        weights = [(old / sum(weights) + new / sum(does)) / 2 for old, new in zip(weights, does, strict=True)]
    return min(found, key=itemgetter(0))[1]


def _shared(least: list[float], wished: list[float], weights: list[float], room: float) -> list[float]:
    """The room shared out by weight, no column less than its least, none more than it wishes while others want."""
    if sum(least) > room or sum(wished) < room:
        known = least if sum(least) > room else wished
        return [each * room / sum(known) for each in known]
    low, high = 0.0, room / min(weights)
    for _ in range(40):
        share = (low + high) / 2
        widths = [min(max(share * each, a), b) for each, a, b in zip(weights, least, wished, strict=True)]
        low, high = (share, high) if sum(widths) < room else (low, share)
    return [each * room / sum(widths) for each in widths]


def _least(cell: Node, size: float) -> float:
    if "write" in cell.classes:
        return WRITTEN
    drawn = max((float(node.keys["width"]) for node in cell.nodes() if node.tag == "svg"), default=0.0)
    words = (word[:LONGEST_WORD] for word in re.split(r"[ \n]+|(?<=/)", with_units(cell.words())))
    return _GAP + max((_width(word, cell, size) for word in words), default=0.0) if not drawn else _GAP + drawn


def _whole(cell: Node, size: float) -> float:
    return max(_GAP + _width(cell.words()[:300], cell, size), _least(cell, size))


def _width(words: str, cell: Node, size: float) -> float:
    classes = {name for node in cell.nodes() for name in node.classes}
    big = 2.35 if "figure" in classes else 2.05 if "big" in classes else 1.0
    heavy = _BOLD if cell.tag == "th" else 1.0
    return letters_width(words, size * _MM_PER_POINT) * _FACE * heavy * big


def reduced(drawn: Node, room: float, tallest: float) -> tuple[float, str]:
    """By how much a drawing must be made smaller to stand on the page, 1 where it stands at its scale, and the words
    that say so. ``room`` and ``tallest`` are the width and height it may have, mm; 1 mm of white may pass the margin.
    """
    part = min(1.0, (room + 1) / float(drawn.keys["width"]), tallest / float(drawn.keys["height"]))
    return part, f" Drawn at {part:.0%} of its scale, to fit the page." if part < 1 else ""
