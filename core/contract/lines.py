"""Lines: the rows of typed results, each field with its meaning and unit.

A line class is a frozen dataclass with ``LINE`` (its kind: "fixing", "piece", "bond" ...), fields made
by :func:`told` and a ``grounds`` field. House rules judge lines by their JSON form and set what a field declares
settable; ``listel plugins --lines KIND`` prints the meaning of every key. Who set what is kept beside the results, as
:class:`Amendment`: a line itself does not say.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import MISSING, field, fields, is_dataclass
from decimal import Decimal
from functools import cache, cached_property
from math import isfinite
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar, Union, get_args, get_origin, get_type_hints

from listel.core.contract.findings import Where
from listel.core.quick import dataclass

if TYPE_CHECKING:
    from listel.core.survey.job import Job

Line = TypeVar("Line")
Words = Callable[[], Iterable[str]]
"""Asked for when somebody wants to know: the words a field may hold."""


class Lines(tuple[Line, ...]):
    """Lines in their order, looked up by any of their keys: each index is made once, when it is first asked for."""

    def of(self, **asked: str) -> Sequence[Line]:
        """The lines that hold these keys, in their order; a key that is asked for as "" is any."""
        keys = tuple(key for key, value in asked.items() if value)
        if not keys:
            return self
        index = self._indexes.get(keys)
        if index is None:
            index, held = self._indexes.setdefault(keys, {}), attrgetter(*keys)
            for line in self:
                index.setdefault(held(line), []).append(line)
        return index.get(tuple(filter(None, asked.values())) if len(keys) > 1 else asked[keys[0]], ())

    @cached_property
    def _indexes(self) -> dict[tuple[str, ...], dict[Any, list[Line]]]:
        return {}


def told(
    says: str,
    unit: str = "",
    default: Any = MISSING,
    *,
    settable: bool = False,
    least: float | None = None,
    most: float | None = None,
    words: Words | None = None,
) -> Any:
    """A dataclass field with its meaning and unit ("" for words and counts); required without ``default``.

    ``settable``: a firm may set it, between ``least`` and ``most`` where it is a number, to one of ``words`` where it
    is a word. A field is settable only where the giver of the result brings all that follows from it in step
    (``Stage.follow``); what is safe, drilled where, reckoned or recorded never is.
    """
    about = {"says": says, "unit": unit, "settable": settable, "least": least, "most": most, "words": words}
    return field(default=default, metadata=about)


@dataclass(frozen=True)
class MaySet:
    """What a settable key of a line may be set to."""

    unit: str
    least: float | None
    most: float | None
    words: Words | None

    def unfit(self, value: Any) -> str:
        """Why a value of the right type may not stand here, in words that finish "it ..."; empty where it may."""
        if value is None:
            return f"is {self.bounds()}"
        if isinstance(value, bool) or not isinstance(value, (int, float, str)):
            return ""
        if isinstance(value, str):
            return "" if self.words is None or value in self.words() else f"is {self.bounds()}"
        low, high = self.least, self.most
        if isfinite(value) and (low is None or value >= low) and (high is None or value <= high):
            return ""
        return f"is {self.bounds()}"

    def bounds(self) -> str:
        """The words it may be, or between what figures it lies."""
        if self.words:
            return f"one of {', '.join(sorted(self.words()))}"
        unit = f" {self.unit}" if self.unit else ""
        ends = (("at least", self.least), ("at most", self.most))
        return " and ".join(f"{word} {end:g}{unit}" for word, end in ends if end is not None) or "any"


@cache
def settable(line_class: type) -> dict[str, MaySet]:
    """The keys of a line class that may be set, each with what it may be set to."""
    return {
        f.name: MaySet(*(f.metadata[key] for key in ("unit", "least", "most", "words")))
        for f in fields(line_class)
        if f.metadata.get("settable")
    }


def words_of(line_class: type) -> Mapping[str, Words]:
    """The keys of a line class that hold one of known words, each with those."""
    return {f.name: f.metadata["words"] for f in fields(line_class) if f.metadata.get("words")}


@dataclass(frozen=True)
class Sets:
    """What a stage that amends yields: the ``values`` it sets in a ``line`` that stands on the sheet, by key."""

    line: Any
    values: Mapping[str, Any]


def sets(line: Any, **values: Any) -> Sets:
    """That these keys of a line on the sheet are to be set; the engine judges whether they may."""
    return Sets(line, values)


@dataclass(frozen=True)
class Cures:
    """What a stage that amends yields beside :class:`Sets`: what it sets in a ``line`` cured findings of a ``rule``
    there, and the ``reason``."""

    line: Any
    rule: str
    reason: str


def cures(line: Any, rule: str, reason: str) -> Cures:
    """That what this stage sets in a line on the sheet cured the findings of a rule at its place. They are settled
    where the setting stands and the rule may be departed from; what protects people is judged on the line as it
    stands."""
    return Cures(line, rule, reason)


@dataclass(frozen=True, kw_only=True)
class Amendment:
    """One key of one line that somebody set: ``by`` whom, what it ``was`` and is ``now``, in its ``unit``.

    The line is the one at ``index`` in ``field`` of ``result`` (a type's name), of the ``kind``, at a place.
    """

    by: str
    kind: str
    key: str
    unit: str
    was: Any
    now: Any
    where: Where
    result: str
    field: str
    index: int


def where_of(line: Any) -> Where:
    """The place of a line, as far as its keys tell it."""
    room, wall, trim, piece = (getattr(line, key, "") for key in ("room", "wall", "trim", "label"))
    return Where(room, wall, trim, piece)


def meanings(line_class: type) -> dict[str, tuple[str, str]]:
    """Each key of a line class with its (meaning, unit)."""
    return {f.name: (f.metadata.get("says", ""), f.metadata.get("unit", "")) for f in fields(line_class)}


def plain(value: Any) -> Any:
    """A value as JSON holds it: dataclasses become objects, tuples lists; numbers are rounded to 1e-6."""
    if isinstance(value, float):
        return round(value, 6) + 0.0
    if value is None or isinstance(value, (str, int)):
        return value
    if isinstance(value, (tuple, list, frozenset)):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, Decimal):
        return float(value)
    names = field_names(type(value))  # type: ignore[arg-type]
    return value if names is None else {name: plain(getattr(value, name)) for name in names}


@cache
def field_names(kind: type) -> tuple[str, ...] | None:
    """The names of the fields of a dataclass; None for another type."""
    return tuple(one.name for one in fields(kind)) if is_dataclass(kind) else None


def of_plain(hint: Any, form: Any) -> Any:
    """A value of that type from its JSON form, as :func:`plain` gives it. Raises TypeError, ValueError or KeyError
    where the form is another's."""
    kind = get_origin(hint)
    if kind in (Union, types.UnionType):
        return None if form is None else of_plain(next(one for one in options(hint) if one is not type(None)), form)
    if kind is tuple:
        held = get_args(hint)
        kinds = [held[0]] * len(form) if held[1:] == (...,) else held
        return tuple(of_plain(each, item) for each, item in zip(kinds, form, strict=True))
    if isinstance(hint, type) and is_dataclass(hint):
        return hint(**{name: of_plain(kind_of, form[name]) for name, kind_of in _kinds_of(hint)})
    return float(form) if hint is float else form


@cache
def form_of(hint: Any) -> str:
    """What the JSON form of a type is made of: what one program kept, another of the same form can read."""
    if isinstance(hint, type) and is_dataclass(hint):
        return f"{hint.__name__}({', '.join(f'{name} {form_of(kind)}' for name, kind in _kinds_of(hint))})"
    return f"{getattr(get_origin(hint) or hint, '__name__', hint)}[{', '.join(map(form_of, get_args(hint)))}]"


@cache
def _kinds_of(kind: type) -> tuple[tuple[str, Any], ...]:
    """Each field of a dataclass with its type."""
    hints = get_type_hints(kind)
    return tuple((f.name, hints[f.name]) for f in fields(kind))


def line_kinds(result_types: Iterable[type]) -> dict[str, tuple[type, type]]:
    """Every kind of line that results of these types hold, with (result type, line class)."""
    kinds: dict[str, tuple[type, type]] = {}
    for result_type in result_types:
        if not is_dataclass(result_type):
            continue
        for hint in get_type_hints(result_type).values():
            for held in get_args(hint):
                if hasattr(held, "LINE"):
                    kinds[held.LINE] = (result_type, held)
    return kinds


ABOUT_JOB = ("region", "protection", "built", "occupied", "use")
"""What of the building goes with every line's form, under ``job``."""


def units_of(result: object) -> dict[str, str]:
    """The unit of each key of the lines in a result."""
    classes = dict.fromkeys(type(line) for _, _, line in lines_of(result))
    return {key: str(unit) for line in classes for key, (_, unit) in meanings(line).items() if unit}


def line_form(job: Job, line: Any) -> dict[str, Any]:
    """The JSON form of a line as house rules see it: its own keys, and under ``job`` what they may ask of the
    building."""
    form: dict[str, Any] = plain(line)
    return {**form, "job": job_form(job)}


def job_form(job: Job) -> dict[str, Any]:
    """What a firm's rules and words may ask of the building."""
    return {key: getattr(job.building, key) for key in ABOUT_JOB}


def lines_of(result: object) -> list[tuple[str, int, Any]]:
    """Every line in a result as (field name, index, line), in order."""
    if not is_dataclass(result) or isinstance(result, type):
        return []
    found: list[tuple[str, int, Any]] = []
    for f in fields(result):
        held = getattr(result, f.name)
        if isinstance(held, tuple):
            found += [(f.name, number, item) for number, item in enumerate(held) if hasattr(item, "LINE")]
    return found


# ---------------------------------------------------------------- what a key may hold


def options(hint: Any) -> tuple[Any, ...]:
    """The types a key may have."""
    return get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)


def fits(value: Any, hint: Any) -> bool:
    """Whether a key of that type may hold the value."""
    for option in options(hint):
        if option is type(None) and value is None:
            return True
        if option is bool and isinstance(value, bool):
            return True
        if option in (int, float) and isinstance(value, (int, float)) and not isinstance(value, bool):
            return option is float or float(value).is_integer()
        if option is str and isinstance(value, str):
            return True
        if get_origin(option) is tuple and isinstance(value, (tuple, list)):
            inner = get_args(option)
            return len(inner) == 2 and inner[1] is ... and all(fits(item, inner[0]) for item in value)
    return False


_HELD = {
    str: "text",
    float: "a number",
    Decimal: "a number",
    int: "a whole number",
    bool: "true or false",
    type(None): "nothing",
}
KIND_WORDS = {str: "text", float: "number", Decimal: "number", int: "number", bool: "truth", type(None): "nothing"}


def hint_words(hint: Any) -> str:
    """What a key may hold, in words."""
    return " or ".join(_HELD.get(option, "a list") for option in options(hint))


def items_of(hint: Any) -> Any:
    """The type of each item, where a key holds a list of one type; None where it holds none."""
    held = (get_args(option) for option in options(hint) if get_origin(option) is tuple)
    return next((each[0] for each in held if each[1:] == (...,)), None)


def parts_of(hint: Any) -> type | None:
    """The dataclass that a key holds, with keys of its own; None where it holds none."""
    return next((option for option in options(hint) if isinstance(option, type) and is_dataclass(option)), None)
