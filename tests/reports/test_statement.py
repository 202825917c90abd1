"""The statement as one HTML file: what it holds, for whom, and what it may never hold."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from listel.core.contract.findings import Finding
from listel.core.contract.stage import READERS, Section
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.house.file import IN_SECTION
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job, Room
from listel.core.survey.reading import read_survey
from listel.reports.dress import Dress
from listel.reports.opening import listed
from listel.reports.sections import Sections
from listel.reports.statement import compose, render

SUBSET = {"h1", "h2", "h3", "h4", "p", "table", "caption", "thead", "tbody", "tr", "th", "td", "ul", "ol", "li"}
SUBSET |= {"figure", "figcaption", "div", "span", "strong", "em", "sup", "a", "br"}
FRAME = {"html", "head", "meta", "title", "style", "body", "header", "main", "nav", "section", "footer"}
DRAWN = {"svg", "title", "desc", "path", "circle", "text"}


class Reader(HTMLParser):
    """Reads a page: its tags, its anchors, its links and its words."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.addresses: list[str] = []
        self.scopeless = 0
        self.words = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.tags.add(tag)
        self.ids += [given["id"]] if given.get("id") else []
        self.links += [given["href"]] if given.get("href") else []
        self.addresses += [
            value for name, value in attrs if name in ("src", "action", "poster", "xlink:href") and value
        ]
        self.scopeless += tag == "th" and "scope" not in given

    def handle_data(self, data: str) -> None:
        self.words += data


def test_whole_statement_tells_what_holds_it(outcome: Outcome) -> None:
    page = render(outcome)
    assert "Not for issue." in page
    assert "The dado rail passes over a zone where a cable may run to the switch." in page
    assert "14 March 2026" in page
    assert "revision A" in page
    assert outcome.digest in page


def test_no_hold_no_warning(make_outcome: Callable[..., Outcome]) -> None:
    page = render(make_outcome(found=()))
    assert "Not for issue" not in page
    assert "No hold is open." in page


def test_same_input_same_bytes(make_outcome: Callable[..., Outcome]) -> None:
    assert render(make_outcome()) == render(make_outcome())


@pytest.mark.parametrize("readers", READERS)
def test_every_link_resolves_and_nothing_is_outside(outcome: Outcome, readers: str) -> None:
    page = render(outcome, readers=readers)  # type: ignore[arg-type]
    read = Reader(page)
    assert len(read.ids) == len(set(read.ids))
    assert {link[1:] for link in read.links} <= set(read.ids)
    assert all(link.startswith("#") for link in read.links)
    assert not read.addresses
    assert "://" not in page
    assert read.tags <= SUBSET | FRAME | DRAWN
    assert read.scopeless == 0
    assert page.count("<table") == page.count("<caption")
    assert page.count("<svg") == page.count('role="img"') == page.count("<desc>")


def test_parts_for_each_reader(outcome: Outcome) -> None:
    names = {readers: [part.name for part in compose(outcome, readers=readers).parts] for readers in READERS}
    assert {"part-holds", "part-sign-off", "part-sources"} <= set(names["all"])
    assert names["workshop"][0] == "sheet-before"
    assert names["client"] == ["sheet-what", "sheet-walls", "sheet-when", "sheet-settle"]
    assert {"sheet-rests", "sheet-sections", "sheet-how"} <= set(names["officer"])


def test_notes_carry_the_grounds(outcome: Outcome) -> None:
    page = render(outcome)
    assert '<li id="note-1">Half of the corner angle. <span class="worked">91.3 / 2 = 45.65</span>.' in page
    assert "corner angle: 91.3 deg (survey line 14)" in page
    assert "tape: 2 mm (assumed: our allowance)" in page
    assert "Published, and read for this program." in page


def test_a_drawing_is_drawn_once(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "section.html.j2"
    template.write_text('{{ drawing("plan", room="Parlour") }}', "utf-8")
    section = Section("setting_out", "Setting out", 300, template)
    page = render(make_outcome(sections=(section,)))
    assert page.count("<title>Parlour, plan</title>") == 1
    assert "Drawn above: <a href=" in page


def test_a_template_of_a_house_file_may_name_what_a_section_is_given(outcome: Outcome) -> None:
    assert Sections(outcome, "all", Dress(None)).values.keys() == IN_SECTION


def test_section_is_followed_by_its_own_findings(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "section.html.j2"
    template.write_text('<p>{{ result("RailHeights").lines | length }} rail of {{ 868 | mm }}</p>', "utf-8")
    parts = compose(make_outcome(sections=(Section("heights", "Heights", 200, template),))).parts
    heights = next(part for part in parts if part.name == "part-heights")
    others = next(part for part in parts if part.name == "part-others")
    assert "1 rail of 868 mm" in heights.body
    assert "12 mm below the switch plate" in heights.body
    assert "12 mm below the switch plate" not in others.body


def test_undefined_name_is_told_with_template_and_line(make_outcome: Callable[..., Outcome], tmp_path: Path) -> None:
    template = tmp_path / "section.html.j2"
    template.write_text("<p>one</p>\n\n<p>{{ nobody.name }}</p>", "utf-8")
    with pytest.raises(InputFault, match=r"section\.html\.j2:3: 'nobody' is undefined"):
        render(make_outcome(sections=(Section("heights", "Heights", 200, template),)))


HOSTILE = "<script>alert(1)</script>\"'&<img src=x onerror=y>{{ 7 * 7 }}</style></svg>\x00\x07"


def test_hostile_names_stay_words(make_outcome: Callable[..., Outcome]) -> None:
    base = make_outcome()
    job = base.job
    room = replace(
        job.rooms[0], name=HOSTILE, walls=tuple(replace(w, name=HOSTILE + w.name) for w in job.rooms[0].walls)
    )
    fields = dict.fromkeys(
        ("title", "reference", "revision", "client", "site", "surveyor", "surveyed", "note"), HOSTILE
    )
    trims = tuple(replace(trim, name=HOSTILE + trim.name) for trim in job.trim)
    hostile = replace(job, rooms=(room,), trim=trims, building=replace(job.building, significance=HOSTILE), **fields)
    found = tuple(replace(f, says=HOSTILE, mend=HOSTILE, where=replace(f.where, room=HOSTILE)) for f in base.findings)
    page = render(make_outcome(hostile, found=found), revision=HOSTILE, dated=HOSTILE)
    read = Reader(page)
    assert "script" not in read.tags
    assert "img" not in read.tags
    assert not re.search(r"<[^>]*onerror=y>", page)
    assert "alert(1)" in read.words
    assert "{{ 7 * 7 }}" in read.words
    assert "</style>" not in page.split("<style>")[1].split("</style>", 1)[0]
    assert page.count("</style>") == 1


@pytest.mark.parametrize("name", ["Σαλόνι", "غرفة الجلوس", "🪵🚪 room", "客廳", "a" * 400, "x " * 200])
def test_names_of_every_script(make_outcome: Callable[..., Outcome], name: str) -> None:
    job = make_outcome().job
    named = replace(
        job, title=name * 8, rooms=(replace(job.rooms[0], name=name),), trim=(replace(job.trim[0], name=name),)
    )
    page = render(make_outcome(named, given={}))
    assert name.strip() in Reader(page).words


def test_title_of_3000_characters_and_60_rooms(make_outcome: Callable[..., Outcome]) -> None:
    job = make_outcome().job
    rooms: tuple[Room, ...] = tuple(replace(job.rooms[0], name=f"Room {n}") for n in range(60))
    page = render(make_outcome(replace(job, title="t" * 3000, rooms=rooms), given={}))
    assert page.count('id="room-') == 60
    assert 'class="long"' in page
    assert len(re.findall(r">wall [^<]*</text>", page)) == 60 * len(job.rooms[0].walls)


def test_a_job_with_nothing_in_it(make_outcome: Callable[..., Outcome]) -> None:
    bare = replace(make_outcome(given={}, found=()), job=Job("Bare", rooms=(Room("Empty"),)))
    assert "The survey names no trim" in render(bare)


def test_revision_tells_what_changed(make_outcome: Callable[..., Outcome]) -> None:
    before = make_outcome().to_json()
    more = (*make_outcome().findings, Finding("timber/too-wet", "hold", "The rail came at 19 % moisture."))
    page = render(make_outcome(found=more, digest="cd" * 32), revision="B", since=before)
    assert "What changed since the last revision" in page
    assert "What B does otherwise than A" in page
    assert "Stops the work" in page
    assert page.count('<strong class="new">New in B.</strong> The rail came') == 1
    assert page.count("New in B.") == 1


def test_the_workshop_pack_gives_hand_saw_and_level(outcome: Outcome) -> None:
    page = render(outcome, readers="workshop")
    assert '<span class="big">44.35°</span>' in page
    assert page.count('class="leaf sheet-room') == 1
    assert "−132" in page


def test_firm_dresses_one_piece_only(outcome: Outcome, tmp_path: Path) -> None:
    (tmp_path / "title.html.j2").write_text("<h1>{{ job.title }} by us</h1>", "utf-8")
    (tmp_path / "statement.css").write_text("h1 { letter-spacing: .1em }", "utf-8")
    page = render(outcome, dress=tmp_path)
    assert "by us</h1>" in page
    assert "Not for issue." in page, "no dress can hide it"
    assert "letter-spacing: .1em" in page
    assert "In short" in page


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("title.html.j2", "<p>\n{{ jobb.title }}</p>", r"title\.html\.j2:2: "),
        ("title.html.j2", "<p>\n\n{{ job.titel }}</p>", r"title\.html\.j2:3: "),
        ("title.html.j2", "{{ job.__class__ }}", r"title\.html\.j2:1: "),
        ("title.html.j2", "{{ 'a' * 999999999 }}", r"title\.html\.j2:1: "),
        ("statement.css", "a {}\n@import 'x';", r"statement\.css:2: "),
        ("statement.css", "a { background: URL(//x) }", r"statement\.css:1: "),
        ("statement.css", "</style><script>", r"statement\.css:1: "),
    ],
)
def test_dress_that_may_not_be(outcome: Outcome, tmp_path: Path, name: str, text: str, says: str) -> None:
    (tmp_path / name).write_text(text, "utf-8")
    with pytest.raises(InputFault, match=says):
        render(outcome, dress=tmp_path)


def test_no_such_dress(outcome: Outcome, tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="no such folder"):
        render(outcome, dress=tmp_path / "nowhere")


def test_how_to_record_is_told_only_to_those_who_keep_the_survey(examples: Path) -> None:
    outcome = examine(read_survey(examples / "stair-hall.yaml"), load([]))
    assert "To record it: records, step detect-services" in render(outcome)
    for readers in ("client", "officer"):
        page = render(outcome, readers=readers)
        assert "A house of this age may hold asbestos." in page
        assert ("A cable or pipe may run in the wall where we must drill." in page) == (readers == "client")
        assert "To record" not in page and "records, step" not in page


def test_the_opening_says_which_joints_are_glued(examples: Path) -> None:
    page = render(examine(read_survey(examples / "stair-hall.yaml"), load([])))
    assert "held to the wall by fixings alone, glued only at mitres and scarfs, and can be taken off again" in page
    assert "Period of its trim" not in page and "Used as:" not in page
    assert "It is used as a stair hall." in page
    assert " GBP" not in page


def test_an_american_statement_names_british_and_european_sources_as_such(examples: Path) -> None:
    page = render(examine(read_survey(examples / "us-house.yaml"), load([])))
    assert "British or European, for want of an American figure seen" in page
    notes = page.split('id="part-notes"')[1]
    assert "height of the mark on wall C: 5&#39; 2&#34; (survey line" in notes
    assert "British or European" not in render(examine(read_survey(examples / "stair-hall.yaml"), load([])))


def test_what_is_counted_in_a_list_is_named() -> None:
    assert listed("abcdefgh", of="trims") == "a, b, c, d, e and 3 more trims"
    assert listed("abcdef", of="trims") == "a, b, c, d, e and f"
