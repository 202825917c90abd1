"""The survey's schema: sound in itself, in step with the job, and kept by the demo surveys."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import is_dataclass
from pathlib import Path
from random import Random
from typing import Annotated, Any, get_args, get_origin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from odd_surveys import any_survey

from listel.core.survey import job as model
from listel.core.survey.data import keys_of
from listel.core.survey.fits import fits
from listel.core.survey.messages import SurveyFaults
from listel.core.survey.missing import absent_facts
from listel.core.survey.reading import job_from_text, read_survey
from listel.core.survey.schema_words import validator
from listel.core.survey.units import PARSERS, parse_date
from listel.core.survey.words import built_in_schema

SCHEMA = built_in_schema()
DEFS = SCHEMA["$defs"]
TOP = SCHEMA["properties"]
DEMOS = ("stair-hall", "plain-room", "us-house")


def nodes(node: Any) -> Iterator[dict[str, Any]]:
    """Every schema inside a schema."""
    if isinstance(node, dict):
        yield node
        for value in node.values():
            yield from nodes(value)
    elif isinstance(node, list):
        for value in node:
            yield from nodes(value)


def test_it_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def test_every_map_is_closed_and_every_length_bounded() -> None:
    for node in nodes(SCHEMA):
        if node.get("type") == "object":
            assert "additionalProperties" in node
        if node.get("format") == "length":
            assert "x-most" in node
        if node.get("type") == "array":
            assert "maxItems" in node
        if node.get("type") == "string" and not {"pattern"} & set(node):
            assert "maxLength" in node


def test_every_key_has_a_meaning() -> None:
    for node in nodes(SCHEMA):
        for key, known in node.get("properties", {}).items() if isinstance(node.get("properties"), dict) else ():
            told = DEFS[known["$ref"].rpartition("/")[2]] if "$ref" in known else known
            assert told.get("description"), key


CLASSES = [
    (model.Building, TOP["building"]),
    (model.Climate, TOP["climate"]),
    (model.Seasons, DEFS["room"]["properties"]["climate"]),
    (model.Air, DEFS["air"]),
    (model.Room, DEFS["room"]),
    (model.Wall, DEFS["wall"]),
    (model.Corner, DEFS["corner"]),
    (model.Ends, DEFS["ends"]),
    (model.Bow, DEFS["wall"]["properties"]["bow"]),
    (model.Substrate, DEFS["substrate"]),
    (model.Studs, DEFS["studs"]),
    (model.Ground, DEFS["ground"]),
    (model.LevelReading, DEFS["level"]),
    (model.Opening, DEFS["opening"]),
    (model.Fitting, DEFS["fitting"]),
    (model.Evidence, DEFS["evidence"]),
    (model.Flight, DEFS["flight"]),
    (model.FlightWall, DEFS["flight"]["properties"]["walls"]["items"]),
    (model.Winders, DEFS["flight"]["properties"]["walls"]["items"]["properties"]["winders"]),
    (
        model.Newel,
        DEFS["flight"]["properties"]["walls"]["items"]["properties"]["winders"]["properties"]["newel"],
    ),
    (model.Trim, DEFS["trim"]),
    (model.Place, DEFS["trim"]["properties"]["where"]["items"]),
    (model.Section, DEFS["section"]),
    (model.ProfileElement, DEFS["profile"]["items"]),
    (model.ExistingTrim, DEFS["existing"]),
    (model.Offset, DEFS["existing"]["properties"]["rubbing"]["items"]),
    (model.Hole, DEFS["hole"]["anyOf"][1]),
    (model.Damage, DEFS["damage"]),
    (model.Photo, DEFS["photo"]),
    (model.Board, DEFS["board"]),
    (model.Defect, DEFS["defect"]),
    (model.Choices, TOP["choices"]),
    (model.Cutting, TOP["cutting"]),
    (model.Tolerances, TOP["tolerances"]),
    (model.Work, TOP["work"]),
    (model.ToolUse, DEFS["tool"]),
    (model.Record, DEFS["record"]),
    (model.PlanStep, DEFS["plan-step"]["anyOf"][1]),
    (model.Departure, DEFS["departure"]),
]


@pytest.mark.parametrize(("kind", "schema"), CLASSES, ids=lambda value: getattr(value, "__name__", ""))
def test_every_field_of_the_job_has_its_key_and_every_key_its_field(kind: type, schema: dict[str, Any]) -> None:
    keys = {one.key: one.hint for one in keys_of(kind)}
    assert set(keys) == set(schema["properties"])
    for key, hint in keys.items():
        assert written_with(schema["properties"][key]) == read_as(hint), key


def written_with(node: dict[str, Any]) -> set[str]:
    """The kinds of values with units (length, angle ...) that may stand for a key, or for an item of its list."""
    node = DEFS[node["$ref"].rpartition("/")[2]] if "$ref" in node else node
    inside = [*node.get("anyOf", ()), *([node["items"]] if "items" in node else [])]
    return {node["format"]} - {"date"} if "format" in node else set().union(*map(written_with, inside))


def read_as(hint: Any) -> set[str]:
    """The kinds of values with units that the model reads there."""
    if get_origin(hint) is Annotated:
        return {hint.__metadata__[0]}
    if get_origin(hint) is tuple:
        return read_as(get_args(hint)[0])
    alone = [one for one in keys_of(hint) if one.alone] if is_dataclass(hint) else []
    return read_as(alone[0].hint) if alone else set()


def test_what_decides_something_says_so_in_words() -> None:
    decides = [node["x-decides"] for node in nodes(SCHEMA) if "x-decides" in node]
    assert len(decides) > 40
    assert all(isinstance(text, str) and text[0].islower() and not text.endswith(".") for text in decides)


@pytest.mark.parametrize("name", DEMOS)
def test_the_demo_surveys_read_and_are_marked_invented(examples: Path, name: str) -> None:
    job = read_survey(examples / f"{name}.yaml")
    assert job.invented
    assert "invented" in job.note.lower()
    assert job.source == f"{name}.yaml"
    assert "(invented)" in job.site


def test_the_demos_show_what_they_are_for(examples: Path) -> None:
    hall = read_survey(examples / "stair-hall.yaml")
    assert [len(room.walls) for room in hall.rooms] == [8, 4]
    assert (hall.building.built, hall.building.built_about) == (1838, True)
    assert hall.room("Stair hall").stairs[0].walls[0].foot == 4475
    plain = read_survey(examples / "plain-room.yaml")
    assert [len(room.walls) for room in plain.rooms] == [1]
    house = read_survey(examples / "us-house.yaml")
    assert house.units == "inches"
    assert house.room("Dining room").wall("A").length == model.Reading(4025.9, 4027.4875)


WHOLE = [
    ("stair-hall", "Front parlour"),
    ("stair-hall", "Stair hall"),
    ("us-house", "Dining room"),
    ("us-house", "Front bedroom"),
]


@pytest.mark.parametrize(("name", "room"), WHOLE)
def test_the_whole_rooms_of_the_demos_close_to_a_few_millimetres(examples: Path, name: str, room: str) -> None:
    """A traverse by plain sines and cosines, apart from the program's own."""
    heading = east = north = 0.0
    for wall in read_survey(examples / f"{name}.yaml").room(room).walls:
        assert wall.length and wall.corner and wall.corner.through_room
        east += wall.length.value * math.cos(math.radians(heading))
        north += wall.length.value * math.sin(math.radians(heading))
        heading += 180 - wall.corner.through_room
    assert math.hypot(east, north) < 6
    assert abs(heading - 360) < 0.3


def test_a_year_may_stand_in_quotes() -> None:
    text = 'listel: 1\njob: {title: A house}\nbuilding: {built: "1825"}\nrooms: [{name: Hall, walls: [{name: A}]}]\n'
    quoted = job_from_text(text).building
    assert (quoted.built, quoted.built_about) == (1825, False)
    with pytest.raises(SurveyFaults, match="built"):
        job_from_text(text.replace("1825", "825"))


@given(st.integers(0, 10**6))
@settings(max_examples=60)
def test_the_quick_judge_and_the_one_with_words_are_of_one_mind(seed: int) -> None:
    random = Random(seed)
    data = json.loads(any_survey(seed))
    spots = [
        (held, key) for held in maps_and_lists(data) for key in (held if isinstance(held, dict) else range(len(held)))
    ]
    for _ in range(random.choice((0, 0, 1, 1, 3))):
        held, key = random.choice(spots)
        held[key] = random.choice(
            (None, True, -1, 0, 4.0, 4.5, 1e60, "", "12", "8ft 6", "lime", "about 1838", [], {}, ["A"])
        )
    parsers = {**PARSERS, "date": parse_date}
    slow = not any(validator(SCHEMA, parsers).iter_errors(data))
    assert fits(data, SCHEMA, parsers) == slow


def maps_and_lists(value: Any) -> list[Any]:
    """Every map and list in the data that holds something."""
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [*([value] if parts else []), *(one for part in parts for one in maps_and_lists(part))]


@pytest.mark.parametrize(
    ("wall", "fact", "asks"),
    [
        ({"openings": [{"kind": "door"}, {"kind": "fireplace"}]}, "flue", True),
        ({"openings": [{"kind": "door"}]}, "flue", False),
        ({}, "flue", False),
        ({"party": True}, "thickness", True),
        ({}, "thickness", False),
        ({}, "behind", True),
        ({"external": False}, "behind", True),
        ({"external": True}, "behind", False),
    ],
)
def test_a_wall_is_asked_what_decides_how_it_is_drilled(wall: dict[str, object], fact: str, asks: bool) -> None:
    data = {"rooms": [{"walls": [wall]}]}
    assert (("rooms", 0, "walls", 0, fact) in {path for path, _ in absent_facts(data, SCHEMA)}) is asks


@pytest.mark.parametrize(("ends", "asks"), [(None, True), ({"left": "run-on"}, True), ({"right": "run-on"}, False)])
def test_no_corner_is_asked_where_a_wall_runs_on(ends: dict[str, str] | None, asks: bool) -> None:
    data = {"rooms": [{"name": "Hall", "walls": [{"name": "A", **({"ends": ends} if ends else {})}]}]}
    assert (("rooms", 0, "walls", 0, "corner") in {path for path, _ in absent_facts(data, SCHEMA)}) is asks


@pytest.mark.parametrize(("party", "asks"), [({}, True), ({"party": False}, True), ({"party": True}, False)])
def test_a_neighbours_side_is_not_outdoors(party: dict[str, bool], asks: bool) -> None:
    data = {"rooms": [{"name": "Hall", "walls": [{"name": "A", **party}]}]}
    assert (("rooms", 0, "walls", 0, "external") in {path for path, _ in absent_facts(data, SCHEMA)}) is asks


@pytest.mark.parametrize(("region", "asks"), [("england", True), ("ireland", True), ("united-states", False)])
def test_a_fact_that_hangs_on_one_elsewhere_is_asked_for_only_with_that(region: str, asks: bool) -> None:
    """That a principal contractor is named is the law of these islands alone."""
    data = {"building": {"region": region}, "work": {"crew": 2}}
    assert (("work", "contractors") in {path for path, _ in absent_facts(data, SCHEMA)}) is asks


@pytest.mark.parametrize("said", ["IL", "Illinois", "illinois"])
def test_a_state_is_known_by_its_name_and_its_letters(said: str) -> None:
    text = (
        f"listel: 1\njob: {{title: a}}\nbuilding: {{region: united-states, state: {said}}}\nrooms: [{{name: Hall}}]\n"
    )
    assert job_from_text(text).building.state == "illinois"
