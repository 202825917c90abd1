"""The words of the survey come from the tables of the plugins; everyday words are taken, asked about, or refused."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from listel.core.contract import tables
from listel.core.contract.hooks import hookimpl
from listel.core.contract.tables import Row, Table, table_from
from listel.core.host.added import own_tables
from listel.core.host.admit import admitted
from listel.core.host.engine import examine
from listel.core.host.plugin import Plugin
from listel.core.host.registry import BUILT_IN, Registry, load, plugin_from
from listel.core.host.words import schema_with
from listel.core.survey import words
from listel.core.survey.data import survey_data
from listel.core.survey.reading import SurveyFaults, job_from_text
from listel.core.survey.yaml_places import read_document
from listel.plugins.fixings import FixingSchedule
from listel.reports.statement import render

SURVEY = """\
listel: 1
job: {{title: T}}
rooms: [{{name: Hall, walls: [{{name: A, length: 3000}}]}}]
trim:
  - name: dado
    member: dado-rail
    where: [{{room: Hall}}]
    timber: {timber}
"""


def table(*rows: dict[str, Any], **head: Any) -> Table:
    """A table of timbers of a firm of our own."""
    own = {"own": {"title": "Our own", "standing": "house-rule"}}
    return table_from(
        {"table": "timbers", "sources": own, "rows": [{"source": "own", **row} for row in rows], **head}, "t"
    )


class Firm:
    """A plugin whose table adds two timbers."""

    @hookimpl
    def listel_tables(self) -> list[Table]:
        return [
            table(
                {"name": "bog-oak", "also": ["black oak", "oak from the bog"]},
                {"name": "brown-oak", "also": ["oak from the bog"]},
            )
        ]


FIRM = plugin_from(Firm(), "firm", "1", "a test")
SCHEMA = schema_with([FIRM])


def read(timber: str) -> Any:
    return job_from_text(SURVEY.format(timber=timber), "s.yaml", SCHEMA)


def test_a_row_of_a_table_is_a_word_of_the_survey_and_nothing_else_is_needed() -> None:
    assert FIRM.faults == ()
    assert read("bog-oak").trim[0].timber == "bog-oak"
    with pytest.raises(SurveyFaults, match="bog-oak is not known here"):
        job_from_text(SURVEY.format(timber="bog-oak"))


@pytest.mark.parametrize("said", ["black oak", "Black  Oak"])
def test_an_everyday_word_that_means_one_thing_is_taken_and_told(said: str) -> None:
    job = read(said)
    assert job.trim[0].timber == "bog-oak"
    assert [(one.said, one.meant, one.line) for one in job.taken] == [(" ".join(said.split(" ")), "bog-oak", 8)]
    assert job.taken[0].where == "trim > dado > timber"
    assert (job, job.digest) == (read("bog-oak"), read("bog-oak").digest)
    assert read("bog-oak").taken == ()


@pytest.mark.parametrize("said", ["bog oak", "BOG-OAK"])
def test_a_word_of_the_survey_in_other_capitals_or_dashes_is_taken_and_not_told(said: str) -> None:
    assert (read(said).trim[0].timber, read(said).taken) == ("bog-oak", ())


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("oak from the bog", "could mean bog-oak or brown-oak here; write which"),
        ("blak oak", "Did you mean bog-oak?"),
        ("oak of the bog", "Did you mean bog-oak or brown-oak?"),
        ("plywood", "A firm may add a word of its own"),
    ],
)
def test_one_that_means_several_or_none_is_a_fault_at_its_line(said: str, told: str) -> None:
    with pytest.raises(SurveyFaults) as faults:
        read(said)
    (fault,) = faults.value.faults
    assert (fault.line, fault.path) == (8, "trim > dado > timber")
    assert told in fault.says


HOUSE = """\
listel: 1
job: {{title: T}}
building: {{region: {region}, protection: {protection}}}
rooms:
  - name: R
    walls:
      - name: A
        length: {length}
        openings: [{{kind: {opening}, at: 100, width: 800}}]
"""


def house(**said: str) -> Any:
    usual = {"region": "scotland", "protection": "category-b", "length": "4000", "opening": "door"}
    return job_from_text(HOUSE.format(**usual | said), "s.yaml")


@pytest.mark.parametrize(
    ("said", "meant"), [("press", "cupboard"), ("Hearth", "fireplace"), ("sash-window", "window"), ("arch", "archway")]
)
def test_what_an_opening_is_called_in_the_trade_is_taken_and_told(said: str, meant: str) -> None:
    job = house(opening=said)
    assert job.rooms[0].walls[0].openings[0].kind == meant
    assert [one.meant for one in job.taken] == [meant]


def test_the_letter_of_a_listing_is_read_by_the_words_of_its_law() -> None:
    assert house(protection="B").building.protection == "category-b"
    assert house(protection="B1", region="northern-ireland").building.protection == "listed-grade-b1"
    with pytest.raises(SurveyFaults, match="A could mean listed-grade-a or category-a here; write which"):
        house(protection="A")


def test_a_length_without_its_unit_is_told_in_one_sentence() -> None:
    with pytest.raises(SurveyFaults, match=r"5.2 is below 20 mm\. Did you mean 5.2 m\?"):
        house(length="5.2")


def test_a_column_may_list_the_words_of_a_row() -> None:
    oaks = [
        table({"name": "oaks", "kinds": ["one", "two"]}, {"name": "more", "kinds": ["two", "three"]}, words="kinds")
    ]
    known = words.survey_schema(oaks)["$defs"]["trim"]["properties"]["timber"]
    assert known["enum"] == ["one", "two", "three"]


def test_editors_are_given_the_words_that_are_taken() -> None:
    known = words.for_editors(SCHEMA)["$defs"]["trim"]["properties"]["timber"]["enum"]
    assert {"bog-oak", "black oak"} <= set(known)
    assert "oak from the bog" not in known


def test_the_plugins_with_words_are_those_that_have_the_hook() -> None:
    from importlib import import_module

    text = (Path(__file__).parents[2] / "schemas" / "survey.schema.json").read_text("utf-8")
    named = set(re.findall(r'"x-words": "([a-z-]+)"', text))
    modules = {name: import_module(f"listel.plugins.{name}") for name in BUILT_IN}
    hooked = {name: module.listel_tables() for name, module in modules.items() if hasattr(module, "listel_tables")}
    with_words = [name for name, tables in hooked.items() if named & {table.name for table in tables}]
    assert sorted(with_words) == sorted(words.WITH_WORDS)


def test_every_place_that_a_table_gives_words_for_has_some() -> None:
    def places(node: Any) -> list[dict[str, Any]]:
        parts = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
        return [
            *([node] if isinstance(node, dict) and isinstance(node.get("x-words"), str) else []),
            *(p for n in parts for p in places(n)),
        ]

    found = places(words.built_in_schema())
    assert len(found) >= 2
    assert all(place["enum"] and place["x-also"] for place in found)


WALL = """\
listel: 1
job: {{title: T}}
rooms: [{{name: Hall, walls: [{{name: A, substrate: {{kind: {kind}, finish: {finish}}}}}]}}]
"""


def test_a_wall_is_surveyed_in_everyday_words() -> None:
    job = job_from_text(WALL.format(kind="lath and plaster", finish="[wallpaper, whitewash]"))
    wall = job.rooms[0].walls[0].substrate
    assert wall is not None
    assert (wall.kind, wall.face, wall.finish) == ("lime-on-lath", "paper", ("paper", "limewash"))
    assert [one.said for one in job.taken] == ["lath and plaster", "wallpaper", "whitewash"]
    with pytest.raises(SurveyFaults, match="paint could mean emulsion, oil-paint or alkyd here; write which"):
        job_from_text(WALL.format(kind="brick", finish="paint"))


def test_loose_paint_and_a_painter_are_taken_as_they_are_called() -> None:
    old = "existing: [{member: skirting, paint: loose}]"
    wall = f"rooms: [{{name: R, walls: [{{name: A, {old}}}]}}]"
    record = "records: [{step: lead-check, outcome: clear, by: P, as: painter, on: 2026-03-20}]"
    job = job_from_text(f"listel: 1\njob: {{title: T}}\n{wall}\n{record}\n")
    assert job.rooms[0].walls[0].existing[0].paint == "flaking"
    assert job.records[0].competence == "painter"


def test_a_fact_may_count_on_what_a_table_says_of_a_word() -> None:
    when = words.built_in_schema()["$defs"]["substrate"]["properties"]["studs"]["x-when"]["kind"]
    assert {"lime-on-lath", "battened-lath"} <= set(when)
    assert "brick" not in when


def test_what_was_taken_is_written_as_the_survey_names_it() -> None:
    assert survey_data(read("black oak"))["trim"][0]["timber"] == "bog-oak"


@pytest.fixture
def one_row_more(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Any]]:
    """The make-up that DEVELOPERS.md adds, at work as one row more of the site's own table."""
    page = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")
    (row,) = YAML(typ="safe").load(page.split("<!-- a make-up -->\n```yaml\n")[1].split("```")[0])
    found = tables.data_beside

    def with_it(package: str, name: str) -> Any:
        data = found(package, name)
        more = (package, name) == ("listel.plugins.site", "makeups")
        return {**data, "rows": [*data["rows"], row]} if more else data

    monkeypatch.setattr(tables, "data_beside", with_it)
    for cached in (tables.load_table, words.built_in_schema):
        cached.cache_clear()
    yield row
    monkeypatch.undo()
    for cached in (tables.load_table, words.built_in_schema):
        cached.cache_clear()


@pytest.mark.parametrize("word", ["name", "also"])
def test_one_row_adds_a_make_up_to_the_whole_of_it(one_row_more: dict[str, Any], word: str) -> None:
    """Every plugin gives a sound account of a wall of a make-up that only its row tells of."""
    base = YAML(typ="safe").load((Path(__file__).parents[2] / "schemas/bases/whole-room.yaml").read_text("utf-8"))
    said = one_row_more["name"] if word == "name" else one_row_more["also"][0]
    for wall in base["rooms"][0]["walls"]:
        wall["substrate"] = {
            "kind": said,
            "condition": "sound",
            "finish": "emulsion",
            "studs": {"centres": 450, "first": 200},
        }
    job = job_from_text(json.dumps(base, default=str))
    assert {wall.substrate.kind for wall in job.rooms[0].walls if wall.substrate} == {one_row_more["name"]}
    outcome = examine(job, load(entry_points=False))
    assert [finding.says for finding in outcome.findings if finding.rule.startswith("engine/")] == []
    fixed = outcome.sheet[FixingSchedule].lines
    assert fixed and all(line.substrate == one_row_more["name"] and line.into == one_row_more["into"] for line in fixed)
    assert one_row_more["into"] in render(outcome)


@pytest.mark.parametrize(
    ("said", "kind"),
    [("Grade II", "listed-grade-2"), ("grade II* listed", "listed-grade-2-star"), ("Grade 1", "listed-grade-1")],
)
def test_a_grade_of_listing_is_read_as_people_write_it(said, kind):
    survey = (
        f"listel: 1\njob: {{title: T}}\nbuilding: {{protection: '{said}'}}\nrooms: [{{name: R, walls: [{{name: A}}]}}]"
    )
    assert job_from_text(survey).building.protection == kind


AT = {
    "makeups": ("substrate", "kind"),
    "finishes": ("substrate", "finish"),
    "timbers": ("", "timber"),
    "members": ("", "member"),
    "protection": ("building", "protection"),
    "states": ("existing", "state"),
    "intents": ("existing", "intent"),
    "damage": ("damage", "kind"),
    "finds": ("existing", "hides"),
    "strippers": ("work", "strip-method"),
}
"""By table, where a survey holds its words: under which key, and that key."""


def renamed(node: Any, at: tuple[str, str], under: str = "") -> Any:
    """The survey in which each word that stands there is another firm's for the same."""
    if isinstance(node, list):
        return [renamed(each, at, under) for each in node]
    if not isinstance(node, dict):
        return node
    here = at[0] in ("", under)
    return {key: own(value) if here and key == at[1] else renamed(value, at, key) for key, value in node.items()}


def own(said: Any) -> Any:
    return [own(each) for each in said] if isinstance(said, list) else f"own-{said}"


def own_row(row: Row, words: str) -> Row:
    values = {**row.values, "also": {} if words else []}
    if words:
        values |= {words: own(row[words]), "says": {own(word): says for word, says in row["says"].items()}}
    return Row(f"own-{row.name}", values, row.sources)


@pytest.mark.parametrize("name", AT)
def test_a_word_that_a_plugin_adds_goes_through_every_stage_as_ours_does(name: str) -> None:
    table = own_tables()[name]
    rows = tuple(own_row(row, table.words) for row in table)
    firm = Plugin("own", "1", "test", tables=lambda: (Table(name, "ours", rows),))
    (firm,) = admitted([firm])
    data = read_document(Path(__file__).parents[2] / "schemas" / "examples" / "stair-hall.yaml").data
    data["work"] |= {"strip-paint": True, "strip-method": "infrared"}
    old = next(each for room in data["rooms"] for wall in room["walls"] for each in wall.get("existing", ()))
    old["hides"] = ["papers"]
    told = renamed(data, AT[name])
    assert told != data
    job = job_from_text(json.dumps(told), "s.yaml", schema_with([firm]))
    outcome = examine(job, Registry((*load(entry_points=False, reckoners=False).plugins, firm)))
    assert [entry.fault for entry in outcome.ran if entry.fault] == []
