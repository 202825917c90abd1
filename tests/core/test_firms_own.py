"""What a plugin from outside brings beside stages: own fields, options, heights, rows of tables, its number."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import listel
from listel.core.commands.cli import main
from listel.core.host.added import own_tables, row_slips
from listel.core.host.apart import apart
from listel.plugins.heights import RailHeights
from listel.plugins.safety import SafetyNotes

PLUGIN = """
from listel import *
from listel.core.contract.tables import table_from

LISTEL_API = 1

@hookimpl
def listel_survey_fields():
    return [
        SurveyFields("job", {"van": {"type": "string", "description": "which van"}}),
        SurveyFields("room", {"lamp": {"type": "boolean", "description": "whether a lamp is there"}}),
        SurveyFields("wall", {"skim": {"type": ["number", "string"], "format": "length", "description": "our skim",
                                       "x-decides": "how far a nail must reach"}}),
        SurveyFields("trim", {"batch": {"type": "string", "description": "the batch"},
                              "loss": {"type": ["number", "string"], "format": "percent", "description": "our loss"},
                              "lamps": {"type": "string", "format": "load", "description": "our lamps"}}),
    ]

@hookimpl
def listel_options():
    return [OptionsForm({"vat": {"type": "number", "minimum": 0, "description": "tax, %", "default": 20}})]

@hookimpl
def listel_heights():
    def offers(job):
        for room in job.rooms:
            yield HeightOffer(room=room.name, member="dado-rail", share=3 / 8, says="three eighths, as we set it")
    return [HeightRule("three-eighths", offers)]

@hookimpl
def listel_tables():
    own = {"own": {"title": "Our own", "standing": "house-rule"}}
    return [table_from({"table": "hazards", "sources": own, "rows": [
        {"name": "wool", "title": "Old wool in the wall", "controls": ["wear a mask"], "wear": ["FFP3 mask"],
         "signs": ["M017"], "prove": "", "because": "These walls hold old wool.", "source": "own",
         "applies": {"properties": {"substrates": {"contains": {"const": "lime-on-lath"}}}}},
        {"name": "saw", "title": "Our own saw", "controls": [], "wear": [], "signs": [], "prove": "", "source": "own"},
        {"name": "odd", "title": "No controls", "source": "own"},
    ]}, "hazards")]

@hookimpl
def listel_rules():
    return [Rule(name="acme/told", weights=("record",), when="it is asked", why="it is told")]

def examine(job, sheet):
    yield Finding("acme/told", "record", f"{sheet[Options].of('acme')['vat']:g} {job.own} {job.rooms[0].walls[0].own}.")

@hookimpl
def listel_stages():
    return [Stage("acme", examine, needs=(Options,))]
"""

SURVEY = """\
listel: 1
units: {units}
job: {{title: T, own: {{acme: {{van: blue}}}}}}
rooms:
  - name: Hall
    height: {height}
    own: {{acme: {{lamp: true}}}}
    walls:
      - {{name: A, length: {height}, substrate: {{kind: lime-on-lath}}, own: {{acme: {{skim: {skim}}}}}}}
trim:
  - {{name: dado, member: dado-rail, where: [{{room: Hall}}], own: {{acme: {{batch: b}}}}}}
"""
MM = SURVEY.format(units="mm", height=2400, skim="3 mm")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "acme.py"
    path.write_text(PLUGIN, encoding="utf-8")
    return path


def firm(path: Path, **how: Any) -> listel.Firm:
    return listel.Firm(plugins=[path], installed=False, **how)


def test_own_fields_are_read_written_and_judged_at_their_places(path: Path) -> None:
    from listel.core.survey.data import survey_data

    acme = firm(path)
    job = listel.read(MM, acme)
    assert job.own == {"acme": {"van": "blue"}}
    assert job.rooms[0].own == {"acme": {"lamp": True}}
    assert job.rooms[0].walls[0].own == {"acme": {"skim": 3.0}}
    assert job.trim[0].own == {"acme": {"batch": "b"}}
    inches = listel.read(SURVEY.format(units="inches", height=96, skim="1/8"), acme)
    assert inches.rooms[0].walls[0].own["acme"]["skim"] == pytest.approx(3.175)
    assert survey_data(inches)["rooms"][0]["walls"][0]["own"] == {"acme": {"skim": "3.175 mm"}}
    for written, read, back in (("0.5 %", 0.5, "0.5 %"), ("12 %", 12.0, 12.0)):
        lost = listel.read(MM.replace("{batch: b}", f"{{loss: {written}}}"), acme)
        assert lost.trim[0].own["acme"]["loss"] == read
        assert survey_data(lost)["trim"][0]["own"] == {"acme": {"loss": back}}
        assert listel.examine(lost, acme).findings
    lit = listel.read(MM.replace("{batch: b}", "{lamps: 2 kg a metre}"), acme)
    assert lit.trim[0].own["acme"]["lamps"] == pytest.approx(19.61, abs=0.01)
    given = (lit.trim[0].own, lost.trim[0].own, job.rooms[0].walls[0].own)
    assert apart(lambda: given, 10.0) == given, "they are numbers to whoever hands them on"
    with pytest.raises(listel.Faults) as faults:
        listel.read(MM.replace("skim: 3 mm", "skimm: 3").replace("lamp: true", "lamp: 7"), acme)
    assert [fault.line for fault in faults.value.faults] == [7, 9]
    assert "rooms > Hall > own > acme > lamp" in str(faults.value)
    with pytest.raises(listel.Faults, match=r"acme: this key is not known here.*--house or --plugin"):
        listel.read(MM)


def test_options_are_defaulted_judged_and_in_the_digest(path: Path) -> None:
    def told(acme: listel.Firm) -> tuple[str, str]:
        outcome = listel.examine(listel.read(MM, acme), acme)
        return next(f.says for f in outcome.findings if f.rule == "acme/told"), outcome.digest

    bare, five = told(firm(path)), told(firm(path, options={"acme": {"vat": 5}}))
    assert (bare[0][:3], five[0][:2]) == ("20 ", "5 ")
    assert bare[1] != five[1]
    with pytest.raises(listel.Faults, match="options > acme > vat"):
        firm(path, options={"acme": {"vat": -1}})


def test_a_height_of_a_firm_comes_before_the_trade_and_after_marks_and_wishes(path: Path) -> None:
    acme = firm(path)

    def line(text: str) -> Any:
        return listel.examine(listel.read(text, acme), acme).sheet[RailHeights].lines[0]

    (rail, wished) = line(MM), line(MM.replace("member: dado-rail", "member: dado-rail, top: 800"))
    assert rail.top == pytest.approx(900)
    assert "2400 mm x 0.375 = 900 mm" in rail.grounds.worked
    assert wished.top == pytest.approx(800)
    marked = MM.replace(
        "    own: {acme: {lamp",
        "    evidence: [{kind: ghost-line, member: dado-rail, height: 850, edge: top}]\n    own: {acme: {lamp",
    )
    assert line(marked).top == pytest.approx(850)


def test_a_hazard_with_controls_and_signs_stands_where_it_applies_and_bad_rows_are_told(path: Path) -> None:
    acme = firm(path)
    outcome = listel.examine(listel.read(MM, acme), acme)
    (wool,) = (each for each in outcome.sheet[SafetyNotes].hazards if each.name == "Old wool in the wall")
    assert (wool.rooms, wool.controls, wool.wear) == (("Hall",), ("wear a mask",), ("FFP3 mask",))
    assert [sign.code for sign in wool.signs] == ["M017"]
    brick = listel.examine(listel.read(MM.replace("lime-on-lath", "brick"), acme), acme)
    assert "Old wool in the wall" not in {each.name for each in brick.sheet[SafetyNotes].hazards}
    (hold,) = (each.says for each in outcome.holds if each.rule == "engine/plugin-failed")
    assert "its row odd of the table hazards is left out: it lacks what every row there has: controls" in hold
    assert [row.name for table in outcome.added for row in table] == ["wool", "acme-saw"]
    assert "Old wool in the wall" in listel.render(outcome)


@pytest.mark.parametrize(("number", "told"), [("2", "a later listel has it"), ("0", "ask its maker"), ("'x'", "'x'")])
def test_a_plugin_made_for_another_number_is_a_hold_in_words(path: Path, number: str, told: str) -> None:
    path.write_text(PLUGIN.replace("LISTEL_API = 1", f"LISTEL_API = {number}"), encoding="utf-8")
    acme = firm(path)
    (fault,) = acme.registry.plugins[-1].faults
    assert "listel's plugin contract, and this is number 1" in fault and told in fault


@pytest.mark.parametrize(
    ("hook", "answer", "told"),
    [
        (
            "survey_fields",
            "SurveyFields('wall', {'skim': {'type': 'sting', 'description': 'x'}})",
            "skim is no JSON Schema",
        ),
        ("survey_fields", "SurveyFields('wall', {'skim': {'type': 'number'}})", "skim has no description"),
        ("survey_fields", "SurveyFields('wal', {})", "it is one of job, room, wall, trim"),
        (
            "options",
            "OptionsForm({'x': {'format': 'lenght', 'description': 'x'}})",
            "x has the format lenght; there are",
        ),
        (
            "heights",
            "HeightRule('h', lambda job: [HeightOffer(room='R', member='skirting', says='s', top=1.0)])",
            "'skirting'",
        ),
        (
            "heights",
            "HeightRule('h', lambda job: [HeightOffer(room='Loft', member='dado-rail', says='s', top=900.0)])",
            "there is no room Loft",
        ),
        ("words", "Words('ctu', ('dock it',))", "The words of slips for ctu mean nothing"),
    ],
)
def test_each_slip_in_what_a_plugin_asks_or_offers_is_told(tmp_path: Path, hook: str, answer: str, told: str) -> None:
    path = tmp_path / "slips.py"
    path.write_text(f"from listel import *\n@hookimpl\ndef listel_{hook}():\n    return [{answer}]\n", "utf-8")
    slips = firm(path)
    text = MM.replace(", own: {acme: {skim: 3 mm}}", "").replace(", own: {acme: {van: blue}}", "")
    text = text.replace(", own: {acme: {batch: b}}", "").replace("    own: {acme: {lamp: true}}\n", "")
    findings = listel.examine(listel.read(text, slips), slips).findings
    assert told in " ".join(each.says for each in findings if each.rule.startswith("engine/"))


def test_a_plugin_may_import_what_asks_to_be_called_at_the_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "others_library.py").write_text("import atexit\natexit.register(str)\n", "utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    path = tmp_path / "acme.py"
    path.write_text(f"import others_library\n{PLUGIN}", "utf-8")
    (fault,) = firm(path).registry.plugins[-1].faults
    assert fault.startswith("its row odd of the table hazards is left out")
    path.write_text(f"import atexit\natexit.register(str)\n{PLUGIN}", "utf-8")
    assert "called when the program ends" in str(firm(path).registry.plugins[-1].faults)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"bearer": "girders"}, "its bearer is never girders"),
        ({"plaster": [25, 18]}, "its plaster is the least and the greatest, as ["),
        ({"plaster": ["thick"]}, "its plaster lists what is not a number"),
        ({"centres": 400}, "its centres is a number; in that table it is a list"),
        ({"colour": "red"}, "the table has no column colour"),
    ],
)
def test_a_row_that_no_stage_could_work_with_is_left_out_and_told(change: dict[str, Any], told: str) -> None:
    ours = own_tables()["makeups"]
    good = listel.Row("acme-wall", dict(ours.row("lime-on-lath").values), (listel.Source("Our own"),))
    bad = listel.Row("acme-wall", {**good.values, **change}, good.sources)
    assert row_slips(good, ours) == []
    assert [told in says for says in row_slips(bad, ours)] == [True]
    assert row_slips(listel.Row("Acme Wall", good.values, ()), ours) == [
        "its name is not in kebab-case, as lime-on-lath",
        "it names no source",
    ]


def test_a_slip_in_the_options_of_the_settings_is_told_at_its_place_there(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    settings = tmp_path / "settings.yaml"
    settings.write_text(f"plugins: [{path}]\noptions: {{acme: {{vat: -1}}}}\n", "utf-8")
    monkeypatch.setenv("LISTEL_SETTINGS", str(settings))
    assert main(["plugins"]) == 2
    assert "settings.yaml:2:23: options > acme > vat: -1 is below 0" in capsys.readouterr().err


def test_rows_of_one_name_from_two_plugins_stand_apart(path: Path, tmp_path: Path) -> None:
    other = tmp_path / "beech.py"
    other.write_text(PLUGIN.replace('"name": "odd"', '"name": "dull"'), "utf-8")
    both = listel.Firm(plugins=[path, other], installed=False)
    rows = {
        plugin.name: [row.name for table in plugin.tables() for row in table] for plugin in both.registry.plugins[-2:]
    }
    assert rows == {"acme": ["wool", "acme-saw"], "beech": ["beech-wool", "beech-saw"]}
