"""However a command ends, nothing is lost: its exit status, its words, and the files it leaves."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from listel.core.commands.cli import COMMANDS, main
from listel.core.files import spreadsheet_safe

ROOT = Path(__file__).parents[2]
PLAIN = ROOT / "schemas" / "examples" / "plain-room.yaml"
HALL = ROOT / "schemas" / "examples" / "stair-hall.yaml"
PROGRAM = [sys.executable, "-c", "from listel.core.commands.cli import program; raise SystemExit(program())"]


@pytest.fixture(autouse=True)
def hears_ctrl_c() -> Iterator[None]:
    """What is run in the background is born deaf to ctrl-C."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture
def survey(tmp_path: Path) -> Path:
    return Path(shutil.copy(PLAIN, tmp_path / "s.yaml"))


@pytest.mark.parametrize(
    "words",
    [
        ["cutting", "s.yaml", "--out", "s.yaml"],
        ["cutting", "s.yaml", "--rack-out", "./s.yaml"],
        ["cutting", "s.yaml", "--out", "a.csv", "--rack-out", "a.csv"],
        ["cutting", "s.yaml", "--out", ""],
        ["cutting", "s.yaml", "--out", "s.yaml/a.csv"],
        ["cutting", "s.yaml", "--out", "link.csv"],
        ["survey", "s.yaml", "--sheet", "--out", "s.yaml"],
        ["survey", "s.yaml", "--shape", "--out", "s.yaml"],
        ["statement", "s.html", "--out", "s.html"],
        ["statement", "s.yaml", "--out", "s.yaml"],
        ["statement", "s.yaml", "--out", os.devnull],
        ["statement", "s.yaml", "--calendar", "s.yaml"],
        ["statement", "s.yaml", "--calendar", "dress/logo.svg", "--dress", "dress"],
        ["estimate", "s.yaml", "--out", "rates.csv", "--rates", "rates.csv"],
    ],
    ids=" ".join,
)
def test_no_output_overwrites_what_is_read(words, survey, monkeypatch, capsys):
    folder = survey.parent
    monkeypatch.chdir(folder)
    monkeypatch.setattr("listel.core.host.firm.Firm.examine", None)  # it is refused before anything is reckoned
    (folder / "dress").mkdir()
    for name in ("s.html", "rates.csv", "dress/logo.svg"):
        shutil.copy(survey, folder / name)
    (folder / "link.csv").symlink_to("s.yaml")
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert main(words) == 2
    assert "name" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_no_output_takes_the_place_of_a_photograph(tmp_path, capsys):
    photo = tmp_path / "a.jpg"
    photo.write_bytes(b"a picture")
    survey = tmp_path / "s.yaml"
    survey.write_text(
        PLAIN.read_text("utf-8") + "photos: [{name: P1, file: a.jpg, shows: a wall}]\nwork: {start: 2026-03-02}\n"
    )
    assert main(["statement", str(survey), "--calendar", str(photo)]) == 2
    assert "a.jpg: this file is read in this run" in capsys.readouterr().err
    assert photo.read_bytes() == b"a picture"


def test_a_survey_behind_a_link_is_written_where_it_lies(tmp_path, capsys):
    survey, link = Path(shutil.copy(HALL, tmp_path / "s.yaml")), tmp_path / "link.yaml"
    link.symlink_to("s.yaml")
    assert main(["done", str(link), "--json"]) == 0
    label = next(iter(json.loads(capsys.readouterr().out)))
    assert main(["done", str(link), label, "--by", "A. Nobody"]) == 0
    assert link.is_symlink()
    assert "A. Nobody" in survey.read_text("utf-8")


@pytest.mark.parametrize("price", ["0", "0.001", "1e-9"])
def test_a_board_that_costs_nothing_is_a_board_of_the_plan(price, survey, tmp_path, capsys):
    text, many = re.subn(r"price: [0-9.]+", f"price: {price}", survey.read_text("utf-8"))
    assert many
    survey.write_text(text, "utf-8")
    out = tmp_path / "k.csv"
    assert main(["cutting", str(survey), "--out", str(out)]) == 1
    assert len(out.read_text("utf-8").splitlines()) > 3
    assert "engine/" not in capsys.readouterr().out


def test_a_cutting_list_that_fails_leaves_the_old_one_and_says_why(survey, tmp_path, monkeypatch, capsys):
    def fail(job, sheet):
        raise ArithmeticError("no bottom")

    monkeypatch.setattr("listel.plugins.cutting.listing.examine", fail)
    out = tmp_path / "k.csv"
    out.write_text("old")
    assert main(["cutting", str(survey), "--out", str(out)]) == 2
    assert "no bottom" in capsys.readouterr().err
    assert out.read_text() == "old"


def test_who_stops_a_command_is_told_what_is_new(survey, monkeypatch, capsys):
    renamed = Path.replace

    def stopped_at_the_first(part: Path, target: Path) -> Path:
        signal.raise_signal(signal.SIGINT)
        return renamed(part, target)

    monkeypatch.setattr("listel.core.files.WRITTEN", [])
    monkeypatch.setattr(Path, "replace", stopped_at_the_first)
    assert main(["statement", str(survey), "--markdown"]) == 130
    told = capsys.readouterr().err
    pages = [survey.with_name(f"s-statement{ending}") for ending in (".html", ".md")]
    assert all(page.is_file() and str(page) in told for page in pages)
    monkeypatch.setattr("listel.core.files.WRITTEN", [])
    monkeypatch.setattr("listel.reports.command.write_all", lambda files: signal.raise_signal(signal.SIGINT))
    assert main(["statement", str(survey)]) == 130
    assert capsys.readouterr().err == "stopped; no file was changed\n"


def test_names_that_are_no_letters_are_a_question_mark(survey, tmp_path):
    odd = survey.rename(survey.with_name(os.fsdecode(b"\xe9.yaml")))
    done = run(["statement", odd, "--markdown", "--revision", b"\xff"], tmp_path)
    assert done.returncode == 1, done.stderr
    assert "revision ?" in next(tmp_path.glob("*.html")).read_text("utf-8").lower()


def test_letters_that_turn_text_round_are_told_or_marked(survey, tmp_path, capsys):
    survey.write_text(survey.read_text("utf-8").replace("name: ", "name: \u202e", 1), "utf-8")
    assert main(["survey", str(survey)]) == 2
    assert "U+202E, which turns the text after it round, stands here" in capsys.readouterr().err
    plan = tmp_path / "plan.md"
    plan.write_text("- cut the \u202eskirting \x1b[31m\n- fix the skirting\n", "utf-8")
    main(["audit", str(PLAIN), "--plan", str(plan)])
    assert not {"\u202e", "\x1b"} & set(capsys.readouterr().out)


@pytest.mark.parametrize("height", ["1e53", "1e300", "1e308"])
def test_a_length_beyond_all_measure_is_told_at_its_place(height, tmp_path, capsys):
    survey = tmp_path / "s.yaml"
    walls = f"[{{name: A, length: 3000, openings: [{{kind: door, at: {height}, width: {height}, height: 2000}}]}}]"
    survey.write_text(f"listel: 1\njob: {{title: T}}\nrooms:\n  - {{name: H, height: {height}, walls: {walls}}}\n")
    assert main(["survey", str(survey)]) == 2
    assert "s.yaml:4:23: " in capsys.readouterr().err


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1+1", "@a", "\t=1+1", "\r=1", "a;=1+1", "a; @b", " =1"])
def test_no_cell_of_a_file_is_a_formula(cell):
    assert spreadsheet_safe(cell) == f"'{cell}"
    assert spreadsheet_safe("S-A1; x = 2") == "S-A1; x = 2"


def test_an_error_nobody_foresaw_is_one_sentence_and_its_trace_a_file(survey, tmp_path, monkeypatch, capsys):
    def fail(arguments: object) -> int:
        raise ZeroDivisionError("by nought")

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr("listel.reports.command.run", fail)
    assert main(["statement", str(survey)]) == 2
    told = capsys.readouterr().err
    assert "ZeroDivisionError" not in told
    (report,) = (tmp_path / "state" / "listel").iterdir()
    assert told.count("\n") == 1
    assert str(report) in told
    assert "ZeroDivisionError: by nought" in report.read_text("utf-8")
    monkeypatch.setenv("XDG_STATE_HOME", str(report))
    assert main(["statement", str(survey)]) == 2
    told = capsys.readouterr().err
    assert told == "listel could not go on: an error that nobody foresaw: ZeroDivisionError: by nought\n"


def run(words, folder, **given):
    return subprocess.run([*PROGRAM, *words], cwd=folder, capture_output=True, timeout=60, **given)


@pytest.mark.parametrize(("letters", "command"), [("ascii", "statement --json"), ("cp1252", "cutting")])
def test_letters_that_standard_output_lacks_never_stop_a_command(letters, command, survey):
    """The place is named in Greek, which neither set of letters has."""
    survey.write_text(survey.read_text("utf-8").replace("Back bedroom", "Κάμαρα"), "utf-8")
    done = run([*command.split(), "s.yaml"], survey.parent, env={**os.environ, "PYTHONIOENCODING": letters})
    assert done.returncode == 1, done.stderr
    if command == "cutting":
        assert b"??????" in done.stdout
    else:
        told = json.loads(done.stdout.decode("ascii"))["findings"]
        assert "Κάμαρα" in {finding["where"]["room"] for finding in told}


def test_no_home_is_no_matter(tmp_path):
    bare = {key: value for key, value in os.environ.items() if key not in ("HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME")}
    nobody = {"env": bare, "user": 54321, "extra_groups": []}
    if os.geteuid() != 0:
        pytest.skip("only root may become a user without a name")
    try:
        subprocess.run([sys.executable, "-c", "import pluggy"], check=True, **nobody)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("a user without a name cannot read what is installed here")
    done = run(["reckon", "mitre", "--corner", "91", "--kind", "internal", "--projection", "20"], "/", **nobody)
    assert done.returncode == 0, done.stderr


def test_a_settings_file_that_is_named_and_not_there_is_told(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("LISTEL_SETTINGS", str(tmp_path / "none.yaml"))
    assert main(["plugins"]) == 2
    assert "none.yaml: there is no such file" in capsys.readouterr().err


def test_a_reader_who_goes_away_ends_the_command_quietly_with_its_files_written(survey):
    process = subprocess.Popen(
        [*PROGRAM, "statement", str(survey)], cwd=survey.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()
    assert process.wait(60) in (0, 1, 141)
    assert told == b""
    assert survey.with_name("s-statement.html").is_file()


@pytest.mark.parametrize("seconds", [0.05, 0.35])
def test_a_command_that_is_asked_to_end_leaves_the_old_files_or_whole_new_ones(survey, seconds):
    """Asked early, it has not written; asked while it writes or ends, what stands there is one or the other."""
    page = survey.with_name("s-statement.html")
    page.write_text("old")
    process = subprocess.Popen(
        [*PROGRAM, "statement", str(survey)], cwd=survey.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    time.sleep(seconds)
    process.send_signal(signal.SIGTERM)
    _, told = process.communicate(timeout=60)
    assert b"Traceback" not in told
    left = page.read_text("utf-8")
    assert left == "old" or (seconds > 0.1 and left.startswith("<!DOCTYPE html>") and left.endswith("</html>"))
    assert not [path for path in survey.parent.iterdir() if path.suffix == ".part"]


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{", "[" * 50_000, '{"listel": 1e999}', '{"a": ' + "9" * 5000 + "}", '"\\ud800"', '{"findings": {}}'],
    ids=["empty", "list", "broken", "deep", "endless", "long", "half a letter", "other"],
)
def test_what_is_no_outcome_is_refused_in_one_line(text, tmp_path, capsys):
    path = tmp_path / "odd.json"
    path.write_text(text)
    for words in (
        ["compare", str(path), str(path)],
        ["statement", str(PLAIN), "--since", str(path), "--out", str(tmp_path)],
    ):
        assert main(words) == 2
        assert capsys.readouterr().err.startswith(f"{path}: ")
    assert [each.name for each in tmp_path.iterdir()] == ["odd.json"]


def test_a_stream_without_end_is_no_outcome(capsys):
    assert main(["compare", "/dev/zero", "/dev/zero"]) == 2
    assert "plain file" in capsys.readouterr().err


def test_the_module_takes_nothing_from_the_folder_one_stands_in(tmp_path):
    (tmp_path / "evil-1.dist-info").mkdir()
    (tmp_path / "evil-1.dist-info" / "METADATA").write_text("Metadata-Version: 2.1\nName: evil\nVersion: 1\n")
    (tmp_path / "evil-1.dist-info" / "entry_points.txt").write_text("[listel.plugins]\nevil = evil\n")
    (tmp_path / "evil.py").write_text("raise SystemExit('it ran')\n")
    (tmp_path / "pluggy.py").write_text("raise SystemExit('it ran')\n")
    done = subprocess.run([sys.executable, "-m", "listel", "plugins"], cwd=tmp_path, capture_output=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert b"evil" not in done.stdout


def test_every_command_says_in_its_help_what_it_takes(capsys):
    for command in COMMANDS:
        with pytest.raises(SystemExit):
            main([command, "--help"])
        assert "usage: listel" in capsys.readouterr().out
