"""The filters every template may use: how lengths, angles, numbers, money and dates are written in this job."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from listel.core.units import Units, show_angle, show_fine, show_length

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
        "money": lambda value: money(value, currency),
        "date": date,
        "alike": alike,
        "in_units": lambda text: in_units(text, units),
    }


def in_units(text: str, units: Units) -> str:
    """A text of a table, which is written in mm and kg, with its lengths and weights as the job writes them.

    >>> in_units("pack a gap of 2 to 6 mm, hang no more than 15 kg", "inches")
    'pack a gap of 1/16" to 1/4", hang no more than 33 lb'
    """
    if units == "mm":
        return text
    length = r"(\d+(?:\.\d+)?)"
    text = re.sub(
        rf"{length} to {length} mm\b", lambda m: " to ".join(_shown(float(x), units) for x in m.groups()), text
    )
    text = re.sub(rf"{length} mm\b", lambda m: _shown(float(m[1]), units), text)
    text = re.sub(rf"\b{length} m\b", lambda m: show_length(float(m[1]) * 1000, units), text)
    return re.sub(rf"{length} kg\b", lambda m: f"{float(m[1]) / 0.45359237:.0f} lb", text)


def _shown(mm: float, units: Units) -> str:
    return show_length(mm, units) if mm >= 1 else show_fine(mm, units)


def alike(lines: Iterable[Any], *keys: str) -> list[tuple[tuple[Any, ...], list[Any]]]:
    """Lines that say the same under some keys, together: (what they say, those lines), in the order they first came.

    Raises AttributeError for a key that a line lacks.
    """
    found: dict[tuple[Any, ...], list[Any]] = {}
    for line in lines:
        found.setdefault(tuple(getattr(line, key) for key in keys), []).append(line)
    return list(found.items())


def num(value: float | str | None, places: int = 1) -> str:
    """A number with that many decimals, at most 12; text stays as it is."""
    if value is None:
        return "not known"
    return value if isinstance(value, str) else f"{value:.{min(places, 12)}f}"


def money(value: float | None, currency: str = "") -> str:
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
