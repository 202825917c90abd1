"""Changes asked for on a page, made in the survey's text: one value, one more entry, one entry less."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from listel.core.quick import dataclass
from listel.core.survey.faults import InputFault
from listel.core.survey.messages import KeyPath
from listel.core.survey.reading import Schema, survey_units
from listel.core.survey.splice import GONE, changed, found
from listel.core.survey.yaml_places import read_text
from listel.reports.desk.form import PAIR, Field, Form
from listel.reports.desk.paths import id_of, mark_of, path_of, said, words_of
from listel.reports.piece_done import Change, written_in


class NotAsked(InputFault):
    """What the page asked for makes no sense: it is of an older state of the survey, or not ours."""


class Conflict(InputFault):
    """The file holds something else than the page showed: ``now``."""

    def __init__(self, now: str) -> None:
        self.now = now
        super().__init__(f"the file now says {now or 'nothing'}")


@dataclass(frozen=True, kw_only=True)
class Edit:
    """A change that was made: the new ``text``, the ``path`` changed, what it is called, the value ``before``."""

    text: str
    path: KeyPath
    says: str
    before: str


def set_value(text: str, schema: Schema, name: str, was: str, value: str) -> Edit | None:
    """The value of a field, as the page names it; None where it stands already. Raises Conflict where the file's is
    not what the page showed, NotAsked where there is no such field."""
    data, form = _read(text, schema)
    path = path_of(name)
    field = form.part(path)
    if path[0] == "rooms" and found(data, path[:2]) is None:
        raise NotAsked(f"{name}: the room is no longer in the survey")
    if not isinstance(field, Field):
        raise NotAsked(f"{name}: there is no such field")
    meant = form.meant(path, value)
    if field.value == value or field.value == ("" if meant is GONE else said(meant)):
        return None
    if field.value != was:
        raise Conflict(field.value)
    says = f"{_where(data, path)}: {field.value or 'nothing'} → {value or 'nothing'}"
    path, meant = _paired(form, data, path, meant)
    return Edit(text=changed(text, path, meant), path=path_of(name), says=says, before=field.value)


def add_entry(text: str, schema: Schema, name: str, kind: str, like_last: bool) -> Edit:
    """One more entry in a list. Raises NotAsked where the schema knows no such list."""
    data, form = _read(text, schema)
    path = path_of(name)
    if not form.is_list(path):
        raise NotAsked(f"{name}: there is no such list")
    entry = form.begun(path, kind, like_last)
    held = found(data, path)
    if isinstance(held, list) or held is None:
        at = (*path, len(held or ()))
        new = changed(text, at, entry)
    else:  # one value stood for the whole list
        at = (*path, 1)
        new = changed(text, path, [held, entry])
    return Edit(text=new, path=at, says=f"{_where(data, path)}: one added", before="")


def name_photo(text: str, schema: Schema, wall: KeyPath, name: str) -> Edit | None:
    """A photograph of a wall listed in the survey; None where its form has no place for it."""
    data, form = _read(text, schema)
    if not form.is_list(("photos",)):
        return None
    held = found(data, ("photos",))
    room, of_wall = (said(found(data, (*path, "name"))) for path in (wall[:2], wall))
    entry = {"name": name.removesuffix(".jpg"), "file": f"photos/{name}", "shows": f"{room}, wall {of_wall}"}
    path = ("photos", len(held) if isinstance(held, list) else 0)
    new = changed(text, path, {**entry, "room": room, "wall": of_wall})
    return Edit(text=new, path=path, says=f"{room} wall {of_wall}: photograph {name}", before="")


def pieces_told(text: str, changes: Iterable[Change], says: str) -> Edit:
    """Pieces told as done."""
    return Edit(text=written_in(text, changes), path=("done", "pieces"), says=says, before="")


def take_entry(text: str, schema: Schema, name: str, mark: str) -> Edit:
    """One entry less. Raises Conflict where it is no longer as it was shown."""
    data, form = _read(text, schema)
    path = path_of(name)
    held = found(data, path)
    if held is None or not isinstance(path[-1], int) or not form.is_list(path[:-1]):
        raise NotAsked(f"{name}: there is no such entry")
    if mark_of(held) != mark:
        raise Conflict(said(held)[:200])
    return Edit(text=changed(text, path, GONE), path=path, says=f"{_where(data, path)}: taken out", before="")


def _read(text: str, schema: Schema) -> tuple[Any, Form]:
    data = read_text(text, "survey").data
    return data, Form(schema, data, survey_units(data))


def _paired(form: Form, data: Any, path: KeyPath, value: Any) -> tuple[KeyPath, Any]:
    """A reading of which there may be two, where it stands: alone as the value itself, both in a map."""
    if path[-1] not in PAIR or not form.is_pair(path[:-1]):
        return path, value
    held = found(data, path[:-1])
    both: Mapping[str, Any] = held if isinstance(held, dict) else {} if held is None else {"first": held}
    readings = {key: value if key == path[-1] else both.get(key, GONE) for key in PAIR}
    kept = {key: one for key, one in readings.items() if one is not GONE}
    if isinstance(held, dict) and len(kept) == 2:
        return path, value
    alone = kept.get("first", GONE) if len(kept) < 2 and "second" not in kept else kept
    return path[:-1], alone


def _where(data: Any, path: KeyPath) -> str:
    """A path in the words of a button: its last three."""
    return ", ".join(words_of(data, path).split(", ")[-3:]) or id_of(path)
