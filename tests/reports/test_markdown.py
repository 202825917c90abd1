"""The statement as Markdown: what another reader of Markdown makes of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from listel.core.contract.stage import Section
from listel.core.host.outcome import Outcome
from listel.reports.markdown import escaped, to_markdown
from listel.reports.statement import compose
from listel.reports.walk import printable

READER = MarkdownIt("commonmark").enable("table")
NAMES = (
    "Σαλόνι",
    "غرفة الجلوس",
    "🪵🚪 room",
    "a|b",
    "# not a heading",
    "1. not a list",
    "- nor this",
    "[x](y)",
    "<b>",
    "&amp;",
)


def words(html: str) -> str:
    """The words of some HTML, as one line."""
    from html import unescape

    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def test_headings_tables_and_drawings(outcome: Outcome) -> None:
    text, drawings = to_markdown(compose(outcome), "job-drawings")
    html = READER.render(text)
    statement = compose(outcome)
    for part in statement.parts:
        assert f'<a id="{part.name}"></a>' in text
        assert f"<h2>{part.number} {part.title}</h2>" in html.replace("&amp;", "&")
    bodies = [statement.head, statement.short, *(part.body for part in statement.parts)]
    assert html.count("<table>") == sum(body.count("<table") for body in bodies)
    assert set(re.findall(r"\]\(<job-drawings/([^>]+)>\)", text)) == set(drawings)
    assert len(drawings) == sum(body.count("<svg") for body in bodies)
    assert all(drawing.startswith("<svg ") for drawing in drawings.values())


def test_every_link_has_its_place(outcome: Outcome) -> None:
    text, _ = to_markdown(compose(outcome), "d")
    links = set(re.findall(r"\]\(#([^)]+)\)", text))
    assert links
    assert links <= set(re.findall(r'<a id="([^"]+)"></a>', text))


def test_no_figure_is_lost_or_added(outcome: Outcome) -> None:
    statement = compose(outcome)
    text, _ = to_markdown(statement, "d")
    for part in statement.parts:
        given_figures = re.findall(r"\d[\d.,]*", words(re.sub(r"<svg.*?</svg>", " ", part.body, flags=re.S)))
        start = text.index(f'<a id="{part.name}"></a>')
        end = text.find('<a id="part-', start + 10)
        shown = re.sub(r"!\[.*?\]\(<[^>]*>\)", " ", text[start:end], flags=re.S)
        found = re.findall(r"\d[\d.,]*", words(READER.render(re.sub(r"^\d+\. ", "- ", shown, flags=re.M))))
        assert set(given_figures) <= set(found), part.name


def test_same_bytes(make_outcome: Callable[..., Outcome]) -> None:
    assert to_markdown(compose(make_outcome()), "d") == to_markdown(compose(make_outcome()), "d")


@pytest.mark.parametrize("name", NAMES)
def test_names_mean_themselves(make_outcome: Callable[..., Outcome], name: str) -> None:
    job = make_outcome().job
    room = replace(job.rooms[0], name=name)
    text, _ = to_markdown(compose(make_outcome(replace(job, title=name, rooms=(room,)), given={})), "d")
    html = READER.render(text)
    tokens = READER.parse(text)
    titles = [
        tokens[n + 1].content for n, token in enumerate(tokens) if token.type == "heading_open" and token.tag == "h1"
    ]
    assert len(titles) == 1
    assert words(READER.renderInline(titles[0])) == name
    assert f"Walls of {name}, as surveyed" in words(html)


@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=60))
@example("| `a` *b* _c_ [d](e) <f> &amp; ~~g~~ $h$ \\ ![i](j)")
@example("&#35;")
def test_text_means_exactly_itself(text: str) -> None:
    html = READER.render("x " + escaped(text) + " x")
    assert "<" not in html.replace("<p>", "").replace("</p>", "")
    assert words(html).split() == ["x", *printable(text).split(), "x"]


@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=40))
@example("a|b")
@example("a\\|b")
def test_a_cell_stays_one_cell(text: str) -> None:
    html = READER.render(f"| h | i |\n| --- | --- |\n| x{escaped(text)}x | y |\n")
    assert html.count("<td>") == 2
    assert html.count("<tr>") == 2


def test_spanned_cells_and_lists_in_cells(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "section.html.j2"
    template.write_text(
        "<table><caption>c</caption><thead><tr><th>a</th><th>b</th></tr></thead>"
        '<tbody><tr><td colspan="2">whole</td></tr><tr><td>1<br>2</td><td><p>p</p><p>q</p></td></tr></tbody></table>',
        "utf-8",
    )
    text, _ = to_markdown(compose(make_outcome(sections=(Section("heights", "Heights", 200, template),))), "d")
    assert "| whole |  |\n| 1<br>2 | p<br>q |" in text
