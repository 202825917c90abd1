"""The survey's file as it stands: what a fault is in is left out, and all the rest is reckoned and drawn."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

from listel.core.host.firm import Firm
from listel.core.host.outcome import Given, Outcome
from listel.core.quick import dataclass
from listel.core.survey.messages import Fault, KeyPath, SurveyFaults
from listel.core.survey.photographs import photographs
from listel.core.survey.reading import job_of, survey_units
from listel.core.survey.splice import found
from listel.core.survey.units import Units
from listel.core.survey.yaml_places import Document, read_text, text_of
from listel.reports.desk.form import PAIR
from listel.reports.desk.journal import digest
from listel.reports.desk.paths import said, words_of

_MOST_ROUNDS = 20
_NAMES_ITS_PLACE = ("room", "wall", "trim", "for", "from", "to")
"""Keys that say of what an entry is told: without one of them it would be told of all."""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One state of the file: its ``text`` and data, what each fault says by its path, what is left out for them, the
    ``outcome`` of the rest, None where so little is right that nothing can be reckoned, and of each path of the job its
    place in the file."""

    text: str
    data: Any
    faults: Mapping[KeyPath, str]
    left_out: tuple[KeyPath, ...]
    outcome: Outcome | None
    places: Mapping[KeyPath, KeyPath]

    @property
    def mark(self) -> str:
        """Two states of the file have two marks."""
        return digest(self.text)

    @property
    def units(self) -> Units:
        """How the survey writes lengths."""
        return survey_units(self.data)


class Reader:
    """Reads one survey with what is at work in a ``firm`` and ``given`` to its plugins; the last state is kept."""

    def __init__(self, survey: Path, firm: Firm, given: Sequence[Given]) -> None:
        self.survey, self._firm, self._given = survey, firm, given
        self._last: Reading | None = None

    def text(self) -> str:
        """The file's text. Raises SurveyFaults where it is not there, or no YAML at all."""
        text = text_of(self.survey, "survey")
        if self._last is None or self._last.text != text:
            read_text(text, self.survey.name)
        return text

    def now(self) -> Reading:
        """The file as it stands. Raises SurveyFaults where it is not there, or no YAML at all."""
        text = text_of(self.survey, "survey")
        if self._last is None or self._last.text != text:
            self._last = self._read(text)
        return self._last

    def _read(self, text: str) -> Reading:
        document = read_text(text, self.survey.name)
        faults: dict[KeyPath, str] = {}
        gone: dict[KeyPath, None] = {}
        for _ in range(_MOST_ROUNDS):
            kept, places = without(document, gone)
            kept.faults = [] if gone else list(document.faults)
            try:
                job = job_of(kept, self.survey.name, self._firm.schema)
                given = [*self._given, *([photographs(job, self.survey.parent)] if job.photos else [])]
                outcome = self._firm.examine(job, given)
                return Reading(
                    text=text,
                    data=document.data,
                    faults=faults,
                    left_out=_outermost(gone),
                    outcome=outcome,
                    places=places,
                )
            except SurveyFaults as told:
                hit = [(*_hit(fault, kept, places), fault.says) for fault in told.faults]
                for path, _, says in hit:
                    follows = any(_touch(path[:-1], other) for other in gone)  # from what was left out
                    if not follows:
                        faults.setdefault(path, _of_left_out(document.data, path, gone) or says)
                left_out = dict.fromkeys(costs for _, costs, _ in hit)
                if () in left_out or left_out.keys() <= gone.keys():
                    break
                gone |= left_out
        return Reading(text=text, data=document.data, faults=faults, left_out=(), outcome=None, places={})


def _hit(fault: Fault, kept: Document, places: Mapping[KeyPath, KeyPath]) -> tuple[KeyPath, KeyPath]:
    """The path in the file of the field that a fault is of, and of what is left out of the drawing for it: the value;
    where a key is missing or says of what an entry is told, the entry."""
    path = fault.keys
    if path is None:
        path = next((path for path, at in kept.values.items() if at == (fault.line, fault.column)), ())
    there, field = in_file(path, places)
    key, missing, _ = fault.says.partition(" is missing")
    return (*field, key) if missing and " " not in key else field, places[_whole(there)]


def _of_left_out(data: Any, path: KeyPath, gone: Collection[KeyPath]) -> str:
    """What to say of a field that names something left out; "" where it names none."""
    named = said(found(data, path))
    left = (one for one in gone if isinstance(one[-1], int) and said(found(data, (*one, "name"))) == named)
    there = next(left, None) if named else None
    if there is None:
        return ""
    return f"{words_of(data, there)} has a fault of its own; until that is mended nothing can be told of this"


def _whole(path: KeyPath) -> KeyPath:
    """A path, or that of the entry whose place it names."""
    match path:
        case (*entry, int(), str(key)) if key in _NAMES_ITS_PLACE or (key == "walls" and "where" in entry):
            return path[:-1]
    return path


def _outermost(paths: Collection[KeyPath]) -> tuple[KeyPath, ...]:
    """Of these paths those that lie in no other."""
    return tuple(path for path in paths if not any(path[:end] in paths for end in range(len(path))))


def in_file(path: KeyPath, places: Mapping[KeyPath, KeyPath]) -> tuple[KeyPath, KeyPath]:
    """How much of a path of the job stands in the file, and the whole of it as the file counts."""
    there = path
    while there not in places:
        there = there[:-1]
    return there, (*places[there], *path[len(there) :])


def _touch(one: KeyPath, other: KeyPath) -> bool:
    shorter = min(len(one), len(other))
    return one[:shorter] == other[:shorter]


def without(document: Document, gone: Collection[KeyPath]) -> tuple[Document, dict[KeyPath, KeyPath]]:
    """A copy of a document without what stands at those paths, and the old path of every new one."""
    made = Document(document.file)
    places: dict[KeyPath, KeyPath] = {}

    def copied(value: Any, old: KeyPath, new: KeyPath) -> Any:
        places[new] = old
        for table, kept in ((document.keys, made.keys), (document.values, made.values)):
            if old in table:
                kept[new] = table[old]
        if isinstance(value, dict):
            left = {key: part for key, part in value.items() if (*old, key) not in gone}
            if set(value) == set(PAIR) and len(left) == 1:  # of two readings the other still stands
                (key,) = left
                return copied(value[key], (*old, key), new)
            return {key: copied(part, (*old, key), (*new, key)) for key, part in left.items()}
        if isinstance(value, list):
            stay = [at for at in range(len(value)) if (*old, at) not in gone]
            return [copied(value[at], (*old, at), (*new, number)) for number, at in enumerate(stay)]
        return value

    made.data = copied(document.data, (), ())
    if gone and ("job" not in made.data or "title" not in made.data["job"]):
        made.data["job"] = {**made.data.get("job", {}), "title": "No title yet"}
    return made, places
