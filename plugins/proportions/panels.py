"""Planted panels under a dado rail: how many on a wall, and how wide."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.survey.job import Wall
from listel.plugins.proportions.case import Case, limit
from listel.plugins.proportions.results import Suggestion


def panel_width(length: float, count: int, margin: float) -> float:
    """The width of each of some equal panels, mm, on a clear wall, mm, with equal margins between them and at the ends.

    w = (L - (n + 1) s) / n. Valid for a count of 1 or more and a length that holds the margins. Source: arithmetic.
    """
    return (length - (count + 1) * margin) / count


def panel_count(length: float, height: float, margin: float, ratio: float) -> int:
    """How many equal panels come nearest to a wished ratio of width to height, at least 1.

    n = round((L - s) / (r h + s)). ``length``, ``height``, ``margin``: mm. Source: arithmetic.
    """
    return max(1, round((length - margin) / (ratio * height + margin)))


def panel_zone(case: Case) -> tuple[float, float] | None:
    """Underside and top of planted panels, mm above the floor: a margin clear of skirting and dado rail; None where
    either is not known."""
    skirting = case.other("skirting")
    dado = next((line for line in case.rails if line.member == "dado-rail" and line.underside is not None), None)
    if skirting is None or skirting.section.height is None or dado is None or dado.underside is None:
        return None
    margin = limit("panel-margin")
    low, high = skirting.section.height + margin, dado.underside - margin
    return (low, high) if high > low else None


def panel_suggestions(case: Case, zone: tuple[float, float]) -> Iterator[Suggestion]:
    """The panels of each clear stretch of the walls the trim goes to."""
    if case.trim is None:
        return
    margin, height = limit("panel-margin"), zone[1] - zone[0]
    for _, wall, _, _ in case.job.places(case.trim, case.room.name):
        if wall.length is None:
            continue
        for start, end in clear_stretches(wall, wall.length.value):
            length = end - start
            count = panel_count(length, height, margin, limit("panel-ratio"))
            width = panel_width(length, count, margin)
            if width <= 0:
                continue
            panels = "panel" if count == 1 else "equal panels"
            place = f"wall {wall.name} from {case.show(start)} to {case.show(end)}"
            inputs = (
                Input("clear length", length, "mm", case.job.line(wall, "length")),
                Input("margin", margin, "mm", assumed=True),
            )
            worked = f"({case.show(length)} - {count + 1} x {case.show(margin)}) / {count} = {case.show(width)}"
            grounds = Grounds(
                inputs, "clear length less the margins, shared out", worked, case.show(width), (GEOMETRY,)
            )
            says = f"{place}: {count} {panels}, {case.show(width)} wide"
            yield Suggestion(rule=says, low=height, high=height, underside=zone[0], grounds=grounds)


def clear_stretches(wall: Wall, length: float) -> list[tuple[float, float]]:
    """The stretches of a wall between its openings with their architraves, mm along it. A window is passed over too:
    panels under it are set out to its own width."""
    stretches, at = [], 0.0
    for opening in sorted(wall.openings, key=lambda one: one.at):
        casing = opening.architrave or 0.0
        if opening.at - casing > at:
            stretches.append((at, opening.at - casing))
        at = max(at, opening.end + casing)
    if length > at:
        stretches.append((at, length))
    return stretches
