"""The statement as PDF: its pages, its figures, its tags, and what may never be read as Typst."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from io import BytesIO
from pathlib import Path

import pytest
from docx import Document
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from listel.core.contract.stage import Section
from listel.core.host.outcome import Outcome
from listel.core.survey.faults import InputFault
from listel.reports import pdf
from listel.reports.pdf import Paper, quoted, to_pdf
from listel.reports.statement import Statement, compose, to_html
from listel.reports.walk import MarkupFault, printable
from listel.reports.word import to_word

FIGURE = re.compile(r"\d[\d.,]*\d|\d")
HOSTILE = '#panic("x") $x$ *b* _i_ `c` <l> @l [b] \\ " // /* #eval("1") ] } ) " + read("/etc/passwd") + "'


def read(paper: Paper) -> PdfReader:
    """The pages of a PDF."""
    return PdfReader(BytesIO(paper.content))


def text(paper: Paper) -> str:
    """All its text, on one line."""
    return " ".join(" ".join(page.extract_text() for page in read(paper).pages).replace("\u00ad", "").split())


def words(html: str) -> str:
    """The words of the statement's HTML outside its drawings, as one line."""
    plain = re.sub(r"<svg.*?</svg>|</?(?:strong|em|span|a)\b[^>]*>", "", html, flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", plain)).split())


@pytest.fixture(scope="module")
def made(request: pytest.FixtureRequest) -> dict[str, object]:
    """Filled by the first test that asks, so that the small job is set but once."""
    return {}


@pytest.fixture
def small(made: dict[str, object], outcome: Outcome) -> tuple[Statement, Paper]:
    """The small job's statement and its PDF."""
    if not made:
        statement = compose(outcome)
        made.update(statement=statement, paper=to_pdf(statement))
    return made["statement"], made["paper"]  # type: ignore[return-value]


def test_title_language_pages_and_bookmarks(small: tuple[Statement, Paper]) -> None:
    statement, paper = small
    pages = read(paper)
    assert paper.standards == ("a-2a", "ua-1")
    assert not paper.lacks
    assert pages.metadata is not None
    assert pages.metadata.title == f"{statement.title}: method statement, revision {statement.revision}"
    catalog = pages.trailer["/Root"]
    assert str(catalog["/Lang"]).startswith("en")
    assert catalog["/MarkInfo"]["/Marked"]
    metadata = catalog["/Metadata"].get_object().get_data().decode()
    assert re.search(r"pdfaid:part\W+2\W", metadata)
    assert re.search(r"pdfaid:conformance\W+A\W", metadata)
    assert re.search(r"pdfuaid:part\W+1\W", metadata)
    marks = [str(mark["/Title"]).replace("\u2002", " ") for mark in pages.outline if not isinstance(mark, list)]
    assert marks == ["In short", "Contents", *(f"{part.number} {part.title}" for part in statement.parts)]


def test_every_page_tells_which_of_how_many(small: tuple[Statement, Paper]) -> None:
    statement, paper = small
    pages = read(paper).pages
    for number, page in enumerate(pages, 1):
        shown = " ".join(page.extract_text().split())
        assert f"{number} of {len(pages)}" in shown
        assert "Not for issue" in shown
        assert f"{statement.title}, revision {statement.revision}" in shown
        assert statement.foot in shown


def test_fit_for_issue_has_no_warning(make_outcome: Callable[..., Outcome]) -> None:
    assert "Not for issue" not in text(to_pdf(compose(make_outcome(found=()))))


def test_every_figure_is_the_statements_and_none_is_lost(small: tuple[Statement, Paper]) -> None:
    statement = replace(small[0], parts=tuple(replace(part, body=undrawn(part.body)) for part in small[0].parts))
    paper = to_pdf(statement)
    told = [words(statement.head), words(statement.short)]
    told += [f"{part.number} {part.title} {words(part.body)}" for part in statement.parts]
    told += [f"{part.number} {part.title}" for part in statement.parts]
    pages = read(paper).pages
    running = f"{statement.title}, revision {statement.revision} {statement.foot} {len(pages)}"
    given_figures = Counter(figure for each in (*told, *[running] * len(pages)) for figure in FIGURE.findall(each))
    numbers = Counter([str(number) for number in range(1, len(pages) + 1)] * 999)
    shown = Counter(FIGURE.findall(text(paper)))
    assert dict(shown - given_figures - numbers) == {}
    assert dict(given_figures - shown - numbers) == {}
    assert len(shown) > 40


def undrawn(body: str) -> str:
    """A part's body without its drawings, whose lettering stands close."""
    return re.sub(r"<figure.*?</figure>", "", body, flags=re.S)


def test_lettering_of_the_drawings_is_text(small: tuple[Statement, Paper]) -> None:
    statement, paper = small
    shown = re.sub(r"\s", "", text(paper))
    drawn = [unescape(each) for part in statement.parts for each in re.findall(r"<text[^>]*>([^<]*)", part.body)]
    assert drawn
    assert [each for each in drawn if re.sub(r"\s", "", each) not in shown] == []


def test_words_of_every_part_are_there(small: tuple[Statement, Paper]) -> None:
    statement, paper = small
    shown = set(re.sub(r"[^\w]", " ", text(paper)).split())
    for part in statement.parts:
        wanted = set(re.sub(r"[^\w]", " ", words(part.body)).split())
        missing = {word for word in wanted - shown if len(word) < 20}
        assert len(missing) <= len(wanted) * 0.04, (part.name, missing)


def test_links_lead_inside_only(small: tuple[Statement, Paper]) -> None:
    _, paper = small
    links = [note.get_object() for page in read(paper).pages for note in page.get("/Annots", ())]
    assert links
    assert all(link["/Subtype"] == "/Link" for link in links)
    assert all("/Dest" in link or link["/A"]["/S"] == "/GoTo" for link in links)


def test_drawings_stand_at_their_scale(small: tuple[Statement, Paper]) -> None:
    statement, _ = small
    walker = pdf._Walker(statement, "a4")
    source = walker.source("")
    sizes = re.findall(r'<svg[^>]* width="([0-9.]+)mm"', "".join(part.body for part in statement.parts))
    assert sizes
    for width in sizes:
        assert f"width: {float(width):.2f}mm" in source
    assert "of its scale" not in source


def test_a_drawing_too_tall_for_the_page_says_so(small: tuple[Statement, Paper]) -> None:
    part = next(part for part in small[0].parts if "<svg" in part.body)
    tall = re.sub(r'height="[0-9.]+mm"', 'height="400mm"', part.body, count=1)
    shown = text(to_pdf(replace(small[0], parts=(replace(part, body=tall),))))
    assert "Drawn at 63% of its scale, to fit the page." in shown


def test_same_bytes(make_outcome: Callable[..., Outcome], small: tuple[Statement, Paper]) -> None:
    assert to_pdf(compose(make_outcome())).content == small[1].content


def test_undated_statement_is_no_archive_file(make_outcome: Callable[..., Outcome]) -> None:
    statement = compose(make_outcome(found=()), dated="some day in spring")
    assert to_pdf(replace(statement, parts=())).standards == ("ua-1",)


def test_letter_paper(small: tuple[Statement, Paper]) -> None:
    page = read(to_pdf(replace(small[0], parts=small[0].parts[:1]), "us-letter")).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (612, 792)


def section(folder: Path, html: str) -> Section:
    """A section whose body is that HTML."""
    template = folder / "section.html.j2"
    template.write_text(html, "utf-8")
    return Section("heights", "Heights", 200, template)


def test_heads_are_repeated_and_no_heading_ends_a_page(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    rows = "".join(f"<tr><td>row {n}</td><td>{n * 7}</td></tr>" for n in range(150))
    head = "<thead><tr><th>Name here</th><th>Amount</th></tr></thead>"
    table = f"<table><caption>Long</caption>{head}<tbody>{rows}</tbody></table>"
    headed = "".join(f"<h3>Heading {n}</h3><p>{'word ' * (20 + 7 * n % 90)}</p>" for n in range(60))
    statement = compose(make_outcome(found=(), sections=(section(tmp_path, table + headed),)))
    part = next(part for part in statement.parts if part.name == "part-heights")
    pages = [page.extract_text() for page in read(to_pdf(replace(statement, parts=(part,)))).pages]
    with_rows = [page for page in pages if "row " in page]
    assert len(with_rows) > 2
    assert all("Name here" in page for page in with_rows)
    for page in pages:
        lines = [line for line in page.split("\n") if line.strip()]
        before_foot = lines[: next(n for n, line in enumerate(lines) if statement.foot[:12] in line)][-1:]
        assert not any(re.fullmatch(r"Heading \d+ *", line) for line in before_foot)


def test_no_page_ends_on_the_name_of_a_group_of_rows(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    """Groups of 1, 2 ... rows, so that the name of one would come to stand last on a page; the next page has it over
    the rows that go on."""
    groups = "".join(
        f'<tr><th scope="rowgroup" colspan="2">Group {n}</th></tr>'
        + "".join(f"<tr><td>row {n}.{m}</td><td>{m}</td></tr>" for m in range(n % 9 + 1))
        for n in range(60)
    )
    head = "<thead><tr><th>Name here</th><th>Amount</th></tr></thead>"
    table = f"<table><caption>Long</caption>{head}<tbody>{groups}</tbody></table>"
    statement = compose(make_outcome(found=(), sections=(section(tmp_path, table),)))
    part = next(part for part in statement.parts if part.name == "part-heights")
    pages = [page.extract_text() for page in read(to_pdf(replace(statement, parts=(part,)))).pages]
    told = [re.findall(r"(Group|row) (\d+)", page) for page in pages if "row " in page]
    assert len(told) > 3
    assert all(lines[0][0] == "Group" and lines[-1][0] == "row" for lines in told)


def test_unknown_tag_is_named(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    statement = compose(make_outcome(sections=(section(tmp_path, "<p>a</p>\n<blink>b</blink>"),)))
    with pytest.raises(MarkupFault, match="Heights, line 2: <blink> is not in the statement's HTML"):
        to_pdf(statement)


def test_hostile_words_stay_words(make_outcome: Callable[..., Outcome]) -> None:
    base = make_outcome()
    room = replace(base.job.rooms[0], name=HOSTILE)
    fields = dict.fromkeys(("title", "reference", "revision", "client", "site", "surveyor", "note"), HOSTILE)
    job = replace(base.job, rooms=(room,), **fields)
    found = tuple(replace(f, says=HOSTILE, mend=HOSTILE, where=replace(f.where, room=HOSTILE)) for f in base.findings)
    paper = to_pdf(compose(make_outcome(job, given={}, found=found), revision=HOSTILE))
    assert not paper.lacks
    assert HOSTILE.replace(" ", "") in text(paper).replace(" ", "")


@settings(max_examples=40)
@given(st.text(max_size=80))
@example('\\"')
@example('"; #panic()')
@example("\\u{41}")
@example("\x00\n\r\u2028")
def test_a_quoted_string_means_exactly_itself(words: str) -> None:
    import typst

    source = f"#metadata({quoted(words)})<x>".encode()
    assert json.loads(typst.query(source, "<x>", field="value", one=True)) == printable(words)


def test_nothing_outside_is_within_reach(tmp_path: Path) -> None:
    from typst import TypstError

    (tmp_path / "secret.txt").write_text("secret", "utf-8")
    for words in (f'#read("{tmp_path}/secret.txt")', '#read("../secret.txt")', '#import "@preview/cetz:0.3.0"'):
        with pytest.raises(TypstError):
            pdf._compile({"main.typ": words.encode()}, system_fonts=False)


@pytest.mark.parametrize("name", ["Σαλόνι του πύργου", "غرفة الجلوس", "客廳", "🪵🚪 room"])
def test_names_of_every_script(make_outcome: Callable[..., Outcome], name: str) -> None:
    statement = compose(make_outcome(found=()))
    statement = replace(statement, title=name, parts=statement.parts[:1])
    paper = to_pdf(statement)
    assert len(read(paper).pages) >= 1
    assert paper.standards == ("a-2a", "ua-1") or name.split()[0][0] in paper.lacks
    assert read(paper).metadata.title.startswith(name)  # type: ignore[union-attr]


def test_title_of_3000_characters(make_outcome: Callable[..., Outcome]) -> None:
    for title in ("t" * 3000, "long title " * 270):
        statement = compose(make_outcome(replace(make_outcome().job, title=title), given={}, found=()))
        paper = to_pdf(replace(statement, parts=statement.parts[:1]))
        assert title.replace(" ", "") in text(paper).replace(" ", "")
        lines = [line for page in read(paper).pages for line in page.extract_text().split("\n")]
        assert max(map(len, lines)) < 200


def pictures_of_points() -> dict[str, bytes]:
    """A firm's mark in each of the forms it may have."""
    made = {"svg": SQUARE.encode()}
    for ending, form in (("png", "PNG"), ("jpg", "JPEG")):
        Image.new("RGB", (80, 40), "black").save(file := BytesIO(), form)
        made[ending] = file.getvalue()
    return made


SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9" fill="#123456"/></svg>'
)
SQUARES_FILL = b"0.07058824 0.20392157 0.3372549 scn"


@pytest.mark.parametrize("ending", ["svg", "png", "jpg"])
def test_a_firms_logo_is_in_the_page_the_pdf_and_the_word_file(
    make_outcome: Callable[..., Outcome], tmp_path: Path, ending: str
) -> None:
    (tmp_path / f"logo.{ending}").write_bytes(pictures_of_points()[ending])
    bare, marked = (replace(compose(make_outcome(), dress=dress), parts=()) for dress in (None, tmp_path))
    assert "data:image/" not in to_html(bare) and "data:image/" in to_html(marked)
    counts = []
    for statement in (bare, marked):
        page = read(to_pdf(statement)).pages[0]
        relations = Document(BytesIO(to_word(statement))).part.rels.values()
        fills = page.get_contents().get_data().count(SQUARES_FILL)  # type: ignore[union-attr]
        counts.append((len(page.images) + fills, sum(each.reltype.endswith("/image") for each in relations)))
    assert [after - before for before, after in zip(*counts, strict=True)] == [1, 1]


def test_a_logo_that_is_no_picture_is_told_and_one_from_elsewhere_refused(
    make_outcome: Callable[..., Outcome], tmp_path: Path
) -> None:
    (tmp_path / "logo.jpg").write_bytes(pictures_of_points()["jpg"][:200])
    statement = replace(compose(make_outcome(), dress=tmp_path), parts=())
    for made in (to_pdf, to_word):
        with pytest.raises(InputFault, match="a picture cannot be put on paper"):
            made(statement)
    with pytest.raises(MarkupFault, match="as data only"):
        to_pdf(replace(statement, head=statement.head.replace("data:image/jpeg", "http://example.org/x")))
