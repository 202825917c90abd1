"""From a survey file and the command's options to an outcome."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from listel.core.commands.settings import read_settings
from listel.core.host.firm import Firm
from listel.core.host.outcome import Given, Outcome
from listel.core.host.registry import Registry, from_outside, load
from listel.core.survey.job import Job


def add_run_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of every command that examines a survey."""
    parser.add_argument("survey", type=Path, metavar="SURVEY", help="the survey file (YAML)")
    add_plugin_arguments(parser)


def add_plugin_arguments(parser: argparse.ArgumentParser) -> None:
    """The options that say which plugins and house rules are at work."""
    parser.add_argument(
        "--plugin", type=Path, action="append", default=[], metavar="FILE.py", help="use a plugin from a Python file"
    )
    parser.add_argument(
        "--house", type=Path, action="append", default=[], metavar="FILE.yaml", help="use a firm's house rules"
    )


def inputs(arguments: argparse.Namespace) -> list[Path]:
    """Every file that a command reads, templates and dress among them: none of them may be an output."""
    settings = read_settings()
    given = [getattr(arguments, name, None) for name in ("survey", "since", "plan", "old", "new", "rates", "beside")]
    named = [path for path in (*given, settings.source, settings.file("estimate", "rates")) if path is not None]
    firms = [*settings.plugins, *settings.house, *arguments.plugin, *arguments.house]
    templates = [path for file in firms for path in file.parent.glob("*.j2")]
    dress = getattr(arguments, "dress", None) or settings.dress
    return [*named, *firms, *templates, *(dress.glob("*") if dress else ())]


def firm_of(arguments: argparse.Namespace, *, reckoners: bool = False) -> Firm:
    """What is at work: built in, installed, named in the user's settings and on the command line.

    Raises SurveyFaults if a house file cannot be read.
    """
    settings = read_settings()
    firm = Firm(
        plugins=[*settings.plugins, *arguments.plugin],
        house=[*settings.house, *arguments.house],
        reckoners=reckoners,
    )
    if settings.document is not None:
        firm.take_options(settings.document)
    return firm


def installed(arguments: argparse.Namespace) -> Registry:
    """The plugins at work, without the house rules."""
    return load([*read_settings().plugins, *arguments.plugin])


def survey_schema_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """The JSON Schema of a survey with all that is at work; listel's own plugins are loaded only where house rules are.

    Raises SurveyFaults if a house file cannot be read.
    """
    settings = read_settings()
    if settings.house or arguments.house:
        return firm_of(arguments).schema
    from listel.core.host.words import schema_with

    return schema_with(from_outside([*settings.plugins, *arguments.plugin]))


def examined(path: Path, arguments: argparse.Namespace, given: Sequence[Given] = ()) -> Outcome:
    """Read a survey and run every stage over it, with what is given to plugins beside it and the photographs it lists.
    Raises SurveyFaults if the survey or a house file cannot be read."""
    firm = firm_of(arguments)
    return _examined(firm, firm.read(path), path, given)


def examined_text(text: str, path: Path, arguments: argparse.Namespace, given: Sequence[Given] = ()) -> Outcome:
    """The same of a text that is to stand in that file."""
    firm = firm_of(arguments)
    return _examined(firm, firm.read_text(text, path.name), path, given)


def _examined(firm: Firm, job: Job, path: Path, given: Sequence[Given]) -> Outcome:
    if job.photos:
        from listel.core.survey.photographs import photographs

        given = [*given, photographs(job, path.parent)]
    return firm.examine(job, given)
