"""Whether what a plugin from outside answers is what the contract says, field by field."""

from __future__ import annotations

import types
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from math import isfinite
from typing import Annotated, Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from listel.core.contract.lift import Lift


def unfit(item: object) -> str:
    """What is wrong with the fields of a dataclass, by its own annotations, in words; "" where nothing is."""
    for name, hint in _hints(cast(Any, type(item))).items():
        if says := _misfit(getattr(item, name, None), hint):
            return f"{name} of {type(item).__name__} {says}"
    return ""


@cache
def _hints(kind: Any) -> Mapping[str, Any]:
    try:
        hints = get_type_hints(kind, localns={"Job": Any, "Finding": Any, "Lift": Lift})
    except Exception:  # names that its module does not hold: nothing can be judged by them
        return {}
    return {one.name: hints[one.name] for one in fields(kind)}


def _misfit(value: Any, hint: Any) -> str:
    """Why a value does not suit an annotation, in words that follow its name."""
    origin, inner = get_origin(hint), get_args(hint)
    if hint is Any or isinstance(hint, TypeVar):
        return ""
    if origin is Annotated:
        return _misfit(value, inner[0])
    if origin in (Union, types.UnionType):
        said = [_misfit(value, one) for one in inner]
        return min(said, key=len) if "" in said else said[0]
    if origin is Literal:
        return "" if value in inner else f"is {value!r:.40}; it is one of {', '.join(map(str, inner))}"
    if hint in (None, type(None)):
        return "" if value is None else _other(value, "nothing")
    if origin is tuple:
        return _tuple_misfit(value, inner)
    if origin is Callable or hint is Callable:
        return "" if callable(value) else _other(value, "a function")
    return _plain_misfit(value, origin or hint, inner)


def _tuple_misfit(value: Any, inner: tuple[Any, ...]) -> str:
    if not isinstance(value, tuple):
        return _other(value, "a tuple")
    if len(inner) == 2 and inner[1] is ...:
        inner = (inner[0],) * len(value)
    if len(inner) != len(value):
        return f"holds {len(value)} values, not {len(inner)}"
    return _misfit_within(zip(value, inner, strict=True))


def _misfit_within(held: Iterable[tuple[Any, Any]]) -> str:
    for one, hint in held:
        if says := _misfit(one, hint):
            return f"holds {a_kind_of(one)}: {says}" if is_dataclass(one) else f"holds what {says}"
    return ""


def _plain_misfit(value: Any, kind: Any, inner: tuple[Any, ...]) -> str:
    if kind in (int, float):
        number = isinstance(value, (int, kind)) and not isinstance(value, bool)
        if not number:
            return _other(value, "a number")
        return "" if isfinite(value) else f"is {value}, which is no number"
    if not isinstance(kind, type):
        return ""
    fits: bool = isinstance(value, kind)
    if not fits:
        return _other(value, "text" if kind is str else kind.__name__)
    if kind is str and any(unicodedata.category(letter) in ("Cc", "Cs") and letter not in "\n\t" for letter in value):
        return "holds letters that cannot be printed"
    if isinstance(value, Mapping) and len(inner) == 2:
        pairs: list[tuple[Any, Any]] = list(value.items())
        return _misfit_within((one, hint) for pair in pairs for one, hint in zip(pair, inner, strict=True))
    return unfit(value) if is_dataclass(kind) else ""


def _other(value: Any, wanted: str) -> str:
    return f"is {a_kind_of(value)}, not {wanted}"


def a_kind_of(value: object) -> str:
    """What kind of thing a value is, as a programmer names it: "an int"."""
    kind = type(value).__name__
    return f"{'an' if kind[0] in 'aeiouAEIOU' else 'a'} {kind}"
