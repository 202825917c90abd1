"""From a survey file to a Job: read with places, judged by the schema and by its own references, then built.

Every fault is told at once, in the order of the file.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from listel.core.survey.job import Job
from listel.core.survey.messages import Fault, SurveyFaults
from listel.core.survey.units import Units
from listel.core.survey.yaml_places import Document, read_document, read_text

__all__ = ["Fault", "SurveyFaults", "job_from_text", "job_of", "read_survey"]


Schema = Mapping[str, Any]
"""The survey's JSON Schema with its words; where none is given, with those of the built-in plugins."""


Slips = Callable[[Job], Iterable[Fault]]
"""What is wrong with the records and departures of a job beside the rules at work."""


def read_survey(path: Path, schema: Schema | None = None, slips: Slips | None = None) -> Job:
    """The job a survey file tells of. Raises SurveyFaults, with every fault, where it cannot be read."""
    return job_of(read_document(path), path.name, schema, slips)


def job_from_text(
    text: str, name: str = "survey.yaml", schema: Schema | None = None, slips: Slips | None = None
) -> Job:
    """The job that a survey's text tells of; ``name`` stands for the file. Raises as :func:`read_survey` does."""
    return job_of(read_text(text, name), name, schema, slips)


def survey_units(data: Mapping[str, Any]) -> Units:
    """How a survey's data writes lengths."""
    return "inches" if data.get("units") == "inches" else "mm"


def job_of(document: Document, source: str, schema: Schema | None = None, slips: Slips | None = None) -> Job:
    """The job in a document that was read; ``source`` names the file. Raises SurveyFaults with every fault, the
    ``slips`` of its records and departures among them."""
    from listel.core.survey.data import read_job
    from listel.core.survey.own import read_own
    from listel.core.survey.taking import take_words
    from listel.core.survey.words import built_in_schema

    schema = schema or built_in_schema()
    taken = take_words(document, schema)
    units = survey_units(document.data)
    lines = document.lines()
    columns = document.columns("records", "departures")
    form, sense = _faults(document, schema, units)
    if faults := [*form, *sense]:
        notes = read_job(_notes(document.data, form), units, lines=lines, columns=columns, source=document.file)
        raise SurveyFaults([*faults, *(slips(notes) if slips else ())])
    digest = _digest(document.data)
    read_own(document.data, schema, units)
    job = read_job(document.data, units, lines=lines, columns=columns, source=source, digest=digest, taken=taken)
    if faults := [replace(fault, file=document.file) for fault in (slips(job) if slips else ())]:
        raise SurveyFaults(faults)
    return job


def _notes(data: Any, faults: Iterable[Fault]) -> dict[str, Any]:
    """Of a survey with faults what its records and departures are judged by, each at its number: the records that have
    none, the rules that are departed from, the region."""
    bad = {fault.keys[:2] for fault in faults if fault.keys}
    held = data if isinstance(data, dict) else {}
    lists = {key: held[key] if isinstance(held.get(key), list) else [] for key in ("records", "departures")}
    rules = [each.get("rule") if isinstance(each, dict) else "" for each in lists["departures"]]
    nothing = {"step": "", "outcome": "done", "by": ""}
    building = {} if ("building", "region") in bad else held.get("building")
    return {
        "job": {"title": ""},
        "building": {key: building[key] for key in ("region",) if key in building}
        if isinstance(building, dict)
        else {},
        "records": [nothing if ("records", at) in bad else each for at, each in enumerate(lists["records"])],
        "departures": [{"rule": str(rule), "reason": "", "agreed": ""} for rule in rules],
    }


def _faults(document: Document, schema: Schema, units: Units) -> tuple[list[Fault], list[Fault]]:
    """What is wrong with the document: in its form, and in its own sense."""
    from listel.core.survey.old_records import old_forms
    from listel.core.survey.references import reference_faults
    from listel.core.survey.schema_words import schema_faults

    first = [*document.faults, *old_forms(document)]
    told = {(fault.line, fault.column) for fault in first}
    inside = tuple(f"{fault.path} > " for fault in first[len(document.faults) :]) or ("\n",)

    def fresh(faults: Iterable[Fault]) -> list[Fault]:
        untold = (fault for fault in faults if (fault.line, fault.column) not in told)
        return [fault for fault in untold if not f"{fault.path} > ".startswith(inside)]

    form = [*first, *fresh(schema_faults(document, schema, units))]
    return form, fresh(reference_faults(document, units, schema, form))


def _digest(data: object) -> str:
    """SHA-256 of the survey's data: comments, order of keys and layout do not count."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
