"""The README and DEVELOPERS.md say what is so: their commands run, and every name in them is there."""

from __future__ import annotations

import inspect
import json
import re
import shlex
from dataclasses import fields
from pathlib import Path

import pytest

import listel
from listel import testing
from listel.core.commands.cli import COMMANDS, main
from listel.core.contract import hooks
from listel.core.contract.cases import firm_of_cases, is_cases, judge, read_cases
from listel.core.contract.lines import field_names
from listel.core.host.registry import load
from listel.core.survey.job import Record
from listel.core.survey.rooms import Corner, Fitting, Flight, Opening, Panel, Room, Substrate, Wall
from listel.core.survey.trim import Board, Trim
from listel.core.survey.words import built_in_schema
from listel.plugins.heights import RailHeights
from listel.plugins.setting_out import SettingOut
from listel.reports.compare import Comparison
from listel.testing import audit, render

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TOUR = [
    line
    for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    for line in block.splitlines()
    if line.startswith("listel ") and not line.startswith("listel desk ")  # it serves until it is stopped
]


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A folder that looks like the checkout from where the tour is walked."""
    folder = tmp_path_factory.mktemp("desk")
    (folder / "schemas").symlink_to(ROOT / "schemas")
    return folder


def test_the_commands_of_the_tour_run_to_its_compare(desk, monkeypatch, capsys):
    """One after the other, as a reader types them: a later one reads what an earlier one wrote."""
    monkeypatch.chdir(desk)
    for line in TOUR:
        command, _, target = line.partition(" > ")
        status = main(shlex.split(command)[1:])
        out, err = capsys.readouterr()
        assert status in (0, 1), (line, err)
        assert err == "", line
        assert out.strip(), line
        if target:
            Path(target).write_text(out, encoding="utf-8")


def test_the_job_stands_at_the_top_in_one_paragraph_then_two_commands():
    parts = README.split("\n\n")
    assert parts[0] == "# listel"
    assert len(parts[1]) > 600
    assert README.index("<!-- demo -->") < README.index("<!-- test -->") < README.index("## Ten minutes")


def test_every_command_and_reckoner_is_in_the_readme():
    for name in COMMANDS:
        assert f"`listel {name}`" in README
    listed = re.search(r"\| `listel reckon` \|(.*)\|", README)[1]
    assert set(re.findall(r"`([a-z-]+)`", listed)) == set(load(entry_points=False).reckoners())


def test_every_picture_is_there():
    for path in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README):
        assert (ROOT / path).is_file(), path


def test_every_hook_is_documented_and_no_other():
    specs = {name for name, value in vars(hooks).items() if inspect.isfunction(value) and name.startswith("listel_")}
    assert set(re.findall(r"`(listel_\w+)`", DEVELOPERS)) == specs


def test_every_file_the_developers_page_names_is_there():
    for name in re.findall(r"`((?:core|plugins|reports|schemas|tests)/[\w./-]+)`", DEVELOPERS):
        assert (ROOT / name).exists(), name
    table = DEVELOPERS[DEVELOPERS.index("Where to look in `core/`") : DEVELOPERS.index("## 2.")]
    for name in re.findall(r"`([\w*]+\.py)`", table):
        assert list((ROOT / "core").rglob(name)), name


def test_the_house_rules_of_the_developers_page_are_read_and_at_work(tmp_path, capsys):
    path = tmp_path / "rules.yaml"
    path.write_text(re.search(r"<!-- house rules -->\n```yaml\n(.*?)```", DEVELOPERS, re.DOTALL)[1], encoding="utf-8")
    survey = ROOT / "schemas" / "examples" / "stair-hall.yaml"
    assert main(["statement", str(survey), "--house", str(path), "--json"]) == 1
    outcome = json.loads(capsys.readouterr().out)
    rules = {finding["rule"] for finding in outcome["findings"]}
    assert {"marl-ashby/short-screws-on-lath", "marl-ashby/two-people"} <= rules
    assert {"Marl & Ashby: lath-at-350"} == {each["by"] for each in outcome["amendments"]}
    assert "prime-ends" in {step["name"] for step in outcome["results"]["Sequence"]["steps"]}
    for by in ("weighed_by", "worded_by"):
        assert "Marl & Ashby" in {finding[by] for finding in outcome["findings"]}
    assert "Dust and birds in an open flue" in {each["name"] for each in outcome["results"]["SafetyNotes"]["hazards"]}


def block(mark: str) -> str:
    """The text of a block of DEVELOPERS.md."""
    return re.search(rf"<!-- {mark} -->\n```\w+\n(.*?)```", DEVELOPERS, re.DOTALL)[1]


def test_the_cases_of_the_developers_page_are_told_as_they_say(tmp_path):
    (tmp_path / "house.yaml").write_text(block("house rules"), encoding="utf-8")
    path = tmp_path / "our-cases.yaml"
    path.write_text(block("cases"), encoding="utf-8")
    assert is_cases(path)
    firm = firm_of_cases(path)
    assert [says for case in read_cases(path) if (says := judge(case, firm))] == []


def firm_of(folder: Path, house: str = "", code: str = "") -> listel.Firm:
    """A firm with a house file and a plugin's file of that text."""
    (folder / "house.yaml").write_text(f"listel-house: 1\nfirm: Ours\n{house}", encoding="utf-8")
    (folder / "acme.py").write_text(code or "from listel import hookimpl\n", encoding="utf-8")
    plugins = [folder / "acme.py"] if code else []
    return listel.Firm(house=[folder / "house.yaml"], plugins=plugins, installed=False)


SMALL = """\
listel: 1
job: {title: T}
rooms:
  - name: Hall
    height: 2500
    walls:
      - {name: A, length: 3000, moisture: 10, substrate: {kind: KIND, studs: {centres: 450, first: 100}}}
trim: [{name: dado, member: dado-rail, where: [{room: Hall}], section: {height: 60, projection: 20}, moisture: 10}]
"""


def test_each_hook_has_an_example_and_all_of_them_are_one_plugin_at_work(tmp_path):
    specs = [name for name in vars(hooks) if name.startswith("listel_")]
    code = "".join(
        block(f"hook {name}") for name in sorted(specs, key=lambda name: DEVELOPERS.index(f"<!-- hook {name}"))
    )
    (tmp_path / "skims.html.j2").write_text("<p>Skims of {{ job.title }}.</p>", encoding="utf-8")
    firm = firm_of(tmp_path, "options: {acme: {closest: 250}}\n", code)
    acme = firm.registry.plugins[-1]
    assert (acme.name, acme.faults) == ("acme", ())
    text = SMALL.replace("KIND", "reed panel").replace("moisture: 10,", "moisture: 10, own: {acme: {skim: 4 mm}},", 1)
    outcome = listel.examine(listel.read(text, firm), firm)
    assert {f.rule for f in outcome.findings if f.rule.startswith("engine/")} == {"engine/amended"}
    told = {f.rule: f for f in outcome.findings}
    assert told["acme/skimmed"].says == "Our 4 mm skim is fixed every 250 mm."
    assert told["fixings/studs-too-far-apart"].settled.reason == "our skim holds between the studs"
    assert outcome.sheet[RailHeights].lines[0].top == pytest.approx(2500 * 3 / 8)
    assert "Skims of T" in render("acme", outcome) and "reed board" in listel.render(outcome)
    made = audit("Go over it with the hummer\nDock the lengths\nFix the rail\n", outcome)
    assert "acme-skim-dry" in [each.step for each in made.missed]
    assert [each.steps for each in made.recognised] == [("cut",), ("fix",)]
    assert firm.registry.reckoners()["acme-coats"].reckon({"skim": 4.0}).results == {"coats": 2}


def test_the_pages_on_a_substrate_a_hazard_and_a_section_are_at_work(tmp_path):
    row = "\n".join(line for line in block("a make-up").splitlines() if "source:" not in line)
    (tmp_path / "word.html.j2").write_text(block("a template"), encoding="utf-8")
    firm = firm_of(tmp_path, f"make-ups:\n{row}\n{block('a hazard')}{block('a section')}")
    outcome = listel.examine(listel.read(SMALL.replace("KIND", "Matchboarding"), firm), firm)
    page = listel.render(outcome, "client")
    assert "A word from us" in page and "1 runs are fixed" in page
    whole = listel.render(outcome)
    assert all(each in whole for each in ("Reed dust", "acuum at the drill", "tongued boarding"))
    assert "FFP2 mask" in listel.render(outcome, "workshop")


def test_the_rule_of_the_developers_page_is_of_its_form(tmp_path, monkeypatch):
    (tmp_path / "backs").mkdir()
    (tmp_path / "backs" / "__init__.py").touch()
    (tmp_path / "backs" / "rules.yaml").write_text(block("a rule"), encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    (rule,) = listel.load_rules("backs")
    assert rule.protects and not rule.departs and rule.lifted_by.outcomes["dealt-with"] == ("surveyor",)


def test_every_public_name_stands_in_the_developers_page_with_its_arguments():
    shown = dict(re.findall(r"`(\w+)\(([^`)]*)\)`", DEVELOPERS.split("### Public names")[1].split("\n## 3.")[0]))
    for name in listel.__all__:
        assert re.search(rf"`{name}\b", DEVELOPERS), name
        if name in shown:
            assert shown[name].split(", ") == list(inspect.signature(getattr(listel, name)).parameters), name
    for name in testing.__all__:
        assert f"`{name}(" in DEVELOPERS or name == "StageRun", name


def test_the_job_holds_the_survey_under_its_keys():
    schema = built_in_schema()
    job = {*schema["properties"], *schema["properties"]["job"]["properties"]} - {"listel", "job"}
    kinds = {"room": Room, "wall": Wall, "opening": Opening, "fitting": Fitting, "panel": Panel, "trim": Trim}
    kinds |= {"corner": Corner, "substrate": Substrate, "flight": Flight, "record": Record, "board": Board}
    for kind, keys in ((listel.Job, job), *((kinds[each], schema["$defs"][each]["properties"]) for each in kinds)):
        assert {*keys} <= {each.metadata.get("key") or each.name.replace("_", "-") for each in fields(kind)}, kind


@pytest.mark.parametrize("kind", [listel.Outcome, SettingOut, Comparison])
def test_a_table_of_the_developers_page_has_every_public_field_of(kind):
    rows = re.search(rf"\| of `{kind.__name__}` \| is \|\n.*\n((?:\|.*\n)+)", DEVELOPERS)[1]
    named = [name for row in rows.splitlines() for name in re.findall(r"`(\w+)", row.split("|")[1])]
    assert sorted(named) == sorted({*field_names(kind), *(name for name in vars(kind) if name[0] != "_")})
