"""Plans that are no plans: each gets a clear answer on standard error, and exit status 2."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from listel.core.commands.cli import main

GERMAN = """\
- Sockelleisten abbauen und lagern
- Wände auf Feuchtigkeit prüfen
- Leisten zuschneiden und mit dem Hobel anpassen
- Leisten an die Wand schrauben, dann spachteln
- Zwei Anstriche mit Lack
"""
FRENCH = """\
Protéger le sol et les meubles
Poser les plinthes avec de la colle
Reboucher les trous et poncer
Peindre en deux couches
"""
SPANISH = """\
Proteger el suelo con cartón
Cortar las molduras y colocar con cola
Pintar las molduras
"""
RUSSIAN = "Снять старый плинтус\nПрибить новый плинтус\nПокрасить\n"


def answer(capsys: pytest.CaptureFixture[str], examples: Path, plan: Path) -> str:
    status = main(["audit", str(examples / "plain-room.yaml"), "--plan", str(plan)])
    told = capsys.readouterr()
    assert (status, told.out) == (2, "")
    assert str(plan) in told.err
    assert "Traceback" not in told.err
    return told.err


@pytest.mark.parametrize("text", ["", "\n\n", "# Heading only\n", "---\n***\n", "- \n* \n"])
@pytest.mark.parametrize("name", ["plan.md", "plan.txt"])
def test_an_empty_plan(
    text: str, name: str, tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / name
    plan.write_text(text, encoding="utf-8")
    assert "the plan is empty" in answer(capsys, examples, plan)


@pytest.mark.parametrize("text", ["[]\n", "# nothing\n", "null\n"])
def test_an_empty_yaml_plan(text: str, tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text(text, encoding="utf-8")
    assert "the file holds no plan; a plan is a list" in answer(capsys, examples, plan)


@pytest.mark.parametrize("text", [GERMAN, FRENCH, SPANISH, RUSSIAN], ids=["german", "french", "spanish", "russian"])
def test_a_plan_in_another_language(
    text: str, tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.md"
    plan.write_text(text, encoding="utf-8")
    err = answer(capsys, examples, plan)
    assert "a plan is written in English, one step a line, or says with a step: key what each line means" in err


def test_a_plan_in_another_language_whose_lines_say_their_step(
    tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text("- {text: Leisten an die Wand schrauben und leimen, step: [fix, adhesive]}\n", encoding="utf-8")
    assert main(["audit", str(examples / "plain-room.yaml"), "--plan", str(plan)]) == 1
    assert "fix, adhesive: Leisten an die Wand" in capsys.readouterr().out


def test_a_photo(tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.jpg"
    plan.write_bytes(b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01" + bytes(range(256)) * 4)
    assert "this is a photo; a plan is plain text in UTF-8: save it as that" in answer(capsys, examples, plan)


@pytest.mark.parametrize("name", ["plan.docx", "plan.md", "plan.yaml"])
def test_a_word_file_under_any_name(
    name: str, tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / name
    with zipfile.ZipFile(plan, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("word/document.xml", "<w:document>fix the rail</w:document>" * 50)
    assert "this is a Word or other zipped file" in answer(capsys, examples, plan)


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_text_in_another_encoding(
    encoding: str, tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.txt"
    plan.write_bytes("Fix the rail, 3 m at 20 °C\n".encode(encoding))
    assert "UTF-" in answer(capsys, examples, plan)


def test_a_plan_that_is_not_there_or_is_a_folder(
    tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "there is no such file" in answer(capsys, examples, tmp_path / "none.md")
    assert "this is a folder" in answer(capsys, examples, tmp_path)


def test_a_plan_of_too_many_lines(tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.txt"
    plan.write_text("fix it\n" * 2001, encoding="utf-8")
    assert "2,001 lines are too many for a plan; at most 2,000 are read" in answer(capsys, examples, plan)


def test_a_huge_plan(tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.txt"
    plan.write_text("fix the rail\n" * 100_000, encoding="utf-8")
    assert "plan.txt: 1,300,000 bytes are too many for a plan" in answer(capsys, examples, plan)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("fix: it\n", "a plan is a list"),
        ("- {txt: fix it}\n", "plan.yaml:1:"),
        ("- {text: fix it, wait: -1}\n", "plan.yaml:1:"),
        ("- {text: fix it, day: tomorrow}\n", "plan.yaml:1:"),
        ("- 12\n", "plan.yaml:1:"),
        ("- [a\n", "plan.yaml:"),
        ("- !!python/object:os.system x\n", "plan.yaml:1:"),
    ],
)
def test_a_yaml_plan_with_a_fault_names_its_place(
    text: str, says: str, tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text(text, encoding="utf-8")
    assert says in answer(capsys, examples, plan)


def test_lines_that_mean_nothing(tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.txt"
    plan.write_text("lunch\nthe whatsit\n", encoding="utf-8")
    assert "none of the 2 lines was recognised" in answer(capsys, examples, plan)


def test_a_survey_without_a_plan(capsys: pytest.CaptureFixture[str], examples: Path) -> None:
    assert main(["audit", str(examples / "plain-room.yaml")]) == 2
    assert "there is no plan; give one with --plan" in capsys.readouterr().err


def test_a_long_line_of_one_word_is_read_at_once(
    tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.txt"
    plan.write_text("fix it\n" + "a " * 40_000 + "\n" + "1" * 40_000 + "\n" + "no " * 9_000 + "\n", encoding="utf-8")
    assert main(["audit", str(examples / "plain-room.yaml"), "--plan", str(plan), "--json"]) == 1
    assert '"steps": [\n    "fix"' in capsys.readouterr().out
