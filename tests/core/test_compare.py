"""What changed between two outcomes is told by room and in words."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import ClassVar

import pytest

from listel.core.contract.findings import Finding, Where
from listel.core.contract.stage import Stage
from listel.core.host.engine import examine, outcome_json
from listel.core.host.registry import Plugin, Registry
from listel.core.survey.job import Departure, Job
from listel.reports.compare import alike, by_line, compared
from listel.reports.compare_command import OutcomeFault, read_outcome

HALL = Where("Hall", "A", "dado")


@dataclass(frozen=True)
class Line:
    LINE: ClassVar[str] = "fixing"
    room: str
    wall: str
    spacing: float


@dataclass(frozen=True)
class Schedule:
    lines: tuple[Line, ...] = ()


def outcome(findings, lines=(), version="1.0", **job):
    stage = Stage("fix", lambda job, sheet: [*findings, Schedule(tuple(lines))], gives=(Schedule,))
    plugin = Plugin("fix", version, "test", stages=(stage,))
    return outcome_json(examine(Job(**{"title": "x", "digest": "d", **job}), Registry((plugin,))))


NEAR = Finding("fix/too-near", "hold", "Too near the end.", HALL)
FAR = Finding("fix/too-far", "caution", "Too far apart.", Where("Parlour", "B"))


def test_the_same_outcome_has_no_change():
    told = compared(outcome([NEAR], [Line("Hall", "A", 400.0)]), outcome([NEAR], [Line("Hall", "A", 400.0)]))
    assert told.same_run
    assert (told.added, told.settled, told.changed, told.lines) == ((), (), (), ())


def test_added_settled_and_changed_findings():
    told = compared(outcome([NEAR]), outcome([FAR], digest="e"))
    assert [(c.rule, c.room) for c in told.added] == [("fix/too-far", "Parlour")]
    assert [(c.rule, c.room) for c in told.settled] == [("fix/too-near", "Hall")]
    assert told.causes == ("the survey changed",)
    reworded = replace(NEAR, says="Much too near the end.")
    changed = compared(outcome([NEAR]), outcome([reworded], digest="e")).changed
    assert [(c.says, c.was) for c in changed] == [("Much too near the end.", "hold: Too near the end.")]


def test_a_finding_settled_by_a_departure_is_told_as_settled():
    departures = (Departure("fix/too-near", "the end is glued", "the client"),)
    told = compared(outcome([NEAR]), outcome([NEAR], departures=departures, digest="e"))
    assert [c.rule for c in told.settled] == ["fix/too-near"]
    assert told.added == ()


def test_lines_that_changed_came_or_went():
    old = outcome([], [Line("Hall", "A", 400.0), Line("Hall", "B", 400.0)])
    new = outcome([], [Line("Hall", "A", 350.0), Line("Hall", "C", 300.0)], digest="e")
    told = compared(old, new).lines
    assert [(c.line, c.key, c.was, c.now) for c in told] == [
        ("Hall, A", "spacing", "400", "350"),
        ("Hall, B", "", "was there", "is gone"),
        ("Hall, C", "", "was not there", "is new"),
    ]


def test_a_new_plugin_version_is_named_as_the_cause():
    assert compared(outcome([]), outcome([], version="2.0")).causes == ("the plugin fix 1.0 became 2.0",)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"findings": []}', "not json", "null"])
def test_a_file_that_is_no_outcome_is_refused_by_name(tmp_path, text):
    path = tmp_path / "old.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(OutcomeFault, match=r"old\.json: this is no outcome"):
        read_outcome(path)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(OutcomeFault, match="there is no outcome here"):
        read_outcome(tmp_path / "none.json")


def test_a_written_outcome_reads_back(tmp_path):
    path = tmp_path / "a.json"
    path.write_text(json.dumps(outcome([NEAR])), encoding="utf-8")
    assert read_outcome(path)["findings"][0]["rule"] == "fix/too-near"


def test_changes_of_one_rule_in_one_room_stand_together_and_lines_are_told_whole():
    found = [replace(NEAR, where=Where("Hall", wall)) for wall in "ABC"]
    told = compared(outcome([]), outcome([*found, FAR], digest="e"))
    rows = alike(told.added)
    assert [(row.first.where, row.also) for row in rows] == [
        ("Hall, wall A", ("Hall, wall B", "Hall, wall C")),
        ("Parlour, wall B", ()),
    ]
    units = {("Schedule", "spacing"): "mm"}
    old, new = outcome([], [Line("Hall", "A", 400.0)]), outcome([], [Line("Hall", "A", 350.0)], digest="e")
    assert by_line(compared(old, new, units).lines)[0][1] == "spacing was 400 mm, is 350 mm"


def test_house_rules_that_came_are_named_by_firm_and_file():
    old, new = outcome([]), outcome([])
    house = {"plugin": "oak-ash", "version": "12ab", "origin": "house rules of Oak & Ash, rules.yaml"}
    new = {**new, "digest": "0" * 64, "plugins": [*new["plugins"], house]}
    assert compared(old, new).causes == ("the house rules of Oak & Ash, rules.yaml are at work now, version 12ab",)
    assert compared(new, old).causes == ("the house rules of Oak & Ash, rules.yaml are no longer at work",)
