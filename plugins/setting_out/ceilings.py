"""What bounds the members: the level line held against the floor it was struck over, and members that would run into
the ceiling, a cornice, the floor or past a corner. All mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Room, Trim
from listel.plugins.setting_out.obstacles import made_for
from listel.plugins.setting_out.results import FLOOR_THERE, Mark, Run
from listel.plugins.setting_out.settings import allowed, lengths
from listel.plugins.site import RoomSite, Site, opening_name, tables

RULES = load_rules(__package__)

SLACK = 2.0
"""A member that comes this close [mm] to the ceiling counts as fitting under it."""


def datum_faults(job: Job, site: Site) -> Iterator[Finding]:
    """A hold for each room whose level line cannot have been struck at its height over the floor that was read."""
    most, shown, sources = allowed("datum-off")
    show = lengths(job)
    for room in job.rooms:
        readings = site.rooms[room.name].floor_readings
        if room.datum is None or not readings:
            continue
        low, high = min(readings), max(readings)
        off = max(low - room.datum, room.datum - high)
        if off <= most:
            continue
        where = Where(room.name, line=job.line(room, "datum"))
        tapes = show(low) if high - low < 0.5 else f"{show(low)} to {show(high)}"
        grounds = Grounds(
            (
                Input("height of the level line above the floor where it was struck", room.datum, "mm", where.line),
                Input("least tape from the floor to it", low, "mm"),
                Input("greatest tape from the floor to it", high, "mm"),
                shown,
            ),
            "where the line was struck, the tape from the floor to it is its height",
            f"off by {off:.0f}",
            sources=(GEOMETRY, *sources),
        )
        yield RULES["datum-against-floor"].told(
            "hold",
            f"The level line of the {room.name} is said to stand {show(room.datum)} above the floor, but the tapes "
            f"from the floor to it read {tapes}. Which is right? Heights are counted from the line as given.",
            where,
            grounds,
            "correct the height of the level line, or the tapes",
        )


def openings_over(job: Job, site: Site) -> Iterator[Finding]:
    """A hold for each opening whose head would stand over the ceiling."""
    show = lengths(job)
    for room in job.rooms:
        for wall in room.walls:
            for opening in wall.openings:
                ceiling = site.wall(room.name, wall.name).height(opening.at)
                if opening.height is None or ceiling is None:
                    continue
                sill, height = opening.sill or 0.0, opening.height
                if sill + height <= ceiling + SLACK:
                    continue
                grounds = Grounds(
                    (
                        Input("sill", sill, "mm", job.line(opening, "sill")),
                        Input("height of the opening", height, "mm", job.line(opening, "height")),
                        Input("ceiling above the floor there", ceiling, "mm"),
                    ),
                    "the sill and the height over it, less the ceiling",
                    f"{sill:g} + {height:g} - {ceiling:.0f} = {sill + height - ceiling:.0f}",
                    sources=(GEOMETRY,),
                )
                yield RULES["opening-over-the-ceiling"].told(
                    "hold",
                    f"The head of the {opening_name(job, opening)} on wall {wall.name} of the {room.name} would stand "
                    f"{show(sill + height)} above the floor, and the ceiling there is at {show(ceiling)}.",
                    Where(room.name, wall.name, station=opening.at, line=job.line(opening)),
                    grounds,
                    "measure its sill, its height and the ceiling again",
                )


def architraves_out(job: Job, site: Site) -> Iterator[Finding]:
    """A caution for each opening whose architrave, as surveyed, would stand through the ceiling or past a corner."""
    show = lengths(job)
    for room in job.rooms:
        for wall in room.walls:
            for opening in wall.openings:
                stays = made_for(job, "architrave", room, wall, opening) is None
                wide, ceiling = (opening.architrave or 0.0) * stays, site.wall(room.name, wall.name).height(opening.at)
                length = wall.length.value if wall.length else None
                out = {
                    "over the ceiling": (opening.sill or 0.0) + opening.height + wide - ceiling
                    if opening.height is not None and ceiling is not None
                    else 0.0,
                    "past the left corner": wide - opening.at,
                    "past the right corner": opening.end + wide - length if length is not None else 0.0,
                }
                for where, past in out.items():
                    if wide and past > SLACK:
                        yield RULES["architrave-out-of-the-room"].told(
                            "caution",
                            f"The architrave of the {opening_name(job, opening)} on wall {wall.name}, {show(wide)} "
                            f"wide, would stand {show(past)} {where}.",
                            Where(room.name, wall.name, station=opening.at, line=job.line(opening)),
                            Grounds(
                                (Input("architrave", wide, "mm", job.line(opening, "architrave")),),
                                "the opening with its architrave, less the wall",
                                sources=(GEOMETRY,),
                            ),
                            "measure the opening, its architrave and the wall there again",
                            past=past,
                        )


def members_over(job: Job, site: Site, runs: Lines[Run], marks: Lines[Mark]) -> Iterator[Finding]:
    """One finding for each trim and room that would run into the ceiling or the cornice: a hold, but a caution for an
    architrave that the cornice meets."""
    for room in job.rooms:
        depth = _cornice(job, room)
        for trim in job.trim:
            here = [run for run in runs.of(room=room.name, trim=trim.name) if run.top is not None]
            if tables.member(trim.member).get("top") == "ceiling" or not here:
                continue
            worst: tuple[float, str, float, float, float] | None = None
            for wall, station, top in _tops(here, marks.of(room=room.name, trim=trim.name)):
                ceiling = site.wall(room.name, wall).height(station)
                if ceiling is not None and (worst is None or top - ceiling + depth > worst[0]):
                    worst = (top - ceiling + depth, wall, station, top, ceiling)
            if worst is not None and worst[0] > SLACK:
                yield _over(job, room, trim.name, trim.member, depth, worst)


def members_under(job: Job, runs: Sequence[Run], marks: Sequence[Mark]) -> Iterator[Finding]:
    """One hold for each rail and room whose line would run into the floor, or the stairs, where that rises."""
    low: dict[tuple[str, str], Mark] = {}
    starts = [
        Mark(
            room=run.room, wall=run.wall, station=run.start, trim=run.trim, edge="underside", above_floor=run.underside
        )
        for run in runs
        if run.underside is not None and not run.upright and not run.pitch
    ]
    for mark in (*(mark for mark in marks if mark.edge == "underside"), *starts):
        key = (mark.room, mark.trim)
        low[key] = min(low.get(key, mark), mark, key=lambda each: each.above_floor)
    show = lengths(job)
    for mark in low.values():
        if mark.above_floor < -SLACK:
            under = Input("underside of the member above the floor there", mark.above_floor, "mm")
            yield RULES["into-the-floor"].told(
                "hold",
                f"The {mark.trim} in the {mark.room} would run {show(-mark.above_floor)} below {mark.over}, "
                f"{show(mark.station)} along wall {mark.wall}.",
                Where(mark.room, mark.wall, mark.trim, station=mark.station, line=job.line(job.room(mark.room))),
                Grounds((under,), "the line of the member, less the floor there", sources=(GEOMETRY,)),
                "look again at the height given and at the floor readings, or let the rail follow the floor",
            )


def past_corners(job: Job, runs: Sequence[Run]) -> Iterator[Finding]:
    """One caution for each architrave, block, window board or apron that needs more wall than is beside its opening."""
    show = lengths(job)
    for run in runs:
        wall = job.room(run.room).wall(run.wall)
        under = tables.goes_under_windows(run.member)
        if not run.opening or not (run.upright or under):
            continue
        end = wall.length.value if wall.length else run.end
        past = max(-run.start, run.end - end)
        if past > SLACK:
            inputs = [Input("from station", run.start, "mm"), Input("to station", run.end, "mm")]
            if wall.length:
                inputs.append(Input("length of the wall", end, "mm", job.line(wall, "length")))
            yield RULES["past-the-corner"].told(
                "caution",
                f"The {run.trim} of the {run.opening} on wall {run.wall} needs more wall than is beside it: it would "
                f"stand {show(past)} past the corner.",
                Where(run.room, run.wall, run.trim, station=max(0.0, run.start), line=job.line(wall)),
                Grounds(tuple(inputs), "its outer edge, less the end of the wall", sources=(GEOMETRY,)),
                "measure the wall beside the opening; "
                + (
                    "end it at the corner, and where that of another window meets it there, cut both to the corner"
                    if under
                    else "rip the leg down to fit the corner, or choose a narrower one"
                ),
            )


def hung_under(job: Job, room: Room, trim: Trim) -> float | None:
    """How far under the ceiling a member hangs, against it or under the cornice, mm; None for one that does not hang
    there, or whose top the survey asks for."""
    if tables.member(trim.member).get("top") != "ceiling" or job.top_asked(trim, room.name)[0] is not None:
        return None
    return 0.0 if trim.member == "cornice" else _cornice(job, room)


def follows_the_ceiling(job: Job, site: RoomSite, trim: Trim, runs: Iterable[Run]) -> Iterator[Finding]:
    """How far a ceiling is out of level along what hangs from it, and follows it."""
    if hung_under(job, site.room, trim) is None:
        return
    ends = ((run.wall, at) for run in runs for at in (run.start, run.end))
    found = [level for wall, at in ends if (level := site.walls[wall].ceiling(at)) is not None]
    fall = max(found, default=0.0) - min(found, default=0.0)
    if fall < SLACK:
        return
    show = lengths(job)
    inputs = (
        Input("ceiling above the level line, highest", max(found), "mm"),
        Input("ceiling above the level line, lowest", min(found), "mm"),
    )
    yield RULES["follows-the-ceiling"].told(
        "record",
        f"The ceiling of the {site.name} is {show(fall)} out of level, and the {trim.name} follows it: its marks stand "
        "under the ceiling as it was read, and its corners are cut there.",
        Where(site.name, trim=trim.name, line=job.line(trim)),
        Grounds(inputs, "the highest less the lowest", f"{max(found):.0f} - {min(found):.0f}", show(fall), (GEOMETRY,)),
        "set it level, packed down where the ceiling rises, only where the gap over it is covered",
        fall=fall,
    )


def _cornice(job: Job, room: Room) -> float:
    """Depth of the cornice down the wall: as surveyed, else that of the cornice made for the room; 0 for none."""
    if room.cornice is not None:
        return room.cornice
    made = (trim.section.height or 0.0 for trim in job.trims_in(room.name) if trim.member == "cornice")
    return max(made, default=0.0)


def _tops(runs: Sequence[Run], marks: Sequence[Mark]) -> Iterator[tuple[str, float, float]]:
    """Wall, station and height above the floor there of each place where a member's top is known."""
    for mark in marks:
        if mark.edge == "top" and mark.over == FLOOR_THERE:
            yield mark.wall, mark.station, mark.above_floor
    for run in runs:
        if run.member == "architrave" and not run.upright and run.top is not None:
            yield run.wall, run.start, run.top


def _over(
    job: Job, room: Room, name: str, member: str, depth: float, worst: tuple[float, str, float, float, float]
) -> Finding:
    over, wall, station, top, ceiling = worst
    show = lengths(job)
    into_cornice = top <= ceiling + SLACK
    where = Where(room.name, wall, name, station=station, line=job.line(room))
    grounds = Grounds(
        (
            Input("top of the member above the floor there", top, "mm"),
            Input("ceiling above the floor there", ceiling, "mm"),
            Input("depth of the cornice", depth, "mm", job.line(room, "cornice") if room.cornice is not None else 0),
        ),
        "the top of the member, less the ceiling, and with the cornice that hangs from it",
        f"{top:.0f} - {ceiling:.0f} + {depth:.0f} = {over:.0f}",
        f"{over:.0f} mm too high",
        (GEOMETRY,),
    )
    what = "the cornice" if into_cornice else "the ceiling"
    limit = show(ceiling - depth if into_cornice else ceiling)
    rule = RULES["into-the-cornice"] if into_cornice else RULES["over-the-ceiling"]
    return rule.told(
        "caution" if into_cornice and member == "architrave" else "hold",
        f"The top of the {name} in the {room.name} comes {show(top)} above the floor on wall {wall}, "
        f"{show(station)} along it, where {what} begins at {limit}.",
        where,
        grounds,
        "measure the opening, the cornice and the ceiling there again, or let the architrave die into the cornice"
        if member == "architrave"
        else "look again at the height given, the level line and the height of the room",
    )
