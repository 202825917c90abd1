"""Printed figures laid on what people receive: a reckoner's results, or the results that come of a survey.

The figures lie in ``figures/<plugin>.yaml``, each with the source it was copied from::

    - source: "EN 942 (2007), annex B (from memory)"
      survey: one-wall                                  # a base survey of the kit; or reckon: NAME with given: {...}
      set: {climate.heating: $}                         # as in cases.yaml; $ is the name of each row, $1 its first word
      told: Movement.lines.dado.width_high              # a result and the way into it (or Movement > lines > ...);
                                                        # or several
      per: 63                                           # what is told, divided by this (or by what is told
                                                        # there), is what is printed
      each: {heated: 3.1, unheated: 2.7}                # by name; a list where several are told
      within: 0.01                                      # else half a per cent

A figure may be a fraction, ``4/19``. ``is: 3.1`` stands for ``each`` where there is no row;
``null`` where nothing of that name is told. ``findings.RULE`` leads to
the finding of that rule, ``refusal`` to the words in which a reckoner refuses what it was given.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from listel import Firm
from listel.core.contract.cases import Case, outcome_of_case
from listel.core.host.registry import load
from listel.core.survey.units import parse_lengths
from listel.core.survey.yaml_places import read_document

FIRM = Firm(installed=False)
NAMES = ("name", "trim", "joint", "rule", "kind", "label", "step", "what", "look_for", "room")
"""By what a thing in a list is named."""
RECKONERS = load(entry_points=False).reckoners()
KEYS = {"source", "survey", "set", "remove", "reckon", "given", "told", "per", "each", "is", "within", "note"}


@dataclass(frozen=True)
class Figure:
    """One printed figure: where it is told, and what is printed there."""

    plugin: str
    name: str
    row: dict[str, Any]
    told: str
    printed: Any

    def __str__(self) -> str:
        return f"{self.row['source']}: {self.name} {self.told} {self.printed}"


def figures() -> list[Figure]:
    found = []
    for path in sorted((Path(__file__).parent / "figures").glob("*.yaml")):
        for row in read_document(path).data["figures"]:
            assert not row.keys() - KEYS, f"{path.name}: {row.keys() - KEYS}"
            ways = row["told"] if isinstance(row["told"], list) else [row["told"]]
            for name, printed in row.get("each", {"": row.get("is")}).items():
                values = printed if isinstance(row["told"], list) else [printed]
                found += [Figure(path.stem, name, row, *told) for told in zip(ways, values, strict=True)]
    return found


FIGURES = figures()


@pytest.mark.parametrize("figure", FIGURES, ids=str)
def test_what_people_receive_is_what_is_printed(figure: Figure) -> None:
    row, held = figure.row, held_by(figure)
    told, printed = walked(held, named(figure.told, figure.name)), read_fraction(figure.printed)
    if isinstance(printed, float):
        per = row.get("per", 1)
        per = walked(held, per) if isinstance(per, str) else per
        assert told / per == pytest.approx(printed, abs=row.get("within", abs(printed) / 200))
    elif isinstance(printed, str):
        assert re.search(rf"(?<![\d.]){re.escape(printed)}(?!\.?\d)", told), told
    else:
        assert plain(told) == printed


def read_fraction(printed: Any) -> Any:
    if isinstance(printed, str) and re.fullmatch(r"\d+/\d+", printed):
        return float(Fraction(printed))
    return float(printed) if isinstance(printed, int) and not isinstance(printed, bool) else printed


def test_every_figure_is_printed_finer_than_two_per_cent() -> None:
    def least(printed: Any) -> float:
        return min(abs(one) for one in (printed if isinstance(printed, list) else [printed]) if one)

    coarse = [f for f in FIGURES if "within" in f.row and f.row["within"] >= 0.02 * least(f.printed)]
    assert [str(figure) for figure in coarse] == []


def held_by(figure: Figure) -> Any:
    """What a reckoner or a survey comes to, in which the way leads to what is told."""
    row = figure.row
    if "reckon" in row:
        return reckoned(row["reckon"], filled(row.get("given", {}), figure.name))
    case = Case(
        rule=f"{figure.plugin.replace('_', '-')}/figure",
        number=0,
        survey=row["survey"],
        told="nothing",
        set=filled(row.get("set", {}), figure.name),
        remove=tuple(row.get("remove", ())),
    )
    outcome = outcome_of_case(case, FIRM)
    findings = {finding.rule: finding for finding in outcome.findings}
    return {"findings": findings} | {type(kept).__name__: kept for kept in outcome.sheet}


def reckoned(name: str, asked: dict[str, Any]) -> Any:
    reckoner = RECKONERS[name]
    usual = {
        each.name.replace("-", "_"): each.default or (() if each.many else each.default) for each in reckoner.options
    }
    many = {each.name.replace("-", "_") for each in reckoner.options if each.many}
    counted = {each.name for each in reckoner.options if each.kind == "lengths"}
    asked = {key: [*map(parse_lengths, value)] if key in counted else value for key, value in asked.items()}
    assert not asked.keys() - usual.keys(), asked.keys() - usual.keys()
    try:
        return reckoner.reckon(usual | {key: tuple(value) if key in many else value for key, value in asked.items()})
    except ValueError as refused:
        return {"refusal": str(refused)}


def filled(given: Any, name: str) -> Any:
    """What is given, with the name of the row in place of $."""
    if isinstance(given, dict):
        return {str(key).replace("$", name): filled(value, name) for key, value in given.items()}
    if isinstance(given, list):
        return [filled(value, name) for value in given]
    if isinstance(given, str) and "$" in given:
        return read_value(named(given, name))
    return given


def named(text: str, name: str) -> str:
    """A text with the name of the row in place of $, and its words in place of $1, $2 ..."""
    return re.sub(r"\$(\d?)", lambda found: name.split()[int(found[1]) - 1] if found[1] else name, text)


def read_value(name: str) -> float | str:
    try:
        return float(name)
    except ValueError:
        return name


def walked(held: Any, way: str) -> Any:
    """What lies at the end of a way: keys, fields, places in a list, or names of what stands in one."""
    for part in way.split(" > ") if " > " in way else re.split(r"(?<!\d)\.|\.(?!\d)", way):
        if isinstance(held, dict):
            held = held[part]
        elif isinstance(held, (list, tuple)):
            held = (
                held[int(part)]
                if part.lstrip("-").isdigit()
                else next((each for each in held if is_called(each, part)), None)
            )
        else:
            held = getattr(held, part)
    return held


def is_called(thing: Any, name: str) -> bool:
    told = thing if isinstance(thing, dict) else {key: getattr(thing, key, None) for key in NAMES}
    return any(told.get(key) == name for key in NAMES)


def plain(value: Any) -> Any:
    return [plain(each) for each in value] if isinstance(value, (list, tuple)) else value
