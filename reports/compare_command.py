"""``listel compare OLD NEW``: what changed between two outcomes."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match
from referencing import Registry

from listel.core.commands.show import print_json
from listel.core.contract.lines import plain
from listel.core.files import beside
from listel.core.house.filters import money
from listel.core.survey.faults import InputFault
from listel.reports.compare import Comparison, CostChange, compared, in_words


class OutcomeFault(InputFault):
    """A file that holds no outcome."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the command."""
    says = "an outcome, as listel statement SURVEY --json prints it"
    parser.add_argument("old", type=Path, metavar="OLD.json", help=says)
    parser.add_argument("new", type=Path, metavar="NEW.json", help=says)
    parser.add_argument("--json", action="store_true", help="print JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print what changed that anyone acts on, by room; exit status 0. Raises OutcomeFault where a file holds none."""
    comparison = compared(read_outcome(arguments.old), read_outcome(arguments.new))
    if arguments.json:
        print_json(plain(comparison))
    else:
        print("\n".join(printed(comparison)))
    return 0


LARGEST_OUTCOME = 64 << 20
"""The largest outcome file that is read, bytes: four times that of a house of two hundred rooms."""


def read_outcome(path: Path) -> Any:
    """An outcome from its JSON file. Raises OutcomeFault, naming the file, if it holds none."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST_OUTCOME:
            raise OutcomeFault(f"{path}: there is no outcome here; a plain file of at most 64 MiB is expected")
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not in UTF-8"
        raise OutcomeFault(f"{path}: it cannot be read: {why}") from error
    return outcome_in(text, str(path))


def outcome_in(text: str, path: str) -> Any:
    """An outcome from its JSON; ``path`` names it. Raises OutcomeFault if it is none."""
    try:
        told = json.loads(text, parse_int=_whole)
        json.dumps(told, ensure_ascii=False, allow_nan=False).encode("utf-8")
        fault = best_match(_schema().iter_errors(told))
    except (ValueError, RecursionError) as error:
        raise OutcomeFault(f"{path}: {_HOW}: {' '.join(str(error).split())[:200]}") from error
    if fault is not None:
        place = " > ".join(map(str, fault.absolute_path)) or "the top"
        raise OutcomeFault(f"{path}: {_HOW}: at {place}: {fault.message[:200]}")
    return told


_HOW = "this is no outcome (write one with: listel statement SURVEY --json)"


def _whole(text: str) -> int:
    if len(text) > 30:
        raise ValueError(f"a whole number of {len(text)} digits")
    return int(text)


def _schema() -> Draft202012Validator:
    schema = json.loads(beside("listel.schemas", "outcome.schema.json").read_text(encoding="utf-8"))
    return Draft202012Validator(schema, registry=Registry())


def printed(comparison: Comparison) -> Iterator[str]:
    """The comparison, line by line; an empty line begins a room."""
    if comparison.same_run:
        yield "The same survey, plugins, tables and house rules: nothing can have changed."
        return
    yield f"From {comparison.was}, to {comparison.now}."
    if comparison.causes:
        yield f"Because {'; '.join(comparison.causes)}."
    if comparison.cost is not None:
        yield _cost_words(comparison.cost)
    told = in_words(comparison)
    if not told:
        yield "Nothing that anyone acts on is otherwise."
    for each in told:
        yield ""
        yield each.room or "The whole job"
        for word, says in each.lines:
            yield f"  {says}" if word == "Do" else f"  {word}: {says}"
    if comparison.lines:
        yield ""
        yield f"Figures that are otherwise: {len(comparison.lines)}. With --json each is told."


def _cost_words(cost: CostChange) -> str:
    rooms = [f"{room or 'the whole job'} {_signed(is_now - was, cost.currency)}" for room, was, is_now in cost.rooms]
    says = f"It costs {money(cost.now, cost.currency)}, {_signed(cost.now - cost.was, cost.currency)}"
    return f"{says}{': ' if rooms else ''}{', '.join(rooms)}."


def _signed(amount: float, currency: str) -> str:
    """An amount that is more or less than another, in words."""
    if not round(amount, 2):
        return "as before"
    return f"{money(abs(amount), currency)} {'more' if amount > 0 else 'less'}"
