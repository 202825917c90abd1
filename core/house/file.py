"""Read a firm's house rules: every fault at once, at its line and column, in words."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, get_type_hints

from listel.core.contract.findings import Source, Weight
from listel.core.contract.firms import SurveyFields
from listel.core.contract.lines import fits, hint_words, meanings, options, settable
from listel.core.contract.stage import Section, Words
from listel.core.contract.tables import Row, Table
from listel.core.files import beside, lies_in
from listel.core.host.added import row_slips
from listel.core.house.filters import filters
from listel.core.house.sandbox import SandboxFault, sentence
from listel.core.house.schema import no_key, schema_rule_faults
from listel.core.survey import units
from listel.core.survey.messages import Fault, SurveyFaults, did_you_mean, shown
from listel.core.survey.schema_words import schema_faults
from listel.core.survey.yaml_places import Document, KeyPath, read_document

Kinds = Mapping[str, tuple[type, type]]


@dataclass(frozen=True)
class Known:
    """What a house file may speak of: kinds of lines, and the names of the steps and sections there are."""

    kinds: Kinds
    steps: frozenset[str] = frozenset()
    sections: frozenset[str] = frozenset()
    options: Mapping[str, Any] = field(default_factory=dict)
    """JSON Schema of the options of plugins."""
    tables: Callable[[], Mapping[str, Table]] = dict
    """The tables that rows may be added to; asked only by a file that adds some."""
    rules: Callable[[], frozenset[str]] = frozenset
    """The names of the rules that can be told; asked only by a file that gives weights."""


@dataclass(frozen=True)
class HouseRule:
    """One rule as read: ``applies`` and ``must`` are JSON Schemas, ``says`` a sentence checked for the sandbox,
    ``sets`` keys and values."""

    name: str
    about: str
    applies: Any
    must: Any
    says: str | None
    weight: Weight
    mend: str
    sets: tuple[tuple[str, Any], ...]

    @property
    def judges(self) -> bool:
        """Whether it says anything of a line."""
        return self.must is not None or self.says is not None


@dataclass(frozen=True)
class HouseFile:
    """A firm's house rules as read. ``slug`` is the firm's name in kebab-case, the first half of its rules' names."""

    path: Path
    firm: str
    slug: str
    rules: tuple[HouseRule, ...] = ()
    weights: tuple[tuple[str, Weight], ...] = ()
    steps: tuple[Mapping[str, Any], ...] = ()
    sections: tuple[Section, ...] = ()
    words: tuple[Words, ...] = ()
    tables: tuple[Table, ...] = ()
    heights: tuple[Mapping[str, Any], ...] = ()
    fields: tuple[SurveyFields, ...] = ()
    options: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The firm and the file, so that one firm may have several."""
        return f"{self.slug}/{self.path.stem}"


def read_house(path: Path, known: Known) -> HouseFile:
    """A house file, judged by its schema and against what there is to speak of.

    Raises SurveyFaults with every fault.
    """
    document = read_document(path, "house file")
    schema = json.loads(beside("listel.schemas", "house-rules.schema.json").read_text(encoding="utf-8"))
    faults = [*document.faults, *schema_faults(document, schema)]
    if faults:
        raise SurveyFaults(faults)
    data = document.data
    rules = []
    for number, entry in enumerate(data.get("rules", ())):
        rule, found = _rule(document, ("rules", number), entry, known.kinds)
        faults += found
        rules.append(rule)
    faults += _twice(document, data)
    faults += _weight_faults(document, data.get("weights", ()), known)
    faults += _step_faults(document, data.get("steps", ()), known.steps)
    faults += _word_faults(document, data, known.steps)
    faults += schema_faults(document, known.options)
    tables = []
    for group in (group for group in ADDS if group in data):
        tables.append(_table(data["firm"], group, data))
        faults += _row_faults(document, group, tables[-1], known)
    faults += _taken(document, "sections", data.get("sections", ()), known.sections)
    sections = tuple(_section(path, entry) for entry in data.get("sections", ()))
    faults += _no_template(document, sections, path.parent)
    if faults:
        raise SurveyFaults(faults)
    return HouseFile(
        path,
        data["firm"],
        _slug(data["firm"]),
        tuple(rule for rule in rules if rule is not None),
        tuple((entry["rule"], entry["weight"]) for entry in data.get("weights", ())),
        tuple(data.get("steps", ())),
        sections,
        tuple(Words(step, tuple(phrases)) for step, phrases in data.get("words", {}).items()),
        tuple(tables),
        tuple(data.get("heights", ())),
        tuple(SurveyFields(on, told) for on, told in data.get("survey-fields", {}).items()),
        data.get("options", {}),
    )


ADDS = {"hazards": "hazards", "make-ups": "makeups"}
"""What a file may add as rows, and the table they stand in."""


def _table(firm: str, group: str, data: Mapping[str, Any]) -> Table:
    """The rows of a file as a table of the firm's."""
    source = Source(f"House rules of {firm}", locator=group, standing="house-rule")
    blank: Mapping[str, Any] = {"wear": [], "signs": [], "prove": ""} if group == "hazards" else {}
    rows = [
        Row(entry["name"], {**blank, **{key: told for key, told in entry.items() if key != "name"}}, (source,))
        for entry in data[group]
    ]
    return Table(ADDS[group], f"{group} of {firm}", tuple(rows), {}, {"own": source})


def _row_faults(document: Document, group: str, table: Table, known: Known) -> Iterator[Fault]:
    base = known.tables()[table.name]
    signs = known.tables()["signs"]
    for number, row in enumerate(table):
        for says in row_slips(row, base):
            yield document.fault((group, number), says)
        for place, code in enumerate(row.get("signs", ())):
            if code not in signs:
                names = [each.name for each in signs]
                says = f"there is no sign {code}.{did_you_mean(code, names, 'there are')}"
                yield document.fault((group, number, "signs", place), says)


def _slug(firm: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", firm.lower()).strip("-") or "house"


def _twice(document: Document, data: Mapping[str, Any]) -> Iterator[Fault]:
    for group, key in (("rules", "name"), ("steps", "name"), ("sections", "name"), ("weights", "rule")):
        seen: set[str] = set()
        for number, entry in enumerate(data.get(group, ())):
            if entry[key] in seen:
                says = f"the {key} {entry[key]} is used twice; " + (
                    "give each its own" if key == "name" else "keep one"
                )
                yield document.fault((group, number, key), says)
            seen.add(entry[key])


def _weight_faults(document: Document, entries: Sequence[Mapping[str, Any]], known: Known) -> Iterator[Fault]:
    """Weights of rules that nobody tells; a plugin that declares no rule may tell any."""
    rules = known.rules() if entries else frozenset()
    plugins = {name.partition("/")[0] for name in rules}
    for number, entry in enumerate(entries):
        if entry["rule"].partition("/")[0] in plugins and entry["rule"] not in rules:
            says = f"there is no rule {entry['rule']}.{did_you_mean(entry['rule'], sorted(rules), 'there are')}"
            yield document.fault(("weights", number, "rule"), says)


def _taken(
    document: Document, group: str, entries: Sequence[Mapping[str, Any]], taken: frozenset[str]
) -> Iterator[Fault]:
    for number, entry in enumerate(entries):
        if entry["name"] in taken:
            says = (
                f"there are {group} of listel or of a plugin, and {entry['name']} is one of them; choose another name"
            )
            yield document.fault((group, number, "name"), says)


def _step_faults(document: Document, entries: Sequence[Mapping[str, Any]], known: frozenset[str]) -> Iterator[Fault]:
    yield from _taken(document, "steps", entries, known)
    names = known | {entry["name"] for entry in entries}
    for number, entry in enumerate(entries):
        for word in ("after", "before"):
            for place, name in enumerate(entry.get(word, ())):
                if name not in names:
                    says = f"there is no step {name}.{did_you_mean(name, sorted(names), 'there are')}"
                    yield document.fault(("steps", number, word, place), says)


def _word_faults(document: Document, data: Mapping[str, Any], known: frozenset[str]) -> Iterator[Fault]:
    names = known | {entry["name"] for entry in data.get("steps", ())}
    for step in data.get("words", {}):
        if step not in names:
            says = f"there is no step {step}.{did_you_mean(step, sorted(names), 'there are')}"
            yield document.fault(("words", step), says, at_key=True)


def _section(path: Path, entry: Mapping[str, Any]) -> Section:
    readers = tuple(entry.get("readers", ("all",)))
    return Section(
        entry["name"], entry["title"], entry["place"], path.parent / entry["template"], readers, trusted=False
    )


def _no_template(document: Document, sections: tuple[Section, ...], folder: Path) -> Iterator[Fault]:
    for number, section in enumerate(sections):
        says = ""
        if not lies_in(section.template, folder):
            says = (
                f"{section.template.name} leads out of the house file's folder; a template lies beside the house file"
            )
        elif not section.template.is_file():
            says = f"there is no file {section.template}; a template lies beside the house file"
        if says:
            yield document.fault(("sections", number, "template"), says)


# ---------------------------------------------------------------- one rule


def _rule(
    document: Document, path: KeyPath, entry: Mapping[str, Any], kinds: Kinds
) -> tuple[HouseRule | None, list[Fault]]:
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
    faults += _says_faults(document, (*path, "says"), entry.get("says"), frozenset((*keys, "job")))
    sets, found = _sets(document, (*path, "set"), entry.get("set", {}), line_class)
    faults += found
    rule = HouseRule(
        entry["name"],
        entry["about"],
        entry.get("applies", True),
        entry.get("must"),
        entry.get("says"),
        entry.get("weight", "caution"),
        entry.get("mend", ""),
        sets,
    )
    return rule, faults


def _says_faults(document: Document, path: KeyPath, text: str | None, names: frozenset[str]) -> Iterator[Fault]:
    if text is None:
        return
    try:
        sentence(text, names, filters("mm"))
    except SandboxFault as fault:
        yield document.fault(path, str(fault))


def _sets(
    document: Document, path: KeyPath, wanted: Mapping[str, Any], line_class: Any
) -> tuple[tuple[tuple[str, Any], ...], list[Fault]]:
    hints, may = get_type_hints(line_class), settable(line_class)
    sets: list[tuple[str, Any]] = []
    faults: list[Fault] = []
    for key, value in wanted.items():
        here = (*path, key)
        if key not in may:
            says = _not_settable(key, line_class) if key in hints else no_key(key, line_class, so=" to set")
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
            faults.append(document.fault(here, f"{key} {unfit}; it cannot be {shown(value)}"))
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
