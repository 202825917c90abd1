"""A firm's house rules judge and amend lines, and every fault of a house file is told with its place."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import ClassVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.findings import Finding, Grounds
from listel.core.contract.lines import told
from listel.core.contract.stage import Stage, Step, Steps
from listel.core.host.engine import examine, outcome_json
from listel.core.host.registry import Plugin, Registry
from listel.core.house.rules import house_plugins
from listel.core.survey.job import Building, Job
from listel.core.survey.messages import SurveyFaults

SetBy = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Nailing:
    LINE: ClassVar[str] = "nailing"
    room: str = told("the room")
    wall: str = told("the wall")
    kind: str = told("the fixing", default="nail")
    spacing: float | None = told("distance apart", "mm", 400.0)
    rows: int = told("rows", default=1)
    avoid: tuple[str, ...] = told("what to avoid", default=())
    grounds: Grounds = told("why", default=Grounds())
    set_by: SetBy = told("who set what", default=())


@dataclass(frozen=True)
class Nailings:
    lines: tuple[Nailing, ...] = ()


LINES = (Nailing("Hall", "A"), Nailing("Hall", "B", "screw", 300.0), Nailing("Parlour", "C", "nail", None))


def base(*findings):
    stage = Stage("nails", lambda job, sheet: [*findings, Nailings(LINES)], gives=(Nailings,))
    steps = tuple(Step(name, name, lambda job, sheet: "always") for name in ("fix", "fill"))
    return Registry((Plugin("nails", "1", "test", stages=(stage,), steps=steps),))


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


def test_set_amends_the_line_and_shows_who_set_it(house):
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
    assert lines[0].set_by == tuple((key, "Oak & Ash: closer") for key in ("spacing", "rows", "avoid"))
    assert lines[1].set_by == ()
    assert [finding.rule for finding in outcome.findings] == ["oak-ash/closer"]
    assert outcome.findings[0].weight == "record"


def test_two_rules_that_set_one_key_otherwise_are_a_conflict_that_names_both(house):
    one = house("rules: [{name: near, about: nailing, set: {spacing: 300}}]", "a.yaml")
    two = house("rules: [{name: far, about: nailing, set: {spacing: 350}}]", "b.yaml")
    for outcome in (run(one, two), run(two, one)):
        clash = next(finding for finding in outcome.findings if finding.rule == "house/rules-conflict")
        assert clash.weight == "hold"
        assert "near" in clash.says
        assert "far" in clash.says
    same = house("rules: [{name: same, about: nailing, set: {spacing: 300}}]", "c.yaml")
    assert not [f for f in run(one, same).findings if f.rule == "house/rules-conflict"]


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
    path = house("rules: [{name: n, about: nailing, applies: {properties: {kind: {const: nial}}}, must: false}]")
    (finding,) = run(path).findings
    assert finding.says.endswith("None has the kind it asks for; here there are: nail, screw.")


def test_many_lines_on_which_two_rules_clash_are_one_hold(house):
    path = house("""
    rules:
      - {name: near, about: nailing, set: {spacing: 300}}
      - {name: far, about: nailing, set: {spacing: 350}}
    """)
    (clash,) = [finding for finding in run(path).findings if finding.rule == "house/rules-conflict"]
    assert "3 nailing lines" in clash.says
    assert "sets 300 mm" in clash.says


def test_a_weight_for_a_finding_that_is_not_there_is_told(house):
    (told,) = run(house("weights: [{rule: nails/too-naer, weight: hold}]")).findings
    assert (told.rule, told.weight) == ("house/weight-unused", "record")


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
    "set grounds": ("rules: [{name: a, about: nailing, set: {grounds: x}}]", "3:41", "has no grounds"),
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
    monkeypatch.setattr("listel.core.host.engine.STAGE_SECONDS", 0.3)
    monkeypatch.setattr(__name__ + ".LINES", (Nailing("a" * 40 + "!", "A"),))
    outcome = run(house("rules: [{name: p, about: nailing, must: {properties: {room: {pattern: '^(a+)+$'}}}}]"))
    assert [finding.rule for finding in outcome.findings] == ["engine/stage-failed"]


@given(st.lists(st.sampled_from([{"const": "nail"}, {"minLength": 2}, {"enum": ["screw"]}]), min_size=1, max_size=4))
@settings(max_examples=25, deadline=None)
def test_rules_that_only_judge_change_no_result(tmp_path_factory, schemas):
    import json

    rules = [
        {"name": f"r{number}", "about": "nailing", "must": {"properties": {"kind": schema}}}
        for number, schema in enumerate(schemas)
    ]
    path = tmp_path_factory.mktemp("house") / "firm.yaml"
    path.write_text(f"listel-house: 1\nfirm: F\nrules: {json.dumps(rules)}\n", encoding="utf-8")
    with_rules = outcome_json(run(path))
    assert with_rules["results"] == outcome_json(run())["results"]
