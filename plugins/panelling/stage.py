"""The stage: a frame for each stretch of wall that panelling takes, and what it is made of; the leaves of shutters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import count as count_from
from itertools import pairwise

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Corner, Job, Room, Trim
from listel.core.survey.units import show_length
from listel.plugins.panelling.frames import (
    Edge,
    Grain,
    into_the_corner,
    mitred,
    shared_out,
    to_old,
    tongued,
)
from listel.plugins.panelling.parts import Made, members_of, panels_of
from listel.plugins.panelling.results import Frame, FramePart, Panelling, Shutters
from listel.plugins.panelling.settings import allowed, figure
from listel.plugins.panelling.shutters import boxings
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import corner_pairs, tables
from listel.plugins.timber import Movement

RULES = load_rules(__package__)

ALONG = 3000.0
"""The length whose change along the grain ``timber`` tells [mm]."""


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings and the :class:`Panelling` of a job."""
    made: list[object] = []
    for thing in (*_frames(job, sheet), *boxings(job, sheet[SettingOut])):
        if isinstance(thing, Finding):
            yield thing
        else:
            made.append(thing)
    frames = tuple(each for each in made if isinstance(each, Frame))
    yield Panelling(
        frames=frames,
        parts=tuple(each for each in made if isinstance(each, FramePart)),
        shutters=tuple(each for each in made if isinstance(each, Shutters)),
    )


def _frames(job: Job, sheet: Sheet) -> Iterator[object]:
    """The frames of every panelling, numbered through the job, with their parts and what is said of them."""
    number = count_from(1)
    for trim in job.trim:
        mine = sheet[SettingOut].laid.of(trim=trim.name) if tables.goes_in_frames(trim.member) else ()
        made = _made(job, trim, sheet[Movement]) if mine else None
        if made is not None and all(run.top is not None for run in mine):
            yield from _tenons_too_long(job, made)
            yield from _panel_too_thick(job, made)
            for run in mine:
                yield from _frame(job, made, run, mine, number)
        elif mine:
            yield RULES["framing-not-surveyed"].lacking(
                f"top, section or framing of the {trim.name}",
                "every stile, rail, muntin and panel of it; none is set out",
                Where(trim=trim.name, line=job.line(trim)),
                "give its top, its section (the stiles' width as height, the thickness as projection) and its framing",
            )


def _made(job: Job, trim: Trim, movement: Movement) -> Made | None:
    framing, stile, thick = trim.framing, trim.section.height, trim.section.thick
    if framing is None or stile is None or thick is None:
        return None
    line = next(line for line in movement.lines if line.trim == trim.name)
    groove, tenon = (
        allowed(name) if given is None else Input(name, given, "mm", job.line(framing, name))
        for name, given in (("groove", framing.groove), ("tenon", framing.tenon))
    )
    grain = Grain(swells=line.swells or 0.0, shrinks=line.shrinks or 0.0, along=(line.along or 0.0) / ALONG)
    return Made(trim=trim, framing=framing, stile=stile, thick=thick, groove=groove, tenon=tenon, grain=grain)


def _frame(job: Job, made: Made, run: Run, runs: Sequence[Run], number: Iterator[int]) -> Iterator[object]:
    """One frame: its edges by what stands there, its panels shared out evenly, its parts."""
    show, framing = partial(show_length, units=job.units), made.framing
    where = Where(run.room, run.wall, run.trim, station=run.start, line=job.line(framing))
    edges: list[Edge] = []
    for end, at_start in (("left", True), ("right", False)):
        edge = _edge(job, made, run, runs, at_start)
        if edge is None:
            yield RULES["corner-not-surveyed"].lacking(
                f"angle of the corner at the {end} end of wall {run.wall}",
                f"how wide the stile of the {run.trim} there is, and its bevel; it is set out, and trim on its face "
                "with it, as if it were square",
                where,
            )
        edges.append(edge or _edge(job, made, run, runs, at_start, 90.0) or Edge())
    left, right = edges
    start, end_at, height = run.start - left.past, run.end + right.past, (run.top or 0.0) - (run.underside or 0.0)
    stiles = (made.stile + left.wider, made.stile + right.wider)
    between = end_at - start - sum(stiles)
    panels, wide = shared_out(between, framing.muntin, framing.panels)
    rails, least = framing.rails(height), allowed("least-panel")
    high = min(upper - lower for (_, lower), (upper, _) in pairwise(rails))
    if min(wide, high) < figure(least):
        left_over = max(0.0, min(wide, high))
        yield RULES["no-panel"].told(
            "caution",
            f"On wall {run.wall}, from {show(run.start)} to {show(run.end)}, {show(left_over)} would be left for a "
            f"panel of the {run.trim} between its {'stiles' if wide < high else 'rails'}: none is framed there.",
            where,
            Grounds((Input("between stiles", wide, "mm"), Input("between rails", high, "mm"), least)),
            "put a plain board there, or frame it with narrower members",
            left=left_over,
        )
        return
    grounds = Grounds(
        (
            Input("stretch of wall", run.end - run.start, "mm"),
            Input("its face past the left end of that", left.past, "mm"),
            Input("its face past the right end of that", right.past, "mm"),
            Input("left stile", stiles[0], "mm"),
            Input("right stile", stiles[1], "mm"),
            Input("muntin", framing.muntin, "mm", job.line(framing, "muntin")),
            Input("the most that a panel shows", framing.panels, "mm", job.line(framing, "panels")),
        ),
        "what is left between the stiles, less the muntins, shared out evenly",
        f"({between:g} - {panels - 1} x {framing.muntin:g}) / {panels} = {wide:g}",
        f"{wide:.1f} mm",
        (GEOMETRY,),
    )
    frame = Frame(
        label=str(next(number)),
        room=run.room,
        wall=run.wall,
        trim=run.trim,
        start=start,
        end=end_at,
        height=height,
        panels=panels,
        sight_width=wide,
        rails=rails,
        left=left.note,
        right=right.note,
        grounds=grounds,
    )
    yield frame
    cut, says = panels_of(job, made, frame, where)
    yield from says
    yield from members_of(made, frame, stiles, between)
    yield from cut
    number_of = "1 panel that shows" if panels == 1 else f"{panels} panels that show"
    rows = [
        f"{number_of} {show(wide)} by {show(each.between)}, cut {show(each.width)} by {show(each.length)}"
        for each in cut
    ]
    yield RULES["frame"].told(
        "record",
        f"Frame {frame.label} of the {run.trim} is {show(end_at - start)} wide at its face, {show(height)} high; left "
        f"edge {left.note}, right edge {right.note}; {'row by row from the foot ' if len(rows) > 1 else ''}"
        f"{'; '.join(rows)}. Set it level, packed up from the floor at its highest, its foot behind the skirting.",
        where,
        grounds,
        width=end_at - start,
        panel=cut[0].width,
    )


def _panel_too_thick(job: Job, made: Made) -> Iterator[Finding]:
    """A panel that stands out of its frame."""
    panel, show = made.framing.panel, partial(show_length, units=job.units)
    if panel is not None and panel > made.thick:
        yield RULES["panel-too-thick"].told(
            "caution",
            f"The panels of the {made.trim.name} are {show(panel)} thick, and its frame is {show(made.thick)}.",
            Where(trim=made.trim.name, line=job.line(made.framing, "panel")),
            Grounds((Input("panel", panel, "mm"), Input("frame", made.thick, "mm"))),
            "take thinner panels, or a thicker frame",
            panel=panel,
            frame=made.thick,
        )


def _tenons_too_long(job: Job, made: Made) -> Iterator[Finding]:
    """Tenons that would come out on the far side of what they go into, or meet those from there."""
    show, tenon, framing = partial(show_length, units=job.units), figure(made.tenon), made.framing
    members = [
        (width, f"into members {show(width)} wide") for width in (made.stile, framing.top_rail, framing.bottom_rail)
    ]
    members += [
        (rail.width / 2, f"from both sides into a middle rail {show(rail.width)} wide") for rail in framing.middle_rails
    ]
    room, into = min(members)
    if tenon > room:
        yield RULES["tenon-too-long"].told(
            "caution",
            f"The tenons of the {made.trim.name} are {show(tenon)} long and go {into}.",
            Where(trim=made.trim.name, line=job.line(framing, "tenon")),
            Grounds((made.tenon, Input("least room for a tenon", room, "mm"))),
            "shorten them to what the member leaves",
            tenon=tenon,
            width=room,
        )


def _edge(
    job: Job, made: Made, run: Run, runs: Sequence[Run], at_start: bool, taken: float | None = None
) -> Edge | None:
    """How an edge meets the corner there, of an angle not surveyed as if it were the one ``taken``; None where neither
    is known."""
    ends_at, out = (run.start_at, run.left_old) if at_start else (run.end_at, run.right_old)
    if ends_at not in ("corner", "old-corner"):
        return Edge()
    corner, other = _corner(job.room(run.room), run, at_start)
    if corner is None:
        return Edge()
    there = [each.end_at if at_start else each.start_at for each in runs if (each.room, each.wall) == (run.room, other)]
    old = ends_at == "old-corner"
    meets = old or "corner" in (there[-1:] if at_start else there[:1])
    angle = taken if corner.angle is None else corner.angle
    if corner.kind == "external" and not meets:
        return Edge(note="square, its edge seen")
    if angle is None:
        return None
    if corner.kind == "external":
        return mitred(angle, made.thick)
    if old:
        return to_old(angle, made.thick, out or 0.0)
    if at_start and meets:
        return tongued(angle, made.thick, figure(made.groove))
    return into_the_corner(angle, made.thick, meets)


def _corner(room: Room, run: Run, at_start: bool) -> tuple[Corner | None, str]:
    """The corner at an end of a run's wall, and the wall beyond it."""
    for first, second in corner_pairs(room):
        if run.wall == (second if at_start else first).name:
            return first.corner, (first if at_start else second).name
    wall = room.wall(run.wall)
    return (None if at_start else wall.corner), ""
