"""``listel reckon NAME ...``: one calculation from the plugin that owns the matter, without a survey."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import Any

from listel.core.commands.run import add_plugin_arguments, installed
from listel.core.commands.show import finding_line, grounds_lines, number, print_json
from listel.core.contract.lines import plain
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.survey import units
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import did_you_mean
from listel.core.survey.units import Units


class ReckonFault(InputFault):
    """The figures given to a reckoner cannot be; the message says why."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command; those of each reckoner are read once its name is known."""
    parser.add_argument(
        "name", nargs="?", default="", metavar="NAME", help="which calculation; without one they are listed"
    )
    parser.add_argument(
        "rest", nargs=argparse.REMAINDER, metavar="...", help="its figures: listel reckon NAME --help tells them"
    )
    add_plugin_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make one calculation and print it; exit status 1 if it ends in a hold."""
    files = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    add_plugin_arguments(files)
    arguments, arguments.rest = files.parse_known_args(arguments.rest, arguments)
    registry = installed(arguments)
    reckoners = registry.reckoners()
    for plugin in registry.plugins:
        for fault in plugin.faults:
            print(f"{plugin.name}: {fault}", file=sys.stderr)
    reckoner = reckoners.get(arguments.name)
    if reckoner is None:
        return _list(reckoners, arguments.name)
    given = vars(_parser(reckoner).parse_args(arguments.rest))
    as_json = given.pop("json")
    bare: Units = "inches" if given.pop("inches") else "mm"
    read = {option.key: _read(option, given[option.key], bare) for option in reckoner.options}
    try:
        reckoning = reckoner.reckon(read)
    except ValueError as error:
        raise ReckonFault(f"listel reckon {reckoner.name}: {error}") from error
    except ArithmeticError as error:
        says = "these figures are too large or too small to reckon with; check each against its unit"
        raise ReckonFault(f"listel reckon {reckoner.name}: {says}") from error
    print_json({"reckoner": reckoner.name, "given": plain(read), **plain(reckoning)}) if as_json else _print(reckoning)
    return 1 if any(finding.open_hold for finding in reckoning.findings) else 0


def _list(reckoners: dict[str, Reckoner], name: str) -> int:
    if name:
        guess = did_you_mean(name, reckoners)
        raise ReckonFault(f"there is no calculation named {name}.{guess} listel reckon lists them.")
    for reckoner in reckoners.values():
        print(f"{reckoner.name:<12} {reckoner.summary}")
    return 0


def _parser(reckoner: Reckoner) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog=f"listel reckon {reckoner.name}", description=reckoner.summary)
    for option in reckoner.options:
        flag = f"--{option.name}"
        if option.kind == "flag":
            parser.add_argument(flag, dest=option.key, action="store_true", help=option.says)
            continue
        parser.add_argument(
            flag,
            dest=option.key,
            action="append" if option.many else "store",
            required=option.required,
            default=None,
            metavar=option.kind.upper(),
            help=_help(option).replace("%", "%%"),
        )
    parser.add_argument("--inches", action="store_true", help="bare lengths are inches, not mm")
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def _help(option: Option) -> str:
    return f"{option.says}: {', '.join(option.choices)}" if option.choices else option.says


_READERS: dict[str, Callable[[str, Units], Any]] = {
    "length": units.parse_length,
    "lengths": units.parse_lengths,
    "angle": lambda text, _: units.parse_angle(text),
    "temperature": lambda text, _: units.parse_temperature(text),
    "percent": lambda text, _: units.parse_percent(text),
    "number": lambda text, _: _number(text),
    "count": lambda text, _: _count(text),
    "text": lambda text, _: text,
    "choice": lambda text, _: text,
}


def _read(option: Option, text: Any, bare: Units) -> Any:
    if option.kind == "flag":
        return bool(text)
    if text is None:
        return () if option.many and option.default is None else option.default
    return tuple(_one(option, item, bare) for item in text) if option.many else _one(option, text, bare)


def _one(option: Option, text: str, bare: Units) -> Any:
    if option.choices and text not in option.choices:
        guess = did_you_mean(text, option.choices, "it may be")
        raise ReckonFault(f"--{option.name} {text}: that is not known here.{guess}")
    try:
        value = _READERS[option.kind](text, bare)
        _bound(option, text, value[0] if option.kind == "lengths" else value, bare)
    except ValueError as error:
        raise ReckonFault(f"--{option.name} {text}: {error}") from error
    return value


def _bound(option: Option, text: str, number: Any, bare: Units) -> None:
    """Raises ValueError, in words, where a number lies beyond what the option declares."""
    if option.least is not None and number < option.least:
        raise ValueError(_beyond(option, text, "below", option.least, bare))
    if option.most is not None and number > option.most:
        raise ValueError(_beyond(option, text, "above", option.most, bare))


def _beyond(option: Option, text: str, side: str, limit: float, bare: Units) -> str:
    from listel.core.survey.schema_words import beyond

    bounds = {"x-least": option.least, "x-most": option.most}
    schema = {
        "format": "length" if option.kind == "lengths" else option.kind,
        "description": option.says,
        **{key: bound for key, bound in bounds.items() if bound is not None},
    }
    return beyond(_as_typed(text), side, limit, schema, bare)


def _as_typed(text: str) -> object:
    """The number that was typed; the text where a unit stands with it."""
    try:
        value = float(text)
    except ValueError:
        return text
    return int(value) if value.is_integer() else value


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise ValueError("a plain number is expected, as 350 or 0.5") from None
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError("a plain number is expected, as 350 or 0.5")
    return value


def _count(text: str) -> int:
    if not text.isdecimal():
        raise ValueError("a whole number is expected")
    return int(text)


def _print(reckoning: Reckoning) -> None:
    for sentence in reckoning.says:
        print(sentence)
    for name, value in reckoning.results.items():
        _print_result(name.replace("_", " "), value)
    for finding in reckoning.findings:
        print(finding_line(finding))
    for grounds in reckoning.grounds:
        for text in grounds_lines(grounds):
            print(f"  {text}")


def _print_result(name: str, value: Any) -> None:
    if isinstance(value, dict):
        print(f"{name}:")
        for key, item in value.items():
            _print_result(f"  {key.replace('_', ' ')}", item)
    elif isinstance(value, (list, tuple)):
        print(f"{name}:")
        for item in value:
            print(f"  {_in_line(plain(item))}")
    elif value is not None:
        print(f"{name}: {number(value)}")


def _in_line(value: Any) -> str:
    """A value on one line, whatever it holds."""
    if isinstance(value, dict):
        return ", ".join(f"{key.replace('_', ' ')} {_in_line(held)}" for key, held in value.items())
    if isinstance(value, list):
        return " + ".join(_in_line(held) for held in value) or "none"
    return "none" if value is None else number(value)
