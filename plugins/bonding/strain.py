"""How hard movement works a joint, and what may fill it."""

from __future__ import annotations

from typing import Literal

from listel.core.contract.tables import Row, Table, load_table
from listel.core.survey.units import Units, show_fine
from listel.plugins.bonding.allowances import value

EPSILON = 1e-9


def fillers() -> Table:
    """The table of fillers and sealants."""
    return load_table(__package__, "fillers")


def strain(width: float, movement: float) -> float:
    """The strain of a joint, %: movement / width.

    ``width``, ``movement`` [mm]. Raises ValueError if the width is not above 0 or the movement below 0. Source:
    ISO 11600 and ASTM C920 use it so, published-second-hand.

    >>> strain(4, 0.8)
    20.0
    """
    if width <= 0 or movement < 0:
        raise ValueError("a joint has a width above 0, and its movement is 0 or more")
    return 100 * movement / width


def least_width(movement: float, capability: float) -> float:
    """The narrowest joint that a sealant of that capability [%] serves, mm: movement / capability.

    ``movement`` [mm]. Raises ZeroDivisionError for no capability. Source: sealant trade guidance on joint width,
    published-second-hand.

    >>> round(least_width(4, 30), 2)
    13.33
    """
    return movement / (capability / 100)


def joint_depth(width: float) -> float:
    """The depth of sealant for a joint of that width, mm: half the width, 6 to 13; a joint under 6 is as deep as wide.

    ``width`` [mm]. Raises nothing. Source: sealant trade guidance, published-second-hand.

    >>> joint_depth(6), joint_depth(19), joint_depth(32)
    (6, 9.5, 13)
    """
    return min(width, min(max(width / 2, 6), 13))


def classes(body: Literal["iso", "astm"]) -> tuple[Row, ...]:
    """The movement classes of ISO 11600 or ASTM C920, least first."""
    return tuple(row for row in load_table(__package__, "classes") if row["body"] == body)


def least_class(percent: float, body: Literal["iso", "astm"]) -> Row | None:
    """The least class whose movement covers a strain [%]; None if none does. Raises nothing. Source: as the table."""
    return next((row for row in classes(body) if percent <= row["movement"] + EPSILON), None)


def admits(filler: Row, width: float, movement: float) -> bool:
    """Whether a filler lives in a joint of that width and movement [mm]: within its strain, or a mere hairline.

    Raises ValueError as :func:`strain`. Source: the table of fillers; hairline an allowance.
    """
    return strain(width, movement) <= filler["movement"] + EPSILON or movement <= value("hairline") + EPSILON


def refusal(filler: Row, width: float, movement: float, units: Units = "mm") -> str:
    """Why a filler is refused in a joint of that width and movement [mm], told in these units, or ""."""
    if filler.get("refused"):
        return str(filler["refused"])
    if not admits(filler, width, movement):
        rigid = filler["movement"] < classes("iso")[0]["movement"]
        cracks = "the timber moves, the filler does not, and it cracks" if rigid else "it would tear"
        return (
            f"the joint is strained {strain(width, movement):.1f} % and {filler['title']} takes"
            f" {filler['movement']:g} %: {cracks}"
        )
    if not filler["least"] <= width <= filler["most"]:
        narrow, wide, now = (show_fine(each, units) for each in (filler["least"], filler["most"], width))
        laid = f"{narrow} to {wide}" if filler["least"] else f"up to {wide}"
        return f"it is laid {laid} wide, and the joint is {now}"
    return ""
