"""What the desk does with a survey: it keeps what was typed, tells what is wrong, and goes on with the rest."""

from __future__ import annotations

import errno
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from listel.core.contract.stage import READERS
from listel.core.files import beside
from listel.core.host.firm import Firm
from listel.core.survey.faults import InputFault
from listel.core.survey.splice import found
from listel.core.survey.words import built_in_schema
from listel.core.survey.yaml_places import read_text
from listel.plugins.estimate import read_rates
from listel.plugins.setting_out import SettingOut
from listel.reports.desk import server
from listel.reports.desk.command import _begun
from listel.reports.desk.edits import set_value
from listel.reports.desk.form import Form, fields_of
from listel.reports.desk.journal import between
from listel.reports.desk.paths import id_of, path_of

from .conftest import Asked

Begun = Callable[..., Asked]
LENGTH = "rooms/0/walls/0/length/first"
MOISTURE = "rooms/0/walls/0/moisture"
WALL = "/room/0/wall/0"


def data(desk: Asked) -> object:
    return read_text(desk.survey.read_text("utf-8"), "survey").data


@pytest.mark.parametrize("name", ["plain-room", "us-house", "stair-hall"])
def test_every_value_of_an_example_has_a_field_that_means_it(name: str, examples: Path) -> None:
    """The form leaves out nothing that a survey can say, and each field's text reads back as the value it shows."""
    survey = read_text((examples / f"{name}.yaml").read_text("utf-8"), name).data
    form = Form(built_in_schema(), survey, survey.get("units", "mm"))
    fields = {field.id: field for field in fields_of(form.parts((), form.keys(())))}
    told = [field for field in fields.values() if field.value]
    for field in told:
        path = path_of(field.id)
        value = found(survey, path) if found(survey, path) is not None else found(survey, path[:-1])
        assert form.meant(path, field.value) == value or [form.meant(path, field.value)] == [[value]], field.id
    assert len(told) > {"plain-room": 60, "us-house": 250, "stair-hall": 600}[name]


@pytest.mark.parametrize(("region", "asks"), [("wales", False), ("united-states", True)])
def test_a_field_says_that_it_is_missing_only_where_it_decides_something(region: str, asks: bool) -> None:
    form = Form(built_in_schema(), {"building": {"region": region}}, "mm")
    fields = {field.id: field for field in fields_of(form.parts((), form.keys(())))}
    assert bool(fields["building/state"].decides) is asks
    assert fields["building/built"].decides


@pytest.mark.parametrize(("region", "off"), [(None, False), ("wales", True), ("united-states", False)])
def test_what_nobody_has_to_say_there_is_not_asked_for(region: str | None, off: bool) -> None:
    form = Form(built_in_schema(), {"building": {"region": region} if region else {}}, "mm")
    fields = {field.id: field for field in fields_of(form.parts(("building",), form.keys(("building",))))}
    assert fields["building/state"].off is fields["building/city"].off is off
    assert ("listed-grade-2" in fields["building/protection"].words) is (region != "united-states")
    told = Form(built_in_schema(), {"building": {"region": "wales", "state": "Texas"}}, "mm").part(
        ("building", "state")
    )
    assert not told.off, "what was said is shown wherever it stands"


@pytest.mark.parametrize(
    ("region", "typed", "meant"),
    [
        (None, "14/3/2026", "2026-03-14"),
        (None, "3/14/2026", "2026-03-14"),
        (None, "3/4/2026", "3/4/2026"),
        ("ireland", "3/4/2026", "2026-04-03"),
        ("ireland", "3.4.2026", "2026-04-03"),
        ("united-states", "3/4/2026", "2026-03-04"),
        ("united-states", "14/3/2026", "2026-03-14"),
        ("ireland", "31/2/2026", "31/2/2026"),
        ("ireland", "2026-04-03", "2026-04-03"),
    ],
)
def test_a_day_is_taken_as_people_write_it_where_it_means_one(region: str | None, typed: str, meant: str) -> None:
    form = Form(built_in_schema(), {"building": {"region": region} if region else {}}, "mm")
    assert form.meant(("work", "start"), typed) == meant


def test_hours_of_steps_are_taken_with_or_without_braces_and_the_form_says_how() -> None:
    form = Form(built_in_schema(), {}, "mm")
    assert form.meant(("work", "durations"), "scribe: 3, fix: 6.5") == {"scribe": 3, "fix": 6.5}
    assert form.meant(("work", "durations"), "{scribe: 3}") == {"scribe": 3}
    assert form.part(("work", "durations")).says.endswith("each as name: value, a comma between")


def test_a_record_takes_one_room_or_several_by_their_names() -> None:
    survey = {"rooms": [{"name": "Hall"}, {"name": "Parlour"}, {"name": "Hall, upper"}], "records": [{}]}
    form, room = Form(built_in_schema(), survey, "mm"), ("records", 0, "room")
    for typed, meant in (("Hall", "Hall"), ("Hall, Parlour", ["Hall", "Parlour"]), ("Hall, upper", "Hall, upper")):
        assert form.meant(room, typed) == meant
    assert form.part(room).says == "where; several rooms, a comma between, are a record each"


def test_the_photographs_of_a_wall_are_offered_where_it_names_them() -> None:
    photos = [{"name": name, "room": "Hall", **wall} for name, wall in (("p", {"wall": "A"}), ("q", {"wall": "B"}))]
    walls = [{"name": "A", "existing": [{"member": "skirting", "photos": ["r"]}]}]
    survey = {"photos": photos, "rooms": [{"name": "Hall", "evidence": [{"kind": "plugs"}], "walls": walls}]}
    form = Form(built_in_schema(), survey, "mm")
    on_wall = form.part(("rooms", 0, "walls", 0, "existing", 0, "photos"))
    assert (on_wall.kind, on_wall.words, on_wall.value) == ("ticks", ("p", "r"), "r")
    assert form.part(("rooms", 0, "evidence", 0, "photos")).words == ("p", "q")


def test_a_name_is_offered_where_the_survey_has_it() -> None:
    survey = {
        "rooms": [{"name": "Hall", "walls": [{"name": "A"}, {"name": "B"}]}, {"name": "Parlour"}],
        "trim": [{"name": "skirting"}],
        "records": [{"step": "x", "room": "Hall"}],
        "rack": [{"for": "x"}],
    }
    form = Form(built_in_schema(), survey, "mm", {("records", "step"): ("lead-check",)})
    of_record = {key: form.part(("records", 0, key)).words for key in ("room", "wall", "step")}
    assert of_record == {"room": ("Hall", "Parlour"), "wall": ("A", "B"), "step": ("lead-check",)}
    assert form.part(("rack", 0, "for")).words == ("skirting",)


def test_the_page_of_records_offers_steps_and_shows_what_a_record_comes_to(at_desk: Begun) -> None:
    desk = at_desk()
    text = desk.survey.read_text("utf-8")
    record = "{step: blah, outcome: done, by: A. Nyone, room: Back bedroom}"
    desk.survey.write_text(f"{text}records: [{record}]\n", "utf-8")
    page = desk.get("/records").text
    assert '<option value="lead-check">' in page
    assert "settles nothing" in desk.get("/state?place=/records").json()["parts"]["findings"]


def test_a_record_is_begun_by_its_step_and_not_by_what_came_of_it() -> None:
    assert Form(built_in_schema(), {}, "mm").part(("records",)).kinds == ()


def test_a_fault_is_counted_on_its_own_page_and_what_rests_on_it_says_so(at_desk: Begun) -> None:
    desk = at_desk()
    was = desk.survey.read_text("utf-8")
    desk.survey.write_text(was + "work: {tools: [{hours: 2}]}\n", "utf-8")
    state = desk.get("/state?place=/job").json()
    assert re.search("<b>Job</b> <span>1 fault</span>", state["parts"]["pages"])
    assert '<a href="/job#work/tools/0">work, tool 1</a>' in state["parts"]["left"]
    name = found(data(desk), ("trim", 0, "name"))
    without = re.sub(r"\n    where: .*", "", was, count=1)
    desk.survey.write_text(f"{without}rack: [{{for: {name}, name: R1, length: 900}}]\n", "utf-8")
    state = desk.get("/state?place=/trim").json()
    assert f"there is no trim called {name}" not in json.dumps(state)
    assert f"{name} has a fault of its own" in json.dumps(state)


def test_what_is_open_says_that_no_hold_is_and_where_the_rest_stands(at_desk: Begun) -> None:
    desk = at_desk(text="listel: 1\njob: {title: A}\nrooms: [{name: Hall, walls: [{name: A}]}]\n")
    told = desk.get("/state?place=/open").json()["parts"]["findings"]
    assert "No hold is open. " in told
    assert re.search(r"[1-9]\d* of the weight caution.* stand on the pages of what they are of", told)


def test_what_is_found_is_told_at_the_desk_in_the_words_of_the_region(at_desk: Begun, examples: Path) -> None:
    desk = at_desk(text=(examples / "us-house.yaml").read_text("utf-8"))
    told = "".join(desk.get(f"/state?place=/{place}").json()["parts"]["findings"] for place in ("open", "job", "trim"))
    words = re.sub(r"(?m)^ *source .*$|<[^>]*>", " ", told)
    assert re.search(r"\bwood\b", words) and not re.search(
        r"(?<![\w/-])(timber|joiner|skirting|mitre)s?(?![-/\w])", words
    )


def test_a_survey_begun_at_the_desk_holds_no_examples() -> None:
    begun = _begun(beside("listel.schemas", "starter.yaml").read_text("utf-8"))
    assert "#" not in begun
    whole = read_text(beside("listel.schemas", "starter.yaml").read_text("utf-8"), "starter").data
    assert read_text(begun, "begun").data == whole


def test_a_value_is_kept_and_the_rest_of_the_file_stays(at_desk: Begun) -> None:
    desk = at_desk()
    before = desk.survey.read_text("utf-8")
    answer = desk.set(WALL, (LENGTH, "3.62 m", "3640"))
    assert answer.json()["kept"] == [LENGTH]
    assert desk.survey.read_text("utf-8") == before.replace("length: 3.62 m", "length: 3640")
    assert "3640" in answer.json()["drawings"][0][1]


def test_a_second_tape_makes_two_readings_and_goes_again(at_desk: Begun) -> None:
    desk = at_desk()
    second = "rooms/0/walls/0/length/second"
    desk.set(WALL, (second, "", "3619"))
    assert found(data(desk), ("rooms", 0, "walls", 0, "length")) == {"first": "3.62 m", "second": 3619}
    desk.set(WALL, (second, "3619", ""))
    assert found(data(desk), ("rooms", 0, "walls", 0, "length")) == "3.62 m"


def test_what_changed_elsewhere_is_a_conflict_and_stays(at_desk: Begun) -> None:
    desk = at_desk()
    desk.survey.write_text(desk.survey.read_text("utf-8").replace("3.62 m", "3700"), "utf-8")
    answer = desk.set(WALL, (LENGTH, "3.62 m", "3640"), ("rooms/0/walls/0/moisture", "10", "11")).json()
    assert answer["conflicts"] == {LENGTH: "3700"}
    assert answer["kept"] == ["rooms/0/walls/0/moisture"]
    assert found(data(desk), ("rooms", 0, "walls", 0, "length")) == 3700


def test_two_desks_on_one_file_lose_nothing_of_each_other(at_desk: Begun, firm: Firm) -> None:
    desk = at_desk()
    other = Asked(desk.survey, firm)
    desk.set(WALL, (LENGTH, "3.62 m", "3640"))
    other.set(WALL, ("rooms/0/walls/0/moisture", "10", "12"))
    assert desk.post("/undo", {"place": WALL}).status_code == 503  # the other's change stands on top
    wall = found(data(desk), ("rooms", 0, "walls", 0))
    assert (wall["length"], wall["moisture"]) == (3640, 12)


def test_a_fault_costs_its_own_field(at_desk: Begun) -> None:
    """The rest is still drawn and reckoned, and what stood before is offered."""
    desk = at_desk()
    answer = desk.set(WALL, (LENGTH, "3.62 m", "36z0")).json()
    told = answer["fields"][LENGTH]
    assert "36z0" in told["fault"]
    assert told["before"] == "3.62 m"
    assert re.search(
        'without what has a fault: <a href="[^"]*">Back bedroom, wall A, length</a>', answer["parts"]["left"]
    )
    assert "Hold" in answer["parts"]["findings"] or "Caution" in answer["parts"]["findings"]
    assert desk.get("/paper/statement").status_code == 503
    elsewhere = desk.get("/state?place=/trim").json()["parts"]
    assert "36z0" in elsewhere["elsewhere"]
    assert "1 fault" in elsewhere["pages"]
    mended = desk.set(WALL, (LENGTH, "36z0", "3620")).json()
    assert mended["fields"][LENGTH]["fault"] == ""


def test_a_trim_whose_wall_is_gone_is_drawn_on_no_other(at_desk: Begun, examples: Path) -> None:
    """A fault in what says where an entry is told of costs the entry: without its wall it would be told of all."""
    text = (examples / "stair-hall.yaml").read_text("utf-8")
    desk = at_desk(text=text)
    wall = next(at for at, one in enumerate(found(data(desk), ("rooms", 0, "walls"))) if one["name"] == "H")
    trims = {one["name"]: one["where"] for one in data(desk)["trim"]}
    lone = [name for name, where in trims.items() if where[0].get("walls") == ["H"]]
    assert lone
    assert desk.set("/trim", (f"rooms/0/walls/{wall}/name", "H", "Z")).status_code == 200
    reading = desk.desk.reader.now()
    assert reading.outcome is not None
    assert not {run.trim for run in reading.outcome.sheet[SettingOut].runs} & set(lone)
    assert not any("from and to" in says for says in reading.faults.values())
    left = desk.get("/state?place=/trim").json()["parts"]["left"]
    assert f"{lone[0]}, place 1" in left


@pytest.mark.parametrize(
    ("name", "was", "value"),
    [
        ("job/title", "Skirting and picture rail to one wall of a bedroom", ""),
        ("rooms/0/walls/0/fittings/0/at", "640", ""),
        ("rooms/0/walls/0/corner/kind", "internal", ""),
        ("trim/0/where/0/room", "Back bedroom", "Attic"),
        ("trim/0/member", "skirting", "skirtin"),
        ("rooms/0/walls/0/floor/1/to-datum", "1002", "10,5"),
        ("stock/0/price", "9.8", "dear"),
        ("building/built", "1934", "old"),
    ],
)
def test_any_one_fault_leaves_the_plan(at_desk: Begun, name: str, was: str, value: str) -> None:
    desk = at_desk()
    desk.set(WALL, (name, was, value))
    state = desk.get(f"/state?place={WALL}").json()
    assert [title for title, _ in state["drawings"]][:2] == ["elevation", "plan"]
    told = {
        **{
            one: told["fault"]
            for page in ("/job", "/trim", WALL)
            for one, told in desk.get(f"/state?place={page}").json()["fields"].items()
        }
    }
    assert told[name]


def test_undo_and_redo_give_the_file_back_byte_by_byte(at_desk: Begun) -> None:
    desk = at_desk("stair-hall")
    texts = [desk.survey.read_bytes()]
    desk.set("/room/0", ("rooms/0/height", "", "2950"))
    for name, was, value, step in (
        (LENGTH, "4862", "486", "a"),
        (LENGTH, "486", "4860", "a"),
        ("job/client", "", "", "b"),
    ):
        desk.set(WALL, (name, was, value), step=step)
    texts.append(desk.survey.read_bytes())
    desk.post("/add", {"place": WALL, "name": "rooms/0/walls/0/fittings", "kind": "socket"})
    texts.append(desk.survey.read_bytes())
    fields = desk.get(f"/state?place={WALL}").json()
    assert "fittings" in fields["undo"]
    undone = desk.post("/undo", {"place": WALL}).json()
    assert desk.survey.read_bytes() == texts[1]
    assert "4862 → 4860" in undone["undo"].replace("486 → 4860", "4862 → 4860")
    desk.post("/undo", {"place": WALL})  # both keystrokes of one step
    assert desk.survey.read_bytes() == texts[0]
    assert desk.post("/undo", {"place": WALL}).status_code == 503
    desk.post("/redo", {"place": WALL})
    assert desk.survey.read_bytes() == texts[1]
    desk.post("/redo", {"place": WALL})
    assert desk.survey.read_bytes() == texts[2]
    assert desk.post("/redo", {"place": WALL}).status_code == 503


def test_a_new_change_ends_what_could_be_redone(at_desk: Begun) -> None:
    desk = at_desk()
    desk.set(WALL, (LENGTH, "3.62 m", "3640"), step="a")
    desk.post("/undo", {"place": WALL})
    assert desk.set(WALL, (LENGTH, "3.62 m", "3650"), step="b").json()["redo"] == ""


@pytest.mark.parametrize(("old", "new"), [("abc", "abXc"), ("", "a"), ("a", ""), ("aa", "aaa"), ("same", "same")])
def test_the_piece_that_differs(old: str, new: str) -> None:
    at, was, came = between(old, new)
    assert old[:at] + came + old[at + len(was) :] == new
    assert len(was) + len(came) <= max(len(old), len(new))


def test_entries_are_added_copied_and_taken_out(at_desk: Begun) -> None:
    desk = at_desk()
    name = "rooms/0/walls/0/fittings"
    gone = desk.post("/add", {"name": name, "kind": "switch", "like": True}).json()
    assert gone["go"] == f"{WALL}#{name}/2"
    assert found(data(desk), path_of(name))[2] == {"kind": "switch", "height": 1200, "width": 86, "depth": 86}
    desk.post("/add", {"name": "rooms/0/walls", "kind": ""})
    assert found(data(desk), ("rooms", 0, "walls", 1)) == {"name": "B"}
    desk.post("/add", {"name": "rooms", "kind": ""})
    assert found(data(desk), ("rooms", 1)) == {"name": "Room 1"}
    form = Form(built_in_schema(), data(desk), "mm")
    rows = form.part(path_of(name))
    assert rows is not None
    mark = rows.rows[2].mark  # type: ignore[union-attr]
    assert desk.post("/take", {"name": f"{name}/0", "mark": mark}).status_code == 409
    assert desk.post("/take", {"name": f"{name}/2", "mark": mark}).status_code == 200
    assert len(found(data(desk), path_of(name))) == 2
    assert desk.post("/take", {"name": "rooms/0/walls/0/length", "mark": ""}).status_code == 400
    assert desk.post("/add", {"name": "job", "kind": ""}).status_code == 400


def test_a_room_of_one_height_takes_a_second_reading(at_desk: Begun) -> None:
    desk = at_desk()
    desk.post("/add", {"name": "rooms/0/height"})
    assert found(data(desk), ("rooms", 0, "height")) == [2440, {}]
    desk.set("/room/0", ("rooms/0/height/1/height", "", "2450"))
    assert found(data(desk), ("rooms", 0, "height", 1)) == {"height": 2450}


def test_from_the_starter_the_same_survey_is_typed(at_desk: Begun, examples: Path) -> None:
    """Every value of the plain room, set one after the other in a file that was begun: the same data."""
    desk = at_desk(text=beside("listel.schemas", "starter.yaml").read_text("utf-8"))
    wanted = read_text((examples / "plain-room.yaml").read_text("utf-8"), "x").data
    text, schema = desk.survey.read_text("utf-8"), built_in_schema()
    form = Form(schema, wanted, "mm")
    for entry in ("rooms/0/walls/0/floor", "rooms/0/walls/0/openings", "rooms/0/walls/0/fittings", "trim", "stock"):
        for _ in found(wanted, path_of(entry)):
            text = server.add_entry(text, schema, entry, "", False).text
    now = Form(schema, read_text(text, "x").data, "mm")
    values = {field.id: field.value for field in fields_of(now.parts((), now.keys(())))}
    for field in fields_of(form.parts((), form.keys(()))):
        edit = set_value(text, schema, field.id, values.get(field.id, ""), field.value)
        text = edit.text if edit else text
    assert read_text(text, "x").data == wanted


def test_a_file_broken_by_hand_is_told_by_its_line_and_goes_on_when_mended(at_desk: Begun) -> None:
    desk = at_desk()
    good = desk.survey.read_text("utf-8")
    desk.survey.write_text(good.replace("floor: [{", "floor: [{{"), "utf-8")
    page = desk.get(WALL)
    assert page.status_code == 503
    line = next(number for number, text in enumerate(good.splitlines(), 1) if "floor: [{" in text)
    assert f"survey.yaml:{line}:" in page.text
    answer = desk.set(WALL, (LENGTH, "3.62 m", "3640"))
    assert answer.status_code == 503
    assert f":{line}:" in answer.json()["says"]
    desk.survey.write_text(good, "utf-8")
    assert desk.set(WALL, (LENGTH, "3.62 m", "3640")).json()["kept"] == [LENGTH]


def test_a_file_that_is_gone_is_told_and_not_made_anew(at_desk: Begun) -> None:
    desk = at_desk()
    desk.survey.unlink()
    assert desk.get(WALL).status_code == 503
    assert "no such file" in desk.set(WALL, (LENGTH, "3.62 m", "3640")).json()["says"]
    assert not desk.survey.exists()


def test_two_desks_on_one_file_keep_what_each_types(at_desk: Begun, firm: Firm) -> None:
    """A field that both change is told at the second; nobody takes back what the other did."""
    one = at_desk()
    other = Asked(one.survey, firm)
    one.set(WALL, (LENGTH, "3.62 m", "3640"))
    assert other.set(WALL, (LENGTH, "3.62 m", "3700")).json()["conflicts"] == {LENGTH: "3640"}
    assert other.set(WALL, (MOISTURE, "10", "13")).json()["kept"] == [MOISTURE]
    assert found(data(one), path_of(LENGTH)[:-1]) == 3640
    assert "another hand" in one.post("/undo", {"place": WALL}).json()["says"]
    assert other.post("/undo", {"place": WALL}).status_code == 200
    assert one.post("/undo", {"place": WALL}).status_code == 200


def test_a_full_disk_costs_nothing_that_was_kept(at_desk: Begun, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = at_desk()
    before = desk.survey.read_bytes()

    def full(path: Path, content: str) -> None:
        raise InputFault(f"{path}: it cannot be written: No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(server, "write_whole", full)
        answer = desk.set(WALL, (LENGTH, "3.62 m", "3640"))
    assert answer.status_code == 503
    assert "No space left" in answer.json()["says"]
    assert desk.survey.read_bytes() == before
    assert desk.get(f"/state?place={WALL}").json()["undo"] == ""


def test_a_journal_that_cannot_be_written_costs_the_undo_only(at_desk: Begun, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = at_desk()

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(desk.desk.journal, "keep", full)
    answer = desk.set(WALL, (LENGTH, "3.62 m", "3640")).json()
    assert answer["kept"] == [LENGTH]
    assert "cannot be undone" in answer["note"]


def test_the_journal_holds_every_change_and_survives_a_cut_line(at_desk: Begun, firm: Firm) -> None:
    desk = at_desk()
    desk.set(WALL, (LENGTH, "3.62 m", "3640"))
    journal = desk.survey.with_name(".survey.yaml.listel-journal")
    told = json.loads(journal.read_text("utf-8").splitlines()[0])
    assert (told["path"], told["before"]) == (LENGTH, "3.62 m")
    journal.write_text(journal.read_text("utf-8") + '{"on": "20', "utf-8")
    other = Asked(desk.survey, firm)
    other.desk.journal.begin()
    assert other.get(f"/state?place={WALL}").json()["undo"] == ""  # another sitting's changes are not its own


def test_missing_facts_lead_to_their_fields(at_desk: Begun, examples: Path) -> None:
    said = "outcome: clear, by: E. Example, as: electrician, on: 2026-03-01, reference: form 4, room: Back bedroom"
    survey = (examples / "plain-room.yaml").read_text("utf-8")
    desk = at_desk(text=f"{survey}records: [{{step: detect-services, {said}}}]\n")
    desk.set(WALL, ("rooms/0/walls/0/substrate/plaster", "15", ""))
    parts = desk.get(f"/state?place={WALL}").json()["parts"]
    assert f"{WALL}#rooms/0/walls/0/substrate/plaster" in parts["missing"]
    assert "missing" in parts["walls"]
    assert 'id="rooms/0/walls/0/substrate/plaster"' in desk.get(WALL).text


def test_of_two_tapes_the_sound_one_is_drawn(at_desk: Begun) -> None:
    desk = at_desk("stair-hall")
    name = "rooms/0/walls/0/length"
    answer = desk.set(WALL, (f"{name}/second", "4861", "48z1")).json()
    assert "48z1" in answer["fields"][f"{name}/second"]["fault"]
    drawing = answer["drawings"][0][1]
    assert ">4862<" in drawing
    assert f'href="{WALL}#{name}/first"' in drawing


def test_the_wall_to_look_at_first_is_marked_on_the_plan(at_desk: Begun) -> None:
    """Two figures of the last wall changed places: the room no longer closes."""
    desk = at_desk("stair-hall")
    assert "the reading to look at first" not in desk.get("/room/0").text
    length = "rooms/0/walls/6/length"
    answer = desk.set("/room/0", (f"{length}/first", "4789", "4879"), (f"{length}/second", "4788", "4878"))
    drawings = answer.json()["drawings"]
    assert "the reading to look at first: wall G length" in re.sub("</text><text[^>]*>", " ", drawings[0][1])


def test_each_thing_drawn_leads_to_its_field_though_another_is_left_out(at_desk: Begun) -> None:
    """The switch stands second in the file, and first among what can be drawn."""
    desk = at_desk()
    state = desk.set(WALL, ("rooms/0/walls/0/fittings/0/at", "640", "6x0")).json()
    drawings = dict(state["drawings"])
    assert f'href="{WALL}#rooms/0/walls/0/fittings/1"' in drawings["elevation"]
    assert f'href="{WALL}#rooms/0/walls/0/fittings/0"' not in drawings["elevation"]
    assert 'href="/trim#trim/0"' in drawings["profile 0"]


def test_an_estimate_is_among_the_papers_only_by_rates(at_desk: Begun, examples: Path) -> None:
    desk = at_desk()
    assert "Estimate" not in desk.get("/papers").text
    assert desk.get("/paper/estimate").status_code == 404
    desk = at_desk(rates=[read_rates(examples / "rates-invented.yaml")])
    assert "Estimate" in desk.get("/papers").text
    assert desk.get("/paper/estimate").content.startswith(b"PK")
    assert "labour" in desk.get("/paper/estimate-csv").text


@pytest.mark.parametrize(
    "name", ["statement", *(r for r in READERS if r != "all"), "cutting", "outcome", "pdf", "word"]
)
def test_papers_are_saved(at_desk: Begun, name: str) -> None:
    paper = at_desk().get(f"/paper/{name}")
    assert paper.status_code == 200, paper.text
    assert paper.headers["content-disposition"].startswith('attachment; filename="survey-')
    assert len(paper.content) > 100
    assert name != "pdf" or paper.content.startswith(b"%PDF")


def test_a_plan_typed_in_is_audited_and_an_earlier_outcome_compared(at_desk: Begun) -> None:
    desk = at_desk()
    audit = desk.post("/audit", {"plan": "cut the skirting\nfix the skirting\nfrobnicate"}).json()["html"]
    assert 0 <= audit.index("Read as") < audit.index("Left out")
    assert "line 1" in audit
    assert "frobnicate" in audit
    assert desk.post("/audit", {"plan": ""}).status_code == 503
    earlier = desk.get("/paper/outcome").text
    assert "nothing can have changed" in desk.post("/compare", {"outcome": earlier}).json()["html"]
    desk.set(WALL, (LENGTH, "3.62 m", "3720"))
    assert "Back bedroom" in desk.post("/compare", {"outcome": earlier}).json()["html"]
    assert desk.post("/compare", {"outcome": "{}"}).status_code == 503


def test_figures_with_units_are_read_back(at_desk: Begun) -> None:
    assert at_desk().get(f"/state?place={WALL}").json()["fields"][LENGTH]["read"] == "3620 mm"


def test_every_field_of_a_page_is_named_once(at_desk: Begun) -> None:
    desk = at_desk("stair-hall")
    for path in ("/room/0", WALL, "/job", "/trim", "/records"):
        page = desk.get(path).text
        names = [part.split('"')[0] for part in page.split(' id="')[1:]]
        assert len(names) == len(set(names)), path
        for name in desk.get(f"/state?place={path}").json()["fields"]:
            assert f'id="{name}"' in page


@pytest.mark.parametrize("odd", [None, "x", [1], {"x": 1}])
def test_no_odd_file_stops_the_desk(at_desk: Begun, examples: Path, odd: object) -> None:
    """Whatever stands in the place of each map and list of a survey: every page is shown, and the faults are told."""
    whole = read_text((examples / "plain-room.yaml").read_text("utf-8"), "x").data
    for path in (
        ("job",), ("building",), ("rooms",), ("rooms", 0), ("rooms", 0, "height"), ("rooms", 0, "walls"), ("trim",),
        ("rooms", 0, "walls", 0), ("rooms", 0, "walls", 0, "length"), ("rooms", 0, "walls", 0, "corner"),
        ("rooms", 0, "walls", 0, "fittings"), ("trim", 0), ("trim", 0, "where"), ("plan",), ("photos",),
    ):  # fmt: skip
        made = json.loads(json.dumps(whole))
        found(made, path[:-1])[path[-1]] = odd
        desk = at_desk(text=json.dumps(made))
        for page in (WALL, "/trim"):
            assert desk.get(page).status_code in (200, 303), (path, page)
        assert desk.set("/job", ("job/title", "", "A title")).status_code == 200 or path == ("job",)


def test_names_of_paths() -> None:
    assert path_of(id_of(("rooms", 0, "walls", 11, "length"))) == ("rooms", 0, "walls", 11, "length")


def test_pieces_ticked_as_done_are_written_as_the_cutting_list_has_them(at_desk: Begun) -> None:
    desk = at_desk()
    (label, *_), *_ = (pieces[0] for _, pieces in desk.view("/done").pieces())
    told = {"pieces": [label], "state": "cut", "by": "A. Nyone", "on": "2026-11-20"}
    assert desk.post("/done", told | {"by": " "}).status_code == 503
    assert desk.post("/done", told | {"pieces": ["S-Z9"]}).status_code == 503
    assert desk.post("/done", told | {"pieces": []}).status_code == 400
    before = desk.survey.read_text("utf-8")
    assert desk.post("/done", told).status_code == 200
    (piece,) = found(data(desk), ("done", "pieces"))
    assert {key: piece[key] for key in ("piece", "state", "by")} == {"piece": label, "state": "cut", "by": "A. Nyone"}
    assert piece["board"] and piece["at"] and piece["length"], "as the cutting list has them"
    page = desk.get("/done").text
    assert "cut, 2026-11-20, A. Nyone" in page and re.search(r"<b>Done</b> <span>1 of \d+</span>", page)
    desk.post("/undo", {"place": "/done"})
    assert desk.survey.read_text("utf-8") == before


def test_only_the_value_before_the_last_step_is_offered_again(at_desk: Begun) -> None:
    """Of one that was changed before that nobody knows whether it was good."""
    desk = at_desk()
    desk.set(WALL, (MOISTURE, "10", "999"), step="a")
    assert desk.get(f"/state?place={WALL}").json()["fields"][MOISTURE]["before"] == "10"
    desk.set(WALL, (LENGTH, "3.62 m", "3640"), step="b")
    assert desk.get(f"/state?place={WALL}").json()["fields"][MOISTURE]["before"] == ""


def test_a_room_that_was_undone_is_left_and_not_made_anew(at_desk: Begun) -> None:
    desk = at_desk()
    desk.post("/add", {"name": "rooms", "kind": "", "like": False})
    number = len(found(data(desk), ("rooms",))) - 1
    before = desk.survey.read_text("utf-8")
    assert desk.post("/undo", {"place": f"/room/{number}"}).json() == {"go": "/job"}
    answer = desk.set("/job", (f"rooms/{number}/name", f"Room {number + 1}", "Kitchen")).json()
    assert answer["refused"] and desk.survey.read_text("utf-8") != before
    assert len(found(data(desk), ("rooms",))) == number


def test_a_paper_of_a_survey_with_a_fault_names_its_place(at_desk: Begun) -> None:
    desk = at_desk()
    desk.survey.write_text(desk.survey.read_text("utf-8") + "changes: [{}]\n", "utf-8")
    saved = desk.get("/paper/workshop")
    assert saved.status_code == 503 and "change 1, agreed: agreed is missing" in saved.text
    looked = desk.get("/paper/workshop?look")
    assert looked.status_code == 303 and looked.headers["location"] == "/papers"
    assert "/records#changes/0" in desk.get("/papers").text
