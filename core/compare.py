"""What changed between two outcomes, by room and in words, for the next revision of a statement.

Both outcomes are in their JSON form (``listel statement SURVEY --json``).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from listel.core.show import number

Json = Mapping[str, Any]

PLACE_KEYS = (
    "label",
    "name",
    "board",
    "what",
    "joint",
    "stage",
    "room",
    "wall",
    "trim",
    "member",
    "flight",
    "first",
    "second",
    "start",
)
"""Keys that say which line it is, rather than what it says."""


@dataclass(frozen=True)
class FindingChange:
    """One finding that is new, gone or settled, or says something else."""

    rule: str
    room: str
    where: str
    says: str
    weight: str
    was: str = ""


@dataclass(frozen=True)
class LineChange:
    """One key of one line of a result that holds another value. A line that is new or gone has the key ""."""

    result: str
    line: str
    room: str
    key: str
    was: str
    now: str


@dataclass(frozen=True)
class Comparison:
    """What changed. ``same_run``: both came of the same survey, plugins, tables and house rules."""

    same_run: bool
    causes: tuple[str, ...]
    added: tuple[FindingChange, ...]
    settled: tuple[FindingChange, ...]
    changed: tuple[FindingChange, ...]
    lines: tuple[LineChange, ...]


def compared(old: Json, new: Json) -> Comparison:
    """What changed from the old outcome to the new one.

    Raises ValueError if either is no outcome.
    """
    for told in (old, new):
        if not isinstance(told, Mapping) or not {"findings", "results", "digest", "survey", "ran"} <= set(told):
            raise ValueError("this is no outcome; write one with: listel statement SURVEY --json")
    before, after = _by_identity(old["findings"]), _by_identity(new["findings"])
    was_open = {key for key, finding in before.items() if _open(finding)}
    is_open = {key for key, finding in after.items() if _open(finding)}
    added = [_told(after[key]) for key in after if key not in before or key in is_open - was_open]
    settled = [_told(before[key]) for key in before if key not in after or key in was_open - is_open]
    changed = [
        _told(after[key], was=_words(before[key]))
        for key in after
        if key in before and _open(before[key]) == _open(after[key]) and _words(before[key]) != _words(after[key])
    ]
    lines = tuple(_line_changes(old["results"], new["results"]))
    return Comparison(
        old["digest"] == new["digest"], tuple(_causes(old, new)), tuple(added), tuple(settled), tuple(changed), lines
    )


def _by_identity(findings: Iterable[Json]) -> dict[tuple[Any, ...], Json]:
    found: dict[tuple[Any, ...], Json] = {}
    seen: Counter[tuple[Any, ...]] = Counter()
    for finding in findings:
        where = finding["where"]
        identity = (finding["rule"], where["room"], where["wall"], where["trim"], where["piece"])
        found[(*identity, seen[identity])] = finding
        seen[identity] += 1
    return found


def _open(finding: Json) -> bool:
    return finding["settled"] is None


def _words(finding: Json) -> str:
    return f"{finding['weight']}: {finding['says']}"


def _told(finding: Json, was: str = "") -> FindingChange:
    where = finding["where"]
    place = ", ".join(
        part
        for part in (where["room"], where["wall"] and f"wall {where['wall']}", where["trim"], where["piece"])
        if part
    )
    return FindingChange(
        finding["rule"], where["room"], place or "the whole job", finding["says"], finding["weight"], was
    )


def _causes(old: Json, new: Json) -> Iterator[str]:
    if old["survey"]["digest"] != new["survey"]["digest"]:
        yield "the survey changed"
    if old["listel"] != new["listel"]:
        yield f"listel {old['listel']} became {new['listel']}"
    before, after = ({entry["plugin"]: entry["version"] for entry in told["ran"]} for told in (old, new))
    for name in sorted({*before, *after}):
        if name not in after:
            yield f"the plugin {name} is no longer at work"
        elif name not in before:
            yield f"the plugin {name} {after[name]} is at work now"
        elif before[name] != after[name] and before[name] != old["listel"]:
            yield f"the plugin {name} {before[name]} became {after[name]}"
    if old["digest"] != new["digest"] and old["survey"]["digest"] == new["survey"]["digest"] and before == after:
        yield "a table or a house rule changed"


def _line_changes(old: Json, new: Json) -> Iterator[LineChange]:
    for result in sorted({*old, *new}):
        before, after = (_lines(told.get(result, {})) for told in (old, new))
        for key in [*before, *(key for key in after if key not in before)]:
            if key not in after:
                yield LineChange(
                    result, _name(before[key]), str(before[key].get("room", "")), "", "was there", "is gone"
                )
            elif key not in before:
                yield LineChange(
                    result, _name(after[key]), str(after[key].get("room", "")), "", "was not there", "is new"
                )
            else:
                yield from _key_changes(result, before[key], after[key])


def _lines(result: Json) -> dict[tuple[Any, ...], Json]:
    found: dict[tuple[Any, ...], Json] = {}
    seen: Counter[tuple[Any, ...]] = Counter()
    for group, held in result.items():
        for line in held if isinstance(held, list) else ():
            if isinstance(line, Mapping):
                identity = (
                    group,
                    *((key, line[key]) for key in PLACE_KEYS if isinstance(line.get(key), (str, int, float))),
                )
                found[(*identity, seen[identity])] = line
                seen[identity] += 1
    return found


def _name(line: Json) -> str:
    return ", ".join(str(line[key]) for key in PLACE_KEYS if isinstance(line.get(key), str) and line[key])


def _key_changes(result: str, before: Json, after: Json) -> Iterator[LineChange]:
    for key, now in after.items():
        was = before.get(key)
        if key == "grounds" or was == now:
            continue
        yield LineChange(result, _name(after), str(after.get("room", "")), key, _short(was), _short(now))


def _short(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, (int, float, str)):
        return number(value)
    if isinstance(value, list):
        return (
            f"{len(value)} of them"
            if len(value) > 4 or any(isinstance(v, (dict, list)) for v in value)
            else ", ".join(map(_short, value))
        )
    return "another value"
