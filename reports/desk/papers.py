"""The papers of the desk: each made of the outcome as it stands, when it is asked for."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from listel.core.contract.stage import Reader
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.own import Schema


@dataclass(frozen=True, kw_only=True)
class Kit:
    """What papers are made with beside the outcome: the survey's schema, the firm's ``dress``, and whether it gave its
    rates."""

    schema: Schema
    dress: Path | None = None
    rates: bool = False


Make = Callable[[Outcome, Kit], str | bytes]


@dataclass(frozen=True, kw_only=True)
class Paper:
    """A paper: what it is called, whom it is for, how its file's name ends, and how it is made; ``priced``: only by a
    firm's rates."""

    title: str
    says: str
    ending: str
    make: Make
    priced: bool = False


def made(paper: Paper, outcome: Outcome, kit: Kit) -> tuple[str | bytes, str]:
    """A paper and its media type. Raises InputFault where it cannot be made here."""
    return paper.make(outcome, kit), _MEDIA[paper.ending.rpartition(".")[2]]


def _statement(readers: Reader) -> Make:
    def make(outcome: Outcome, kit: Kit) -> str:
        from listel.reports.statement import render

        return render(outcome, readers=readers, dress=kit.dress)

    return make


def _form(form: str) -> Make:
    def make(outcome: Outcome, kit: Kit) -> str | bytes:
        from listel.reports.forms import files, ready
        from listel.reports.statement import compose

        ready([form])
        statement = compose(outcome, dress=kit.dress)
        made_files = files(statement, outcome.job, [form], lambda ending: Path(f"statement{ending}"))[0]
        return made_files[0][1]

    return make


def _cuts(outcome: Outcome, _: Kit) -> str:
    from listel.plugins.cutting import CuttingList, cuts_csv
    from listel.plugins.panelling import Panelling

    found = outcome.sheet.get(CuttingList)
    if found is None:
        raise InputFault("no cutting list could be made; the findings say why")
    return cuts_csv(outcome.job, found, outcome.sheet.get(Panelling))


def _estimate(ending: str) -> Make:
    def make(outcome: Outcome, _: Kit) -> str | bytes:
        from listel.plugins.estimate import Estimate, as_file

        found = outcome.sheet.get(Estimate)
        if found is None:
            raise InputFault("no estimate could be made; the findings say why")
        return as_file(ending, found, "office")

    return make


def _rates(outcome: Outcome, _: Kit) -> str:
    from listel.plugins.estimate import Estimate, rates_to_fill_in

    found = outcome.sheet.get(Estimate)
    if found is None:
        raise InputFault("what the work takes could not be counted; the findings say why")
    return rates_to_fill_in(outcome.job, found)


def _calendar(outcome: Outcome, _: Kit) -> str:
    from listel.reports.calendar import calendar

    return calendar(outcome)


def _blank(outcome: Outcome, kit: Kit) -> str | bytes:
    from listel.reports.papers.form import written

    return written(outcome.job, ".html", kit.schema)


def _outcome(outcome: Outcome, _: Kit) -> str:
    return json.dumps(outcome.to_json(), ensure_ascii=False, indent=1)


PAPERS = {
    "statement": Paper(
        title="Method statement, whole", says="every part", ending="statement.html", make=_statement("all")
    ),
    "client": Paper(
        title="For the client", says="what will be done", ending="statement-client.html", make=_statement("client")
    ),
    "officer": Paper(
        title="For the conservation officer",
        says="what is touched, and how it comes off again",
        ending="statement-officer.html",
        make=_statement("officer"),
    ),
    "workshop": Paper(
        title="Workshop pack",
        says="room by room: mark, drill, fix; pieces, boards, sections, shopping",
        ending="statement-workshop.html",
        make=_statement("workshop"),
    ),
    "snags": Paper(
        title="For the snags",
        says="room by room: what to look for, and what is to be mended",
        ending="statement-snags.html",
        make=_statement("snags"),
    ),
    "handover": Paper(
        title="Hand-over pack",
        says="what was done and with what, its care, how it comes off, who to call",
        ending="statement-handover.html",
        make=_statement("handover"),
    ),
    "as-fixed": Paper(
        title="Record as fixed",
        says="what was done and found, as the records and what is done so far tell it",
        ending="statement-as-fixed.html",
        make=_statement("as-fixed"),
    ),
    "pdf": Paper(title="Statement, PDF", says="to send and to print", ending="statement.pdf", make=_form("pdf")),
    "word": Paper(title="Statement, Word", says="to go on writing in", ending="statement.docx", make=_form("word")),
    "cutting": Paper(title="Cutting list, CSV", says="every cut, for the saw", ending="cuts.csv", make=_cuts),
    "calendar": Paper(
        title="Programme, calendar",
        says="steps, visits and waits as days, for any calendar (RFC 5545)",
        ending="programme.ics",
        make=_calendar,
    ),
    "rates": Paper(
        title="Rates to fill in",
        says="every figure that this job's estimate asks for; the desk started with --rates FILE has the estimate here",
        ending="rates.yaml",
        make=_rates,
    ),
    "estimate": Paper(
        title="Estimate, workbook",
        says="for the office: hours, prices and margin by the firm's rates; formulas add up",
        ending="estimate.xlsx",
        make=_estimate(".xlsx"),
        priced=True,
    ),
    "estimate-csv": Paper(
        title="Estimate, CSV", says="the same lines", ending="estimate.csv", make=_estimate(".csv"), priced=True
    ),
    "form": Paper(
        title="Form for the site", says="what is known, and what is to be taken", ending="form.html", make=_blank
    ),
    "outcome": Paper(
        title="Outcome, JSON", says="keep it to compare a later revision with", ending="outcome.json", make=_outcome
    ),
}
"""Every paper by its name in the address."""


def papers_for(kit: Kit) -> dict[str, Paper]:
    """Those that can be made: what is priced only where the firm gave its rates."""
    return {name: paper for name, paper in PAPERS.items() if kit.rates or not paper.priced}


_MEDIA = {
    "html": "text/html",
    "pdf": "application/pdf",
    "docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "csv": "text/csv",
    "ics": "text/calendar",
    "yaml": "application/yaml",
    "json": "application/json",
}


def compared_in_words(outcome: Outcome, before: str) -> list[str]:
    """What changed since an earlier outcome, told as JSON: lines, an empty one before each room.

    Raises OutcomeFault where it is none.
    """
    from listel.reports.compare import compared
    from listel.reports.compare_command import outcome_in, printed

    return list(printed(compared(outcome_in(before, "the earlier outcome"), outcome.to_json())))
