"""Read a firm's house rules: every fault at once, at its line and column, in words."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, field
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any

from listel.core.contract.findings import WEIGHTS, Source, Weight
from listel.core.contract.firms import RoomForm, SurveyFields
from listel.core.contract.rules import DECIDES, LACKING, RESTS_ON, Rule
from listel.core.contract.stage import Section, Words
from listel.core.contract.tables import Row, Table, adding
from listel.core.files import beside, lies_in
from listel.core.host.added import row_slips
from listel.core.house.filters import filters
from listel.core.house.one_rule import HouseRule, Kinds, house_rule, says_faults
from listel.core.house.sandbox import SandboxFault, template
from listel.core.house.schema import broken_schema, schema_rule_faults
from listel.core.quick import dataclass
from listel.core.survey.messages import Fault, SurveyFaults, did_you_mean
from listel.core.survey.schema_words import schema_faults
from listel.core.survey.yaml_places import Document, KeyPath, read_document

Entries = Sequence[tuple[KeyPath, Any]]


@dataclass(frozen=True)
class Known:
    """What a house file may speak of: kinds of lines, and the names of the steps and sections there are."""

    kinds: Kinds
    steps: frozenset[str] = frozenset()
    ties: tuple[tuple[str, str], ...] = ()
    """Pairs of those steps: the one must end before the other starts."""
    methods: frozenset[str] = frozenset()
    """Ways of working that a plan may name."""
    sections: frozenset[str] = frozenset()
    _: KW_ONLY
    plugins: frozenset[str] = frozenset()
    unasking: frozenset[str] = frozenset()
    """Plugins that ask for no options."""
    options: Mapping[str, Any] = field(default_factory=dict)
    """JSON Schema of the options of plugins."""
    tables: Callable[[], Mapping[str, Table]] = dict
    """The tables that rows may be added to; asked only by a file that adds some."""
    added: tuple[Table, ...] = ()
    """The tables that plugins from outside bring."""
    rules: Callable[[], Mapping[str, Rule]] = dict
    """The rules that can be told, by name; asked only by a file that gives weights or words."""


@dataclass(frozen=True, kw_only=True)
class HouseFile:
    """A firm's house rules as read. ``slug`` is the firm's name in kebab-case, the first half of its rules' names."""

    path: Path
    firm: str
    slug: str
    rules: tuple[HouseRule, ...] = ()
    weights: tuple[tuple[str, Weight], ...] = ()
    says: tuple[tuple[Rule, str], ...] = ()
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


def read_house_files(paths: Iterable[Path], known: Known) -> list[HouseFile]:
    """House files, each judged by its schema and against what there is to speak of, and all against each other.

    Raises SurveyFaults with every fault of all of them.
    """
    faults: list[Fault] = []
    readings: list[_Reading] = []
    seen: set[Path] = set()
    for path in paths:
        if path.resolve() in seen:
            faults.append(Fault(str(path), 0, 0, "", "this file of house rules is named twice; name it once"))
            continue
        seen.add(path.resolve())
        try:
            readings.append(_Reading(path, read_document(path, "house file")))
        except SurveyFaults as bad:
            faults += bad.faults
    mine = (_table(reading, group) for reading in readings for group in ADDS)
    with adding((*known.added, *mine)):
        faults += [fault for reading in readings for fault in _faults(reading, known)]
    faults += _between(readings)
    if faults:
        raise SurveyFaults(faults)
    return [_house_file(reading, known) for reading in readings]


STAND_INS: Mapping[str, Mapping[str, str]] = {
    "rules": {"name": "", "about": ""},
    "steps": {"name": ""},
    "weights": {"rule": ""},
    "survey-fields": {},
}
"""What stands for the keys that an entry with a fault of form may lack, so that the rest of it is looked at too."""


class _Reading:
    """A house file as it is read; what its schema finds fault with is told, and not looked at further."""

    def __init__(self, path: Path, document: Document) -> None:
        self.path, self.document = path, document
        schema = json.loads(beside("listel.schemas", "house-rules.schema.json").read_text(encoding="utf-8"))
        self.faults = [*document.faults, *schema_faults(document, schema)]
        self._bad = {fault.keys[:length] for fault in self.faults if fault.keys for length in (2, 3)}
        self.data: Mapping[str, Any] = document.data if isinstance(document.data, dict) else {}

    @property
    def slug(self) -> str:
        """The firm's name in kebab-case."""
        return re.sub(r"[^a-z0-9]+", "-", str(self.data.get("firm", "")).lower()).strip("-") or "house"

    def entries(self, group: str) -> list[tuple[KeyPath, Any]]:
        """What stands under a key of the file, each with its place."""
        held = {} if (group,) in self._bad else self.data.get(group)
        pairs = held.items() if isinstance(held, dict) else enumerate(held) if isinstance(held, list) else ()
        places = [((group, key), entry) for key, entry in pairs]
        return [
            (place, self._sound(place, entry) if place in self._bad else entry)
            for place, entry in places
            if place not in self._bad or (group in STAND_INS and isinstance(entry, dict))
        ]

    def _sound(self, place: KeyPath, entry: Mapping[str, Any]) -> Mapping[str, Any]:
        """An entry without what has a fault of form."""
        sound = {key: value for key, value in entry.items() if (*place, key) not in self._bad}
        return {**STAND_INS[str(place[0])], **sound}

    def fresh(self, fault: Fault) -> bool:
        """Whether a fault of content is of what is there, and not of what a fault of form took away."""
        return fault.keys not in self._bad


def _faults(reading: _Reading, known: Known) -> Iterator[Fault]:
    document, steps = reading.document, reading.entries("steps")
    yield from reading.faults
    for place, entry in reading.entries("rules"):
        yield from filter(reading.fresh, house_rule(document, place, entry, known.kinds)[1])
    yield from _twice(reading)
    yield from _weight_faults(document, reading.entries("weights"), known)
    yield from _wording_faults(document, reading.entries("says"), known)
    yield from _taken(document, steps, known.steps)
    names = known.steps | {entry["name"] for _, entry in steps}
    yield from _step_faults(document, steps, names)
    yield from _ring(document, [step for step in steps if step[1]["name"] not in known.steps], known.ties)
    for place, _ in reading.entries("words"):
        if place[1] not in names | known.methods:
            says = _no_such("step or way of working", str(place[1]), names | known.methods)
            yield document.fault(place, says, at_key=True)
    for place, _ in reading.entries("options"):
        if place[1] not in known.plugins:
            yield document.fault(place, _no_such("plugin", str(place[1]), known.plugins), at_key=True)
        elif place[1] in known.unasking:
            yield document.fault(place, f"{place[1]} asks a house file for no options", at_key=True)
    if reading.entries("options"):
        yield from schema_faults(document, known.options)
    for group in ADDS:
        yield from _row_faults(reading, group, known)
    for place, entry in reading.entries("heights"):
        if Fraction(str(entry.get("share", 0))) >= 1:
            yield document.fault((*place, "share"), f"{entry['share']} of a room's height is above its ceiling")
    for group in ("hazards", "heights"):
        for place, entry in reading.entries(group):
            if "applies" in entry:
                yield from schema_rule_faults(document, (*place, "applies"), entry["applies"], RoomForm)
    for place, facts in reading.entries("survey-fields"):
        for key, fact in facts.items():
            yield from broken_schema(document, (*place, key), fact)
    yield from _taken(document, reading.entries("sections"), known.sections)
    yield from _no_template(reading)


def _between(readings: Sequence[_Reading]) -> Iterator[Fault]:
    """What two files bring under one name: neither could stand beside the other."""
    seen: dict[tuple[str, str], Path] = {}
    for reading in readings:
        mine: dict[tuple[str, str], KeyPath] = {}
        for group in ("steps", "sections", "hazards", "make-ups", "heights"):
            named = [(at, entry["name"]) for at, entry in reading.entries(group) if entry["name"]]
            mine |= {(f"the {group[:-1]}", name): (*at, "name") for at, name in named}
        mine |= {("the wording of", str(at[1])): at for at, _ in reading.entries("says")}
        mine |= {
            (f"the fact of {reading.slug} on the {at[1]},", f"{key},"): (*at, key)
            for at, facts in reading.entries("survey-fields")
            for key in facts
        }
        mine |= {
            (f"the rule of {reading.slug}", entry["name"]): (*at, "name")
            for at, entry in reading.entries("rules")
            if entry["name"]
        }
        for (what, name), place in mine.items():
            other = seen.setdefault((what, name), reading.path)
            if other != reading.path:
                yield reading.document.fault(place, f"{what} {name} stands in {other} already; keep one of the two")


def _house_file(reading: _Reading, known: Known) -> HouseFile:
    data, document = reading.data, reading.document
    rules = (house_rule(document, place, entry, known.kinds)[0] for place, entry in reading.entries("rules"))
    return HouseFile(
        path=reading.path,
        firm=data["firm"],
        slug=reading.slug,
        rules=tuple(rule for rule in rules if rule is not None),
        weights=tuple((entry["rule"], entry["weight"]) for entry in data.get("weights", ())),
        says=tuple((known.rules()[rule], text) for rule, text in data.get("says", {}).items()),
        steps=tuple(data.get("steps", ())),
        sections=tuple(_section(reading.path, entry) for entry in data.get("sections", ())),
        words=tuple(Words(step, tuple(phrases)) for step, phrases in data.get("words", {}).items()),
        tables=tuple(_table(reading, group) for group in ADDS if group in data),
        heights=tuple(data.get("heights", ())),
        fields=tuple(SurveyFields(on, told) for on, told in data.get("survey-fields", {}).items()),
        options=data.get("options", {}),
    )


ADDS = {"hazards": "hazards", "make-ups": "makeups"}
"""What a file may add as rows, and the table they stand in."""


def _table(reading: _Reading, group: str) -> Table:
    """The rows of a file as a table of the firm's."""
    firm = reading.data.get("firm", "")
    source = Source(f"House rules of {firm}", locator=group, standing="house-rule")
    blank: Mapping[str, Any] = {"wear": [], "signs": [], "prove": ""} if group == "hazards" else {}
    rows = [
        Row(entry["name"], {**blank, **{key: told for key, told in entry.items() if key != "name"}}, (source,))
        for _, entry in reading.entries(group)
    ]
    return Table(ADDS[group], f"{group} of {firm}", tuple(rows), {}, {"own": source})


def _row_faults(reading: _Reading, group: str, known: Known) -> Iterator[Fault]:
    entries = reading.entries(group)
    tables = known.tables() if entries else {}
    for (place, _), row in zip(entries, _table(reading, group), strict=True):
        if any(row.name in table for table in (*tables.values(), *known.added) if table.name == ADDS[group]):
            says = f"{row.name} is one of listel's own, or of a plugin's; choose another name"
            yield reading.document.fault((*place, "name"), says)
        for says in row_slips(row, tables[ADDS[group]]):
            yield reading.document.fault(place, says)
        for number, code in enumerate(row.get("signs", ())):
            if code not in tables["signs"]:
                says = _no_such("sign", code, [each.name for each in tables["signs"]])
                yield reading.document.fault((*place, "signs", number), says)


def _twice(reading: _Reading) -> Iterator[Fault]:
    for group in ("rules", "steps", "sections", "weights", *ADDS, "heights"):
        key = "rule" if group == "weights" else "name"
        seen: set[str] = set()
        for place, entry in reading.entries(group):
            if entry[key] and entry[key] in seen:
                mend = "keep one" if group == "weights" else "give each its own"
                yield reading.document.fault((*place, key), f"the {key} {entry[key]} is used twice; {mend}")
            seen.add(entry[key])


def _no_such(what: str, name: str, known: Collection[str]) -> str:
    return f"there is no {what} {name}.{did_you_mean(name, sorted(known), 'there are')}"


def _weight_faults(document: Document, entries: Entries, known: Known) -> Iterator[Fault]:
    """Weights of rules that nobody tells, and those that could only make lighter what protects people; a plugin that
    declares no rule may tell any."""
    rules = known.rules() if entries else {}
    plugins = {rule.plugin for rule in rules.values()}
    for place, entry in entries:
        if entry["rule"].partition("/")[0] in plugins and entry["rule"] not in rules:
            yield document.fault((*place, "rule"), _no_such("rule", entry["rule"], rules))
        rule = rules.get(entry["rule"])
        if (
            rule is not None
            and rule.protects
            and WEIGHTS.index(entry["weight"]) > max(map(WEIGHTS.index, rule.weights))
        ):
            says = (
                f"{rule.name} protects people, and no firm makes it lighter; it is told as {' or '.join(rule.weights)}"
            )
            yield document.fault((*place, "weight"), says)


def _wording_faults(document: Document, entries: Entries, known: Known) -> Iterator[Fault]:
    """Words for rules that nobody declares, or with names that the rule does not tell."""
    rules = known.rules() if entries else {}
    for place, text in entries:
        rule = rules.get(str(place[1]))
        if rule is None:
            yield document.fault(place, _no_such("rule", str(place[1]), rules), at_key=True)
        else:
            yield from says_faults(document, place, text, names_of_facts(rule))


def names_of_facts(rule: Rule) -> frozenset[str]:
    """What a firm's words for a rule may name: its place, the building, and the facts that the rule declares."""
    return frozenset((*OF_FINDING, *(fact_name(fact) for fact in (*rule.facts, LACKING, DECIDES, RESTS_ON))))


OF_FINDING = ("room", "wall", "trim", "piece", "job")


def fact_name(name: str) -> str:
    """A fact as a sentence names it."""
    return re.sub(r"\W", "_", name)


def _taken(document: Document, entries: Entries, taken: frozenset[str]) -> Iterator[Fault]:
    for place, entry in entries:
        if entry["name"] in taken:
            says = (
                f"there are {place[0]} of listel or of a plugin, and {entry['name']} is one of them; "
                "choose another name"
            )
            yield document.fault((*place, "name"), says)


def _step_faults(document: Document, entries: Entries, names: Collection[str]) -> Iterator[Fault]:
    for place, entry in entries:
        for word in ("after", "before"):
            for number, name in enumerate(entry.get(word, ())):
                if name not in names:
                    yield document.fault((*place, word, number), _no_such("step", name, names))


def _ring(document: Document, entries: Entries, ties: Iterable[tuple[str, str]]) -> Iterator[Fault]:
    """Steps of a file that could never stand in the order of work, since each waits for the other."""
    places = {entry["name"]: place for place, entry in entries}
    order: TopologicalSorter[str] = TopologicalSorter()
    for first, then in ties:
        order.add(then, first)
    for name, entry in ((entry["name"], entry) for _, entry in entries):
        order.add(name, *entry.get("after", ()))
        for then in entry.get("before", ()):
            order.add(then, name)
    try:
        order.prepare()
    except CycleError as error:
        ring = error.args[1]
        mine = next((places[name] for name in ring if name in places), None)
        if mine:
            yield document.fault(mine, f"these steps would wait for each other: {', then '.join(ring)}")


def _section(path: Path, entry: Mapping[str, Any]) -> Section:
    readers = tuple(entry.get("readers", ("all",)))
    return Section(
        entry["name"], entry["title"], entry["place"], path.parent / entry["template"], readers, trusted=False
    )


def _no_template(reading: _Reading) -> Iterator[Fault]:
    for place, entry in reading.entries("sections"):
        path = _section(reading.path, entry).template
        if not lies_in(path, reading.path.parent):
            said = [f"{path.name} leads out of the house file's folder; a template lies beside the house file"]
        elif not path.is_file():
            said = [f"there is no file {path}; a template lies beside the house file"]
        else:
            said = _template_slips(path)
        yield from (reading.document.fault((*place, "template"), says) for says in said)


IN_SECTION = frozenset(
    {"job", "sheet", "findings", "outcome", "result", "readers", "drawing", "note", "number", "timber"}
)
"""What the template of a section may name."""


def _template_slips(path: Path) -> list[str]:
    try:
        template(path.read_text("utf-8"), IN_SECTION, filters("mm"))
    except SandboxFault as fault:
        return [f"{path.name}, line {each.line}: {each}" for each in (fault, *fault.more)]
    except (OSError, UnicodeDecodeError) as error:
        return [f"{path.name} cannot be read: {error}"]
    return []
