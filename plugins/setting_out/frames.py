"""Closed frames of panel mould: four pieces each, mitred in the plane of the wall, and the marks they are hung to."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, tan

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Opening, Room, Trim, Wall
from listel.plugins.proportions import PanelFrame, Proportions
from listel.plugins.setting_out.member_lines import Stretch, stretches
from listel.plugins.setting_out.obstacles import architrave_on
from listel.plugins.setting_out.results import Mark, PieceEnd, Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.site import RoomSite, Site, opening_name

RULES = load_rules(__package__)

CORNERS = ("foot-left", "foot-right", "head-left", "head-right")
"""The corners of a frame, at which its pieces end."""
SLACK = 0.5
"""Edges this close [mm] count as one."""


@dataclass(frozen=True, kw_only=True)
class Framed:
    """A frame as it stands: its outer edges plumb above the floor at its left and right edge [mm]; ``pitch`` of its
    foot and head, rising to the right [deg]."""

    panel: PanelFrame
    low: tuple[float, float]
    high: tuple[float, float]
    pitch: float = 0.0


def frame_runs(job: Job, sheet: Sheet, trim: Trim, room: Room, wall: Wall) -> Iterator[Run | Finding]:
    """The four runs of every frame of a trim on a wall, and what is to be said of it."""
    proportions = sheet.get(Proportions)
    panels = proportions.panels_on(room.name, wall.name, trim.name) if proportions else []
    if not panels:
        return
    end = wall.length.value if wall.length else max(panel.end for panel in panels)
    parts, missing = stretches(job, sheet, trim, room, wall, 0.0, end)
    yield from missing
    for panel in panels:
        if panel.underside is None or panel.top is None:
            continue
        where = Where(room.name, wall.name, trim.name, station=panel.start, line=job.line(wall))
        frame = _standing(panel, parts, sheet[Site].rooms[room.name])
        if frame is None:
            yield _over_a_knee(job, panel, where)
            continue
        yield from _in_the_way(job, room, wall, frame, where)
        yield from _on_fittings(job, trim, wall, frame, where)
        yield from _four(job, trim, frame)


def _standing(panel: PanelFrame, parts: list[Stretch], site: RoomSite) -> Framed | None:
    """A frame on the stretch it lies on: level over a floor that need not be, or raking; None where it lies on none
    whole."""
    part = next((one for one in parts if one.start - SLACK <= panel.start and panel.end <= one.end + SLACK), None)
    if part is None or (part.pitch and (part.top is None or part.local is None)):
        return None
    if part.pitch:
        base = (part.top or 0.0) - (part.local or 0.0)
        left, right = (base + (at - part.start) * tan(radians(part.pitch)) for at in (panel.start, panel.end))
    else:
        left, right = (_fallen(site, panel.wall, at) for at in (panel.start, panel.end))
    low, high = panel.underside or 0.0, panel.top or 0.0
    return Framed(panel=panel, low=(left + low, right + low), high=(left + high, right + high), pitch=part.pitch)


def _fallen(site: RoomSite, wall: str, station: float) -> float:
    """How far the floor at a station lies under the one heights are counted from [mm]; 0 where nothing tells."""
    floor = site.walls[wall].floor(station)
    return 0.0 if floor is None or site.room.reference is None else floor - site.room.reference


def _four(job: Job, trim: Trim, frame: Framed) -> Iterator[Run]:
    """Foot, head, left and right upright, each to the long points of its mitres."""
    panel, width = frame.panel, trim.section.height or 0.0
    plumb, whole = width / cos(radians(frame.pitch)), (panel.start, panel.end)
    left, right = (panel.start, panel.start + width), (panel.end - width, panel.end)
    for side, span, (underside, top), (start_at, end_at) in (
        ("foot", whole, (frame.low[0], frame.low[0] + plumb), ("foot-left", "foot-right")),
        ("head", whole, (frame.high[0] - plumb, frame.high[0]), ("head-left", "head-right")),
        ("left upright", left, (frame.low[0], frame.high[0]), ("foot-left", "head-left")),
        ("right upright", right, (frame.low[1], frame.high[1]), ("foot-right", "head-right")),
    ):
        yield Run(
            room=panel.room,
            wall=panel.wall,
            trim=panel.trim,
            member=trim.member,
            start=span[0],
            end=span[1],
            underside=underside,
            top=top,
            pitch=frame.pitch,
            upright=span is not whole,
            start_at=start_at,
            end_at=end_at,
            side=f"panel {panel.number}, {side}",
            grounds=_grounds(job, trim, frame),
        )


def _grounds(job: Job, trim: Trim, frame: Framed) -> Grounds:
    panel = frame.panel
    inputs = (
        Input("left edge", panel.start, "mm", assumed=panel.proposed),
        Input("right edge", panel.end, "mm", assumed=panel.proposed),
        Input("underside", panel.underside or 0.0, "mm", assumed=panel.proposed),
        Input("top", panel.top or 0.0, "mm", assumed=panel.proposed),
        Input("width of the moulding", trim.section.height or "not surveyed", "mm", job.line(trim.section, "height")),
        *((Input("pitch", frame.pitch, "deg"),) if frame.pitch else ()),
    )
    formula = "outer edges, long point to long point" + ("; foot and head along the rake" if frame.pitch else "")
    return Grounds(inputs, formula, sources=(GEOMETRY,))


def frame_end(corner: str, pitch: float) -> PieceEnd:
    """The end of a piece at a corner of a frame: half of the frame's angle there, 90 degrees, or 90 less or more the
    pitch.

    From square 45 + pitch / 2 at an acute corner, 45 - pitch / 2 at an obtuse one. Source: plane geometry, derived.
    """
    acute = (corner in ("foot-left", "head-right")) == (pitch > 0)
    saw = 45.0 + (abs(pitch) / 2 if acute else -abs(pitch) / 2)
    at = f", at a corner of {2 * (90.0 - saw):.1f} degrees" if pitch else ""
    return PieceEnd(
        kind="frame-mitre", cut_angle=90.0 - saw, saw_reading=saw, note=f"mitred in the plane of the wall{at}"
    )


def inner_edge(run: Run, width: float) -> float:
    """The inner edge of a piece of a frame between its mitres [mm]: the outer less the width over the tangent of half
    of the frame's angle at each end. Source: plane geometry, derived."""
    ends = (frame_end(corner, run.pitch) for corner in (run.start_at, run.end_at))
    return run.length - sum(width / tan(radians(end.cut_angle or 45.0)) for end in ends)


def _in_the_way(job: Job, room: Room, wall: Wall, frame: Framed, where: Where) -> Iterator[Finding]:
    """The openings, with their architraves, that a frame lies over."""
    for opening in wall.openings:
        outer = architrave_on(job, room, wall, opening)[0]
        if _apart(frame, opening.at - outer, opening.end + outer, *_band(opening, outer)):
            continue
        yield RULES["panel-over-opening"].told(
            "hold",
            f"Panel {frame.panel.number} on wall {wall.name} lies over the {opening_name(job, opening)} or its "
            "architrave.",
            where,
            Grounds(
                (
                    Input("left edge", frame.panel.start, "mm"),
                    Input("right edge", frame.panel.end, "mm"),
                    Input("opening from", opening.at - outer, "mm"),
                    Input("opening to", opening.end + outer, "mm"),
                ),
                sources=(GEOMETRY,),
            ),
            "measure the panel and the opening again, or set the panel out beside it",
        )


def _band(opening: Opening, outer: float) -> tuple[float, float]:
    low = (opening.sill or 0.0) - (opening.apron or 0.0)
    return low, (opening.sill or 0.0) + opening.height + outer if opening.height is not None else float("inf")


def _apart(frame: Framed, left: float, right: float, low: float, high: float) -> bool:
    panel = frame.panel
    beside = panel.end <= left + SLACK or panel.start >= right - SLACK
    return beside or max(frame.high) <= low + SLACK or min(frame.low) >= high - SLACK


def _on_fittings(job: Job, trim: Trim, wall: Wall, frame: Framed, where: Where) -> Iterator[Finding]:
    """The fittings of known height that a moulding of the frame crosses, or comes too near to."""
    clear, shown, sources = allowed("panel-clear")
    panel, width, show = frame.panel, trim.section.height or 0.0, lengths(job)
    for fitting in wall.fittings:
        if fitting.height is None or fitting.taken_off:
            continue
        box = (fitting.at, fitting.at + (fitting.width or 0.0), fitting.height, fitting.height + (fitting.depth or 0.0))
        wide = (box[0] - clear, box[1] + clear, box[2] - clear, box[3] + clear)
        inside = (
            panel.start + width <= wide[0]
            and wide[1] <= panel.end - width
            and max(frame.low) + width <= wide[2]
            and wide[3] <= min(frame.high) - width
        )
        if inside or _apart(frame, *wide):
            continue
        yield RULES["panel-at-fitting"].told(
            "caution",
            f"The moulding of panel {panel.number} on wall {wall.name} comes within {show(clear)} of the "
            f"{fitting.name or fitting.kind.replace('-', ' ')} at {show(fitting.at)}.",
            where,
            Grounds((Input("fitting from", box[0], "mm"), Input("fitting to", box[1], "mm"), shown), sources=sources),
            "move the panel's edge so that the fitting stands clear inside it or wholly between two panels, or have "
            "the fitting moved",
        )


def _over_a_knee(job: Job, panel: PanelFrame, where: Where) -> Finding:
    show = lengths(job)
    return RULES["panel-over-knee"].told(
        "hold",
        f"Panel {panel.number} on wall {panel.wall}, {show(panel.start)} to {show(panel.end)}, lies partly on the rake "
        "of the stair and partly off it, or where the rake is not known: none is set out there.",
        where,
        Grounds((Input("left edge", panel.start, "mm"), Input("right edge", panel.end, "mm")), sources=(GEOMETRY,)),
        "end it at the knee of the rail, and begin another beyond it",
    )


def frame_marks(site: RoomSite, run: Run) -> list[Mark]:
    """Where the outer edge of the foot or head of a level frame is struck at both its ends, above the floor there and
    from the datum; none for the uprights, nor on a rake, where heights count from the nosings."""
    if run.upright or run.pitch or run.top is None or run.underside is None:
        return []
    foot = run.start_at == "foot-left"
    height = (run.underside if foot else run.top) - _fallen(site, run.wall, run.start)
    floors, reference = site.walls[run.wall].floors, site.room.reference
    return [
        Mark(
            room=run.room,
            wall=run.wall,
            station=station,
            trim=run.trim,
            edge="foot" if foot else "head",
            above_floor=height + _fallen(site, run.wall, station),
            from_datum=None if reference is None else height - reference,
            read=floors.read_at(station),
            grounds=run.grounds,
        )
        for station in (run.start, run.end)
    ]
