"""The statement as a Word document for offices that must edit it: real headings, tables, lists, pictures and fields."""

from __future__ import annotations

import re
from datetime import datetime
from io import BytesIO
from typing import Any

from docx import Document
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Mm, Pt, RGBColor

from listel.reports import office
from listel.reports.columns import caption, cells, columns, reduced, rows
from listel.reports.pdf import MARGIN, PACK_MARGIN, PAPERS, logo_png, to_png
from listel.reports.statement import Statement
from listel.reports.trees import whole
from listel.reports.walk import Node, blocks, printable

FACE = "Times New Roman"
DOTS = 200
"""Dots to the inch of a drawing's picture."""
_STYLES = {"h1": "Title", "h2": "Heading 1", "h3": "Heading 2", "h4": "Heading 3"}
_BARS = {"hold": 36, "caution": 18, "advice": 6}
"""Width of the line beside a finding, by its weight, eighths of a point."""


def to_word(statement: Statement, paper: str = "a4") -> bytes:
    """The statement as .docx on that paper ("a4" or "us-letter"). The same statement gives the same bytes.

    Raises MarkupFault where a template leaves the subset.
    """
    return office.same_bytes(_Writer(statement, paper).document())


class _Writer:
    """Walks the statement's tree into a document of python-docx."""

    def __init__(self, statement: Statement, paper: str) -> None:

        self.statement = statement
        self.made = Document()
        width, height = PAPERS[paper]
        self.margin = PACK_MARGIN if statement.pack else MARGIN
        self.room, self.tallest = width - 2 * self.margin, height - 60
        self.marks: dict[str, int] = {}
        self.whole = whole(statement)
        self.pictures: dict[int, bytes] = {}
        self.styles = {style.name: style.style_id for style in self.made.styles}
        self._page(width, height)
        self._faces(paper)
        self._properties()

    # The document itself

    def document(self) -> Any:
        """The whole document."""
        drawn = [node for node in self.whole.nodes() if node.tag == "svg"]
        self.pictures = {id(node): picture for node, picture in zip(drawn, to_png(drawn, DOTS), strict=True)}
        self.inside(self.whole.head, self.made)
        self.inside(self.whole.short, self.made)
        if not self.statement.pack:
            self.contents()
        for part in self.whole.parts:
            self.inside(part, self.made)
        return self.made

    def _page(self, width: float, height: float) -> None:

        section = self.made.sections[0]
        section.page_width, section.page_height = Mm(width), Mm(height)
        section.left_margin = section.right_margin = Mm(self.margin)
        section.top_margin = section.bottom_margin = Mm(20)
        section.header_distance = section.footer_distance = Mm(9)
        shown = self.statement
        title = " ".join(printable(shown.title).split())[:70]
        revision = f", revision {printable(shown.revision[:40])}" if shown.revision else ""
        head, foot = section.header.paragraphs[0], section.footer.paragraphs[0]
        for line, first in ((head, title + revision), (foot, printable(shown.foot))):
            line.style.paragraph_format.tab_stops.clear_all()
            line.paragraph_format.tab_stops.add_tab_stop(Mm(self.room), 2)
            line.add_run(first + "\t")
        head.add_run("" if shown.fit_for_issue else "Not for issue").bold = True
        office.field(foot, "PAGE", "1")
        foot.add_run(" of ")
        office.field(foot, "NUMPAGES", "1")

    def _faces(self, paper: str) -> None:

        styles = self.made.styles
        sizes = {"Normal": 10.5, "Title": 22, "Heading 1": 14, "Heading 2": 11.5, "Heading 3": 10, "Caption": 9,
                 "Header": 8, "Footer": 8}  # fmt: skip
        for name, size in sizes.items():
            style = styles[name]
            style.font.size, style.font.name = Pt(size), FACE
            fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
            for key in [key for key in fonts.attrib if "Theme" in key]:
                del fonts.attrib[key]
            fonts.set(qn("w:hAnsi"), FACE)
            style.font.color.rgb = RGBColor(0x11, 0x11, 0x11)
        styles["Caption"].paragraph_format.keep_with_next = True
        ruled = styles["Title"].element.pPr
        ruled.remove(ruled.find(qn("w:pBdr")))
        styles["Normal"].paragraph_format.space_after = Pt(5)
        language = OxmlElement("w:lang")
        language.set(qn("w:val"), "en-US" if paper == "us-letter" else "en-GB")
        properties = styles["Normal"].element.get_or_add_rPr()
        properties.append(language)

    def _properties(self) -> None:
        shown, about = self.statement, self.made.core_properties
        title = " ".join(printable(shown.title).split())
        named = f"{title[:160]}: {shown.named}" + (f", revision {shown.revision[:40]}" if shown.revision else "")
        about.title = printable(named)
        about.subject = printable(shown.foot[:250])
        about.author, about.comments, about.language = "listel", "", "en"
        try:
            about.created = datetime.fromisoformat(shown.dated[:10])
        except ValueError:
            about.created = datetime(1980, 1, 1)
        about.modified = about.created

    def contents(self) -> None:
        """The contents as a field that Word can bring up to date, showing the parts until then."""
        self.made.add_heading("Contents", 1)
        first = last = None
        for part in self.statement.parts:
            last = self.made.add_paragraph()
            last.paragraph_format.space_after = 0
            first = first or last
            if first is last:
                office.field_mark(last, "begin", 'TOC \\o "1-1" \\h \\z \\u')
            self.link(last, part.name, [f"{part.number}\u2002{part.title}"])
        if last is not None:
            office.field_mark(last, "end")

    # Blocks

    def inside(self, node: Node, place: Any) -> None:
        """What is inside a node, block by block, put at the end of a place: the document, or a cell."""
        for each in blocks(node):
            self.block(each, place)

    def block(self, node: Node, place: Any) -> None:
        tag = node.tag
        if tag in _STYLES or tag == "p":
            self.paragraph(node, place, _STYLES.get(tag))
        elif tag in ("ul", "ol"):
            self.items(node, place, 1)
        elif tag == "table":
            self.table(node, place)
        elif tag == "figure":
            self.figure(node, place)
        elif tag == "svg":
            self.picture(node, place.add_paragraph())
        else:
            if "sheet" in node.classes:
                place.add_page_break()
            self.inside(node, place)

    def paragraph(self, node: Node, place: Any, style: str | None = None) -> Any:
        line = place.add_paragraph()
        if style:
            line._p.style = self.styles[style]
        if style == "Title" and len(node.words()) > 120:
            line.style.font.size = Pt(11)
        self.run(node, line)
        self.mark(node, line)
        return line

    def items(self, node: Node, place: Any, depth: int) -> None:
        """A list. Findings stand without a mark, beside a line as heavy as they weigh."""
        numbered = self._numbering() if node.tag == "ol" else None
        for item in node.parts("li"):
            first = True
            for each in blocks(item):
                if each.tag in ("ul", "ol"):
                    self.items(each, place, depth + 1)
                    continue
                if each.tag != "p":
                    self.block(each, place)
                    continue
                line = place.add_paragraph()
                self._as_item(line, item, node, depth, numbered, first)
                if first:
                    self.mark(item, line)
                self.run(each, line)
                first = False

    def _as_item(self, line: Any, item: Node, node: Node, depth: int, numbered: int | None, first: bool) -> None:

        line.paragraph_format.space_after = Pt(3)
        if "finding" in item.classes:
            office.bar(line, max((_BARS.get(name, 0) for name in item.classes), default=0) or 4)
            line.paragraph_format.left_indent = Mm(4)
        elif first:
            line._p.style = self.styles["List Number" if node.tag == "ol" else "List Bullet"]
            if numbered is not None:
                office.numbered(line, numbered)
            elif depth > 1:
                line.paragraph_format.left_indent = Mm(6.35 * depth)
        else:
            line.paragraph_format.left_indent = Mm(6.35 * depth)

    def _numbering(self) -> int:
        """A numbering of its own for one list, which begins at 1."""

        style = self.made.styles["List Number"].element
        numbering = self.made.part.numbering_part.element
        used = style.pPr.numPr.numId.val
        abstract = next(each for each in numbering.num_lst if each.numId == used).abstractNumId.val
        fresh = numbering.add_num(abstract)
        fresh.add_lvlOverride(ilvl=0).add_startOverride(1)
        return int(fresh.get(qn("w:numId")))

    def table(self, table: Node, place: Any) -> None:
        """A table under its caption, its head repeated on each page and no row split between two."""

        head, body = rows(table)
        if not head and not body:
            return
        laid = columns(table, self.room)
        said = caption(table)
        if said is not None:
            self.paragraph(said, place, "Caption")
        made = self.made.add_table(len(head) + len(body), len(laid.widths))
        made.style, made.autofit = "Table Grid", False
        for width, column in zip(laid.widths, made.columns, strict=True):
            column.width = Mm(width)
        grid = [list(row.cells) for row in made.rows]
        for number, row in enumerate((*head, *body)):
            office.row_rules(made.rows[number]._tr, number < len(head))
            if "pencil" in table.classes and number >= len(head):
                made.rows[number].height = Mm(8)
            for at, span, cell in cells(row):
                target = grid[number][at]
                if span > 1:
                    target = target.merge(grid[number][min(at + span, len(laid.widths)) - 1])
                self.cell(cell, target, Pt(laid.size), number < len(head))
            for width, target in zip(laid.widths, grid[number], strict=True):
                if target._tc.grid_span == 1:
                    target.width = Mm(width)
        self.made.add_paragraph().paragraph_format.space_after = 0

    def cell(self, cell: Node, target: Any, size: Any, head: bool) -> None:
        first = target.paragraphs[0]
        for each in blocks(cell):
            if each.tag == "p":
                line = first if first is not None else target.add_paragraph()
                self.run(each, line, bold=cell.tag == "th" and not head, italic=head)
                first = None
            else:
                self.block(each, target)
        for line in target.paragraphs:
            line.paragraph_format.space_after = 0
            for run in line.runs:
                run.font.size = size

    def figure(self, figure: Node, place: Any) -> None:
        """A drawing with its title beneath it, on one page."""
        drawn = next((node for node in figure.nodes() if node.tag == "svg"), None)
        if drawn is None:
            self.inside(figure, place)
            return
        line = place.add_paragraph()
        line.paragraph_format.keep_with_next = True
        self.mark(figure, line)
        self.picture(drawn, line)
        for said in figure.parts("figcaption"):
            beneath = self.paragraph(said, place, "Caption")
            beneath.add_run(reduced(drawn, self.room, self.tallest)[1])
            beneath.paragraph_format.keep_with_next = False

    def picture(self, drawn: Node, line: Any) -> None:
        width = float(drawn.keys["width"]) * reduced(drawn, self.room, self.tallest)[0]
        shape = line.add_run().add_picture(BytesIO(self.pictures[id(drawn)]), width=Mm(width))
        about = shape._inline.docPr
        about.set("descr", printable(drawn.keys["alt"]))

    # Text

    def run(self, node: Node, line: Any, **looks: bool) -> None:
        """The text inside a node, at the end of a line."""
        for part in node.inside:
            self.piece(part, line, looks)

    def piece(self, part: Node | str, line: Any, looks: dict[str, bool]) -> None:
        if isinstance(part, str):
            office.looking(line.add_run(part), looks)
        elif part.tag == "br":
            line.add_run().add_break()
        elif part.tag == "a" and part.keys.get("href", "")[1:] in self.whole.linked:
            self.link(line, part.keys["href"][1:], [part.words()], looks)
        elif part.tag == "img":
            line.add_run().add_picture(BytesIO(logo_png(part, DOTS)), height=Mm(16))
        else:
            classes = part.classes
            more = {
                "bold": part.tag == "strong" or "weight" in classes or "big" in classes,
                "italic": part.tag == "em" or "where" in classes or "invented" in classes,
                "superscript": part.tag == "sup",
                "soft": bool({"rule", "standing", "was"} & set(classes)),
                "mono": "digest" in classes,
            }
            self.mark(part, line)
            self.run(part, line, **{**looks, **{name: True for name, said in more.items() if said}})

    def link(self, line: Any, anchor: str, words: list[str], looks: dict[str, bool] | None = None) -> None:
        """Words that lead to another place of the document."""

        link = OxmlElement("w:hyperlink")
        link.set(qn("w:anchor"), self.bookmark(anchor))
        for each in words:
            run = line.add_run(printable(each))
            office.looking(run, looks or {})
            link.append(run._r)
        line._p.append(link)

    def mark(self, node: Node, line: Any) -> None:
        """A bookmark at a line that links lead to."""

        anchor = node.keys.get("id", "")
        if anchor not in self.whole.linked:
            return
        for kind in ("w:bookmarkStart", "w:bookmarkEnd"):
            element = OxmlElement(kind)
            name = self.bookmark(anchor)
            element.set(qn("w:id"), str(self.marks[anchor]))
            if kind == "w:bookmarkStart":
                element.set(qn("w:name"), name)
            line._p.append(element)

    def bookmark(self, anchor: str) -> str:
        """A bookmark's name: letters, digits and underscores, at most 40."""
        number = self.marks.setdefault(anchor, len(self.marks) + 1)
        return f"{re.sub(r'[^A-Za-z0-9]', '_', anchor)[:30]}_{number}"
