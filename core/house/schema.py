"""What is wrong with ``applies`` and ``must`` of a house rule: plain JSON Schema over the JSON form of a line.

JSON Schema itself lets a word it does not know pass, and lets a word judge nothing where a value is of another type:
a slip there would make a rule that silently judges every line, or none. So each such slip is a fault here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from typing import Any, get_origin, get_type_hints

from jsonschema import Draft202012Validator, FormatChecker
from referencing import Registry as NoSchemas
from referencing.exceptions import Unresolvable
from referencing.jsonschema import DRAFT202012

from listel.core.contract.lines import (
    ABOUT_JOB,
    KIND_WORDS,
    fits,
    hint_words,
    items_of,
    meanings,
    options,
    parts_of,
    words_of,
)
from listel.core.host.limits import TookTooLong, time_limit
from listel.core.survey.messages import Fault, did_you_mean, shown
from listel.core.survey.own import FORMATS
from listel.core.survey.units import parse_length
from listel.core.survey.words import built_in_schema
from listel.core.survey.yaml_places import Document, KeyPath

JUDGES: Mapping[str, frozenset[str]] = {
    word: frozenset(kinds.split())
    for kinds, words in {
        "number": "minimum maximum exclusiveMinimum exclusiveMaximum multipleOf",
        "text": "minLength maxLength pattern format",
        "list": "items prefixItems minItems maxItems contains minContains maxContains uniqueItems unevaluatedItems",
        "map": "properties patternProperties additionalProperties propertyNames required minProperties maxProperties "
        "dependentRequired dependentSchemas unevaluatedProperties",
    }.items()
    for word in words.split()
}
"""Each word of JSON Schema that judges values of one type only, and that type."""

WORDS = frozenset(
    {
        *Draft202012Validator.VALIDATORS,
        *JUDGES,
        *("$comment", "$defs", "then", "else", "title", "description", "default", "examples", "deprecated"),
    }
)
"""The words of JSON Schema that a house rule may use."""

_PARTS = ("allOf", "anyOf", "oneOf", "not", "if", "then", "else")
_OF_PARTS = (
    *("items", "contains", "prefixItems", "unevaluatedItems"),
    *("additionalProperties", "propertyNames", "unevaluatedProperties"),
)


def schema_rule_faults(document: Document, path: KeyPath, schema: Any, line_class: type) -> Iterator[Fault]:
    """Every fault of one ``applies`` or ``must``; ``path`` is where it stands."""
    if path[-1] == "applies" and (schema is False or (isinstance(schema, dict) and schema.get("not") in ({}, True))):
        yield document.fault(path, "this can never apply")
        return
    strays = list(_strays(document, path, schema, line_class, _points_to(schema)))
    yield from strays
    broken = list(broken_schema(document, path, schema))
    yield from broken
    if strays or broken:
        return
    try:
        Draft202012Validator(schema, registry=NoSchemas()).is_valid({})
    except RecursionError:
        yield document.fault(path, "a reference here leads back to itself without end")
        return
    yield from _of_line(document, path, schema, line_class)


def _points_to(schema: Any) -> Callable[[str], bool]:
    """Whether a reference within a rule leads to a part of it."""
    root = NoSchemas().resolver_with_root(DRAFT202012.create_resource(schema))

    def known(reference: str) -> bool:
        try:
            root.lookup(reference)
        except Unresolvable:
            return False
        return True

    return known


# ---------------------------------------------------------------- is it JSON Schema at all


def _strays(
    document: Document, path: KeyPath, schema: Any, line_class: type, known: Callable[[str], bool]
) -> Iterator[Fault]:
    """Words that JSON Schema does not have, and references that leave the rule or lead nowhere, wherever they stand."""
    if not isinstance(schema, dict):
        return
    for word, part in schema.items():
        here = (*path, word)
        if word not in WORDS:
            yield document.fault(here, f"JSON Schema has no word {shown(word)}.{_meant(word, line_class)}", at_key=True)
        elif word in ("$ref", "$dynamicRef") and not str(part).startswith("#"):
            yield document.fault(
                here, f"{shown(part)} leaves the rule; a reference may only point within it, as #/$defs/x"
            )
        elif word in ("$ref", "$dynamicRef") and not known(part):
            yield document.fault(
                here, f"{shown(part)} leads nowhere in this rule; what it points to stands under $defs"
            )
        elif word in (*_PARTS, *_OF_PARTS):
            parts = enumerate(part) if isinstance(part, list) else [(None, part)]
            for number, inner in parts:
                yield from _strays(document, here if number is None else (*here, number), inner, line_class, known)
        elif word in ("properties", "patternProperties", "$defs", "dependentSchemas") and isinstance(part, dict):
            for key, inner in part.items():
                yield from _strays(document, (*here, key), inner, line_class, known)


def _meant(word: str, line_class: type) -> str:
    if word in (*meanings(line_class), "job"):
        return f" A key of a line stands under properties: {{properties: {{{word}: ...}}}}"
    return did_you_mean(word, sorted(WORDS), "there are")


def broken_schema(document: Document, path: KeyPath, schema: Any) -> Iterator[Fault]:
    """Values that a word of JSON Schema cannot have."""
    judge = Draft202012Validator(Draft202012Validator.META_SCHEMA, format_checker=_PATTERNS)
    told: set[tuple[Any, ...]] = set()
    for error in judge.iter_errors(schema):
        where = tuple(error.absolute_path)
        if where not in told:
            told.add(where)
            yield document.fault((*path, *where), _wrong_value(where, error.instance, error.message))
    name = schema.get("format") if isinstance(schema, dict) else None
    if name is not None and name not in FORMATS:
        yield document.fault((*path, "format"), f"there is no format {shown(name)}.{did_you_mean(str(name), FORMATS)}")


_PATTERNS = FormatChecker(formats=())


@_PATTERNS.checks("regex", raises=(re.error, OverflowError, RecursionError))
def _is_pattern(value: object) -> bool:
    return not isinstance(value, str) or bool(re.compile(value))


def _wrong_value(where: tuple[Any, ...], value: Any, message: str) -> str:
    word = where[-1] if where else ""
    if JUDGES.get(str(word)) == frozenset({"number"}) and isinstance(value, str):
        try:
            bare = f"{parse_length(value):g}"
        except ValueError:
            bare = "a number"
        instead = "without quotes" if value.strip() == bare else f"not {shown(value)}"
        return f"{word} takes a bare number, a length in mm: write {bare}, {instead}"
    if len(where) >= 2 and where[-2] == "properties" and not isinstance(value, (dict, list)):
        return f"write {word}: {{const: {shown(value)}}}, to ask for that very value"
    if "is not a 'regex'" in message:
        return f"{shown(value)} is no pattern: a bracket, brace or backslash may lack its other half, or it is too long"
    return f"this is no JSON Schema: {message[:160]}"


# ---------------------------------------------------------------- does it fit the line


def _of_line(document: Document, path: KeyPath, schema: Any, line_class: type) -> Iterator[Fault]:
    """Keys the line does not have, and what could never judge the key it stands under."""
    if not isinstance(schema, dict):
        return
    keys, hints = meanings(line_class), get_type_hints(line_class)
    yield from _judges_nothing(document, path, schema, f"a {_kind(line_class)}", {"map"}, "a map of keys")
    for key in schema.get("required", ()):
        if key not in keys and not _is_job(key, line_class):
            yield document.fault((*path, "required"), no_key(key, line_class))
    for key, part in schema.get("properties", {}).items():
        here = (*path, "properties", key)
        if _is_job(key, line_class):
            yield from _of_job(document, here, part)
        elif key not in keys:
            yield document.fault(here, no_key(key, line_class, so=", so this judges nothing"), at_key=True)
        else:
            yield from _of_value(document, here, part, key, hints[key])
            if key in words_of(line_class):
                known = tuple(words_of(line_class)[key]())
                what = (
                    f"the {key} of a {_kind(line_class)}" if "list" not in _kinds(hints[key]) else f"one of the {key}"
                )
                yield from _of_words(document, here, part, what, known)
    for where, part in _inner(schema):
        yield from _of_line(document, (*path, *where), part, line_class)


def _is_job(key: str, line_class: type) -> bool:
    """Whether a key is the building, which goes with a line and not with what the line holds."""
    return key == "job" and hasattr(line_class, "LINE")


def _inner(schema: Mapping[str, Any]) -> Iterator[tuple[KeyPath, Any]]:
    """The parts of a schema that judge the same value, each with where it stands."""
    for word in _PARTS:
        part = schema.get(word)
        if isinstance(part, list):
            yield from (((word, number), inner) for number, inner in enumerate(part))
        elif part is not None:
            yield (word,), part


def _of_job(document: Document, path: KeyPath, part: Any) -> Iterator[Fault]:
    if not isinstance(part, dict):
        return
    for key, inner in part.get("properties", {}).items():
        here = (*path, "properties", key)
        if key not in ABOUT_JOB:
            says = f"nothing named {key} of the job goes with a line.{did_you_mean(key, ABOUT_JOB, 'there are')}"
            yield document.fault(here, says, at_key=True)
        elif key in vocabulary():
            yield from _of_words(document, here, inner, f"the {key} of a building", vocabulary()[key])
    for where, inner in _inner(part):
        yield from _of_job(document, (*path, *where), inner)


def _of_words(document: Document, path: KeyPath, part: Any, what: str, known: Sequence[str]) -> Iterator[Fault]:
    """Words that can never stand there, and what none of the words that can would pass."""
    strays = list(_stray_words(document, path, part, what, known))
    yield from strays
    if not strays and isinstance(part, dict) and "$ref" not in str(part) and not what.startswith("one of"):
        with suppress(TookTooLong), time_limit(MOST_SECONDS):
            judge = Draft202012Validator(part, registry=NoSchemas())
            nothing = [None] if "None" in str(part) or "null" in str(part) else []
            if not any(judge.is_valid(word) for word in (*known, "", *nothing)):
                words = ", ".join(sorted(known)[:24])
                yield document.fault(path, f"this can never be so: {what} is one of {words}")


MOST_SECONDS = 2.0
"""So long it is tried whether any of the words that may stand under a key passes; then it is let be."""


def _stray_words(document: Document, path: KeyPath, part: Any, what: str, known: Sequence[str]) -> Iterator[Fault]:
    if not isinstance(part, dict):
        return
    for word in ("const", "enum"):
        values = part.get(word, [])
        for value in values if isinstance(values, list) else [values]:
            if value not in (None, "") and value not in known:
                says = f"{what} is never {shown(value)}.{did_you_mean(str(value), known, 'it may be')}"
                yield document.fault((*path, word), says)
    for where, inner in (*_inner(part), *(((word,), part[word]) for word in ("items", "contains") if word in part)):
        yield from _stray_words(document, (*path, *where), inner, what, known)


@cache
def vocabulary() -> Mapping[str, tuple[str, ...]]:
    """For each thing a survey says of the building in fixed words, those words."""
    properties = built_in_schema()["properties"]["building"]["properties"]
    return {key: tuple(properties[key]["enum"]) for key in ABOUT_JOB if "enum" in properties.get(key, {})}


def _kinds(hint: Any) -> set[str]:
    return {KIND_WORDS.get(option, "list" if get_origin(option) is tuple else "map") for option in options(hint)}


_BOUNDS = [(low, high) for low in ("minimum", "exclusiveMinimum") for high in ("maximum", "exclusiveMaximum")]
_BOUNDS += [("minLength", "maxLength"), ("minItems", "maxItems")]
_TYPES = {"number": "number", "integer": "number", "string": "text", "boolean": "truth", "null": "nothing"}


def _of_value(document: Document, path: KeyPath, part: Any, key: str, hint: Any) -> Iterator[Fault]:
    if not isinstance(part, dict):
        return
    if held := parts_of(hint):
        yield from _of_line(document, path, part, held)
        return
    kinds = _kinds(hint)
    yield from _judges_nothing(document, path, part, key, kinds, hint_words(hint))
    for low, high in _BOUNDS:
        if low in part and high in part and (part[low], "exclusive" in low + high) > (part[high], False):
            yield document.fault((*path, low), f"{low} {part[low]} is above {high} {part[high]}: no value can be both")
    types = part.get("type", [])
    types = [types] if isinstance(types, str) else types
    if types and not kinds & {_TYPES.get(name, "list") for name in types}:
        yield document.fault((*path, "type"), f"{key} is {hint_words(hint)}; it can never be {' or '.join(types)}")
    wanted = [part["const"]] if "const" in part else part.get("enum", [])
    word = "const" if "const" in part else "enum"
    values = ", ".join(map(str, wanted))
    if wanted and not any(fits(value, hint) for value in wanted):
        yield document.fault((*path, word), f"{key} is {hint_words(hint)}; it can never be {values}")
    elif wanted and "$ref" not in str(part) and not any(map(Draft202012Validator(part).is_valid, wanted)):
        yield document.fault(
            (*path, word), f"{values} does not pass the rest of what is asked of {key}: none can be both"
        )
    for where, inner in _inner(part):
        yield from _of_value(document, (*path, *where), inner, key, hint)
    for word in ("items", "contains") if items_of(hint) else ():
        yield from _of_value(document, (*path, word), part.get(word), f"one of the {key}", items_of(hint))


def _judges_nothing(
    document: Document, path: KeyPath, part: Mapping[str, Any], what: str, kinds: set[str], words: str
) -> Iterator[Fault]:
    """Words that judge values of a type which stands never here: they would let every line through."""
    for word in part:
        judged = JUDGES.get(word)
        if judged and not judged & kinds:
            says = f"{word} judges a {next(iter(judged))}, but {what} is {words}: it would let every line through"
            yield document.fault((*path, word), says, at_key=True)


def no_key(key: str, line_class: type, so: str = ", so this can never be met") -> str:
    """That a line has no such key, and which one may be meant."""
    keys = [name for name in meanings(line_class) if name != "grounds"]
    return f"a {_kind(line_class)} has no {key}{so}.{did_you_mean(key, keys, 'it has')}"


def _kind(line_class: Any) -> str:
    return str(getattr(line_class, "LINE", line_class.__name__))
