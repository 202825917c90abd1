"""Over surveys altered at random: nothing but the record its rule asks for takes away a hold that protects people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from odd_surveys import altered, job_of_seed
from strategies import records

from listel.core.contract.findings import WEIGHTS
from listel.core.host.engine import examine
from listel.core.host.outcome import Outcome
from listel.core.host.records import Judge, judge_of
from listel.core.host.registry import Registry, load
from listel.core.house.rules import house_plugins
from listel.core.survey.job import Departure, Job, Record
from listel.core.survey.messages import SurveyFaults

LAW = settings(
    max_examples=4, derandomize=True, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck)
)


@cache
def registry() -> Registry:
    return load(entry_points=False)


@cache
def job_of(seed: int) -> Job:
    """A small survey altered at random, without records and departures, with a day for the survey and for the work."""
    demo = ("plain-room.yaml", "us-house.yaml")[seed % 5 == 0]
    job = job_of_seed(seed, lambda random: altered(random, demo))
    work = replace(job.work, start="2026-04-20")
    return replace(job, surveyed="2026-03-09", work=work, records=(), departures=())


@cache
def bare(seed: int) -> Outcome:
    return examine(job_of(seed), registry())


def recorded(seed: int, said: Sequence[Record]) -> Outcome:
    return examine(replace(job_of(seed), records=tuple(said)), registry())


def kept(outcome: Outcome) -> set[tuple[str, ...]]:
    """The rule and place of each hold that protects people."""
    return {(f.rule, f.where.room, f.where.wall, f.where.trim) for f in outcome.holds if f.protects}


def judge(seed: int) -> Judge:
    return judge_of(job_of(seed), registry().plugins)


seeds = st.integers(0, 200)
any_records = st.lists(records(st.just("")), max_size=4)
sets = st.sampled_from(
    [
        {"length": 300},
        {"length": 15},
        {"kind": "cut-nail"},
        {"most_spacing": 2000},
        {"kind": "screw", "length": 20, "diameter": 2},
    ]
)


@given(seeds, any_records, st.data())
@LAW
def test_free_text_lifts_nothing_and_a_thing_found_shortens_no_list(
    seed: int, said: list[Record], data: st.DataObject
) -> None:
    idle = [replace(record, competence="") for record in said if record.outcome not in ("found", "refused")]
    assert kept(recorded(seed, idle)) >= kept(bare(seed))
    lifts = [rule.lifted_by for rule in judge(seed).rules.values() if rule.lifted_by]
    lifts = [lift for lift in lifts if set(lift.outcomes) != {"done"}]  # what is only done finds nothing
    lift = data.draw(st.sampled_from(lifts))
    outcome = "refused" if "granted" in lift.outcomes else "found"
    found = Record(step=lift.step, outcome=outcome, by="X", on=data.draw(st.sampled_from(["", "2026-03-14"])))
    with_it = kept(recorded(seed, [*said, found]))
    assert with_it >= kept(recorded(seed, said))
    if any(rule.lifted_by is lift and lift.alone and rule.weights[0] == "hold" for rule in judge(seed).rules.values()):
        assert with_it


def right_records(seed: int) -> tuple[list[Record], set[str]]:
    """A record of each step as its rules ask for it in the region, and the rules that have one."""
    judging, said, named = judge(seed), [], set()
    for rule in judging.rules.values():
        lift = rule.lifted_by
        ways = [] if lift is None else [(o, who) for o, names in lift.outcomes.items() for who in names]
        for outcome, who in ways:
            if lift is not None and who in judging.asked.known:
                of = {"outcome": outcome, "competence": who, "on": "2026-03-12", "reference": "report 7"}
                kinds = judging.asked.kinds(who)
                of["kind"] = kinds[0] if kinds else ""
                said += [Record(step=lift.step, by="X", room=room.name, **of) for room in judging.job.rooms]
                works = tuple(judging.job.works)
                said += [Record(step=lift.step, by="X", covers_works=works, **of)] * lift.whole_job
                named.add(rule.name)
                break
    return said, named


@given(seeds)
@LAW
def test_every_step_recorded_as_it_is_asked_leaves_none_of_those_holds(seed: int) -> None:
    said, named = right_records(seed)
    assert not [hold for hold in kept(recorded(seed, said)) if hold[0] in named]


@given(seeds)
@LAW
def test_what_is_told_as_done_under_a_hold_is_a_hold_itself(seed: int) -> None:
    done = Record(step="fix", outcome="done", by="X", on="2026-04-22")
    steps = {"safety/asbestos", "safety/consent", "safety/fixing-in-zone"}
    if {rule for rule, *_ in kept(bare(seed))} & steps and job_of(seed).trim:
        assert "sequence/done-under-hold" in {hold[0] for hold in kept(recorded(seed, [done]))}


@given(seeds)
@LAW
def test_no_departure_settles_what_protects_people(seed: int) -> None:
    rules = sorted({rule for rule, *_ in kept(bare(seed))} & judge(seed).rules.keys())
    departures = tuple(Departure(rule, "we want to", "the client") for rule in rules if not rule.startswith("engine/"))
    if departures:
        with pytest.raises(SurveyFaults) as told:
            examine(replace(job_of(seed), departures=departures), registry())
        assert len(told.value.faults) == len(departures)


@given(seeds, st.lists(sets, min_size=1, max_size=2), st.lists(st.sampled_from(WEIGHTS), min_size=1), any_records)
@LAW
def test_no_house_file_and_no_order_of_plugins_takes_a_hold_away(
    tmp_path_factory: pytest.TempPathFactory,
    seed: int,
    wanted: list[dict[str, object]],
    weights: list[str],
    said: list[Record],
) -> None:
    folder = tmp_path_factory.mktemp("firms")
    rules = sorted({f.rule for f in bare(seed).findings if f.protects and f.rule in judge(seed).rules})
    weighed = [{"rule": rule, "weight": weight} for rule, weight in zip(rules, weights, strict=False)]
    paths = [firm(folder, f"firm-{at}", each, weighed) for at, each in enumerate(wanted)]
    try:
        house_plugins(paths, registry())
    except SurveyFaults as told:
        assert all("no firm makes it lighter" in fault.says for fault in told.faults)
        paths = [firm(folder, f"firm-{at}", each, []) for at, each in enumerate(wanted)]
    job = replace(job_of(seed), records=tuple(said))
    before = kept(examine(job, registry()))
    made = examine(job, registry(), house_plugins(paths, registry()))
    amended = [f.says for f in made.holds if f.rule == "engine/protection-amended"]
    for rule, *place in before - kept(made):
        assert any(f"{rule} is told here" in says for says in amended), (rule, place)
    turned = Registry(registry().plugins[::-1])
    other = examine(job, turned, house_plugins(paths, registry())[::-1])
    assert sorted(map(repr, other.holds)) == sorted(map(repr, made.holds))
    assert set(other.amendments) == set(made.amendments)


def firm(folder: Path, name: str, wanted: dict[str, object], weights: list[dict[str, str]]) -> Path:
    """A house file that sets something in every fixing, and makes light of what it may."""
    path = folder / f"{name}.yaml"
    rules = [{"name": name, "about": "fixing", "set": wanted}]
    path.write_text(json.dumps({"listel-house": 1, "firm": name, "rules": rules, "weights": weights}), "utf-8")
    return path
