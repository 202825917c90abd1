"""What a command is at is shown on a terminal while it takes long, and nowhere else."""

import io
import sys
from pathlib import Path

import pytest

from listel.core.commands import waiting
from listel.core.commands.cli import main


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    "words", [["statement", "--out", "OUT"], ["audit", "--plan", "stair-hall-plan.md"], ["survey"]]
)
def test_a_command_that_takes_long_tells_what_it_is_at(
    words: list[str],
    examples: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    given = {"stair-hall-plan.md": str(examples / "stair-hall-plan.md"), "OUT": str(tmp_path / "statement.html")}
    called = [words[0], str(examples / "stair-hall.yaml"), *(given.get(word, word) for word in words[1:])]
    main(called)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(waiting, "QUIET", 0.0)
    monkeypatch.setattr(waiting, "EACH", 0.001)
    monkeypatch.setattr(sys, "stderr", Terminal())
    main(called)
    shown = sys.stderr.getvalue()
    assert f"{waiting.CLEAR}{words[0]}, " in shown and shown.endswith(waiting.CLEAR)
    assert words[0] == "survey" or f"{words[0]}, fixings" in shown


def test_what_is_soon_done_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", Terminal())
    with waiting.waiting("statement"):
        pass
    assert sys.stderr.getvalue() == ""
