"""A quick dataclass behaves as the standard library's of the same body."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from dataclasses import KW_ONLY, FrozenInstanceError, field, replace
from inspect import signature
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core import quick

FIGURES = st.integers(0, 2)


@st.composite
def bodies(draw: st.DrawFn) -> dict[str, Any]:
    """The body of a class with fields that have no default, one, a factory, or are not compared or shown."""
    kinds = sorted(draw(st.lists(st.sampled_from(("bare", "default", "factory", "silent")), max_size=5)))
    defaults = {
        "default": lambda: 1,
        "factory": lambda: field(default_factory=lambda: 2),
        "silent": lambda: field(default=0, compare=False, repr=False),
    }
    body: dict[str, Any] = {"__annotations__": {f"f{at}": int for at in range(len(kinds))}, "__module__": __name__}
    body |= {f"f{at}": defaults[kind]() for at, kind in enumerate(kinds) if kind != "bare"}
    if draw(st.booleans()):
        at = draw(st.integers(0, len(kinds)))
        told = list(body["__annotations__"].items())
        body["__annotations__"] = dict([*told[:at], ("_", KW_ONLY), *told[at:]])
    return body


def outcome(make: Any, *given: Any, **named: Any) -> Any:
    """What is made; of what cannot be made the error's words."""
    try:
        return make(*given, **named)
    except TypeError as error:
        return str(error)


@settings(max_examples=150)
@given(
    body=bodies(),
    frozen=st.booleans(),
    kw_only=st.booleans(),
    calls=st.lists(
        st.tuples(st.lists(FIGURES, max_size=5), st.dictionaries(st.sampled_from(("f0", "f1", "f4", "g")), FIGURES)),
        min_size=2,
        max_size=4,
    ),
)
def test_as_the_standard_librarys(body: dict[str, Any], frozen: bool, kw_only: bool, calls: Any) -> None:
    def as_made(dataclass: Any) -> Any:
        return dataclass(type("Kind", (), {**body}), frozen=frozen, kw_only=kw_only)

    quickly, usual = as_made(quick.dataclass), as_made(dataclasses.dataclass)
    assert list(signature(as_made(quick.dataclass)).parameters) == list(signature(usual).parameters)
    pairs = [(outcome(quickly, *g, **n), outcome(usual, *g, **n)) for g, n in calls]
    for one, other in pairs:
        assert isinstance(one, str) == isinstance(other, str)
        assert repr(one) == repr(other)
        assert vars(one) == vars(other) if not isinstance(one, str) else True
    made = [pair for pair in pairs if not isinstance(pair[0], str)]
    for one, other in made:
        for another, yet_another in made:
            assert (one == another) == (other == yet_another)
            if frozen and one == another:
                assert hash(one) == hash(another)
        assert one != other
        if not frozen:
            with pytest.raises(TypeError, match="unhashable"):
                hash(one)


@quick.dataclass(frozen=True)
class Batten:
    """A batten."""

    length: float
    holes: list[float] = field(default_factory=list)


@quick.dataclass(frozen=True, kw_only=True)
class Counter(Batten):
    """A batten with more to it, and words of its own."""

    wide: float = 25.0

    def __repr__(self) -> str:
        return f"counter batten {self.length:g} x {self.wide:g}"


@quick.dataclass
class Shelf:
    """A shelf that counts by itself how long it is."""

    length: float

    def __init__(self, boards: int) -> None:
        self.length = 100.0 * boards


def test_what_is_its_own_stays_and_its_fields_are_there_before_the_first_is_made() -> None:
    assert [one.name for one in dataclasses.fields(Shelf)] == ["length"]
    assert dataclasses.is_dataclass(Counter)
    assert Shelf(3).length == 300.0
    assert Shelf(3) == Shelf(3)


def test_it_stays_as_it_is_and_is_copied_with_what_is_changed() -> None:
    batten = Counter(length=600.0, wide=38.0)
    for change in (lambda: setattr(batten, "length", 1.0), lambda: delattr(batten, "length")):
        with pytest.raises(FrozenInstanceError, match="length"):
            change()
    assert replace(batten, wide=25.0) == Counter(length=600.0)
    assert Batten(1.0).holes is not Batten(1.0).holes
    assert repr(batten) == "counter batten 600 x 38"
    assert pickle.loads(pickle.dumps(batten)) == copy.deepcopy(batten) == batten
    assert Counter(length=600.0) != Batten(600.0)
