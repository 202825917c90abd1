"""The small tree of the statement's HTML: what it holds, and what it refuses by name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import escape

from listel.core.contract.stage import READERS
from listel.reports.columns import SIZES, columns
from listel.reports.statement import compose
from listel.reports.trees import whole
from listel.reports.walk import MarkupFault, Node, blocks, printable, tree


def shape(node: Node) -> object:
    """A node as nested tuples."""
    return (node.tag, *(part if isinstance(part, str) else shape(part) for part in node.inside))


def test_white_space_runs_together() -> None:
    html = "\n<p>\n one <em> two</em>\n  three </p>\n<ul>\n<li> a </li>\n</ul>\n"
    assert shape(tree(html)) == ("div", ("p", "one ", ("em", "two"), " three"), ("ul", ("li", "a")))


def test_loose_text_becomes_a_paragraph() -> None:
    (item,) = tree("<ul><li>one <strong>two</strong><ul><li>x</li></ul>three</li></ul>").inside[0].inside  # type: ignore[union-attr]
    assert isinstance(item, Node)
    assert [shape(each) for each in blocks(item)] == [
        ("p", "one ", ("strong", "two")),
        ("ul", ("li", "x")),
        ("p", "three"),
    ]


def test_a_span_on_its_own_line_is_broken_off() -> None:
    assert shape(tree('<p>a <span class="rule">b</span></p>')) == ("div", ("p", "a", ("br",), ("span", "b")))


@pytest.mark.parametrize(
    ("html", "says"),
    [
        ("<p>a</p>\n<video></video>", "part, line 2: <video> is not in the statement's HTML"),
        ("<script>x</script>", "<script> is not"),
        ("<p>\n<em>a</p>", "part, line 2: </p> closes what is not open"),
        ("<ul><li>a</ul>", "</ul> closes"),
        ("<div>", "<div> is left open"),
        ("</p>", "</p> closes"),
        ("<svg width='4'></svg>", "does not say its size"),
    ],
)
def test_what_is_not_of_the_subset_is_told(html: str, says: str) -> None:
    with pytest.raises(MarkupFault) as told:
        tree(html, "part")
    assert says in str(told.value)


@pytest.mark.parametrize("readers", READERS)
def test_our_templates_keep_to_the_subset(outcome, readers) -> None:  # type: ignore[no-untyped-def]
    statement = compose(outcome, readers=readers)
    made = whole(statement)
    heads = [node.words() for part in made.parts for node in part.nodes() if node.tag == "h2"]
    assert heads == [f"{part.number} {part.title}" if part.number else part.title for part in statement.parts]
    assert {part.name for part in statement.parts} <= made.linked


@given(st.text(max_size=200))
def test_text_comes_through_whole(text: str) -> None:
    assert tree(f"<p>{escape(text)}</p>").words().split() == printable(text).split()


@given(st.lists(st.lists(st.text(max_size=60), min_size=3, max_size=3), min_size=1, max_size=8), st.floats(60, 200))
def test_a_table_is_never_wider_than_the_text(rows: list[list[str]], room: float) -> None:
    cells = "".join("<tr>" + "".join(f"<td>{escape(word)}</td>" for word in row) + "</tr>" for row in rows)
    laid = columns(tree(f"<table><tbody>{cells}</tbody></table>").inside[0], room)  # type: ignore[arg-type]
    assert laid.size in SIZES
    assert len(laid.widths) == 3
    assert all(width > 0 for width in laid.widths)
    assert sum(laid.widths) == pytest.approx(room)


def test_a_column_with_one_long_cell_has_room_for_it() -> None:
    """What makes a row high has more of the width, though the other rows of its column are empty."""
    stations = " ".join(str(at) for at in range(160, 1460, 100))
    row = "<tr><td>{0}</td><td>{0}</td><td>{1}</td></tr>"
    table = f"<table><tbody>{row.format(stations, '') * 2}{row.format(stations, stations)}</tbody></table>"
    widths = columns(tree(table).inside[0], 60.0).widths  # type: ignore[arg-type]
    assert widths[2] > 0.6 * widths[0]
