"""The words of a paper as the region of the job has them: baseboard for skirting, miter for mitre."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from markupsafe import Markup

from listel.core.contract.tables import load_table
from listel.core.survey.job import Job
from listel.plugins.site import tables

REGIONS = {"united-states": "us", "scotland": "scotland"}
"""The regions with words of their own, and the column that has them."""
_TAG = re.compile(r"(<[^>]*>)")
_OF_AN_ORDER = r"(?!,? +\d|, frieze)"
"""What follows an architrave that is part of a column's order, which has one name everywhere."""


def regional(text: Markup, job: Job) -> Markup:
    """The words of some HTML as the region says them. What the survey itself names, and every tag, stays as it is."""
    column = REGIONS.get(job.building.region or "")
    if column is None:
        return text
    said = _said(column)
    own = sorted({re.escape(str(Markup.escape(name))) for name in _own(job) if name}, key=len, reverse=True)
    known = sorted((re.escape(w) + _OF_AN_ORDER * (w == "architrave") for w in said), key=len, reverse=True)
    found = re.compile(rf"(?P<own>{'|'.join(own) or '(?!)'})|\b(?:{'|'.join(known)})(?!\w)", re.IGNORECASE)

    def put(match: re.Match[str]) -> str:
        word = match[0]
        if match["own"] is not None:
            return word
        new = said[word.lower()]
        return new[:1].upper() + new[1:] if word[:1].isupper() else new

    parts = _TAG.split(text)
    return Markup("".join(part if number % 2 else found.sub(put, part) for number, part in enumerate(parts)))


def _own(job: Job) -> Iterator[str]:
    """What the survey calls things, which nobody renames."""
    yield from (job.title, job.client, job.site, job.surveyor, job.building.significance or "")
    yield from (trim.name for trim in job.trim)
    yield from (room.name for room in job.rooms)
    yield from (opening.name for room in job.rooms for wall in room.walls for opening in wall.openings)
    yield from (fitting.name for room in job.rooms for wall in room.walls for fitting in wall.fittings)
    yield from (trace.note for room in job.rooms for trace in room.evidence)


@cache
def _said(column: str) -> dict[str, str]:
    """Each word of England with the region's."""
    found = {row.name: row[column] for row in load_table(__package__, "words").rows if row.get(column)}
    for row in tables.members().rows:
        new = row.get(column)
        if new and new != row["says"]:
            found |= {row["says"]: new, f"{row['says']}s": f"{new}s"}
    return found
