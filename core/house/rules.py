"""House rules: what a firm adds to or asks of every job, in a YAML file, without code.

``applies`` and ``must`` are plain JSON Schema over a line's JSON form; ``set`` amends a line, and the line then shows
who set it; sentences are sandboxed. Each file becomes a plugin of its own: stages that set run right after the
givers, a stage that judges runs once every line is as it will stay.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from referencing import Registry as NoSchemas

from listel.core.contract.findings import Finding, Grounds, Input, Source, Where
from listel.core.contract.lines import line_form, line_kinds, lines_of, meanings, plain
from listel.core.contract.stage import Sheet, Stage, Step
from listel.core.host.registry import Plugin, Registry, Weighing
from listel.core.house.file import HouseFile, HouseRule, Kinds, Known, read_house
from listel.core.house.filters import filters
from listel.core.house.sandbox import SandboxFault, rendered, sentence
from listel.core.survey.job import Job
from listel.core.survey.messages import shown
from listel.core.survey.units import Units, show_length


def house_plugins(files: Sequence[Path], registry: Registry) -> list[Plugin]:
    """A plugin for each house file. Raises SurveyFaults with every fault of a file."""
    known = Known(
        line_kinds(kind for _, stage in registry.stages() for kind in stage.gives),
        frozenset(step.name for step in registry.steps()),
        frozenset(section.name for section in registry.sections()),
    )
    return [_plugin(read_house(path, known), known.kinds) for path in files]


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
        version=digest[:12],
        origin=f"house rules of {house.firm}, {house.path.name}",
        stages=tuple(_stages(house, rules, kinds)),
        steps=tuple(_step(entry) for entry in house.steps),
        sections=house.sections,
        tables_digest=digest,
        weights=tuple(Weighing(rule, weight, house.firm) for rule, weight in house.weights),
    )


def _ready(rule: HouseRule) -> _Rule:
    def validator(schema: Any) -> Draft202012Validator:
        return Draft202012Validator(schema, registry=NoSchemas())

    must = validator(rule.must) if rule.must is not None else None
    return _Rule(rule, validator(rule.applies), must)


def _stages(house: HouseFile, rules: Sequence[_Rule], kinds: Kinds) -> Iterator[Stage]:
    setting: dict[type, list[_Rule]] = {}
    judging: list[_Rule] = []
    for rule in rules:
        if rule.told.sets:
            setting.setdefault(kinds[rule.told.about][0], []).append(rule)
        if rule.must is not None or rule.told.says is not None:
            judging.append(rule)
    for kind, group in setting.items():
        yield Stage(f"house {house.name} sets {kind.__name__}", _setter(house, kind, group, kinds), amends=(kind,))
    if judging:
        needs = tuple(dict.fromkeys(kinds[rule.told.about][0] for rule in judging))
        yield Stage(f"house {house.name} judges", _judge(house, judging, needs), wants=needs)


# ---------------------------------------------------------------- setting


def _setter(
    house: HouseFile, kind: type, rules: Sequence[_Rule], kinds: Kinds
) -> Callable[[Job, Sheet], Iterator[object]]:
    def examine(job: Job, sheet: Sheet) -> Iterator[object]:
        result: Any = sheet[kind]
        amended: dict[str, list[Any]] = {}
        forms: list[tuple[str, Any]] = []
        counts = dict.fromkeys((rule.told.name for rule in rules), 0)
        clashes: dict[tuple[str, ...], list[_Clash]] = {}
        for name, _, line in lines_of(result):
            form = line_form(job, line)
            forms.append((line.LINE, form))
            for rule in rules:
                if rule.told.about == line.LINE and rule.covers(form):
                    counts[rule.told.name] += 1
                    line, found = _set(house, rule.told, line)
                    for clash in found:
                        pair = (rule.told.name, clash.key, clash.other, str(clash.stands))
                        clashes.setdefault(pair, []).append(clash)
            amended.setdefault(name, []).append(line)
        yield replace(result, **{name: tuple(lines) for name, lines in amended.items()})
        for group in clashes.values():
            yield _clash(house, group, job.units)
        for rule in rules:
            told = rule.told
            if counts[told.name]:
                yield _set_record(house, told, counts[told.name], kinds[told.about][1], job.units)
            else:
                yield _unused(house, told, [form for name, form in forms if name == told.about])

    return examine


@dataclass(frozen=True)
class _Clash:
    """A key of a line that another rule has set otherwise; the value it set ``stands``."""

    rule: HouseRule
    line: Any
    key: str
    stands: Any
    wanted: Any
    other: str


def _set(house: HouseFile, rule: HouseRule, line: Any) -> tuple[Any, list[_Clash]]:
    """The line with the rule's keys set, and each key that another rule has set otherwise."""
    clashes: list[_Clash] = []
    setters = dict(line.set_by)
    fresh: dict[str, Any] = {}
    for key, value in rule.sets:
        other = setters.get(key)
        if other is not None and getattr(line, key) != value:
            clashes.append(_Clash(rule, line, key, getattr(line, key), value, other))
        else:
            fresh[key] = value
            setters[key] = f"{house.firm}: {rule.name}"
    if fresh:
        line = replace(line, **fresh, set_by=tuple(setters.items()))
        if hasattr(line, "after_set"):
            line = line.after_set(tuple(fresh))
    return line, clashes


def _clash(house: HouseFile, group: Sequence[_Clash], units: Units) -> Finding:
    """One hold for all the lines on which the same two rules set the same key otherwise."""
    first = group[0]
    line_class = type(first.line)
    places = list(dict.fromkeys(str(_where(clash.line)) for clash in group))
    more = f" and {len(places) - 3} more places" if len(places) > 3 else ""
    says = (
        f"Two rules set {first.key.replace('_', ' ')} of the same {_lines(line_class.LINE, len(group))}: "
        f"{first.other} sets {_value(line_class, first.key, first.stands, units)}, {house.firm}: {first.rule.name} "
        f"sets {_value(line_class, first.key, first.wanted, units)}. The first stands ({'; '.join(places[:3])}{more})."
    )
    mend = "Narrow one of the two rules, or give both the same value."
    where = _where(first.line) if len(places) == 1 else Where()
    return Finding(
        "house/rules-conflict", "hold", says, where, _grounds(house, first.rule, first.line, (first.key,)), mend
    )


def _set_record(house: HouseFile, rule: HouseRule, count: int, line_class: type, units: Units) -> Finding:
    what = " and ".join(
        f"{key.replace('_', ' ')} to {_value(line_class, key, value, units)}" for key, value in rule.sets
    )
    says = f"The house rule {rule.name} of {house.firm} sets {what} on {_lines(rule.about, count)}."
    return Finding(f"{house.slug}/{rule.name}", "record", says, grounds=Grounds(sources=(_source(house, rule),)))


def _lines(kind: str, count: int) -> str:
    return f"{count} {kind} {'line' if count == 1 else 'lines'}"


def _value(line_class: type, key: str, value: Any, units: Units) -> str:
    """A value of a key as the statement writes it: lengths in the job's units."""
    unit = meanings(line_class)[key][1]
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return show_length(value, units) if unit == "mm" else f"{value:g} {unit}".strip()
    return ", ".join(map(str, value)) if isinstance(value, tuple) else shown(value)


def _unused(house: HouseFile, rule: HouseRule, forms: Sequence[Mapping[str, Any]]) -> Finding:
    """That a rule applied to no line, and what the lines hold where it asks for another value."""
    says = f"The house rule {rule.name} of {house.firm} applied to nothing in this job."
    if not forms:
        says += f" There is no {rule.about} line here."
    asked = rule.applies.get("properties", {}) if isinstance(rule.applies, dict) else {}
    for key in (key for key in asked if key != "job"):
        held = sorted({str(form[key]) for form in forms if isinstance(form.get(key), str)})
        if held and not any(Draft202012Validator(asked[key]).is_valid(text) for text in held):
            says += f" None has the {key.replace('_', ' ')} it asks for; here there are: {', '.join(held[:12])}."
    return Finding("house/rule-unused", "record", says, grounds=Grounds(sources=(_source(house, rule),)))


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
                yield _unused(house, rule.told, of_kind)

    return examine


def _judged(house: HouseFile, rule: _Rule, line: Any, form: Mapping[str, Any], units: Units) -> Finding:
    told = rule.told
    keys = _keys_named(told.applies) + _keys_named(told.must if told.must is not None else True)
    if told.says is not None:
        says = _said(told.says, told, form, units)
    else:
        why = "; ".join(_why(rule, form))
        says = f"This {told.about} is not as the house rule {told.name} of {house.firm} asks: {why}."
    grounds = _grounds(house, told, line, tuple(dict.fromkeys(keys)))
    return Finding(f"{house.slug}/{told.name}", told.weight, says, _where(line), grounds, told.mend)


def _said(text: str, rule: HouseRule, form: Mapping[str, Any], units: Units) -> str:
    try:
        return rendered(sentence(text, frozenset(form), filters(units)), form)
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


def _where(line: Any) -> Where:
    return Where(
        room=getattr(line, "room", ""),
        wall=getattr(line, "wall", ""),
        trim=getattr(line, "trim", ""),
        piece=getattr(line, "label", ""),
    )


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
