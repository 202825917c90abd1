"""The standard library's dataclass at a tenth of its price: each start makes hundreds, and half are never used.

A kind gets its fields and its ``__init__`` when the first of it is made, or somebody asks for its fields or for what it
takes; the other methods are the same for all kinds.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, fields
from functools import cache, partial
from operator import attrgetter
from threading import RLock
from types import FunctionType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass


def _dataclass(kind: type | None = None, /, **options: Any) -> Any:
    """As :func:`dataclasses.dataclass`, with ``frozen``, ``eq`` and ``kw_only``; it calls no ``__post_init__``."""
    return partial(_made, **options) if kind is None else _made(kind, **options)


if not TYPE_CHECKING:
    dataclass = _dataclass


def _made(kind: Any, *, frozen: bool = False, eq: bool = True, kw_only: bool = False) -> Any:
    def first(self: Any, *given: Any, **named: Any) -> None:
        _finish(kind)
        kind.__init__(self, *given, **named)

    methods: dict[str, Callable[..., Any] | None] = {"__init__": first, "__repr__": _repr}
    if eq:
        methods |= {"__eq__": _eq, "__hash__": _hash if frozen else None}
    if frozen:
        methods |= {"__setattr__": _fixed, "__delattr__": _fixed}
    own = vars(kind).keys()
    _WAITING[kind] = {"kw_only": kw_only, "init": "__init__" not in own}
    for name in methods.keys() - own:
        setattr(kind, name, methods[name])
    kind.__dataclass_fields__ = _Fields(kind)
    kind.__signature__ = _Signature()
    return kind


_WAITING: dict[Any, dict[str, bool]] = {}
"""The kinds of which none was made yet: whether they take their values by name only, and are to get an ``__init__``."""
_LOCK = RLock()


class _Fields:
    """Stands for the fields of a kind until somebody asks for them."""

    def __init__(self, kind: Any) -> None:
        self._kind = kind

    def __get__(self, _: object, __: type) -> dict[str, dataclasses.Field[Any]]:
        _finish(self._kind)
        found: dict[str, dataclasses.Field[Any]] = self._kind.__dataclass_fields__
        return found


class _Signature:
    """Finishes a kind before anybody is told what it takes."""

    def __get__(self, _: object, kind: type) -> None:
        for each in kind.__mro__:
            _finish(each)
        raise AttributeError("__signature__")


def _finish(kind: Any) -> None:
    with _LOCK:
        how = _WAITING.pop(kind, None)
        if how is not None:
            dataclasses.dataclass(init=False, repr=False, eq=False, kw_only=how["kw_only"])(kind)
            if how["init"]:
                kind.__init__ = _init_of(kind)


def finish_all() -> None:
    """Finish what else waits for the first of its kind: from now on no class changes by itself."""
    for kind in tuple(_WAITING):
        _finish(kind)


def _init_of(kind: type) -> Callable[..., None]:
    """``__init__`` with the parameters that :func:`dataclasses.dataclass` gives it: our own code, under their names."""
    told = sorted(fields(kind), key=lambda each: bool(each.kw_only))
    names = [each.name for each in told]
    placed = sum(not each.kw_only for each in told)
    given = {each.name: each.default for each in told if each.default is not MISSING}
    given |= {name: MISSING for name, _ in _factories(kind)}
    code = (_made_and_kept if _factories(kind) else _kept).__code__.replace(
        co_qualname=f"{kind.__qualname__}.__init__",
        co_argcount=1 + placed,
        co_kwonlyargcount=len(told) - placed,
        co_nlocals=1 + len(told),
        co_varnames=("self", *names),
    )
    made = FunctionType(code, globals(), "__init__", tuple(given[name] for name in names[:placed] if name in given))
    made.__kwdefaults__ = {name: given[name] for name in names[placed:] if name in given}
    return made


def _kept(self: Any) -> None:
    _keep(locals())


def _keep(told: dict[str, Any]) -> None:
    object.__setattr__(told.pop("self"), "__dict__", told)


def _made_and_kept(self: Any) -> None:
    _make(locals())


def _make(told: dict[str, Any]) -> None:
    for name, make in _factories(told["self"].__class__):
        if told[name] is MISSING:
            told[name] = make()
    _keep(told)


@cache
def _factories(kind: type) -> list[tuple[str, Callable[[], Any]]]:
    """The fields that are made anew for each, with what makes them."""
    return [(each.name, each.default_factory) for each in fields(kind) if each.default_factory is not MISSING]


@cache
def _values(kind: type) -> Callable[[Any], object]:
    """What two of a kind are compared by."""
    names = [each.name for each in fields(kind) if each.compare]
    return attrgetter(*names) if names else lambda _: ()


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    values = _values(self.__class__)
    return values(self) == values(other)


def _hash(self: Any) -> int:
    return hash(_values(self.__class__)(self))


def _repr(self: Any) -> str:
    shown = (f"{each.name}={getattr(self, each.name)!r}" for each in fields(self) if each.repr)
    return f"{self.__class__.__qualname__}({', '.join(shown)})"


def _fixed(self: Any, name: str, *_: Any) -> None:
    raise FrozenInstanceError(f"{name} of a frozen {self.__class__.__qualname__} stays as it is")
