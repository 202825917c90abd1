"""What changed between two outcomes, by room and in words, for the next revision of a statement.

Both outcomes are in their JSON form (``listel statement SURVEY --json``).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import KW_ONLY
from typing import Any

from listel.core.commands.show import number
from listel.core.quick import dataclass
from listel.reports.acted_on import Acts, acts, dated

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
    _: KW_ONLY
    was: str = ""


@dataclass(frozen=True)
class LineChange:
    """One key of one line of a result that holds another value, with its unit. A line that is new or gone has the
    key ""."""

    result: str
    line: str
    room: str
    key: str
    was: str
    _: KW_ONLY
    now: str


@dataclass(frozen=True)
class CostChange:
    """What the whole was estimated at and is now, in a currency; ``rooms``: (room, was, is) of those that changed, the
    lines of no room and what is laid on all under ""."""

    currency: str
    was: float
    now: float
    rooms: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Comparison:
    """What changed. ``same_run``: both came of the same survey, plugins, tables and house rules. ``cost``: where both
    were priced in one currency."""

    same_run: bool
    causes: tuple[str, ...]
    added: tuple[FindingChange, ...]
    settled: tuple[FindingChange, ...]
    changed: tuple[FindingChange, ...]
    _: KW_ONLY
    lines: tuple[LineChange, ...]
    cost: CostChange | None = None
    was: str = ""
    now: str = ""
    acts: tuple[Acts, ...] = ()


@dataclass(frozen=True)
class Alike:
    """Changes of one rule and weight in one room that say the same, but for their places: told in one row.

    ``also``: the places of all but the first."""

    first: FindingChange
    also: tuple[str, ...]


def alike(changes: Iterable[FindingChange]) -> list[Alike]:
    """The changes, those of one rule, weight and room together, in the order they came."""
    held: dict[tuple[str, ...], list[FindingChange]] = {}
    for change in changes:
        held.setdefault((change.rule, change.weight, change.room, change.was and change.where), []).append(change)
    return [Alike(group[0], tuple(change.where for change in group[1:])) for group in held.values()]


@dataclass(frozen=True, kw_only=True)
class Told:
    """What is otherwise in one room, or ("") in the whole job, in lines: what it is to the reader, and what is so."""

    room: str
    lines: tuple[tuple[str, str], ...]


def in_words(told: Comparison) -> list[Told]:
    """What changed that anyone acts on, by room, the whole job last: what stops, what is done otherwise, what is told
    besides, in that order. What is only for the file is left out."""
    changes = (*told.added, *told.settled, *told.changed)
    acts = {each.room: each.lines for each in told.acts}
    rooms = [*acts, *(change.room for change in changes)]
    found = []
    for room in sorted(dict.fromkeys(rooms), key=lambda room: (not room, rooms.index(room))):
        lines = [
            *_findings(room, "Stops the work", told.added, ("hold",)),
            *_findings(room, "Stops it still, told otherwise", told.changed, ("hold",)),
            *_findings(room, "Stops it no longer", told.settled, ("hold",)),
            *(("Do", line) for line in acts.get(room, ())),
            *_findings(room, "Take care", told.added, ("caution",)),
            *_findings(room, "Advised", told.added, ("advice",)),
            *_findings(room, "Told otherwise", told.changed, ("caution", "advice")),
            *_findings(room, "No longer told", told.settled, ("caution", "advice")),
        ]
        if lines:
            found.append(Told(room=room, lines=tuple(lines)))
    return found


def _findings(
    room: str, word: str, changes: Iterable[FindingChange], weights: tuple[str, ...]
) -> Iterator[tuple[str, str]]:
    for row in alike(change for change in changes if change.room == room and change.weight in weights):
        more = f" And {len(row.also)} more of this kind: {'; '.join(dict.fromkeys(row.also))}." if row.also else ""
        yield word, f"{row.first.says}{more}"


def compared(old: Json, new: Json) -> Comparison:
    """What changed from the old outcome to the new one. Raises ValueError if either is no outcome."""
    for told in (old, new):
        if not isinstance(told, Mapping) or {"findings", "results", "units", "digest", "survey", "ran"} - told.keys():
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
    lines = tuple(_line_changes(old, new))
    return Comparison(
        old["digest"] == new["digest"],
        tuple(_causes(old, new)),
        tuple(added),
        tuple(settled),
        tuple(changed),
        lines=lines,
        cost=_cost(old["results"].get("Estimate", {}), new["results"].get("Estimate", {})),
        was=dated(old),
        now=dated(new),
        acts=tuple(_with_theirs(acts(old, new), lines, old, new)),
    )


def _with_theirs(told: Iterable[Acts], lines: Iterable[LineChange], old: Json, new: Json) -> Iterator[Acts]:
    """What anyone acts on, with what is otherwise in the results that plugins from outside give."""
    ran = (entry for outcome in (old, new) for entry in outcome["ran"] if entry["origin"] != "built in")
    theirs = {kind for entry in ran for kind in entry["gives"]}
    by_room = {each.room: list(each.lines) for each in told}
    for change in (change for change in lines if change.result in theirs):
        what = f"{change.key.replace('_', ' ')} {change.now} (it was {change.was})" if change.key else change.now
        name = change.line or change.result
        by_room.setdefault(change.room, []).append(f"{name}: {what}")
    yield from (Acts(room=room, lines=tuple(said)) for room, said in by_room.items())


def _cost(old: Json, new: Json) -> CostChange | None:
    was, now = old.get("total"), new.get("total")
    if was is None or now is None or old["currency"] != new["currency"]:
        return None
    before, after = _room_sums(old), _room_sums(new)
    rooms = [(room, before.get(room, 0.0), after.get(room, 0.0)) for room in sorted({*before, *after})]
    return CostChange(new["currency"], was, now, tuple(each for each in rooms if each[1] != each[2]))


def _room_sums(told: Json) -> dict[str, float]:
    sums: dict[str, float] = {}
    for item in told["items"]:
        sums[item["room"]] = round(sums.get(item["room"], 0.0) + (item["amount"] or 0.0), 2)
    return sums


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
        finding["rule"], where["room"], place or "the whole job", finding["says"], finding["weight"], was=was
    )


def _causes(old: Json, new: Json) -> Iterator[str]:
    if old["survey"]["digest"] != new["survey"]["digest"]:
        yield "the survey changed"
    if old["listel"] != new["listel"]:
        yield f"listel {old['listel']} became {new['listel']}"
    before, after = ({_whose(entry): entry["version"] for entry in _at_work(told)} for told in (old, new))
    for name in sorted({*before, *after}):
        is_or_are = "are" if name.startswith("the house rules") else "is"
        if name not in after:
            yield f"{name} {is_or_are} no longer at work"
        elif name not in before:
            yield f"{name} {is_or_are} at work now{f', version {after[name]}' if after[name] else ''}"
        elif before[name] != after[name] and before[name] != old["listel"]:
            yield f"{name} {before[name] or 'without a version'} became {after[name] or 'one without'}"
    if old["digest"] != new["digest"] and old["survey"]["digest"] == new["survey"]["digest"] and before == after:
        yield "a table or a house rule changed"


def _at_work(outcome: Json) -> Iterable[Json]:
    found: Iterable[Json] = outcome.get("plugins") or outcome["ran"]
    return found


def _whose(entry: Json) -> str:
    """A plugin, or a firm's house rules with their file, as words name it."""
    if str(entry["origin"]).startswith("house rules of"):
        return f"the {entry['origin']}"
    return f"the plugin {entry['plugin']}"


def _line_changes(old: Json, new: Json) -> Iterator[LineChange]:
    for result in sorted({*old["results"], *new["results"]} - {"Estimate"}):
        before, after = (_lines(told["results"].get(result, {})) for told in (old, new))
        units = {**old["units"].get(result, {}), **new["units"].get(result, {})}
        for key in [*before, *(key for key in after if key not in before)]:
            if key not in after:
                yield LineChange(
                    result, _name(before[key]), str(before[key].get("room", "")), "", "was there", now="is gone"
                )
            elif key not in before:
                yield LineChange(
                    result, _name(after[key]), str(after[key].get("room", "")), "", "was not there", now="is new"
                )
            else:
                yield from _key_changes(result, before[key], after[key], units)


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
    words = list(dict.fromkeys(line[key] for key in PLACE_KEYS if isinstance(line.get(key), str) and line[key]))
    start = line.get("start")
    return ", ".join([*words, *([f"from {start:.0f} mm"] if isinstance(start, (int, float)) else [])])


def _key_changes(result: str, before: Json, after: Json, units: Mapping[str, str]) -> Iterator[LineChange]:
    for key, now in after.items():
        was = before.get(key)
        if key == "grounds" or was == now:
            continue
        unit = units.get(key, "")
        yield LineChange(
            result, _name(after), str(after.get("room", "")), key, _short(was, unit), now=_short(now, unit)
        )


def _short(value: Any, unit: str = "") -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{number(value)} {unit}".rstrip()
    if isinstance(value, str):
        return value
    if isinstance(value, list):
        if len(value) > 4 or any(isinstance(item, (dict, list)) for item in value):
            return f"{len(value)} of them"
        return ", ".join(_short(item, unit) for item in value) or "none"
    return "another value"
