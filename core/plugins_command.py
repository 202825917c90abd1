"""``listel plugins``: what is installed, in running order; what a kind of line holds; a new plugin to start from."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any, get_type_hints

from listel.core.faults import InputFault
from listel.core.files import beside
from listel.core.lines import ABOUT_JOB, line_form, line_kinds, lines_of, meanings
from listel.core.order import in_order
from listel.core.registry import Registry
from listel.core.run import add_plugin_arguments, examined, installed

DEMO = ("examples", "stair-hall.yaml")
"""The demo survey that ``--lines`` takes its examples from."""


class PluginsFault(InputFault):
    """What was asked of ``listel plugins`` cannot be given."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument(
        "--lines", metavar="KIND", help="print the lines of that kind in the demo, with every key's meaning and unit"
    )
    parser.add_argument(
        "--start", nargs=2, metavar=("DIR", "NAME"), help="write a new plugin into DIR, ready to install and to test"
    )
    add_plugin_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print what is asked for; exit status 1 if a plugin is at fault."""
    if arguments.start:
        from listel.core.start import start_plugin

        folder, name = arguments.start
        start_plugin(Path(folder), name)
        print(f"started {name} in {folder}; next: cd {folder} && pip install . pytest && pytest")
        return 0
    if arguments.lines is not None:
        return _print_lines(arguments)
    return _print_installed(installed(arguments), as_json=arguments.json)


# ---------------------------------------------------------------- what is installed


def _print_installed(registry: Registry, *, as_json: bool) -> int:
    rows = _rows(registry)
    if as_json:
        print(json.dumps(rows, indent=1))
    else:
        for row in rows:
            print(f"{row['name']} ({row['plugin']} {row['version']}, {row['origin']})")
            for key in ("needs", "wants", "gives", "amends"):
                if row[key]:
                    print(f"  {key:<7}{', '.join(row[key])}")
        for plugin in registry.plugins:
            if not plugin.stages and not plugin.faults:
                print(f"{plugin.name} ({plugin.version}, {plugin.origin}): no stage")
    faults = [(plugin.name, fault) for plugin in registry.plugins for fault in plugin.faults]
    for name, fault in faults:
        print(f"{name}: {fault}", file=sys.stderr)
    return 1 if faults else 0


def _rows(registry: Registry) -> list[dict[str, Any]]:
    owners = {stage.name: plugin for plugin, stage in registry.stages()}
    return [
        {
            "name": stage.name,
            "plugin": owners[stage.name].name,
            "version": owners[stage.name].version,
            "origin": owners[stage.name].origin,
            **{key: [kind.__name__ for kind in getattr(stage, key)] for key in ("needs", "wants", "gives", "amends")},
        }
        for stage in in_order([stage for _, stage in registry.stages()])
    ]


# ---------------------------------------------------------------- what a line holds


def _print_lines(arguments: argparse.Namespace) -> int:
    kinds = line_kinds(kind for _, stage in installed(arguments).stages() for kind in stage.gives)
    if arguments.lines not in kinds:
        raise PluginsFault(f"there is no kind of line named {arguments.lines}; there are {', '.join(sorted(kinds))}")
    line_class = kinds[arguments.lines][1]
    hints = get_type_hints(line_class)
    keys = {
        key: {"says": says, "unit": unit, "type": _type_words(hints[key])}
        for key, (says, unit) in meanings(line_class).items()
    }
    keys["job"] = {"says": f"of the building: {', '.join(ABOUT_JOB)}", "unit": "", "type": "object"}
    outcome = examined(beside("listel.schemas", *DEMO), arguments)
    lines = [
        line_form(outcome.job, line)
        for result in outcome.sheet
        for _, _, line in lines_of(result)
        if line_class is type(line)
    ]
    if arguments.json:
        print(json.dumps({"kind": arguments.lines, "keys": keys, "lines": lines}, indent=1, ensure_ascii=False))
        return 0
    for key, about in keys.items():
        unit = f" [{about['unit']}]" if about["unit"] else ""
        print(f"{key:<16} {about['type']}{unit}: {about['says']}")
    print(f"\n{len(lines)} such lines in the demo; the first, in its JSON form:\n")
    print(json.dumps(lines[:1], indent=1, ensure_ascii=False))
    return 0


def _type_words(hint: Any) -> str:
    words = str(hint) if not isinstance(hint, type) else hint.__name__
    for name, word in (
        ("NoneType", "null"),
        ("None", "null"),
        ("float", "number"),
        ("int", "whole number"),
        ("str", "text"),
        ("bool", "true or false"),
    ):
        words = words.replace(name, word)
    if words.startswith("tuple"):
        return "list"
    return words.replace(" | ", " or ").split(".")[-1]
