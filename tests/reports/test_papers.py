"""The papers of the demo surveys: how many pages they take, and how easily the client's is read."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pyphen
import pytest
from PIL import Image
from pypdf import PdfReader

from listel.core.contract.cases import base, changed
from listel.core.contract.findings import Finding, Where
from listel.core.contract.lift import Lift
from listel.core.contract.records import Records
from listel.core.contract.rules import Rule
from listel.core.contract.stage import READERS, Reader, Section, Sheet
from listel.core.contract.tables import load_table
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import load
from listel.core.house.wording import wording
from listel.core.survey.job import Job, Opening, Photo, Record, Room, Wall
from listel.core.survey.photographs import photographs
from listel.core.survey.reading import job_from_text, read_survey
from listel.core.survey.units import Units, show_angle
from listel.plugins.conservation import Item
from listel.plugins.estimate import Estimate
from listel.plugins.fixings import Fixing
from listel.plugins.safety import SafetyNotes
from listel.plugins.sequence import Sequence
from listel.plugins.setting_out import Mark, SettingOut
from listel.plugins.site import Site, deepest_hole
from listel.reports.compare import compared
from listel.reports.compare_command import printed
from listel.reports.drawings.paper import PLAIN
from listel.reports.drawings.paper import Sheet as Paper
from listel.reports.drawings.strip import name_place
from listel.reports.papers import About
from listel.reports.papers.client import openings_stay, what, when
from listel.reports.papers.handover import most_hung
from listel.reports.papers.holds import holds
from listel.reports.papers.rooms import corners, pictures
from listel.reports.papers.snags import leaves as snag_leaves
from listel.reports.papers.trims import known, trim_rows
from listel.reports.papers.workshop.before import before
from listel.reports.papers.workshop.boards import cut_boards
from listel.reports.papers.workshop.hazards import met_in
from listel.reports.papers.workshop.pieces import pieces
from listel.reports.papers.workshop.room import _down, left_for_drawing, tops_above_floor
from listel.reports.pdf import to_pdf
from listel.reports.statement import compose, render
from listel.reports.trees import whole
from listel.reports.walk import Node

MOST = {"workshop": 12, "client": 4, "officer": 12, "snags": 4, "handover": 4, "form": 8}
DEMOS = ("stair-hall", "us-house", "plain-room")
ONE_WALL = {"plain-room": 5}
"""The demo of one wall, and the most pages of any of its papers."""


@pytest.fixture(scope="module")
def outcomes(examples: Path) -> dict[str, Outcome]:
    """The outcome of each demo survey, with the photographs it lists."""
    registry = load([])
    jobs = {name: read_survey(examples / f"{name}.yaml") for name in DEMOS}
    return {name: examine(job, registry, given=[photographs(job, examples)]) for name, job in jobs.items()}


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("readers", [readers for readers in READERS if readers != "all"])
def test_a_paper_is_no_longer_than_its_reader_bears(outcomes: dict[str, Outcome], name: str, readers: str) -> None:
    outcome = outcomes[name]
    paper = "us-letter" if outcome.job.units == "inches" else "a4"
    made = to_pdf(compose(outcome, readers=readers), paper)  # type: ignore[arg-type]
    assert not made.lacks and "ua-1" in made.standards
    pages = PdfReader(BytesIO(made.content)).pages
    assert len(pages) <= min(MOST[readers], ONE_WALL.get(name, 12))
    assert all(("Not for issue" in page.extract_text()) is not outcome.fit_for_issue for page in pages)


@pytest.mark.parametrize("readers", READERS)
def test_an_american_paper_has_american_words(outcomes: dict[str, Outcome], readers: Reader) -> None:
    statement = compose(outcomes["us-house"], readers=readers)
    page = " ".join(node.words() for node in whole(statement).nodes()).lower()
    drawn = " ".join(node.keys.get("alt", "") for node in whole(statement).nodes()).lower()
    assert ("baseboard" in page) or readers in ("client", "workshop", "snags", "form")
    for word in ("skirting", "mitre", "plasterboard", "nogging", "moulding", "conservation officer"):
        assert word not in page + drawn
    assert not re.search(r"\d ?(?:mm|cm|m|kg|n|litres?|ml)\b(?!/s2)", page)


def test_what_the_survey_names_keeps_its_name(outcomes: dict[str, Outcome]) -> None:
    job = outcomes["us-house"].job
    said = wording(job, html=True)(
        "<p class='skirting'>Skirting; bedroom picture rail; a picture rail; architrave 40</p>"
    )
    assert said == "<p class='skirting'>Baseboard; bedroom picture rail; a picture molding; architrave 40</p>"
    assert wording(outcomes["stair-hall"].job)("skirting") == "skirting"
    photo = Photo(name="dado", file="dado.jpg", shows="The old skirting by a socket")
    shown = wording(replace(job, photos=(photo,)), html=True)(
        "<p>Photograph dado: The old skirting by a socket; a dado rail, a socket, An architrave</p>"
    )
    assert shown == "<p>Photograph dado: The old skirting by a socket; a chair rail, an outlet, A casing</p>"


@pytest.mark.parametrize("name", ["stair-hall", "plain-room"])
def test_who_does_the_work_is_told_every_hazard_and_on_a_rooms_sheet_its_own(
    outcomes: dict[str, Outcome], name: str
) -> None:
    outcome = outcomes[name]
    statement = compose(outcome, readers="workshop")
    parts = {part.name: " ".join(part.body.striptags().split()) for part in statement.parts}
    first = parts["sheet-hazards" if "sheet-hazards" in parts else "sheet-before"].lower()
    told = outcome.sheet[SafetyNotes].hazards
    assert [each.name for each in told if each.name.lower() not in first or each.because.lower() not in first] == []
    assert [text for each in told for text in (*each.controls, *each.wear) if text.lower() not in first] == []
    for number, room in enumerate(outcome.job.rooms, 1):
        met = met_in(outcome, room.name)
        assert len(met.told) == 3
        sheet = parts[f"sheet-room-{number}"]
        assert [each.name for each in met.told if f"{each.name}: {each.controls[0]}." not in sheet] == []
        assert [name for name in met.others if name not in sheet] == []
        shared = [len(each.rooms) for each in met.told]
        assert shared == sorted(shared)


def prose(node: Node) -> list[str]:
    """The paragraphs and points of a paper, without its tables and drawings."""
    if node.tag in ("table", "svg", "h2", "h3"):
        return []
    if node.tag in ("p", "li"):
        return [f"{node.words().rstrip('.')}."]
    return [words for part in node.inside if isinstance(part, Node) for words in prose(part)]


@pytest.mark.parametrize("name", DEMOS)
def test_the_clients_paper_is_plain(outcomes: dict[str, Outcome], name: str) -> None:
    statement = compose(outcomes[name], readers="client")
    said = [line for part in whole(statement).parts for line in prose(part)]
    assert len(said) > 15
    held = [words for hold in holds(outcomes[name], "client") for words in (hold.says, hold.needs)]
    assert grade(" ".join([*said, *held])) <= 9
    assert grade(" ".join(held)) <= 9


def test_an_officer_is_not_told_of_what_he_has_no_say_in_and_every_number_is_the_same(
    outcomes: dict[str, Outcome],
) -> None:
    outcome = outcomes["plain-room"]
    unsearched = "safety/wall-not-searched"
    every = holds(outcome)
    assert unsearched in {finding.rule for hold in every for finding in hold.findings}
    told = holds(outcome, "officer")
    assert unsearched not in {finding.rule for hold in told for finding in hold.findings}
    assert told and set(told) < set(every)


def test_each_rule_that_can_hold_says_so_in_a_clients_words() -> None:
    rules = [rule for plugin in load([]).plugins for rule in plugin.rules() if "hold" in rule.weights]
    told = {rule.name: rule.for_client for rule in rules if rule.plugin != "engine"}
    assert [name for name, words in told.items() if words is None] == []
    for words in filter(None, told.values()):
        assert grade(f"{words.says} {words.needs}") <= 9, words
        assert grade(f"{words.found or words.says} {words.then or words.needs}") <= 9, words


def test_a_rule_without_words_for_a_client_tells_him_who_settles_it_and_where(
    outcomes: dict[str, Outcome],
) -> None:
    outcome = outcomes["plain-room"]
    own = Finding("own/gap", "hold", "A gap is 3 mm too wide.", Where("Back bedroom", "A"), mend="Close it.")
    gas = Finding("own/gas", "hold", "It smells.", Where("Back bedroom"), protects=True)
    lift = Lift(step="gas-check", outcomes={"clear": ("gas-engineer",)})
    smells = Rule(name="own/gas", weights=("hold",), when="it smells", why="gas", settled_by="a test", lifted_by=lift)
    told = holds(replace(outcome, findings=(own, gas), rules={"own/gas": smells}), "client")
    assert [(hold.number, hold.where, hold.says, hold.needs) for hold in told] == [
        (
            1,
            ("Back bedroom",),
            "The gas engineer must settle one thing in the Back bedroom before work starts.",
            "A test.",
        ),
        (
            2,
            ("Back bedroom, wall A",),
            "The joiner must settle one thing on wall A of the Back bedroom before work starts.",
            "Close it.",
        ),
    ]


@pytest.mark.parametrize("region", ["england", "wales", "scotland", "northern-ireland"])
def test_an_owner_of_a_protected_building_reads_that_the_offence_would_be_his_too(
    outcomes: dict[str, Outcome], region: str
) -> None:
    """Planning (Listed Buildings and Conservation Areas) Act 1990, s.9, and the like acts: second hand."""
    job = outcomes["stair-hall"].job
    grade = {"wales": "listed-grade-2", "scotland": "category-b", "northern-ireland": "listed-grade-b1"}
    kept = replace(job.building, region=region, protection=grade.get(region, "listed-grade-2"))
    page = whole(compose(examine(replace(job, building=kept, records=()), load([])), readers="client"))
    assert "an offence, the owner's as well as the firm's" in " ".join(node.words() for node in page.nodes())


def test_a_client_is_told_the_figures_of_a_hold_and_what_was_found(outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes["us-house"]
    rule = outcome.rules["safety/renovation-rule"]
    hold = rule.told("hold", "Old paint.", Where("Dining room"), area=7.5)
    bare = rule.told("hold", "Old paint.", Where("Front bedroom"))
    told = holds(replace(outcome, findings=(hold, bare)), "client")
    assert told[0].says.startswith("About 7.5 sq ft of old paint is worked on. It may hold lead")
    assert told[1].says.startswith("The lead tester or accredited analyst")
    against = (Record(step="lead-check", outcome="found", by="A. Tester"),)
    told = holds(replace(outcome, sheet=Sheet({Records: Records(against=against)}), findings=(hold,)))
    assert "It holds lead" in told[0].says and told[0].needs == "A certified firm does the work."


def test_the_client_is_told_every_step_in_one_part_of_the_work(outcomes: dict[str, Outcome]) -> None:
    told = [name for row in load_table("listel.reports.papers", "phases").rows for name in row["steps"]]
    ours = {step.name for plugin in load([]).plugins for step in plugin.steps}
    assert sorted(told) == sorted(ours)
    for outcome in outcomes.values():
        hours = sum(step.hours for step in outcome.sheet[Sequence].steps if not step.done)
        assert sum(phase.hours for phase in when(outcome).phases) == pytest.approx(hours)


@pytest.mark.parametrize(
    ("protection", "first", "said"),
    [
        ("none", "2026-06-01", "We plan to begin in the rooms on 1 June 2026."),
        (
            "listed-grade-2",
            "2026-07-27",
            "on 27 July 2026, if the consent comes in 8 weeks. Before that, from 1 June 2026",
        ),
    ],
)
def test_a_client_reads_from_which_day_on_there_is_work_in_the_rooms(protection: str, first: str, said: str) -> None:
    sets = {"building.region": "england", "building.protection": protection, "building.built": 2010}
    outcome = examine(
        job_from_text(json.dumps(changed(base("one-wall"), {**sets, "work.start": "2026-06-01"}))), load([])
    )
    assert outcome.sheet[Sequence].first == first and said in render(outcome, readers="client")


def test_a_landlord_with_several_firms_reads_his_duties_and_is_not_addressed_as_who_lives_there() -> None:
    data = base("one-wall")
    sets = {
        "building": {"built": 1962, "region": "england", "protection": "none", "occupied": "occupied", "use": "flat"}
    }
    owner = changed(data, {**sets, "building.client-kind": "domestic", "work.contractors": 1})
    told = render(examine(job_from_text(json.dumps(owner)), load([])), readers="client")
    assert "In your own home we carry them" in told and "For you this means" in told
    landlord = changed(data, {**sets, "building.client-kind": "landlord", "work.contractors": 2})
    outcome = examine(job_from_text(json.dumps(landlord)), load([]))
    told = render(outcome, readers="client")
    for words in ("a principal designer and a principal contractor in writing", "the asbestos register", "Please pass"):
        assert words in told
    assert "For you this means" not in told
    assert "Principal contractor" in render(outcome, readers="workshop")
    assert "the safety file of the building" in render(outcome, readers="handover")


def test_the_form_for_the_site_asks_what_decides_who_answers_and_what_is_hidden(outcomes: dict[str, Outcome]) -> None:
    form = render(outcomes["stair-hall"], readers="form")
    for asked in ("the client: at home", "firms at work", "entry in the list", "kind, rooms", "Gas: ", "fire alarms"):
        assert asked in form
    assert form.count("Floor covering") == len(outcomes["stair-hall"].job.rooms)
    assert "1 000 001" in form, "what is known is printed"


def grade(text: str) -> float:
    """The school grade of a text: 0.39 words a sentence + 11.8 syllables a word - 15.59.

    Source: J. P. Kincaid and others, Navy Research Branch Report 8-75, 1975 (published, cited from memory). Syllables
    are those at which a word may be parted, which are never fewer than one.
    """
    parts = pyphen.Pyphen(lang="en_US", left=1, right=1)
    words = re.findall(r"[A-Za-z]+", text)
    sentences = len(re.findall(r"[.:;]+(?=\s|$)", text))
    syllables = sum(1 + len(parts.positions(word)) for word in words)
    return 0.39 * len(words) / sentences + 11.8 * syllables / len(words) - 15.59


def test_a_grade_tells_plain_words_from_hard_ones() -> None:
    assert grade("The cat sat on the mat. It was warm.") < 2
    assert (
        grade("Notwithstanding considerable dimensional variability, acclimatisation procedures are obligatory.") > 20
    )


@pytest.mark.parametrize("name", DEMOS)
def test_every_piece_is_drawn_in_the_board_that_its_row_names(outcomes: dict[str, Outcome], name: str) -> None:
    outcome = outcomes[name]
    setting_out = outcome.sheet[SettingOut]
    boards = {(line.trim, row.name): row.drawing.alt for line in cut_boards(outcome) for row in line.rows}
    rows = list(pieces(outcome, setting_out))
    assert len({row.number for row in rows}) == len(setting_out.pieces) + len(setting_out.returns)
    for row in rows:
        named = [alt for (trim, board), alt in boards.items() if trim == row.trim and board.startswith(row.board)]
        assert any(re.search(rf"[:,] {row.number} from ", alt) for alt in named), (row.number, row.board)


SEARCHED = r"\.split\(|\.partition\(|\.startswith\(|\.endswith\(|\.find\(|\bre\.|\"[^\"<>{}]+\" (?:not )?in \w+\.\w"
"""What takes a sentence apart, or looks for a word in it."""


def test_no_paper_reads_a_sentence_to_find_out_what_it_says() -> None:
    root = Path(__file__).parents[2]
    papers = [*(root / "reports" / "papers").rglob("*.*"), *(root / "reports" / "templates").glob("*.j2")]
    papers += [*(root / "plugins").glob("*/*.j2"), root / "reports" / "opening.py", root / "reports" / "fitted.py"]
    texts = [path for path in papers if path.suffix in (".py", ".j2")]
    assert len(texts) > 60
    assert [path.name for path in texts if re.search(SEARCHED, path.read_text("utf-8"))] == []


def test_a_section_stands_in_the_papers_that_it_names(outcomes: dict[str, Outcome], tmp_path: Path) -> None:
    template = tmp_path / "own.html.j2"
    template.write_text("<p>For the {{ readers }}.</p>", "utf-8")
    own = Section("own", "Our own", 800, template, readers=("workshop", "handover"))
    outcome = replace(outcomes["plain-room"], sections=(own,))
    for readers in READERS:
        titles = {part.title: part.body for part in compose(outcome, readers=readers).parts}
        assert ("Our own" in titles) == (readers in ("workshop", "handover", "all"))
        assert readers not in ("workshop", "handover", "all") or f"For the {readers}." in titles["Our own"]


def test_a_logo_of_points_makes_a_pdf_of_every_paper(outcomes: dict[str, Outcome], tmp_path: Path) -> None:
    made = BytesIO()
    Image.new("RGB", (80, 40), "black").save(made, "PNG")
    (tmp_path / "logo.png").write_bytes(made.getvalue())
    for readers in READERS:
        paper = to_pdf(compose(outcomes["plain-room"], readers=readers, dress=tmp_path))
        assert not paper.lacks
        first = PdfReader(BytesIO(paper.content)).pages[0]
        assert len(first.images) == 1


def test_one_changed_height_is_told_in_less_than_half_a_page(outcomes: dict[str, Outcome], examples: Path) -> None:
    text = (examples / "stair-hall.yaml").read_text("utf-8")
    changed = text.replace("height: 898, edge: top", "height: 920, edge: top")
    assert changed != text
    before, after = outcomes["stair-hall"], examine(job_from_text(changed), load([]))
    lines = list(printed(compared(before.to_json(), after.to_json())))
    assert len(lines) < 25
    assert lines[lines.index("Front parlour") + 1].startswith("  Mark the dado rail 22 mm higher: its top 72 mm below")
    assert "Stair hall" not in lines


def test_a_picture_is_told_by_the_trim_of_its_own_room(pages: dict[str, str]) -> None:
    told = "as it will be, drawn from the survey, near walls left out. New trim:"
    whole = pages["stair-hall statement"]
    assert f"Front parlour {told} skirting, dado rail, picture rail." in whole
    assert f"Stair hall {told} dado rail. On the walls left out: skirting." in whole


@pytest.mark.parametrize(
    ("kinds", "says"),
    [
        ([], ()),
        (["door"], ("The door stays as it is.",)),
        (["door", "hatch", "window", "window", "hatch"], ("The door, hatches and windows stay as they are.",)),
    ],
)
def test_what_stays_is_told_by_how_many_there_are(kinds: list[str], says: tuple[str, ...]) -> None:
    wall = Wall("A", openings=tuple(Opening(kind, 100, 800) for kind in kinds))
    assert openings_stay(Job("T", rooms=(Room("R", walls=(wall,)),)), Sheet({})) == says


def test_a_door_between_two_rooms_stays_once() -> None:
    sides = [Opening("door", 500, 838, leads_to=behind) for behind in ("S", "")]
    rooms = [Room(name, walls=(Wall("A", openings=(side,)),)) for name, side in zip("RS", sides, strict=True)]
    assert openings_stay(Job("T", rooms=tuple(rooms)), Sheet({})) == ("The door stays as it is.",)


def test_the_order_of_work_counts_the_copes_that_are_cut_and_priced(outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes["stair-hall"]
    priced = sum(item.quantity for item in outcome.sheet[Estimate].items if item.work == "cope")
    step = next(step for step in outcome.sheet[Sequence].steps if step.name == "cope")
    assert step.because.startswith(f"{priced} ends are coped")


def test_a_section_with_nothing_to_say_takes_no_sheet(pages: dict[str, str]) -> None:
    assert not any("Panelling, for the bench" in page for page in pages.values()), "no demo has any"


def test_a_rooms_snags_are_those_of_what_is_put_up_there(outcomes: dict[str, Outcome]) -> None:
    def looked(name: str) -> list[set[str]]:
        sheets = snag_leaves(outcomes[name], About(dated="", revision=""))
        return [{snag.look_for for stage in leaf.view.stages for snag in stage.snags} for leaf in sheets]

    margin, copes, step = "uneven margin on the door lining", "open copes", "a step in height where two walls meet"
    parlour, hall = looked("stair-hall")
    assert margin in parlour and margin not in hall, "the one door architrave is mended in the parlour"
    assert {copes, step} <= parlour & hall
    (alone,) = looked("plain-room")
    assert alone and not alone & {margin, copes, step}, "one wall meets no other"


def test_snags_are_looked_for_only_after_steps_that_the_job_has(outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes["plain-room"]
    order = outcome.sheet[Sequence]
    without = replace(order, steps=tuple(step for step in order.steps if step.name != "caulk"))
    uncaulked = replace(outcome, sheet=Sheet({**{type(each): each for each in outcome.sheet}, Sequence: without}))
    for made, caulked in ((outcome, True), (uncaulked, False)):
        whole = "".join(part.body for part in compose(made).parts)
        table = whole.partition("What to look for after each step")[2].partition("</table>")[0]
        assert ('<th scope="row">caulk' in table) == caulked
        assert '<th scope="row">fill' in table


@pytest.mark.parametrize(
    ("proved", "carried", "by", "says"),
    [
        (True, False, "a ghost line on wall A", "a ghost line on wall A"),
        (False, True, "", "as it was asked for, after another room; nothing of the old tells in this one"),
        (False, True, "the height of the handrail", "the height of the handrail"),
        (False, False, "", "as it was asked for"),
        (True, False, "", "like the old that is left of it in the room"),
    ],
)
def test_a_client_is_told_what_a_height_is_taken_from(proved: bool, carried: bool, by: str, says: str) -> None:
    item = Item(
        label="skirting",
        room="R",
        new=True,
        proved=proved,
        carried=carried,
        what="",
        where="",
        worth="",
        happens="",
        why="",
        undone="",
    )
    assert known(item, by) == says


def test_a_top_over_a_floor_that_was_not_read_is_marked_and_told_once_where_it_stays_the_same() -> None:
    def mark(wall: str, station: float, top: float, read: bool) -> Mark:
        return Mark(room="R", wall=wall, station=station, trim="dado", edge="top", above_floor=top, read=read)

    marks = (mark("A", 0, 900, False), mark("A", 4000, 900, False), mark("B", 0, 900, True), mark("B", 3000, 893, True))
    rows = list(tops_above_floor(SettingOut(marks=marks), "R", ("dado",)))
    assert [(row.wall, row.station, row.tops, row.read) for row in rows] == [
        ("A", None, (900,), False),
        ("B", 0, (900,), True),
        ("B", 3000, (893,), True),
    ]


def test_every_cope_stands_among_the_corners_those_over_old_work_too(outcomes: dict[str, Outcome]) -> None:
    over_old = 0
    for outcome in outcomes.values():
        setting_out = outcome.sheet[SettingOut]
        coped = Counter((one.room, one.trim, one.coped) for one in setting_out.corners if one.joint == "cope")
        ends = [
            (piece.room, piece.trim, piece.wall, end)
            for piece in setting_out.pieces
            for end in (piece.left, piece.right)
        ]
        assert coped == Counter((room, trim, wall) for room, trim, wall, end in ends if end.kind == "cope")
        over_old += sum(one.to == "old work" for one in setting_out.corners)
    assert over_old
    said = [corner.joint for corner in corners(outcomes["stair-hall"].sheet[SettingOut], "Stair hall")]
    assert any("skirting B coped to the old work" in joint for joint in said)


@pytest.mark.parametrize(
    ("wide", "most", "within", "rows_of"), [(190.0, 6, 84.0, [2, 3]), (140.0, 4, 84.0, [2, 2]), (190.0, 2, 84.0, [2])]
)
def test_pictures_of_the_rooms_share_the_room_there_is(
    outcomes: dict[str, Outcome], wide: float, most: int, within: float, rows_of: list[int]
) -> None:
    rows = pictures(outcomes["stair-hall"], wide, 66.0, most=most, within=within)
    assert [len(row) for row in rows] == rows_of, "a room as it is and as it will be stand in one row"
    lettering, gap = 4.0, 4.0
    assert sum(max(drawing.height for drawing in row) - lettering for row in rows) <= within
    assert all(sum(drawing.width + gap for drawing in row) <= wide + 1e-6 for row in rows)
    assert all(drawing.height <= 66.0 + lettering for row in rows for drawing in row)


def test_the_sheet_that_says_where_to_drill_tells_of_each_flue(outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes["stair-hall"]
    told = {(answer.room, wall): answer.keeps for answer in before(outcome).answers for wall in answer.walls}
    site = outcome.sheet[Site]
    assert {keeps.flue for keeps in told.values()} == {"no", "unknown"}
    for (room, wall), keeps in told.items():
        face = site.wall(room, wall)
        most = deepest_hole(outcome.job, face)
        assert keeps.flue == face.flue
        assert keeps.deepest == (f"{most.depth:.0f} mm" if most else "")
    said = render(outcome, readers="workshop")
    assert "A flue may run in it: no hole deeper than 50 mm behind the plaster, no blows" in said
    assert "<strong>flue?: no blows</strong>; at most <strong>50 mm</strong> into it" in said


def test_no_wall_that_a_hold_names_may_be_drilled(outcomes: dict[str, Outcome]) -> None:
    for outcome in outcomes.values():
        sheet = before(outcome)
        for answer in sheet.answers:
            touching = {h.number for h in sheet.holds for wall in answer.walls if h.touches(answer.room, wall)}
            assert set(answer.held_by) == touching


def test_plaster_that_is_not_sound_is_told_where_it_is_drilled(outcomes: dict[str, Outcome]) -> None:
    outcome = outcomes["stair-hall"]
    told = {(a.room, wall) for a in before(outcome).answers for wall in a.walls if a.keeps.unsound}
    hollow = {
        (room.name, wall.name)
        for room in outcome.job.rooms
        for wall in room.walls
        if wall.substrate and wall.substrate.condition == "hollow"
    }
    assert told == hollow and len(hollow) == 1
    said = render(outcome, readers="workshop")
    assert "Its plaster is hollow: made fast first" in said and "; plaster <strong>hollow</strong>" in said


def test_the_boxes_to_tick_are_what_a_record_may_say(outcomes: dict[str, Outcome]) -> None:
    ticked = {hold.findings[0].rule: hold.outcomes for hold in before(outcomes["us-house"]).holds}
    assert ticked["safety/consent"] == ("applied-for", "granted", "refused", "not-needed")
    assert ticked["safety/asbestos"] == ("clear", "found", "removed", "sealed")
    assert ticked["fixings/fewer-than-two"] == ()
    said = re.sub(r"<.*?>", "", render(outcomes["us-house"], readers="workshop"))
    boxes = (
        "☐ applied for ☐ granted ☐ refused ☐ not needed",
        "☐ clear ☐ found ☐ removed ☐ sealed",
        "☐ clear ☐ found ☐ dealt with",
        "☐ settled",
    )
    assert [box for box in boxes if box not in said] == []
    may = {hold.findings[0].rule: hold.who for hold in before(outcomes["stair-hall"]).holds}
    assert may["safety/gas-pipe"] == ((("clear", "dealt-with"), "gas engineer, licence number"),)
    assert may["safety/asbestos"][1:] == (
        (("removed",), "licensed remover, licence number"),
        (("sealed",), "licensed remover; asbestos surveyor"),
    )
    said = re.sub(r"<.*?>", "", render(outcomes["stair-hall"], readers="workshop"))
    assert "Clear, dealt with: gas engineer, licence number.☐ clear ☐ found ☐ dealt with" in said


def test_a_window_board_is_as_high_as_its_sill() -> None:
    window = {"kind": "window", "name": "sash", "at": 1000, "width": 900, "height": 1200, "sill": 480, "architrave": 70}
    survey = changed(base("one-wall"), {"trim.dado.member": "window-board", "rooms.0.walls.0.openings": [window]})
    outcome = examine(job_from_text(json.dumps(survey)), load([]))
    board = next(row for row in what(outcome).rows if row.trim == "dado")
    assert (board.height, board.size) == (480, "")


@pytest.mark.parametrize(
    ("member", "told"),
    [("architrave", (120, "wide")), ("plinth-block", (120, "tall"))],
)
def test_a_block_is_as_tall_as_its_section_and_an_architrave_as_wide(member: str, told: tuple[float, str]) -> None:
    door = {"kind": "door", "at": 1000, "width": 900, "height": 2000, "architrave": 90, "plinth-block": 100}
    door |= {"plinth-block-height": 120}
    survey = changed(base("one-wall"), {"trim.dado.member": member, "rooms.0.walls.0.openings": [door]})
    survey = changed(survey, {"trim.dado.section.height": 120})
    rows = trim_rows(examine(job_from_text(json.dumps(survey)), load([])))
    assert [(row.height, row.size) for row in rows if row.trim == "dado"] == [told]


@pytest.mark.parametrize(("top", "shows"), [({"top": 215}, 215), ({}, 325)])
def test_a_client_reads_of_a_board_up_a_flight_what_shows_over_the_steps(top: dict[str, float], shows: float) -> None:
    survey = changed(base("one-wall"), {"trim.skirting.section.height": 325})
    survey["trim"][0] |= {"member": "stair-skirting", **top}
    flight = {"name": "stair", "rise": 168, "going": 285, "steps": 9, "walls": [{"wall": "A", "foot": 700}]}
    survey = changed(survey, {"rooms.0.stairs": [flight]})
    rows = trim_rows(examine(job_from_text(json.dumps(survey)), load([])))
    assert [(row.height, row.size) for row in rows if row.trim == "skirting"] == [(shows, "over the steps")]


def test_a_client_reads_which_opening_it_is_and_no_station() -> None:
    doors = [{"kind": "door", "at": at, "width": 700, "height": 2000, "architrave": 90} for at in (100, 1200, 2300)]
    doors[0] |= {"leads-to": "Study"}
    doors[1] |= {"name": "front door"}
    doors[2] |= {"kind": "archway", "leads-to": "elsewhere"}
    survey = changed(base("one-wall"), {"trim.dado.member": "architrave", "rooms.0.walls.0.openings": doors})
    survey["rooms"].append({"name": "Study", "walls": [{"name": "A", "length": 3000}]})
    outcome = examine(job_from_text(json.dumps(survey)), load([]))
    says = "New trim goes on the door to the Study, front door and archway on wall A of the Hall."
    assert says in openings_stay(outcome.job, outcome.sheet)


@pytest.mark.parametrize(
    ("load", "units", "told"),
    [
        (8.0, "mm", "0.8 kg on each metre"),
        (9.80665 * 6, "mm", "6 kg on each metre"),
        (9.80665 * 14.9, "mm", "14 kg on each metre"),
        (4.4482216152605 * 13 / 0.3048, "inches", "13 lb on each foot"),
        (4.4482216152605 * 13.9 / 0.3048, "inches", "13 lb on each foot"),
    ],
)
def test_the_most_that_may_hang_is_never_told_for_more_than_was_reckoned(load: float, units: Units, told: str) -> None:
    assert most_hung(load, units) == told


def test_a_row_and_an_undercut_are_rounded_as_the_statement_rounds_them(outcomes: dict[str, Outcome]) -> None:
    """Halves up, angles to the hundredth: one figure on every paper."""
    line = Fixing(room="R", wall="A", trim="skirting", member="skirting", start=0, end=3000, rows_down=(52.5, 158.5))
    assert _down(line, "mm") == "53 and 159 down"
    outcome = outcomes["stair-hall"]
    set_out = outcome.sheet[SettingOut]
    ends = [end.more for row in pieces(outcome, set_out) for end in (row.left, row.right)]
    told = {more.split("undercut ")[1] for more in ends if "undercut " in more}
    assert told
    assert told == {show_angle(corner.undercut) for corner in set_out.corners if corner.undercut is not None}


def test_a_walls_name_goes_aside_before_it_goes_up_into_the_row_over_it() -> None:
    paper = Paper()
    paper.words(20.0, 30.0, "25", PLAIN * 1.2, "end", bold=True)
    assert name_place(paper, "C2", 21.0, 30.0) == (24.0, 30.0)
    paper.words(24.0, 30.0, "1400", PLAIN * 1.2, "middle", bold=True)
    assert name_place(paper, "C2", 24.0, 30.0)[1] < 30.0


@pytest.mark.parametrize(("tops", "tall"), [(0, 122.0), (27, 56.0), (80, 122.0)])
def test_a_room_whose_words_fill_a_sheet_has_its_walls_drawn_large_over_two(tops: int, tall: float) -> None:
    assert left_for_drawing((), 1, 0, tops, "mm") == tall


@pytest.mark.parametrize("off", [True, False])
def test_the_client_reads_of_no_radiator_that_stays_on_its_wall(off: bool) -> None:
    radiator = {"kind": "radiator", "at": 300, "height": 150, "width": 600, "depth": 500, "taken-off": off}
    data = changed(base("whole-room"), {"rooms.0.walls.D.fittings": [radiator]})
    outcome = examine(job_from_text(json.dumps(data)), load(entry_points=False), [])
    told = [phase.says for phase in when(outcome).phases]
    assert any("radiators off" in each for each in told) is off and any("heights marked" in each for each in told)
