"""The standard library's dataclass at a tenth of its price: each start makes hundreds, and most are never used.

``__init__`` is written when the first of a kind is made; the other methods are the same for all kinds.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, fields
from functools import cache, partial
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass


def _dataclass(kind: type | None = None, /, **options: Any) -> Any:
    """As :func:`dataclasses.dataclass`, with ``frozen``, ``eq`` and ``kw_only``; it calls no ``__post_init__``."""
    return partial(_made, **options) if kind is None else _made(kind, **options)


if not TYPE_CHECKING:
    dataclass = _dataclass


def _made(kind: type, *, frozen: bool = False, eq: bool = True, kw_only: bool = False) -> Any:
    made: Any = dataclasses.dataclass(init=False, repr=False, eq=False, kw_only=kw_only)(kind)

    def first(self: Any, *given: Any, **named: Any) -> None:
        _write(made)
        made.__init__(self, *given, **named)

    methods: dict[str, Callable[..., Any] | None] = {"__init__": first, "__repr__": _repr}
    if eq:
        methods |= {"__eq__": _eq, "__hash__": _hash if frozen else None}
    if frozen:
        methods |= {"__setattr__": _fixed, "__delattr__": _fixed}
    for name in methods.keys() - vars(kind).keys():
        setattr(made, name, methods[name])
    _WAITING.add(made)
    return made


_WAITING: set[Any] = set()


def write_all() -> None:
    """Write what else waits for the first of its kind: from now on no class changes by itself."""
    for kind in tuple(_WAITING):
        _write(kind)


def _write(kind: Any) -> None:
    kind.__init__ = _init_of(kind)
    _WAITING.discard(kind)


def _init_of(kind: type) -> Callable[..., None]:
    """``__init__`` with the parameters that :func:`dataclasses.dataclass` gives it."""
    placed, named, values = ["self"], ["*"], []
    names: dict[str, Any] = {"_MISSING": MISSING}
    for each in fields(kind):
        name, default, taken, value = each.name, f"_of_{each.name}", each.name, each.name
        if each.default is not MISSING:
            names[default], taken = each.default, f"{name}={default}"
        elif each.default_factory is not MISSING:
            names[default], taken = each.default_factory, f"{name}=_MISSING"
            value = f"{default}() if {name} is _MISSING else {name}"
        values.append(f"{name}={value}")
        (named if each.kw_only else placed).append(taken)
    parameters = ", ".join(placed + (named if len(named) > 1 else []))
    made: Callable[..., None] = eval(f"lambda {parameters}: self.__dict__.update({', '.join(values)})", names)
    made.__qualname__ = f"{kind.__qualname__}.__init__"
    return made


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
