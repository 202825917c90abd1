"""From a job back to survey data: reading that data again gives an equal job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from listel.core.survey.job import (
    Board,
    Building,
    Defect,
    Ground,
    HeightReading,
    Job,
    Place,
    PlanStep,
    Reading,
    Room,
    Work,
)

_NOT_WRITTEN = frozenset({"path", "lines", "source", "digest"})
_JOB_WORDS = ("title", "reference", "revision", "client", "site", "surveyor", "surveyed")
_SPANS = {"start": "from", "end": "to"}
_SPELLED: dict[type, dict[str, str]] = {
    Board: {"trim": "for"},
    Defect: _SPANS,
    Ground: _SPANS,
    Place: _SPANS,
    PlanStep: {"steps": "step"},
}


def survey_data(job: Job) -> dict[str, Any]:
    """The job as survey data. Lengths are in mm: numbers, or text ("893.0 mm") where the survey's units are inches.

    What the job does not know is left out.
    """
    data: dict[str, Any] = {"listel": 1, "units": job.units}
    if job.invented:
        data["invented"] = True
    if job.note:
        data["note"] = job.note
    data["job"] = {word: getattr(job, word) for word in _JOB_WORDS if getattr(job, word)}
    written = {"invented", "note", "units", *_JOB_WORDS}
    for key, value in _keys(job).items():
        if key not in written and value != {}:
            data[key] = value
    if job.units == "inches":
        from listel.core.survey.reading import survey_schema

        schema = survey_schema()
        data = _with_units(data, schema, schema)
    return data


def _keys(thing: Any) -> dict[str, Any]:
    """The keys of an object as the survey spells them; what is None or empty is left out."""
    spelled = _SPELLED.get(type(thing), {})
    found: dict[str, Any] = {}
    for f in fields(thing):
        if f.name in _NOT_WRITTEN or (isinstance(thing, PlanStep) and f.name == "line"):
            continue
        value = _value(thing, f.name, getattr(thing, f.name))
        if value is not None and value != "" and value != []:
            found[spelled.get(f.name, f.name.replace("_", "-"))] = value
    return found


def _value(thing: Any, name: str, value: Any) -> Any:
    if isinstance(thing, Building) and name in ("built", "built_about"):
        return None if name == "built_about" or value is None else f"about {value}" if thing.built_about else value
    if isinstance(thing, Room) and name == "height":
        return _heights(value)
    if isinstance(thing, Room) and name == "period" and value is not None:
        return int(value) if value.isdecimal() else value
    if isinstance(thing, Work) and name == "durations":
        return dict(value)
    if isinstance(value, Reading):
        return value.first if value.second is None else {"first": value.first, "second": value.second}
    if isinstance(value, tuple):
        return [_item(item) for item in value]
    return _keys(value) if is_dataclass(value) else value


def _item(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(value)
    return _keys(value) if is_dataclass(value) else value


def _heights(readings: tuple[HeightReading, ...]) -> Any:
    if len(readings) == 1 and not readings[0].wall:
        return readings[0].height
    return [
        {"at": f"{one.wall} {one.at} mm", "height": one.height} if one.wall else {"height": one.height}
        for one in readings
    ]


def _with_units(data: Any, schema: Mapping[str, Any], whole: Mapping[str, Any]) -> Any:
    """The data with every length written out as text in mm."""
    if "$ref" in schema:
        schema = whole["$defs"][schema["$ref"].rpartition("/")[2]]
    if isinstance(data, dict):
        known = {**_branch(schema, "properties"), **schema.get("properties", {})}
        return {key: _with_units(value, known.get(key, {}), whole) for key, value in data.items()}
    if isinstance(data, list):
        return [_with_units(item, schema.get("items") or _branch(schema, "items"), whole) for item in data]
    is_length = schema.get("format") == "length" or any(
        one.get("format") == "length" for one in schema.get("anyOf", ())
    )
    return f"{data} mm" if is_length and not isinstance(data, str) else data


def _branch(schema: Mapping[str, Any], key: str) -> Any:
    """What the schema's alternatives hold under a key."""
    return next((one[key] for one in schema.get("anyOf", ()) if key in one), {})
