"""Which runs are to be fixed: those set out, or whole walls where nothing was set out."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from math import radians, tan
from operator import itemgetter

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.existing import Existing, touched
from listel.plugins.fixings.bearing import FRAMED, Place, band, bearing
from listel.plugins.setting_out import Run, SettingOut
from listel.plugins.site import Site, tables

RULES = load_rules(__package__)


def places(job: Job, sheet: Sheet) -> Iterator[Place | Finding]:
    """Every run with what it belongs to, in the order of the setting out; findings where a run cannot be told."""
    out, site = sheet.get(SettingOut), sheet[Site]
    trims = {trim.name: trim for trim in job.trim}
    old = list(old_work(job, sheet))
    if out is not None and (out.runs or out.panelled or old or out.blocked):
        loose: dict[tuple[str, str, str], list[Place]] = {}
        heads: dict[str, Place] = {}
        for run in (*out.runs, *out.shuttered):
            room = job.room(run.room)
            place = Place(job=job, site=site, room=room, wall=room.wall(run.wall), trim=trims[run.trim], run=run)
            if tables.member(run.member).get("fixed") is None or run.start_at == "boxing":
                yield RULES["not-scheduled"].lacking(
                    f"what bears the {run.trim} at the {run.opening} on wall {run.wall} of the {run.room}",
                    "its fixings; none is scheduled for it",
                    Where(run.room, run.wall, run.trim, line=job.line(place.wall)),
                    "see what stands under it when the opening is bare",
                )
            elif tables.goes_through_openings(run.member) and not run.upright:
                heads.setdefault(run.trim, place)
            elif between_studs(place):
                loose.setdefault((run.room, run.wall, run.trim), []).append(place)
            else:
                yield place
        yield from (held_by_its_jambs(each) for each in heads.values())
        yield from (hung_by_their_frames(each) for each in loose.values())
        yield from panelling(job, site, out.panelled, trims)
        yield from old
        return
    if not job.trim:
        return
    yield RULES["nothing-set-out"].told(
        "caution",
        "No runs were set out, so fixings are spaced over whole walls; openings are not left out and architraves "
        "are not fixed.",
        grounds=Grounds(sources=(PRACTICE,)),
        mend="Survey the walls so that the runs can be set out.",
    )
    for trim in job.trim:
        if tables.goes_along_walls(trim.member):
            yield from whole_walls(job, site, trim)


def panelling(job: Job, site: Site, runs: Sequence[Run], trims: Mapping[str, Trim]) -> Iterator[Place]:
    """The stretches of panelling that is framed, from its foot to its top."""
    for run in runs:
        room, trim = job.room(run.room), trims[run.trim]
        if trim.framing is not None and run.top is not None:
            yield Place(job=job, site=site, room=room, wall=room.wall(run.wall), trim=trim, run=run)


def between_studs(place: Place) -> bool:
    """Whether an upright of a panel's frame stands where no stud is known to."""
    found = bearing(place) if place.run.upright and tables.goes_round_panels(place.run.member) else None
    if found is None or found.kind not in FRAMED:
        return False
    return not any(place.run.start <= station <= place.run.end for station in found.stations)


def held_by_its_jambs(place: Place) -> Finding:
    """What holds the head of a lining."""
    return RULES["lining-head"].told(
        "record",
        f"The head of the {place.trim.name} is not fixed to the wall over it: nail or screw it through each jamb into "
        "its end grain, two at least, before the lining is stood; pack it under the lintel so that it cannot "
        "sag, and no tighter.",
        Where(trim=place.trim.name, line=place.job.line(place.trim)),
        Grounds(sources=(PRACTICE,)),
    )


def hung_by_their_frames(places: list[Place]) -> Finding:
    """What holds the uprights of the frames of a wall that no stud bears."""
    first, number = places[0], len(places)
    stand = "1 upright" if number == 1 else f"{number} uprights"
    return RULES["upright-between-studs"].told(
        "record",
        f"No stud stands behind {stand} of the {first.trim.name} on wall {first.wall.name}, so none is fixed there: "
        "glue and pin each frame at its mitres on the bench, and hang it by its head and foot.",
        Where(first.room.name, first.wall.name, first.trim.name),
        Grounds(sources=(PRACTICE,)),
    )


def old_work(job: Job, sheet: Sheet) -> Iterator[Place | Finding]:
    """Old trim that is put back, and the splices let into what stays on its wall, each stretch of wall as a run; a
    finding for old trim of a member that no custom of spacing is known for."""
    existing, site = sheet.get(Existing), sheet[Site]
    for each in touched(job, existing) if existing else ():
        member = tables.member(each.trim.member)
        if each.fixed and member.get("fixed") is None:
            yield RULES["not-scheduled"].lacking(
                f"what bears {each.label}, the {member['says']} by wall {each.wall.name} of the {each.room.name}",
                "which fixing goes in where an old hole no longer bites; none is scheduled for it",
                Where(each.room.name, each.wall.name, piece=each.label, line=job.line(each.wall)),
                "Fix it by its old holes; where one no longer bites, see what stands behind it when it is off.",
            )
            continue
        for part in each.parts if each.fixed else ():
            run = Run(
                room=each.room.name,
                wall=each.wall.name,
                trim=each.trim.name,
                member=each.trim.member,
                start=part.start,
                end=part.end,
                underside=part.underside,
                top=part.top,
                pitch=part.pitch,
                upright=part.upright,
            )
            yield Place(
                job=job,
                site=site,
                room=each.room,
                wall=each.wall,
                trim=each.trim,
                run=run,
                old=each.label,
                holes=each.holes,
            )


def whole_walls(job: Job, site: Site, trim: Trim) -> Iterator[Place | Finding]:
    """Each wall of a trim as one run from its start (or the survey's from and to); a finding where it has no length."""
    for room, wall, start, end in job.places(trim):
        if end is None:
            yield RULES["length-not-surveyed"].lacking(
                f"the length of wall {wall.name}",
                "how many fixings each trim on it takes",
                Where(room.name, wall.name, line=job.line(wall)),
            )
        elif end > start:
            run = whole(room, wall, trim, start, end)
            yield Place(job=job, site=site, room=room, wall=wall, trim=trim, run=run)


def whole(room: Room, wall: Wall, trim: Trim, start: float, end: float) -> Run:
    """A run along a whole wall; only a skirting, or a trim whose top the survey gives, has a height."""
    size = trim.section.height
    floor = 0.0 if trim.member == "skirting" else None
    asked = next((place.top for place in trim.where if place.room == room.name and place.top is not None), trim.top)
    top = asked if asked is not None else size if trim.member == "skirting" else None
    underside = top - size if top is not None and size is not None else floor
    return Run(
        room=room.name,
        wall=wall.name,
        trim=trim.name,
        member=trim.member,
        start=start,
        end=end,
        underside=underside,
        top=top,
    )


def joints_along(place: Place, sheet: Sheet) -> list[float]:
    """Stations inside a run where two of its pieces meet; old work is of one piece, whatever new laps over its end."""
    run, out = place.run, sheet.get(SettingOut)
    return out.joints_in(run) if out and not place.old else []


def underside_along(place: Place, sheet: Sheet) -> Callable[[float], float] | None:
    """Underside of a run above the floor, as a function of the station; None for a run of no known height."""
    edges = band(place)
    if edges is None:
        return None
    rise = rise_along(place, sheet)
    return lambda station: edges[0] + rise(station)


def rise_along(place: Place, sheet: Sheet) -> Callable[[float], float]:
    """How much higher above the floor under it a run stands at a station than at its start, mm: of a level run from
    the marks set out along it, else from its slope and that of the floor."""
    run, out = place.run, sheet.get(SettingOut)
    marks = out.edge_on("top", run.room, run.wall, run.trim) if out else ()
    if len(marks) > 1 and not run.pitch:
        return lambda station: between(marks, station) - between(marks, run.start)
    if not run.pitch:
        return lambda _: 0.0
    slope, floor = tan(radians(run.pitch)), place.face.rise
    return lambda station: (station - run.start) * slope - floor(station) + floor(run.start)


def between(marks: Sequence[tuple[float, float]], station: float) -> float:
    """The height at a station by straight lines between marks; level beyond the first and the last."""
    after = bisect_left(marks, station, key=itemgetter(0))
    if after in (0, len(marks)):
        return marks[min(after, len(marks) - 1)][1]
    (near, low), (far, high) = marks[after - 1 : after + 1]
    return high if far == near else low + (high - low) * (station - near) / (far - near)
