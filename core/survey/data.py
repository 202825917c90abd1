"""The job from a survey's judged data, and back: the model's own annotations say what is read and written.

Keys are spelt as the fields, a dash for each underscore; what is spelt otherwise says so on its field
(:func:`listel.core.survey.rooms.spelt`). What is read has no fault: the schema and the references have judged it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import Field, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, NamedTuple, Union, get_args, get_origin

from listel.core.survey.job import Job
from listel.core.survey.units import Units, parsers, written_percent

_IN_JOB = ("title", "reference", "revision", "client", "site", "surveyor", "surveyed", "own")
"""The fields of a job that stand under ``job:`` in its survey."""


_AS_NAMED: Mapping[str, Any] = {"key": "", "alone": False, "each": False, "read": None, "write": None}


class Key(NamedTuple):
    """A field of the model as a survey spells it. ``hint``: what it holds, where it holds anything; ``read``,
    ``write``, ``alone`` and ``each`` as on the field; ``whole``: it is an object that is there even where the survey
    says nothing of it; ``empty``: an empty list says another thing than nothing."""

    name: str
    key: str
    hint: Any
    read: Callable[[Any], Any] | None
    write: Callable[[Any], Any] | None
    alone: bool
    each: bool
    whole: bool
    empty: bool


@cache
def keys_of(kind: type) -> tuple[Key, ...]:
    """What a survey may say of an object of the model, in the model's order."""
    return tuple(_key(one) for one in fields(kind) if one.compare)


def _key(one: Field[Any]) -> Key:
    told = one.metadata or _AS_NAMED
    key = told["key"] or one.name.replace("_", "-")
    whole = is_dataclass(one.default)
    return Key(
        one.name,
        key,
        _held(one.type),
        told["read"],
        told["write"],
        told["alone"],
        told["each"],
        whole,
        empty=one.default is None,
    )


def _held(hint: Any) -> Any:
    if get_origin(hint) in (Union, UnionType):
        return next(one for one in get_args(hint) if one is not type(None))
    return hint


@cache
def _alone(kind: type) -> str | None:
    """The key of the field whose value may stand for the whole map."""
    return next((one.key for one in keys_of(kind) if one.alone), None)


@cache
def _each(kind: Any) -> str | None:
    """The key of the field whose list stands for as many objects; None where it has none, or is no object."""
    keys = keys_of(kind) if isinstance(kind, type) and is_dataclass(kind) else ()
    return next((one.key for one in keys if one.each), None)


def _apart(kind: Any, item: Any) -> list[Any]:
    """What stands at one place of a list, as many times as it stands for objects."""
    key = _each(kind)
    told = item.get(key) if key and isinstance(item, Mapping) else None
    return [{**item, key: one} for one in told] if isinstance(told, list) else [item]


def _together(kind: Any, held: tuple[Any, ...], told: list[Any]) -> list[Any]:
    """The objects that one place of the survey stood for, as one again; ``told``: each as it is written."""
    key, found, last = _each(kind), list[Any](), ""
    for one, form in zip(held, told, strict=True):
        if key and last and one.path == last and {**form, key: ""} == {**found[-1], key: ""}:
            before = found[-1][key]
            found[-1][key] = [*(before if isinstance(before, list) else [before]), form[key]]
        else:
            found.append(form)
        last = one.path if key else ""
    return found


@cache
def _placed(kind: type) -> frozenset[str]:
    """Its fields that tell where in the survey it stands."""
    return frozenset(one.name for one in fields(kind) if not one.compare)


class Taped(float):
    """A length among the facts that a plugin asks for, mm."""


class Hung(float):
    """A load among them, N a metre."""


class Warm(float):
    """A temperature among them, C."""


class Shared(float):
    """A percentage among them."""


def _own(told: Any, inches: bool) -> Any:
    if isinstance(told, Shared):
        return written_percent(float(told))
    unit = {Taped: "mm", Hung: "N/m", Warm: "C"}.get(type(told)) if inches else None
    return f"{float(told)} {unit}" if unit else told


def read_job(data: Mapping[str, Any], units: Units, *, lines: Mapping[str, int], **given: Any) -> Job:
    """The job in a survey's judged data. ``lines``: path to survey line; ``given``: what is known beside the data."""
    job: Job = _Reader(units, lines).made(Job, {**data, **data["job"]}, "", lines=lines, **given)
    return job


class _Reader:
    def __init__(self, units: Units, lines: Mapping[str, int]) -> None:
        self._lines = lines
        self._parsers = parsers(units)

    def made(self, kind: type, data: Any, path: str, **given: Any) -> Any:
        """An object of the model from what stands at a path."""
        if not isinstance(data, Mapping):
            data = {_alone(kind): data}
        for name, key, hint, read, _, _, _, whole, _ in keys_of(kind):
            if key in data:
                given[name] = (
                    read(data[key]) if read else self._value(data[key], hint, f"{path}/{key}" if path else key)
                )
            elif whole:
                given[name] = self.made(hint, {}, f"{path}/{key}" if path else key)
        placed = _placed(kind)
        if "path" in placed:
            given["path"] = path
        if "line" in placed:
            given["line"] = self._lines.get(path, 0)
        return kind(**given)

    def _value(self, data: Any, hint: Any, path: str) -> Any:
        origin = get_origin(hint)
        if origin is Annotated:
            return self._parsers[hint.__metadata__[0]](data)
        if origin is tuple:
            inner = get_args(hint)[0]
            if isinstance(data, Mapping) and get_origin(inner) is tuple:
                return tuple((key, get_args(inner)[1](value)) for key, value in data.items())
            if not isinstance(data, list):
                return (self._value(data, inner, path),)
            items = ((at, one) for at, item in enumerate(data) for one in _apart(inner, item))
            return tuple(self._value(one, inner, f"{path}/{at}") for at, one in items)
        if is_dataclass(hint):
            return self.made(hint, data, path)  # type: ignore[arg-type]
        return hint(data) if hint in (float, int) else data


def survey_data(job: Job) -> dict[str, Any]:
    """The job as survey data. Lengths are in mm: numbers, or text ("893.0 mm") where the survey's units are inches.

    What the job does not know is left out.
    """
    told = _written(job, Job, job.units == "inches")
    head = {key: told.pop(key) for key in _IN_JOB if key in told}
    return {"listel": 1, "units": told.pop("units"), "job": head, **told}


def _written(value: Any, hint: Any, inches: bool) -> Any:
    """A value as a survey writes it; None where there is nothing to write."""
    origin = get_origin(hint)
    if origin is Annotated:
        kind = hint.__metadata__[0]
        unit = {"length": "mm", "load": "N/m", "temperature": "C"}.get(kind) if inches else None
        return written_percent(value) if kind == "percent" else f"{value} {unit}" if unit else value
    if origin is tuple:
        inner = get_args(hint)[0]
        if get_origin(inner) is tuple and get_args(inner)[1] is not ...:
            return dict(value)
        return _together(inner, value, [_written(item, inner, inches) for item in value])
    if origin is Mapping:
        return {plugin: {key: _own(told, inches) for key, told in held.items()} for plugin, held in value.items()}
    if not is_dataclass(hint):
        return value
    found: dict[str, Any] = {}
    for name, key, inside, _, write, _, _, whole, empty in keys_of(hint):  # type: ignore[arg-type]
        held = write(value) if write else getattr(value, name)
        if held not in (None, "", (), {}) or (empty and held == ()):
            told = held if write else _written(held, inside, inches)
            if told != {} or not whole:
                found[key] = told
    alone = _alone(hint)  # type: ignore[arg-type]
    return found[alone] if alone and len(found) == 1 else found
