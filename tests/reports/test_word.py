"""The statement as a Word document: its styles, tables, pictures, fields, and what hostile names make of it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from io import BytesIO
from zipfile import ZipFile

import pytest
from docx import Document
from docx.oxml.ns import qn
from lxml import etree

from listel.core.host.outcome import Outcome
from listel.reports.statement import Statement, compose
from listel.reports.word import DOTS, to_word

FIGURE = re.compile(r"\d[\d.,]*\d|\d")
HOSTILE = "<w:p/>&amp;\"'\x00\x07\x1b\ufffe\ud800 ]]> {{ 7 * 7 }} \u202e"


@pytest.fixture(scope="module")
def made() -> dict[str, object]:
    """Filled by the first test that asks, so that the small job is written but once."""
    return {}


@pytest.fixture
def small(made: dict[str, object], outcome: Outcome) -> tuple[Statement, bytes]:
    """The small job's statement and its Word document."""
    if not made:
        statement = compose(outcome)
        made.update(statement=statement, content=to_word(statement))
    return made["statement"], made["content"]  # type: ignore[return-value]


def body(content: bytes) -> etree._Element:
    """The document's own XML."""
    return etree.fromstring(ZipFile(BytesIO(content)).read("word/document.xml"))


def words(html: str) -> str:
    """The words of the statement's HTML outside its drawings, as one line."""
    plain = re.sub(r"<svg.*?</svg>|</?(?:strong|em|span|a|sup)\b[^>]*>", "", html, flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", plain)).split())


def text(content: bytes) -> str:
    """All the document's words, block by block, on one line."""
    lines = []
    for line in body(content).iter(qn("w:p")):
        pieces = (" " if node.tag == qn("w:br") else node.text or "" for node in line.iter(qn("w:t"), qn("w:br")))
        lines.append("".join(pieces))
    return " ".join(" ".join(lines).split())


def test_headings_are_real_styles(small: tuple[Statement, bytes]) -> None:
    statement, content = small
    document = Document(BytesIO(content))
    heads = [line.text.replace("\u2002", " ") for line in document.paragraphs if line.style.name == "Heading 1"]
    assert heads == ["In short", "Contents", *(f"{part.number} {part.title}" for part in statement.parts)]
    assert [line.text for line in document.paragraphs if line.style.name == "Title"] == [statement.title]
    assert {"Heading 2", "Caption", "List Bullet", "List Number"} <= {line.style.name for line in document.paragraphs}


def test_heads_of_tables_are_repeated_and_rows_are_whole(small: tuple[Statement, bytes]) -> None:
    statement, content = small
    given = "".join((statement.head, statement.short, *(part.body for part in statement.parts)))
    tables = Document(BytesIO(content)).tables
    assert len(tables) == given.count("<table")
    repeated = [row for table in tables for row in table._tbl.tr_lst if row.find(f".//{qn('w:tblHeader')}") is not None]
    assert len(repeated) == given.count("<thead")
    assert all(row.find(f".//{qn('w:cantSplit')}") is not None for table in tables for row in table._tbl.tr_lst)


def test_no_table_is_wider_than_the_text(small: tuple[Statement, bytes]) -> None:
    document = Document(BytesIO(small[1]))
    section = document.sections[0]
    room = section.page_width - section.left_margin - section.right_margin
    for table in document.tables:
        assert sum(column.width for column in table.columns) <= room * 1.001


def test_pictures_have_their_words_size_and_fineness(small: tuple[Statement, bytes]) -> None:
    statement, content = small
    given = "".join((statement.head, statement.short, *(part.body for part in statement.parts)))
    drawn = re.findall(r'<svg[^>]* width="([0-9.]+)mm".*?<desc>(.*?)</desc>', given)
    shapes = Document(BytesIO(content)).inline_shapes
    assert len(shapes) == len(drawn)
    for shape, (width, alt) in zip(shapes, drawn, strict=True):
        assert shape._inline.docPr.get("descr") == unescape(alt)
        assert shape.width == pytest.approx(float(width) * 36000, rel=0.002)
        part = Document(BytesIO(content)).part.related_parts[shape._inline.graphic.graphicData.pic.blipFill.blip.embed]
        assert part.image.px_width == pytest.approx(float(width) / 25.4 * DOTS, abs=2)


def test_head_foot_and_properties(small: tuple[Statement, bytes]) -> None:
    statement, content = small
    document = Document(BytesIO(content))
    assert document.core_properties.title == f"{statement.title}: method statement, revision {statement.revision}"
    assert document.core_properties.created.date().isoformat() == statement.dated
    section = document.sections[0]
    assert section.header.paragraphs[0].text == f"{statement.title}, revision A\tNot for issue"
    foot = section.footer.paragraphs[0]
    assert foot.text.startswith(statement.foot)
    assert [each.text.strip() for each in foot._p.iter(qn("w:instrText"))] == ["PAGE", "NUMPAGES"]


def test_fields_open_and_close(small: tuple[Statement, bytes]) -> None:
    kinds = [mark.get(qn("w:fldCharType")) for mark in body(small[1]).iter(qn("w:fldChar"))]
    assert kinds == ["begin", "separate", "end"]


def test_every_link_has_its_bookmark(small: tuple[Statement, bytes]) -> None:
    root = body(small[1])
    marks = [mark.get(qn("w:name")) for mark in root.iter(qn("w:bookmarkStart"))]
    links = {link.get(qn("w:anchor")) for link in root.iter(qn("w:hyperlink"))}
    assert len(marks) == len(set(marks))
    assert links
    assert links <= set(marks)
    assert all(len(mark) <= 40 for mark in marks)


def test_every_figure_is_the_statements_and_none_is_lost(small: tuple[Statement, bytes]) -> None:
    statement, content = small
    told = [words(statement.head), words(statement.short), *(f"{part.number} {part.title}" for part in statement.parts)]
    told += [f"{part.number} {part.title} {words(part.body)}" for part in statement.parts]
    given = Counter(figure for each in told for figure in FIGURE.findall(each))
    shown = Counter(FIGURE.findall(text(content)))
    assert shown == given


def test_lists_begin_at_one(small: tuple[Statement, bytes]) -> None:
    statement, content = small
    numbers = {
        line._p.pPr.numPr.numId.val
        for line in Document(BytesIO(content)).paragraphs
        if line.style.name == "List Number"
    }
    assert len(numbers) == sum(part.body.count("<ol") for part in statement.parts)


def test_same_bytes(make_outcome: Callable[..., Outcome], small: tuple[Statement, bytes]) -> None:
    assert to_word(compose(make_outcome())) == small[1]


@pytest.mark.parametrize("name", [HOSTILE, "Σαλόνι", "غرفة الجلوس", "🪵🚪 room", "t" * 3000])
def test_names_of_every_kind(make_outcome: Callable[..., Outcome], name: str) -> None:
    job = make_outcome().job
    given = dict.fromkeys(("title", "reference", "revision", "client", "site", "surveyor", "note"), name)
    room = replace(job.rooms[0], name=name, walls=job.rooms[0].walls[:1])
    statement = compose(make_outcome(replace(job, rooms=(room,), **given), given={}, found=()), dated=name)
    content = to_word(statement)
    for part in ZipFile(BytesIO(content)).namelist():
        if part.endswith((".xml", ".rels")):
            etree.fromstring(ZipFile(BytesIO(content)).read(part))
    shown = text(content)
    wanted = "<w:p/>&amp;\"'\ufffd\ufffd\ufffd\ufffd\ufffd ]]> {{ 7 * 7 }}" if name == HOSTILE else name
    assert wanted in shown
