"""The statement as PDF: its HTML walked into Typst, which sets the pages.

Every word is handed over as a quoted string and every drawing as a file in memory, so nothing that a survey, a plugin
or a firm wrote is read as Typst. The compiler is given an empty root, so no file and no package is within its reach.
"""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Iterable
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import font_lato
import typst

from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.reports.columns import LONGEST_WORD, caption, cells, columns, reduced, rows, with_units
from listel.reports.drawings.paper import Box, text_boxes
from listel.reports.statement import Statement
from listel.reports.trees import whole
from listel.reports.walk import MarkupFault, Node, blocks, printable

PAPERS = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
"""Sizes of the papers a statement is set on, mm."""
MARGIN, PACK_MARGIN = 18.0, 10.0
"""Left and right of a statement, and of a pack of sheets, mm."""
_OVER_AND_UNDER, _PACK_OVER_AND_UNDER = 46.0, 33.0
"""Height a drawing cannot have in each: the margins, and its caption or its sheet's title, mm."""
_LARGEST = 1000.0
"""The longest side of a picture, mm; a picture of points takes room by its area."""
SHORT, PENCILLED = 4, 22
"""Rows of a table that is not parted over pages, and of one to be filled in by pencil."""

_LEVELS = {"h2": 1, "h3": 2, "h4": 3}
_LONG = re.compile(rf"\S{{{LONGEST_WORD},}}")
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})")
_IMAGE = re.compile(r"data:image/(png|jpeg|svg\+xml);base64,([A-Za-z0-9+/=]+)")
_FACES = re.compile(r'font-family="[^"]*"')
_FACE = 'font-family="Lato"'
_LETTERS = re.compile(r"<text [^>]*>[^<]*</text>")
_EDGE = re.compile(r' stroke="white" stroke-width="[0-9.]+" paint-order="stroke"')
_PICTURE = re.compile(r"(?:error: )?failed to (?:decode image|parse SVG|load)")
"""What Typst says of a picture whose content is spoilt."""
_NO_LETTER = "could not be displayed"


@dataclass(frozen=True)
class Paper:
    """A finished PDF. ``standards`` are those it was made to; ``lacks`` says why some were not kept, or is ""."""

    content: bytes
    standards: tuple[str, ...]
    lacks: str


def to_pdf(statement: Statement, paper: str = "a4") -> Paper:
    """The statement as a tagged PDF on that paper ("a4" or "us-letter"), to PDF/A-2a and PDF/UA-1.

    The same statement gives the same bytes on the same machine. A statement with no date that a calendar has cannot be
    PDF/A, which wants one; one with letters that no type face at hand has is set without either.
    Raises MarkupFault where a template leaves the subset.
    """
    pages = _Walker(statement, paper)
    date = _day(statement.dated)
    files = {"main.typ": pages.source(date).encode(), **pages.files}
    return _set(files, ("a-2a", "ua-1") if date else ("ua-1",))


def to_png(pictures: Iterable[Node], dots: int) -> list[bytes]:
    """Drawings of the statement as PNG, ``dots`` to the inch; one larger than any paper is made as large as that."""
    files: dict[str, bytes] = {}
    source = ["#set page(margin: 0mm)"]
    for number, picture in enumerate(pictures):
        files[f"{number}.svg"] = _lettered(picture)
        width, height = float(picture.keys["width"]), float(picture.keys["height"])
        share = min(1.0, _LARGEST / max(width, height))
        size = f"width: {width * share:g}mm, height: {height * share:g}mm"
        source.append(f'#page({size}, image("{number}.svg", {size}))')
    if not files:
        return []
    made = _compile({"main.typ": "\n".join(source).encode(), **files}, system_fonts=True, format="png", ppi=dots)
    return made if isinstance(made, list) else [made]


def embedded(node: Node) -> tuple[str, bytes]:
    """The picture that is in a node ``img`` as data: its ending and its content. Raises MarkupFault for any other."""
    found = _IMAGE.fullmatch(node.keys.get("src", ""))
    if found is None:
        raise MarkupFault("the title block: <img> takes a picture as data only, in PNG, JPEG or SVG")
    return found[1].removesuffix("+xml"), b64decode(found[2])


def logo_png(node: Node, dots: int) -> bytes:
    """A firm's mark as PNG, 16 mm high. Raises MarkupFault as :func:`embedded` does."""
    ending, content = embedded(node)
    source = f'#set page(width: auto, height: auto, margin: 0mm)\n#image("logo.{ending}", height: 16mm)'
    made = _compile({"main.typ": source.encode(), f"logo.{ending}": content}, system_fonts=True, format="png", ppi=dots)
    return bytes(made[0] if isinstance(made, list) else made)


def _set(files: dict[str, bytes], standards: tuple[str, ...]) -> Paper:
    """Set the pages with the type faces that come along; where those lack a letter, with the machine's own too."""
    for system_fonts in (False, True):
        try:
            return Paper(_compile(files, system_fonts, pdf_standards=list(standards)), standards, "")
        except typst.TypstError as error:
            if _NO_LETTER not in error.message:
                raise
            lacks = error.message.split("error: ")[-1].replace("`", "")
    return Paper(_compile(files, system_fonts=True), (), lacks)


def _compile(files: dict[str, bytes], system_fonts: bool, **how: Any) -> Any:
    """What Typst makes of files in memory, with nothing outside them within reach; it takes pictures of points from
    its root alone, so they are put there."""
    with TemporaryDirectory() as nowhere:
        for name, content in files.items():
            if name.endswith((".png", ".jpeg")):
                Path(nowhere, name).write_bytes(content)
        try:
            return typst.compile(
                {name: content for name, content in files.items() if not name.endswith((".png", ".jpeg"))},
                root=nowhere,
                package_path=nowhere,
                package_cache_path=nowhere,
                font_paths=[Path(font_lato.__file__).with_name("files")],
                ignore_system_fonts=not system_fonts,
                timestamp=0,
                **how,
            )
        except typst.TypstError as error:
            if not _PICTURE.match(error.message):
                raise
            raise InputFault(f"a picture cannot be put on paper, a logo or a photograph: {error.message}") from None


def _day(dated: str) -> str:
    """A date as Typst has it, or "" where it is none."""
    found = _DATE.fullmatch(dated)
    try:
        day = date.fromisoformat(dated) if found else None
    except ValueError:
        day = None
    return f"datetime(year: {day.year}, month: {day.month}, day: {day.day})" if day else ""


def quoted(text: str) -> str:
    """Text as a Typst string that means exactly that text."""
    return '"' + printable(text).replace("\\", "\\\\").replace('"', '\\"') + '"'


def _lettered(picture: Node) -> bytes:
    """A drawing in the type face that comes along, as tall as the one it was reckoned for and no wider.

    In place of the white edge of its lettering a white ground is put under it: drawn before its fill, an edge is
    turned into outlines, which take many times the room.
    """
    svg = _FACES.sub(_FACE, picture.keys["svg"])
    boxes = iter(text_boxes(svg))
    return _LETTERS.sub(lambda found: _grounded(found[0], next(boxes)[1]), svg).encode()


def _grounded(letters: str, box: Box) -> str:
    bare = _EDGE.sub("", letters, count=1)
    if bare == letters:
        return letters
    size = f'width="{box.x1 - box.x0:.2f}" height="{box.y1 - box.y0 - 0.4:.2f}"'
    return f'<rect x="{box.x0:.2f}" y="{box.y0 + 0.2:.2f}" {size} fill="white"/>{bare}'


class _Walker:
    """Walks the statement's tree and writes Typst: calls of the functions of ``statement.typ``, and quoted strings."""

    def __init__(self, statement: Statement, paper: str) -> None:
        self.statement, self.paper = statement, paper
        width, height = PAPERS[paper]
        pack = statement.pack
        self.room = width - 2 * (PACK_MARGIN if pack else MARGIN)
        self.tallest = height - (_PACK_OVER_AND_UNDER if pack else _OVER_AND_UNDER)
        self.files: dict[str, bytes] = {}
        self.whole = whole(statement)
        self.level = 0

    def source(self, date: str) -> str:
        """The whole Typst source."""
        pieces = [self.inside(self.whole.head), self.inside(self.whole.short)]
        pieces += [] if self.statement.pack else ["contents()"]
        pieces += [self.inside(part) for part in self.whole.parts]
        return "\n".join((_style(), f"#show: body => statement({self.about(date)}, body)", "#{", *pieces, "}"))

    def about(self, date: str) -> str:
        """What stands in the head and foot of each page and in the file's own properties."""
        shown = self.statement
        title = " ".join(shown.title.split())
        running = title if len(title) <= 70 else title[:69].rstrip() + "…"
        named = f"{title}: {shown.named}" + (f", revision {shown.revision}" if shown.revision else "")
        given = {
            "title": quoted(named),
            "description": quoted(shown.foot),
            "running": quoted(running + (f", revision {shown.revision[:40]}" if shown.revision else "")),
            "status": quoted("" if shown.fit_for_issue else "Not for issue"),
            "foot": quoted(shown.foot),
            "paper": quoted(self.paper),
            "region": quoted("us" if self.paper == "us-letter" else "gb"),
            "date": date or "none",
            "pack": str(shown.pack).lower(),
            "large": str(shown.large).lower(),
        }
        return "(" + ", ".join(f"{key}: {value}" for key, value in given.items()) + ")"

    def inside(self, node: Node) -> str:
        """What is inside a node, as one block of code."""
        return "{" + "; ".join(self.block(each) for each in blocks(node)) + "}"

    def block(self, node: Node) -> str:
        """One block, with the anchor that links lead to."""
        made = self.plain_block(node)
        return self.marked(node, made)

    def marked(self, node: Node, made: str) -> str:
        anchor = node.keys.get("id", "")
        return f"[#{made}#label({quoted(anchor)})]" if anchor in self.whole.linked else made

    def plain_block(self, node: Node) -> str:
        tag, classes = node.tag, node.classes
        if tag == "h1":
            return f"title({self.run(node)})"
        if tag in _LEVELS:
            self.level = min(_LEVELS[tag], self.level + 1)
            return f"heading(level: {self.level}, {self.run(node)})"
        if tag == "p":
            words = self.run(node)
            made = f"par({self.styled(classes, words)})"
            return f"boxed(true, {made})" if "status" in classes else made
        if tag == "ul" and "findings" in classes:
            return "{" + "; ".join(self.finding(item) for item in node.parts("li")) + "}"
        if tag in ("ul", "ol"):
            made = f"{'list' if tag == 'ul' else 'enum'}({', '.join(self.item(item) for item in node.parts('li'))})"
            return f"two-columns({made})" if {"notes", "sources"} & set(classes) else made
        if tag == "table":
            return self.table(node)
        if tag == "figure":
            return self.figure(node)
        if tag == "svg":
            return self.picture(node)
        return (
            f"boxed({str('open' in classes).lower()}, {self.inside(node)})"
            if "status" in classes
            else self.inside(node)
        )

    def finding(self, item: Node) -> str:
        """A finding, with the line beside it that tells its weight."""
        weight = next((each for each in item.classes if each != "finding"), "")
        return f"finding({quoted(weight)}, {self.item(item)})"

    def item(self, item: Node) -> str:
        """What stands in an item of a list or in a cell: its first paragraph is not set off from its mark."""
        made = [
            self.run(each) if each.tag == "p" and not n else self.block(each) for n, each in enumerate(blocks(item))
        ]
        mark = (
            f"metadata(none)#label({quoted(item.keys['id'])})" if item.keys.get("id", "") in self.whole.linked else ""
        )
        return ("{" + "; ".join(([f"[#{mark}]"] if mark else []) + made) + "}") if made or mark else "[]"

    def table(self, table: Node) -> str:
        """A table: its caption, its head, which is repeated on each page, and its body.

        One without a head is a list of names and what they stand for, set in a grid and read out in that order.
        """
        head, body = rows(table)
        laid = columns(table, self.room, large=self.statement.large)
        widths = ", ".join(f"{width:.2f}mm" for width in laid.widths)
        said = caption(table)
        place = "table.cell" if head else "grid.cell"
        high = "pencil" in table.classes
        heads, lines = (
            "".join(self.row(row, place, high=tall) for row in part) for part, tall in ((head, False), (body, high))
        )
        about = {
            "caption": "none" if said is None else self.run(said),
            "size": f"{laid.size}pt",
            "tight": str(laid.tight).lower(),
            "ruled": str(bool({"sign-off", "title-block", "pencil"} & set(table.classes))).lower(),
            "widths": f"({widths},)",
            "lines": str(len(head)),
            "tight-rows": str(self.statement.pack).lower(),
            "pencil": str(high).lower(),
            "whole": str(len(body) <= (PENCILLED if high else SHORT)).lower(),
        }
        return f"sheet(({', '.join(f'{key}: {value}' for key, value in about.items())}), ({heads}), ({lines}))"

    def row(self, row: Node, place: str, *, high: bool) -> str:
        """The cells of a row; the name of a group of rows is a head to them, which no page ends on."""
        made = "".join(self.cell(cell, span, place, high=high and not at) for at, span, cell in cells(row))
        group = any(cell.keys.get("scope") == "rowgroup" for *_, cell in cells(row))
        return f"table.header(level: 2, {made})," if group else made

    def cell(self, cell: Node, span: int, place: str, *, high: bool) -> str:
        """A cell; ``high``: its row is to be written in with a thick pencil."""
        words = self.styled(cell.classes, self.item(cell))
        words = f"{{pencil(); {words}}}" if high else words
        if cell.tag == "th":
            words = f"{'emph' if cell.keys.get('scope') == 'col' else 'strong'}({words})"
        return f"{place}(colspan: {span}, {words}),"

    def figure(self, figure: Node) -> str:
        """A drawing with its title beneath it."""
        drawn = next((node for node in figure.nodes() if node.tag == "svg"), None)
        if drawn is None:
            return self.inside(figure)
        said = next((self.run(node) for node in figure.parts("figcaption")), "none")
        _, note = reduced(drawn, self.room, self.tallest)
        if note:
            said = "{" + f"{said}; {quoted(note)}" + "}"
        return f"drawing({self.picture(drawn)}, {said})"

    def picture(self, drawn: Node) -> str:
        name = f"drawing-{len(self.files) + 1}.svg"
        self.files[name] = _lettered(drawn)
        width = float(drawn.keys["width"]) * reduced(drawn, self.room, self.tallest)[0]
        return f"image({quoted(name)}, width: {width:.2f}mm, alt: {quoted(drawn.keys['alt'])})"

    def logo(self, node: Node) -> str:
        """A firm's mark; it is in the file as data, and says nothing to one who does not see it."""
        ending, content = embedded(node)
        name = f"logo-{len(self.files) + 1}.{ending}"
        self.files[name] = content
        return f"box(pdf.artifact(image({quoted(name)}, height: 16mm, width: 56mm, fit: {quoted('contain')})))"

    def styled(self, classes: list[str], words: str) -> str:
        return f"said({quoted(classes[0])}, {words})" if classes else words

    def run(self, node: Node) -> str:
        """The text inside a node."""
        return "{" + "; ".join(self.piece(part) for part in node.inside) + "}" if node.inside else "[]"

    def piece(self, part: Node | str) -> str:
        if isinstance(part, str):
            return self.text(part)
        if part.tag == "br":
            return "linebreak()"
        if part.tag == "img":
            return self.logo(part)
        words = self.run(part)
        if part.tag == "a":
            target = part.keys.get("href", "")
            words = f"link(label({quoted(target[1:])}), {words})" if target[1:] in self.whole.linked else words
        elif part.tag == "span":
            words = "tick()" if "tick" in part.classes else self.styled(part.classes, words)
        else:
            words = {"strong": "strong", "em": "emph", "sup": "super"}.get(part.tag, "") + f"({words})"
        return self.marked(part, words)

    def text(self, text: str) -> str:
        """Text as strings; a word as long as no English word is may be broken anywhere."""
        text = with_units(text)
        pieces, at = [], 0
        for found in _LONG.finditer(text):
            pieces.append(quoted(text[at : found.start()]))
            pieces += [f"box(); {quoted(found[0][n : n + 4])}" for n in range(0, len(found[0]), 4)]
            at = found.end()
        return "; ".join([*pieces, quoted(text[at:])])


@cache
def _style() -> str:
    return Path(__file__).with_name("statement.typ").read_text("utf-8")
