"""The engine takes a stage whole or not at all, and says what failed."""

from __future__ import annotations

import gc
import random
import re
import time
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import ClassVar

import pytest

from listel.core.contract.findings import Finding, Where
from listel.core.contract.lines import sets, told
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Stage, Step
from listel.core.host.engine import examine
from listel.core.host.order import OrderFault, in_order
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry
from listel.core.survey.job import Departure, Job


@dataclass(frozen=True)
class Rail:
    LINE: ClassVar[str] = "rail"
    room: str = told("the room", default="Hall")
    top: float = told("its top", "mm", 900.0, settable=True, least=100.0, most=2000.0)
    face: str = told("its face", default="plain", settable=True)
    under: float = told("its underside", "mm", 840.0)


@dataclass(frozen=True)
class Heights:
    rails: tuple[Rail, ...] = (Rail(), Rail("Parlour"))


@dataclass(frozen=True)
class Fixings:
    count: int = 2


@dataclass(frozen=True)
class Paints:
    coats: int = 3


ROOT = Path(__file__).parents[2]
JOB = Job(title="A room")


def gives(kind, finding=None):
    def examine_it(job, sheet):
        if finding:
            yield finding
        yield kind()

    return examine_it


def registry(*stages, outside=True):
    declared = {"giver": (Rule(name="giver/rail-low", weights=("advice",), when="it is low", why="it is seen"),)}
    rules = {s.name: partial(tuple, declared.get(s.name, ())) for s in stages}
    return Registry(
        tuple(Plugin(s.name, "1.0", "test", stages=(s,), outside=outside, rules=rules[s.name]) for s in stages)
    )


def rules(outcome):
    return [finding.rule for finding in outcome.findings]


GIVER = Stage("giver", gives(Heights, Finding("giver/rail-low", "advice", "The rail is low.")), gives=(Heights,))
NEEDER = Stage("needer", gives(Fixings), needs=(Heights,), gives=(Fixings,))


def setter(name, **values):
    return Stage(name, lambda job, sheet: [sets(rail, **values) for rail in sheet[Heights].rails], amends=(Heights,))


def in_step(job, sheet, heights):
    return Heights(tuple(replace(rail, under=rail.top - 60) for rail in heights.rails))


def settled(job, sheet):
    yield Heights(tuple(replace(rail, under=rail.under - 1) for rail in sheet[Heights].rails))


GIVER = replace(GIVER, follow=in_step)
AMENDER = setter("amender", top=910.0)
SECOND_AMENDER = setter("amender-two", face="bead")
SETTLER = Stage("a-settler", settled, settles=(Heights,))
WANTER = Stage("wanter", gives(Paints), wants=(Heights, Fixings), gives=(Paints,))
STAGES = [GIVER, NEEDER, AMENDER, SECOND_AMENDER, SETTLER, WANTER]


def test_order_is_giver_then_amenders_then_the_settler_then_needers_whatever_the_registration():
    expected = ["giver", "amender", "amender-two", "a-settler", "needer", "wanter"]
    for seed in range(200):
        shuffled = list(STAGES)
        random.Random(seed).shuffle(shuffled)
        assert [stage.name for stage in in_order(shuffled)] == expected


def test_what_is_set_is_put_together_followed_and_then_settled():
    outcome = examine(JOB, registry(*STAGES))
    assert outcome.sheet[Heights].rails[1] == Rail("Parlour", 910.0, "bead", 849.0)
    assert {(each.by, each.key, each.was, each.now) for each in outcome.amendments} == {
        ("amender", "top", 900.0, 910.0),
        ("amender-two", "face", "plain", "bead"),
    }
    assert rules(outcome) == ["giver/rail-low", "engine/amended", "engine/amended"]
    assert outcome.fit_for_issue


@pytest.mark.parametrize("second", [{"face": "bead"}, {"top": 910.0}, {"top": 950.0}, {"top": 950.0, "face": "bead"}])
def test_two_plugins_under_swapped_names_come_to_the_same(second):
    one, other = {"top": 910.0}, second
    came = [
        examine(JOB, registry(GIVER, setter("a", **first), setter("z", **last), SETTLER, NEEDER))
        for first, last in ((one, other), (other, one))
    ]
    assert came[0].sheet[Heights] == came[1].sheet[Heights]
    assert sorted(map(rules, came))[0] == rules(came[0]) == rules(came[1])
    clash = "top" in second and second["top"] != 910.0
    assert [outcome.fit_for_issue for outcome in came] == [not clash] * 2
    if clash:
        assert came[0].sheet[Heights].rails == tuple(replace(rail, under=839.0) for rail in Heights().rails)
        assert not came[0].amendments
        assert "top stays 900 mm there" in came[0].findings[-1].says


WRONG_SETS = {
    "unknown": ({"colour": "red"}, "sets colour of a rail line, which may not be set; top, face may"),
    "reckoned": ({"under": 3.0}, "sets under of a rail line, which may not be set"),
    "type": ({"top": "high"}, "it is a number"),
    "least": ({"top": 99.0}, "it is at least 100 mm and at most 2000 mm"),
    "most": ({"top": float("inf")}, "it is at least 100 mm"),
}


@pytest.mark.parametrize("how", WRONG_SETS)
def test_what_may_not_be_set_fails_its_stage_whole(how):
    values, says = WRONG_SETS[how]
    outcome = examine(JOB, registry(GIVER, setter("bad", **values), AMENDER))
    assert says in next(f.says for f in outcome.findings if f.rule == "engine/stage-failed")
    assert {each.by for each in outcome.amendments} == {"amender"}


def test_a_line_that_is_not_on_the_sheet_cannot_be_set():
    bad = Stage("bad", lambda job, sheet: [sets(Rail(), top=910.0)], amends=(Heights,))
    outcome = examine(JOB, registry(GIVER, bad))
    assert "not on the sheet" in outcome.holds[0].says


def test_who_settles_keeps_every_line_and_is_one():
    empty = Stage("empty", lambda job, sheet: [Heights(())], settles=(Heights,))
    assert "adds or takes away lines" in examine(JOB, registry(GIVER, empty)).holds[0].says
    with pytest.raises(OrderFault, match="Heights is settled by both a-settler and empty"):
        in_order([GIVER, empty, SETTLER])


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
    monkeypatch.setattr("listel.core.host.outsiders.STAGE_SECONDS", 0.3)
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
    outcome = examine(job, registry(stage, outside=False))
    assert [finding.rule for finding in outcome.holds] == ["giver/may-be-live"]
    assert outcome.findings[0].settled.reason == "the switch will go"
    assert "engine/departure-refused" in rules(outcome)
    assert "engine/departure-unused" in rules(outcome)


@pytest.mark.parametrize(
    ("given", "fit"),
    [
        ({}, False),
        ({"competence": "client", "reference": "letter 3"}, False),
        ({"competence": "authority"}, False),
        ({"competence": "authority", "reference": "letter 3"}, True),
    ],
)
def test_a_hold_that_others_agree_to_leave_is_not_the_owners_to_settle(given, fit):
    rule = Rule(name="giver/unlike", weights=("hold",), when="w", why="y", agreed_by=("authority",))
    stage = Stage("giver", lambda job, sheet: [rule.told("hold", "It is unlike."), Heights()], gives=(Heights,))
    made = Registry((Plugin("giver", "1.0", "test", stages=(stage,), rules=lambda: (rule,)),))
    job = Job(title="A room", departures=(Departure("giver/unlike", "we like it", "the owner", **given),))
    outcome = examine(job, made)
    assert outcome.fit_for_issue is fit
    assert ("engine/departure-refused" in rules(outcome)) is not fit


def test_a_departure_for_another_room_does_not_settle():
    hold = Finding("giver/rail-meets-switch", "hold", "The rail meets a switch.", Where("Hall", "A"))
    stage = Stage("giver", lambda job, sheet: [hold, Heights()], gives=(Heights,))
    job = Job(title="A room", departures=(Departure("giver/rail-meets-switch", "why not", "client", room="Parlour"),))
    assert not examine(job, registry(stage, outside=False)).fit_for_issue


def test_the_digest_tells_versions_and_tables_apart():
    one = examine(JOB, registry(GIVER)).digest
    other = examine(JOB, Registry((Plugin("giver", "1.1", "test", stages=(GIVER,)),))).digest
    tables = examine(JOB, Registry((Plugin("giver", "1.0", "test", stages=(GIVER,), tables_digest="x"),))).digest
    assert len({one, other, tables}) == 3
    assert one == examine(JOB, registry(GIVER)).digest


def test_outcome_json_names_results_by_type():
    came = examine(JOB, registry(*STAGES)).to_json()
    assert came["results"]["Heights"]["rails"][0]["top"] == 910.0
    assert came["amendments"][0]["by"] == "amender"
    assert came["findings"][0]["rule"] == "giver/rail-low"
    assert came["fit_for_issue"] is True


def test_a_step_that_is_tied_to_a_step_nobody_offers_is_told():
    step = Step("look", "Look", lambda job, sheet: "", needs=("fixx",), before=("look-on",))
    other = Step("look-on", "Look on", lambda job, sheet: "", needs=("look",))
    (found,) = examine(JOB, Registry((Plugin("p", "1", "test", steps=(step, other)),))).findings
    assert (found.rule, found.weight) == ("engine/step-unknown", "caution")
    assert "fixx" in found.says


def test_every_rule_of_the_engine_and_of_house_files_is_told_by_the_code_and_named_in_a_test():
    tests = "".join(path.read_text("utf-8") for path in Path(__file__).parents[1].rglob("test_*.py"))
    for room, name in (("host", "engine"), ("house", "house")):
        code = "".join(path.read_text("utf-8") for path in (ROOT / "core" / room).glob("*.py"))
        declared = {rule.name.partition("/")[2] for rule in load_rules(f"listel.core.{room}", name)}
        assert set(re.findall(r"""(?:RULES|rules)\["([a-z-]+)"\]""", code)) == declared
        assert [rule for rule in sorted(declared) if f"{name}/{rule}" not in tests] == []


@dataclass(frozen=True)
class Wages:
    an_hour: int
    digest: str = "of the figures"


def test_what_is_given_stands_on_the_sheet_and_in_the_digest_and_is_no_result():
    counted = Stage("counted", lambda job, sheet: [Fixings(sheet[Wages].an_hour)], wants=(Wages,), gives=(Fixings,))
    outcome = examine(JOB, registry(counted, outside=False), given=[Wages(30)])
    assert outcome.sheet[Fixings].count == 30
    assert set(outcome.to_json()["results"]) == {"Fixings"}
    assert outcome.digest != examine(JOB, registry(counted, outside=False), given=[Wages(30, "of others")]).digest


def test_a_section_that_could_not_be_made_is_left_out_and_a_hold():
    outcome = examine(JOB, registry()).without_section("own", "it has no end")
    (hold,) = outcome.holds
    assert hold.rule == "engine/section-failed"
    assert "The section own of the statement could not be made: it has no end." in hold.says
    assert not outcome.fit_for_issue


def test_python_collects_after_an_examination_as_it_did_before() -> None:
    job = Job("t")
    for on in (True, False):
        (gc.enable if on else gc.disable)()
        try:
            examine(job, Registry())
            assert gc.isenabled() is on
        finally:
            gc.enable()
