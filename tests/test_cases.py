"""Every rule that a plugin declares has cases beside it, and each case is told as it says."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry

from listel import Firm
from listel.core.contract.cases import NOTHING, Case, base, judge, read_cases
from listel.core.contract.rules import rules_faults
from listel.core.survey.yaml_places import read_document

ROOT = Path(__file__).parents[1]
FIRM = Firm(installed=False)
REGISTRY = FIRM.registry
FILES = sorted(ROOT.glob("plugins/*/cases.yaml"))
CASES = [case for path in FILES for case in read_cases(path)]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_case_is_told_as_it_says(case: Case):
    assert judge(case, FIRM) == ""


@pytest.mark.parametrize("plugin", [plugin for plugin in REGISTRY.plugins if plugin.rules()], ids=lambda p: p.name)
def test_every_rule_of_a_plugin_has_a_case_that_tells_it_and_one_that_does_not(plugin):
    told = {case.rule for case in CASES if case.told != NOTHING}
    silent = {case.rule for case in CASES if case.told == NOTHING}
    names = {rule.name for rule in plugin.rules()}
    assert names - told == set()
    assert names - silent == set()


def test_every_case_is_of_a_rule_that_is_declared():
    declared = {rule.name for rule in REGISTRY.rules()}
    assert {case.rule for case in CASES} <= declared


@pytest.mark.parametrize("path", sorted(ROOT.glob("plugins/*/rules.yaml")), ids=lambda path: path.parent.name)
def test_a_file_of_rules_is_of_its_form_and_the_code_tells_each_rule_and_no_other(path):
    schema = json.loads((ROOT / "schemas" / "rules.schema.json").read_text(encoding="utf-8"))
    data = read_document(path).data
    Draft202012Validator(schema, registry=Registry()).validate(data)
    assert rules_faults(f"listel.plugins.{path.parent.name}") == []
    code = "\n".join(each.read_text(encoding="utf-8") for each in path.parent.glob("*.py"))
    assert set(re.findall(r'RULES\["([a-z0-9-]+)"\]', code)) == set(data["rules"])
    assert not re.search(r"\b(Finding|not_surveyed)\(", code), "a finding is told by its declaration"


def test_a_base_survey_may_be_changed_at_will() -> None:
    base("one-wall")["trim"].clear()
    assert base("one-wall")["trim"]
