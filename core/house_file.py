"""Read a firm's house rules: every fault at once, at its line and column, in words."""

from __future__ import annotations

import json
import re
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

from jsonschema import Draft202012Validator, SchemaError

from listel.core import units
from listel.core.files import beside
from listel.core.filters import filters
from listel.core.findings import Weight
from listel.core.lines import ABOUT_JOB, meanings
from listel.core.messages import Fault, SurveyFaults, did_you_mean, shown
from listel.core.sandbox import SandboxFault, sentence
from listel.core.schema_words import schema_faults
from listel.core.stage import Section
from listel.core.yaml_places import Document, KeyPath, read_document

Kinds = Mapping[str, tuple[type, type]]


@dataclass(frozen=True)
class HouseRule:
    """One rule as read: ``applies`` and ``must`` are JSON Schemas, ``says`` a sentence checked for the sandbox,
    ``sets`` keys and values."""

    name: str
    about: str
    applies: Any
    must: Any
    says: str | None
    weight: Weight
    mend: str
    sets: tuple[tuple[str, Any], ...]


@dataclass(frozen=True)
class HouseFile:
    """A firm's house rules as read. ``slug`` is the firm's name in kebab-case, the first half of its rules' names."""

    path: Path
    firm: str
    slug: str
    rules: tuple[HouseRule, ...] = ()
    weights: tuple[tuple[str, Weight], ...] = ()
    steps: tuple[Mapping[str, Any], ...] = ()
    sections: tuple[Section, ...] = ()

    @property
    def name(self) -> str:
        """The firm and the file, so that one firm may have several."""
        return f"{self.slug}/{self.path.stem}"


def read_house(path: Path, kinds: Kinds) -> HouseFile:
    """A house file, judged by its schema and against the kinds of lines there are.

    Raises SurveyFaults with every fault.
    """
    document = read_document(path, "house file")
    schema = json.loads(beside("listel.schemas", "house-rules.schema.json").read_text(encoding="utf-8"))
    faults = [*document.faults, *schema_faults(document, schema)]
    if faults:
        raise SurveyFaults(faults)
    data = document.data
    rules = []
    for number, entry in enumerate(data.get("rules", ())):
        rule, found = _rule(document, ("rules", number), entry, kinds)
        faults += found
        rules.append(rule)
    faults += _twice(document, data)
    sections = tuple(_section(path, entry) for entry in data.get("sections", ()))
    faults += _no_template(document, sections)
    if faults:
        raise SurveyFaults(faults)
    return HouseFile(
        path,
        data["firm"],
        _slug(data["firm"]),
        tuple(rule for rule in rules if rule is not None),
        tuple((entry["rule"], entry["weight"]) for entry in data.get("weights", ())),
        tuple(data.get("steps", ())),
        sections,
    )


def _slug(firm: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", firm.lower()).strip("-") or "house"


def _twice(document: Document, data: Mapping[str, Any]) -> Iterator[Fault]:
    for group in ("rules", "steps", "sections"):
        seen: set[str] = set()
        for number, entry in enumerate(data.get(group, ())):
            if entry["name"] in seen:
                yield document.fault(
                    (group, number, "name"), f"the name {entry['name']} is used twice; give each its own"
                )
            seen.add(entry["name"])


def _section(path: Path, entry: Mapping[str, Any]) -> Section:
    readers = tuple(entry.get("readers", ("all",)))
    return Section(
        entry["name"], entry["title"], entry["place"], path.parent / entry["template"], readers, trusted=False
    )


def _no_template(document: Document, sections: tuple[Section, ...]) -> Iterator[Fault]:
    for number, section in enumerate(sections):
        if not section.template.is_file():
            says = f"there is no file {section.template}; a template lies beside the house file"
            yield document.fault(("sections", number, "template"), says)


# ---------------------------------------------------------------- one rule


def _rule(
    document: Document, path: KeyPath, entry: Mapping[str, Any], kinds: Kinds
) -> tuple[HouseRule | None, list[Fault]]:
    if entry["about"] not in kinds:
        says = f"there is no kind of line named {entry['about']}.{did_you_mean(entry['about'], kinds, 'there are')}"
        return None, [document.fault((*path, "about"), says)]
    line_class = kinds[entry["about"]][1]
    keys = meanings(line_class)
    faults: list[Fault] = []
    for word in ("applies", "must"):
        if word in entry:
            faults += _schema_faults(document, (*path, word), entry[word], line_class)
    if not {"must", "says", "set"} & set(entry):
        faults.append(document.fault(path, "a rule needs must, says or set; this one would do nothing"))
    faults += _says_faults(document, (*path, "says"), entry.get("says"), frozenset((*keys, "job")))
    sets, found = _sets(document, (*path, "set"), entry.get("set", {}), line_class)
    faults += found
    rule = HouseRule(
        entry["name"],
        entry["about"],
        entry.get("applies", True),
        entry.get("must"),
        entry.get("says"),
        entry.get("weight", "caution"),
        entry.get("mend", ""),
        sets,
    )
    return rule, faults


def _says_faults(document: Document, path: KeyPath, text: str | None, names: frozenset[str]) -> Iterator[Fault]:
    if text is None:
        return
    try:
        sentence(text, names, filters("mm"))
    except SandboxFault as fault:
        yield document.fault(path, str(fault))


def _schema_faults(document: Document, path: KeyPath, schema: Any, line_class: type) -> Iterator[Fault]:
    try:
        Draft202012Validator.check_schema(schema)
    except SchemaError as error:
        yield document.fault((*path, *error.absolute_path), f"this is no JSON Schema: {error.message[:160]}")
        return
    if path[-1] == "applies" and (schema is False or (isinstance(schema, dict) and schema.get("not") in ({}, True))):
        yield document.fault(path, "this can never apply")
        return
    yield from _part_faults(document, path, schema, line_class)


def _part_faults(document: Document, path: KeyPath, schema: Any, line_class: type) -> Iterator[Fault]:
    """Keys the line does not have, and values a key can never hold: the rule would never apply, or never be met."""
    if not isinstance(schema, dict):
        return
    keys, hints = meanings(line_class), get_type_hints(line_class)
    for key in schema.get("required", ()):
        if key not in keys and key != "job":
            yield document.fault((*path, "required"), _no_key(key, line_class))
    for key, part in schema.get("properties", {}).items():
        here = (*path, "properties", key)
        if key == "job":
            yield from _job_faults(document, here, part)
        elif key not in keys:
            yield document.fault(here, _no_key(key, line_class), at_key=True)
        elif isinstance(part, dict):
            yield from _value_faults(document, here, part, key, hints[key])
    for word in ("anyOf", "allOf", "oneOf"):
        for number, part in enumerate(schema.get(word, ())):
            yield from _part_faults(document, (*path, word, number), part, line_class)
    for word in ("not", "if", "then", "else"):
        yield from _part_faults(document, (*path, word), schema.get(word), line_class)


def _job_faults(document: Document, path: KeyPath, part: Any) -> Iterator[Fault]:
    for key in part.get("properties", {}) if isinstance(part, dict) else ():
        if key not in ABOUT_JOB:
            says = f"nothing named {key} of the job goes with a line.{did_you_mean(key, ABOUT_JOB, 'there are')}"
            yield document.fault((*path, "properties", key), says, at_key=True)


def _no_key(key: str, line_class: Any) -> str:
    keys = [name for name in meanings(line_class) if name not in ("grounds", "set_by")]
    return f"a {line_class.LINE} has no {key}, so this can never be met.{did_you_mean(key, keys, 'it has')}"


def _value_faults(document: Document, path: KeyPath, part: Mapping[str, Any], key: str, hint: Any) -> Iterator[Fault]:
    for low, high in (("minimum", "maximum"), ("minLength", "maxLength"), ("minItems", "maxItems")):
        if low in part and high in part and part[low] > part[high]:
            yield document.fault((*path, low), f"{low} {part[low]} is above {high} {part[high]}: no value can be both")
    wanted = [part["const"]] if "const" in part else part.get("enum", [])
    if wanted and not any(_fits(value, hint) for value in wanted):
        word = "const" if "const" in part else "enum"
        yield document.fault(
            (*path, word), f"{key} is {_hint_words(hint)}; it can never be {', '.join(map(str, wanted))}"
        )


def _sets(
    document: Document, path: KeyPath, wanted: Mapping[str, Any], line_class: Any
) -> tuple[tuple[tuple[str, Any], ...], list[Fault]]:
    keys, hints = meanings(line_class), get_type_hints(line_class)
    sets: list[tuple[str, Any]] = []
    faults: list[Fault] = []
    for key, value in wanted.items():
        if key not in keys or key in ("grounds", "set_by"):
            faults.append(document.fault((*path, key), _no_key(key, line_class), at_key=True))
            continue
        if keys[key][1] == "mm" and isinstance(value, str):
            try:
                value = units.parse_length(value)
            except ValueError as error:
                faults.append(document.fault((*path, key), str(error)))
                continue
        held: Any = tuple(value) if isinstance(value, list) else value
        if not _fits(held, hints[key]):
            faults.append(
                document.fault((*path, key), f"{key} is {_hint_words(hints[key])}; it cannot be {shown(value)}")
            )
            continue
        number = _takes_float(hints[key]) and isinstance(held, (int, float))
        sets.append((key, float(held) if number else held))
    return tuple(sets), faults


# ---------------------------------------------------------------- what a key may hold


def _options(hint: Any) -> tuple[Any, ...]:
    return get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)


def _takes_float(hint: Any) -> bool:
    return float in _options(hint)


def _fits(value: Any, hint: Any) -> bool:
    """Whether a key of that type may hold the value."""
    for option in _options(hint):
        if option is type(None) and value is None:
            return True
        if option is bool and isinstance(value, bool):
            return True
        if option in (int, float) and isinstance(value, (int, float)) and not isinstance(value, bool):
            return option is float or float(value).is_integer()
        if option is str and isinstance(value, str):
            return True
        if get_origin(option) is tuple and isinstance(value, (tuple, list)):
            inner = get_args(option)
            return len(inner) == 2 and inner[1] is ... and all(_fits(item, inner[0]) for item in value)
    return False


_WORDS = {str: "text", float: "a number", int: "a whole number", bool: "true or false", type(None): "nothing"}


def _hint_words(hint: Any) -> str:
    return " or ".join(_WORDS.get(option, "a list") for option in _options(hint))
