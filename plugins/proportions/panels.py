"""Closed frames of panel mould under a dado rail: those surveyed, else how many on a wall, and how wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.survey.job import Wall
from listel.plugins.proportions.case import Case, limit
from listel.plugins.proportions.results import PanelFrame, Suggestion


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


def panel_frames(case: Case, zone: tuple[float, float] | None) -> list[PanelFrame]:
    """The frames of a trim in a room: as surveyed on a wall that lists any, else equal ones shared out over its clear
    stretches between skirting and dado rail."""
    found: list[PanelFrame] = []
    for _, wall, start, end in case.job.places(case.trim, case.room.name) if case.trim else ():
        if wall.panels:
            found += _surveyed(case, wall, zone)
        elif zone is not None and end is not None:
            found += _shared_out(case, wall, start, end, zone)
    return found


def _surveyed(case: Case, wall: Wall, zone: tuple[float, float] | None) -> Iterator[PanelFrame]:
    low, high = zone or (None, None)
    for number, panel in enumerate(sorted(wall.panels, key=lambda one: one.at), 1):
        underside = panel.underside if panel.underside is not None else low
        top = high if panel.height is None or underside is None else underside + panel.height
        inputs = (
            Input("left edge", panel.at, "mm", case.job.line(panel, "at")),
            Input("width", panel.width, "mm", case.job.line(panel, "width")),
            Input("underside", underside or "not known", "mm", assumed=panel.underside is None),
            Input("top", top or "not known", "mm", assumed=panel.height is None),
        )
        yield PanelFrame(
            room=case.room.name,
            wall=wall.name,
            trim=case.trim_name,
            number=number,
            start=panel.at,
            end=panel.end,
            underside=underside,
            top=top,
            grounds=Grounds(inputs, "as surveyed; else a margin clear of skirting and dado rail", sources=(GEOMETRY,)),
        )


def _shared_out(case: Case, wall: Wall, left: float, right: float, zone: tuple[float, float]) -> Iterator[PanelFrame]:
    margin, height, number = limit("panel-margin"), zone[1] - zone[0], 0
    for start, end in clear_stretches(wall, left, right):
        length = end - start
        count = panel_count(length, height, margin, limit("panel-ratio"))
        width = panel_width(length, count, margin)
        if width < limit("least-panel"):
            continue
        inputs = (Input("clear length", length, "mm", case.job.line(wall, "length")), _assumed("margin", margin))
        worked = f"({case.show(length)} - {count + 1} x {case.show(margin)}) / {count} = {case.show(width)}"
        formula = "clear length less the margins, shared out"
        grounds = Grounds(inputs, formula, worked, f"{case.show(width)} wide", (GEOMETRY,))
        for place in range(count):
            number += 1
            at = start + margin + place * (width + margin)
            yield PanelFrame(
                room=case.room.name,
                wall=wall.name,
                trim=case.trim_name,
                number=number,
                start=at,
                end=at + width,
                underside=zone[0],
                top=zone[1],
                proposed=True,
                grounds=grounds,
            )


def _assumed(what: str, value: float) -> Input:
    return Input(what, value, "mm", assumed=True)


def panel_suggestions(frames: Sequence[PanelFrame], case: Case) -> Iterator[Suggestion]:
    """What is proposed for each wall whose panels were not surveyed."""
    for wall, group in groupby((one for one in frames if one.proposed), key=lambda one: one.wall):
        each = list(group)
        widths = " and ".join(dict.fromkeys(case.show(one.end - one.start) for one in each))
        says = f"wall {wall}: {len(each)} {'panel' if len(each) == 1 else 'equal panels'}, {widths} wide"
        low, high = each[0].underside or 0.0, each[0].top or 0.0
        yield Suggestion(rule=says, low=high - low, high=high - low, underside=low, grounds=each[0].grounds)


def clear_stretches(wall: Wall, left: float, right: float) -> list[tuple[float, float]]:
    """The stretches of a wall between two stations clear of its openings with their architraves, mm along it. A window
    is passed over too: panels under it are set out to its own width."""
    stretches, at = [], left
    for opening in sorted(wall.openings, key=lambda one: one.at):
        casing = opening.architrave or 0.0
        if min(opening.at - casing, right) > at:
            stretches.append((at, min(opening.at - casing, right)))
        at = max(at, opening.end + casing)
    if right > at:
        stretches.append((at, right))
    return stretches
