"""Surveys that the form lets through, however odd: demo surveys with facts altered, and whole ones made by the form."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from listel.core.host.registry import Registry, load
from listel.core.host.slips import slips_of
from listel.core.survey.job import Job
from listel.core.survey.messages import KeyPath
from listel.core.survey.reading import SurveyFaults, job_from_text, survey_units
from listel.core.survey.references import reference_faults
from listel.core.survey.units import INCH
from listel.core.survey.words import built_in_schema
from listel.core.survey.yaml_places import read_text

EXAMPLES = Path(__file__).parents[1] / "schemas" / "examples"
DEMOS = ("stair-hall.yaml", "plain-room.yaml", "us-house.yaml")
ODD_NAMES = (
    "Αίθουσα",
    "غرفة الجلوس",
    "🛠️ room",
    'the "best" room',
    "O'Neill's",
    "<script>alert(1)</script>",
    "{{ job.title }}",
    "{% raw %}",
    "a|b*c_d`e`",
    "x" * 120,
    "A & B",
    "None",
    "A/B",
    "#1",
    "n" * 39 + " " + "w" * 60,
    "\\end",
    "%s %d",
    "1",
    "-",
)
EDGES = {
    "length": (0.0, 200_000.0),
    "angle": (0.0, 360.0),
    "temperature": (-60.0, 80.0),
    "percent": (0.0, 100.0),
    "load": (0.0, 5000.0),
}
_MOST_TURNS = 60
_FAR = 1_000_003


@cache
def demo(name: str) -> dict[str, Any]:
    """The data of a demo survey."""
    data: dict[str, Any] = read_text((EXAMPLES / name).read_text("utf-8"), name).data
    return data


def altered(random: Random, name: str = "") -> str:
    """A demo survey with a few of its facts struck out, altered or added; what then makes no sense is struck out."""
    data = copy.deepcopy(demo(name or random.choice(DEMOS)))
    maker = _Maker(random)
    for _ in range(random.choice((1, 2, 4, 8, 20, 40))):
        node, schema = random.choice(list(_maps(data, built_in_schema())))
        random.choice((_strike, _alter, _alter, _add))(node, schema, maker)
    if random.random() < 0.2:
        _rename(data, random)
    return _made_sense_of(data)


def made(random: Random) -> str:
    """A survey made by the form alone."""
    maker = _Maker(random, fullness=random.choice((0.1, 0.4, 0.7, 0.95)), sane=random.choice((0.9, 0.97, 1.0)))
    data = maker.value(built_in_schema())
    _tie(data, random)
    return _made_sense_of(data)


def any_survey(seed: int) -> str:
    """One survey of either sort; the same for the same number."""
    random = Random(seed)
    return made(random) if random.random() < 0.4 else altered(random)


def job_of_seed(seed: int, sort: Callable[[Random], str] | None = None) -> Job:
    """The job of the first survey from that number on that the form and its sense let through."""
    for turn in range(_MOST_TURNS):
        text = any_survey(seed + turn * _FAR) if sort is None else sort(Random(seed + turn * _FAR))
        job = readable(text)
        if job is not None:
            return job
    raise AssertionError("no survey was let through")


def readable(text: str) -> Job | None:
    """The job of a survey's text; None where the form or sense refuse it."""
    try:
        return job_from_text(text)
    except SurveyFaults:
        return None


# ---------------------------------------------------------------- values by the form


@dataclass
class _Maker:
    """Makes values that a part of the form lets through. ``fullness``: share of optional keys that are said;
    ``sane``: share of numbers that stand well within their bounds."""

    random: Random
    fullness: float = 0.4
    sane: float = 0.8
    counts: dict[str, int] = field(default_factory=dict)

    def value(self, node: dict[str, Any], key: str = "") -> Any:
        node = _resolved(node)
        if "const" in node:
            return node["const"]
        if "enum" in node:
            return self.random.choice(node["enum"])
        if "anyOf" in node:
            return self.value(self.random.choice(node["anyOf"]), key)
        if node.get("format") in EDGES:
            return self.measure(node)
        kind = node.get("type", "object")
        if kind == "object":
            return self.object(node)
        if kind == "array":
            least, most = node.get("minItems", 0), min(node.get("maxItems", 4), 4)
            return [self.value(node["items"], key) for _ in range(self.random.randint(least, most))]
        if kind == "boolean":
            return self.random.random() < 0.5
        if kind in ("number", "integer"):
            return self.number(node, kind == "integer")
        return self.text(node, key)

    def object(self, node: dict[str, Any]) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for key, part in node.get("properties", {}).items():
            if key in node.get("required", ()) or self.random.random() < self.fullness:
                made[key] = self.value(part, key)
        if isinstance(node.get("additionalProperties"), dict) and self.random.random() < 0.5:
            made[self.random.choice(("cut", "fix", "dry-fit", "no such step"))] = self.value(
                node["additionalProperties"]
            )
        return made

    def number(self, node: dict[str, Any], whole: bool) -> float:
        least, most = node.get("minimum", 0), node.get("maximum", 1000)
        value = self.between(least, most)
        return int(value) if whole else value

    def between(self, least: float, most: float) -> float:
        if self.random.random() >= self.sane:
            return self.random.choice((least, most))
        if least >= 0 and most > 100 * (least + 1):
            low = math.log(max(least, most / 1e4, 1e-3))
            return round(math.exp(self.random.uniform(low, math.log(most / 10))), 2)
        return round(self.random.uniform(least, most), 2)

    def measure(self, node: dict[str, Any]) -> float | str:
        least, most = EDGES[node["format"]]
        value = self.between(node.get("x-least", least), node.get("x-most", most))
        if node["format"] == "length" and 10 < value < node.get("x-most", most) / 2 and self.random.random() < 0.1:
            return f"{value / INCH:.3f} in"
        return f"{value} mm" if node["format"] == "length" else value

    def text(self, node: dict[str, Any], key: str) -> str:
        if node.get("pattern") == "^about [0-9]{4}$":
            return f"about {self.random.randint(1000, 2100)}"
        if key == "name":
            number = self.counts[key] = self.counts.get(key, 0) + 1
            odd = self.random.choice(ODD_NAMES) if self.random.random() < 0.2 else ""
            return f"{odd}{number}"[-node.get("maxLength", 120) :] if odd else _letters(number)
        if key in ("surveyed", "start", "on"):
            return self.random.choice(("2026-03-14", "1900-01-01", "9999-12-31"))
        if key in ("step",):
            return self.random.choice(("lead-check", "asbestos-check", "detect-services", "cut", "fix", "nonsense"))
        if key == "rule":
            return self.random.choice(("heights/rail-meets-switch", "safety/lead-paint", "no rule", "engine/x"))
        return self.random.choice((*ODD_NAMES, "seen on the day", "acclimatise, then cut and fix"))[
            : node.get("maxLength", 120)
        ].ljust(node.get("minLength", 0), ".")


def _letters(number: int) -> str:
    return f"{chr(65 + number % 26)}{number // 26 or ''}"


def _resolved(node: dict[str, Any]) -> dict[str, Any]:
    return built_in_schema()["$defs"][node["$ref"].rsplit("/", 1)[1]] if "$ref" in node else node


# ---------------------------------------------------------------- altering


def _maps(value: Any, node: dict[str, Any]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Every map in the data, with the part of the form it follows."""
    node = _resolved(node)
    if "anyOf" in node:
        kinds = {dict: "object", list: "array"}
        node = next((one for one in map(_resolved, node["anyOf"]) if one.get("type") == kinds.get(type(value))), {})
    if isinstance(value, dict) and "properties" in node:
        yield value, node
        for key, part in value.items():
            yield from _maps(part, node["properties"].get(key, {}))
    elif isinstance(value, list):
        for item in value:
            yield from _maps(item, node.get("items", {}))


def _strike(node: dict[str, Any], schema: dict[str, Any], maker: _Maker) -> None:
    keys = [key for key in node if key not in schema.get("required", ())]
    if keys:
        key = maker.random.choice(keys)
        if isinstance(node[key], list) and len(node[key]) > 1 and maker.random.random() < 0.7:
            node[key].pop(maker.random.randrange(len(node[key])))
        else:
            del node[key]


def _alter(node: dict[str, Any], schema: dict[str, Any], maker: _Maker) -> None:
    keys = [key for key in node if key not in ("name", "room", "walls", "rooms", "for", "wall", "where", "trim")]
    if keys:
        key = maker.random.choice(keys)
        node[key] = maker.value(schema["properties"].get(key, {"type": "number"}), key)


def _add(node: dict[str, Any], schema: dict[str, Any], maker: _Maker) -> None:
    keys = [key for key in schema["properties"] if key not in node]
    if keys:
        key = maker.random.choice(keys)
        node[key] = maker.value(schema["properties"][key], key)


def _rename(data: dict[str, Any], random: Random) -> None:
    """Give a room, a wall or a trim an odd name, wherever it is spoken of."""
    named = [node["name"] for key in ("rooms", "trim") for node in data.get(key, ())]
    named += [wall["name"] for room in data["rooms"] for wall in room.get("walls", ())]
    was, now = random.choice(named), random.choice(ODD_NAMES)

    def renamed(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: renamed(part) for key, part in value.items()}
        if isinstance(value, list):
            return [renamed(part) for part in value]
        return now if value == was else value

    data.update(renamed(data))


def _tie(data: dict[str, Any], random: Random) -> None:
    """Let what speaks of a room, a wall or a trim speak of one that is there."""
    rooms = data["rooms"]
    for trim in data.get("trim", ()):
        for place in trim["where"]:
            room = random.choice(rooms)
            place["room"] = room["name"]
            walls = [wall["name"] for wall in room.get("walls", ())]
            if isinstance(place.get("walls"), list) and walls:
                place["walls"] = random.sample(walls, random.randint(1, len(walls)))
            elif "walls" in place:
                place["walls"] = "all"
    trims = [trim["name"] for trim in data.get("trim", ())]
    for board in [*data.get("stock", ()), *data.get("rack", ())]:
        board["for"] = random.choice(trims) if trims else "none"
    for room in rooms:
        names = [wall["name"] for wall in room.get("walls", ())]
        for mark in [
            *room.get("evidence", ()),
            *(one for flight in room.get("stairs", ()) for one in flight.get("walls", ())),
        ]:
            if "wall" in mark and names:
                mark["wall"] = random.choice(names)


# ---------------------------------------------------------------- striking out what makes no sense


def _made_sense_of(data: dict[str, Any]) -> str:
    """The survey as text, with what its references find fault with struck out."""
    for _ in range(_MOST_TURNS):
        paths = list(_nonsense(data))
        if not paths:
            break
        for path in sorted(paths, key=_sortable, reverse=True):
            _strike_out(data, path)
    for key, number in sorted(_slips(data), reverse=True):
        del data[key][number]
    return json.dumps(data, ensure_ascii=False, indent=0)


@cache
def _registry() -> Registry:
    return load(entry_points=False, reckoners=False)


def _slips(data: dict[str, Any]) -> set[tuple[str, int]]:
    """The records and departures that the rules do not allow, by their key and number."""
    try:
        job = job_from_text(json.dumps(data, ensure_ascii=False, indent=0))
    except SurveyFaults:
        return set()
    registry = _registry()
    faults = slips_of(job, registry.plugins)
    places = (fault.path.split(" > ") for fault in faults)
    return {(key, int(item.removeprefix("item ")) - 1) for key, item, *_ in places}


def _sortable(path: KeyPath) -> list[tuple[int, str]]:
    return [(part, "") if isinstance(part, int) else (-1, part) for part in path]


class _Pathed:
    """Stands for a document whose faults are their paths."""

    def __init__(self, data: dict[str, Any]) -> None:
        self.data = data

    def fault(self, path: KeyPath, says: str) -> Any:
        del says
        return _Path(path)


@dataclass(frozen=True)
class _Path:
    path: KeyPath
    line: int = 0


def _nonsense(data: dict[str, Any]) -> Iterator[KeyPath]:
    for fault in reference_faults(_Pathed(data), survey_units(data)):  # type: ignore[arg-type]
        yield fault.path  # type: ignore[attr-defined]


def _strike_out(data: dict[str, Any], path: KeyPath) -> None:
    """Strike out the value of a path; where its map cannot do without it, the map; and so on upwards."""
    held: list[Any] = [data]
    node = built_in_schema()
    needed = []
    for key in path:
        node = _resolved(node)
        if "anyOf" in node:
            wanted = "properties" if isinstance(key, str) else "items"
            node = next((one for one in map(_resolved, node["anyOf"]) if wanted in one), {})
        try:
            held.append(held[-1][key])
        except (KeyError, IndexError, TypeError):
            return
        if isinstance(key, str):
            needed.append(key in node.get("required", ()))
            node = node.get("properties", {}).get(key, {})
        else:
            needed.append(len(held[-2]) <= node.get("minItems", 0))
            node = node.get("items", {})
    for depth in range(len(path) - 1, -1, -1):
        if not needed[depth]:
            del held[depth][path[depth]]
            return
