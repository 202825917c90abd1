"""The filters every template may use: how lengths, angles, numbers, money and dates are written in this job."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from listel.core.survey.units import INCH, Units, custom, show_angle, show_fine, show_length, show_temperature

CURRENCY_SIGNS = {"GBP": "£", "EUR": "€", "USD": "$"}

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def filters(units: Units, currency: str = "") -> Mapping[str, Callable[..., Any]]:
    """The filters for a job that writes lengths in these units and prices in that currency (an ISO 4217 code)."""
    return {
        "mm": lambda value: "not known" if value is None else show_length(value, units),
        "deg": lambda value: "not known" if value is None else show_angle(value),
        "num": num,
        "money": lambda value, code="": money(value, code or currency),
        "date": date,
        "alike": alike,
        "by": by,
        "in_units": lambda text, exact=False: in_units(text, units, exact=exact),
    }


_NUMBER = r"(-?\d+(?:\.\d+)?)"
_AMERICAN = {"kg/m3": (0.062428, "lb/ft3"), "kg": (1 / 0.45359237, "lb"), "m2": (10.7639, "sq ft"),
             "mm2": (0.00155, "sq in"), "ml": (1 / 29.5735, "US fl oz"), "litre": (1 / 0.946353, "US qt"),
             "N/mm2": (145.038, "psi"), "N/m": (0.0685218, "lbf/ft"), "N/mm": (5.71015, "lbf/in"),
             "N mm": (0.00885075, "lbf in"), "N": (0.224809, "lbf")}  # fmt: skip
"""What a text in SI units is multiplied by, and the unit it then has. Source: NIST Special Publication 811, Guide for
the Use of the International System of Units, 2008, appendix B (published, cited from memory)."""
_DIGIT = re.compile(r"\d")
_SPANS = re.compile(rf"(?<![\w.]){_NUMBER} to {_NUMBER} (mm|kg/m3|kg|m2|ml|litre|N/mm2|N/m|N|C)\b(?!/)")
_ONE = re.compile(rf"(?<![\w.]){_NUMBER} (mm|m|kg/m3|kg|m2|ml|litre|N/mm2|N/m|N|C)\b(?!/)")
_METRES = re.compile(r"(?<![\w.])(\d+) m\b(?!/)")
_PER_M = re.compile(rf"(?<![\w.]){_NUMBER} mm per m\b")
_STEP = re.compile(rf"(?<![\w.]){_NUMBER} C (above|below|more|less|over|under)\b")


def in_units(text: str, units: Units, *, exact: bool = False) -> str:
    r"""A text of a table, which is written in SI units, with its measures as a job in inches has them. Whole quarters
    of 100 mm are a custom there (:func:`custom`), but in what was reckoned, which is ``exact``.

    >>> in_units("pack a gap of 2 to 6 mm, bearers 25 to 50 mm apart, hang no more than 15 kg", "inches")
    'pack a gap of 1/16" to 1/4", bearers 1" to 2" apart, hang no more than 33 lb'
    """
    if units == "mm" or not _DIGIT.search(text):
        return text
    text = _PER_M.sub(lambda m: f"{float(m[1]) * 0.012:.3f} in per ft", text)
    text = _STEP.sub(lambda m: f"{float(m[1]) * 1.8:.0f} F {m[2]}", text)
    shown = in_inches if exact else _by_custom
    text = _SPANS.sub(lambda m: " to ".join(_both(m[1], m[2], m[3], shown)), text)
    text = _METRES.sub(lambda m: _feet(int(m[1])), text)
    return _ONE.sub(lambda m: shown(float(m[1]), m[2]), text)


def _by_custom(value: float, unit: str) -> str:
    return in_inches(custom(value, "inches") if unit == "mm" and not value % 25 else value, unit)


def _feet(metres: int) -> str:
    """Whole metres, which in a text are a round figure, to the next half foot."""
    halves = round(metres * 2 / 0.3048)
    return f"{halves // 2}{' 1/2' * (halves % 2)} ft"


def _both(low: str, high: str, unit: str, shown: Callable[[float, str], str]) -> tuple[str, str]:
    """Both ends of a span; the unit stands once, but for lengths."""
    first, second = shown(float(low), unit), shown(float(high), unit)
    name = _AMERICAN.get(unit, (0.0, "F"))[1]
    return (first, second) if unit == "mm" else (first.removesuffix(f" {name}"), second)


def in_inches(value: float, unit: str) -> str:
    """A value in SI units as a job in inches writes it; in its own unit where that is what both write (h, %, dB(A)).

    >>> in_inches(21.1, "C"), in_inches(760, "kg/m3"), in_inches(76.2, "mm")
    ('70 F', '47.4 lb/ft3', '3"')
    """
    if unit == "mm":
        return _shown(value, "inches")
    if unit == "m":
        return show_length(value * 1000, "inches")
    if unit == "C":
        return show_temperature(value, "inches")
    if unit in _AMERICAN:
        factor, name = _AMERICAN[unit]
        shown = value * factor
        return f"{shown:.{0 if abs(shown) >= 100 or unit == 'kg' else 1}f} {name}"
    return f"{value:g} {unit}".rstrip()


def _shown(mm: float, units: Units) -> str:
    return show_length(mm, units) if abs(mm) >= 1 or not mm else show_fine(mm, units)


def by(lines: Iterable[Any], key: str) -> dict[Any, list[Any]]:
    """Lines by what they say under a key, so that a section looks up those of a room and does not search for them."""
    found: dict[Any, list[Any]] = {}
    for line in lines:
        found.setdefault(getattr(line, key), []).append(line)
    return found


def alike(lines: Iterable[Any], *keys: str) -> list[tuple[tuple[Any, ...], list[Any]]]:
    """Lines that say the same under some keys, together: (what they say, those lines), in the order they first came.

    Raises AttributeError for a key that a line lacks.
    """
    found: dict[tuple[Any, ...], list[Any]] = {}
    for line in lines:
        found.setdefault(tuple(getattr(line, key) for key in keys), []).append(line)
    return list(found.items())


def shown_value(value: Any, unit: str, units: Units) -> str:
    """A value of a line as the statement writes it: measures in the job's units, words as they are.

    >>> shown_value(350.0, "mm", "mm"), shown_value(49.99999999, "N", "mm"), shown_value(None, "mm", "mm")
    ('350 mm', '50 N', 'nothing')
    """
    if value is None or value in ("", ()):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        if unit == "mm":
            whole = float(value).is_integer() or (units == "inches" and abs(value) >= INCH)
            return show_length(value, units) if whole else show_fine(value, units)
        value = float(f"{value:.4g}")
        return in_inches(value, unit) if units == "inches" else f"{value:g} {unit}".rstrip()
    if isinstance(value, (tuple, list)):
        return ", ".join(shown_value(item, unit, units) for item in value)
    return str(value)


def shown_values(values: Sequence[Any], unit: str, units: Units) -> str:
    """One value, or the span of several numbers, or the words there are.

    >>> shown_values([400.0, 350.0, 400.0], "mm", "mm"), shown_values(["nail", "screw"], "", "mm")
    ('350 mm to 400 mm', 'nail or screw')
    """
    distinct = list(dict.fromkeys(values))
    numbers = [value for value in distinct if isinstance(value, (int, float))]
    if len(distinct) > 1 and len(numbers) == len(distinct):
        return " to ".join(shown_value(value, unit, units) for value in (min(numbers), max(numbers)))
    return " or ".join(shown_value(value, unit, units) for value in distinct)


def num(value: float | str | None, places: int = 1) -> str:
    """A number with that many decimals, at most 12; text stays as it is."""
    if value is None:
        return "not known"
    return value if isinstance(value, str) else f"{value:.{min(places, 12)}f}"


def money(value: float | Decimal | None, currency: str = "") -> str:
    """An amount with its currency's sign, or its code where there is no sign; bare where none was given."""
    if value is None:
        return "not priced"
    sign = CURRENCY_SIGNS.get(currency.upper(), f"{currency.upper()} " if currency else "")
    return f"{sign}{value:,.2f}"


def date(value: str) -> str:
    """2026-03-14 as 14 March 2026; what is no such date stays as it is."""
    parts = value.split("-")
    if len(parts) != 3 or not all(part.isdecimal() for part in parts) or not 1 <= int(parts[1]) <= 12:
        return value
    return f"{int(parts[2])} {MONTHS[int(parts[1]) - 1]} {parts[0]}"
