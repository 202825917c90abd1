"""Files are written whole or not at all, never over what is read, and what is kept to be made again is judged."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from listel.core.files import keep_made, read_made, refuse_outputs, write_all, write_whole
from listel.core.survey.faults import InputFault


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


def test_of_several_files_all_are_written_or_none(tmp_path: Path) -> None:
    first, second = tmp_path / "a.txt", tmp_path / ("b" * 300)
    first.write_text("old")
    with pytest.raises(InputFault, match=r"bbb: it cannot be written"):
        write_all([(first, "new"), (second, "new")])
    assert first.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


def test_an_output_is_no_input_no_folder_no_link_no_device_and_stands_once(tmp_path: Path) -> None:
    survey, link = tmp_path / "s.yaml", tmp_path / "link"
    survey.write_text("")
    link.symlink_to(survey)
    for outputs, says in (
        ([survey], "is read in this run"),
        ([tmp_path / "sub" / ".." / "s.yaml"], "is read in this run"),
        ([tmp_path], "a folder"),
        ([Path()], "a folder"),
        ([link], "a link"),
        ([Path(os.devnull)], "no plain file"),
        ([tmp_path / "a", tmp_path / "a"], "into this one file"),
    ):
        with pytest.raises(InputFault, match=says):
            refuse_outputs(outputs, [survey])
    refuse_outputs([tmp_path / "a", tmp_path / "b"], [survey])


def test_what_is_kept_is_taken_only_where_every_byte_is_as_it_was_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    source = tmp_path / "table.yaml"
    keep_made(source, "json", b"[1, 2]", b"source")
    assert read_made(source, "json", b"source") == b"[1, 2]"
    assert read_made(source, "json", b"another source") is None
    (path,) = (tmp_path / "__pycache__").iterdir()
    whole = path.read_bytes()
    for place in range(len(whole)):
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        assert read_made(source, "json", b"source") is None
    for length in range(len(whole)):
        path.write_bytes(whole[:length])
        assert read_made(source, "json", b"source") is None


def test_nothing_is_kept_where_python_keeps_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.dont_write_bytecode", True)
    keep_made(tmp_path / "table.yaml", "json", b"[]", b"source")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written_is_no_matter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    (tmp_path / "__pycache__").write_text("a file stands in the way")
    keep_made(tmp_path / "table.yaml", "json", b"[]", b"source")
    assert read_made(tmp_path / "table.yaml", "json", b"source") is None
