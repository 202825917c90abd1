"""A statement's HTML as a small tree, which its other forms are written from.

The subset is the one told in :mod:`listel.reports.statement`: nothing else may stand in a template, and a tag outside
it, or one left open, is told by name with its line, never passed over.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Iterator
from dataclasses import field
from html import escape, unescape
from html.parser import HTMLParser

from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import shown

BLOCKS = frozenset(["h1", "h2", "h3", "h4", "p", "table", "ul", "ol", "div", "figure", "svg"])
PARTS = frozenset(["caption", "thead", "tbody", "tr", "th", "td", "li", "figcaption"])
INLINE = frozenset(["span", "strong", "em", "sup", "a", "br", "img"])
_EMPTY = frozenset(("br", "img"))
_OWN_LINE = frozenset(("rule", "mend"))
"""Classes of span that start a line of their own, as the style sheet has them."""

_SVG = re.compile(r"(<svg\b.*?</svg>)", re.DOTALL)
_SVG_SIZE = re.compile(r'^<svg\b[^>]*? width="([0-9.]+)mm" height="([0-9.]+)mm"')
_DESCRIBED = re.compile(r"<desc>(.*?)</desc>", re.DOTALL)
_NOT_XML = re.compile("[\ufffe\uffff]")


class MarkupFault(InputFault):
    """HTML that is not of the subset: where it stands, and which tag is wrong."""


@dataclass
class Node:
    """One element: its tag, its attributes, and what is inside it. Text inside has its white space run together.

    A drawing is a node ``svg`` with the keys ``svg`` (its whole text), ``alt``, ``width`` and ``height`` (mm).
    """

    tag: str
    keys: dict[str, str] = field(default_factory=dict)
    inside: list[Node | str] = field(default_factory=list)

    @property
    def classes(self) -> list[str]:
        """The names of its class attribute."""
        return self.keys.get("class", "").split()

    def words(self) -> str:
        """All its text, as one line."""
        return " ".join("".join(self._pieces()).split())

    def _pieces(self) -> Iterator[str]:
        for part in self.inside:
            if isinstance(part, str):
                yield part
            elif part.tag == "br":
                yield " "
            else:
                yield from part._pieces()

    def nodes(self) -> Iterator[Node]:
        """Itself and every node inside it, in the order of the text."""
        yield self
        for part in self.inside:
            if isinstance(part, Node):
                yield from part.nodes()

    def parts(self, tag: str) -> list[Node]:
        """The nodes of that tag inside it, each once, none of another table's or list's inside those."""
        found = []
        for part in self.inside:
            if isinstance(part, Node):
                found += [part] if part.tag == tag else part.parts(tag) if part.tag in ("thead", "tbody") else []
        return found


def tree(html: str, name: str = "the statement") -> Node:
    """The tree of some HTML of the subset, under one node ``div``; ``name`` says in a fault what the HTML is.

    Raises MarkupFault for a tag outside the subset, one left open, or one closed that was not open.
    """
    return _Reader(name).read(html)


_KEYS = frozenset(["class", "id", "scope", "colspan", "rowspan", "headers", "lang", "alt", "href", "src"])


def safe(html: str, name: str, drawings: Container[str]) -> str:
    """The HTML of a template that is not ours, written anew from its tree, so that nothing stands in it but the subset:
    its drawings are among ``drawings``, its links lead within the statement, its pictures hold themselves.

    Raises MarkupFault as :func:`tree` does.
    """
    return "".join(_written(part, name, drawings) for part in tree(html, name).inside)


def _written(part: Node | str, name: str, drawings: Container[str]) -> str:
    if isinstance(part, str):
        return escape(part, quote=False)
    if part.tag == "svg":
        if part.keys["svg"] not in drawings:
            raise MarkupFault(f"{name}: a drawing is made by drawing(...), and is not written into a template")
        return part.keys["svg"]
    for key, value in part.keys.items():
        inside = value.startswith("#") if key == "href" else value.startswith("data:image/") if key == "src" else True
        if key not in _KEYS or not inside:
            raise MarkupFault(
                f'{name}: <{part.tag} {shown(key)}="{shown(value)}"> is not in the statement\'s HTML: it is one file'
            )
    keys = "".join(f' {key}="{escape(value)}"' for key, value in part.keys.items())
    if part.tag in _EMPTY:
        return f"<{part.tag}{keys}>"
    return f"<{part.tag}{keys}>{''.join(_written(each, name, drawings) for each in part.inside)}</{part.tag}>"


def blocks(node: Node) -> list[Node]:
    """What is inside a node as blocks only: text that stands loose between them becomes a paragraph."""
    found: list[Node] = []
    loose: list[Node | str] = []
    for part in [*node.inside, None]:
        if isinstance(part, str) or (part is not None and part.tag in INLINE):
            loose.append(part)
            continue
        if any(isinstance(each, Node) or each.strip() for each in loose):
            found.append(Node("p", {}, _trimmed(loose)))
        loose = []
        if part is not None:
            found.append(part)
    return found


def _trimmed(run: list[Node | str]) -> list[Node | str]:
    """A run of text without white space or line breaks at its end."""
    run = list(run)
    while run and (run[-1].tag == "br" if isinstance(run[-1], Node) else not run[-1].strip()):
        run.pop()
    if run and isinstance(run[-1], str):
        run[-1] = run[-1].rstrip()
    return run


class _Reader(HTMLParser):
    """Builds the tree; drawings are lifted out whole, since HTML's reader would change the case of their attributes."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.name = name
        self.open: list[Node] = [Node("div")]
        self.spaced = True
        self.lines = 0

    def read(self, html: str) -> Node:
        for piece in _SVG.split(html):
            if piece.startswith("<svg"):
                self.put(_drawing(piece))
                self.lines += piece.count("\n")
            else:
                self.feed(piece)
        self.close()
        if len(self.open) > 1:
            raise self.fault(f"<{self.open[-1].tag}> is left open")
        return self.open[0]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in BLOCKS | PARTS | INLINE:
            raise self.fault(f"<{shown(tag)}> is not in the statement's HTML; see reports/statement.py for what is")
        node = Node(tag, {key: value or "" for key, value in attrs})
        if _OWN_LINE.intersection(node.classes) and not self.at_start():
            self.open[-1].inside = [*_trimmed(self.open[-1].inside), Node("br")]
        self.put(node)
        if tag not in _EMPTY:
            self.open.append(node)
        if tag not in INLINE or tag == "br" or _OWN_LINE.intersection(node.classes):
            self.spaced = True

    def handle_endtag(self, tag: str) -> None:
        if tag in _EMPTY:
            return
        if len(self.open) == 1 or self.open[-1].tag != tag:
            raise self.fault(f"</{shown(tag)}> closes what is not open, or not innermost")
        node = self.open.pop()
        if tag not in INLINE:
            node.inside = _trimmed(node.inside)
            self.spaced = True

    def handle_data(self, data: str) -> None:
        text = re.sub(r"[ \t\r\n\f]+", " ", data)
        if self.spaced:
            text = text.lstrip(" ")
        if text:
            self.spaced = text.endswith(" ")
            self.open[-1].inside.append(printable(text))

    def put(self, node: Node) -> None:
        self.open[-1].inside.append(node)

    def at_start(self) -> bool:
        inside = self.open[-1].inside
        last = inside[-1] if inside else None
        return last is None or (isinstance(last, Node) and last.tag in BLOCKS | {"br"})

    def fault(self, says: str) -> MarkupFault:
        return MarkupFault(f"{self.name}, line {self.getpos()[0] + self.lines}: {says}")


def printable(text: str) -> str:
    """The text on one line, with what no file of XML may hold put as the replacement character."""
    return text if text.isprintable() else _NOT_XML.sub("\ufffd", "".join(map(_printed, text)))


def _printed(letter: str) -> str:
    if unicodedata.category(letter) not in ("Cc", "Cs", "Zl", "Zp"):
        return letter
    return " " if letter.isspace() else "\ufffd"


def _drawing(svg: str) -> Node:
    size = _SVG_SIZE.match(svg)
    described = _DESCRIBED.search(svg)
    if size is None or described is None:
        raise MarkupFault("a drawing of the statement does not say its size in mm, or has no description")
    keys = {"svg": svg, "alt": unescape(described[1]), "width": size[1], "height": size[2]}
    return Node("svg", keys)
