"""From a survey file to a Job: read with places, judged by the schema and by its own references, then built.

Every fault is told at once, in the order of the file.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from listel.core.files import beside
from listel.core.survey.job import Job
from listel.core.survey.messages import Fault, SurveyFaults
from listel.core.survey.units import Units
from listel.core.survey.yaml_places import Document, read_document, read_text

__all__ = ["Fault", "SurveyFaults", "job_from_text", "job_of", "read_survey", "survey_schema"]


def read_survey(path: Path) -> Job:
    """The job a survey file tells of. Raises SurveyFaults, with every fault, where it cannot be read."""
    return job_of(read_document(path), path.name)


def job_from_text(text: str, name: str = "survey.yaml") -> Job:
    """The job that a survey's text tells of; ``name`` stands for the file. Raises as :func:`read_survey` does."""
    return job_of(read_text(text, name), name)


@cache
def survey_schema() -> dict[str, Any]:
    """The JSON Schema of a survey."""
    text = beside("listel.schemas", "survey.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def survey_units(data: Mapping[str, Any]) -> Units:
    """How a survey's data writes lengths."""
    return "inches" if data.get("units") == "inches" else "mm"


def job_of(document: Document, source: str) -> Job:
    """The job in a document that was read; ``source`` names the file. Raises SurveyFaults with every fault."""
    units, digest = survey_units(document.data), _digest(document.data)
    _judge(document, units)
    from listel.core.survey.data import read_job

    lines = MappingProxyType(document.lines())
    return read_job(document.data, units, lines=lines, source=source, digest=digest)


def _judge(document: Document, units: Units) -> None:
    """Hold the document to the schema and to its own references. Raises SurveyFaults with every fault."""
    from listel.core.survey.references import reference_faults
    from listel.core.survey.schema_words import schema_faults

    judged = [*schema_faults(document, survey_schema(), units), *reference_faults(document, units)]
    told = {(fault.line, fault.column) for fault in document.faults}
    faults = [*document.faults, *(fault for fault in judged if (fault.line, fault.column) not in told)]
    if faults:
        raise SurveyFaults(faults)


def _digest(data: object) -> str:
    """SHA-256 of the survey's data: comments, order of keys and layout do not count."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
