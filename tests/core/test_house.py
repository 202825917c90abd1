"""A firm's house rules judge and amend lines, and every fault of a house file is told with its place."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, replace
from typing import ClassVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.findings import Fact, Finding, Grounds, Where
from listel.core.contract.lines import told
from listel.core.contract.rules import Rule
from listel.core.contract.stage import Said, Stage, Step, Steps
from listel.core.host.engine import examine
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry
from listel.core.house.rules import house_plugins
from listel.core.survey.job import Building, Job
from listel.core.survey.messages import SurveyFaults


@dataclass(frozen=True)
class Head:
    wide: float = told("across", "mm", 8.0)


@dataclass(frozen=True)
class Nailing:
    LINE: ClassVar[str] = "nailing"
    room: str = told("the room")
    wall: str = told("the wall")
    kind: str = told("the fixing", default="nail", settable=True, words=lambda: ("nail", "screw", "pin"))
    spacing: float | None = told("distance apart", "mm", 400.0, settable=True, least=50, most=1000)
    rows: int = told("rows", default=1, settable=True, least=1, most=4)
    weight: float = told("what hangs on it", "N", 10.0, settable=True)
    avoid: tuple[str, ...] = told("what to avoid", default=(), settable=True)
    points: tuple[float, ...] = told("where they go", "mm", (100.0, 500.0))
    done: bool = told("whether it is done", default=False)
    head: Head | None = told("its head", default=Head())
    heads: tuple[Head, ...] = told("heads to spare", default=())
    grounds: Grounds = told("why", default=Grounds())


@dataclass(frozen=True)
class Nailings:
    lines: tuple[Nailing, ...] = ()


LINES = (Nailing("Hall", "A"), Nailing("Hall", "B", "screw", 300.0), Nailing("Parlour", "C", "nail", None))


def base(*findings):
    stage = Stage("nails", lambda job, sheet: [*findings, Nailings(LINES)], gives=(Nailings,))
    steps = tuple(Step(name, name, lambda job, sheet: "always") for name in ("fix", "fill"))
    rule = Rule(name="tacks/too-near", weights=("caution",), when="too near", why="it splits", facts={"apart": "mm"})
    nails = Plugin("nails", "1", "test", stages=(stage,), steps=steps, rules=lambda: (rule,), outside=False)
    return Registry((nails,))


@pytest.fixture
def house(tmp_path):
    def write(text, name="firm.yaml"):
        path = tmp_path / name
        path.write_text("listel-house: 1\nfirm: Oak & Ash\n" + textwrap.dedent(text), encoding="utf-8")
        return path

    return write


def run(*paths, registry=None):
    registry = registry or base()
    return examine(Job(title="x"), registry, house_plugins(paths, registry))


def test_must_is_judged_on_the_lines_it_applies_to(house):
    outcome = run(
        house("""
        rules:
          - name: screws-only
            about: nailing
            applies: {properties: {room: {const: Hall}}}
            must: {properties: {kind: {const: screw}}}
            weight: hold
            says: "Wall {{ wall }} is to be screwed, not {{ kind }}."
            mend: Use screws.
        """)
    )
    (finding,) = outcome.findings
    assert finding.rule == "oak-ash/screws-only"
    assert finding.says == "Wall A is to be screwed, not nail."
    assert (finding.where.room, finding.where.wall, finding.weight) == ("Hall", "A", "hold")
    assert finding.grounds.sources[0].standing == "house-rule"
    assert {given.name: given.value for given in finding.grounds.inputs} == {"room": "Hall", "kind": "nail"}


def test_set_amends_the_line_and_the_engine_writes_who_set_it(house):
    outcome = run(
        house("""
        rules:
          - name: closer
            about: nailing
            applies: {properties: {kind: {const: nail}}}
            set: {spacing: 35 cm, rows: 2, avoid: [hammering]}
        """)
    )
    lines = outcome.sheet[Nailings].lines
    assert [line.spacing for line in lines] == [350.0, 300.0, 350.0]
    told = [(each.by, each.index, each.key, each.was, each.now, each.unit) for each in outcome.amendments]
    assert [each[2:] for each in told if each[1] == 0] == [
        ("spacing", 400.0, 350.0, "mm"),
        ("rows", 1, 2, ""),
        ("avoid", (), ("hammering",), ""),
    ]
    assert {each[:2] for each in told} == {("Oak & Ash: closer", 0), ("Oak & Ash: closer", 2)}
    (record,) = outcome.findings
    assert (record.rule, record.weight) == ("engine/amended", "record")
    assert "Oak & Ash: closer sets spacing to 350 mm on 2 nailing lines (it was 400 mm or nothing)." in record.says


def test_two_rules_that_set_one_key_otherwise_are_a_clash_that_names_both_in_any_order(house):
    near = "{name: near, about: nailing, set: {spacing: 300, rows: 2}}"
    far = "{name: far, about: nailing, applies: {properties: {room: {const: Hall}}}, set: {spacing: 350}}"
    one, two = house(f"rules: [{near}]", "a.yaml"), house(f"rules: [{far}]", "b.yaml")
    both, turned = house(f"rules: [{near}, {far}]", "c.yaml"), house(f"rules: [{far}, {near}]", "d.yaml")
    outcomes = [run(one, two), run(two, one), run(both), run(turned)]
    for outcome in outcomes:
        (clash,) = [finding for finding in outcome.findings if finding.rule == "engine/amended-otherwise"]
        assert clash.weight == "hold"
        assert "near sets 300 mm" in clash.says and "far sets 350 mm" in clash.says
        far_record = next(f.says for f in outcome.findings if f.rule == "engine/amended" and "far sets on" in f.says)
        assert "spacing stays 300 mm to 400 mm there" in far_record
        assert [(line.spacing, line.rows) for line in outcome.sheet[Nailings].lines] == [(400, 1), (300, 1), (300, 2)]
    assert len({tuple(outcome.findings) for outcome in outcomes}) == 1
    same = house("rules: [{name: same, about: nailing, set: {spacing: 300}}]", "e.yaml")
    assert not [f for f in run(one, same).findings if f.rule == "engine/amended-otherwise"]


def test_what_protects_people_and_is_amended_away_is_a_hold_that_names_who_did_it(house):
    live = Finding("zones/in-zone", "hold", "A nail may meet a cable.", Where("Parlour", "C"), protects=True)

    def judge(job, sheet):
        if any(line.rows == 1 for line in sheet[Nailings].lines):
            yield live

    judging = Plugin("zones", "1", "test", stages=(Stage("zones", judge, needs=(Nailings,)),), outside=False)
    registry = Registry((*base().plugins, judging))
    plain = run(registry=registry)
    assert [finding.rule for finding in plain.holds] == ["zones/in-zone"]
    amended = run(house("rules: [{name: two, about: nailing, set: {rows: 2}}]"), registry=registry)
    (hold,) = amended.holds
    assert hold.rule == "engine/protection-amended" and hold.protects
    assert "Oak & Ash: two (which sets rows)" in hold.says and "A nail may meet a cable." in hold.says
    assert hold.where == live.where


def test_a_weight_is_given_before_later_stages_ask_what_holds_the_job(house):
    asked = []
    ask = Stage("asks", lambda job, sheet: asked.append(sheet[Said].findings) or (), wants=(Said, Nailings))
    registry = Registry(
        (*base(Finding("nails/near", "advice", "Near.")).plugins, Plugin("z", "1", "t", stages=(ask,), outside=False))
    )
    run(house("weights: [{rule: nails/near, weight: hold}]"), registry=registry)
    assert [finding.weight for finding in asked[-1]] == ["hold"]


def test_a_rule_may_ask_about_the_building(house):
    path = house("""
    rules:
      - name: none-in-listed
        about: nailing
        applies: {properties: {job: {properties: {protection: {const: listed-grade-2}}}}}
        must: false
        says: "Not in a building {{ job.protection }}."
    """)
    listed = Job(title="x", building=Building(protection="listed-grade-2"))
    found = examine(listed, base(), house_plugins([path], base())).findings
    assert [finding.says for finding in found] == ["Not in a building listed-grade-2."] * 3
    assert [finding.rule for finding in run(path).findings] == ["house/rule-unused"]


def test_a_rule_that_applies_to_nothing_here_is_said(house):
    outcome = run(
        house("rules: [{name: attic, about: nailing, applies: {properties: {room: {const: Attic}}}, must: false}]")
    )
    assert [finding.rule for finding in outcome.findings] == ["house/rule-unused"]


def test_weights_change_ours_but_never_lighten_what_protects_people(house):
    near = Finding("nails/too-near", "advice", "Too near.")
    live = Finding("nails/may-be-live", "hold", "May be live.", protects=True)
    registry = base(near, live)
    path = house("weights: [{rule: nails/too-near, weight: hold}, {rule: nails/may-be-live, weight: record}]")
    outcome = run(path, registry=registry)
    found = {finding.rule: finding for finding in outcome.findings}
    assert (found["nails/too-near"].weight, found["nails/too-near"].weighed_by) == ("hold", "Oak & Ash")
    assert found["nails/may-be-live"].weight == "hold"
    assert "engine/weight-refused" in found


def test_a_house_step_and_section_are_added(house, tmp_path):
    (tmp_path / "form.html.j2").write_text("<p>{{ job.title }}</p>", encoding="utf-8")
    path = house("""
    steps:
      - {name: inspect, title: The foreman looks, because: our way, after: [fix], before: [fill], hours: 1}
    sections:
      - {name: form, title: Our form, place: 750, template: form.html.j2}
    """)
    (plugin,) = house_plugins([path], base())
    step = plugin.steps[0]
    assert (step.name, step.needs, step.before, step.hours(None, None)) == ("inspect", ("fix",), ("fill",), 1.0)
    assert step.applies(None, None) == "our way"
    assert plugin.sections[0].trusted is False
    outcome = run(path)
    assert outcome.house == ("oak-ash",)
    assert step.name in [s.name for s in outcome.sheet[Steps].steps]


def test_a_rule_that_asks_for_a_word_no_line_has_is_told_the_words_there_are(house):
    path = house("rules: [{name: n, about: nailing, applies: {properties: {room: {const: Hal}}}, must: false}]")
    (finding,) = run(path).findings
    assert finding.says.endswith("None has the room it asks for; here there are: Hall, Parlour.")


def test_many_lines_on_which_two_rules_clash_are_one_hold(house):
    path = house("""
    rules:
      - {name: near, about: nailing, set: {spacing: 300}}
      - {name: far, about: nailing, set: {spacing: 350}}
    """)
    (clash,) = [finding for finding in run(path).findings if finding.rule == "engine/amended-otherwise"]
    assert "3 nailing lines" in clash.says
    assert "near sets 300 mm" in clash.says


def test_a_file_of_house_rules_is_named_once(house):
    path = house("")
    with pytest.raises(SurveyFaults, match=r"firm\.yaml: this file of house rules is named twice"):
        house_plugins([path, path.parent / ".." / path.parent.name / path.name], base())


def test_a_weight_for_a_finding_that_is_not_there_is_told(house):
    (told,) = run(house("weights: [{rule: nails/too-naer, weight: hold}]")).findings
    assert (told.rule, told.weight) == ("engine/weight-unused", "record")


def test_of_two_firms_weights_the_heavier_counts_whichever_came_first(house):
    registry = base(Finding("nails/too-near", "advice", "Too near."))
    light = house("weights: [{rule: nails/too-near, weight: record}]", "light.yaml")
    heavy = house("weights: [{rule: nails/too-near, weight: hold}]", "heavy.yaml")
    for paths in ((light, heavy), (heavy, light)):
        assert [finding.weight for finding in run(*paths, registry=registry).findings] == ["hold"]


FAULTS = {
    "kind": ("rules: [{name: a, about: nailin, must: false}]", "3:26", "Did you mean nailing?"),
    "key": (
        "rules: [{name: a, about: nailing, must: {properties: {spacin: {maximum: 3}}}}]",
        "3:55",
        "Did you mean spacing?",
    ),
    "job key": (
        "rules: [{name: a, about: nailing, must: {properties: {job: {properties: {regio: {const: x}}}}}}]",
        "3:74",
        "Did you mean region?",
    ),
    "key within": (
        "rules: [{name: a, about: nailing, must: {properties: {head: {properties: {wid: {const: 1}}}}}}]",
        "3:75",
        "a Head has no wid, so this judges nothing. Did you mean wide?",
    ),
    "key within a list": (
        "rules: [{name: a, about: nailing, must: {properties: {heads: {items: {required: [job]}}}}}]",
        "3:",
        "a Head has no job",
    ),
    "value within a list": (
        "rules: [{name: a, about: nailing, must: {properties: {points: {contains: {minLength: 3}}}}}]",
        "3:75",
        "minLength judges a text, but one of the points is a number",
    ),
    "a list is no map": (
        "rules: [{name: a, about: nailing, must: {properties: {heads: {properties: {wide: {const: 1}}}}}}]",
        "3:63",
        "properties judges a map, but heads is a list",
    ),
    "required": ("rules: [{name: a, about: nailing, must: {required: [colour]}}]", "3:", "has no colour"),
    "never": ("rules: [{name: a, about: nailing, applies: false, must: false}]", "3:44", "can never apply"),
    "not": ("rules: [{name: a, about: nailing, applies: {not: {}}, must: false}]", "3:44", "can never apply"),
    "const": (
        "rules: [{name: a, about: nailing, applies: {properties: {kind: {const: 3}}}, must: false}]",
        "3:72",
        "kind is text; it can never be 3",
    ),
    "bounds": (
        "rules: [{name: a, about: nailing, must: {properties: {spacing: {minimum: 9, maximum: 3}}}}]",
        "3:74",
        "no value can be both",
    ),
    "schema": ("rules: [{name: a, about: nailing, must: {type: 7}}]", "3:", "no JSON Schema"),
    "nothing": ("rules: [{name: a, about: nailing}]", "3:9", "would do nothing"),
    "set key": ("rules: [{name: a, about: nailing, set: {colour: red}}]", "3:41", "has no colour"),
    "set value": ("rules: [{name: a, about: nailing, set: {rows: two}}]", "3:47", "rows is a whole number"),
    "set length": ("rules: [{name: a, about: nailing, set: {spacing: 3 yards}}]", "3:50", "yards"),
    "set points": (
        "rules: [{name: a, about: nailing, set: {points: []}}]",
        "3:41",
        "may not be set; what may be set: kind",
    ),
    "set done": ("rules: [{name: a, about: nailing, set: {done: true}}]", "3:41", "done of a nailing may not be set"),
    "set share": ("rules: [{name: a, about: nailing, set: {spacing: 3/8}}]", "3:50", "3/8 is text without a unit"),
    "set bare text": ("rules: [{name: a, about: nailing, set: {spacing: '350'}}]", "3:50", "text without a unit"),
    "set too little": (
        "rules: [{name: a, about: nailing, set: {spacing: -5 mm}}]",
        "3:50",
        "at least 50 mm and at most",
    ),
    "set too much": ("rules: [{name: a, about: nailing, set: {spacing: 1001}}]", "3:50", "at least 50 mm and"),
    "set newtons": ("rules: [{name: a, about: nailing, set: {weight: 10 mm}}]", "3:49", "or one with N"),
    "set nothing": ("rules: [{name: a, about: nailing, set: {spacing: null}}]", "3:41", "cannot be nothing"),
    "set word": ("rules: [{name: a, about: nailing, set: {kind: zz}}]", "3:47", "kind is one of nail, pin, screw"),
    "word": (
        "rules: [{name: a, about: nailing, applies: {properties: {kind: {const: nial}}}, must: false}]",
        "3:72",
        "Did you mean nail?",
    ),
    "set grounds": (
        "rules: [{name: a, about: nailing, set: {grounds: x}}]",
        "3:41",
        "grounds of a nailing may not be set",
    ),
    "says": (
        "rules: [{name: a, about: nailing, must: false, says: '{{ colour }}'}]",
        "3:54",
        "there is no colour here",
    ),
    "hunger": (
        "rules: [{name: a, about: nailing, must: false, says: \"{{ 'a' * 99 }}\"}]",
        "3:54",
        "is not allowed",
    ),
    "twice": (
        "rules: [{name: a, about: nailing, must: false}, {name: a, about: nailing, must: true}]",
        "3:56",
        "twice",
    ),
    "template": ("sections: [{name: a, title: A, place: 1, template: none.j2}]", "3:52", "there is no file"),
    "stray key": ("rules: [{name: a, about: nailing, applies: {kind: nail}, must: false}]", "3:45", "under properties"),
    "stray word": (
        "rules: [{name: a, about: nailing, must: {properties: {spacing: {maximun: 3}}}}]",
        "3:65",
        "Did you mean maximum?",
    ),
    "stray deep": (
        "rules: [{name: a, about: nailing, must: {anyOf: [{not: {porperties: {}}}]}}]",
        "3:57",
        "Did you mean properties?",
    ),
    "no const": (
        "rules: [{name: a, about: nailing, must: {properties: {kind: nail}}}]",
        "3:61",
        "write kind: {const: nail}",
    ),
    "unit": (
        "rules: [{name: a, about: nailing, must: {properties: {spacing: {maximum: 35 cm}}}}]",
        "3:74",
        "write 350, not 35 cm",
    ),
    "judges nothing": (
        "rules: [{name: a, about: nailing, must: {properties: {kind: {minimum: 3}}}}]",
        "3:62",
        "minimum judges a number, but kind is text",
    ),
    "judges no line": ("rules: [{name: a, about: nailing, must: {maximum: 3}}]", "3:42", "a nailing is a map of keys"),
    "pattern": (
        "rules: [{name: a, about: nailing, must: {properties: {kind: {pattern: '(nail'}}}}]",
        "3:71",
        "(nail is no pattern",
    ),
    "reference": ("rules: [{name: a, about: nailing, must: {$ref: 'http://x.example/y'}}]", "3:48", "leaves the rule"),
    "protection": (
        "rules: [{name: a, about: nailing, applies: {properties: {job: {properties: {protection: {const: listed}}}}}, "
        "must: false}]",
        "3:97",
        "is never listed",
    ),
    "step after": ("steps: [{name: a, title: A, because: x, after: [fixx]}]", "3:49", "Did you mean fix?"),
    "step taken": ("steps: [{name: fix, title: A, because: x}]", "3:16", "choose another name"),
    "weight twice": ("weights: [{rule: a/b, weight: hold}, {rule: a/b, weight: record}]", "3:45", "keep one"),
    "no word passes": (
        "rules: [{name: a, about: nailing, applies: {properties: {kind: {pattern: glu}}}, must: false}]",
        "3:64",
        "this can never be so: the kind of a nailing is one of nail, pin, screw",
    ),
    "no building": (
        "rules: [{name: a, about: nailing, applies: {properties: {job: {properties: {use: {pattern: zz}}}}}"
        ", must: false}]",
        "3:82",
        "the use of a building is one of",
    ),
    "open bounds": (
        "rules: [{name: a, about: nailing, must: {properties: {spacing: {exclusiveMinimum: 3, maximum: 3}}}}]",
        "3:83",
        "no value can be both",
    ),
    "const and bound": (
        "rules: [{name: a, about: nailing, must: {properties: {rows: {const: 3, minimum: 4}}}}]",
        "3:69",
        "none can be both",
    ),
    "type": (
        "rules: [{name: a, about: nailing, must: {properties: {rows: {type: string}}}}]",
        "3:68",
        "it can never be string",
    ),
    "says rule": ("says: {engine/amendet: x}", "3:8", "Did you mean engine/amended"),
    "says fact": (
        "says: {tacks/too-near: '{{ apart }} {{ near }}'}",
        "3:24",
        "there is no near here; there are apart,",
    ),
    "says hunger": ("says: {tacks/too-near: \"{{ 'a' * 99 }}\"}", "3:24", "is not allowed"),
    "field key": (
        "survey-fields: {wall: {Reed Skim: {description: x}}}",
        "3:24",
        "Reed Skim does not fit here; expected a name in kebab-case, as reed-board",
    ),
    "room key": (
        "heights: [{name: a, member: dado-rail, top: 900, says: A, applies: {properties: {usage: {const: x}}}}]",
        "3:82",
        "a room has no usage",
    ),
    "room word": (
        "heights: [{name: a, member: dado-rail, top: 900, says: A, applies: {properties: {use: {const: receptoin}}}}]",
        "3:95",
        "Did you mean reception?",
    ),
    "room list": (
        "heights: [{name: a, member: dado-rail, top: 900, says: A, "
        "applies: {properties: {substrates: {contains: {const: lime-on-lth}}}}}]",
        "3:113",
        "Did you mean lime-on-lath?",
    ),
    "field": ("survey-fields: {wall: {skim: {description: x, type: txt}}}", "3:53", "no JSON Schema"),
    "field format": ("survey-fields: {wall: {skim: {description: x, format: lenght}}}", "3:55", "Did you mean length?"),
    "weight lighter": (
        "weights: [{rule: engine/stage-failed, weight: caution}]",
        "3:47",
        "protects people, and no firm makes it lighter; it is told as hold",
    ),
    "options": ("options: {nail: {x: 1}}", "3:11", "there is no plugin nail. Did you mean nails?"),
    "share": ("heights: [{name: a, member: dado-rail, share: 3/2, says: A}]", "3:47", "is above its ceiling"),
    "hazard twice": (
        "hazards: [{name: a, title: A, because: x, controls: []}, {name: a, title: A, because: x, controls: []}]",
        "3:65",
        "used twice",
    ),
    "unknown": ("rule: []", "3:1", "rule"),
    "weight": ("weights: [{rule: a/b, weight: fatal}]", "3:31", "fatal"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_of_a_house_file_is_told_with_its_place(house, name):
    text, place, says = FAULTS[name]
    path = house(text)
    with pytest.raises(SurveyFaults) as caught:
        house_plugins([path], base())
    assert f"firm.yaml:{place}" in str(caught.value)
    assert says in str(caught.value)


def test_what_the_schema_finds_and_what_the_rules_find_is_told_in_one_round_for_all_files(house):
    first = house("""
    rules:
      - {name: a, about: nailin, must: false}
      - {name: b, about: nailing, must: false, wieght: hold, set: {count: 3}}
    steps: [{name: prime, title: Prime, because: We do.}]
    weights: [{rule: tacks/too-ner, weight: hold}]
    says: {tacks/too-near: We keep them apart.}
    survey-fields: {wall: {Odd Key: {description: x}, skim: {description: x, type: boolen}}}
    """)
    second = house(
        """
    steps: [{name: prime, title: Prime again, because: We do.}, {name: x}]
    says: {tacks/too-near: Ours.}
    rules: [{name: a, about: nailing, must: false}]
    """,
        "other.yaml",
    )
    with pytest.raises(SurveyFaults) as caught:
        house_plugins([first, second], base())
    told = str(caught.value)
    for place, says in (
        ("firm.yaml:5:", "Did you mean nailing"),
        ("firm.yaml:6:", "Did you mean weight"),
        ("firm.yaml:6:", "set > count: "),
        ("firm.yaml:8:", "Did you mean tacks/too-near"),
        ("firm.yaml:10:", "Odd Key does not fit"),
        ("firm.yaml:10:", "boolen"),
        ("other.yaml:4:", f"the step prime stands in {first} already"),
        ("other.yaml:4:", "title is missing"),
        ("other.yaml:5:", f"the wording of tacks/too-near stands in {first} already"),
        ("other.yaml:6:", f"the rule of oak-ash a stands in {first} already"),
    ):
        assert any(place in line and says in line for line in told.splitlines()), (place, says, told)


def test_a_firms_words_stand_for_ours_and_beside_what_protects_people(house):
    paths = [house("says: {tacks/too-near: 'Only {{ apart|mm }} apart on {{ wall }} ({{ job.use }}).'}")]
    facts = (Fact("apart", 40.0, "mm"),)
    near = Finding("tacks/too-near", "caution", "Too near.", Where("Hall", "A"), facts=facts)
    bare = Finding("tacks/too-near", "caution", "Too near, by how much nobody knows.", Where("Hall", "B"))
    many = replace(
        near,
        where=Where("Hall", "C"),
        facts=(*facts, Fact("the same", "The same of 3 more."), Fact("rests on", "custom")),
    )
    told = run(*paths, registry=base(near, replace(near, protects=True), bare, many)).findings
    plain, guarded, kept, several = (each for each in told if each.rule == "tacks/too-near")
    assert (plain.says, plain.worded_by) == ("Only 40 mm apart on A (None).", "Oak & Ash")
    assert guarded.says == "Too near. Only 40 mm apart on A (None)."
    assert (kept.says, kept.worded_by) == (bare.says, "")
    assert several.says == "Only 40 mm apart on C (None) (custom). The same of 3 more."
    amends = house("says: {engine/amended: We set it.}\nrules: [{name: a, about: nailing, set: {rows: 2}}]")
    assert "We set it." in [each.says for each in run(amends).findings]
    (unfit,) = (each for each in told if each.rule == "engine/words-unfit")
    assert unfit.where.wall == "B" and "apart" in unfit.says and "listel's own stand" in unfit.says


def test_all_faults_of_a_house_file_at_once(house):
    path = house("""
    rules:
      - {name: a, about: nailin, must: false}
      - {name: b, about: nailing, set: {colour: red, rows: two}}
    """)
    with pytest.raises(SurveyFaults) as caught:
        house_plugins([path], base())
    assert len(caught.value.faults) == 3


KEYWORDS = [
    ({"const": "nail"}, "kind", 2),
    ({"enum": ["nail", "pin"]}, "kind", 2),
    ({"type": "string"}, "kind", 3),
    ({"pattern": "^n"}, "kind", 2),
    ({"minLength": 5}, "kind", 1),
    ({"maxLength": 4}, "kind", 2),
    ({"type": "number"}, "spacing", 2),
    ({"minimum": 350}, "spacing", 2),
    ({"exclusiveMaximum": 400}, "spacing", 2),
    ({"multipleOf": 100}, "spacing", 3),
    ({"not": {"const": "nail"}}, "kind", 1),
    ({"anyOf": [{"const": "nail"}, {"const": "screw"}]}, "kind", 3),
    ({"allOf": [{"type": "string"}, {"const": "screw"}]}, "kind", 1),
    ({"oneOf": [{"const": "nail"}, {"const": "screw"}]}, "kind", 3),
    ({"if": {"const": "nail"}, "then": True, "else": False}, "kind", 2),
    ({"maxItems": 0}, "avoid", 3),
    ({"contains": {"const": "hammer"}}, "avoid", 0),
    ({"minItems": 1}, "avoid", 0),
    ({"uniqueItems": True}, "avoid", 3),
    ({"items": {"type": "string"}}, "avoid", 3),
    ({"maximum": 300}, "spacing", 2),
    ({"exclusiveMinimum": 300}, "spacing", 2),
    ({"type": ["number", "null"]}, "spacing", 3),
    ({"dependentRequired": {"kind": ["spacing"]}}, "", 3),
    ({"required": ["kind"]}, "", 3),
    ({"$defs": {"nail": {"properties": {"kind": {"const": "nail"}}}}, "$ref": "#/$defs/nail"}, "", 2),
]


@pytest.mark.parametrize(("schema", "key", "count"), KEYWORDS, ids=[next(iter(k[0])) for k in KEYWORDS])
def test_each_json_schema_keyword_that_people_use(house, schema, key, count):
    import json

    applies = {"properties": {key: schema}} if key else schema
    rule = {"name": "k", "about": "nailing", "applies": applies, "must": False}
    outcome = run(house(f"rules: [{json.dumps(rule)}]"))
    assert len([f for f in outcome.findings if f.rule == "oak-ash/k"]) == count


def test_a_pattern_that_never_ends_becomes_a_hold(house, monkeypatch):
    monkeypatch.setattr("listel.core.host.outsiders.STAGE_SECONDS", 0.3)
    monkeypatch.setattr(__name__ + ".LINES", (Nailing("a" * 40 + "!", "A"),))
    outcome = run(house("rules: [{name: p, about: nailing, must: {properties: {room: {pattern: '^(a+)+$'}}}}]"))
    assert [finding.rule for finding in outcome.findings] == ["engine/stage-failed"]


@given(st.lists(st.sampled_from([{"const": "nail"}, {"minLength": 2}, {"enum": ["screw"]}]), min_size=1, max_size=4))
@settings(max_examples=25)
def test_rules_that_only_judge_change_no_result(tmp_path_factory, schemas):
    import json

    rules = [
        {"name": f"r{number}", "about": "nailing", "must": {"properties": {"kind": schema}}}
        for number, schema in enumerate(schemas)
    ]
    path = tmp_path_factory.mktemp("house") / "firm.yaml"
    path.write_text(f"listel-house: 1\nfirm: F\nrules: {json.dumps(rules)}\n", encoding="utf-8")
    with_rules = run(path).to_json()
    assert with_rules["results"] == run().to_json()["results"]


def test_words_of_a_firm_name_steps_and_an_unknown_step_is_told_at_its_line(house):
    (plugin,) = house_plugins([house("words: {fill: [stop the holes]}")], base())
    assert [(each.step, each.phrases) for each in plugin.words] == [("fill", ("stop the holes",))]
    with pytest.raises(
        SurveyFaults, match=r"firm.yaml:3:9: words > fil: there is no step or way of working fil. Did you mean fill"
    ):
        run(house("words: {fil: [stop the holes]}"))
