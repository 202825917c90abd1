"""``listel plugins --rules`` and ``--lines``: every rule that can be told, every key that a line holds."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from typing import Any, get_args, get_type_hints

from listel.core.commands.run import examined, firm_of
from listel.core.commands.show import print_json
from listel.core.contract.findings import Grounds
from listel.core.contract.firms import RoomForm, room_form
from listel.core.contract.lines import (
    ABOUT_JOB,
    items_of,
    line_form,
    line_kinds,
    lines_of,
    meanings,
    parts_of,
    plain,
    settable,
)
from listel.core.contract.rules import SURE
from listel.core.files import beside
from listel.core.host.record_words import lift_in_words
from listel.core.host.registry import Registry
from listel.core.house.rules import told_by_listel
from listel.core.survey.faults import InputFault

DEMO = ("examples", "stair-hall.yaml")
"""The demo survey that ``--lines`` takes its examples from."""


class CatalogueFault(InputFault):
    """There is no such plugin or kind of line."""


# ---------------------------------------------------------------- what can be told


def print_rules(arguments: argparse.Namespace) -> int:
    """Print every rule that can be told, or those of one plugin; 0. Raises CatalogueFault where there is no such
    plugin."""
    firm = firm_of(arguments)
    registry = firm.registry
    rules = told_by_listel(Registry((*registry.plugins, *firm.house)))
    wanted = arguments.rules.replace("_", "-")
    names = [plugin.name.replace("_", "-") for plugin in registry.plugins]
    names = list(dict.fromkeys([*names, *(rule.plugin for rule in rules)]))
    if wanted and wanted not in names:
        raise CatalogueFault(f"there is no plugin {arguments.rules}; there are {', '.join(names)}")
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


Keys = Mapping[str, Mapping[str, Any]]


def print_lines(arguments: argparse.Namespace) -> int:
    """Print the kinds of lines, with ``--all`` what each holds; or what one kind holds, with ``--all`` the demo's lines
    of it; 0. Raises CatalogueFault where there is no such kind."""
    kinds = line_kinds(kind for _, stage in firm_of(arguments).registry.stages() for kind in stage.gives)
    kinds[RoomForm.LINE] = (RoomForm, RoomForm)
    if not arguments.lines:
        for name, (result, line) in sorted(kinds.items()):
            may = ", ".join(settable(line))
            of = "what heights and hazards apply to" if line is RoomForm else _stands_in(result, line)
            print(f"{name:<16} {of}{f'; may be set: {may}' if may else ''}")
            if arguments.all:
                _print_keys(_keys(line), (), "  ")
        return 0
    if arguments.lines not in kinds:
        raise CatalogueFault(f"there is no kind of line named {arguments.lines}; there are {', '.join(sorted(kinds))}")
    line_class = kinds[arguments.lines][1]
    keys, lines = _keys(line_class), _of_demo(line_class, arguments)
    if arguments.json:
        print_json({"kind": arguments.lines, "keys": keys, "lines": lines})
        return 0
    _print_keys(keys, lines)
    print(f"\n{len(lines)} such lines in the demo{':' if arguments.all else '; --all prints them'}")
    if arguments.all:
        print_json([{key: value for key, value in line.items() if key != "grounds"} for line in lines])
    return 0


def _stands_in(result: type, line_class: type) -> str:
    """Where lines of a kind are found: of which result, under which of its fields."""
    fields = [name for name, hint in get_type_hints(result).items() if line_class in get_args(hint)]
    return f"a line of {result.__name__}: {', '.join(fields)}"


def _keys(line_class: type) -> Keys:
    """Each key of a kind of line: its meaning, unit and type, and whether and within what it may be set."""
    job = {"says": f"of the building: {', '.join(ABOUT_JOB)}", "unit": "", "type": "object", "settable": False}
    return {**_own_keys(line_class), "job": {**job, "bounds": "", "keys": {}}}


def _own_keys(line_class: type) -> Keys:
    hints, open_to = get_type_hints(line_class), settable(line_class)
    return {
        key: {
            "says": says,
            "unit": unit,
            "type": _type_words(hints[key]),
            "settable": key in open_to,
            "bounds": open_to[key].bounds() if key in open_to else "",
            "keys": _keys_within(hints[key]),
        }
        for key, (says, unit) in meanings(line_class).items()
    }


def _keys_within(hint: Any) -> Keys:
    """The keys of what stands under a key, or of each in its list; grounds are the same everywhere."""
    held = parts_of(hint) or parts_of(items_of(hint))
    return _own_keys(held) if held not in (None, Grounds) else {}


def _of_demo(line_class: type, arguments: argparse.Namespace) -> list[dict[str, Any]]:
    """The lines of that kind in the demo, in their JSON form."""
    outcome = examined(beside("listel.schemas", *DEMO), arguments)
    if line_class is RoomForm:
        return [room_form(outcome.job, room) for room in outcome.job.rooms]
    found = (line for result in outcome.sheet for _, _, line in lines_of(result) if line_class is type(line))
    return [line_form(outcome.job, line) for line in found]


def _print_keys(keys: Keys, lines: Sequence[Mapping[str, Any]], margin: str = "") -> None:
    for key, about in keys.items():
        unit = f" [{about['unit']}]" if about["unit"] else ""
        bounds = f" (may be set; {about['bounds']})" if about["settable"] else ""
        print(f"{margin}{key:<16} {about['type']}{unit}: {about['says']}{bounds}{_seen(key, lines)}")
        _print_keys(about["keys"], (), margin + "  ")


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
        ("Decimal", "number"),
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
