"""Cases: for each rule a fragment of a survey just inside its limit and one just outside, and what is told.

Beside a plugin's rules lies ``cases.yaml``::

    survey: one-wall
    rules:
      fixings/too-short:
        - {set: {choices.length: 61 mm}, told: hold}
        - {set: {choices.length: 62 mm}, told: nothing}

``survey`` names a base survey of the kit (``schemas/bases/``), for the file or for one case. ``set`` and ``remove``
speak of places in it by a path of keys; in a list an item is named by its ``name`` or its number from 0, and ``+``
stands for a new item at the end. The stages that the rule's plugin stands on are run, and its own. ``says`` demands
words of the sentence, ``times`` how often it is told; ``house`` is what a firm's house file holds.

A firm's own file of cases begins with ``listel-cases: 1``, and pytest runs it wherever its name ends in
``cases.yaml``. Its ``survey`` may be a file beside it; ``house`` and ``plugins`` list files beside it that are at work
in all of its cases, with ``options``.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from listel.core.contract.findings import WEIGHTS
from listel.core.contract.stage import Stage
from listel.core.files import beside
from listel.core.host.engine import examine
from listel.core.host.firm import Firm
from listel.core.host.outcome import Outcome
from listel.core.host.plugin import Plugin
from listel.core.host.registry import Registry
from listel.core.house.rules import house_plugins
from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import KeyPath, SurveyFaults, did_you_mean
from listel.core.survey.schema_words import schema_faults
from listel.core.survey.yaml_places import read_document

NOTHING = "nothing"


@dataclass(frozen=True, kw_only=True)
class Case:
    """One case of one rule, the ``number``-th of them from 1: the base ``survey``, what is changed in it, and what is
    ``told``. ``wrong`` says what in it is not of its form, which then is all that is known of it."""

    rule: str
    number: int
    survey: str
    told: str
    set: Mapping[str, Any] = field(default_factory=dict)
    remove: tuple[str, ...] = ()
    house: Mapping[str, Any] | Sequence[Mapping[str, Any]] = field(default_factory=dict)
    says: str = ""
    times: int | None = None
    note: str = ""
    line: int = 0
    wrong: str = ""

    @property
    def name(self) -> str:
        """Its name among the tests."""
        return f"{self.rule}-{self.number}"


def read_cases(path: Path) -> list[Case]:
    """The cases of a file (``schemas/cases.schema.json``). Raises SurveyFaults where it is no YAML, or is not of its
    form outside its cases."""
    document = read_document(path, "file of cases")
    schema = json.loads(beside("listel.schemas", "cases.schema.json").read_text(encoding="utf-8"))
    faults = [*document.faults, *schema_faults(document, schema)]
    wrong: dict[KeyPath, list[str]] = {}
    for fault in faults:
        wrong.setdefault((fault.keys or ())[:3], []).append(f"{fault.path.rpartition(' > ')[2]}: {fault.says}")
    if any(len(place) < 3 for place in wrong):
        raise SurveyFaults(faults)
    data = document.data
    found: list[Case] = []
    for rule, cases in data["rules"].items():
        for number, case in enumerate(cases):
            place = ("rules", rule, number)
            about = {"rule": rule, "number": number + 1, "line": document.values[place][0]}
            if place in wrong:
                found.append(Case(**about, survey="", told="", wrong="; ".join(wrong[place])))
                continue
            said = {"survey": data.get("survey", "one-wall"), **case, "remove": tuple(case.get("remove", ()))}
            if said["survey"].endswith(".yaml"):
                said["survey"] = str(path.parent / said["survey"])
            found.append(Case(**about, **said))
    return found


def is_cases(path: Path) -> bool:
    """Whether a file is one of cases, to be run by itself."""
    return path.name.endswith("cases.yaml") and "listel-cases:" in path.read_text(encoding="utf-8")


def firm_of_cases(path: Path) -> Firm:
    """What is at work in a file of cases: what is installed, and what the file names. Raises as :class:`Firm` does."""
    data = read_document(path, "file of cases").data
    plugins, house = ([path.parent / name for name in data.get(key, ())] for key in ("plugins", "house"))
    return Firm(plugins=plugins, house=house, options=data.get("options"))


def judge(case: Case, firm: Firm) -> str:
    """What is wrong with a case, in words; "" where it is told as it says."""
    if case.wrong:
        return case.wrong
    try:
        outcome = outcome_of_case(case, firm)
    except SurveyFaults as bad:
        return "; ".join(f"{fault.path}: {fault.says}" for fault in bad.faults)
    except InputFault as bad:
        return str(bad)
    if case.rule not in outcome.rules:
        return f"there is no rule {case.rule}.{did_you_mean(case.rule, outcome.rules, 'there are')}"
    broken = [entry for entry in outcome.ran if entry.fault]
    if broken and not case.rule.startswith("engine/"):
        return f"the stage {broken[0].stage} failed: {broken[0].fault}"
    found = [finding for finding in outcome.findings if finding.rule == case.rule]
    weights = sorted({finding.weight for finding in found}, key=WEIGHTS.index)
    if case.told == NOTHING:
        return f"told as {', '.join(weights)}: {found[0].says}" if found else ""
    fitting = [finding for finding in found if finding.weight == case.told and case.says in finding.says]
    if not fitting:
        sentences = "; ".join(finding.says for finding in found) or NOTHING
        return f"not told as {case.told}{f' with {case.says!r}' if case.says else ''}; told: {sentences}"
    if case.times is not None and len(fitting) != case.times:
        return f"told {len(fitting)} times, not {case.times}"
    return ""


def outcome_of_case(case: Case, firm: Firm) -> Outcome:
    """The outcome of the case's survey: the stages that its rule's plugin stands on, and its own. Raises InputFault
    where its survey or its house rules cannot be made or read."""
    data = changed(base(case.survey), case.set, case.remove)
    owner = case.rule.partition("/")[0].replace("-", "_")
    job = firm.read_text(json.dumps(data), f"{Path(case.survey).stem}.yaml")
    house = [*firm.house, *_house_of(case, firm.registry)]
    return examine(job, _standing_on(firm.registry, owner), house, options=firm.options)


def _house_of(case: Case, registry: Registry) -> list[Plugin]:
    files = case.house if isinstance(case.house, list) else [case.house]
    if not any(files):
        return []
    with TemporaryDirectory() as folder:
        paths = [Path(folder) / f"house{number or ''}.yaml" for number in range(len(files))]
        for number, (path, held) in enumerate(zip(paths, files, strict=True)):
            form = {"listel-house": 1, "firm": f"A firm{' more' * number}", **held}
            path.write_text(json.dumps(form), encoding="utf-8")
        return house_plugins(paths, registry)


def base(name: str) -> dict[str, Any]:
    """The data of a base survey of the kit, or of a survey's file, to be changed at will. Raises InputFault where there
    is none."""
    return copy.deepcopy(_read(name))


@cache
def _read(name: str) -> dict[str, Any]:
    path = Path(name) if name.endswith(".yaml") else beside("listel.schemas", "bases", f"{name}.yaml")
    if not path.is_file():
        raise InputFault(f"there is no survey {name}")
    data: dict[str, Any] = read_document(path).data
    return data


def changed(data: dict[str, Any], sets: Mapping[str, Any], removes: Sequence[str] = ()) -> dict[str, Any]:
    """A survey's data with values set and others removed. Raises InputFault for a place that is not there."""
    new = copy.deepcopy(data)
    for path, value in sets.items():
        holder, key = _holder(new, path, make=True)
        if isinstance(holder, list) and key == len(holder):
            holder.append(copy.deepcopy(value))
        else:
            holder[key] = copy.deepcopy(value)
    for path in removes:
        holder, key = _holder(new, path, make=False)
        try:
            del holder[key]
        except (KeyError, IndexError) as error:
            raise InputFault(f"the base survey has no {path}") from error
    return new


def _holder(data: Any, path: str, *, make: bool) -> tuple[Any, Any]:
    """What holds the last part of a path, and its key there."""
    *above, last = path.split(".")
    for part in above:
        key = _key(data, part, path)
        if make and isinstance(data, dict) and key not in data:
            data[key] = {}
        try:
            data = data[key]
        except (KeyError, IndexError, TypeError) as error:
            raise InputFault(f"the base survey has no {path}") from error
    return data, _key(data, last, path)


def _key(data: Any, part: str, path: str) -> Any:
    if not isinstance(data, list):
        return part
    if part == "+":
        return len(data)
    for number, item in enumerate(data):
        if isinstance(item, dict) and item.get("name") == part:
            return number
    if part.isdigit():
        return int(part)
    names = [item["name"] for item in data if isinstance(item, dict) and "name" in item]
    raise InputFault(f"the base survey has no {part} in {path}.{did_you_mean(part, names, 'there are')}")


def _standing_on(registry: Registry, owner: str) -> Registry:
    """The plugins, with only the stages that those of ``owner`` stand on, and its own; all where nobody has that
    name."""
    stages = [stage for plugin in registry.plugins for stage in plugin.stages]
    wanted = [stage for plugin in registry.plugins if plugin.name == owner for stage in plugin.stages]
    if not wanted:
        return registry
    names = {stage.name for stage in _closure(stages, wanted)}
    return Registry(
        tuple(
            replace(plugin, stages=tuple(stage for stage in plugin.stages if stage.name in names))
            for plugin in registry.plugins
        )
    )


def _closure(stages: Iterable[Stage], wanted: Sequence[Stage]) -> Iterator[Stage]:
    stages = list(stages)
    waiting, seen = list(wanted), {stage.name for stage in wanted}
    while waiting:
        stage = waiting.pop()
        yield stage
        kinds = set(stage.reads)
        for other in stages:
            if other.name not in seen and kinds & {*other.yields, *other.amends}:
                seen.add(other.name)
                waiting.append(other)
