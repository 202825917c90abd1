"""What changed between two outcomes is told by room and in words."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import ClassVar

import pytest

from listel.core.contract.findings import Finding, Where
from listel.core.contract.lines import told
from listel.core.contract.stage import Stage
from listel.core.host.engine import examine
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry
from listel.core.survey.job import Departure, Job
from listel.reports.acted_on import Acts, acts, dated
from listel.reports.compare import alike, compared, in_words
from listel.reports.compare_command import OutcomeFault, read_outcome

HALL = Where("Hall", "A", "dado")


@dataclass(frozen=True)
class Line:
    LINE: ClassVar[str] = "fixing"
    room: str
    wall: str
    spacing: float = told("how far apart", "mm")


@dataclass(frozen=True)
class Schedule:
    lines: tuple[Line, ...] = ()


def outcome(findings, lines=(), version="1.0", **job):
    stage = Stage("fix", lambda job, sheet: [*findings, Schedule(tuple(lines))], gives=(Schedule,))
    plugin = Plugin("fix", version, "test", stages=(stage,), outside=False)
    return examine(Job(**{"title": "x", "digest": "d", **job}), Registry((plugin,))).to_json()


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
        ("Hall, A", "spacing", "400 mm", "350 mm"),
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


@pytest.mark.parametrize(
    "results",
    [
        {"Sequence": {"days": 1, "steps": [True]}},
        {"SettingOut": {"pieces": [], "marks": [{"room": "Hall"}]}},
        {"Estimate": {"currency": "GBP", "total": "1", "shopping": [], "items": []}},
    ],
)
def test_what_a_comparison_reads_is_judged_when_it_is_read(tmp_path, results):
    path = tmp_path / "old.json"
    path.write_text(json.dumps({**outcome([NEAR]), "results": results}), encoding="utf-8")
    with pytest.raises(OutcomeFault, match=rf"at results > {next(iter(results))} > "):
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


def test_a_value_that_changed_is_told_with_its_unit():
    old, new = outcome([], [Line("Hall", "A", 400.0)]), outcome([], [Line("Hall", "A", 350.0)], digest="e")
    (line,) = compared(old, new).lines
    assert (line.key, line.was, line.now) == ("spacing", "400 mm", "350 mm")


def test_words_tell_what_stops_first_then_what_is_done_then_the_rest_and_leave_out_the_file():
    kept = Finding("fix/kept", "record", "For the file.", HALL)
    told = compared(outcome([NEAR]), outcome([FAR, kept], digest="e"))
    told = replace(told, acts=(Acts(room="Parlour", lines=("Cut pieces 2 and 3 anew.",)),))
    assert [(each.room, each.lines) for each in in_words(told)] == [
        ("Parlour", (("Do", "Cut pieces 2 and 3 anew."), ("Take care", "Too far apart."))),
        ("Hall", (("Stops it no longer", "Too near the end."),)),
    ]


def results(dado=-94.0, screw=90.0, overall=1200.0, boards=2, days=10.0):
    """An outcome's JSON, cut down to what anyone acts on."""
    marks = [
        {"room": "Hall", "trim": "dado", "edge": "top", "wall": wall, "station": at, "from_datum": dado}
        for wall, at in (("A", 0.0), ("A", 900.0), ("B", 0.0))
    ]
    end = {"kind": "square", "saw_reading": 0.0}
    pieces = [
        {
            "room": "Hall",
            "label": f"D-{n}",
            "trim": "dado",
            "wall": "A",
            "overall": long,
            "left": end,
            "right": end,
            "order": n,
        }
        for n, long in ((1, 800.0), (2, overall))
    ]
    fixing = {
        "room": "Hall", "trim": "dado", "wall": "A", "kind": "screw", "gauge": "No. 8", "length": screw,
        "points": [{"station": 100.0, "height": 1000 + dado - 30}],
    }  # fmt: skip
    bought = [{"what": "dado", "pack": "board of 3000 mm", "count": boards}]
    return {
        "survey": {"units": "mm", "revision": "A", "surveyed": "2026-03-09"},
        "results": {
            "Site": {"rooms": {"Hall": {}}},
            "SettingOut": {"marks": marks, "pieces": pieces},
            "FixingSchedule": {"lines": [fixing]},
            "Estimate": {"shopping": bought},
            "Sequence": {"steps": [], "days": days},
        },
    }


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({}, []),
        (
            {"dado": -72.0},
            [
                "Mark the dado 22 mm higher: its top 72 mm below the level line, "
                "where it was 94 mm below the level line.",
                "Drill at another height, at the same places along the wall: dado on wall A.",
            ],
        ),
        ({"dado": -94.4}, []),
        ({"screw": 80.0}, ["Other screws or nails: dado on wall A."]),
        ({"overall": 1201.0}, ["Cut to another length or end: piece 2 (D-2) 1201 mm, before 1200 mm."]),
        ({"overall": 1200.4}, []),
        ({"boards": 3}, ["Buy another number: dado, board of 3000 mm: 3, where it was 2."]),
        ({"days": 12.0}, ["The work takes about 12 days, was 10."]),
    ],
)
def test_what_anyone_acts_on(changed, says):
    told = [line for each in acts(results(), results(**changed)) for line in each.lines]
    assert told == says


def test_house_rules_that_came_are_named_by_firm_and_file():
    old, new = outcome([]), outcome([])
    house = {"plugin": "oak-ash", "version": "12ab", "origin": "house rules of Oak & Ash, rules.yaml"}
    new = {**new, "digest": "0" * 64, "plugins": [*new["plugins"], house]}
    assert compared(old, new).causes == ("the house rules of Oak & Ash, rules.yaml are at work now, version 12ab",)
    assert compared(new, old).causes == ("the house rules of Oak & Ash, rules.yaml are no longer at work",)


@pytest.mark.parametrize(
    ("days", "told"),
    [
        ([], "revision A, surveyed 9 March 2026, outcome 116a293039e9"),
        (["2027-01-25", ""], "revision A, surveyed 9 March 2026, measured again 25 January 2027, outcome 116a293039e9"),
    ],
)
def test_a_revision_is_called_by_the_day_it_was_last_measured_again(days, told):
    """Invented."""
    survey = {"revision": "A", "surveyed": "2026-03-09"}
    results = {"Progress": {"measured": [{"on": day} for day in days]}}
    assert dated({"survey": survey, "digest": "116a293039e9ff", "results": results}) == told
