"""Architraves against the opening they go round, and plinth blocks against skirting and architrave."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import Grounds, Input
from listel.core.contract.tables import Row
from listel.plugins.proportions.case import Case, limit, table
from listel.plugins.proportions.results import Suggestion


def share(pair: list[int]) -> float:
    """A fraction given as numerator and denominator."""
    return pair[0] / pair[1]


def architrave_width(rule: str, width: float, height: float) -> tuple[float, float]:
    """The least and the greatest width of an architrave, mm, by a row of the table ``architraves``.

    ``width``, ``height``: of the clear opening, mm. Raises KeyError for a rule that is not in the table.
    Source: the row.
    """
    row = table("architraves").row(rule)
    base = width if row["of"] == "width" else height
    return base * share(row["low"]), base * share(row["high"])


def architrave_suggestions(case: Case) -> Iterator[Suggestion]:
    """Every author's architrave over the openings of the room, from the least to the greatest."""
    openings = [opening for _, opening in case.openings()]
    for row in table("architraves"):
        if row.name == "cottage" and case.room.rank not in ("secondary", "upper", "service"):
            continue
        sized = [
            (opening, architrave_width(row.name, opening.width, opening.height or 0.0))
            for opening in openings
            if row["of"] == "width" or opening.height is not None
        ]
        if sized:
            low, high = min(pair[0] for _, pair in sized), max(pair[1] for _, pair in sized)
            inputs = tuple(
                Input(
                    f"clear {row['of']} of the {one.kind}", _base(row, one.width, one.height), "mm", case.job.line(one)
                )
                for one, _ in sized
            )
            shown = case.show(low) if low == high else f"{case.show(low)} to {case.show(high)}"
            grounds = Grounds(inputs, row["says"], "", shown, row.sources)
            yield Suggestion(rule=row["says"], low=low, high=high, grounds=grounds)


def _base(row: Row, width: float, height: float | None) -> float:
    return width if row["of"] == "width" else height or 0.0


def block_suggestions(case: Case) -> Iterator[Suggestion]:
    """The height of a plinth block: a little over the skirting."""
    skirting = case.other("skirting")
    if skirting is None or skirting.section.height is None:
        return
    size = skirting.section.height
    low, high = size + limit("block-over-low"), size + limit("block-over-high")
    given = Input(f"height of {skirting.name}", size, "mm", case.job.line(skirting.section, "height"))
    says = "a little higher than the skirting, 12 to 25 mm"
    shown = f"{case.show(low)} to {case.show(high)}"
    sources = table("limits").row("block-over-low").sources
    grounds = Grounds((given,), says, "", shown, sources)
    yield Suggestion(rule=says, low=low, high=high, underside=0.0, grounds=grounds)
