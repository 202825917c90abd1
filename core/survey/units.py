"""Lengths, angles, temperatures and percentages as people write them, and back.

One parser reads a value and judges it: the survey's formats call it, and its ValueError says what was expected
and how to mend the text. Inside the program lengths are mm, angles degrees, temperatures C, percentages numbers.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Annotated, Literal

from listel.core.survey.messages import comma_words

Units = Literal["mm", "inches"]

Length = Annotated[float, "length"]
"""mm"""
Angle = Annotated[float, "angle"]
"""degrees"""
Temperature = Annotated[float, "temperature"]
"""C"""
Percent = Annotated[float, "percent"]
"""%"""
Load = Annotated[float, "load"]
"""N per metre"""

INCH = 25.4
"""One inch in mm, exact (international yard and pound agreement, 1959)."""
FOOT = 12 * INCH
CENTIMETRE = 10.0
METRE = 1000.0

KILOGRAM = 9.80665
"""The weight of one kilogram in N, exact (standard gravity, CGPM 1901)."""
POUND = 0.45359237 * KILOGRAM
"""The weight of one pound in N, exact (international yard and pound agreement, 1959)."""

_LONGEST_TEXT = 60
_GREATEST = 1e300
_LENGTH_HELP = "write a length as 893, 893 mm, 89.3 cm, 1.2 m, 34 in, 2' 10 1/2\" or 8ft 6"
_ANGLE_HELP = "write an angle as 91.3, 91.3° or 91° 18'"
_TEMPERATURE_HELP = "write a temperature as 18, 18 C, 64 F or 291 K"
_PERCENT_HELP = "write a percentage as 14 or 14 %"

_LOAD_HELP = "write a load as 6 kg a metre, 4 lb a foot or 60 N/m"

_NUMBER = re.compile(r"(?:([0-9]+)(?: +| *- *))??([0-9]+) */ *([0-9]+)|[0-9]+(?:\.[0-9]*)?|\.[0-9]+")
_WORD = re.compile(r" *([a-z]+\.?|''|[\"'°%]|)")

_LENGTH_UNITS = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 1.0),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), CENTIMETRE),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), METRE),
    **dict.fromkeys(("in", "in.", "ins", "inch", "inches", '"', "''"), INCH),
    **dict.fromkeys(("ft", "ft.", "foot", "feet", "'"), FOOT),
}
_FOLLOWS = {0.0: (1.0, CENTIMETRE, METRE, INCH, FOOT), METRE: (CENTIMETRE, 1.0), FOOT: (INCH,)}
"""Which units may follow which in one length; 0 stands for nothing before."""
_ANGLE_UNITS = {
    **dict.fromkeys(("°", "deg", "deg.", "degree", "degrees"), 1.0),
    **dict.fromkeys(("'", "min", "min.", "minute", "minutes"), 1 / 60),
    **dict.fromkeys(('"', "''", "sec", "sec.", "second", "seconds"), 1 / 3600),
}
_SCALES = {"": "", "c": "c", "celsius": "c", "f": "f", "fahrenheit": "f", "k": "k", "kelvin": "k"}
_WEIGHT_UNITS = {
    **dict.fromkeys(("n", "newton", "newtons"), 1.0),
    "kn": 1000.0,
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"), KILOGRAM),
    **dict.fromkeys(("lb", "lb.", "lbs", "lbs.", "pound", "pounds"), POUND),
    **dict.fromkeys(("st", "stone", "stones"), 14 * POUND),
    **dict.fromkeys(("oz", "oz.", "ounce", "ounces"), POUND / 16),
}
_OF_FEET = ("lb", "lb.", "lbs", "lbs.", "pound", "pounds", "st", "stone", "stones", "oz", "oz.", "ounce", "ounces")
"""Weights that, alone, are those on a foot where lengths are in feet and inches."""
_PER = re.compile(r" *(?:/(?! *[0-9])|\b(?:an?|per|each|every|to the)\b) *")
_QUOTES = str.maketrans({**dict.fromkeys("′’‘´", "'"), **dict.fromkeys("″”“", '"'), "−": "-", "º": "°", "⁄": "/"})


_YARD = re.compile(r"(?:[1-9]|[4-9]/4|1[0-6]/4)(?: *[x×] *[0-9]{1,2})?")
_DRESSED = {"1": '3/4"', "4/4": '3/4"', "5/4": '1"', "6/4": '1 1/4"', "2": '1 1/2"', "8/4": '1 1/2"'}
"""By the name of its thickness, how thick a board of the American yard is once it is dressed."""


def _yard_name(text: str) -> str:
    """What a name of the American lumber yard, as 5/4 or 1x6, is in inches once the board is dressed; "" for any other.

    Source: American Softwood Lumber Standard, Voluntary Product Standard PS 20, 2020, sizes of boards and dimension,
    minimum dressed dry (second-hand); hardwood is dressed a little thicker, 5/4 to 1 1/16 in (from memory).
    """
    thick, _, wide = text.replace("×", "x").replace(" ", "").partition("x")
    if not _YARD.fullmatch(text) or not (wide or "/" in thick):
        return ""
    dressed = [f"about {_DRESSED[thick]} thick"] if thick in _DRESSED else []
    if wide:
        dressed.append(f"{show_length((int(wide) - (0.5 if int(wide) < 8 else 0.75)) * INCH, 'inches')} wide")
    says = f", dressed {' and '.join(dressed)}" if dressed else ""
    return f"is a name of the lumber yard{says}; write what a tape reads, with its unit"


def parse_length(value: object, bare: Units = "mm") -> float:
    """A length in mm, from a number or from text with or without a unit; ``bare`` says what a bare number means.

    After feet, a number with no unit is inches (``8ft 6``). Raises ValueError, in words, for anything else.
    """
    bare_unit = 1.0 if bare == "mm" else INCH
    if not isinstance(value, str):
        return round(_plain_number(value, _LENGTH_HELP) * bare_unit, 6)
    sign, text = _signed(_tidy(value, _LENGTH_HELP))
    if name := _yard_name(text):
        raise ValueError(f'"{value}" {name}')
    total, last = 0.0, 0.0
    for number, unit in _terms(text, value, _LENGTH_HELP):
        if unit:
            size = _unit_size(unit, _LENGTH_UNITS, value, "lengths are in mm, cm, m, in or ft")
        else:
            size = INCH if last == FOOT else bare_unit
        if size not in _FOLLOWS.get(last, ()) or (last == METRE and not unit):
            raise ValueError(f'"{value}" is not one length; {_LENGTH_HELP}')
        if last == FOOT and number >= 12:
            raise ValueError(f'"{value}" has 12 inches or more after the feet; {_LENGTH_HELP}')
        total += number * size
        last = size
    return round(sign * total, 6)


def parse_lengths(text: str, bare: Units = "mm") -> tuple[float, int]:
    """A length in mm and how many there are of it, from a text like 1200x3. Raises ValueError for any other."""
    found = re.fullmatch(r"\s*(.+?)\s*[x×]\s*([0-9]{1,6})\s*", text)
    if found is None or int(found[2]) == 0:
        raise ValueError(f'"{text}" is no length and how many; write both, as 1200x3')
    return parse_length(found[1], bare), int(found[2])


def parse_angle(value: object) -> float:
    """An angle in degrees, from a number or from text in decimal degrees or degrees, minutes and seconds."""
    if not isinstance(value, str):
        return _plain_number(value, _ANGLE_HELP)
    sign, text = _signed(_tidy(value, _ANGLE_HELP))
    total, last = 0.0, math.inf
    for number, unit in _terms(text, value, _ANGLE_HELP):
        size = _unit_size(unit, _ANGLE_UNITS, value, _ANGLE_HELP) if unit else 1.0
        if not size < last or (not unit and last != math.inf):
            raise ValueError(f'"{value}" is not one angle; {_ANGLE_HELP}')
        if last != math.inf and number >= 60:
            raise ValueError(f'"{value}" has 60 or more in its minutes or seconds; {_ANGLE_HELP}')
        total += number * size
        last = size
    return round(sign * total, 9)


def parse_load(value: object, bare: Units = "mm") -> float:
    """A load along a rail in N per metre, from a number or from text.

    Weights are N, kN, kg, lb, stone or oz, and stand on a metre, a foot or any other length. Where bare lengths are mm
    a bare number is N, and a weight alone is that on each metre; where they are inches a bare number is lb, and lb, oz
    and stone alone are those on each foot. Raises ValueError, in words, for anything else.
    """
    alone, on = ("n", "m") if bare == "mm" else ("lb", "ft")
    if not isinstance(value, str):
        return round(_plain_number(value, _LOAD_HELP) * _WEIGHT_UNITS[alone] * METRE / _LENGTH_UNITS[on], 6)
    weight, *per = _PER.split(_tidy(value, _LOAD_HELP), maxsplit=1)
    number, word = _one_term(weight, value, _LOAD_HELP)
    newtons = number * _unit_size(word or alone, _WEIGHT_UNITS, value, _LOAD_HELP)
    if not per and bare == "inches" and word and word not in _OF_FEET:
        raise ValueError(f'"{value}" may be on a metre or on a foot; {_LOAD_HELP}')
    length = _unit_size(per[0].strip() if per else on, _LENGTH_UNITS, value, "the length is a metre or a foot")
    return round(newtons * METRE / length, 6)


def parse_temperature(value: object, bare: Units = "mm") -> float:
    """A temperature in C; text may say C, F or K, a bare number is C, or F where bare lengths are inches."""
    alone = "c" if bare == "mm" else "f"
    if not isinstance(value, str):
        degrees, scale = _plain_number(value, _TEMPERATURE_HELP), alone
    else:
        sign, text = _signed(re.sub(r" *(?:°|deg(?:rees?)?\b\.?) *", " ", _tidy(value, _TEMPERATURE_HELP)).strip())
        number, word = _one_term(text, value, _TEMPERATURE_HELP)
        if word not in _SCALES:
            raise ValueError(f'"{value}" has an unknown scale "{word}"; {_TEMPERATURE_HELP}')
        degrees, scale = sign * number, _SCALES[word] or alone
    celsius = {"c": degrees, "f": (degrees - 32) / 1.8, "k": degrees - 273.15}[scale]
    if celsius < -273.15:
        raise ValueError(f"{value} is below absolute zero; {_TEMPERATURE_HELP}")
    return round(celsius, 6)


def parse_percent(value: object) -> float:
    """A percentage as its number: 14, "14 %", "14% MC" and "60 % RH" read as 14 and 60. A bare number between 0 and 1
    may be a share of one as well, and is asked about. Raises ValueError, in words, for it and for anything else.
    """
    if isinstance(value, str):
        written = _tidy(value, _PERCENT_HELP)
        text = re.sub(r" *(?:%|per ?cent) *(?:mc|rh)?$", "", written)
        sign, rest = _signed(text)
        number, word = _one_term(rest, value, _PERCENT_HELP)
        if word:
            raise ValueError(f'"{value}" is not a percentage; {_PERCENT_HELP}')
        read, bare = sign * number, text == written
    else:
        read, bare = _plain_number(value, _PERCENT_HELP), True
    if bare and 0 < read < 1:
        raise ValueError(f"{value} may be {read * 100:g} % or {read:g} %; write which, with its %")
    return read


def written_percent(number: float) -> float | str:
    """A percentage as a survey writes it: a number, with its % where a bare one may be a share of one."""
    return f"{number} %" if 0 < number < 1 else number


def show_length(mm: float, units: Units = "mm") -> str:
    """A length to 1 mm ("893 mm"), or to 1/16 in in feet and inches (``2' 10 1/2"``), halves rounded away from zero."""
    if units == "mm":
        whole = _nearest(abs(mm))
        return f"{'-' if mm < 0 and whole else ''}{whole} mm"
    sixteenths = _nearest(abs(mm) / INCH * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    words = [f"{feet}'"] if feet else []
    if part:
        common = math.gcd(part, 16)
        fraction = f"{part // common}/{16 // common}"
        words.append(f'{inches} {fraction}"' if inches or feet else f'{fraction}"')
    else:
        words.append(f'{inches}"')
    return ("-" if mm < 0 and sixteenths else "") + " ".join(words)


def custom(mm: float, units: Units = "mm") -> float:
    """A round figure of the trade, mm, as it is where people work in these units: studs 400 mm apart are 16 inches
    apart to those who work in inches, 25 mm standing for each of them (common practice, no source)."""
    return mm if units == "mm" else math.floor(mm / 25 * 8 + 0.5) / 8 * INCH


def in_figures(units: Units) -> tuple[str, Callable[[float], str]]:
    """How a table has lengths as bare figures, to be reckoned with: the unit of its head, and what writes one of mm."""
    return ("in", lambda mm: f"{mm / INCH:.3f}") if units == "inches" else ("mm", lambda mm: f"{mm:.1f}")


def show_fine(mm: float, units: Units = "mm") -> str:
    """A small length, as joints and movements are: "0.36 mm", "2.4 mm" from 1 mm up, or "0.014 in" in inches."""
    if units == "inches":
        return f"{mm / INCH:.3f} in"
    return f"{mm:.2f} mm" if abs(mm) < 1 else f"{mm:.1f} mm"


def show_load(newtons: float, units: Units = "mm") -> str:
    """A load along a rail, N per metre, to two digits: "10 kg on each metre", or "6.9 lb on each foot" in inches."""
    if units == "inches":
        return f"{float(f'{newtons / POUND * FOOT / METRE:.2g}'):g} lb on each foot"
    return f"{float(f'{newtons / KILOGRAM:.2g}'):g} kg on each metre"


def show_temperature(celsius: float, units: Units = "mm") -> str:
    """A temperature: "20 C", or "68 F" in inches."""
    return f"{celsius * 1.8 + 32:.0f} F" if units == "inches" else f"{celsius:g} C"


def show_angle(degrees: float) -> str:
    """An angle in degrees, to 0.01 with no idle noughts: "91.3°", "45.65°", "90°"."""
    text = f"{degrees:.2f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text}°"


SHOWN: dict[str, Callable[[float, Units], str]] = {
    "length": show_length,
    "angle": lambda degrees, _: show_angle(degrees),
    "temperature": show_temperature,
    "percent": lambda percent, _: f"{percent:g} %",
    "load": show_load,
}
"""How a value of each kind that the survey writes with a unit is written in a survey in those units."""


def _nearest(value: float) -> int:
    return math.floor(value + 0.5)


def _plain_number(value: object, help_text: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueError(f"{value} is not a number or text; {help_text}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not abs(number) <= _GREATEST:
        raise ValueError(f"the number is not finite, or too great to be measured; {help_text}")
    return number


def _tidy(value: str, help_text: str) -> str:
    """The text in lower case with plain quotes, plain fractions and single spaces."""
    if len(value) > _LONGEST_TEXT:
        raise ValueError(f"the text is too long to be one value; {help_text}")
    if "," in value:
        raise ValueError(comma_words(value))
    text = value.translate(_QUOTES)
    for letter in set(text):
        plain = unicodedata.normalize("NFKC", letter)
        if "⁄" in plain:
            text = text.replace(letter, " " + plain.replace("⁄", "/"))
    return " ".join(text.lower().split())


def _signed(text: str) -> tuple[int, str]:
    if text.startswith(("-", "+")):
        return (-1 if text[0] == "-" else 1), text[1:].lstrip()
    return 1, text


def _terms(text: str, value: str, help_text: str) -> list[tuple[float, str]]:
    """Each number of the text with the unit after it ("" for none); a hyphen may join feet and inches."""
    found: list[tuple[float, str]] = []
    at = 0
    while at < len(text) or not found:
        match = _NUMBER.match(text, at)
        if not match:
            raise ValueError(f'"{value}" cannot be read; {help_text}')
        word = _WORD.match(text, match.end())
        assert word  # it also matches nothing
        found.append((_amount(match, value), word[1]))
        at = word.end()
        while at < len(text) and text[at] in " -":
            at += 1
    return found


def _amount(match: re.Match[str], value: str) -> float:
    whole, upper, lower = match.groups()
    if upper is None:
        return float(match[0])
    if int(lower) == 0:
        raise ValueError(f'"{value}" divides by nought; write a fraction as 1/2')
    if whole and int(upper) >= int(lower):
        raise ValueError(f'"{value}" has a fraction of one or more after a whole number; write 10 1/2')
    return int(whole or 0) + int(upper) / int(lower)


def _one_term(text: str, value: str, help_text: str) -> tuple[float, str]:
    terms = _terms(text, value, help_text)
    if len(terms) != 1:
        raise ValueError(f'"{value}" has more than one number; {help_text}')
    return terms[0]


def _unit_size(unit: str, sizes: dict[str, float], value: str, known: str) -> float:
    if unit not in sizes:
        raise ValueError(f'"{value}" has an unknown unit "{unit}"; {known}')
    return sizes[unit]


def parse_date(value: object) -> date:
    """A day, from text as 2026-03-14 (ISO 8601). Raises ValueError, in words, for anything else."""
    try:
        return date.fromisoformat(str(value).strip())
    except ValueError:
        raise ValueError(f"{str(value)[:40]} is no date; write a day as 2026-03-14: year, month, day") from None


PARSERS: dict[str, Callable[[object], float]] = {
    "length": parse_length,
    "angle": parse_angle,
    "temperature": parse_temperature,
    "percent": parse_percent,
    "load": parse_load,
}
"""What reads a value of each kind that the survey writes with a unit."""


def parsers(bare: Units) -> dict[str, Callable[[object], float]]:
    """What reads each kind in a survey in those units: they say what a bare length, load or temperature is."""
    told = {"length": parse_length, "load": parse_load, "temperature": parse_temperature}
    return {**PARSERS, **{kind: partial(parse, bare=bare) for kind, parse in told.items()}}
