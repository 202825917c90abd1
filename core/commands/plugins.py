"""``listel plugins``: what is installed, in running order; the catalogue; a new plugin to start from."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from listel.core.commands.run import add_plugin_arguments, firm_of
from listel.core.contract.stage import TIES, Stage
from listel.core.host.order import in_order
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument(
        "--lines",
        metavar="KIND",
        nargs="?",
        const="",
        help="print what a line of that kind holds, each key with its meaning, unit and words; without KIND, the kinds",
    )
    parser.add_argument(
        "--all",
        action="store_true",
        help="with --lines: what each holds; with --lines KIND: the lines of the demo",
    )
    parser.add_argument(
        "--rules",
        metavar="PLUGIN",
        nargs="?",
        const="",
        help="print every rule that can be told, or those of one plugin: when, why, and what settles it",
    )
    parser.add_argument(
        "--sources",
        action="store_true",
        help="print what listel rests on, by standing, what was looked at longest ago first, and what leans on it",
    )
    parser.add_argument(
        "--start", nargs=2, metavar=("DIR", "NAME"), help="write a new plugin into DIR, ready to install and to test"
    )
    add_plugin_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print what is asked for; exit status 1 if a plugin is at fault."""
    if arguments.start:
        from listel.core.commands.start import start_plugin

        folder, name = arguments.start
        start_plugin(Path(folder), name)
        print(f"started {name} in {folder}; next: cd {folder} && pip install . pytest && pytest")
        return 0
    if arguments.sources:
        from listel.core.commands.sources import print_sources

        return print_sources(as_json=arguments.json)
    from listel.core.commands.catalogue import print_lines, print_rules

    if arguments.lines is not None:
        return print_lines(arguments)
    if arguments.rules is not None:
        return print_rules(arguments)
    firm = firm_of(arguments, reckoners=True)
    return _print_installed(Registry((*firm.registry.plugins, *firm.house)), as_json=arguments.json)


# ---------------------------------------------------------------- what is installed


def _print_installed(registry: Registry, *, as_json: bool) -> int:
    if as_json:
        print(json.dumps(_rows(registry), indent=1))
    else:
        for row in _rows(registry):
            if row["name"]:
                of = f"{row['plugin']} {row['version']}".strip()
                print(f"{row['name']} ({of}, {row['origin']})")
            for key in TIES:
                if row[key]:
                    print(f"  {key:<8}{', '.join(row[key])}")
        for plugin in registry.plugins:
            if plugin.outside:
                brought = _adds(plugin)
                print(f"\n{plugin.called}, {plugin.origin}, adds{':' if brought else ' nothing'}")
                for word, names in brought.items():
                    print(f"  {word:<10} {', '.join(names)}")
    faults = [(plugin.name, fault) for plugin in registry.plugins for fault in plugin.faults]
    for name, fault in faults:
        print(f"{name}: {fault}", file=sys.stderr)
    return 1 if faults else 0


def _adds(plugin: Plugin) -> dict[str, list[str]]:
    """What a plugin brings, by name."""
    brought = {
        "stages": [each.name for each in plugin.stages],
        "reckoners": [each.name for each in plugin.reckoners],
        "steps": [each.name for each in plugin.steps],
        "words": [f"{phrase} for {each.step}" for each in plugin.words for phrase in each.phrases],
        "sections": [each.name for each in plugin.sections],
        "weights": [f"{each.rule} as {each.weight}" for each in plugin.weights],
        "says": [each.rule for each in plugin.wordings],
        "heights": [each.name for each in plugin.heights],
        "rows": [f"{row.name} ({table.name})" for table in plugin.tables() for row in table],
        "fields": [f"{key} ({each.on})" for each in plugin.fields for key in each.properties],
        "options": [key for each in plugin.options for key in each.properties],
    }
    return {word: names for word, names in brought.items() if names}


def _rows(registry: Registry) -> list[dict[str, Any]]:
    """A row for each stage in running order, then one without a stage's name for each plugin that has none."""
    owners = {stage.name: plugin for plugin, stage in registry.stages()}
    stages = [(owners[stage.name], stage) for stage in in_order([stage for _, stage in registry.stages()])]
    none = Stage("", lambda job, sheet: ())
    return [
        {
            "name": stage.name,
            "plugin": plugin.name,
            "version": plugin.version,
            "origin": plugin.origin,
            **{key: [kind.__name__ for kind in getattr(stage, key)] for key in TIES},
        }
        for plugin, stage in (*stages, *((plugin, none) for plugin in registry.plugins if not plugin.stages))
    ]
