"""The statement in a real browser: it asks for nothing, its links work, it fits a phone and a desk, and it prints."""

from __future__ import annotations

import re
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from browsing import BROWSER, NO_BROWSER, asked, printed
from pypdf import PdfReader

needs_browser = pytest.mark.skipif(BROWSER is None, reason=NO_BROWSER)

NEVER_ASK = """<head><meta http-equiv="Content-Security-Policy"
content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:">
<script>window.refused = []; addEventListener("securitypolicyviolation", e => refused.push(e.blockedURI));</script>"""

PROBE = """
  const links = [...document.querySelectorAll("a")];
  const ids = [...document.querySelectorAll("[id]")].map(one => one.id);
  const wide = [...document.querySelectorAll("body *")]
    .filter(one => one.getBoundingClientRect().right > innerWidth + 1 && !one.closest(".wide, .paper"));
  return {
    asked: [...refused, ...performance.getEntriesByType("resource").map(entry => entry.name)],
    dead: links.filter(a => a.getAttribute("href")[0] !== "#" || !ids.includes(a.hash.slice(1))).map(a => a.outerHTML),
    twice: ids.filter((id, n) => ids.indexOf(id) !== n),
    overflow: document.documentElement.scrollWidth - innerWidth,
    wide: wide.map(one => one.outerHTML.slice(0, 200)),
    links: links.length,
  };
"""


WIDE = """* { font-family: "DejaVu Serif", "DejaVu Sans", Verdana, serif !important; }</style>"""
"""The widest faces that are usual, where a machine has no other."""


@pytest.fixture(scope="module")
def told(pages: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the browser tells of each page, at the width of a phone and of a desk, and on a phone in wide letters."""
    guarded = {name: page.replace("<head>", NEVER_ASK) for name, page in pages.items()}
    wanted = {f"{name} {width}": page for name, page in guarded.items() for width in (390, 1280)}
    wanted |= {f"{name} in wide letters 390": page.replace("</style>", WIDE) for name, page in guarded.items()}
    return asked(tmp_path_factory.mktemp("told"), wanted, PROBE)


class Addresses(HTMLParser):
    """Whatever in a page might be fetched."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = re.findall(r"url\(([^)]*)\)|(@import[^;]*)", page)
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        fetched = ("src", "srcset", "href", "xlink:href", "action", "data", "poster", "background")
        self.found += [value for name, value in attrs if name in fetched and value and value[0] != "#"]


def test_nothing_in_a_page_is_fetched(pages: dict[str, str]) -> None:
    fetched = {name: [a for a in Addresses(page).found if a[0][:1] != "#"] for name, page in pages.items()}
    assert fetched == {name: [] for name in pages}


@needs_browser
@pytest.mark.parametrize("fault", ["asked", "dead", "twice", "wide"])
def test_no_page_has_this_fault(told: dict[str, Any], fault: str) -> None:
    assert {name: one[fault] for name, one in told.items() if one[fault]} == {}


@needs_browser
def test_pages_fit_a_phone_and_a_desk(told: dict[str, Any]) -> None:
    assert {name: one["overflow"] for name, one in told.items() if one["overflow"] > 0} == {}
    assert all(one["links"] > 10 for name, one in told.items() if "statement" in name)


def letter_sizes(pdf: Path, pages: int) -> Counter[float]:
    """How many letters of each size, pt, stand on the first pages of a PDF."""
    sizes: Counter[float] = Counter()

    def count(words: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        shown = size * (abs(tm[3]) or abs(tm[1])) * (abs(cm[3]) or abs(cm[1]))
        if words.strip():
            sizes[round(shown, 1)] += len(words.strip())

    for page in PdfReader(pdf).pages[:pages]:
        page.extract_text(visitor_text=count)
    return sizes


@needs_browser
def test_statement_prints_at_its_own_size(pages: dict[str, str], tmp_path: Path) -> None:
    """Chromium shrinks all pages where one is wider than its sheet: lettering keeps its size only where none is."""
    pdf = printed(tmp_path, pages["us-house statement"])
    assert len(PdfReader(pdf).pages) > 10
    sizes = letter_sizes(pdf, 3)
    assert sizes[9.5] > 500
    assert sizes[22.0] > 50


@needs_browser
@pytest.mark.parametrize(
    ("name", "sheets"),
    [
        ("stair-hall", ["Front parlour", "Stair hall", "Pieces, in the order of .+"]),
        ("us-house", ["Dining room", "Front bedroom", "Pieces, in the order of .+"]),
    ],
)
def test_a_rooms_sheet_is_one_sheet_on_the_shorter_paper_too(
    pages: dict[str, str], tmp_path: Path, name: str, sheets: list[str]
) -> None:
    page = pages[f"{name} workshop"].replace("@page { size: auto;", "@page { size: letter;")
    heads = [each.extract_text().splitlines()[:4] for each in PdfReader(printed(tmp_path, page)).pages]
    at = [
        next(n for n, head in enumerate(heads) if any(re.fullmatch(sheet, line) for line in head)) for sheet in sheets
    ]
    assert at == [at[0], at[0] + 1, at[0] + 2]


@needs_browser
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    ("reader", "second"), [("workshop", "Hazards here, and what we do"), ("officer", "What happens to each thing")]
)
def test_the_first_sheet_of_a_paper_is_one_sheet(
    pages: dict[str, str], tmp_path: Path, reader: str, second: str, paper: str
) -> None:
    page = pages[f"stair-hall {reader}"].replace("@page { size: auto;", f"@page {{ size: {paper};")
    assert second in PdfReader(printed(tmp_path, page)).pages[1].extract_text().splitlines()[:4]


@needs_browser
@pytest.mark.parametrize("name", ["stair-hall", "us-house"])
def test_the_workshop_pack_can_be_read_from_the_saw(pages: dict[str, str], tmp_path: Path, name: str) -> None:
    """Each length to be cut to stands large, nothing is smaller than the drawings' lettering."""
    pdf = printed(tmp_path, pages[f"{name} workshop"])
    sizes = letter_sizes(pdf, len(PdfReader(pdf).pages))
    assert sum(count for size, count in sizes.items() if size >= (18 if name == "stair-hall" else 10.5)) > 100
    assert min(sizes) >= 5.8
