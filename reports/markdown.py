"""The statement as Markdown, for those who keep things under version control: CommonMark, with pipe tables."""

from __future__ import annotations

import re

from listel.reports.columns import caption, cells, rows
from listel.reports.statement import Statement
from listel.reports.trees import whole
from listel.reports.walk import Node, blocks, printable

_SPECIAL = re.compile(r"([\\`*_\[\]<>|~$])")
_ENTITY = re.compile(r"&(?=#?\w+;)")
_AT_START = re.compile(r"^(\s*)([#+=-]|\d+(?=[.)]))")
_HEADS = {"h1": "#", "h2": "##", "h3": "###", "h4": "####"}


def to_markdown(statement: Statement, folder: str) -> tuple[str, dict[str, str]]:
    """The statement's text, and its drawings (SVG) by file name; the text links them in the folder of that name.

    Raises MarkupFault where a template leaves the subset of HTML.
    """
    writer = _Writer(statement, folder)
    return writer.text(), writer.drawings


class _Writer:
    """Walks the statement's tree; each block becomes lines, and blank lines stand between blocks."""

    def __init__(self, statement: Statement, folder: str) -> None:
        self.statement, self.folder = statement, folder
        self.drawings: dict[str, str] = {}
        self.whole = whole(statement)

    def text(self) -> str:
        """The whole file."""
        shown = self.statement
        listed = "\n".join(f"{part.number}. [{escaped(part.title)}](#{part.name})" for part in shown.parts)
        pieces = [
            *self.inside(self.whole.head),
            *self.inside(self.whole.short),
            *([] if shown.pack else ["## Contents", listed]),
        ]
        pieces += [piece for part in self.whole.parts for piece in self.inside(part)]
        pieces += ["---", escaped(shown.foot)]
        return "\n\n".join(piece for piece in pieces if piece) + "\n"

    def inside(self, node: Node) -> list[str]:
        """What is inside a node, block by block."""
        return [piece for each in blocks(node) for piece in self.block(each)]

    def block(self, node: Node) -> list[str]:
        tag = node.tag
        if tag in _HEADS:
            return [self.anchored(node.keys.get("id", ""), f"{_HEADS[tag]} {self.run(node)}")]
        if tag == "p":
            return [_safe_start(self.run(node, "\\\n"))]
        if tag in ("ul", "ol"):
            return [self.items(node)]
        if tag == "table":
            return self.table(node)
        if tag == "figure":
            return self.figure(node)
        return [self.picture(node)] if tag == "svg" else self.inside(node)

    def items(self, node: Node) -> str:
        """A list; what is inside an item is set in by the width of its mark."""
        lines = []
        for number, item in enumerate(node.parts("li"), 1):
            mark = f"{number}. " if node.tag == "ol" else "- "
            pieces = _joined(self.inside(item))
            anchor = f'<a id="{item.keys["id"]}"></a>' if item.keys.get("id", "") in self.whole.linked else ""
            lines.append(mark + (anchor + pieces).replace("\n", "\n" + " " * len(mark)))
        return "\n".join(lines)

    def table(self, table: Node) -> list[str]:
        """A pipe table under its caption; one without a head gets an empty one, which the form wants."""
        head, body = rows(table)
        lines = [self.row(row) for row in (head or [Node("tr")])[:1] + body]
        count = max(len(line) for line in lines)
        full = [f"| {' | '.join([*line, *[''] * (count - len(line))])} |" for line in lines]
        said = caption(table)
        title = [f"**{self.run(said)}**"] if said is not None else []
        return [*title, "\n".join([full[0], "|" + " --- |" * count, *full[1:]])]

    def row(self, row: Node) -> list[str]:
        return [words for _, span, cell in cells(row) for words in (self.cell(cell), *[""] * (span - 1))]

    def cell(self, cell: Node) -> str:
        pieces = [self.run(each, "<br>") if each.tag == "p" else " ".join(self.block(each)) for each in blocks(cell)]
        return "<br>".join(pieces).replace("\n", " ")

    def figure(self, figure: Node) -> list[str]:
        drawn = next((node for node in figure.nodes() if node.tag == "svg"), None)
        if drawn is None:
            return self.inside(figure)
        said = [self.run(node) for node in figure.parts("figcaption")]
        return [self.anchored(figure.keys.get("id", ""), self.picture(drawn)), *said]

    def picture(self, drawn: Node) -> str:
        name = f"drawing-{len(self.drawings) + 1}.svg"
        self.drawings[name] = drawn.keys["svg"] + "\n"
        return f"![{escaped(drawn.keys['alt'])}](<{self.folder}/{name}>)"

    def anchored(self, anchor: str, words: str) -> str:
        """The words under a place that links lead to."""
        return f'<a id="{anchor}"></a>\n\n{words}' if anchor in self.whole.linked else words

    def run(self, node: Node, break_line: str = " ") -> str:
        """The text inside a node."""
        return "".join(self.piece(part, break_line) for part in node.inside)

    def piece(self, part: Node | str, break_line: str) -> str:
        if isinstance(part, str):
            return escaped(part)
        if part.tag in ("br", "img"):
            return break_line if part.tag == "br" else ""
        words = self.run(part, break_line)
        if part.tag == "a":
            target = part.keys.get("href", "")
            return f"[{words}]({target})" if target[1:] in self.whole.linked else words
        if part.tag == "sup":
            return f"<sup>{words}</sup>"
        heavy = part.tag == "strong" or "weight" in part.classes
        slanted = part.tag == "em" or "where" in part.classes
        return _marked(words, "**" if heavy else "*" if slanted else "")


def _joined(pieces: list[str]) -> str:
    """The blocks of an item: a list follows on its words at once, whatever else stands off."""
    joined = "".join(("\n" if piece.startswith(("- ", "1. ")) else "\n\n") + piece for piece in pieces)
    return joined.lstrip("\n")


def _marked(words: str, mark: str) -> str:
    """The words between marks, with the space at their ends outside, as the form wants it."""
    bare = words.strip()
    if not bare or not mark:
        return words
    before, after = words[: len(words) - len(words.lstrip())], words[len(words.rstrip()) :]
    return f"{before}{mark}{bare}{mark}{after}"


def escaped(text: str) -> str:
    """Text as Markdown that means exactly that text."""
    return _ENTITY.sub(r"\\&", _SPECIAL.sub(r"\\\1", printable(text).replace("\u2002", " ")))


def _safe_start(line: str) -> str:
    """A paragraph that begins as no heading, list or rule does."""
    return _AT_START.sub(lambda found: found[1] + _escaped_mark(found[2]), line)


def _escaped_mark(mark: str) -> str:
    return mark + "\\" if mark.isdecimal() else "\\" + mark
