"""What a house file adds without code: hazards, make-ups, heights, fields of the survey, options."""

from __future__ import annotations

from graphlib import TopologicalSorter
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

import listel
from listel.core.host.added import own_tables
from listel.plugins.heights import RailHeights
from listel.plugins.safety import SafetyNotes

HOUSE: dict[str, Any] = {
    "listel-house": 1,
    "firm": "Marl & Ashby",
    "invented": True,
    "hazards": [
        {
            "name": "soot",
            "title": "Soot in the flue wall",
            "because": "A flue runs there.",
            "controls": ["sheet the hearth"],
            "signs": ["M017"],
            "applies": {"properties": {"use": {"const": "reception"}}},
        }
    ],
    "heights": [{"name": "low", "member": "dado-rail", "share": "3/8", "says": "three eighths in our rooms"}],
    "survey-fields": {"wall": {"skim": {"type": ["number", "string"], "format": "length", "description": "our skim"}}},
    "make-ups": [{"name": "marl-block", **own_tables()["makeups"].row("brick").values}],
}
SURVEY = """\
listel: 1
job: {title: T}
rooms:
  - name: Hall
    use: reception
    height: 2400
    walls: [{name: A, length: 3000, substrate: {kind: marl-block}, own: {marl-ashby: {skim: 4 mm}}}]
trim: [{name: dado, member: dado-rail, where: [{room: Hall}]}]
"""


def written(folder: Path, house: dict[str, Any]) -> Path:
    path = folder / "house.yaml"
    with path.open("w", encoding="utf-8") as file:
        YAML(typ="safe").dump(house, file)
    return path


def test_what_a_file_adds_is_at_work_everywhere(tmp_path: Path) -> None:
    firm = listel.Firm(house=[written(tmp_path, HOUSE)], installed=False)
    job = listel.read(SURVEY, firm)
    outcome = listel.examine(job, firm)
    assert not [finding.says for finding in outcome.findings if finding.rule.startswith("engine/")]
    assert job.rooms[0].walls[0].own == {"marl-ashby": {"skim": 4.0}}
    assert outcome.sheet[RailHeights].lines[0].top == pytest.approx(900)
    assert "Soot in the flue wall" in {hazard.name for hazard in outcome.sheet[SafetyNotes].hazards}
    html = listel.render(outcome)
    for words in ("Soot in the flue wall", "the hearth", "three eighths in our rooms"):
        assert words in html
    elsewhere = listel.examine(listel.read(SURVEY.replace("reception", "bedroom"), firm), firm)
    assert "Soot in the flue wall" not in {hazard.name for hazard in elsewhere.sheet[SafetyNotes].hazards}


def test_each_slip_is_told_at_its_place(tmp_path: Path) -> None:
    lame = {key: value for key, value in HOUSE["make-ups"][0].items() if key != "bearer"}
    house = HOUSE | {"make-ups": [lame], "hazards": [HOUSE["hazards"][0] | {"signs": ["M999"], "name": "lead"}]}
    with pytest.raises(listel.Faults) as faults:
        listel.Firm(house=[written(tmp_path, house)], installed=False)
    told = "\n".join(str(fault) for fault in faults.value.faults)
    assert len(faults.value.faults) == 3 and all(fault.line for fault in faults.value.faults)
    assert "lead is one of listel's own, or of a plugin's; choose another name" in told
    assert "there is no sign M999" in told and "it lacks what every row there has: bearer (" in told


def test_what_could_do_nothing_or_stand_nowhere_is_told_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "ours.html.j2").write_text("<p>fine</p>\n{{ jub.title }}", encoding="utf-8")
    (tmp_path / "other").mkdir()
    bare = {"member": "dado-rail", "says": "x"}
    house = HOUSE | {
        "options": {"heights": {"most": 3}, "hieghts": {}},
        "sections": [{"name": "ours", "title": "Ours", "place": 700, "template": "ours.html.j2"}],
        "heights": [{"name": "none", **bare}, {"name": "both", **bare, "top": 900, "share": "3/8"}],
    }
    files = [written(tmp_path, house), written(tmp_path / "other", HOUSE | {"heights": HOUSE["heights"]})]
    with pytest.raises(listel.Faults) as faults:
        listel.Firm(house=files, installed=False)
    told = "\n".join(str(fault) for fault in faults.value.faults)
    for words in (
        "heights asks a house file for no options",
        "there is no plugin hieghts. Did you mean heights?",
        "ours.html.j2, line 2: there is no jub here",
        "heights > none: top or share is missing",
        "heights > both: top and share stand here; keep one",
        "the fact of marl-ashby on the wall, skim, stands in",
        "the hazard soot stands in",
    ):
        assert words in told, words


def test_steps_that_would_wait_for_each_other_are_told_and_ours_never_do(tmp_path: Path) -> None:
    order: TopologicalSorter[str] = TopologicalSorter()
    for step in listel.Firm(installed=False).registry.steps():
        order.add(step.name, *step.needs)
        for then in step.before:
            order.add(then, step.name)
    order.prepare()
    step = {"name": "oil-ends", "title": "Prime the ends", "because": "bare ends drink"}
    for ties, told in (
        ({"after": ["fix"], "before": ["cut"]}, "oil-ends, then cut"),
        ({"after": ["oil-ends"]}, "oil-ends, then oil-ends"),
    ):
        with pytest.raises(listel.Faults, match=told) as faults:
            listel.Firm(house=[written(tmp_path, HOUSE | {"steps": [step | ties]})], installed=False)
        assert "would wait for each other" in str(faults.value) and faults.value.faults[0].line
    listel.Firm(house=[written(tmp_path, HOUSE | {"steps": [step | {"after": ["cut"], "before": ["fix"]}]})])


def test_a_share_may_be_of_the_wall_below_the_cornice(tmp_path: Path) -> None:
    ours = HOUSE | {"heights": [HOUSE["heights"][0] | {"of": "wall"}]}
    firm = listel.Firm(house=[written(tmp_path, ours)], installed=False)
    for cornice, top, worked in (
        ("", 900, "2400 mm x 0.375 = 900 mm"),
        (", cornice: 160", 840, "(2400 mm - 160 mm) x 0.375"),
    ):
        job = listel.read(
            SURVEY.replace(
                "use: reception", f"use: reception\n    cornice: {cornice[-3:]}" if cornice else "use: reception"
            ),
            firm,
        )
        rail = listel.examine(job, firm).sheet[RailHeights].lines[0]
        assert rail.top == pytest.approx(top) and worked in rail.grounds.worked
        assert "depth of the cornice" in [each.name for each in rail.grounds.inputs]
