"""A started plugin is whole: its own tests pass, and DEVELOPERS.md shows it as it is."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.commands.start import StartFault, start_plugin

ROOT = Path(__file__).parents[2]


def test_a_started_plugin_passes_its_own_tests(tmp_path, capsys):
    folder = tmp_path / "ours"
    assert main(["plugins", "--start", str(folder), "beech-and-brass"]) == 0
    assert "cd " in capsys.readouterr().out
    assert (folder / "pyproject.toml").read_text(encoding="utf-8").count("beech_and_brass") == 3
    installed = folder / "ours.dist-info"  # what an installation leaves behind
    installed.mkdir()
    (installed / "METADATA").write_text("Metadata-Version: 2.1\nName: beech-and-brass\nVersion: 0.1.0\n", "utf-8")
    entry = "[listel.plugins]\nbeech-and-brass = beech_and_brass\n"
    (installed / "entry_points.txt").write_text(entry, "utf-8")
    idle = ("cacheprovider", "anyio", "hypothesispytest")  # what of pytest's plugins it has no use for
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *(f"-pno:{name}" for name in idle)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout[-2000:]
    assert "6 passed" in done.stdout


TAKEN = ("fixings", "listel", "json", "pytest")


@pytest.mark.parametrize("name", ["Acme", "acme_fixings", "1st", "acme--x", "../x", "", *TAKEN])
def test_a_name_that_cannot_be_is_refused(tmp_path, name):
    with pytest.raises(StartFault):
        start_plugin(tmp_path / "x", name)
    assert not (tmp_path / "x").exists()


def test_a_folder_that_holds_something_is_left_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("x", encoding="utf-8")
    with pytest.raises(StartFault, match="not empty"):
        start_plugin(tmp_path, "acme-fixings")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("name", ["__init__.py", "rules.py", "rules.yaml", "spacing.yaml", "cases.yaml"])
def test_developers_md_shows_the_started_files_as_they_are(name):
    text = (ROOT / "core" / "started" / f"{name}.txt").read_text(encoding="utf-8")
    assert text in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_started_files_import_no_insides():
    for path in (ROOT / "core" / "started").glob("*.py.txt"):
        for name in re.findall(r"(?:from|import) (listel[\w.]*)", path.read_text(encoding="utf-8")):
            assert name in ("listel", "listel.testing") or re.fullmatch(r"listel\.plugins\.\w+", name), (path, name)
