"""YAML read from events into plain data, with the line and column of every key and value.

Only what a survey needs is read: maps with text keys, lists, text, numbers, true and false. Tags, directives,
second documents, numbers that are not finite, control characters and keys written twice are faults. Size, depth
and the number of values (aliases counted in full) are bounded, so that no file can use up time or memory.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import KW_ONLY, field
from itertools import islice
from pathlib import Path
from typing import Any

from listel.core.quick import dataclass
from listel.core.survey.messages import Fault, KeyPath, SurveyFaults, comma_words, path_words, shown
from listel.core.survey.yaml_words import syntax_words

__all__ = ["Document", "Fault", "KeyPath", "SurveyFaults", "read_document", "read_text", "text_of"]

MOST_BYTES = 1 << 20
MOST_DEPTH = 40
MOST_VALUES = 200_000
_MOST_ODD = 20

Place = tuple[int, int]
"""Line and column, from 1."""

TURNING = "\u202a-\u202e\u2066-\u2069"
"""Letters that show the text after them in another order than it stands in."""
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff" + TURNING + "]")
_LINE_END = re.compile(r"\r\n|\n|\r")
_DIRECTIVE = re.compile(r"^%", re.MULTILINE)
_INTEGER = re.compile(r"[-+]?[0-9]{1,18}")
_FLOAT = re.compile(r"[-+]?(?:[0-9]{1,40}\.?[0-9]{0,40}|\.[0-9]{1,40})(?:[eE][-+]?[0-9]{1,4})?")
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_CONSTANTS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_OTHER_FILES = (
    (b"PK\x03\x04", "a Word or other zipped file"),
    (b"\xd0\xcf\x11\xe0", "an old Word or Excel file"),
    (b"%PDF", "a PDF"),
    (b"\xff\xd8\xff", "a photo"),
    (b"\x89PNG", "a picture"),
    (b"{\\rtf", "a rich text file"),
    (b"\xff\xfe", "text in UTF-16"),
    (b"\xfe\xff", "text in UTF-16"),
)


@dataclass
class Document:
    """A file's plain ``data``, the places of ``keys`` and ``values``, and ``faults`` that did not stop the reading."""

    file: str
    data: Any = None
    keys: dict[KeyPath, Place] = field(default_factory=dict)
    values: dict[KeyPath, Place] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, path: KeyPath, says: str, *, at_key: bool = False) -> Fault:
        """A fault at the value of that path (or at its key), or at the nearest thing above that has a place."""
        first, second = (self.keys, self.values) if at_key else (self.values, self.keys)
        place: Place | None = None
        for length in range(len(path), -1, -1):
            place = first.get(path[:length]) or second.get(path[:length])
            if place:
                break
        line, column = place or (1, 1)
        return Fault(self.file, line, column, path_words(self.data, path), says, keys=path)

    def lines(self) -> dict[str, int]:
        """The line of every value by its path ("rooms/0/walls/1/length"): that of its key, or of the item in a list."""
        found = {"/".join(map(str, path)): place[0] for path, place in self.values.items() if path}
        found.update({"/".join(map(str, path)): place[0] for path, place in self.keys.items()})
        return found

    def columns(self, *tops: str) -> dict[str, int]:
        """The column of every value under those keys of the file, by its path."""
        return {"/".join(map(str, path)): place[1] for path, place in self.values.items() if path and path[0] in tops}


def read_document(path: Path, what: str = "survey") -> Document:
    """Read one YAML file. Raises SurveyFaults where it cannot be read at all."""
    return read_text(text_of(path, what), str(path), what)


def read_text(text: str, file: str, what: str = "survey") -> Document:
    """Read YAML from text; ``file`` names it in messages. Raises SurveyFaults where it cannot be read at all."""
    if len(text) > MOST_BYTES:
        raise SurveyFaults([Fault(file, 0, 0, "", _too_large(len(text), what))])
    odd = [
        _fault_at(text, match.start(), file, _odd_words(match[0])) for match in islice(_ODD.finditer(text), _MOST_ODD)
    ]
    directive = _DIRECTIVE.search(text)
    if directive:
        odd.append(_fault_at(text, directive.start(), file, "a line that begins with % is a directive; take it out"))
    if odd:
        raise SurveyFaults(odd)
    try:
        return _build(text, file, what, pure=False)
    except _NotYaml as fast:
        # The two parsers word a fault differently; everyone is shown the words of the pure one.
        try:
            _build(text, file, what, pure=True)
        except _NotYaml as slow:
            raise SurveyFaults([slow.fault if slow.fault.line else fast.fault]) from None
        raise SurveyFaults([fast.fault]) from None


def marked(text: str) -> str:
    """The text with a mark for each control character, and for each letter that turns the text after it round."""
    return _ODD.sub("\ufffd", text)


class _NotYaml(Exception):
    def __init__(self, fault: Fault) -> None:
        super().__init__(fault)
        self.fault = fault


def _too_large(size: int, what: str) -> str:
    return f"{size:,} bytes are too many for a {what}; at most {MOST_BYTES:,} are read"


def text_of(path: Path, what: str) -> str:
    """The text of a file a person gave us. Raises SurveyFaults where it is missing, too large, or no text in UTF-8."""

    def stop(says: str, line: int = 0, column: int = 0) -> SurveyFaults:
        return SurveyFaults([Fault(str(path), line, column, "", says)])

    try:
        if path.is_dir():
            raise stop(f"this is a folder; name the {what.removesuffix(' file')} file in it")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise stop(_too_large(size, what))
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except SurveyFaults:
        raise
    except FileNotFoundError:
        start = f"; `listel survey new {shown(path.name)}` writes a starter" if what == "survey" else ""
        raise stop(f"there is no such file{start}") from None
    except (OSError, ValueError) as error:
        raise stop(f"the file cannot be opened: {getattr(error, 'strerror', None) or error}") from None
    if len(data) > MOST_BYTES:
        raise stop(_too_large(len(data), what))
    form = "" if what == "plan" else " (YAML)"
    for start_bytes, kind in _OTHER_FILES:
        if data.startswith(start_bytes):
            raise stop(f"this is {kind}; a {what} is plain text in UTF-8{form}: save it as that")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8", "replace")
        line, column = _place_in(before, len(before))
        raise stop(f"byte 0x{data[error.start]:02x} is not UTF-8 text; save the file as UTF-8", line, column) from None


def _place_in(text: str, at: int) -> Place:
    line, start = 1, 0
    for end in _LINE_END.finditer(text, 0, at):
        line, start = line + 1, end.end()
    return line, at - start + 1


def _fault_at(text: str, at: int, file: str, says: str) -> Fault:
    line, column = _place_in(text, at)
    return Fault(file, line, column, "", says)


def _odd_words(letter: str) -> str:
    turns = ", which turns the text after it round," if re.match(f"[{TURNING}]", letter) else ""
    name = "a NUL" if letter == "\0" else f"the control character U+{ord(letter):04X}{turns}"
    return f"{name} stands here; take it out"


def _events(text: str, pure: bool) -> Iterator[Any]:
    from ruamel.yaml import YAML

    return iter(YAML(typ="safe", pure=pure).parse(text))


def _build(text: str, file: str, what: str, *, pure: bool) -> Document:
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    builder = _Builder(file, what)
    try:
        for event in _events(text, pure):
            builder.take(event)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
        raise _NotYaml(Fault(file, line, column, "", syntax_words(error, text))) from None
    except (YAMLError, ValueError, OverflowError) as error:
        if isinstance(error, SurveyFaults):
            raise
        words = shown(str(error).splitlines()[0] if str(error) else error)
        raise _NotYaml(Fault(file, 0, 0, "", f"this cannot be read as YAML: {words}")) from None
    return builder.document()


@dataclass
class _Open:
    """A map or list that is being filled; ``key`` is the map key whose value comes next."""

    held: dict[str, Any] | list[Any]
    path: KeyPath
    anchor: str | None
    count: int
    key: str | None = None
    _: KW_ONLY
    doubled: bool = False


@dataclass
class _Anchored:
    value: Any
    path: KeyPath
    count: int


class _Builder:
    """Builds plain data from events, one at a time, without recursion."""

    def __init__(self, file: str, what: str) -> None:
        self._document = Document(file)
        self._what = what
        self._raw: list[tuple[KeyPath, Place, str]] = []
        self._open: list[_Open] = []
        self._anchors: dict[str, _Anchored] = {}
        self._number: tuple[KeyPath, Place, str] = ((), (0, 0), "")
        self._count = 0
        self._documents = 0
        self._root: Any = None

    def document(self) -> Document:
        """The finished document. Raises SurveyFaults where it holds no map, or, for a plan, no list."""
        done = self._document
        if not isinstance(self._root, list if self._what == "plan" else dict) or not self._root:
            first = {
                "survey": "; `listel survey new NAME.yaml` writes a starter",
                "plan": "; a plan is a list, one line for each step, each begun with a dash",
            }.get(self._what, "")
            raise SurveyFaults([Fault(done.file, 0, 0, "", f"the file holds no {self._what}{first}")])
        done.data = self._root
        done.faults = [
            Fault(done.file, *place, path_words(done.data, path), says, keys=path) for path, place, says in self._raw
        ]
        return done

    def take(self, event: Any) -> None:
        """Take one event of the parser."""
        kind = type(event).__name__
        place = (event.start_mark.line + 1, event.start_mark.column + 1)
        if kind == "ScalarEvent":
            self._scalar(event, place)
        elif kind in ("MappingStartEvent", "SequenceStartEvent"):
            self._start(event, place, {} if kind == "MappingStartEvent" else [])
        elif kind in ("MappingEndEvent", "SequenceEndEvent"):
            self._end()
        elif kind == "AliasEvent":
            self._alias(event.anchor, place)
        elif kind == "DocumentStartEvent":
            self._documents += 1
            if self._documents > 1:
                raise self._stop(place, f"a second document (---) begins here; a {self._what} is one document")

    def _stop(self, place: Place, says: str) -> SurveyFaults:
        path = self._here()
        return SurveyFaults([Fault(self._document.file, *place, path_words(self._root, path), says)])

    def _here(self) -> KeyPath:
        """The path of the value that comes next."""
        if not self._open:
            return ()
        top = self._open[-1]
        if isinstance(top.held, list):
            return (*top.path, len(top.held))
        return top.path if top.key is None else (*top.path, top.key)

    def _tagged(self, event: Any, place: Place) -> None:
        if event.tag is not None:
            self._raw.append((self._here(), place, f"the tag {shown(event.tag)} is not read; take it out"))

    def _scalar(self, event: Any, place: Place) -> None:
        self._tagged(event, place)
        odd = _ODD.search(event.value)
        if odd:
            self._raw.append((self._here(), place, _odd_words(odd[0])))
        text = _ODD.sub("?", event.value) if odd else event.value
        top = self._open[-1] if self._open else None
        if top and isinstance(top.held, dict) and top.key is None:
            self._key(top, text, place)
            return
        value: Any = self._plain(text, place) if event.style in (None, "") else text
        self._add(value, place, event.anchor, 1)

    def _key(self, top: _Open, key: str, place: Place) -> None:
        path = (*top.path, key)
        top.key = key
        if self._is_rest_of_number(path, place):
            whole, first, begun = self._number
            self._raw.append((whole, first, comma_words(f"{begun},{key}")))
            top.doubled = True
            return
        top.doubled = isinstance(top.held, dict) and key in top.held
        if top.doubled:
            told = self._document.keys[path][0]
            self._raw.append((path, place, f"the key {shown(key)} stands here again; it stands on line {told} already"))
        else:
            self._document.keys.setdefault(path, place)

    def _is_rest_of_number(self, path: KeyPath, place: Place) -> bool:
        """Whether what looks like a key stands right behind the comma of a number, as the 50 of {price: 31,50}."""
        begun, (line, column), text = self._number
        right_behind = place == (line, column + len(text) + 1) and begun[:-1] == path[:-1]
        return right_behind and str(path[-1]).isdecimal()

    def _plain(self, text: str, place: Place) -> Any:
        if text in _CONSTANTS:
            return _CONSTANTS[text]
        if _INTEGER.fullmatch(text):
            self._number = (self._here(), place, text)
            return int(text)
        number = float(text) if _FLOAT.fullmatch(text) else 0.0
        if _NOT_FINITE.fullmatch(text) or not math.isfinite(number):
            self._raw.append(
                (self._here(), place, f"{shown(text)} is not a finite number; write the number that was read")
            )
            return text
        return number if _FLOAT.fullmatch(text) else text

    def _start(self, event: Any, place: Place, held: dict[str, Any] | list[Any]) -> None:
        self._tagged(event, place)
        if len(self._open) >= MOST_DEPTH:
            raise self._stop(
                place,
                f"nested more than {MOST_DEPTH} deep; a {self._what} is never so deep: look for brackets left open",
            )
        top = self._open[-1] if self._open else None
        if top and isinstance(top.held, dict) and top.key is None:
            raise self._stop(place, "a key must be text; put text that begins with [ or { in quotes")
        path = self._here()
        self._add(held, place, None, 1)
        self._open.append(_Open(held, path, event.anchor, self._count - 1))

    def _end(self) -> None:
        done = self._open.pop()
        if done.anchor:
            self._anchors[done.anchor] = _Anchored(done.held, done.path, self._count - done.count)

    def _alias(self, name: str, place: Place) -> None:
        top = self._open[-1] if self._open else None
        if top and isinstance(top.held, dict) and top.key is None:
            raise self._stop(place, "a key must be text, not an alias")
        if any(held.anchor == name for held in self._open):
            raise self._stop(place, f"the alias *{shown(name)} stands inside what it repeats")
        anchored = self._anchors.get(name)
        if anchored is None:
            raise self._stop(place, f"the alias *{shown(name)} has no anchor &{shown(name)} above it")
        self._room_for(anchored.count, place)
        here = self._here()
        depth = len(self._open)
        self._add(self._copied(anchored.value, anchored.path, here, depth, place), place, None, anchored.count)

    def _copied(self, value: Any, old: KeyPath, new: KeyPath, depth: int, place: Place) -> Any:
        """A deep copy of an anchored value, its inner places kept; the depth is bounded, so it may recurse."""
        if not isinstance(value, (dict, list)):
            return value
        if depth >= MOST_DEPTH:
            raise self._stop(place, f"nested more than {MOST_DEPTH} deep by its aliases")
        items = list(value.items()) if isinstance(value, dict) else list(enumerate(value))
        copies: list[tuple[str | int, Any]] = []
        document = self._document
        for key, item in items:
            was, now = (*old, key), (*new, key)
            for places in (document.keys, document.values):
                if was in places:
                    places[now] = places[was]
            copies.append((key, self._copied(item, was, now, depth + 1, place)))
        if isinstance(value, dict):
            return {str(key): item for key, item in copies}
        return [item for _, item in copies]

    def _room_for(self, more: int, place: Place) -> None:
        if self._count + more > MOST_VALUES:
            raise self._stop(
                place, f"more than {MOST_VALUES:,} values, aliases counted in full; a {self._what} has far fewer"
            )

    def _add(self, value: Any, place: Place, anchor: str | None, count: int) -> None:
        """Put a value where the next one belongs; the first of two like keys keeps its value."""
        self._room_for(count, place)
        self._count += count
        path = self._here()
        top = self._open[-1] if self._open else None
        if top is None:
            self._root = value
            self._document.values.setdefault(path, place)
        elif isinstance(top.held, list):
            top.held.append(value)
            self._document.values.setdefault(path, place)
        elif top.key is not None:
            if not top.doubled:
                top.held[top.key] = value
                self._document.values.setdefault(path, self._document.keys[path] if value is None else place)
            top.key = None
        if anchor:
            self._anchors[anchor] = _Anchored(value, path, count)
