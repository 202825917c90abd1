"""A whole statement as trees, which its other forms are written from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.quick import dataclass
from listel.reports.statement import Statement
from listel.reports.walk import Node, printable, tree


@dataclass(frozen=True)
class Whole:
    """A whole statement as trees: its title block, its opening, its parts under their headings, and what is linked."""

    head: Node
    short: Node
    parts: tuple[Node, ...]
    linked: frozenset[str]

    def nodes(self) -> Iterator[Node]:
        """Every node of it, in the order of the text."""
        for each in (self.head, self.short, *self.parts):
            yield from each.nodes()


def whole(statement: Statement) -> Whole:
    """The trees of a statement. Raises MarkupFault as :func:`tree` does."""
    parts = []
    for part in statement.parts:
        body = tree(part.body, part.title)
        for node in body.nodes():
            node.tag = "h3" if node.tag == "h2" else node.tag
        title = printable(part.title)
        heading = Node("h2", {"id": part.name}, [f"{part.number}\u2002{title}" if part.number else title])
        parts.append(Node("div", {}, [heading, *body.inside]))
    made = Whole(
        tree(statement.head, "the title block"), tree(statement.short, "the opening"), tuple(parts), frozenset()
    )
    places = {node.keys["id"] for node in made.nodes() if "id" in node.keys}
    aims = {node.keys["href"][1:] for node in made.nodes() if node.keys.get("href", "").startswith("#")}
    return replace(made, linked=frozenset(places & (aims | {part.name for part in statement.parts})))
