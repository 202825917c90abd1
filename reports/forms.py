"""The statement's forms beside HTML: which are asked for, whether they can be made here, and their files."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from importlib.util import find_spec
from pathlib import Path

from listel.core.survey.faults import InputFault
from listel.core.survey.job import Job
from listel.reports.statement import Statement

FORMS = {"pdf": ".pdf", "word": ".docx", "markdown": ".md"}
"""Each form's option, and the ending of its file."""
_NEEDS = {"pdf": ("typst", "font_lato"), "word": ("typst", "font_lato", "docx"), "markdown": ()}
"""Modules that a form is made with, which its extra of the same name installs."""


def ready(wanted: Iterable[str]) -> None:
    """Raises InputFault, which says what to install, where one of the forms cannot be made here."""
    for form in wanted:
        if any(find_spec(name) is None for name in _NEEDS[form]):
            says = f"--{form} needs more than is installed; install it with"
            raise InputFault(f"{says}: pip install 'listel[{form}]'")


def files(
    statement: Statement, job: Job, wanted: Iterable[str], place: Callable[[str], Path]
) -> tuple[list[tuple[Path, str | bytes]], list[str]]:
    """The files of each form, and what is to be said of them; ``place`` gives the path for an ending.

    A job in inches is set on Letter, any other on A4. Raises MarkupFault where a template leaves the subset.
    """
    paper = "us-letter" if job.units == "inches" else "a4"
    made: list[tuple[Path, str | bytes]] = []
    notes: list[str] = []
    for form in wanted:
        path = place(FORMS[form])
        if form == "pdf":
            from listel.reports.pdf import to_pdf

            pages = to_pdf(statement, paper)
            made.append((path, pages.content))
            notes += [f"{path.name} is not to PDF/A and PDF/UA: {pages.lacks}"] if pages.lacks else []
        elif form == "word":
            from listel.reports.word import to_word

            made.append((path, to_word(statement, paper)))
        else:
            from listel.reports.markdown import to_markdown

            folder = path.with_name(f"{path.stem}-drawings")
            text, drawings = to_markdown(statement, folder.name)
            made += [(path, text), *((folder / name, drawing) for name, drawing in drawings.items())]
    return made, notes
