"""What an older survey said in free text, and how that very record is written now. Free text settles nothing, so
nobody but its writer can say what came of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from listel.core.survey.messages import Fault
from listel.core.survey.yaml_places import Document

CHOICES = (
    "clear, found or dealt-with (of asbestos removed, sealed or by-plan; of a consent applied-for, granted, refused or "
    "not-needed; of what protects nobody done)"
)


def old_forms(document: Document) -> Iterator[Fault]:
    """A fault for each record that tells in ``found`` or ``date``, and for a consent told under ``building``."""
    data = document.data if isinstance(document.data, dict) else {}
    records = data.get("records")
    for at, record in enumerate(records if isinstance(records, list) else []):
        if isinstance(record, dict) and "outcome" not in record and record.keys() & {"found", "date"}:
            says = f"a record now tells its outcome: {CHOICES}. Write it as - {_new_form(record)}"
            yield document.fault(("records", at), says)
    building = data.get("building")
    if isinstance(building, dict) and "consent" in building:
        kept = {"step": "consent", "by": "...", "found": "", "reference": building["consent"]}
        says = f"a consent is a record now: granted, applied-for or refused. Write under records - {_new_form(kept)}"
        yield document.fault(("building", "consent"), says, at_key=True)


def _new_form(record: dict[str, Any]) -> str:
    """The record as it is written now, with dots for what only its writer knows."""
    new = {
        "step": record.get("step", "..."),
        "outcome": "...",
        "by": record.get("by", "..."),
        "as": record.get("as", "..."),
        "on": record.get("on", record.get("date", "...")),
        "reference": record.get("reference", "..."),
        "room": record.get("room"),
        "wall": record.get("wall"),
        "says": record.get("found"),
    }
    return f"{{{', '.join(f'{key}: {_scalar(value)}' for key, value in new.items() if value not in (None, ''))}}}"


def _scalar(value: object) -> str:
    text = " ".join(str(value).split())
    plain = text.replace("...", "x")
    risky = not plain[:1].isalnum() or any(mark in plain for mark in ",:#{}[]'\"")
    return text if not risky else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
