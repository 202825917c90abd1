"""From a survey file to a Job: read with places, judged by the schema and by its own references, then built.

Every fault is told at once, in the order of the file.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from listel.core.survey.job import Job
from listel.core.survey.messages import Fault, SurveyFaults
from listel.core.survey.units import Units
from listel.core.survey.yaml_places import Document, read_document, read_text

__all__ = ["Fault", "SurveyFaults", "job_from_text", "job_of", "read_survey", "survey_schema"]


Schema = Mapping[str, Any]
"""The survey's JSON Schema with its words; where none is given, with those of the built-in plugins."""


def read_survey(path: Path, schema: Schema | None = None) -> Job:
    """The job a survey file tells of. Raises SurveyFaults, with every fault, where it cannot be read."""
    return job_of(read_document(path), path.name, schema)


def job_from_text(text: str, name: str = "survey.yaml", schema: Schema | None = None) -> Job:
    """The job that a survey's text tells of; ``name`` stands for the file. Raises as :func:`read_survey` does."""
    return job_of(read_text(text, name), name, schema)


def survey_schema() -> dict[str, Any]:
    """The JSON Schema of a survey with the words of the built-in plugins."""
    from listel.core.host.words import built_in_schema

    return built_in_schema()


def survey_units(data: Mapping[str, Any]) -> Units:
    """How a survey's data writes lengths."""
    return "inches" if data.get("units") == "inches" else "mm"


def job_of(document: Document, source: str, schema: Schema | None = None) -> Job:
    """The job in a document that was read; ``source`` names the file. Raises SurveyFaults with every fault."""
    from listel.core.survey.data import read_job
    from listel.core.survey.own import read_own
    from listel.core.survey.taking import take_words

    schema = schema or survey_schema()
    taken = take_words(document, schema)
    units = survey_units(document.data)
    _judge(document, schema, units)
    lines = document.lines()
    columns = document.columns("records", "departures")
    digest = _digest(document.data)
    read_own(document.data, schema, units)
    return read_job(document.data, units, lines=lines, columns=columns, source=source, digest=digest, taken=taken)


def _judge(document: Document, schema: Schema, units: Units) -> None:
    """Hold the document to the schema and to its own references. Raises SurveyFaults with every fault."""
    from listel.core.survey.old_records import old_forms
    from listel.core.survey.references import reference_faults
    from listel.core.survey.schema_words import schema_faults

    first = [*document.faults, *old_forms(document)]
    judged = [*schema_faults(document, schema, units), *reference_faults(document, units, schema)]
    told = {(fault.line, fault.column) for fault in first}
    inside = tuple(f"{fault.path} > " for fault in first[len(document.faults) :]) or ("\n",)
    judged = [fault for fault in judged if not f"{fault.path} > ".startswith(inside)]
    faults = [*first, *(fault for fault in judged if (fault.line, fault.column) not in told)]
    if faults:
        raise SurveyFaults(faults)


def _digest(data: object) -> str:
    """SHA-256 of the survey's data: comments, order of keys and layout do not count."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
