"""``listel statement`` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from listel.core.commands.cli import main

SURVEY = """
listel: 1
invented: true
job: {title: A small job, revision: A, surveyed: 2026-03-14}
building: {built: 1890, region: england, protection: none, occupied: empty}
rooms:
  - name: Hall
    height: 2700
    datum: 1000
    walls:
      - name: A
        length: 3200
        corner: {kind: internal, angle: 90.5}
        substrate: {kind: lime-on-lath, plaster: 18, studs: {centres: 350, first: 120}}
      - {name: B, length: 2800}
trim:
  - {name: hall dado, member: dado-rail, where: [{room: Hall}], section: {height: 63, projection: 28}}
"""


HALF = '{"findings": ["x"], "results": {}, "digest": "", "survey": {}, "ran": []}'


@pytest.fixture
def survey(tmp_path: Path) -> Path:
    path = tmp_path / "hall.yaml"
    path.write_text(SURVEY, "utf-8")
    return path


def test_writes_beside_the_survey_and_tells_what_it_did(survey: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["statement", str(survey)])
    told = capsys.readouterr().out
    written = survey.with_name("hall-statement.html")
    assert str(written) in told
    assert "rooms      1, with 2 walls" in told
    assert "hall dado (dado rail)" in told
    assert status == (1 if "not for issue" in told else 0)
    assert written.read_text("utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["--for", "client"], "hall-statement-client.html"),
        (["--for", "workshop"], "hall-statement-workshop.html"),
        ([], "hall-statement.html"),
    ],
)
def test_writes_into_a_folder(survey: Path, tmp_path: Path, words: list[str], name: str) -> None:
    main(["statement", str(survey), "--out", str(tmp_path / "made" / "here"), *words])
    assert [path.name for path in (tmp_path / "made" / "here").iterdir()] == [name]


def test_writes_the_very_file(survey: Path, tmp_path: Path) -> None:
    main(["statement", str(survey), "--out", str(tmp_path / "mine.html"), "--dated", "2026-05-01", "--revision", "C"])
    page = (tmp_path / "mine.html").read_text("utf-8")
    assert "1 May 2026" in page
    assert "revision C" in page


def test_no_record_is_of_a_day_after_that_of_the_statement(
    survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with survey.open("a", encoding="utf-8") as file:
        file.write("records: [{step: set-out, outcome: done, by: J, on: 2026-05-02}]\n")
    words = ["statement", str(survey), "--out", str(tmp_path / "mine.html"), "--dated"]
    assert main([*words, "2026-05-01"]) == 2
    assert "on: a record is none of a day after that of the statement, 2026-05-01" in capsys.readouterr().err
    assert main([*words, "2026-05-02"]) != 2


def test_json_writes_no_file_and_feeds_the_next_revision(survey: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["statement", str(survey), "--json"])
    printed = capsys.readouterr().out
    assert json.loads(printed)["survey"]["title"] == "A small job"
    assert [path.name for path in survey.parent.iterdir()] == ["hall.yaml"]
    before = survey.with_name("before.json")
    before.write_text(printed, "utf-8")
    survey.write_text(SURVEY.replace("lime-on-lath", "brick").replace("first: 120", "first: 200"), "utf-8")
    main(["statement", str(survey), "--since", str(before), "--revision", "B"])
    page = survey.with_name("hall-statement.html").read_text("utf-8")
    assert "since the survey changed" in page


@pytest.mark.parametrize("content", ["", "{", "[]", '{"a": 1}', HALF, "[" * 20000])
def test_since_that_is_no_outcome(survey: Path, capsys: pytest.CaptureFixture[str], content: str) -> None:
    bad = survey.with_name("bad.json")
    bad.write_text(content, "utf-8")
    assert main(["statement", str(survey), "--since", str(bad)]) == 2
    assert "bad.json" in capsys.readouterr().err


def test_place_that_cannot_be_written(survey: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocked = survey.with_name("blocked")
    blocked.write_text("a file, not a folder", "utf-8")
    assert main(["statement", str(survey), "--out", str(blocked)]) == 2
    assert "no folder to write into" in capsys.readouterr().err
