"""The commands as a person calls them: what they print, and their exit status."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from listel.core.commands.cli import COMMANDS, main
from listel.core.host.registry import load

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "schemas" / "examples"
DEMOS = ["stair-hall.yaml", "plain-room.yaml", "us-house.yaml"]


def call(capsys, *words):
    status = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return status, out, err


def test_help_and_version(capsys):
    for words in (["--help"], ["--version"]):
        with pytest.raises(SystemExit) as stopped:
            main(words)
        assert stopped.value.code == 0
    assert "listel 0." in capsys.readouterr().out
    assert call(capsys)[0] == 0


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(command, capsys):
    with pytest.raises(SystemExit) as stopped:
        main([command, "--help"])
    assert stopped.value.code == 0
    assert command in capsys.readouterr().out


def test_help_loads_neither_jsonschema_nor_jinja():
    script = "import sys; from listel.core.commands.cli import main\ntry: main(['--help'])\nexcept SystemExit: pass\n"
    script += (
        "print(sorted({'jsonschema', 'jinja2', 'ruamel', 'highspy', 'typst'} & {m.split('.')[0] for m in sys.modules}))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]")


def test_plugins_are_listed_in_running_order(capsys):
    status, out, _ = call(capsys, "plugins", "--json")
    rows = json.loads(out)
    names = [row["name"] for row in rows]
    assert status == 0
    assert {"name", "needs", "gives", "amends"} <= set(rows[0])
    for giver, needer in (
        ("heights", "setting_out"),
        ("setting_out", "fixings"),
        ("fixings", "safety"),
        ("safety", "sequence"),
    ):
        assert names.index(giver) < names.index(needer)
    assert names.index("fixings") < names.index("safety-zones") < names.index("safety")


def test_lines_of_a_kind_are_shown_with_meaning_and_unit(capsys):
    status, out, _ = call(capsys, "plugins", "--lines", "fixing", "--json")
    told = json.loads(out)
    assert status == 0
    assert told["keys"]["spacing"]["unit"] == "mm"
    assert told["keys"]["spacing"]["says"]
    assert told["keys"]["points"]["keys"]["station"]["unit"] == "mm"
    assert told["lines"][0]["job"]["protection"]
    assert set(told["lines"][0]) == set(told["keys"])
    for kind, key in (("height", "underside"), ("room", "substrates")):
        _, out, _ = call(capsys, "plugins", "--lines", kind)
        assert f"\n{key} " in out and len(out.splitlines()) < 40
        _, whole, _ = call(capsys, "plugins", "--lines", kind, "--all")
        assert f'"{key}":' in whole
    _, out, _ = call(capsys, "plugins", "--lines", "--all")
    assert "\nheight " in out and "\n  underside " in out


def test_an_unknown_kind_of_line_is_told(capsys):
    status, _, err = call(capsys, "plugins", "--lines", "fixin")
    assert status == 2
    assert "there are" in err


OUTCOME = Draft202012Validator(json.loads((ROOT / "schemas" / "outcome.schema.json").read_text(encoding="utf-8")))


@pytest.mark.parametrize("demo", DEMOS)
def test_the_outcome_of_each_demo_is_valid_and_no_plugin_fails(demo, capsys):
    status, out, _ = call(capsys, "statement", EXAMPLES / demo, "--json")
    told = json.loads(out)
    assert status in (0, 1)
    assert (status == 0) == told["fit_for_issue"]
    assert [error.message for error in OUTCOME.iter_errors(told)][:3] == []
    assert [entry["fault"] for entry in told["ran"] if entry["fault"]] == []
    assert [f["says"] for f in told["findings"] if f["rule"].startswith("engine/") and f["weight"] == "hold"] == []


@pytest.mark.parametrize("firm", ["house-plumbline.yaml", "house-lathwise.yaml"])
def test_a_firm_amends_and_judges_the_demo(firm, capsys):
    status, out, _ = call(capsys, "statement", EXAMPLES / DEMOS[0], "--house", EXAMPLES / firm, "--json")
    told = json.loads(out)
    assert status == 1
    slug = told["house"][0]
    ours = [f for f in told["findings"] if f["rule"].startswith((f"{slug}/", "engine/amended", "house/"))]
    assert ours
    assert {source["standing"] for finding in ours for source in finding["grounds"]["sources"]} == {"house-rule"}
    for each in told["amendments"]:
        line = told["results"][each["result"]][each["field"]][each["index"]]
        assert line[each["key"]] == each["now"] != each["was"]
    assert told["amendments"]
    assert [error.message for error in OUTCOME.iter_errors(told)][:3] == []
    assert [entry["fault"] for entry in told["ran"] if entry["fault"]] == []


def test_grounds_are_told_for_a_finding_and_for_a_line(capsys):
    status, out, _ = call(capsys, "grounds", EXAMPLES / DEMOS[0], "heights/height-chosen")
    assert status == 0
    assert "source" in out
    status, out, _ = call(capsys, "grounds", EXAMPLES / DEMOS[0], "fixing", "skirting", "--json")
    assert json.loads(out)["lines"]
    status, out, err = call(capsys, "grounds", EXAMPLES / DEMOS[0], "nonesuch")
    assert "nothing here holds the words: nonesuch. The kinds of line are: " in err
    assert ", fill, fixing, " in err
    status, out, err = call(capsys, "grounds", EXAMPLES / "stair-hall.yaml", "skirting", "floor edge")
    assert out.startswith("fill ")


@pytest.mark.parametrize(
    ("words", "kind", "wall"),
    [
        (("dado-rail", "heights"), "height", None),
        (("skirting", "proportions"), "proportion", None),
        (("skirting", "A", "runs"), "run", "A"),
        (("skirting", "A", "marks"), "mark", "A"),
        (("fixings", "dado-rail", "h"), "fixing", "H"),
    ],
)
def test_grounds_of_a_kind_of_line_are_found_by_trim_member_and_wall(words, kind, wall, capsys):
    _, out, _ = call(capsys, "grounds", EXAMPLES / DEMOS[0], *words, "--json")
    lines = json.loads(out)["lines"]
    assert {(line["about"], line.get("wall")) for line in lines} == {(kind, wall)}


def test_a_letter_names_a_wall_and_is_not_looked_for_in_sentences(capsys):
    _, out, _ = call(capsys, "grounds", EXAMPLES / DEMOS[0], "skirting", "A", "heights", "--json")
    found = json.loads(out)
    assert {line["wall"] for line in found["lines"]} == {"A"}
    assert {finding["where"]["wall"] for finding in found["findings"]} <= {"A"}


def test_reckoners_are_listed_and_a_slip_is_mended(capsys):
    status, out, _ = call(capsys, "reckon")
    assert status == 0
    named = {line.split()[0] for line in out.splitlines()}
    assert named >= {
        "mitre", "sprung", "rake", "bow", "closure", "height", "order", "moisture", "movement", "nail", "lead-hole",
        "joint", "bead", "exposure", "stock", "splice",
    }  # fmt: skip
    status, _, err = call(capsys, "reckon", "mitr")
    assert status == 2
    assert "Did you mean mitre?" in err


SLIPS = [
    ("moisture --temperature 20 --humidity 0.42", "--humidity 0.42: 0.42 may be 42 % or 0.42 %"),
    ("moisture --temperature 68 --humidity 42", "68 is above 60 C; air temperature. Did you mean 68 F?"),
    ("bead --length 2400 --diameter 5 --waste 0.1", "0.1 may be 10 % or 0.1 %"),
    ("bead --length 2.4 --diameter 5", "2.4 is below 20 mm; length of the piece. Did you mean 2.4 m?"),
    ("height --room-height 96", "Did you mean 96 in?"),
    ("mitre --corner 913", "Did you mean 91.3?"),
    ("stock --length 2400 --piece 1.2x3", "--piece 1.2x3: 1.2x3 is below 10 mm"),
    ("nail --diameter 2.8 --gravity 420 --code nds", "420 is above 1.3"),
    ("exposure --noise 85 --hours 30", "--hours 30: 30 is above 24"),
]


@pytest.mark.parametrize(("words", "told"), SLIPS, ids=[words for words, _ in SLIPS])
def test_a_slipped_point_or_unit_is_asked_about(words, told, capsys):
    status, out, err = call(capsys, "reckon", *words.split())
    assert (status, out) == (2, "")
    assert told in err


def test_every_measure_that_a_reckoner_takes_has_its_bounds():
    asked = [option for one in load(entry_points=False).reckoners().values() for option in one.options]
    measures = [option for option in asked if option.kind not in ("text", "choice", "word", "flag")]
    assert not {option.name for option in measures if option.least is None or option.most is None}


def test_lengths_that_are_counted_are_read_in_inches_as_well(capsys):
    _, out, _ = call(capsys, "reckon", "stock", "--inches", "--length", "97", "--piece", "48x2", "--kerf", "0.125")
    assert out.startswith("1 boards")


def test_a_reckoner_of_a_file_is_found_wherever_the_file_is_named(tmp_path, capsys):
    file = tmp_path / "oak.py"
    file.write_text(
        "from listel import *\n@hookimpl\ndef listel_reckoners():\n"
        "    return [Reckoner('oak', 'ours', (Option('skim', 'length', 'its thickness'),), lambda given:"
        " Reckoning({'twice': 2 * given['skim']}, (Grounds(),)))]\n"
    )
    for words in (("--plugin", str(file), "oak", "--skim", "4"), ("oak", "--skim", "4", "--plugin", str(file))):
        status, out, _ = call(capsys, "reckon", *words)
        assert (status, out.splitlines()[0]) == (0, "twice: 8")


RECKONED = [
    (
        "mitre --corner 91.3 --kind internal --projection 28",
        {"cut_angle": 45.65, "saw_reading": 44.35, "face_allowance": -27.37},
    ),
    ("mitre --corner 91.3 --kind external --projection 28", {"face_allowance": 27.37}),
    ("sprung --spring 38 --corner 90", {"mitre": 31.62, "bevel": 33.86}),
    ("sprung --spring 45 --corner 90", {"mitre": 35.26, "bevel": 30.00}),
    (
        "bow --chord 2000 --rise 10 --thickness 20 --height 60 --timber european-redwood",
        {"radius": 50005.0},
    ),
    (
        "closure --side 4000 --angle 90 --side 3000 --angle 90 --side 4000 --angle 90 --side 3000 --angle 90",
        {"misclosure": 0.0},
    ),
    (
        "closure --side 4100 --angle 90 --side 3000 --angle 90 --side 4000 --angle 90 --side 3000 --angle 90",
        {"misclosure": 100.0},
    ),
    ("rake --pitch 40", {"level_to_rake_cut": 20.0}),
    ("order --height 2800 --author gibbs --order ionic", {"pedestal": 560.0}),
    ("bead --length 10000 --diameter 8 --cartridge 290", {}),
    ("moisture --temperature 21.1 --humidity 50", {"emc": 9.2}),
    ("moisture --temperature 21.1 --humidity 30", {"emc": 6.2}),
    ("moisture --temperature 21.1 --humidity 65", {"emc": 12.0}),
    ("moisture --temperature 21.1 --humidity 80", {"emc": 16.0}),
    ("movement --timber red-oak --width 150 --from 8 --to 12", {"tangential": 2.21, "radial": 0.95}),
    ("joint --width 4 --movement 0.8", {"strain": 20.0}),
    ("exposure --vibration 5 --hours 2", {"a8": 2.5}),
    ("exposure --noise 88 --hours 4", {"lep_d": 85.0}),
    (
        "splice --length 2393 --from 300 --to 520 --kind rot --thickness 20",
        {"cut_from": 280.0, "cut_to": 540.0, "slope": 6.0, "scarf": 120.0, "overall": 500.0, "pins": 4},
    ),
    (
        "splice --length 2400 --from 300 --to 520 --kind woodworm --thickness 22 --member picture-rail",
        {"start": 0.0, "slope": 12.0, "scarf": 264.0, "overall": 794.0, "pins": 2},
    ),
    (
        "splice --length 2400 --from 300 --to 320 --kind dent --thickness 22 --height 60 --damage-height 20 --depth 6",
        {"overall": 20.0},
    ),
    ("stock --length 100 --kerf 0 --piece 45x97 --piece 36x610 --piece 31x395 --piece 14x211", {"boards": 453}),
]
LOOSE = {"emc": 0.2}
MORE_RECKONED = [
    "mitre --corner 85 --projection 25 --other-projection 30",
    "rake --rise 180 --going 250 --corner 90 --spring 38 --height 60 --run 3000 --projection 20",
    "bow --chord 2400 --rise 100 --thickness 20 --height 60 --timber red-oak --spacing 400",
    "nail --diameter 3 --length 60 --trim 19 --timber-density 350 --gravity 0.42 --code nds",
    "nail --diameter 3 --length 60 --trim 19 --plaster 12 --timber-density 350 --number 3",
    "lead-hole --gauge 8 --timber red-oak",
    "moisture --temperature 20 --emc 8",
    "movement --timber mdf --width 150 --from 8 --to 12",
    "height --room-height 2700 --evidence 900",
    "order --height 2700 --author palladio --order ionic",
    "splice --length 2000 --from 0 --to 200 --kind rot --thickness 20 --height 150",
    "stock --length 3600 --length 4800 --piece 1200x4",
    "joints --length 4800 --run 6200x2",
    "joints --length 4800 --length 3600 --run 6200x2",
    "shutters --width 900 --breadth 220 --leaf 32 --leaf 25 --leaf 25",
    "closure --side 4100 --angle 90 --side 3000 --angle 95 --side 4000 --angle 90 --side 3000 --angle 90",
    "exposure --noise 88 --hours 4 --region us",
    "exposure --dust 2 --hours 4",
]


@pytest.mark.parametrize(("words", "expected"), RECKONED, ids=[words for words, _ in RECKONED])
def test_reckoners_give_what_they_should(words, expected, capsys):
    status, out, err = call(capsys, "reckon", *words.split(), "--json")
    told = json.loads(out)
    assert status in (0, 1), err
    for name, value in expected.items():
        assert told["results"][name] == pytest.approx(value, abs=LOOSE.get(name, 0.0101))
    assert told["grounds"]
    assert told["grounds"][0]["sources"]


@pytest.mark.parametrize("words", [words for words, _ in RECKONED])
def test_reckoners_print_for_a_person_too(words, capsys):
    status, out, err = call(capsys, "reckon", *words.split())
    assert status in (0, 1), err
    assert "source" in out
    assert not {"{", "["} & set(out)


COUNTS = {"boards", "bound", "count", "cartridges", "effective_number", "likelihood", "penetration_factor", "pins",
          "precision", "share", "slope", "waste_share", "vibration_points", "noise_points", "dose"}  # fmt: skip
"""Results that have no unit: what is counted, a share, a ratio."""


def figures(held: object, under: str = "") -> Iterator[tuple[str, str]]:
    """The figures in some results: the key of each, and the key above it."""
    for key, value in held.items() if isinstance(held, dict) else ((under, each) for each in held):
        if isinstance(value, (dict, list)):
            yield from figures(value, key)
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            yield key, under


@pytest.mark.parametrize("words", [*(words for words, _ in RECKONED), *MORE_RECKONED])
def test_every_figure_that_a_reckoner_gives_has_its_unit_or_is_counted(words, capsys):
    told = json.loads(call(capsys, "reckon", *words.split(), "--json")[1])["results"]
    units = load(entry_points=False).reckoners()[words.split()[0]].units
    known = {name for names in units.values() for name in names.split()} | COUNTS
    assert {key for key, above in figures(told) if key not in known and above not in known} == set()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("movement --timber yellow-poplar --width 6 --from 12 --to 6", ["tangential: -0.104 in"]),
        ("movement --timber poplar --width 150mm --from 12 --to 6", ["tulipwood, 5 7/8"]),
        (
            "nail --diameter 0.131 --length 2.5 --trim 3/4 --code nds --gravity 0.5",
            ["lead hole: 0.098 in", "withdrawal: 55.9 lbf"],
        ),
        ("rake --rise 7.5 --going 10 --height 2.5", ["plumb depth: 3 1/8"]),
        ("stock --length 144 --piece 139x1 --kerf 1/8", ["length bought: 12' 0", "board 12' 0"]),
        ("moisture --temperature 68 --humidity 25", ["emc: 5.3", "T = 68 F"]),
        ("bead --length 30ft --diameter 1/4", ["US fl oz"]),
    ],
)
def test_what_is_asked_in_inches_is_answered_in_american_units(words, says, capsys):
    status, out, err = call(capsys, "reckon", *words.split(), "--inches")
    assert status == 0, err
    for each in says:
        assert each in out
    assert not re.search(r"\d (mm|m|N|C|ml)\b", out.split("  by  ")[0])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("movement --timber beech --width 100 --from 12 --to 6", "could mean european-beech or american-beech"),
        ("movement --timber pin --width 100 --from 12 --to 6", "is not known here"),
        ("bow --chord 2000 --rise 10 --thickness 20 --height 60 --timber balsa", "is not known here"),
        ("splice --length 900 --from 0 --to 50 --kind damp --thickness 20", "--kind: damp is not known here"),
    ],
)
def test_a_reckoner_takes_the_words_that_a_survey_takes(words, says, capsys):
    status, _, err = call(capsys, "reckon", *words.split())
    assert status == 2 and says in err


def test_a_reckoner_tells_a_bad_figure_in_words(capsys):
    status, _, err = call(capsys, "reckon", "mitre", "--corner", "ninety", "--kind", "internal", "--projection", "28")
    assert status == 2
    assert "--corner ninety" in err
    status, _, err = call(capsys, "reckon", "mitre", "--corner", "180", "--kind", "internal", "--projection", "28")
    assert status == 2
    assert "listel reckon mitre" in err


@pytest.mark.parametrize("words", [("reckon", "lead-hole", "--gauge=--"), ("done", "survey.yaml", "P1", "--by=--")])
def test_two_dashes_are_no_value(words, capsys):
    status, _, err = call(capsys, *words)
    assert status == 2 and err.startswith(f"{words[-1]}: -- is no value")


def test_a_reckoner_tells_figures_beyond_reckoning_in_words(tmp_path, capsys):
    file = tmp_path / "oak.py"
    file.write_text(
        "from listel import *\n@hookimpl\ndef listel_reckoners():\n"
        "    return [Reckoner('oak', 'ours', (Option('skim', 'number', 'its weight'),), lambda given:"
        " Reckoning({'more': given['skim'] ** 9}, (Grounds(),)))]\n"
    )
    status, _, err = call(capsys, "reckon", "oak", "--skim", "1e308", "--plugin", str(file))
    assert status == 2
    assert "listel reckon oak: these figures are too large or too small" in err


@pytest.mark.parametrize("command", ["statement", "cutting", "audit", "grounds", "survey"])
def test_a_survey_that_is_not_there_is_one_line_and_exit_2(command, capsys, tmp_path):
    status, _, err = call(capsys, command, tmp_path / "none.yaml")
    assert status == 2
    assert len(err.strip().splitlines()) == 1
    assert "none.yaml" in err


def test_a_folder_that_cannot_be_written_is_told(capsys, tmp_path):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    status, _, err = call(capsys, "statement", EXAMPLES / "plain-room.yaml", "--out", tmp_path / "file" / "x")
    assert status == 2
    assert err.strip()


def test_a_slip_in_a_command_or_a_choice_is_mended(capsys):
    assert call(capsys, "statment") == (2, "", "listel has no command statment. Did you mean statement?\n")
    status, _, err = call(capsys, "reckon", "mitre", "--corner", "90", "--kind", "interal", "--projection", "20")
    assert status == 2
    assert "Did you mean internal?" in err


def test_python_dash_m_is_the_command():
    done = subprocess.run([sys.executable, "-m", "listel", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("listel ")


def test_what_is_printed_of_a_job_is_in_the_words_of_its_region(tmp_path, capsys):
    survey = EXAMPLES / "us-house.yaml"
    _, told, _ = call(capsys, "statement", survey, "--out", tmp_path / "house.html")
    _, cut, _ = call(capsys, "cutting", survey, "--out", tmp_path / "cuts.csv")
    _, why, _ = call(capsys, "grounds", survey, "fixing")
    _, read, _ = call(capsys, "survey", survey)
    cuts = (tmp_path / "cuts.csv").read_text(encoding="utf-8")
    for text in (told, cut, why, cuts, read.split("not surveyed")[0]):
        assert not re.search(r"(?<![\w/-])(?:skirting|mitred?|moulding|panelling|noggings?)(?![-/]?\w)", text)
        assert not re.search(r"\d mm\b", text.replace("mm.dxf", ""))
    assert cuts.startswith('trim,board,from,"board length, in"')
