"""What is said of trim on the face of other trim: where it ends, steps, hangs free or is apart from it. All mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job
from listel.plugins.setting_out.faces import REACHES, AtCorner, Faces, along_its_wall, step_at_corner
from listel.plugins.setting_out.results import Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.setting_out.whole import WholeRuns
from listel.plugins.site import opening_name, tables

RULES = load_rules(__package__)

CAP = "wainscot-cap"
APART = 2.0
"""A cap farther than this from the top of its panelling is apart from it."""


def told_of_faces(job: Job, sheet: Sheet, laid: WholeRuns) -> Iterator[Finding]:
    """What is to be said of trim on the face of other trim, all heights above the floor that heights are counted
    from."""
    panelled, faces = Lines(laid.panelled), Faces(job, sheet, (*laid.runs, *laid.panelled))
    yield from past_the_end(job, laid.runs, faces)
    yield from steps_at_corners(job, laid.runs, faces)
    yield from nothing_behind(job, laid.runs)
    yield from caps_apart(job, laid.runs, panelled)
    yield from bare_under_windows(job, panelled)
    yield from over_the_sill(job)


def past_the_end(job: Job, runs: Iterable[Run], faces: Faces) -> Iterator[Finding]:
    """Each run that goes on along its wall past the trim on whose face it stands."""
    show = lengths(job)
    for run in runs:
        behind = faces.behind(run) if run.off else []
        for face in behind:
            on = [other for other in behind if other is not face]
            ends = [
                at
                for at in (face.start, face.end)
                if run.start + REACHES < at < run.end - REACHES
                and not any(other.start - REACHES <= at <= other.end + REACHES for other in on)
            ]
            for at in ends:
                yield RULES["past-what-it-stands-on"].told(
                    "caution",
                    f"On wall {run.wall} the {run.trim} goes on past the end of the {face.by} at {show(at)}, on "
                    f"whose face it stands {show(run.off)} off the wall: it is set out in one piece, so far off to its "
                    "end, where it is cut to what meets it, with nothing behind it there.",
                    Where(run.room, run.wall, run.trim, station=at),
                    Grounds((Input("off the wall", run.off, "mm"),), sources=(PRACTICE,)),
                    f"put a ground {show(run.off)} thick behind it from there on, let the {face.by} go on too, or "
                    "return it into itself there",
                )


def steps_at_corners(job: Job, runs: Sequence[Run], faces: Faces) -> Iterator[Finding]:
    """One caution for each all but straight corner at which a trim goes on from the face of other trim to a face that
    stands less far off its wall, told at the wall of the former."""
    for run, at_left in ((run, at_left) for run in runs if along_its_wall(run) for at_left in (True, False)):
        met = faces.met(run, at_left)
        if met and faces.step(run, at_left) > 0:
            yield _steps(job, run, at_left, met)


def _steps(job: Job, run: Run, at_left: bool, met: AtCorner) -> Finding:
    show, step, (_, flat, sources) = lengths(job), step_at_corner(*met.faces), allowed("flat-corner")
    corner = "/".join((met.next_wall, run.wall) if at_left else (run.wall, met.next_wall))
    beyond = f"{show(met.other)} off wall {met.next_wall}" if met.other else f"on wall {met.next_wall} itself"
    return RULES["steps-at-corner"].told(
        "caution",
        f"At corner {corner}, which is all but straight, the {run.trim} steps by {show(step)}: it stands "
        f"{show(met.own)} off wall {run.wall}, on the face of what is behind it, and {beyond}, so its pieces do not "
        f"meet in one face: that on wall {run.wall} is returned into itself there, that on wall {met.next_wall} butts "
        "on the edge of what stands out.",
        Where(run.room, run.wall, run.trim, station=run.start if at_left else run.end),
        Grounds(
            (
                Input("corner through the room", met.faces[0], "deg", job.line(met.corner, "angle")),
                Input(f"off wall {run.wall}", met.own, "mm"),
                Input(f"off wall {met.next_wall}", met.other, "mm"),
                flat,
            ),
            "at an all but straight corner the one less the other",
            f"{met.own:g} - {met.other:g}",
            f"{step:g} mm",
            (GEOMETRY, *sources),
        ),
        f"put a ground {show(step)} thick behind it on wall {met.next_wall}, and mitre the two by a trial in waste; "
        "else cut both ends last, by what is there",
        step=step,
    )


def nothing_behind(job: Job, runs: Iterable[Run]) -> Iterator[Finding]:
    """One caution for each trim and room that stands in front of a board, but on walls where none is listed."""
    bare: dict[tuple[str, str], dict[str, None]] = {}
    for run in runs:
        if tables.stands_before(run.member) and not run.board:
            bare.setdefault((run.room, run.trim), {})[run.wall] = None
    for (room, name), walls in bare.items():
        trim = job.trim_named(name)
        board = tables.member(tables.stands_before(trim.member))["says"]
        many = "walls" if len(walls) > 1 else "wall"
        yield RULES["nothing-behind"].lacking(
            f"the {board} in front of which the {name} stands on {many} {', '.join(walls)} of the {room}",
            "how long its pieces are at corners, where it stops, and what it is fixed into: it is cut to the bare wall "
            "and fixed to that",
            Where(room, trim=name, line=job.line(trim)),
            f"list the {board} of those walls, an old one under existing with its section",
        )


def caps_apart(job: Job, runs: Iterable[Run], panelled: Lines[Run]) -> Iterator[Finding]:
    """One caution for each cap and room that neither lies on its panelling nor is let over its edge."""
    show, told = lengths(job), set[tuple[str, str]]()
    for run in runs:
        for frame in panelled.of(room=run.room, wall=run.wall) if run.member == CAP else ():
            if run.top is None or run.underside is None or frame.top is None or (run.room, run.trim) in told:
                continue
            over, under = run.underside - frame.top, frame.top - run.top
            apart = max(over, under)
            if apart > APART and frame.start < run.end and frame.end > run.start:
                told.add((run.room, run.trim))
                yield RULES["cap-apart"].told(
                    "caution",
                    f"The {run.trim} in the {run.room} stands {show(apart)} {'over' if over > under else 'under'} the "
                    f"top of the {frame.trim}.",
                    Where(run.room, run.wall, run.trim, line=job.line(job.trim_named(run.trim), "top")),
                    Grounds(
                        (
                            Input("underside of the cap above the floor", run.underside, "mm"),
                            Input("top of the cap above the floor", run.top, "mm"),
                            Input("top of the panelling above the floor", frame.top, "mm"),
                        ),
                        "a cap lies on the panelling, or is let over its edge",
                        sources=(GEOMETRY,),
                    ),
                    "give the cap's top as that of the panelling and its own height, or leave its top out",
                    apart=apart,
                )


def bare_under_windows(job: Job, panelled: Lines[Run]) -> Iterator[Finding]:
    """One finding for each window over a sill lower than the panelling beside it: the wall under it stays bare."""
    show = lengths(job)
    for room in job.rooms:
        for wall in room.walls:
            beside = panelled.of(room=room.name, wall=wall.name)
            highest = max((frame.top for frame in beside if frame.top is not None), default=0.0)
            for opening in wall.openings:
                sill = opening.sill or 0.0
                there = any(frame.start < opening.end and frame.end > opening.at for frame in beside)
                if opening.kind == "window" and 0.0 < sill < highest and not there:
                    yield RULES["bare-under-window"].told(
                        "advice",
                        f"Under the {opening_name(job, opening)} on wall {wall.name} the wall stays bare, {show(sill)} "
                        f"high: the {beside[0].trim} beside it stops there.",
                        Where(room.name, wall.name, beside[0].trim, station=opening.at, line=job.line(opening)),
                        Grounds((Input("sill", sill, "mm"), Input("top of the panelling", highest, "mm"))),
                        "where a window back is wanted, list it as a wainscot of its own, from and to the sides of the "
                        "window, its top under the sill",
                    )


def over_the_sill(job: Job) -> Iterator[Finding]:
    """Each panelling that is to stand within the sides of a window and higher than its sill: none is set out there."""
    show = lengths(job)
    for trim in (trim for trim in job.trim if tables.goes_in_frames(trim.member)):
        for room, wall, start, end in job.places(trim):
            top, line = job.top_asked(trim, room.name)
            for opening in wall.openings:
                within = end is not None and opening.at <= start and end <= opening.end
                if opening.kind != "window" or not within or top is None or top <= (opening.sill or 0.0):
                    continue
                over = top - (opening.sill or 0.0)
                yield RULES["over-the-sill"].told(
                    "hold",
                    f"The {trim.name} would stand {show(over)} over the sill of the {opening_name(job, opening)} on "
                    f"wall {wall.name}: none is set out, made or counted there.",
                    Where(room.name, wall.name, trim.name, station=opening.at, line=line),
                    Grounds(
                        (
                            Input("its top", top, "mm", line),
                            Input("sill", opening.sill or 0.0, "mm", job.line(opening, "sill")),
                        ),
                        "its top less the sill",
                        sources=(GEOMETRY,),
                    ),
                    "measure the sill again from the floor, and give the panelling a top no higher",
                    over=over,
                )
