"""House rules: what a firm adds to or asks of every job, in a YAML file, without code.

``applies`` and ``must`` are plain JSON Schema over a line's JSON form; ``set`` amends a line; sentences are sandboxed.
Each file becomes a plugin of its own: a stage for each rule that sets, which sees the lines as they were given, and a
stage that judges once every line is as it will stay.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Template
from jsonschema import Draft202012Validator
from referencing import Registry as NoSchemas

from listel.core.contract.findings import Finding, Grounds, Input, Source
from listel.core.contract.firms import HeightOffer, HeightRule, rooms_covered
from listel.core.contract.lines import job_form, line_form, line_kinds, lines_of, meanings, plain, sets, where_of
from listel.core.contract.rules import Rule, load_rules
from listel.core.contract.stage import Sheet, Stage, Step
from listel.core.host.added import options_schema, own_tables
from listel.core.host.engine import RULES as ENGINE_RULES
from listel.core.host.plugin import Plugin, Weighing, Wording
from listel.core.host.registry import Registry
from listel.core.house.file import HouseFile, Known, fact_name, names_of_facts, read_house_files
from listel.core.house.filters import filters
from listel.core.house.one_rule import HouseRule, Kinds
from listel.core.house.sandbox import SandboxFault, rendered, sentence
from listel.core.quick import dataclass
from listel.core.survey.job import Job
from listel.core.survey.units import Units, parse_length

RULES = load_rules(__package__)


def told_by_listel(registry: Registry) -> list[Rule]:
    """Every rule that can be told: of the engine, of house files, of each plugin."""
    return [*ENGINE_RULES, *RULES, *registry.rules()]


def house_plugins(files: Sequence[Path], registry: Registry) -> list[Plugin]:
    """A plugin for each house file. Raises SurveyFaults with every fault of all of them."""
    known = Known(
        line_kinds(kind for _, stage in registry.stages() for kind in stage.gives),
        frozenset(step.name for step in registry.steps()),
        ties=tuple(
            tie
            for step in registry.steps()
            for tie in (*((need, step.name) for need in step.needs), *((step.name, then) for then in step.before))
        ),
        methods=frozenset(each.step for plugin in registry.plugins for each in plugin.words),
        sections=frozenset(section.name for section in registry.sections()),
        plugins=frozenset(plugin.name for plugin in registry.plugins),
        unasking=frozenset(each.name for each in registry.plugins if not each.options and not each.faults),
        options=options_schema((plugin.name, form) for plugin in registry.plugins for form in plugin.options),
        tables=own_tables,
        rules=cache(lambda: {rule.name: rule for rule in told_by_listel(registry)}),
        added=tuple(table for plugin in registry.plugins if plugin.outside for table in plugin.tables()),
    )
    return [_plugin(house, known.kinds) for house in read_house_files(files, known)]


@dataclass(frozen=True)
class _Rule:
    """A rule ready to judge: its validators are built once."""

    told: HouseRule
    applies: Draft202012Validator
    must: Draft202012Validator | None

    def covers(self, form: Any) -> bool:
        """Whether the rule applies to a line in its JSON form."""
        return bool(self.applies.is_valid(form))


def _plugin(house: HouseFile, kinds: Kinds) -> Plugin:
    rules = [_ready(rule) for rule in house.rules]
    files = [house.path, *(section.template for section in house.sections)]
    digest = hashlib.sha256(b"\0".join(path.read_bytes() for path in files)).hexdigest()
    return Plugin(
        name=house.slug,
        code=False,
        version=digest[:12],
        origin=f"house rules of {house.firm}, {house.path.name}",
        stages=tuple(_stages(house, rules, kinds)),
        steps=tuple(_step(entry) for entry in house.steps),
        sections=house.sections,
        words=house.words,
        fields=house.fields,
        heights=tuple(_height(house, entry) for entry in house.heights),
        told=house.options,
        tables=lambda: house.tables,
        tables_digest=digest,
        weights=tuple(Weighing(rule, weight, house.firm) for rule, weight in house.weights),
        wordings=tuple(Wording(rule.name, house.firm, _wording(rule, text)) for rule, text in house.says),
        rules=lambda: tuple(_declared(house, rule) for rule in house.rules if rule.judges),
    )


def _declared(house: HouseFile, rule: HouseRule) -> Rule:
    """A rule of a firm as the catalogue has it."""
    return Rule(
        name=f"{house.slug}/{rule.name}",
        weights=(rule.weight,),
        when=f"a {rule.about} line is not as {house.firm} asks"
        if rule.must is not None
        else f"a {rule.about} line is there",
        why=f"it is a rule of {house.firm}",
        settled_by=rule.mend,
        sources=(_source(house, rule),),
    )


def _ready(rule: HouseRule) -> _Rule:
    def validator(schema: Any) -> Draft202012Validator:
        return Draft202012Validator(schema, registry=NoSchemas())

    must = validator(rule.must) if rule.must is not None else None
    return _Rule(rule, validator(rule.applies), must)


def _stages(house: HouseFile, rules: Sequence[_Rule], kinds: Kinds) -> Iterator[Stage]:
    for rule in rules:
        if rule.told.sets:
            kind = kinds[rule.told.about][0]
            author = f"{house.firm}: {rule.told.name}"
            name = f"house {house.name} sets {rule.told.name}"
            yield Stage(name, _setter(house, kind, rule), amends=(kind,), author=author)
    judging = [rule for rule in rules if rule.told.judges]
    if judging:
        needs = tuple(dict.fromkeys(kinds[rule.told.about][0] for rule in judging))
        yield Stage(f"house {house.name} judges", _judge(house, judging, needs), wants=needs)


# ---------------------------------------------------------------- setting


def _setter(house: HouseFile, kind: type, rule: _Rule) -> Callable[[Job, Sheet], Iterator[object]]:
    def examine(job: Job, sheet: Sheet) -> Iterator[object]:
        lines = [line for _, _, line in lines_of(sheet[kind]) if rule.told.about == line.LINE]
        forms = [line_form(job, line) for line in lines]
        covered = [line for line, form in zip(lines, forms, strict=True) if rule.covers(form)]
        yield from (sets(line, **dict(rule.told.sets)) for line in covered)
        if not covered:
            yield _unused(house, rule, forms)

    return examine


def _unused(house: HouseFile, rule: _Rule, forms: Sequence[Mapping[str, Any]]) -> Finding:
    """That a rule applied to no line, and what the lines hold where it asks for another value."""
    told = rule.told
    says = f"The house rule {told.name} of {house.firm} applied to nothing in this job."
    if not forms:
        says += f" There is no {told.about} line here."
    asked = told.applies.get("properties", {}) if isinstance(told.applies, dict) else {}
    for key in (key for key in asked if key != "job"):
        held = sorted({str(form[key]) for form in forms if isinstance(form.get(key), str)})
        judge = rule.applies.evolve(schema=asked[key])  # what it points to stands in the whole rule
        if held and not any(judge.is_valid(text) for text in held):
            says += f" None has the {key.replace('_', ' ')} it asks for; here there are: {', '.join(held[:12])}."
    return RULES["rule-unused"].told("record", says, grounds=Grounds(sources=(_source(house, told),)))


# ---------------------------------------------------------------- judging


def _judge(house: HouseFile, rules: Sequence[_Rule], kinds: Sequence[type]) -> Callable[[Job, Sheet], Iterator[object]]:
    def examine(job: Job, sheet: Sheet) -> Iterator[object]:
        lines = [line for kind in kinds if kind in sheet for _, _, line in lines_of(sheet[kind])]
        forms = [line_form(job, line) for line in lines]
        for rule in rules:
            covered = [
                (line, form)
                for line, form in zip(lines, forms, strict=True)
                if rule.told.about == line.LINE and rule.covers(form)
            ]
            for line, form in covered:
                if rule.must is None or not rule.must.is_valid(form):
                    yield _judged(house, rule, line, form, job.units)
            if not covered and not rule.told.sets:
                of_kind = [form for line, form in zip(lines, forms, strict=True) if rule.told.about == line.LINE]
                yield _unused(house, rule, of_kind)

    return examine


def _judged(house: HouseFile, rule: _Rule, line: Any, form: Mapping[str, Any], units: Units) -> Finding:
    told = rule.told
    keys = _keys_named(told.applies) + _keys_named(told.must if told.must is not None else True)
    if told.says is not None:
        says = _said(told.says, told, form, units)
    elif told.must is False:
        says = f"The house rule {told.name} of {house.firm} applies to this {told.about}."
    else:
        why = "; ".join(_why(rule, form))
        says = f"This {told.about} is not as the house rule {told.name} of {house.firm} asks: {why}."
    grounds = _grounds(house, told, line, tuple(dict.fromkeys(keys)))
    return Finding(f"{house.slug}/{told.name}", told.weight, says, where_of(line), grounds, mend=told.mend)


@lru_cache(maxsize=500)
def _made(text: str, names: frozenset[str], units: Units) -> Template:
    return sentence(text, names, filters(units))


def _said(text: str, rule: HouseRule, form: Mapping[str, Any], units: Units) -> str:
    try:
        return rendered(_made(text, frozenset(form), units), form)
    except SandboxFault as fault:
        return f"The house rule {rule.name} is not met, and its sentence cannot be made: {fault}"


def _why(rule: _Rule, form: Mapping[str, Any]) -> list[str]:
    errors = rule.must.iter_errors(form) if rule.must is not None else ()
    return [f"{'.'.join(map(str, error.path)) or 'the line'}: {error.message[:160]}" for error in errors]


def _keys_named(schema: Any) -> list[str]:
    """The keys of a line that a schema speaks of, at its top and inside anyOf, allOf, oneOf, not, if, then, else."""
    if not isinstance(schema, dict):
        return []
    keys = [*schema.get("properties", {}), *schema.get("required", ())]
    for word in ("anyOf", "allOf", "oneOf"):
        for part in schema.get(word, ()):
            keys += _keys_named(part)
    for word in ("not", "if", "then", "else"):
        keys += _keys_named(schema.get(word))
    return keys


def _grounds(house: HouseFile, rule: HouseRule, line: Any, keys: Sequence[str]) -> Grounds:
    form, told = plain(line), meanings(type(line))
    inputs = tuple(
        Input(
            key.replace("_", " "),
            form[key] if isinstance(form[key], (int, float, str)) else str(form[key]),
            told[key][1],
        )
        for key in keys
        if key in form and key != "grounds"
    )
    return Grounds(inputs, f"house rule {rule.name}", sources=(_source(house, rule),))


def _source(house: HouseFile, rule: HouseRule) -> Source:
    return Source(f"House rules of {house.firm}", locator=rule.name, standing="house-rule")


# ---------------------------------------------------------------- words


def _wording(rule: Rule, text: str) -> Callable[[Job, Finding], str]:
    def says(job: Job, finding: Finding) -> str:
        at = finding.where
        place = {"room": at.room, "wall": at.wall, "trim": at.trim, "piece": at.piece, "job": job_form(job)}
        values = {**place, **{fact_name(fact.name): fact.value for fact in finding.facts}}
        try:
            return rendered(_made(text, names_of_facts(rule), job.units), values)
        except SandboxFault as fault:
            named = set(re.findall(r"\w+", text)) & names_of_facts(rule)
            lacks = ", ".join(sorted(named - values.keys()))
            raise (SandboxFault(f"this finding does not tell {lacks}") if lacks else fault) from fault

    return says


# ---------------------------------------------------------------- heights


def _height(house: HouseFile, entry: Mapping[str, Any]) -> HeightRule:
    top = parse_length(entry["top"]) if "top" in entry else None
    share = float(Fraction(str(entry["share"]))) if "share" in entry else None
    source = Source(f"House rules of {house.firm}", locator=entry["name"], standing="house-rule")

    def offers(job: Job) -> Iterator[HeightOffer]:
        for room in rooms_covered(job, entry.get("applies", True)):
            yield HeightOffer(
                room=room.name,
                member=entry["member"],
                says=entry["says"],
                top=top,
                share=share,
                of=entry.get("of", "room"),
                grounds=Grounds(formula=entry["says"], sources=(source,)),
            )

    return HeightRule(entry["name"], offers)


# ---------------------------------------------------------------- steps


def _step(entry: Mapping[str, Any]) -> Step:
    because, hours, wait = entry["because"], entry.get("hours", 0.0), entry.get("wait", 0.0)
    return Step(
        name=entry["name"],
        title=entry["title"],
        applies=lambda job, sheet: because,
        needs=tuple(entry.get("after", ())),
        before=tuple(entry.get("before", ())),
        required=entry.get("required", True),
        hours=lambda job, sheet: float(hours),
        wait=lambda job, sheet: (float(wait), entry.get("wait-for", "")),
        who=entry.get("who", "joiner"),
    )
