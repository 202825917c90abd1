"""``listel statement SURVEY``: write the method statement, and tell in short what is in it."""

from __future__ import annotations

import argparse
import json
from collections import Counter
from pathlib import Path

from listel.core.commands.run import add_run_arguments, examined, examined_text, inputs, survey_schema_of
from listel.core.commands.settings import read_settings
from listel.core.commands.show import print_json, spoken
from listel.core.commands.waiting import waiting
from listel.core.contract.findings import WEIGHTS
from listel.core.contract.stage import READERS
from listel.core.files import refuse_outputs, write_all
from listel.core.host.collecting import uncollected
from listel.core.host.outcome import Outcome
from listel.core.survey.job import Job
from listel.core.survey.messages import SurveyFaults
from listel.plugins.estimate import add_rates_argument, given_rates
from listel.reports.forms import FORMS

MOST_SHOWN = 5
ENDINGS = (".html", ".pdf", ".docx", ".md")
"""Endings by which --out is a file's name; any other is a folder's."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add_run_arguments(parser)
    add_rates_argument(parser)
    parser.add_argument("--out", type=Path, metavar="PLACE", help="a folder or a file (default: beside the survey)")
    parser.add_argument("--for", dest="readers", choices=READERS, default="all", help="whose part (default: all)")
    parser.add_argument(
        "--as-fixed", dest="readers", action="store_const", const="as-fixed", help="the record of the finished work"
    )
    parser.add_argument(
        "--revise", action="store_true", help="issue it as the next revision, the outcome kept beside as NAME-A.json"
    )
    parser.add_argument("--pdf", action="store_true", help="write a PDF too (needs: pip install 'listel[pdf]')")
    parser.add_argument("--word", action="store_true", help="write a Word file too (needs: pip install 'listel[word]')")
    parser.add_argument(
        "--markdown", action="store_true", help="write Markdown too, its drawings in a folder beside it"
    )
    parser.add_argument(
        "--calendar", type=Path, metavar="FILE.ics", help="write the programme as a calendar too (RFC 5545)"
    )
    parser.add_argument("--dxf", action="store_true", help="write each trim's section too (DXF, mm), for the cutter")
    parser.add_argument("--json", action="store_true", help="print the outcome as JSON and write no file")
    parser.add_argument("--dated", default="", metavar="DATE", help="date of the statement (default: the survey's)")
    parser.add_argument("--revision", default="", metavar="REVISION", help="its revision (default: the survey's)")
    parser.add_argument("--since", type=Path, metavar="OUTCOME.json", help="mark what changed since then")
    parser.add_argument("--dress", type=Path, metavar="FOLDER", help="a firm's own templates, style sheet, logo")


@uncollected()
def run(arguments: argparse.Namespace) -> int:
    """Write the statement, or print the outcome. Gives 1 while a hold is open, else 0."""
    _judge(arguments)
    if not arguments.json:
        endings = [".html", *(FORMS[form] for form in _wanted(arguments))]
        named = [arguments.calendar] if arguments.calendar else []
        refuse_outputs([*named, *(_place(arguments, f"statement{ending}") for ending in endings)], inputs(arguments))
    with waiting("statement"):
        outcome = examined(arguments.survey, arguments, given_rates(arguments))
    if arguments.json:
        print_json(_as_json(outcome, arguments.readers))
        return 0 if outcome.fit_for_issue else 1
    _judge_days(outcome.job, arguments.dated)
    issued: list[tuple[Path, str | bytes]] = []
    with waiting("statement"):
        if arguments.revise:
            outcome, issued = _revised(outcome, arguments)
        outcome, files, notes = _files(outcome, arguments)
    files += issued
    if arguments.calendar:
        from listel.reports.calendar import calendar

        files = [*files, (arguments.calendar, calendar(outcome, arguments.dated).encode())]
    photos = [arguments.survey.parent / photo.file for photo in outcome.job.photos]
    refuse_outputs([path for path, _ in files if (path, _) not in issued], [*inputs(arguments), *photos])
    write_all(files)
    with spoken(outcome.job):
        _account(outcome)
    for path, _ in files:
        if path.suffix != ".svg":
            print(f"written    {path}")
    drawings = [path for path, _ in files if path.suffix == ".svg"]
    if drawings:
        print(f"written    {drawings[0].parent} (a folder of {len(drawings)} drawings)")
    for note in notes:
        print(f"note       {note}")
    return 0 if outcome.fit_for_issue else 1


def _judge_days(job: Job, dated: str) -> None:
    """Raises SurveyFaults for each record of a day after that which the statement is given, as 2026-03-14."""
    says = f"a record is none of a day after that of the statement, {dated}"
    if faults := [job.fault(record, "on", says) for record in job.records if dated[:4].isdigit() and record.on > dated]:
        raise SurveyFaults(faults)


def _as_json(outcome: Outcome, readers: str) -> object:
    """The outcome; of the record as fixed what is in it, with the outcome's digest. Raises InputFault as the paper
    does."""
    if readers != "as-fixed":
        return outcome.to_json()
    from listel.reports.papers.as_fixed import as_json

    return as_json(outcome)


def _revised(outcome: Outcome, arguments: argparse.Namespace) -> tuple[Outcome, list[tuple[Path, str | bytes]]]:
    """The outcome as the next revision, with the survey that names it and the outcome that is kept beside it."""
    from listel.reports.revision import next_revision

    issue = next_revision(arguments.survey, outcome)
    arguments.since = arguments.since or issue.since
    arguments.dated = arguments.dated or issue.dated
    if issue.text is not None:
        outcome = examined_text(issue.text, arguments.survey, arguments, given_rates(arguments))
    kept = json.dumps(outcome.to_json(), indent=1, ensure_ascii=False)
    survey = [(arguments.survey.resolve(), issue.text)] if issue.text is not None else []
    return outcome, [*survey, (issue.place, kept)]


def _wanted(arguments: argparse.Namespace) -> list[str]:
    """The forms asked for beside HTML."""
    return [form for form in ("pdf", "word", "markdown") if getattr(arguments, form)]


def _judge(arguments: argparse.Namespace) -> None:
    """Raises InputFault, before anything is reckoned or written, where a form asked for cannot be made."""
    wanted = _wanted(arguments)
    if wanted and not arguments.json:
        from listel.reports.forms import ready

        ready(wanted)


def _files(
    outcome: Outcome, arguments: argparse.Namespace
) -> tuple[Outcome, list[tuple[Path, str | bytes]], list[str]]:
    """The outcome as the statement tells it, every file asked for, with its content, and what is to be said of them."""
    from listel.reports.statement import composed, to_html

    since = None
    if arguments.since:
        from listel.reports.compare_command import read_outcome

        since = read_outcome(arguments.since)
    given = {
        "dated": arguments.dated,
        "revision": arguments.revision,
        "dress": arguments.dress or read_settings().dress,
    }
    outcome, statement = composed(
        outcome, readers=arguments.readers, since=since, schema=survey_schema_of(arguments), **given
    )
    part = "" if arguments.readers == "all" else f"-{arguments.readers}"
    page = _place(arguments, f"statement{part}.html")
    pages: list[tuple[Path, str | bytes]] = [(page, to_html(statement))]
    if arguments.dxf:
        from listel.reports.dxf import profiles

        drawn = profiles(outcome.job)
        pages += [(page.with_name(f"{arguments.survey.stem}-{name}"), text) for name, text in drawn.items()]
    wanted = _wanted(arguments)
    if not wanted:
        return outcome, pages, []
    from listel.reports import forms

    files, notes = forms.files(
        statement, outcome.job, wanted, lambda ending: _place(arguments, f"statement{part}{ending}")
    )
    return outcome, [*pages, *files], notes


def _place(arguments: argparse.Namespace, ending: str) -> Path:
    """Where a file goes: beside the survey, in the folder given, or at the very file given."""
    survey, out = arguments.survey, arguments.out
    name = f"{survey.stem}-{ending}"
    if out is None:
        return Path(survey.parent / name)
    if out.suffix in ENDINGS and not out.is_dir():
        return Path(out.with_suffix(Path(ending).suffix))
    return Path(out / name)


def _account(outcome: Outcome) -> None:
    """A short account on standard output: rooms, runs, metres of each trim, findings by weight, what holds the job."""
    from listel.plugins.conservation import OfficerTable
    from listel.reports.opening import quantity, runs

    job = outcome.job
    told = runs(outcome)
    print(f"job        {job.title[:200]}")
    print(f"rooms      {len(job.rooms)}, with {sum(len(room.walls) for room in job.rooms)} walls")
    for run in told:
        amount = run.much or ("it mends old trim" if run.mends else "length not known")
        count = f"{run.runs} run{'s' if run.runs != 1 else ''}, " if run.by_length else ""
        print(f"trim       {run.named}: {count}{amount}")
    table = outcome.sheet.get(OfficerTable) or OfficerTable()
    if any(not item.new for item in table.items):
        old = [total for total in table.totals if total.length and total.name != "new"]
        print(f"old trim   {', '.join(f'{quantity(total.length / 1000, job)} {total.name}' for total in old)}")
    elif not job.trim:
        print("trim       none yet: write under trim: what is to be fixed, and where")
    weights = Counter("settled" if finding.settled else finding.weight for finding in outcome.findings)
    counts = [f"{weights[weight]} {weight}" for weight in (*WEIGHTS, "settled") if weights[weight]]
    print(f"findings   {', '.join(counts) or 'none'}")
    for hold in outcome.holds[:MOST_SHOWN]:
        print(f"hold       {hold.rule} ({hold.where.told(outcome.job.units)}): {hold.says}")
    if len(outcome.holds) > MOST_SHOWN:
        print(f"hold       and {len(outcome.holds) - MOST_SHOWN} more, in the statement")
    print(f"status     {'no hold is open' if outcome.fit_for_issue else 'not for issue'}")
