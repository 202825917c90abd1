"""``listel reckon NAME ...``: one calculation from the plugin that owns the matter, without a survey."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from listel.core.commands.run import add_plugin_arguments, installed
from listel.core.commands.show import finding_line, grounds_lines, number, print_json
from listel.core.contract.lines import plain
from listel.core.contract.reckoning import Option, Reckoner, Reckoning
from listel.core.house.filters import in_units, shown_value
from listel.core.quick import dataclass
from listel.core.survey import units
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import did_you_mean
from listel.core.survey.taking import own_word
from listel.core.survey.units import Units
from listel.core.survey.words import words_schema

Words = Callable[[str], dict[str, Any]]
"""What the survey's form says of the words of a table."""


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
    words = partial(words_schema, more=[table for plugin in registry.plugins for table in plugin.tables()])
    given = vars(_parser(reckoner, words).parse_args(arguments.rest))
    as_json = given.pop("json")
    bare: Units = "inches" if given.pop("inches") else "mm"
    read = {option.key: _read(option, given[option.key], bare, words) for option in reckoner.options}
    try:
        reckoning = reckoner.reckon(read)
    except ValueError as error:
        raise ReckonFault(f"listel reckon {reckoner.name}: {in_units(str(error), bare, exact=True)}") from error
    except ArithmeticError as error:
        says = "these figures are too large or too small to reckon with; check each against its unit"
        raise ReckonFault(f"listel reckon {reckoner.name}: {says}") from error
    if as_json:
        print_json({"reckoner": reckoner.name, "given": plain(read), **plain(reckoning)})
    else:
        _Shown({name: unit for unit, names in reckoner.units.items() for name in names.split()}, bare).all(reckoning)
    return 1 if any(finding.open_hold for finding in reckoning.findings) else 0


def _list(reckoners: dict[str, Reckoner], name: str) -> int:
    if name:
        guess = did_you_mean(name, reckoners)
        raise ReckonFault(f"there is no calculation named {name}.{guess} listel reckon lists them.")
    for reckoner in reckoners.values():
        print(f"{reckoner.name:<12} {reckoner.summary}")
    return 0


def _parser(reckoner: Reckoner, words: Words) -> argparse.ArgumentParser:
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
            help=_help(option, words).replace("%", "%%"),
        )
    parser.add_argument(
        "--inches", action="store_true", help="bare lengths are inches, not mm, bare temperatures F; answers in inches"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def _help(option: Option, words: Words) -> str:
    choices = words(option.table)["enum"] if option.table else option.choices
    return f"{option.says}: {', '.join(choices)}" if choices else option.says


def _readers(bare: Units) -> dict[str, Callable[[str], Any]]:
    """What reads the text of each kind of option; ``bare`` says what a bare number means."""
    lengths = partial(units.parse_lengths, bare=bare)
    return {**units.parsers(bare), "lengths": lengths, "number": _number, "count": _count, "text": str, "choice": str}


def _read(option: Option, text: Any, bare: Units, words: Words) -> Any:
    if option.kind == "flag":
        return bool(text)
    if text is None:
        return () if option.many and option.default is None else option.default
    return tuple(_one(option, item, bare, words) for item in text) if option.many else _one(option, text, bare, words)


def _one(option: Option, text: str, bare: Units, words: Words) -> Any:
    if option.kind == "word":
        return _word(option, text, words)
    if option.choices and text not in option.choices:
        guess = did_you_mean(text, option.choices, "it may be")
        raise ReckonFault(f"--{option.name} {text}: that is not known here.{guess}")
    try:
        value = _readers(bare)[option.kind](text)
        _bound(option, text, value[0] if option.kind == "lengths" else value, bare)
    except ValueError as error:
        raise ReckonFault(f"--{option.name} {text}: {error}") from error
    return value


def _word(option: Option, text: str, words: Words) -> str:
    from listel.core.survey.schema_words import enum_words

    schema = words(option.table)
    word: str = own_word(text, schema)
    if word not in schema["enum"]:
        raise ReckonFault(f"--{option.name}: {enum_words(text, schema['enum'], schema)}")
    return word


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


@dataclass(frozen=True)
class _Shown:
    """A reckoning as a person reads it: each figure with its unit, found by its name, in the units that were asked."""

    unit_of: Mapping[str, str]
    units: Units

    def all(self, reckoning: Reckoning) -> None:
        """Print it: what it says, its results, what it found, why."""
        for sentence in reckoning.says:
            print(in_units(sentence, self.units, exact=True))
        for name, value in plain(reckoning.results).items():
            self.result(name, value, self.unit_of.get(name, ""))
        for finding in reckoning.findings:
            print(finding_line(finding, self.units))
        for grounds in reckoning.grounds:
            for text in grounds_lines(grounds, units=self.units):
                print(f"  {text}")

    def result(self, name: str, value: Any, unit: str, indent: str = "") -> None:
        """Print one result; what it holds on lines of their own, the unit of the whole for what has none."""
        label = f"{indent}{name.replace('_', ' ')}:"
        if isinstance(value, dict):
            print(label)
            for key, item in value.items():
                self.result(key, item, self.unit_of.get(key, unit), indent + "  ")
        elif isinstance(value, list):
            print(label)
            for item in value:
                print(f"{indent}  {self.in_line(item, unit)}")
        elif value is not None:
            print(f"{label} {self.figure(value, unit)}")

    def in_line(self, value: Any, unit: str) -> str:
        """A value on one line, whatever it holds."""
        if isinstance(value, dict):
            told = ((key, self.in_line(held, self.unit_of.get(key, unit))) for key, held in value.items())
            return ", ".join(f"{key.replace('_', ' ')} {words}" for key, words in told)
        if isinstance(value, list):
            return " + ".join(self.in_line(held, unit) for held in value) or "none"
        return "none" if value is None else self.figure(value, unit)

    def figure(self, value: Any, unit: str) -> str:
        """A figure with its unit; words as they are."""
        if isinstance(value, (str, bool)) or not unit:
            return in_units(number(value), self.units, exact=True)
        return shown_value(value, unit, self.units) if self.units == "inches" else f"{number(value)} {unit}"
