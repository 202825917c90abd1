"""From a survey file and the command's options to an outcome."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from listel.core.commands.settings import Settings, read_settings
from listel.core.host.engine import Given, Outcome, examine
from listel.core.host.registry import Plugin, Registry, load


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
    """Every file that a command reads: none of them may be an output."""
    settings = read_settings()
    given = [getattr(arguments, name, None) for name in ("survey", "since", "plan", "old", "new", "rates", "beside")]
    files = [path for path in (*given, settings.source) if path is not None]
    return [*files, *settings.plugins, *settings.house, *arguments.plugin, *arguments.house]


def installed(arguments: argparse.Namespace, settings: Settings | None = None, *, reckoners: bool = True) -> Registry:
    """The plugins at work: built in, installed, named in the user's settings and on the command line."""
    settings = settings or read_settings()
    return load([*settings.plugins, *arguments.plugin], reckoners=reckoners)


def at_work(arguments: argparse.Namespace, *, reckoners: bool = True) -> tuple[Registry, list[Plugin]]:
    """The plugins at work, and the house rules named in the user's settings and on the command line.

    Raises SurveyFaults if a house file cannot be read.
    """
    settings = read_settings()
    registry = installed(arguments, settings, reckoners=reckoners)
    house_files = [*settings.house, *arguments.house]
    if not house_files:
        return registry, []
    from listel.core.house.rules import house_plugins

    return registry, house_plugins(house_files, registry)


def examined(path: Path, arguments: argparse.Namespace, given: Sequence[Given] = ()) -> Outcome:
    """Read a survey and run every stage over it, with what is given to plugins beside it. Raises SurveyFaults if the
    survey or a house file cannot be read."""
    return examined_by(path, arguments, given)[0]


def examined_by(path: Path, arguments: argparse.Namespace, given: Sequence[Given] = ()) -> tuple[Outcome, Registry]:
    """The same, with the plugins that were at work. Raises as :func:`examined` does."""
    from listel.core.host.words import schema_with
    from listel.core.survey.reading import read_survey

    registry, house = at_work(arguments, reckoners=False)
    schema = schema_with(plugin for plugin in registry.plugins if plugin.outside)
    return examine(read_survey(path, schema), registry, house, given), registry
