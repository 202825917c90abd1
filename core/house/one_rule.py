"""One rule of a firm as it stands in a house file: what it is about, when it applies, what must hold, what it sets."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import KW_ONLY
from typing import Any, get_type_hints

from listel.core.contract.findings import Weight
from listel.core.contract.lines import fits, hint_words, meanings, options, settable
from listel.core.house.filters import filters
from listel.core.house.sandbox import SandboxFault, sentence
from listel.core.house.schema import no_key, schema_rule_faults
from listel.core.quick import dataclass
from listel.core.survey import units
from listel.core.survey.messages import Fault, did_you_mean, shown
from listel.core.survey.yaml_places import Document, KeyPath

Kinds = Mapping[str, tuple[type, type]]
"""Kinds of lines by name."""


@dataclass(frozen=True)
class HouseRule:
    """One rule as read: ``applies`` and ``must`` are JSON Schemas, ``says`` a sentence checked for the sandbox,
    ``sets`` keys and values."""

    name: str
    about: str
    applies: Any
    must: Any
    says: str | None
    _: KW_ONLY
    weight: Weight
    mend: str
    sets: tuple[tuple[str, Any], ...]

    @property
    def judges(self) -> bool:
        """Whether it says anything of a line."""
        return self.must is not None or self.says is not None


def house_rule(
    document: Document, path: KeyPath, entry: Mapping[str, Any], kinds: Kinds
) -> tuple[HouseRule | None, list[Fault]]:
    """A rule as it stands, None where nobody knows what it is about, and what is wrong with it."""
    if not entry["about"]:
        return None, []
    if entry["about"] not in kinds:
        says = f"there is no kind of line named {entry['about']}.{did_you_mean(entry['about'], kinds, 'there are')}"
        return None, [document.fault((*path, "about"), says)]
    line_class = kinds[entry["about"]][1]
    keys = meanings(line_class)
    faults: list[Fault] = []
    for word in ("applies", "must"):
        if word in entry:
            faults += schema_rule_faults(document, (*path, word), entry[word], line_class)
    if not {"must", "says", "set"} & set(entry):
        faults.append(document.fault(path, "a rule needs must, says or set; this one would do nothing"))
    faults += says_faults(document, (*path, "says"), entry.get("says"), frozenset((*keys, "job")))
    sets, found = _sets(document, (*path, "set"), entry.get("set", {}), line_class)
    faults += found
    rule = HouseRule(
        entry["name"],
        entry["about"],
        entry.get("applies", True),
        entry.get("must"),
        entry.get("says"),
        weight=entry.get("weight", "caution"),
        mend=entry.get("mend", ""),
        sets=sets,
    )
    return rule, faults


def says_faults(document: Document, path: KeyPath, text: str | None, names: frozenset[str]) -> Iterator[Fault]:
    """What is wrong with a sentence of a firm's, which may use those names."""
    if text is None:
        return
    try:
        sentence(text, names, filters("mm"))
    except SandboxFault as fault:
        yield from (document.fault(path, str(each)) for each in (fault, *fault.more))


def _sets(
    document: Document, path: KeyPath, wanted: Mapping[str, Any], line_class: Any
) -> tuple[tuple[tuple[str, Any], ...], list[Fault]]:
    hints, may = get_type_hints(line_class), settable(line_class)
    sets: list[tuple[str, Any]] = []
    faults: list[Fault] = []
    for key, value in wanted.items():
        here = (*path, key)
        if key not in may:
            says = _not_settable(key, line_class) if key in hints or not may else no_key(key, line_class, so=" to set")
            faults.append(document.fault(here, says, at_key=True))
            continue
        number = float in options(hints[key]) or int in options(hints[key])
        if number and may[key].unit and isinstance(value, str):
            try:
                value = _measure(value, may[key].unit)
            except ValueError as error:
                faults.append(document.fault(here, str(error)))
                continue
        held: Any = tuple(value) if isinstance(value, list) else value
        unfit = may[key].unfit(held) if fits(held, hints[key]) else f"is {hint_words(hints[key])}"
        if unfit:
            faults.append(document.fault(here, f"{key} {unfit}; it cannot be {shown(wanted[key])}"))
            continue
        sets.append((key, float(held) if float in options(hints[key]) and held is not None else held))
    return tuple(sets), faults


def _not_settable(key: str, line_class: Any) -> str:
    may = settable(line_class)
    if may:
        return f"{key} of a {line_class.LINE} may not be set; what may be set: {', '.join(may)}"
    return (
        f"nothing of a {line_class.LINE} may be set: what rests on it could not follow. A rule may judge it with must"
    )


def _measure(text: str, unit: str) -> float:
    """A number written as text with its unit. Raises ValueError where the unit is lacking or another."""
    if unit == "mm" and re.search(r"[a-z'\"]", text):
        return units.parse_length(text)
    bare = text.strip().removesuffix(unit)
    if unit != "mm" and bare != text.strip():
        return float(bare)
    raise ValueError(f"{shown(text)} is text without a unit; write a number, or one with {unit}")
