"""``listel plugins``: what is installed, in running order; what a kind of line holds; a new plugin to start from."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_type_hints

from listel.core.commands.run import add_plugin_arguments, examined, firm_of
from listel.core.commands.show import print_json
from listel.core.contract.firms import RoomForm, room_form
from listel.core.contract.lines import ABOUT_JOB, line_form, line_kinds, lines_of, meanings, plain, settable
from listel.core.contract.rules import SURE
from listel.core.contract.stage import TIES, Stage
from listel.core.files import beside
from listel.core.host.engine import RULES as ENGINE_RULES
from listel.core.host.order import in_order
from listel.core.host.records import lift_in_words
from listel.core.host.registry import Plugin, Registry
from listel.core.house.rules import RULES as HOUSE_RULES
from listel.core.survey.faults import InputFault

DEMO = ("examples", "stair-hall.yaml")
"""The demo survey that ``--lines`` takes its examples from."""


class PluginsFault(InputFault):
    """What was asked of ``listel plugins`` cannot be given."""


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
        "--all", action="store_true", help="with --lines KIND: the lines of the demo too, in their JSON"
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
    if arguments.lines is not None:
        return _print_lines(arguments)
    if arguments.rules is not None:
        return _print_rules(arguments)
    firm = firm_of(arguments, reckoners=True)
    return _print_installed(Registry((*firm.registry.plugins, *firm.house)), as_json=arguments.json)


# ---------------------------------------------------------------- what is installed


def _print_installed(registry: Registry, *, as_json: bool) -> int:
    if as_json:
        print(json.dumps(_rows(registry), indent=1))
    else:
        for row in _rows(registry):
            if row["name"]:
                print(f"{row['name']} ({row['plugin']} {row['version']}, {row['origin']})")
            for key in TIES:
                if row[key]:
                    print(f"  {key:<7}{', '.join(row[key])}")
        for plugin in registry.plugins:
            if plugin.outside:
                brought = _adds(plugin)
                print(f"\n{plugin.name} {plugin.version}, {plugin.origin}, adds{':' if brought else ' nothing'}")
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
            **{
                key: [kind.__name__ for kind in getattr(stage, key)]
                for key in ("needs", "wants", "gives", "amends", "settles")
            },
        }
        for plugin, stage in (*stages, *((plugin, none) for plugin in registry.plugins if not plugin.stages))
    ]


# ---------------------------------------------------------------- what can be told


def _print_rules(arguments: argparse.Namespace) -> int:
    firm = firm_of(arguments)
    registry = firm.registry
    rules = [*ENGINE_RULES, *HOUSE_RULES, *Registry((*registry.plugins, *firm.house)).rules()]
    wanted = arguments.rules.replace("_", "-")
    names = [plugin.name.replace("_", "-") for plugin in registry.plugins]
    names = list(dict.fromkeys([*names, *(rule.plugin for rule in rules)]))
    if wanted and wanted not in names:
        raise PluginsFault(f"there is no plugin {arguments.rules}; there are {', '.join(names)}")
    rules = [rule for rule in rules if wanted in ("", rule.plugin)]
    if arguments.json:
        print_json({"rules": plain(rules)})
        return 0
    for rule in rules:
        protects = "; it protects people" if rule.protects else ""
        print(f"{rule.name} ({' or '.join(rule.weights)}{protects})")
        facts = [f"{name} [{unit}]" if unit else name for name, unit in rule.facts.items()]
        about = {
            "when": [rule.when],
            "why": [rule.why],
            "settled by": [rule.settled_by],
            "lifted by": [lift_in_words(rule.lifted_by)] if rule.lifted_by else [],
            "rests on": [SURE.get(rule.sure, "")],
            "names": [", ".join(facts)],
            "source": [str(source) for source in rule.sources],
        }
        for word, says in about.items():
            for line in filter(None, says):
                print(f"  {word:<11}{line}")
    print(f"\n{len(rules)} rules")
    return 0


# ---------------------------------------------------------------- what a line holds


def _print_lines(arguments: argparse.Namespace) -> int:
    kinds = line_kinds(kind for _, stage in firm_of(arguments).registry.stages() for kind in stage.gives)
    kinds[RoomForm.LINE] = (RoomForm, RoomForm)
    if not arguments.lines:
        for name, (result, line) in sorted(kinds.items()):
            may = ", ".join(settable(line))
            of = "what heights and hazards apply to" if line is RoomForm else f"a line of {result.__name__}"
            print(f"{name:<16} {of}{f'; may be set: {may}' if may else ''}")
        return 0
    if arguments.lines not in kinds:
        raise PluginsFault(f"there is no kind of line named {arguments.lines}; there are {', '.join(sorted(kinds))}")
    line_class = kinds[arguments.lines][1]
    hints, open_to = get_type_hints(line_class), settable(line_class)
    keys: dict[str, dict[str, Any]] = {
        key: {"says": says, "unit": unit, "type": _type_words(hints[key]), "settable": key in open_to}
        for key, (says, unit) in meanings(line_class).items()
    }
    keys["job"] = {"says": f"of the building: {', '.join(ABOUT_JOB)}", "unit": "", "type": "object", "settable": False}
    outcome = examined(beside("listel.schemas", *DEMO), arguments)
    found = (line for result in outcome.sheet for _, _, line in lines_of(result) if line_class is type(line))
    lines = [line_form(outcome.job, line) for line in found]
    if line_class is RoomForm:
        lines = [room_form(outcome.job, room) for room in outcome.job.rooms]
    if arguments.json:
        print_json({"kind": arguments.lines, "keys": keys, "lines": lines})
        return 0
    for key, about in keys.items():
        unit = f" [{about['unit']}]" if about["unit"] else ""
        bounds = f" (may be set; {open_to[key].bounds()})" if key in open_to else ""
        print(f"{key:<16} {about['type']}{unit}: {about['says']}{bounds}{_seen(key, lines)}")
    print(f"\n{len(lines)} such lines in the demo{':' if arguments.all else '; --all prints them'}")
    if arguments.all:
        print_json([{key: value for key, value in line.items() if key != "grounds"} for line in lines])
    return 0


def _seen(key: str, lines: Sequence[Mapping[str, Any]]) -> str:
    """The words that stand under a key in the demo, where they are few and short."""
    words = sorted({line[key] for line in lines if isinstance(line.get(key), str) and line[key]})
    if not 0 < len(words) <= 8 or any(len(word) > 30 for word in words):
        return ""
    return f" (in the demo: {', '.join(words)})"


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
    if words == "Grounds" or "Mapping" in words:
        return "object"
    return words.replace(" | ", " or ").split(".")[-1]
