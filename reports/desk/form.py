"""The form of a survey, from its schema: one source of fields, units, choices and help.

A part of the form is a ``Field`` (one value), a ``Group`` (a map) or ``Rows`` (a list of maps, each an entry).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from listel.core.quick import dataclass
from listel.core.survey.messages import KeyPath
from listel.core.survey.missing import counts
from listel.core.survey.splice import GONE, found
from listel.core.survey.units import SHOWN, Units, parsers
from listel.reports.desk.asked import Asked, Node, is_pairs, type_of
from listel.reports.desk.paths import id_of, mark_of, one_of, said

LABELS = {
    "as": "in what competence",
    "at": "from the left",
    "by": "by whom",
    "first": "first tape",
    "for": "for which trim",
    "on": "on which day",
    "says": "what is to be known",
    "snr": "SNR",
    "high": "H",
    "medium": "M",
    "low": "L",
    "noise-c": "noise, C-weighted",
    "second": "second tape",
    "to-datum": "tape to the datum line",
}
"""Keys that a label says better; every other is its own label."""
PAIR = ("first", "second")
"""Two readings of one thing."""
NOT_COPIED = frozenset(
    ["at", "name", "from", "to", "length", "corner", "openings", "fittings", "behind", "floor", "ceiling", "positions"]
).union(["bow", "lean", "moisture", "photos", "existing", "plugs"])
"""What was measured on one thing is not that of the next."""
UNITS = {
    "length": {"mm": "mm", "inches": "in"},
    "temperature": {"mm": "°C", "inches": "°F"},
    "angle": dict.fromkeys(("mm", "inches"), "°"),
    "percent": dict.fromkeys(("mm", "inches"), "%"),
}
"""What stands behind a figure of each kind, by the units of the survey."""
_LONG = 2_000
_IN_A_FORM = (
    (re.compile(r"[;,]? or [^;]*\{.*?\}[^;]*|, as \[.*\]"), ""),
    (re.compile(r"\btrue\b"), "yes"),
    (re.compile(r"\bfalse\b"), "no"),
)
"""What a description says of the file, and what it says in a form."""


@dataclass(frozen=True, kw_only=True)
class Field:
    """One value: its ``id`` is its path; ``kind`` is text, long, choice, ticks or yes-no; ``read`` says what the
    figure was read as, where it was not written plainly; ``one`` what may be added where there may be several; ``off``:
    nobody has to say it here, by what is said beside it."""

    id: str
    label: str
    says: str
    decides: str
    value: str
    kind: str
    words: tuple[str, ...] = ()
    unit: str = ""
    mode: str = "text"
    read: str = ""
    one: str = ""
    off: bool = False


@dataclass(frozen=True, kw_only=True)
class Group:
    """A map: its parts under one heading."""

    id: str
    label: str
    says: str
    decides: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, kw_only=True)
class Row:
    """One entry of a list; ``mark`` tells whether it is still as it was shown."""

    id: str
    label: str
    mark: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, kw_only=True)
class Rows:
    """A list of entries, each called ``one``; ``kinds`` is asked before one is added, under the key ``kind_key``."""

    id: str
    label: str
    says: str
    decides: str
    one: str
    rows: tuple[Row, ...]
    kind_key: str = ""
    kinds: tuple[str, ...] = ()


Part = Field | Group | Rows


class Form:
    """The form that a schema gives, filled from a survey's data."""

    def __init__(
        self, schema: Node, data: Any, units: Units, offered: Mapping[KeyPath, tuple[str, ...]] | None = None
    ) -> None:
        """``offered``: words for fields that take any, by their keys without numbers: ("records", "step")."""
        self._asked, self._data, self._units, self._offered = Asked(schema, data), data, units, offered or {}

    def part(self, path: KeyPath) -> Part | None:
        """The part of the form at a path; None where the schema knows nothing there, or there is nothing to choose."""
        node = self._asked.node(path)
        if node is None or "const" in node or node.get("properties") == {}:
            return None
        return self._part(path, node)

    def parts(self, above: KeyPath, keys: Iterable[str]) -> tuple[Part, ...]:
        """The parts of these keys of a map, those that the schema knows."""
        found_parts = (self.part((*above, key)) for key in keys)
        return tuple(part for part in found_parts if part is not None)

    def keys(self, path: KeyPath) -> tuple[str, ...]:
        """What the schema lets a map at a path say."""
        node = self._asked.node(path)
        return tuple(self._asked.map(node).get("properties", {})) if node is not None else ()

    def meant(self, path: KeyPath, text: str) -> Any:
        """What a field's text stands for in the survey; GONE where it is empty. Raises KeyError where the schema knows
        no such field."""
        node = self._asked.node(path)
        if node is None:
            raise KeyError(id_of(path))
        text = text.strip()
        if not text:
            return GONE
        return text if text in self._named_in_survey(path) else self._asked.meant(node, text)

    def is_pair(self, path: KeyPath) -> bool:
        """Whether one value may stand at a path, or two readings of it."""
        branches = list(self._asked.branches(self._asked.node(path) or {}))
        return len(branches) > 1 and any("first" in one.get("properties", {}) for one in branches)

    def is_list(self, path: KeyPath) -> bool:
        """Whether entries may stand at a path, one below the other."""
        return any(type_of(one) == "array" for one in self._asked.branches(self._asked.node(path) or {}))

    def begun(self, path: KeyPath, kind: str, like_last: bool) -> Any:
        """A new entry for the list at a path: of that ``kind``, and what the last entry has that the next may share.
        Trim of a job with one room is begun there."""
        entries = found(self._data, path)
        entries = entries if isinstance(entries, list) else []
        rows = self.part(path)
        one = self._asked.items(self._asked.node(path) or {})
        if "object" not in map(type_of, self._asked.branches(one)):
            return ""
        last = entries[-1] if like_last and entries and isinstance(entries[-1], dict) else {}
        entry = {key: value for key, value in last.items() if key not in NOT_COPIED}
        if isinstance(rows, Rows) and kind in rows.kinds:
            entry[rows.kind_key] = kind
        if "name" in self._asked.map(one).get("required", ()):
            entry = {"name": self._next_name(path, entries, kind), **entry}
        rooms = found(self._data, ("rooms",))
        if path == ("trim",) and isinstance(rooms, list) and len(rooms) == 1 and "where" not in entry:
            entry["where"] = [{"room": said(found(rooms, (0, "name")))}]
        return entry

    def _next_name(self, path: KeyPath, entries: list[Any], kind: str) -> str:
        names = {str(entry.get("name")) for entry in entries if isinstance(entry, dict)}
        word = kind.replace("-", " ") or one_of(str(path[-1])).capitalize()
        numbered = (f"{word} {number}" for number in range(2 if kind else 1, 1000))
        offered: Iterable[str] = (*([word] if kind else []), *numbered)
        if path[-1] == "walls":
            offered = (*"ABCDEFGHJKLMNPQRSTUVWXYZ", *(f"W{number}" for number in range(1, 1000)))
        return next(name for name in offered if name not in names)

    def _part(self, path: KeyPath, node: Node) -> Part:
        value = found(self._data, path)
        branches = list(self._asked.branches(node))
        about = {
            "id": id_of(path),
            "label": self._label(path),
            "says": _help(node, branches, self._label(path)),
            "decides": self._decides(path, node),
        }
        pair = next((one for one in branches if "first" in one.get("properties", {})), None)
        if pair is not None and len(branches) > 1:
            parts = tuple(self._field((*path, key), one, value) for key, one in pair["properties"].items())
            return Group(**about, parts=parts)
        if any(type_of(one) == "array" and self._asked.is_map(one["items"]) for one in branches):
            scalar = any(type_of(one) not in ("array", "object") for one in branches)
            if not scalar or isinstance(value, list):
                return self._rows(path, node, value, about)
            return replace(self._field(path, node, value), one=one_of(str(path[-1])))
        if len(branches) == 1 and branches[0].get("properties"):
            keys = tuple(branches[0]["properties"])
            return Group(**about, parts=self.parts(path, keys))
        return self._field(path, node, value)

    def _decides(self, path: KeyPath, node: Node) -> str:
        """What a fact decides; "" of one that decides nothing beside the others of its part."""
        return str(node.get("x-decides", "")) if self._counts(path, node) else ""

    def _counts(self, path: KeyPath, node: Node) -> bool:
        beside = found(self._data, path[:-1])
        return counts(beside if isinstance(beside, dict) else {}, node, self._data)

    def _rows(self, path: KeyPath, node: Node, value: Any, about: Mapping[str, str]) -> Rows:
        one = self._asked.map(self._asked.items(node))
        first = next((key for key in one.get("required", ()) if key not in NOT_COPIED), "")
        kind = first if first and "enum" in self._asked.resolved(one["properties"][first]) else ""
        words = self._asked.resolved(one["properties"][kind])["enum"] if kind else ()
        entries = value if isinstance(value, list) else []
        rows = tuple(self._row((*path, number), entry) for number, entry in enumerate(entries))
        return Rows(**about, one=one_of(str(path[-1])), rows=rows, kind_key=kind, kinds=tuple(map(str, words)))

    def _row(self, path: KeyPath, entry: Any) -> Row:
        node = self._asked.node(path) or {}
        if isinstance(entry, dict):
            parts = self.parts(path, self._asked.map(node).get("properties", {}))
        else:
            parts = (self._field(path, node, entry),)
        return Row(id=id_of(path), label=self._row_label(path, entry), mark=mark_of(entry), parts=parts)

    def _row_label(self, path: KeyPath, entry: Any) -> str:
        one = one_of(str(path[-2]))
        held = entry if isinstance(entry, dict) else {}
        names = [held[key] for key in ("name", "kind", "member", "step", "rule", "tool", "for") if held.get(key)]
        words = list(dict.fromkeys(said(name).replace("-", " ") for name in names[:2]))
        words = words or [f"{one} {int(path[-1]) + 1}"]
        if held.get("for") and held.get("length") is not None:
            words.append(said(held["length"]))
        if held.get("at") is not None:
            words.append(f"at {said(held['at'])}")
        return ", ".join(words)

    def _field(self, path: KeyPath, node: Node, value: Any) -> Field:
        if path[-1] in PAIR and not isinstance(found(self._data, path[:-1]), dict):
            value = found(self._data, path[:-1]) if path[-1] == "first" else None
        elif path[-1] in PAIR:
            value = found(self._data, path)
        branches = list(self._asked.branches(node))
        words = tuple(dict.fromkeys(str(word) for one in branches for word in self._asked.words(one)))
        words = words or self._named_in_survey(path)
        kinds = {type_of(one) for one in branches}
        form = next((one["format"] for one in branches if "format" in one), "")
        kind = "text"
        if kinds == {"boolean"}:
            kind = "yes-no"
        elif words and len(branches) == 1 and "enum" in branches[0] and (value is None or value in words):
            kind = "choice"
        elif branches[0].get("maxLength", 0) >= _LONG:
            kind = "long"
        elif path[-1] == "photos" and (taken := self._photographs(path, value)):
            kind, words = "ticks", taken
        numbers = bool(form in ("length", "angle", "percent", "load") or kinds & {"number", "integer"})
        keypad = numbers and "array" not in kinds and not (form == "length" and self._units == "inches") and not words
        unit = UNITS[form][self._units] if form in UNITS else ""
        return Field(
            id=id_of(path),
            label=self._label(path),
            says="" if self.is_pair(path[:-1]) else _help(node, branches, self._label(path)),
            decides=self._decides(path, node),
            value=said(value),
            kind=kind,
            words=words,
            unit=unit,
            mode="decimal" if keypad else "text",
            read=self._read_as(form, value),
            off=value is None and not self._counts(path, {"x-when": _unless_said(node)}),
        )

    def _named_in_survey(self, path: KeyPath) -> tuple[str, ...]:
        """What a field that takes any name may name: rooms, the walls of the room named beside it, trims, and what is
        offered."""
        top = found(self._data, ("trim" if path[-1] in ("trim", "for") else "rooms",))
        entries = [one for one in top if isinstance(one, dict)] if isinstance(top, list) else []
        if path[-1] == "wall":
            room = found(self._data, (*path[:2], "name") if path[0] == "rooms" else (*path[:-1], "room"))
            entries = [one for each in entries if each.get("name") == room for one in each.get("walls") or ()]
        if path[-1] in ("room", "wall", "trim", "for"):
            return tuple(said(found(one, ("name",))) for one in entries)
        return self._offered.get(tuple(key for key in path if isinstance(key, str)), ())

    def _photographs(self, path: KeyPath, value: Any) -> tuple[str, ...]:
        """The photographs that may be named there, those of its room or wall, and those that are named already."""
        ends = {"room": 2 if path[0] == "rooms" else 0, "wall": 4 if path[2:3] == ("walls",) else 0}
        where = {key: said(found(self._data, (*path[:end], "name"))) for key, end in ends.items() if end}
        taken = found(self._data, ("photos",))
        all_taken = [one for one in taken if isinstance(one, dict)] if isinstance(taken, list) else []
        here = [said(one.get("name")) for one in all_taken if where.items() <= one.items()]
        return tuple(dict.fromkeys((*here, *(map(str, value) if isinstance(value, list) else ()))))

    def _read_as(self, form: str, value: Any) -> str:
        """What a figure written with its unit was read as, in the units of the job."""
        if not isinstance(value, str) or form not in SHOWN:
            return ""
        try:
            return SHOWN[form](parsers(self._units)[form](value), self._units)
        except ValueError:
            return ""

    def _label(self, path: KeyPath) -> str:
        key = next((key for key in reversed(path) if isinstance(key, str)), "")
        if isinstance(path[-1], int):
            key = one_of(str(path[-2]))
        alone = key in PAIR and not self.is_pair(path[:-1])
        words = key if alone else LABELS.get(key, key.replace("-", " "))
        return words[0].upper() + words[1:]


def fields_of(parts: Iterable[Part]) -> Iterator[Field]:
    """Every field in these parts, those inside too."""
    for part in parts:
        if isinstance(part, Field):
            yield part
        elif isinstance(part, Group):
            yield from fields_of(part.parts)
        else:
            for row in part.rows:
                yield from fields_of(row.parts)


def _in_a_form(says: str) -> str:
    """A description of the schema without how a file would write it."""
    for written, meant in _IN_A_FORM:
        says = written.sub(meant, says)
    return says


def _help(node: Node, branches: list[Node], label: str) -> str:
    """What the schema says of a field, where that is more than its label."""
    says = _in_a_form(str(node.get("description") or branches[0].get("description", "")))
    bare = re.sub(r"^(?:its|the|a) ", "", says).lower()
    if any(is_pairs(one) for one in branches):
        says += "; each as name: value, a comma between"
    return "" if bare == label.lower() else says


def _unless_said(node: Node) -> dict[str, list[Any]]:
    """When a field is asked for: by what stands beside it, or as long as that is not said."""
    return {key: [*values, None] for key, values in node.get("x-when", {}).items() if values != "given"}
