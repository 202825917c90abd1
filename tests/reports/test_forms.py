"""The forms of the statement as a person asks for them at the command line."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from listel.core.commands.cli import main

SURVEY = str(Path(__file__).parents[2] / "schemas" / "examples" / "plain-room.yaml")


def test_four_files_are_written_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["statement", SURVEY, "--pdf", "--word", "--markdown", "--out", str(tmp_path / "new")]) in (0, 1)
    written = [line.split(maxsplit=1)[1] for line in capsys.readouterr().out.split("\n") if line.startswith("written")]
    names = [f"plain-room-statement{ending}" for ending in (".html", ".pdf", ".docx", ".md")]
    assert written[:4] == [str(tmp_path / "new" / name) for name in names]
    folder = tmp_path / "new" / "plain-room-statement-drawings"
    drawings = sorted(path.name for path in folder.iterdir())
    assert written[4:] == [f"{folder} (a folder of {len(drawings)} drawings)"]
    text = (tmp_path / "new" / names[3]).read_text("utf-8")
    assert all(f"(<plain-room-statement-drawings/{name}>)" in text for name in drawings)
    assert (tmp_path / "new" / names[1]).read_bytes().startswith(b"%PDF-1.7")


def test_a_part_at_a_place_of_its_own(tmp_path: Path) -> None:
    main(["statement", SURVEY, "--for", "client", "--pdf", "--out", str(tmp_path / "mine.pdf")])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.html", "mine.pdf"]


@pytest.mark.parametrize(
    ("module", "option", "extra"),
    [("typst", "--pdf", "pdf"), ("font_lato", "--pdf", "pdf"), ("docx", "--word", "word")],
)
def test_a_missing_extra_is_told_before_anything_is_written(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    module: str,
    option: str,
    extra: str,
) -> None:
    monkeypatch.setitem(sys.modules, module, None)
    assert main(["statement", SURVEY, option, "--markdown", "--out", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert f"pip install 'listel[{extra}]'" in told.err
    assert len(told.err.strip().split("\n")) == 1
    assert not told.out
    assert not list(tmp_path.iterdir())


def test_markdown_needs_nothing_more(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for module in ("typst", "font_lato", "docx"):
        monkeypatch.setitem(sys.modules, module, None)
    assert main(["statement", SURVEY, "--markdown", "--out", str(tmp_path)]) in (0, 1)
    assert (tmp_path / "plain-room-statement.md").is_file()
