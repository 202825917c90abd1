"""How wide the columns of a table stand on paper, from what is in them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from listel.reports.drawings.paper import letters_width
from listel.reports.walk import Node

LONGEST_WORD = 24
"""Letters after which a word may break anywhere; codes and digests have such words, English has not."""
SIZES = (8.5, 7.5, 6.5)
"""Type sizes of a table, pt: the first in which every word has room is taken."""

_MM_PER_POINT = 25.4 / 72
_FACE = 0.8
"""Book faces run narrower than the drawings' plain lettering, for which letters are counted."""
_BOLD = 1.1
_GAP = 4.0
"""Room between the words of one column and the next, mm."""
_GREEDIEST = 0.6
"""Share of the table after which one column's wish for more counts no further."""


@dataclass(frozen=True, slots=True)
class Columns:
    """The widths of a table's columns, mm, and the type size they were reckoned for, pt."""

    widths: tuple[float, ...]
    size: float


def rows(table: Node) -> tuple[list[Node], list[Node]]:
    """A table's head rows and its body rows."""
    head = [row for part in table.parts("thead") for row in part.parts("tr")]
    return head, [row for row in table.parts("tr") if not any(row is each for each in head)]


def cells(row: Node) -> list[Node]:
    """The cells of a row, heads and others."""
    return [part for part in row.inside if isinstance(part, Node) and part.tag in ("th", "td")]


def caption(table: Node) -> Node | None:
    """A table's caption, if it has one."""
    return next(iter(table.parts("caption")), None)


def columns(table: Node, room: float) -> Columns:
    """Widths that give each column its longest word at least, and more to those with more to say.

    ``room`` is the width of the text, mm. A table never stands wider than that: where its longest words have no
    room in the smallest type, they are broken.
    """
    head, body = rows(table)
    lines = [cells(row) for row in (*head, *body)]
    count = max((len(line) for line in lines), default=0)
    for size in SIZES:
        least = [max((_least(line[n], size) for line in lines if n < len(line)), default=0.0) for n in range(count)]
        if sum(least) <= room:
            break
    wished = [max((_whole(line[n], size) for line in lines if n < len(line)), default=0.0) for n in range(count)]
    return Columns(tuple(_shared(least, wished, room)), size)


def _shared(least: Sequence[float], wished: Sequence[float], room: float) -> list[float]:
    if sum(least) > room:
        return [each * room / sum(least) for each in least]
    wished = [max(low, min(high, _GREEDIEST * room)) for low, high in zip(least, wished, strict=True)]
    spare, wants = room - sum(least), sum(wished) - sum(least)
    if wants <= 0:
        return [each * room / sum(least) for each in least]
    shared = [low + (high - low) * spare / wants for low, high in zip(least, wished, strict=True)]
    return [each * room / sum(shared) for each in shared]


def _least(cell: Node, size: float) -> float:
    words = (word[:LONGEST_WORD] for word in re.split(r"\s+|(?<=[-/])", cell.words()))
    return _GAP + max((_width(word, cell, size) for word in words), default=0.0)


def _whole(cell: Node, size: float) -> float:
    return _GAP + _width(cell.words()[:300], cell, size)


def _width(words: str, cell: Node, size: float) -> float:
    big = 1.3 if "big" in cell.classes else 1.0
    heavy = _BOLD if cell.tag == "th" else 1.0
    return letters_width(words, size * _MM_PER_POINT) * _FACE * heavy * big
