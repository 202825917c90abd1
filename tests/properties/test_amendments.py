"""Laws of amending: nothing a firm writes makes a hold that protects people disappear, and no order decides."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.findings import WEIGHTS
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.registry import Registry, load
from listel.core.house.rules import house_plugins
from listel.core.survey.job import Job
from listel.core.survey.reading import job_from_text
from listel.plugins.fixings import FixingSchedule

EXAMPLES = Path(__file__).parents[2] / "schemas" / "examples"
KINDS = ("screw", "plug-and-screw", "cut-nail", "lost-head-nail")


@cache
def registry() -> Registry:
    return load(entry_points=False)


@cache
def job(name: str) -> Job:
    path = EXAMPLES / f"{name}.yaml"
    return job_from_text(path.read_text("utf-8"), str(path))


@cache
def bare(name: str) -> Outcome:
    return examine(job(name), registry())


def kept(outcome: Outcome) -> set[tuple[str, ...]]:
    """The rule and place of each hold that protects people."""
    return {(f.rule, f.where.room, f.where.wall, f.where.trim) for f in outcome.holds if f.protects}


sets = st.fixed_dictionaries(
    {},
    optional={
        "kind": st.sampled_from(KINDS),
        "length": st.sampled_from([15, 25, 40, 75, 150, 300]),
        "diameter": st.sampled_from([1.5, 4, 6]),
        "most_spacing": st.sampled_from([60, 250, 400, 900, 2000]),
    },
).filter(bool)
applies = st.sampled_from(
    [True, {"properties": {"upright": {"const": False}}}, {"properties": {"wall": {"const": "B"}}}]
)


@st.composite
def houses(draw: st.DrawFn, name: str) -> dict[str, Any]:
    """A house file that sets what it can and makes light of all that holds the job."""
    rules = [
        {"name": f"rule-{number}", "about": "fixing", "applies": draw(applies), "set": draw(sets)}
        for number in range(draw(st.integers(1, 3)))
    ]
    held = sorted({finding.rule for finding in bare(name).findings if finding.protects})
    lighter = draw(st.lists(st.sampled_from(held), unique=True, max_size=4)) if held else []
    declared = {rule.name: rule.weights for rule in registry().rules()}
    weights = [{"rule": rule, "weight": draw(st.sampled_from(declared.get(rule, WEIGHTS)))} for rule in lighter]
    return {"listel-house": 1, "firm": "Oak & Ash", "rules": rules, "weights": weights}


def run(name: str, folder: Path, *files: dict[str, Any]) -> Outcome:
    paths = []
    for number, data in enumerate(files):
        paths.append(folder / f"firm-{number}.yaml")
        paths[-1].write_text(json.dumps(data), "utf-8")
    return examine(job(name), registry(), house_plugins(paths, registry()))


@pytest.mark.parametrize("name", ["stair-hall", "us-house"])
@given(data=st.data())
@settings(max_examples=4)
def test_no_house_file_makes_what_protects_people_disappear_and_no_order_decides(
    tmp_path: Path, name: str, data: st.DataObject
) -> None:
    house = data.draw(houses(name))
    outcome = run(name, tmp_path, house)
    told = {f.rule for f in outcome.findings}
    assert not told & {"engine/stage-failed", "engine/stage-skipped"}
    amended = [f.says for f in outcome.holds if f.rule == "engine/protection-amended"]
    for rule, *place in kept(bare(name)) - kept(outcome):
        assert any(f"{rule} is told here" in says for says in amended), (rule, place)
    turned = run(name, tmp_path, house | {"rules": house["rules"][::-1]})
    assert turned.findings == outcome.findings
    assert turned.sheet[FixingSchedule] == outcome.sheet[FixingSchedule]
    assert set(turned.amendments) == set(outcome.amendments)
    split = [house | {"rules": [rule], "weights": []} for rule in house["rules"]]
    apart = run(name, tmp_path, *split)
    assert apart.sheet[FixingSchedule] == outcome.sheet[FixingSchedule]
    assert run(name, tmp_path, *split[::-1]).findings == apart.findings
