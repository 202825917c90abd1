"""An invented firm's package and house rules use every hook and every key; all of it is seen where people look.

The package stands in ``hollin/``. Where it is installed it is met as it is; here it is put on the path as an
installation would leave it.
"""

from __future__ import annotations

import html
import json
import pickle
import re
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import listel
from listel.core.commands.cli import main
from listel.core.contract import hooks
from listel.core.contract.cases import firm_of_cases, judge, read_cases

HERE = Path(__file__).parent / "hollin"
SURVEY, HOUSE = HERE / "survey.yaml", HERE / "house.yaml"


@pytest.fixture(scope="module", autouse=True)
def installed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    try:
        version("hollin-roke")
        yield
        return
    except PackageNotFoundError:
        pass
    site = tmp_path_factory.mktemp("site")
    about = site / "hollin_roke-0.3.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: hollin-roke\nVersion: 0.3.0\n", "utf-8")
    (about / "entry_points.txt").write_text("[listel.plugins]\nhollin-roke = hollin_roke\n", "utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(HERE))
        patch.syspath_prepend(str(site))
        yield
    for name in [name for name in sys.modules if name.split(".")[0] == "hollin_roke"]:
        del sys.modules[name]


@pytest.fixture(scope="module")
def firm(installed: None) -> listel.Firm:
    return listel.Firm(house=[HOUSE])


@pytest.fixture(scope="module")
def outcome(firm: listel.Firm) -> listel.Outcome:
    return listel.examine(listel.read(SURVEY, firm), firm)


@pytest.fixture(scope="module")
def statement(outcome: listel.Outcome) -> str:
    return words(listel.render(outcome))


def words(page: str) -> str:
    page = re.sub(r"<(svg|style).*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def told(capsys: pytest.CaptureFixture[str], *line: object) -> str:
    assert main([str(each) for each in line]) in (0, 1)
    out, err = capsys.readouterr()
    assert err == ""
    return " ".join(out.split())


def test_the_package_uses_every_hook_and_its_house_file_every_key() -> None:
    code = (HERE / "hollin_roke" / "__init__.py").read_text("utf-8")
    assert set(re.findall(r"def (listel_\w+)", code)) == {name for name in vars(hooks) if name.startswith("listel_")}
    schema = json.loads((HERE.parents[2] / "schemas" / "house-rules.schema.json").read_text("utf-8"))
    keys = set(re.findall(r"^([a-z-]+):", HOUSE.read_text("utf-8"), re.MULTILINE))
    assert set(schema["properties"]) - keys == {"note"}


def test_nothing_of_the_firms_fails(outcome: listel.Outcome) -> None:
    assert {f.rule for f in outcome.findings if f.rule.startswith("engine/")} == {"engine/amended"}
    assert {each.by for each in outcome.amendments} == {"Hollin & Roke, skims", "Roke House Rules: lath-at-300"}


def test_its_outcome_is_equal_to_another_of_the_same(outcome: listel.Outcome, firm: listel.Firm) -> None:
    assert pickle.loads(pickle.dumps(outcome)) == outcome == firm.examine(outcome.job)


def test_the_outcome_is_of_its_form_and_so_it_is_through_a_pool(outcome: listel.Outcome, firm: listel.Firm) -> None:
    schema = json.loads((HERE.parents[2] / "schemas" / "outcome.schema.json").read_text("utf-8"))
    whole = listel.render(outcome, form="json")
    assert [error.message for error in Draft202012Validator(schema).iter_errors(json.loads(whole))][:2] == []
    with ThreadPoolExecutor(2) as pool:
        assert {made.json for made in listel.examine_many([SURVEY, SURVEY], pool, firm)} == {whole}


@pytest.mark.parametrize(
    "seen",
    [
        "In the words of Roke House Rules.",  # own words
        "The dado of the Morning room goes 930 mm up, as we agreed by the sample.",
        "three eighths of a low room, as Hollin & Roke set it",  # height by code
        "two metres, as Roke sets it",  # height without code
        "Reed dust This room has walls of reed board. Vacuum at the drill.",  # hazard with controls
        "Wasps in the old flue The room has a flue. Seal the register plate.",
        "Keep the dust sheet shut",  # sign
        "A 3600 mm internal, 90° reed board",  # make-up
        "C 3600 mm internal, 90° roke panel",
        "studs behind the reed board",
        "The green van goes.",  # own field, in an own section
        "Morning room 2 £180.00",  # price, by an option of the house file
        "Roke looked after 1 room here.",
        "Cured by what Hollin & Roke, skims sets: our skim is keyed to the reed",
        "Agree the sample board",
        "Photograph each wall before work",
        "hollin-roke 0.3.0; house rules of Roke House Rules",
    ],
)
def test_the_statement_shows(seen: str, statement: str) -> None:
    assert seen in statement


def test_own_fields_stand_on_the_form_for_the_site_and_in_what_is_read_back(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said = told(capsys, "survey", SURVEY, "--house", HOUSE)
    for each in (
        "the job: which van goes (hollin-roke) green",
        "whether a sheet hangs at the door (hollin-roke) yes; whether it echoes (roke-house-rules) yes",
        "Morning room, wall A: thickness of our skim (hollin-roke) 4 mm",
        "dado: batch of the mill (hollin-roke) H-17",
        "read Reed panel as reed-board",
        "own > hollin-roke > skim: how closely the trim is fixed line 22: rooms > Morning room > walls > B",
    ):
        assert each in said
    form = tmp_path / "form.html"
    told(capsys, "survey", SURVEY, "--house", HOUSE, "--sheet", "--out", form)
    page = words(form.read_text("utf-8"))
    for each in ("Which van goes green", "Whether it echoes yes", "Wall Thickness of our skim A 4 mm", "dado H-17"):
        assert each in page


def test_own_fields_stand_at_the_desk(firm: listel.Firm) -> None:
    from listel.reports.desk.form import fields_of
    from listel.reports.desk.reading import Reader
    from listel.reports.desk.views import Place, View

    reading = Reader(SURVEY, firm, ()).now()
    found: dict[str, str] = {}
    for place in (Place("job"), Place("room", 0), Place("room", 0, 0), Place("trim")):
        view = View(reading, firm.schema, firm.registry.plugins, place)
        found |= {field.id: field.value for _, parts in view.sections() for field in fields_of(parts)}
    assert found["job/own/hollin-roke/van"] == "green"
    assert found["rooms/0/own/roke-house-rules/echo"] == "yes"
    assert found["rooms/0/walls/0/own/hollin-roke/skim"] == "4 mm"
    assert found["trim/0/own/hollin-roke/batch"] == "H-17"


def test_grounds_tell_of_words_heights_hazards_prices_and_cures(capsys: pytest.CaptureFixture[str]) -> None:
    for what, *seen in (
        ("heights/height-chosen", "words of Roke House Rules", "2480 mm x 0.375 = 930 mm", "Book of Hollin & Roke"),
        ("visit", "a visit: 75 GBP", "2 x 75 x 1.2", "gives 180 GBP"),
        ("studs-too-far-apart", "settled our skim is keyed to the reed", "says Hollin & Roke, skims"),
        ("fixing", "set most spacing: 280 mm, by Hollin & Roke, skims", "by Roke House Rules: lath-at-300"),
    ):
        said = told(capsys, "grounds", SURVEY, what, "--house", HOUSE)
        for each in seen:
            assert each in said, (what, each)


def test_the_audit_reads_the_firms_words(capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, "audit", SURVEY, "--house", HOUSE, "--plan", HERE / "plan.md")
    assert "line 3: Go over it with the hummer (hold): a machine sets the lead of old paint free" in said
    assert "Read as line 1: roke photographs: Snap the walls line 2: hollin sample: Show the swatch" in said
    assert "Not recognised" not in said


def test_compare_tells_of_a_price_and_of_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], outcome: Any
) -> None:
    text = HOUSE.read_text("utf-8").replace("visit: 75", "visit: 90").replace("as we agreed", "as agreed")
    (tmp_path / "house.yaml").write_text(text, "utf-8")
    (tmp_path / "word.html.j2").write_text((HERE / "word.html.j2").read_text("utf-8"), "utf-8")
    dearer = listel.Firm(house=[tmp_path / "house.yaml"])
    for name, each in (("a", outcome), ("b", listel.examine(listel.read(SURVEY, dearer), dearer))):
        (tmp_path / f"{name}.json").write_text(listel.render(each, form="json"), "utf-8")
    said = told(capsys, "compare", tmp_path / "a.json", tmp_path / "b.json")
    assert "Morning room: price 216 GBP (it was 180 GBP)" in said
    assert "goes 930 mm up, as agreed by the sample" in said


def test_the_catalogue_has_the_firms_rules_and_what_it_adds(capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, "plugins", "--rules", "hollin-roke")
    assert "hollin-roke/skimmed (record or caution)" in said and "names skim [mm], most [mm]" in said
    said = told(capsys, "plugins", "--house", HOUSE)
    for each in ("heights hollin-low-rooms", "rows reed-board (makeups)", "fields van (job)", "options visit, vat"):
        assert each in said
    assert "says heights/height-chosen, hollin-roke/skimmed" in said
    assert "visits: 4" in told(capsys, "reckon", "hollin-visits", "--rooms", "3")


def test_the_firms_cases_are_told_as_they_say(installed: None) -> None:
    path = HERE / "tests" / "cases.yaml"
    mine = firm_of_cases(path)
    assert [says for case in read_cases(path) if (says := judge(case, mine))] == []
