"""What goes to windows: boards and aprons, which run level under the architrave; shutters, only placed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Opening, Room, Trim, Wall
from listel.plugins.setting_out.obstacles import Obstacle, architrave_on, obstacles, uncovered
from listel.plugins.setting_out.results import Blocked, Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.site import Site, opening_name

RULES = load_rules(__package__)


def under_windows(
    job: Job, site: Site, trim: Trim, room: Room, wall: Wall, start: float, end: float | None
) -> Iterator[Run | Blocked | Finding]:
    """The runs of a window board or an apron at each window of a wall between two stations. Fittings that stay on the
    wall stop an apron as they do a skirting; a board passes over them."""
    there = [] if trim.member == "window-board" else obstacles(job, site, trim, room, wall)[0]
    stay = [each for each in there if each.kind == "fitting" and each.way == "stop"]
    for opening in _windows(wall, start, end):
        outer, ours = architrave_on(job, room, wall, opening)
        name = opening_name(job, opening)
        lacks = "sill" if opening.sill is None else "" if outer or opening.architrave == 0 else "architrave"
        if lacks or (ours is not None and ours.section.height is None):
            yield RULES["window-size"].lacking(
                f"{lacks or 'width of the architrave'} of the {name}",
                f"the length and the place of its {trim.name}; none is set out there",
                Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening)),
            )
            continue
        run = _run(job, trim, room, wall, opening, outer)
        yield from _beside(run, [each for each in stay if _crosses(each, run)])
        if trim.member == "window-board" and run.wide is None:
            yield RULES["window-board-width"].lacking(
                f"depth of the reveal of the {name}, or how far the {trim.name} stands out from the wall",
                "how wide the board is, from the frame to its nosing; it is given by its length alone",
                Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(opening)),
                "measure from the frame, or the bottom of its groove, to the face of the plaster, at both ends; give "
                "the most as its reveal, and the board's projection",
            )
        yield from _far_out(
            job, trim, run, Where(room.name, wall.name, trim.name, station=opening.at, line=job.line(trim))
        )


def _crosses(thing: Obstacle, run: Run) -> bool:
    """Whether a thing stands in the height and the length of a run."""
    across = run.underside is not None and run.top is not None and thing.low < run.top and run.underside < thing.high
    return across and thing.start < run.end and run.start < thing.end


def _beside(run: Run, things: list[Obstacle]) -> Iterator[Run | Blocked]:
    """What there is of a run beside things that stop it, and what it does not take."""
    at, bound = run.start, run.start_at
    for thing in uncovered(things):
        if thing.start > at:
            yield replace(run, start=at, end=thing.start, start_at=bound, end_at=thing.bound)
        blocked = max(run.start, thing.start), min(run.end, thing.end)
        yield Blocked(room=run.room, wall=run.wall, trim=run.trim, start=blocked[0], end=blocked[1], by=thing.by)
        at, bound = thing.end, thing.bound
    if at < run.end:
        yield replace(run, start=at, start_at=bound)


def at_windows(job: Job, trim: Trim, room: Room, wall: Wall, start: float, end: float | None) -> Iterator[Run]:
    """What is counted by the window, at each of a wall between two stations."""
    for opening in _windows(wall, start, end):
        yield Run(
            room=room.name,
            wall=wall.name,
            trim=trim.name,
            member=trim.member,
            start=opening.at,
            end=opening.end,
            underside=opening.sill,
            top=None if opening.sill is None or opening.height is None else opening.sill + opening.height,
            start_at="opening",
            end_at="opening",
            opening=opening_name(job, opening),
        )


def _windows(wall: Wall, start: float, end: float | None) -> Iterator[Opening]:
    for opening in wall.openings:
        if opening.kind == "window" and start <= opening.at and (end is None or opening.end <= end):
            yield opening


def _far_out(job: Job, trim: Trim, run: Run, where: Where) -> Iterator[Finding]:
    """A board that stands out so far that its whole width may be meant."""
    out, (most, shown, sources) = trim.section.projection, allowed("board-out")
    if trim.member == "window-board" and run.wide is not None and out is not None and out > most:
        show = lengths(job)
        yield RULES["window-board-out"].told(
            "caution",
            f"The {trim.name} is given to stand out {show(out)} from the plaster, which makes it {show(run.wide)} wide "
            f"at the {run.opening}, reveal and all.",
            where,
            Grounds(
                (Input("out from the wall", out, "mm", job.line(trim.section, "projection")), shown), sources=sources
            ),
            "give as its projection what it stands out from the plaster; the reveal is added to that",
            out=out,
            wide=run.wide,
        )


def _horn(job: Job, trim: Trim) -> tuple[float, Input]:
    """How far a window board goes past the architraves [mm]: as surveyed, else the usual."""
    if trim.horn is not None:
        return trim.horn, Input("horn, each side", trim.horn, "mm", job.line(trim, "horn"))
    usual, shown, _ = allowed("horn")
    return usual, shown


def _run(job: Job, trim: Trim, room: Room, wall: Wall, opening: Opening, outer: float) -> Run:
    """A window board goes past the architraves by a horn at each side; an apron ends under their outer edges, below the
    board."""
    sill, inputs = opening.sill or 0.0, [Input("clear width", opening.width, "mm", job.line(opening, "width"))]
    inputs.append(Input("architrave with its margin, each side", outer, "mm"))
    reach, top, ends, wide = outer, sill, "return", None
    if trim.member == "window-board":
        horn, shown = _horn(job, trim)
        reach, ends = outer + horn, "horn"
        inputs.append(shown)
        if opening.reveal is not None and trim.section.projection is not None:
            wide = opening.reveal + trim.section.projection
            inputs.append(Input("reveal", opening.reveal, "mm", job.line(opening, "reveal")))
            inputs.append(
                Input("out from the wall", trim.section.projection, "mm", job.line(trim.section, "projection"))
            )
    else:
        board = next((one.section.height for one in job.trims_in(room.name) if one.member == "window-board"), None)
        top -= board or 0.0
        inputs.append(Input("thickness of the window board", board or 0.0, "mm", assumed=board is None))
    length = opening.width + 2 * reach
    grounds = Grounds(
        tuple(inputs),
        "clear width and what stands at both sides",
        f"{opening.width:g} + 2 x {reach:g} = {length:g}",
        f"{length:g} mm",
        (GEOMETRY,),
    )
    return Run(
        room=room.name,
        wall=wall.name,
        trim=trim.name,
        member=trim.member,
        start=opening.at - reach,
        end=opening.end + reach,
        underside=None if trim.section.height is None else top - trim.section.height,
        top=top,
        start_at=ends,
        end_at=ends,
        opening=opening_name(job, opening),
        wide=wide,
        grounds=grounds,
    )
