"""``listel survey``: the starter, the account of what is missing, the form for the site."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.survey.job import Ends, Flight, FlightWall, Job, Record, Room, Trim, Wall, Winders
from listel.core.survey.missing import absent_facts
from listel.core.survey.reading import SurveyFaults, job_from_text, read_survey
from listel.core.survey.words import built_in_schema
from listel.reports.papers.form import written

LACKING = """\
listel: 1
job: {title: T}
rooms:
  - name: Hall
    walls:
      - name: A
        corner: {kind: internal}
        substrate: {kind: lime-on-lath}
      - {name: B, substrate: {kind: brick}, corner: {kind: internal, angle: 90}}
"""

DEMOS = ("stair-hall", "plain-room", "us-house")


def test_new_writes_a_starter_that_reads(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.yaml"
    assert main(["survey", "new", str(path)]) == 0
    assert "fill it in" in capsys.readouterr().out
    assert read_survey(path).rooms[0].walls[0].name == "A"


def test_new_never_overwrites(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("mine")
    assert main(["survey", "new", str(path)]) == 2
    assert "stays as it is" in capsys.readouterr().err
    assert path.read_text() == "mine"


def test_new_where_there_can_be_no_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "none").write_text("")
    assert main(["survey", "new", str(tmp_path / "none" / "mine.yaml")]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_every_example_line_of_the_starter_is_right(examples: Path) -> None:
    text = (examples.parent / "starter.yaml").read_text(encoding="utf-8")
    job = job_from_text(re.sub(r"^( *)#(?=[^ #\n])", r"\1", text, flags=re.MULTILINE).replace("units: inches\n", ""))
    assert job.trim[0].name == "dado rail"
    assert job.rooms[0].stairs[0].walls[0].wall == "A"
    assert job.departures and job.plan and job.records and job.rack and job.work.tools


@pytest.mark.parametrize("name", DEMOS)
def test_the_account_of_a_demo(examples: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", str(examples / f"{name}.yaml")]) == 0
    out = capsys.readouterr().out
    assert read_survey(examples / f"{name}.yaml").title in out
    assert "read: rooms " in out


def test_two_readings_of_a_wall_that_do_not_agree_are_told(
    examples: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (examples / "plain-room.yaml").read_text(encoding="utf-8")
    assert text.count("length: 3.62 m") == 1
    for second, told in ((3648, 1), (3621, 0)):
        twice = f"length: {{first: 3620, second: {second}}}"
        (tmp_path / "job.yaml").write_text(text.replace("length: 3.62 m", twice), encoding="utf-8")
        assert main(["survey", str(tmp_path / "job.yaml")]) == 0
        assert capsys.readouterr().out.count(f"was read twice, as 3620 mm and {second} mm") == told


def test_a_room_is_read_back_as_one_walks_it(examples: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", str(examples / "stair-hall.yaml")]) == 0
    out = capsys.readouterr().out
    assert "wall A 4862 mm, then right at an inside corner of 91.3° to wall B 1347 mm, then right at" in out
    assert "382 mm, then left at an outside corner of 90.8° to wall D 1525 mm" in out
    assert "88.6° back to wall A\n    The survey of the Front parlour closes to 7 mm" in out
    behind = "the door at 2950 mm on wall H of the Front parlour is the parlour door on wall B of the Stair hall"
    assert (
        out.count(behind) == out.count("parlour door") == 1
        and "back room door on wall B of the Stair hall leads to no room of this survey" in out
    )


def test_a_wall_that_runs_on_does_not_meet_the_next_one_listed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    walls = "[{name: A, length: 1200, ends: {right: run-on}}, {name: B, length: 900}]"
    text = f"listel: 1\njob: {{title: T}}\nrooms: [{{name: Hall, extent: part, walls: {walls}}}]\n"
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    assert main(["survey", str(tmp_path / "job.yaml")]) == 0
    assert "wall A 1200 mm, apart from that wall B 900 mm" in capsys.readouterr().out


KITE = """\
listel: 1
job: {title: T}
rooms:
  - name: Kite
    extent: whole
    walls:
      - {name: A, length: 4000, corner: {kind: internal, angle: 84.8}}
      - {name: B, length: 3225, corner: {kind: internal, angle: 82.9}}
      - {name: C, length: 3302, corner: {kind: internal, angle: 98.9}}
      - {name: D, length: 3314, corner: {kind: internal, angle: 93.5}}
  - name: Lobby
    walls:
      - {name: A, length: 1200, corner: {kind: external}}
      - {name: B, corner: {kind: internal, angle: 90}}
      - {name: C, length: 900}
"""


def test_the_read_back_says_which_walk_would_close_and_what_is_not_known(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "kite.yaml"
    path.write_text(KITE)
    assert main(["survey", str(path)]) == 0
    out = capsys.readouterr().out
    assert "list the walls the other way round" in out
    assert "wall A 1200 mm, then left at an outside corner of unknown angle to wall B of unknown length" in out


def test_the_shape_of_each_room_is_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, out = tmp_path / "kite.yaml", tmp_path / "new" / "shapes"
    path.write_text(KITE)
    assert main(["survey", str(path), "--shape", "--out", str(out)]) == 0
    drawn = [Path(line) for line in capsys.readouterr().out.splitlines()]
    assert [each.name for each in drawn] == ["kite-1-kite.svg", "kite-2-lobby.svg"]
    kite, lobby = (each.read_text(encoding="utf-8") for each in drawn)
    assert "D/A inside 93.5°" in kite and "A  4000" in kite and "the other way" in kite
    assert "B  length?" in lobby and "A/B outside angle?" in lobby
    assert "the length of wall B; corner A/B, drawn square" in " ".join(lobby.split())


def test_an_opening_out_of_its_wall_says_how_it_would_fit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "hall.yaml"
    door = "openings: [{kind: door, at: 1900, width: 838}]"
    path.write_text(f"listel: 1\nrooms: [{{name: Hall, walls: [{{name: A, length: 2000, {door}}}]}}]\n")
    assert main(["survey", str(path)]) == 2
    assert "if at were its right edge: write at: 1062 mm" in capsys.readouterr().err


def test_what_is_missing_is_told_with_what_it_decides_and_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "hall.yaml"
    path.write_text(LACKING)
    assert main(["survey", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    missing = {one["fact"]: one for one in told["missing"]}
    angle = missing["rooms > walls > corner > angle"]
    assert angle["decides"] == "the saw setting of each mitre"
    assert angle["places"] == [["rooms > Hall > walls > A > corner", 7]]
    assert missing["rooms > walls > substrate > studs"]["places"] == [["rooms > Hall > walls > A > substrate", 8]]
    assert len(missing["rooms > walls > length"]["places"]) == 2
    assert told["read"]["walls"] == 2
    assert told["survey"]["rooms"][0]["walls"][0]["substrate"] == {"kind": "lime-on-lath"}
    assert main(["survey", str(path)]) == 0
    assert "line 7: rooms > Hall > walls > A > corner" in capsys.readouterr().out


def test_the_thickness_of_a_sprung_moulding_is_asked_for_and_of_no_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "hall.yaml"
    for spring, asked in ((", spring: 38", True), ("", False)):
        section = f"{{height: 90, projection: 80{spring}}}"
        path.write_text(
            f"{LACKING}trim: [{{name: crown, member: cornice, where: [{{room: Hall}}], section: {section}}}]"
        )
        assert main(["survey", str(path), "--json"]) == 0
        facts = {one["fact"] for one in json.loads(capsys.readouterr().out)["missing"]}
        assert ("trim > section > thickness" in facts) is asked


def test_faults_go_to_standard_error_with_status_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "hall.yaml"
    path.write_text("listel: 1\nrooms: 3\n")
    assert main(["survey", str(path)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.splitlines() == [
        f"{path}:1:1: job is missing (what the job is)",
        f"{path}:2:8: rooms: 3 (a number) cannot stand here; expected a list (the rooms)",
    ]


def test_several_files_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", "a.yaml", "b.yaml"]) == 2
    assert "name one survey file" in capsys.readouterr().err


@pytest.mark.parametrize("name", DEMOS)
def test_the_form_has_a_page_for_each_room_and_needs_no_network(examples: Path, tmp_path: Path, name: str) -> None:
    out = tmp_path / "form.html"
    assert main(["survey", str(examples / f"{name}.yaml"), "--sheet", "--out", str(out)]) == 0
    html = out.read_text(encoding="utf-8")
    job = read_survey(examples / f"{name}.yaml")
    assert html.count("<section") == 1 + len(job.rooms)
    assert all(f">{room.name}</h2>" in html for room in job.rooms)
    assert not re.findall(r"(?:src|href)=|url\((?!#)|@import", html)
    assert "http" not in html


def test_the_form_leaves_rows_open_where_the_room_is_not_wholly_surveyed() -> None:
    job = job_from_text("listel: 1\njob: {title: <T> & co}\nrooms: [{name: R, use: stair}]\n")
    html = str(written(job, ".html", built_in_schema()))
    assert "&lt;T&gt; &amp; co" in html
    walls = html[html.index("<caption>Walls") : html.index("<caption>Openings")]
    assert walls.count("<tr>") == 1 + 6
    assert "Stairs along a wall" in html


def test_the_form_asks_what_each_free_end_comes_to_and_only_those() -> None:
    stair = Flight("up", walls=(FlightWall("B", winders=Winders(0, 900, risers=(380.0,))),))
    part = Room("Hall", extent="part", walls=(Wall("A", ends=Ends(left="newel")), Wall("B")), stairs=(stair,))
    html = str(written(Job("t", rooms=(part,)), ".html", built_in_schema()))
    for asked, known in (("Left end of wall A", "newel"), ("Right end of wall B", "")):
        assert re.search(rf"{asked}: return, butt, newel or run on</th>\s*<td>{known}</td>", html)
    assert "Right end of wall A" not in html and "0 to 900; 380" in html
    whole = Room("Hall", extent="whole", walls=tuple(Wall(name) for name in "ABC"))
    assert "end of wall" not in str(written(Job("t", rooms=(whole,)), ".html", built_in_schema()))


def test_the_form_asks_what_decides_how_a_wall_is_drilled_and_holds_what_is_known() -> None:
    walls = (Wall("A", external=True, thickness=620.0), Wall("B", party=True, flue="no"), Wall("C", external=False))
    seen = Record(
        step="asbestos-check", outcome="clear", by="A. Tester", on="2026-03-20", reference="report 118", room="R"
    )
    html = str(written(Job("t", rooms=(Room("R", walls=walls),), records=(seen,)), ".html", built_in_schema()))
    behind = html[html.index("<caption>Behind the face") : html.index("<caption>Trim that is there")]
    text = " ".join(re.sub(r"<[^>]*>", " ", behind).split())
    assert "Other side: outdoors, neighbour, indoors" in text and "Wall, thick Flue in it?" in text
    assert "A outdoors 620 B neighbour no C" in text and text.count("indoors") == 1
    assert "R: clear, report 118, 2026-03-20, A. Tester" in html


def test_the_form_has_a_place_for_every_measure_of_what_is_in_a_wall() -> None:
    """What is not taken on site is asked for at the desk, too late."""
    schema = built_in_schema()

    def measured(thing: str) -> dict[str, int]:
        base = {"length": 331, "angle": 5}
        fields = enumerate(schema["$defs"][thing]["properties"].items())
        return {key: base[told["format"]] + at for at, (key, told) in fields if told.get("format") in base}

    opening, fitting = measured("opening"), measured("fitting")
    assert {"reveal", "splay", "apron", "lock-rail", "plinth-block"} <= opening.keys() and "projection" in fitting
    wall = {"name": "A", "length": 4000, "openings": [{"kind": "window", **opening}]}
    room = {"name": "R", "walls": [{**wall, "fittings": [{"kind": "radiator", **fitting}]}]}
    html = str(
        written(job_from_text(json.dumps({"listel": 1, "job": {"title": "t"}, "rooms": [room]})), ".html", schema)
    )
    for caption, told in (("Openings", opening), ("What is round each", opening), ("Sockets", fitting)):
        assert caption in html and all(f">{value}" in html for value in told.values())


@pytest.mark.parametrize(
    ("member", "asked"), [("skirting", True), ("architrave", True), ("lining", False), ("wainscot", False)]
)
def test_a_profile_is_asked_of_what_is_moulded_along_its_length_only(member: str, asked: bool) -> None:
    facts = absent_facts({"trim": [{"member": member}]}, built_in_schema())
    assert (("trim", 0, "profile") in [path for path, _ in facts]) is asked


@pytest.mark.parametrize(("member", "asked"), [("architrave", True), ("skirting", False)])
def test_the_margin_is_asked_of_an_architrave(member: str, asked: bool) -> None:
    facts = absent_facts({"trim": [{"member": member}]}, built_in_schema())
    assert (("trim", 0, "margin") in [path for path, _ in facts]) is asked
    form = written(Job("law", trim=(Trim("casing", member),)), ".html", built_in_schema())
    assert ("Margin of the lining" in str(form)) is asked


def test_the_form_goes_beside_the_survey(examples: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "room.yaml"
    path.write_bytes((examples / "plain-room.yaml").read_bytes())
    assert main(["survey", str(path), "--sheet"]) == 0
    assert capsys.readouterr().out.strip() == str(tmp_path / "room-form.html")
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["room-form.html", "room.yaml"]


def test_a_survey_is_read_without_templates_or_tables_for_the_terminal(examples: Path) -> None:
    import subprocess
    import sys

    code = (
        "import sys; from pathlib import Path; from listel.core.survey.reading import read_survey;"
        f"read_survey(Path({str(examples / 'plain-room.yaml')!r}));"
        "print(sorted({'jinja2', 'rich', 'rapidfuzz', 'highspy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_fault_in_a_survey_is_a_fault_of_input() -> None:
    from listel.core.survey.faults import InputFault

    assert issubclass(SurveyFaults, InputFault)


def test_everyday_words_are_read_back_once_with_how_often_they_stand(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], examples: Path
) -> None:
    path = tmp_path / "s.yaml"
    text = (examples / "plain-room.yaml").read_text("utf-8")
    path.write_text(text.replace("timber: european-redwood", "timber: pine"), encoding="utf-8")
    assert main(["survey", str(path)]) == 0
    out = capsys.readouterr().out
    assert "read pine as european-redwood (line 38: trim > skirting > timber, and 1 place more)" in out
    assert main(["statement", str(path), "--out", str(tmp_path)]) in (0, 1)
    assert "pine as european-redwood (survey lines 38, 45)" in next(tmp_path.glob("*.html")).read_text("utf-8")


def test_capitals_dashes_and_yes_or_no_are_taken_and_not_told(tmp_path: Path, examples: Path) -> None:
    path = tmp_path / "s.yaml"
    text = (examples / "plain-room.yaml").read_text("utf-8")
    for was, now in (
        ("region: england", "region: England"),
        ("children: false", "children: no"),
        ("timber: european-redwood", "timber: European Redwood"),
        ("length: 3.62 m", "length: 3.62 m\n        external: yes\n        flue: true"),
    ):
        text = text.replace(was, now)
    path.write_text(text, encoding="utf-8")
    job = read_survey(path)
    wall = job.rooms[0].walls[0]
    assert (job.building.region, job.building.children) == ("england", False)
    assert (wall.external, wall.flue, job.trim[0].timber) == (True, "yes", "european-redwood")
    assert job.taken == ()


@pytest.mark.parametrize(
    ("said", "year", "about"),
    [
        ("1934", 1934, False),
        ("1934.0", 1934, False),
        ('"1934"', 1934, False),
        ("about 1838", 1838, True),
        ("1790s", 1790, True),
    ]
    + [(said, 1790, True) for said in ("c. 1790", "c1790", "circa 1790", "the 1790s", "1790-1795", "1790-95")],
)
def test_a_house_is_of_a_year_or_of_about_one(
    tmp_path: Path, examples: Path, said: str, year: int, about: bool
) -> None:
    path = tmp_path / "s.yaml"
    path.write_text((examples / "plain-room.yaml").read_text("utf-8").replace("built: 1934", f"built: {said}"), "utf-8")
    building = read_survey(path).building
    assert (building.built, building.built_about) == (year, about)


@pytest.mark.parametrize("room", [{"datum": 1}, {"walls": [{"name": "A", "length": 1.39}]}])
def test_metres_without_their_unit_are_told(room: dict[str, object], tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    path.write_text(json.dumps({"listel": 1, "job": {"title": "T"}, "rooms": [{"name": "R", "walls": [], **room}]}))
    with pytest.raises(SurveyFaults, match=r"is below 20 mm.* Did you mean 1(.39)? m\?"):
        read_survey(path)


def test_a_flight_is_read_back_with_how_far_it_climbs_and_from_where(
    tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["survey", str(examples / "stair-hall.yaml")]) == 0
    said = "the first flight, wall D: from 4475 mm, on the floor of the room, it climbs 2670 mm to the left, to its top"
    assert said in capsys.readouterr().out
    path = tmp_path / "down.yaml"
    wall = {"name": "A", "length": 4000, "raised": -1780}
    flight = {"name": "kitchen stair", "rise": 178, "going": 250, "steps": 10, "walls": [{"wall": "A", "foot": 3000}]}
    room = {"name": "R", "walls": [wall], "stairs": [flight]}
    path.write_text(json.dumps({"listel": 1, "job": {"title": "T"}, "rooms": [room]}))
    assert main(["survey", str(path)]) == 0
    assert "from 3000 mm, on a floor 1780 mm below that of the room, it climbs 1780 mm" in capsys.readouterr().out


def test_flights_that_winders_join_are_read_back_with_them_and_drawn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    corner = {"kind": "internal", "angle": 90}
    walls = [{"name": "A", "length": 4000, "corner": corner}, {"name": "B", "length": 3000, "raised": 1400}]
    steps = {"rise": 200, "going": 240, "steps": 5}
    lower = {"wall": "A", "foot": 2140, "winders": {"from": 3100, "to": 4000, "risers": [3619.6]}}
    upper = {"wall": "B", "foot": 900, "winders": {"from": 0, "to": 900, "risers": [380.4]}}
    stairs = [{"name": "lower", **steps, "walls": [lower]}, {"name": "upper", **steps, "walls": [upper]}]
    path = tmp_path / "s.yaml"
    walls[0]["fittings"] = [{"kind": "radiator", "at": 300, "width": 900, "projection": 110}]
    room = {"name": "R", "extent": "part", "walls": walls, "stairs": stairs}
    path.write_text(json.dumps({"listel": 1, "job": {"title": "T"}, "rooms": [room]}))
    assert main(["survey", str(path)]) == 0
    said = capsys.readouterr().out
    assert main(["survey", str(path), "--shape"]) == 0
    drawn = (tmp_path / "s-1-r.svg").read_text()
    assert "B  3000, floor +1400" in drawn and "a stair's nosings" in drawn.replace("&#39;", "'").replace("&#x27;", "'")
    assert "radiator" in drawn
    assert "to its top nosing at 3100 mm, then winders round the corner at its right end" in said
    assert "on a floor 1400 mm above that of the room, after winders round the corner at its left end, it" in said


def test_each_trim_is_read_back_with_the_walls_it_is_not_given(
    examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["survey", str(examples / "stair-hall.yaml")]) == 0
    out = capsys.readouterr().out
    assert "  skirting: Front parlour, all walls; Stair hall, walls A, B, C, not D\n" in out
    assert "  picture rail: Front parlour, all walls; carries 6.1 kg on each metre\n" in out
    assert "  door architrave: Front parlour, wall H, not A, B, C, D, E, F, G\n" not in out
    assert "  door architrave: Front parlour, wall H\n" in out


def test_the_form_is_printed_for_editors(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", "--schema"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert "european-redwood" in printed["$defs"]["trim"]["properties"]["timber"]["enum"]


@pytest.mark.parametrize(
    ("region", "asked"), [("england", {"client-kind"}), ("united-states", {"state"}), ("ireland", set())]
)
def test_what_only_one_law_asks_is_asked_only_there(
    region: str, asked: set[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(LACKING + f"building: {{region: {region}}}\n")
    main(["survey", str(path), "--json"])
    facts = {each["fact"] for each in json.loads(capsys.readouterr().out)["missing"]}
    assert {key for key in ("state", "client-kind") if f"building > {key}" in facts} == asked


@pytest.mark.parametrize(
    ("said", "meant"), [("eggshell", "paint"), ("Gloss", "paint"), ("varnish", "clear"), ("oiled", "oil")]
)
def test_a_finish_by_its_everyday_name_is_taken_and_told(said: str, meant: str, tmp_path: Path, examples: Path) -> None:
    path = tmp_path / "s.yaml"
    text = (examples / "plain-room.yaml").read_text("utf-8").replace("    finish: paint", f"    finish: {said}", 1)
    path.write_text(text, encoding="utf-8")
    job = read_survey(path)
    assert job.trim[0].finish == meant
    assert [(taken.said, taken.meant) for taken in job.taken] == [(said, meant)]
