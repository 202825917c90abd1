"""Files are written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from listel.core.files import write_whole


def test_text_and_bytes_are_written_as_they_are(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    write_whole(path, "é\n")
    assert path.read_bytes() == b"\xc3\xa9\n"
    write_whole(path, b"\x00\r\n")
    assert path.read_bytes() == b"\x00\r\n"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


def test_what_cannot_be_written_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")

    def fail(self: Path, target: Path) -> Path:
        raise OSError("no")

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(OSError, match="no"):
        write_whole(path, "new")
    assert path.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]
