"""What a frame is made of: its members with horns and tenons, and its panels, never tight nor out of their groove."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.quick import dataclass
from listel.core.survey.job import Framing, Job, Trim
from listel.core.survey.units import show_fine
from listel.plugins.panelling.frames import Grain, least_hold, panel_size
from listel.plugins.panelling.results import Frame, FramePart
from listel.plugins.panelling.settings import allowed, figure

RULES = load_rules(__package__)


@dataclass(frozen=True, kw_only=True)
class Made:
    """How the frames of one trim are made: its ``framing``, the width of its stiles, its thickness, its top [mm]."""

    trim: Trim
    framing: Framing
    stile: float
    thick: float
    groove: Input
    tenon: Input
    grain: Grain


def members_of(made: Made, frame: Frame, stiles: tuple[float, float], between: float) -> Iterator[FramePart]:
    """Its stiles, with horns, and its rails and muntins, with tenons at both ends."""
    tenon, horn = figure(made.tenon), figure(allowed("horn"))
    for side, width, edge in (("left", stiles[0], frame.left), ("right", stiles[1], frame.right)):
        yield FramePart(
            frame=frame.label,
            part=f"{side} stile",
            length=frame.height + 2 * horn,
            between=frame.height,
            width=width,
            thickness=made.thick,
            note=edge,
            grounds=Grounds(
                (Input("height of the frame", frame.height, "mm"), allowed("horn")),
                "the frame's height and two horns",
                f"{frame.height:g} + 2 x {horn:g} = {frame.height + 2 * horn:g}",
                sources=(GEOMETRY,),
            ),
        )
    for part, count, shoulders, width in (*_rails(frame, between), *_muntins(made, frame)):
        yield FramePart(
            frame=frame.label,
            part=part,
            count=count,
            length=shoulders + 2 * tenon,
            between=shoulders,
            width=width,
            thickness=made.thick,
            grounds=Grounds(
                (Input("between shoulders", shoulders, "mm"), made.tenon),
                "between shoulders and two tenons",
                f"{shoulders:g} + 2 x {tenon:g} = {shoulders + 2 * tenon:g}",
                sources=(GEOMETRY,),
            ),
        )


def _rails(frame: Frame, between: float) -> Iterator[tuple[str, int, float, float]]:
    """Each rail from the top: its name, how many, its length between shoulders, its width."""
    middle = len(frame.rails) - 2
    names = ["bottom rail", *(f"middle rail{f' {n}' if middle > 1 else ''}" for n in range(1, middle + 1)), "top rail"]
    for name, (low, high) in reversed([*zip(names, frame.rails, strict=True)]):
        yield name, 1, between, high - low


def _muntins(made: Made, frame: Frame) -> Iterator[tuple[str, int, float, float]]:
    for row, (low, high) in enumerate(frame.rows if frame.panels > 1 else (), 1):
        yield _in_row("muntin", frame, row), frame.panels - 1, high - low, made.framing.muntin


def _in_row(part: str, frame: Frame, row: int) -> str:
    """The name of a part, with its row from the foot where there are several."""
    return part if len(frame.rows) == 1 else f"{part}, row {row}"


def panels_of(job: Job, made: Made, frame: Frame, where: Where) -> tuple[list[FramePart], list[Finding]]:
    """Its panels row by row, and what is to be said where they may come out of the groove."""
    cut = [_panel(made, frame, row) for row in range(len(frame.rows))]
    holds, part = min(((held, part) for part, held in cut), key=lambda each: each[0])
    least, show = figure(allowed("hold")), partial(show_fine, units=job.units)
    parts = [part for part, _ in cut]
    if holds >= least:
        return parts, []
    needed = figure(made.groove) + (least - holds) / (1 - made.grain.shrinks)
    return parts, [
        RULES["groove-too-shallow"].told(
            "caution",
            f"The panels of frame {frame.label} of the {frame.trim}, cut so that they are never tight, stand "
            f"{show(max(0.0, holds))} in their grooves when they are driest; {show(least)} is the least. Grooves "
            f"{show(needed)} deep would do.",
            where,
            Grounds(
                (*part.grounds.inputs, allowed("hold")),
                part.grounds.formula,
                sources=RULES["groove-too-shallow"].sources,
            ),
            "deepen the groove, make the panels narrower, or dry the timber to the room before they are cut",
            holds=holds,
            groove=needed,
        )
    ]


def _panel(made: Made, frame: Frame, row: int) -> tuple[FramePart, float]:
    """The panels of a row, as large as they never are tight, and how deep they stand in their grooves when driest."""
    grain, groove, framing, ease = made.grain, figure(made.groove), made.framing, allowed("ease")
    low, high = frame.rows[row]
    muntin = framing.muntin if frame.panels > 1 else 0.0
    rails = sum(upper - lower for lower, upper in frame.rails[row : row + 2]) / 2
    wide = panel_size(frame.sight_width, groove, figure(ease), grain.swells, grain.swells, muntin)
    tall = panel_size(high - low, groove, figure(ease), grain.along, grain.swells, rails)
    inputs = (
        Input("shows in width", frame.sight_width, "mm"),
        Input("shows in height", high - low, "mm"),
        made.groove,
        ease,
        Input("swells across, most after delivery", 100 * grain.swells, "%"),
        Input("shrinks across, most after delivery", 100 * grain.shrinks, "%"),
        Input("changes along the grain", 100 * grain.along, "%"),
    )
    part = FramePart(
        frame=frame.label,
        part=_in_row("panel", frame, row + 1),
        count=frame.panels,
        length=tall,
        between=high - low,
        width=wide,
        thickness=framing.panel,
        panel=True,
        grounds=Grounds(
            inputs,
            "what shows and both grooves, less the room at both sides; no more than what is left there when panel and "
            "members are wettest, the panel's own swelling taken off",
            result=f"{wide:.0f} by {tall:.0f} mm",
            sources=(GEOMETRY,),
            uncertainty="the greatest estimate of the trim's movement; panels are taken as of its timber and rings",
        ),
    )
    holds = min(
        least_hold(wide, frame.sight_width, grain.shrinks, grain.shrinks, muntin),
        least_hold(tall, high - low, grain.along, grain.shrinks, rails),
    )
    return part, holds
