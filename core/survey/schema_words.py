"""What a JSON Schema finds wrong with a file, as faults in words with their places.

Lengths, angles, temperatures and percentages are formats that :mod:`listel.core.survey.units` reads and judges;
``x-least`` and ``x-most`` bound them in mm, degrees, C and %.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from itertools import islice
from typing import TYPE_CHECKING, Any

from listel.core.survey.fits import fits
from listel.core.survey.messages import Fault, KeyPath, comma_words, did_you_mean, nearest, shown
from listel.core.survey.taking import everyday
from listel.core.survey.units import (
    INCH,
    METRE,
    SHOWN,
    Units,
    parse_date,
    parse_temperature,
    parsers,
)

if TYPE_CHECKING:
    from listel.core.survey.yaml_places import Document

Error = Any
"""A jsonschema ValidationError, whose own annotations leave each part open to being unset."""

_MOST_ERRORS = 5000
_WITH_COMMA = re.compile(r"[-+]?\d{1,20}(?:,\d{1,20}){1,2}(?:\.\d{0,20})?")
_TYPES = {
    "object": "a map (key: value)",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}


def schema_faults(document: Document, schema: Mapping[str, Any], bare: Units = "mm") -> list[Fault]:
    """Every fault the schema finds in the document; ``bare`` says what a bare number is in a length.

    No reference leaves the schema: nothing is fetched.
    """
    reads = {**parsers(bare), "date": parse_date}
    if fits(document.data, schema, reads):
        return []
    errors = islice(validator(schema, reads).iter_errors(document.data), _MOST_ERRORS)
    found: list[Fault] = []
    for error in errors:
        found += _in_words(error, document, bare)
    return found


def validator(schema: Mapping[str, Any], reads: Mapping[str, Callable[[object], Any]]) -> Any:
    """A judge of JSON Schema that knows the formats that are read and the bounds of what was read."""
    from jsonschema import Draft202012Validator, FormatChecker, validators
    from jsonschema.exceptions import ValidationError
    from referencing import Registry

    checker = FormatChecker(formats=())
    for name, parser in reads.items():
        checker.checks(name, raises=ValueError)(
            lambda value, parse=parser: not _may_be_parsed(value) or parse(value) is not None
        )

    def bound(says: str, beyond: Callable[[float, float], bool]) -> Any:
        def judge(validator: Any, limit: float, value: object, schema: dict[str, Any]) -> Iterator[Error]:
            parse = reads.get(schema.get("format", ""))
            if parse is None or not _may_be_parsed(value):
                return
            try:
                read = parse(value)
            except ValueError:
                return  # the format says so
            if beyond(read, limit):
                yield ValidationError(says)

        return judge

    bounds = {
        "x-least": bound("below", lambda read, limit: read < limit),
        "x-most": bound("above", lambda read, limit: read > limit),
    }
    extended: Any = validators.extend(Draft202012Validator, bounds)  # type: ignore[no-untyped-call]
    return extended(schema, registry=Registry(), format_checker=checker)


def _may_be_parsed(value: object) -> bool:
    return isinstance(value, (str, int, float)) and not isinstance(value, bool)


def _in_words(error: Error, document: Document, bare: Units) -> Iterator[Fault]:
    path: KeyPath = tuple(error.absolute_path)
    known: Any = error.schema
    if error.validator == "additionalProperties" and isinstance(known.get("properties"), dict):
        for key in error.instance:
            if key not in known["properties"]:
                says = f"this key is not known here.{did_you_mean(key, known['properties'], 'the keys here are')}"
                if path[-1:] == ("own",):
                    says += (
                        " It is for a firm's own facts: name its file by --house or --plugin, or install its plugin."
                    )
                yield document.fault((*path, key), says, at_key=True)
    elif "propertyNames" in error.absolute_schema_path:
        yield document.fault((*path, str(error.instance)), _misfit(error.instance, known), at_key=True)
    elif error.validator == "required":
        yield from _missing(error, document, path)
    elif error.validator in ("anyOf", "oneOf"):
        branch = _branch_meant(error)
        if branch:
            for inner in branch:
                yield from _in_words(inner, document, bare)
        else:
            yield document.fault(path, _one_of_keys(error) or _misfit(error.instance, known))
    else:
        yield document.fault(path, _sentence(error, bare))


def _missing(error: Error, document: Document, path: KeyPath) -> Iterator[Fault]:
    """The keys that a map lacks, but for one that an unknown key beside it seems to mean; each told once."""
    properties = error.schema.get("properties", {})
    strays = [key for key in error.instance if key not in properties]
    meant = {nearest(key, properties) for key in strays}
    for key in error.schema["required"]:
        if key not in error.instance and key not in meant and f"'{key}' is a required" in error.message:
            yield document.fault(path, f"{key} is missing{_about(properties.get(key, {}))}", at_key=True)


def _branch_meant(error: Error) -> list[Error]:
    """The faults of the one branch whose kind of value was written; empty where none or several could be meant."""
    branches: dict[int, list[Error]] = {}
    for inner in error.context or []:
        branches.setdefault(int(inner.relative_schema_path[0]), []).append(inner)
    fitting = [inner for inner in branches.values() if not any(_wrong_kind(one) for one in inner)]
    return fitting[0] if len(fitting) == 1 else []


def _wrong_kind(error: Error) -> bool:
    if error.relative_path:
        return False
    if error.validator == "const":
        return type(error.instance) is not type(error.validator_value)
    if error.validator == "enum":
        return not any(type(error.instance) is type(known) for known in error.validator_value)
    return bool(error.validator == "type")


def _sentence(error: Error, bare: Units) -> str:
    """One fault in a sentence: what was written, what is wrong with it, what was expected."""
    value, limit, schema = error.instance, error.validator_value, error.schema
    about = f"; {schema['description']}" if schema.get("description") else ""
    match error.validator:
        case "format":
            return str(error.cause)
        case "x-least" | "x-most":
            return beyond(value, error.message, limit, schema, bare)
        case "minimum":
            return f"{shown(value)} is below {limit:g}{about}"
        case "maximum":
            return f"{shown(value)} is above {limit:g}{about}"
        case "type":
            return _type_words(value, limit, schema)
        case "enum":
            return enum_words(value, limit, schema)
        case "const":
            return f"{shown(value)} cannot stand here; write {shown(limit)}{about}"
        case "minItems":
            return f"the list has {len(value)} items; at least {limit} must stand here{about}"
        case "maxItems":
            return f"the list has {len(value)} items; at most {limit} may stand here{about}"
        case "minLength":
            return f"the text is too short; write at least {limit} letters{about}"
        case "maxLength":
            return f"the text has {len(value)} letters; at most {limit} may stand here{about}"
        case _:
            return _misfit(value, schema)


def beyond(value: object, side: str, limit: float, schema: Mapping[str, Any], bare: Units) -> str:
    """That a value is below or above (``side``) its ``limit`` of the schema, and what may have been meant."""
    about = f"; {schema['description']}" if schema.get("description") else ""
    return f"{shown(value)} is {side} {_limit(limit, schema['format'], bare)}{about}.{_slip(value, schema, bare)}"


def _one_of_keys(error: Error) -> str:
    """Which keys are asked for, where the branches differ in nothing but these; else empty."""
    if any(set(branch) != {"required"} or len(branch["required"]) != 1 for branch in error.validator_value):
        return ""
    keys = [branch["required"][0] for branch in error.validator_value]
    written = [key for key in keys if key in error.instance]
    return f"{' and '.join(written)} stand here; keep one" if written else f"{' or '.join(keys)} is missing"


def _misfit(value: object, schema: Mapping[str, Any]) -> str:
    if value is None:
        return f"nothing is written; {_expected(schema)}, or take the key out"
    if value in ({}, []):
        return f"it is empty; {_expected(schema)}, or take the key out"
    return f"{shown(value)} does not fit here; {_expected(schema)}"


def enum_words(value: object, known: list[Any], schema: Mapping[str, Any]) -> str:
    """That a value is none of the words that are known, and which may have been meant."""
    if not isinstance(value, str) and str(value) in known:
        return f'{shown(value)} must be written as text here: "{shown(value)}"'
    also: Mapping[str, list[str]] = schema.get("x-also", {})
    meant = also.get(everyday(str(value)), [])
    if meant:
        return f"{shown(value)} could mean {', '.join(meant[:-1])} or {meant[-1]} here; write which"
    names = [str(name) for name in known]
    near = nearest(str(value), [*names, *also])
    meant = [near] if near in names else also.get(near or "", [])
    guess = f" Did you mean {' or '.join(meant)}?" if meant else ""
    added = " A firm may add a word of its own (DEVELOPERS.md, Add a word)." if "x-words" in schema else ""
    return f"{shown(value)} is not known here.{guess} It may be {', '.join(names)}.{added}"


def _type_words(value: object, types: str | list[str], schema: Mapping[str, Any]) -> str:
    expected = _expected(schema)
    if value is None:
        return _misfit(value, schema)
    if types == "string" and isinstance(value, (int, float)) and not isinstance(value, bool):
        return f'{shown(value)} is a number where text is expected; put it in quotes: "{shown(value)}"'
    if isinstance(value, bool):
        return f"{shown(value)} cannot stand here; {expected}"
    if types in ("number", "integer") and isinstance(value, str) and _WITH_COMMA.fullmatch(value):
        return comma_words(value)
    kind = _TYPES[
        "object"
        if isinstance(value, dict)
        else "array"
        if isinstance(value, list)
        else "string"
        if isinstance(value, str)
        else "number"
    ]
    what = kind if isinstance(value, (dict, list)) else f"{shown(value)} ({kind})"
    return f"{what} cannot stand here; {expected}"


def _expected(schema: Mapping[str, Any]) -> str:
    about = _about(schema)
    if "format" in schema:
        return f"expected {'an' if schema['format'] == 'angle' else 'a'} {schema['format']}{about}"
    types = schema.get("type")
    if isinstance(types, str):
        return f"expected {_TYPES[types]}{about}"
    return f"expected {schema['description']}" if about else "see the form of this file"


def _about(schema: Mapping[str, Any]) -> str:
    """What the schema says a value is, in brackets; "" where it says nothing."""
    about = schema.get("description", "")
    return f" ({about[0].lower()}{about[1:].rstrip('.')})" if about else ""


def _limit(limit: float, kind: str, bare: Units) -> str:
    return SHOWN[kind](limit, bare) if kind in SHOWN and kind != "angle" else f"{limit:g}"


def _slip(value: object, schema: Mapping[str, Any], bare: Units) -> str:
    """A guess at what was meant, where a point or a unit has slipped; "" where nothing plain fits."""
    if isinstance(value, str):
        return ""
    least, most = schema.get("x-least", float("-inf")), schema.get("x-most", float("inf"))
    number = float(value)  # type: ignore[arg-type]
    if schema["format"] == "angle" and number > 0 and most > 90 > least:
        guesses = [round(number * factor, 6) for factor in (10, 0.1, 100, 0.01)]
        fitting = [guess for guess in guesses if least <= guess <= most]
        if fitting:
            return f" Did you mean {min(fitting, key=lambda guess: abs(guess - 90)):g}?"
    if schema["format"] == "length" and number > 0:
        for unit, size in (("m", METRE), ("in", INCH), ("mm", 1.0)):
            if least <= number * size <= most and (unit != "mm" or bare == "inches"):
                return f" Did you mean {number:g} {unit}?"
    if schema["format"] == "temperature":
        other = "F" if bare == "mm" else "C"
        if least <= parse_temperature(f"{number:g} {other}") <= most:
            return f" Did you mean {number:g} {other}?"
    return ""
