"""``listel desk`` begins, or says why it cannot."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from listel.core.commands.cli import main
from listel.core.survey.faults import InputFault
from listel.reports.desk import command


def test_a_new_survey_is_begun_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    survey = tmp_path / "new.yaml"
    assert command._survey(survey, new=True) == survey
    assert "listel: 1" in survey.read_text("utf-8")
    assert main(["desk", str(survey), "--new", "--no-open"]) == 2
    assert "stays as it is" in capsys.readouterr().err


def test_a_survey_that_is_not_there_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["desk", str(tmp_path / "none.yaml"), "--no-open"]) == 2
    assert "--new begins one" in capsys.readouterr().err


def test_a_port_that_is_taken_is_told_and_another_taken_where_none_was_named() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(InputFault, match=f"--port {port}"):
            command._listening("127.0.0.1", port)
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(command, "PORT", port)
            with command._listening("127.0.0.1", None) as other:
                assert other.getsockname()[1] not in (0, port)
    with pytest.raises(InputFault):
        command._listening("127.0.0.1", 70_000)


def test_what_is_not_installed_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(command, "_NEEDS", ("no_such_module",))
    assert main(["desk", str(tmp_path / "x.yaml"), "--new"]) == 2
    assert "pip install 'listel[desk]'" in capsys.readouterr().err
    assert not (tmp_path / "x.yaml").exists()


def test_only_this_machine_hears_it_unless_told() -> None:
    with command._listening("127.0.0.1", 0) as home:
        assert home.getsockname()[0] == "127.0.0.1"


def test_a_survey_behind_a_link_is_changed_where_it_lies(tmp_path: Path, examples: Path) -> None:
    """The link stays a link."""
    there = tmp_path / "there"
    there.mkdir()
    (there / "s.yaml").write_bytes((examples / "plain-room.yaml").read_bytes())
    (tmp_path / "link.yaml").symlink_to(there / "s.yaml")
    assert command._survey(tmp_path / "link.yaml", new=False) == (there / "s.yaml").resolve()
