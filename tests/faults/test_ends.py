"""However a command ends, nothing is lost: its exit status, its words, and the files it leaves."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from listel.core.commands.cli import COMMANDS, main

ROOT = Path(__file__).parents[2]
PLAIN = ROOT / "schemas" / "examples" / "plain-room.yaml"
HALL = ROOT / "schemas" / "examples" / "stair-hall.yaml"
PROGRAM = [sys.executable, "-c", "from listel.core.commands.cli import program; raise SystemExit(program())"]


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
        ["survey", "s.yaml", "--sheet", "--out", "s.yaml"],
        ["statement", "s.html", "--out", "s.html"],
    ],
    ids=" ".join,
)
def test_no_output_overwrites_what_is_read(words, survey, monkeypatch, capsys):
    monkeypatch.chdir(survey.parent)
    before = survey.read_bytes()
    page = Path(shutil.copy(survey, survey.with_name("s.html")))
    assert main(words) == 2
    assert "choose another name" in (told := capsys.readouterr().err) or "another" in told or "folder" in told
    assert survey.read_bytes() == page.read_bytes() == before
    assert sorted(path.name for path in survey.parent.iterdir()) == ["s.html", "s.yaml"]


def test_an_error_nobody_foresaw_is_one_sentence_and_its_trace_a_file(survey, tmp_path, monkeypatch, capsys):
    def fail(arguments: object) -> int:
        raise ZeroDivisionError("by nought")

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr("listel.reports.command.run", fail)
    assert main(["statement", str(survey)]) == 2
    told = capsys.readouterr().err
    (report,) = (tmp_path / "state" / "listel").iterdir()
    assert told.count("\n") == 1
    assert str(report) in told
    assert "ZeroDivisionError: by nought" in report.read_text("utf-8")


def run(words, folder, **given):
    return subprocess.run([*PROGRAM, *words], cwd=folder, capture_output=True, timeout=60, **given)


@pytest.mark.parametrize("letters", ["ascii", "cp1252", "latin-1"])
def test_letters_that_standard_output_lacks_never_stop_a_command(letters, tmp_path):
    done = run(["statement", str(HALL), "--json"], tmp_path, env={**os.environ, "PYTHONIOENCODING": letters})
    assert done.returncode == 1, done.stderr
    assert json.loads(done.stdout.decode("ascii"))["survey"]["reference"] == "MT-0417"
    done = run(["cutting", str(HALL)], tmp_path, env={**os.environ, "PYTHONIOENCODING": letters})
    assert done.returncode in (0, 1), done.stderr


def test_no_home_is_no_matter(tmp_path):
    code = "import os; os.setuid(54321); from listel.core.commands.cli import main; raise SystemExit(main(['reckon']))"
    bare = {key: value for key, value in os.environ.items() if key not in ("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    if os.geteuid() != 0 or not os.access(sys.executable, os.X_OK):
        pytest.skip("only root may become a user without a name")
    probe = subprocess.run(
        [sys.executable, "-c", "import os; os.setuid(54321); import listel, pluggy, ruamel.yaml"], capture_output=True
    )
    if probe.returncode:
        pytest.skip("a user without a name cannot read what is installed here")
    done = subprocess.run([sys.executable, "-c", code], env=bare, cwd="/", capture_output=True, timeout=60)
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


def test_a_command_that_is_asked_to_end_leaves_the_old_files(survey):
    page = survey.with_name("s-statement.html")
    page.write_text("old")
    process = subprocess.Popen(
        [*PROGRAM, "statement", str(survey)], cwd=survey.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    time.sleep(0.35)
    process.send_signal(signal.SIGTERM)
    _, told = process.communicate(timeout=60)
    assert b"Traceback" not in told
    if process.returncode in (143, -signal.SIGTERM):
        assert page.read_text() == "old"
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
