"""listel as a library: read a survey, examine it, render what came of it, audit a plan; one job or many.

Nothing is kept between calls and nothing of the user's settings is read; a Job and an Outcome are plain data that
pickle and copy. All of it may be called from any thread.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args, overload

from listel.core.contract.stage import Reader
from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.plugins.estimate import Estimate, read_rates
from listel.plugins.sequence import Audit

if TYPE_CHECKING:
    from listel.reports.compare import Comparison


def read(survey: Path | str, firm: Firm | None = None) -> Job:
    """The job that a survey tells of: a file, by its path, or its text, which has more than one line.

    Raises Faults, with every fault at its line and column.
    """
    firm = firm or Firm()
    if isinstance(survey, str) and "\n" in survey:
        return firm.read_text(survey, "survey.yaml")
    return firm.read(Path(survey))


def examine(job: Job, firm: Firm | None = None, *, limits: bool = True) -> Outcome:
    """Everything that came of a job: typed results, findings with their grounds, what ran.

    Code of plugins from outside runs in a process of its own and within a time; with ``limits`` False it runs in this
    one without, and keeping it in bounds is the caller's matter. Raises Faults for a record or a departure of the
    survey that the rules at work do not allow.
    """
    return (firm or Firm()).examine(job, limits=limits)


@overload
def render(
    outcome: Outcome,
    reader: Reader = "all",
    form: Literal["html", "json"] = "html",
    *,
    dated: str = "",
    revision: str = "",
    dress: Path | None = None,
) -> str:
    """As text."""


@overload
def render(
    outcome: Outcome,
    reader: Reader,
    form: Literal["pdf", "word"],
    *,
    dated: str = "",
    revision: str = "",
    dress: Path | None = None,
) -> bytes:
    """As bytes."""


def render(
    outcome: Outcome,
    reader: Reader = "all",
    form: str = "html",
    *,
    dated: str = "",
    revision: str = "",
    dress: Path | None = None,
) -> str | bytes:
    """The method statement, or one reader's paper, as ``html``, ``pdf`` or ``word``; or the outcome as ``json``.

    ``dated`` and ``revision`` stand in for the survey's; ``dress`` is a folder of a firm's own templates. The same
    arguments give the same bytes. Raises InputFault where a template cannot be rendered, or a form needs more than is
    installed; ValueError for a form or a reader there is none of.
    """
    from listel.reports import forms
    from listel.reports.statement import compose, to_html

    if form == "json":
        return json.dumps(outcome.to_json(), ensure_ascii=False)
    if form not in ("html", "pdf", "word"):
        raise ValueError(f"there is no form {form}; there are html, json, pdf and word")
    if reader not in (known := get_args(Reader)):
        raise ValueError(f"there is no reader {reader}; there are {', '.join(known)}")
    statement = compose(outcome, readers=reader, dated=dated, revision=revision, dress=dress)
    if form == "html":
        return to_html(statement)
    forms.ready([form])
    ((_, content),), _ = forms.files(statement, outcome.job, [form], lambda ending: Path(f"statement{ending}"))
    return content


def compare(old: Outcome | Mapping[str, Any], new: Outcome | Mapping[str, Any]) -> Comparison:
    """What changed from one outcome to another; each may be its JSON form, as it was kept of an earlier revision.

    Raises ValueError where that is no outcome.
    """
    from listel.reports.compare import compared

    before, after = (each.to_json() if isinstance(each, Outcome) else each for each in (old, new))
    return compared(before, after)


def estimate(job: Job, rates: Path | str | None = None, firm: Firm | None = None) -> Estimate:
    """What a job costs by the rates in a firm's file; without one its quantities.

    Raises Faults where the rates cannot be read, as :func:`examine` does besides; KeyError where a plugin from outside
    keeps it from being reckoned.
    """
    given = (read_rates(Path(rates)),) if rates is not None else ()
    return (firm or Firm()).examine(job, given).sheet[Estimate]


def audit(outcome: Outcome, plan: Path | str | None = None) -> Audit:
    """A plan of work held against the steps that a job needs: a file, by its path, or text with one step a line;
    without one, the survey's own.

    Raises InputFault where there is no plan, or none of its lines is a step.
    """
    from listel.plugins.sequence.command import audit_of
    from listel.plugins.sequence.plan_file import plan_from_text, read_plan

    if plan is None:
        return audit_of(outcome, outcome.job.plan, outcome.job.source)
    if isinstance(plan, str) and "\n" in plan:
        return audit_of(outcome, plan_from_text(plan, "the plan"), "the plan")
    return audit_of(outcome, read_plan(Path(plan)), str(plan))


@dataclass(frozen=True, kw_only=True)
class Examined:
    """What came of one of many jobs: the ``name`` of its file, its outcome as JSON text and its statement as HTML, or
    the ``fault`` in words where there is no outcome."""

    name: str
    json: str = ""
    html: str = ""
    fault: str = ""


def examine_many(
    surveys: Iterable[Path | str], executor: Executor | None = None, firm: Firm | None = None, *, reader: Reader = "all"
) -> Iterator[Examined]:
    """Every survey examined and its statement rendered, in the order given: by any executor of ``concurrent.futures``,
    or without one here, one after the other.

    Each survey is a file, by its path; its text goes to the executor, and text comes back. What goes wrong with one,
    the end of its process as well, is that one's ``fault``.
    """
    firm = firm or Firm()
    paths = [Path(survey) for survey in surveys]
    if executor is None:
        for path in paths:
            text = _text(path)
            yield text if isinstance(text, Examined) else _examined(path.name, text, firm, reader)
        return
    running: list[Any] = []
    for path in paths:
        text = _text(path)
        running.append(text if isinstance(text, Examined) else _submitted(executor, path.name, text, firm, reader))
    for path, future in zip(paths, running, strict=True):
        if isinstance(future, Examined):
            yield future
            continue
        try:
            yield future.result()
        except Exception as error:
            yield _failed(path.name, error)


def _text(path: Path) -> str | Examined:
    from listel.core.survey.yaml_places import text_of

    try:
        return text_of(path, "survey")
    except InputFault as fault:
        return Examined(name=path.name, fault=str(fault))


def _submitted(executor: Executor, name: str, text: str, firm: Firm, reader: Reader) -> Any:
    try:
        return executor.submit(_examined, name, text, firm, reader)
    except Exception as error:
        return _failed(name, error)


def _examined(name: str, text: str, firm: Firm, reader: Reader) -> Examined:
    try:
        outcome = firm.examine(firm.read_text(text, name))
        return Examined(name=name, json=render(outcome, reader, "json"), html=render(outcome, reader, "html"))
    except InputFault as fault:
        return Examined(name=name, fault=str(fault))
    except Exception as error:
        return _failed(name, error)


def _failed(name: str, error: Exception) -> Examined:
    return Examined(name=name, fault=f"{name}: {type(error).__name__}: {error}")
