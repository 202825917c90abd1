"""The engine takes a stage whole or not at all, and says what failed."""

from __future__ import annotations

import random
import time
from dataclasses import dataclass

import pytest

from listel.core.contract.findings import Finding, Where
from listel.core.contract.stage import Stage
from listel.core.host.engine import examine, outcome_json
from listel.core.host.order import OrderFault, in_order
from listel.core.host.registry import Plugin, Registry
from listel.core.survey.job import Departure, Job


@dataclass(frozen=True)
class Heights:
    top: float = 900.0


@dataclass(frozen=True)
class Fixings:
    count: int = 2


@dataclass(frozen=True)
class Paints:
    coats: int = 3


JOB = Job(title="A room")


def gives(kind, finding=None):
    def examine_it(job, sheet):
        if finding:
            yield finding
        yield kind()

    return examine_it


def registry(*stages, outside=True):
    return Registry(tuple(Plugin(s.name, "1.0", "test", stages=(s,), outside=outside) for s in stages))


def rules(outcome):
    return [finding.rule for finding in outcome.findings]


GIVER = Stage("giver", gives(Heights, Finding("giver/rail-low", "advice", "The rail is low.")), gives=(Heights,))
NEEDER = Stage("needer", gives(Fixings), needs=(Heights,), gives=(Fixings,))
AMENDER = Stage("amender", lambda job, sheet: [Heights(sheet[Heights].top + 10)], amends=(Heights,))
SECOND_AMENDER = Stage("amender-two", lambda job, sheet: [Heights(sheet[Heights].top * 2)], amends=(Heights,))
WANTER = Stage("wanter", gives(Paints), wants=(Heights, Fixings), gives=(Paints,))
STAGES = [GIVER, NEEDER, AMENDER, SECOND_AMENDER, WANTER]


def test_order_is_giver_then_amenders_by_name_then_needers_whatever_the_registration():
    expected = ["giver", "amender", "amender-two", "needer", "wanter"]
    for seed in range(200):
        shuffled = list(STAGES)
        random.Random(seed).shuffle(shuffled)
        assert [stage.name for stage in in_order(shuffled)] == expected


def test_amenders_replace_the_result_one_after_another():
    outcome = examine(JOB, registry(*STAGES))
    assert outcome.sheet[Heights].top == (900 + 10) * 2
    assert [entry.stage for entry in outcome.ran] == ["giver", "amender", "amender-two", "needer", "wanter"]
    assert outcome.fit_for_issue


def test_two_givers_are_named():
    twin = Stage("twin", gives(Heights), gives=(Heights,))
    with pytest.raises(OrderFault, match="Heights is given by both giver and twin"):
        in_order([GIVER, twin])


def test_a_need_nobody_gives_is_named():
    with pytest.raises(OrderFault, match="needer needs Heights, which no installed plugin gives"):
        in_order([NEEDER])


def test_a_cycle_is_told_link_by_link():
    a = Stage("a", gives(Heights), needs=(Fixings,), gives=(Heights,))
    b = Stage("b", gives(Fixings), needs=(Heights,), gives=(Fixings,))
    with pytest.raises(OrderFault, match="a needs Fixings from b") as caught:
        in_order([a, b])
    assert "b needs Heights from a" in str(caught.value)


def test_two_stages_of_one_name_are_refused():
    with pytest.raises(OrderFault, match="two stages are named giver"):
        in_order([GIVER, GIVER])


def test_what_is_only_wanted_may_be_missing():
    outcome = examine(JOB, registry(WANTER))
    assert outcome.sheet[Paints] == Paints()
    assert outcome.fit_for_issue


def raises(job, sheet):
    yield Finding("bad/before", "advice", "Said before it failed.")
    raise RuntimeError("no such board")


def exits(job, sheet):
    raise SystemExit(3)


def recurses(job, sheet):
    return recurses(job, sheet)


def sleeps(job, sheet):
    time.sleep(30)
    yield Heights()


def floods(job, sheet):
    while True:
        yield Finding("bad/flood", "advice", "Again.")


JUNK = {
    "raises": raises,
    "exits": exits,
    "recurses": recurses,
    "sleeps": sleeps,
    "floods": floods,
    "nothing": lambda job, sheet: [],
    "none": lambda job, sheet: None,
    "undeclared": lambda job, sheet: [Heights(), Paints()],
    "twice": lambda job, sheet: [Heights(), Heights()],
    "text": lambda job, sheet: "junk",
    "weight": lambda job, sheet: [Heights(), Finding("bad/weight", "fatal", "Odd.")],
    "rule": lambda job, sheet: [Heights(), Finding("X123", "hold", "Odd.")],
    "silent": lambda job, sheet: [Heights(), Finding("bad/silent", "hold", "  ")],
}


@pytest.mark.parametrize("how", JUNK)
def test_a_stage_that_fails_becomes_one_hold_and_the_rest_still_runs(how, monkeypatch):
    monkeypatch.setattr("listel.core.host.engine.STAGE_SECONDS", 0.3)
    bad = Stage("bad", JUNK[how], gives=(Heights,))
    outcome = examine(JOB, registry(bad, NEEDER, WANTER))
    assert rules(outcome) == ["engine/stage-failed", "engine/stage-skipped"]
    assert "bad 1.0" in outcome.findings[0].says
    assert Heights not in outcome.sheet
    assert outcome.sheet[Paints] == Paints()
    assert not outcome.fit_for_issue


def test_a_departure_settles_a_hold_but_never_one_that_protects_people():
    hold = Finding("giver/rail-meets-switch", "hold", "The rail meets a switch.", Where("Hall", "A"))
    live = Finding("giver/may-be-live", "hold", "A cable may run here.", Where("Hall", "A"), protects=True)
    stage = Stage("giver", lambda job, sheet: [hold, live, Heights()], gives=(Heights,))
    job = Job(
        title="A room",
        departures=(
            Departure("giver/rail-meets-switch", "the switch will go", "the client", room="Hall"),
            Departure("giver/may-be-live", "in a hurry", "nobody"),
            Departure("giver/other", "no matter", "nobody"),
        ),
    )
    outcome = examine(job, registry(stage))
    assert [finding.rule for finding in outcome.holds] == ["giver/may-be-live"]
    assert outcome.findings[0].settled.reason == "the switch will go"
    assert "engine/departure-refused" in rules(outcome)
    assert "engine/departure-unused" in rules(outcome)


def test_a_departure_for_another_room_does_not_settle():
    hold = Finding("giver/rail-meets-switch", "hold", "The rail meets a switch.", Where("Hall", "A"))
    stage = Stage("giver", lambda job, sheet: [hold, Heights()], gives=(Heights,))
    job = Job(title="A room", departures=(Departure("giver/rail-meets-switch", "why not", "client", room="Parlour"),))
    assert not examine(job, registry(stage)).fit_for_issue


def test_the_digest_tells_versions_and_tables_apart():
    one = examine(JOB, registry(GIVER)).digest
    other = examine(JOB, Registry((Plugin("giver", "1.1", "test", stages=(GIVER,)),))).digest
    tables = examine(JOB, Registry((Plugin("giver", "1.0", "test", stages=(GIVER,), tables_digest="x"),))).digest
    assert len({one, other, tables}) == 3
    assert one == examine(JOB, registry(GIVER)).digest


def test_outcome_json_names_results_by_type():
    told = outcome_json(examine(JOB, registry(*STAGES)))
    assert told["results"]["Heights"] == {"top": 1820.0}
    assert told["findings"][0]["rule"] == "giver/rail-low"
    assert told["fit_for_issue"] is True
