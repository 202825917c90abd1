"""The stage ``site``: it gives the site, and tells what of it is known by half or read two ways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row
from listel.core.survey.job import Flight, FlightWall, Job, Room, Trim, Wall
from listel.core.survey.units import show_angle, show_length
from listel.plugins.site import tables
from listel.plugins.site.plan import corner_pairs
from listel.plugins.site.results import FlightSite, RoomSite, Site, straight_nosings
from listel.plugins.site.survey import pitch_of, site_of
from listel.plugins.site.two_sides import sides_that_differ, stations_that_differ
from listel.plugins.site.walls import wall_findings

RULES = load_rules(__package__)

FLOOR_SLACK = 10.0
"""How far a floor may lie from where the risers put it [mm]; our own allowance."""
WALL_SLACK = 25.0
"""How far the top nosing may lie past the end of its wall, as many goings as a flight has add up [mm]; our own
allowance."""
PITCH_SLACK = 1.0
"""How far a pitch by the level may lie from that of rise and going [deg]; our own allowance."""


def examine(job: Job, sheet: Sheet) -> Iterator[Finding | Site]:
    """The site, and what is to be told of it."""
    site = site_of(job)
    going: dict[tuple[str, str], dict[str, Trim]] = {}
    for trim in job.trim:
        for at, one, _, _ in job.places(trim):
            going.setdefault((at.name, one.name), {})[trim.name] = trim
    for room in site.rooms.values():
        yield from _period(job, room.room)
        yield from _studs(job, room)
        for wall in room.walls.values():
            if trims := going.get((room.name, wall.name)):
                yield from wall_findings(job, room.room, wall, list(trims.values()))
        for flight in room.flights.values():
            yield from _steep(job, room.room, flight.flight)
            yield from _pitch(job, room.room, flight)
            yield from _past_its_wall(job, room, flight)
            yield from _into_its_winders(job, room, flight)
            yield from _winders(job, room, flight)
        yield from _round_the_corner(job, room)
        yield from _at_the_head(job, room)
    for trim in job.trim:
        yield from _unreckoned(job, trim)
    yield from sides_that_differ(job, site.across)
    yield from stations_that_differ(job, site.across)
    yield site


def _unreckoned(job: Job, trim: Trim) -> Iterator[Finding]:
    """What is not reckoned for a member here."""
    row = tables.member(trim.member)
    if row.get("unreckoned"):
        given = Input("member", trim.member, line=job.line(trim, "member"))
        says = f"Not reckoned here for the {trim.name}: {row['unreckoned']}."
        where = Where(trim=trim.name, line=given.line)
        yield RULES["member-not-reckoned"].told("record", says, where, Grounds((given,), sources=row.sources))


def _period(job: Job, room: Room) -> Iterator[Finding]:
    """What rooms of a named period really had, and whether the name is used of those years there."""
    row = tables.periods().find(str(room.period)) if room.period is not None else None
    if row is None or not job.trims_in(room.name):
        return
    where = Where(room.name, line=job.line(room, "period"))
    grounds = Grounds((Input("period", row.name, line=where.line),), row.note, sources=row.sources)
    if job.building.built is not None and job.building.built > row["to"]:
        yield _before_the_building(job, job.building.built, row, where, grounds)
    years, name = f"{row['from']} to {row['to']}", row.name.replace("-", " ")
    region = job.building.region
    if region is not None and region not in row.get("regions", (region,)):
        says = f"{name.capitalize()}, {years}, is not what those years are called in {region.replace('-', ' ')}."
        mend = "give the year of the trim, or the period as it is called there"
        yield RULES["period-of-elsewhere"].told("caution", says, where, grounds, mend)
    elif row.get("had"):
        says = f"Rooms of the period ({name}, {years}) had: {row['had']}. Profiles: {row['elements']}."
        out = f" Out of its time, as a rule: {row['out']}." if row.get("out") else ""
        yield RULES["what-the-period-had"].told("record", says + out, where, grounds)


def _before_the_building(job: Job, built: float, row: Row, where: Where, grounds: Grounds) -> Finding:
    """A period that was over when the building was built, and which the year of building lies in."""
    region = job.building.region
    rows = [each for each in tables.periods() if each["from"] <= built < each["to"]]
    then = [each.name for each in rows if region is None or region in each.get("regions", (region,))]
    also = f" (so is read: {', '.join(row['also'])})" if row.get("also") else ""
    given = Input("built", built, line=job.line(job.building, "built"))
    return RULES["period-before-the-building"].told(
        "caution",
        f"The period {row.name.replace('-', ' ')}{also} ended in {row['to']}; the building was built "
        f"{'about ' if job.building.built_about else 'in '}{built:g}.",
        where,
        replace(grounds, inputs=(*grounds.inputs, given)),
        f"give the year of the trim, or its period: that of the building is {' or '.join(then) or 'none of our table'}",
    )


def _studs(job: Job, room: RoomSite) -> Iterator[Finding]:
    """Studs of which only the spacing is known: nothing is drawn or fixed by it."""
    for wall in room.walls.values():
        if wall.stud_spacing and not wall.studs:
            studs = wall.wall.substrate.studs if wall.wall.substrate else None
            first = studs.first if studs else None
            what = (
                f"where the studs of wall {wall.name} of the {room.name} stand: their spacing alone is known"
                if first is None
                else f"the length of wall {wall.name} of the {room.name}, along which its studs are spaced"
            )
            yield RULES["studs-not-placed"].lacking(
                what,
                "where trim is fixed and jointed; no stud is drawn or fixed to until then",
                Where(room.name, wall.name, line=job.line(studs) if studs else 0),
                "find one stud and measure to its centre from the wall's left end",
            )


def _winders(job: Job, room: RoomSite, flight: FlightSite) -> Iterator[Finding]:
    """Risers of winders that are reckoned and not measured; a wall that does not stand where they climb to."""
    for wall, winding in flight.windings.items():
        along, show = flight.on(wall), partial(show_length, units=job.units)
        winders = along.winders if along else None
        if winders is None:
            continue
        where = Where(room.name, wall, line=job.line(winders))
        stations = ", ".join(show(at) for at in winding.risers) or "none"
        if winding.reckoned and winders.newel:
            inputs = (
                Input("steps that wind", float(winders.number or 0), line=job.line(winders, "number")),
                Input("newel from the wall", winders.newel.out, "mm", job.line(winders.newel, "out")),
                Input("equal turns about the newel's centre", "each step as much", assumed=True),
            )
            yield RULES["winders-from-newel"].told(
                "advice",
                f"The risers of the winders of {flight.flight.called} on wall {wall} are reckoned from the newel, as "
                f"if each step took as much of the turn: {stations}.",
                where,
                Grounds(inputs, "where rays from the newel meet the wall", sources=(GEOMETRY, PRACTICE)),
                "mark them on the wall before anything is cut, and give their stations as risers where they differ",
            )


def _round_the_corner(job: Job, room: RoomSite) -> Iterator[Finding]:
    """Walls of a stair that winds round a corner whose floors do not stand apart by what its risers climb."""
    into: list[tuple[Wall, float]] = []
    out_of: list[tuple[Wall, float]] = []
    for flight in room.flights.values():
        for name, winding in flight.windings.items():
            line = flight.line(name, 0.0)
            if line is not None and winding.beyond and winding.corner is not None:
                into.append((room.walls[name].wall, line.knots[-1][1]))
            if line is not None and (winding.behind or (winding.corner is not None and not winding.beyond)):
                out_of.append((room.walls[name].wall, line.knots[0][1]))
    corners = {frozenset((a.name, b.name)) for a, b in corner_pairs(room.room)}
    for lower, below in into:
        for upper, above in out_of:
            if frozenset((lower.name, upper.name)) not in corners:
                continue
            floor = (lower.raised or 0.0) + below - above
            if abs(floor - (upper.raised or 0.0)) > FLOOR_SLACK:
                show = partial(show_length, units=job.units)
                given = "it is not given" if upper.raised is None else f"it is given as {show(upper.raised)}"
                inputs = (
                    Input(f"climb from wall {lower.name} to the corner", below, "mm"),
                    Input(f"corner to the floor of wall {upper.name}", -above, "mm"),
                )
                yield RULES["winders-height"].told(
                    "caution",
                    f"By its risers the floor at the foot of the straight steps on wall {upper.name} stands "
                    f"{show(floor)} above the floor of the room, and as raised of that wall {given}: what turns the "
                    f"corner {lower.name}/{upper.name} is cut as if both met.",
                    Where(room.name, upper.name, line=job.line(upper)),
                    Grounds(inputs, "as many rises as risers", result=f"{floor:.0f} mm", sources=(GEOMETRY,)),
                    f"count the risers again; if they are right give wall {upper.name} raised: {show(floor)}",
                    floor=floor,
                )


def _at_the_head(job: Job, room: RoomSite) -> Iterator[Finding]:
    """Walls round the corner from the head of a flight whose floor is not as high as the landing that its risers climb
    to."""
    for first, second in corner_pairs(room.room):
        ends = {first.name: _floor_at(room, first, True), second.name: _floor_at(room, second, False)}
        for head, beyond in ((first, second), (second, first)):
            here, there = ends[head.name], ends[beyond.name]
            if here is None or there is None or not here[1] or abs(here[0] - there[0]) <= FLOOR_SLACK:
                continue
            show, flight = partial(show_length, units=job.units), room.flight_on(head.name)
            floor = (beyond.raised or 0.0) + here[0] - there[0]
            given = "it is not given" if beyond.raised is None else f"it is given as {show(beyond.raised)}"
            inputs = (
                Input(f"floor at the head on wall {head.name}", here[0], "mm"),
                Input(f"floor of wall {beyond.name} there", there[0], "mm"),
            )
            yield RULES["landing-height"].told(
                "caution",
                f"By its risers {flight.flight.called if flight else 'the flight'} climbs on wall {head.name} to a "
                f"landing {show(here[0])} above the floor of the room, and the floor of wall {beyond.name} round the "
                f"corner is {show(there[0])} above it: as raised of that wall {given}.",
                Where(room.name, beyond.name, line=job.line(beyond)),
                Grounds(inputs, "the floor at the foot and a rise for each riser", sources=(GEOMETRY,)),
                f"count the risers again; if they are right give wall {beyond.name} raised: {show(floor)}",
                floor=floor,
            )
            break


def _floor_at(room: RoomSite, wall: Wall, right: bool) -> tuple[float, bool] | None:
    """The floor at an end of a wall above that of the room [mm], and whether it is the landing at the head of a flight;
    None where steps go on there, or that is not known."""
    raised, flight = wall.raised or 0.0, room.flight_on(wall.name)
    along = flight.on(wall.name) if flight else None
    if flight is None or along is None:
        return raised, False
    if wall.length is None:
        return None
    line = flight.line(wall.name, wall.length.value if along.up == "right" else 0.0)
    if line is None:
        return None
    if (along.up == "right") != right:
        return (raised + line.knots[0][1], False) if line.floor else None
    head, climb = line.knots[-1]
    return (raised + climb, True) if line.landing and 0.0 <= head <= wall.length.value else None


def _straight_inputs(job: Job, flight: FlightSite, along: FlightWall, foot: float) -> tuple[Input, ...]:
    """What the straight steps of a flight along a wall are reckoned from."""
    return (
        Input("foot", foot, "mm", job.line(along, "foot")),
        Input("going", flight.flight.going or 0.0, "mm", job.line(flight.flight, "going")),
        Input("steps", flight.flight.steps or 0, line=job.line(flight.flight, "steps")),
    )


def _into_its_winders(job: Job, room: RoomSite, flight: FlightSite) -> Iterator[Finding]:
    """Straight steps that go on through the winders of their wall, as where those of two walls were counted as one."""
    for along in flight.flight.walls:
        winders, nosings = along.winders, straight_nosings(flight.flight, along)
        if winders is None or not nosings:
            continue
        over = min(max(nosings), winders.end) - max(min(nosings), winders.start)
        if over <= WALL_SLACK:
            continue
        show = partial(show_length, units=job.units)
        inputs = (
            *_straight_inputs(job, flight, along, nosings[0]),
            Input("winders from", winders.start, "mm", job.line(winders, "from")),
            Input("winders to", winders.end, "mm", job.line(winders, "to")),
        )
        yield RULES["steps-into-winders"].told(
            "caution",
            f"By its foot, goings and steps the straight steps of {flight.flight.called} on wall {along.wall} go on to "
            f"{show(nosings[-1])}, {show(over)} through its winders from {show(winders.start)} to "
            f"{show(winders.end)}: what rakes there follows neither.",
            Where(room.name, along.wall, line=inputs[2].line),
            Grounds(inputs, "foot + going x (steps - 1)", result=f"{over:.0f} mm", sources=(GEOMETRY,)),
            "count in steps the straight risers of that wall alone, its winders and those of another wall left out; "
            "where steps go on straight round the corner list those as a flight of their own",
            over=over,
        )


def _steep(job: Job, room: Room, flight: Flight) -> Iterator[Finding]:
    """Steps that rise more than they go."""
    rise, going = flight.rise, flight.going
    if not rise or not going or rise <= going:
        return
    inputs = tuple(Input(key, value, "mm", job.line(flight, key)) for key, value in (("rise", rise), ("going", going)))
    rule, steep = RULES["rise-over-going"], show_angle(pitch_of(rise, going))
    up, on = show_length(rise, job.units), show_length(going, job.units)
    yield rule.told(
        "caution",
        f"The steps of {flight.called} rise {up} and go {on}, which is {steep}. Are the two the other way round?",
        Where(room.name, line=inputs[0].line),
        Grounds(inputs, "the angle whose tangent is rise over going", result=steep, sources=rule.sources),
        "measure rise and going over several steps, nosing to nosing",
        rise=rise,
        going=going,
    )


def _past_its_wall(job: Job, room: RoomSite, flight: FlightSite) -> Iterator[Finding]:
    """Straight steps that go on past the end of the wall they were surveyed on."""
    for along in flight.flight.walls:
        nosings, wall = straight_nosings(flight.flight, along), room.walls[along.wall].wall
        if not nosings or wall.length is None:
            continue
        end = wall.length.value if along.up == "right" else 0.0
        past = (nosings[-1] - end) * (1.0 if along.up == "right" else -1.0)
        if past <= WALL_SLACK:
            continue
        show = partial(show_length, units=job.units)
        inputs = (
            *_straight_inputs(job, flight, along, nosings[0]),
            Input(f"length of wall {wall.name}", wall.length.value, "mm", job.line(wall, "length")),
        )
        yield RULES["flight-past-wall"].told(
            "caution",
            f"By its foot, goings and steps {flight.flight.called} climbs on {show(past)} past the end of wall "
            f"{wall.name}, where the survey has no wall for it: nothing is set out there, and where its trim turns "
            "level is not known.",
            Where(room.name, wall.name, line=inputs[0].line),
            Grounds(inputs, "foot + going x (steps - 1)", result=f"{past:.0f} mm past", sources=(GEOMETRY,)),
            "count the steps and tape foot, going and wall again; or survey the wall on to the head of the flight",
            past=past,
        )


def _pitch(job: Job, room: Room, flight: FlightSite) -> Iterator[Finding]:
    """A pitch that was surveyed and is not that of the steps."""
    surveyed, pitch = flight.flight.pitch, flight.pitch
    if surveyed is None or pitch is None or abs(surveyed - pitch) <= PITCH_SLACK:
        return
    said, stepped = show_angle(surveyed), show_angle(pitch)
    inputs = (
        Input("pitch surveyed", surveyed, "deg", job.line(flight.flight, "pitch")),
        Input("pitch of rise and going", pitch, "deg", job.line(flight.flight, "rise")),
    )
    yield RULES["pitch-against-steps"].told(
        "caution",
        f"The pitch of {flight.flight.called} was taken as {said}, but its rise and going make {stepped}. The steps "
        "are followed.",
        Where(room.name, line=inputs[0].line),
        Grounds(inputs, "the angle whose tangent is rise over going", sources=(GEOMETRY,)),
        "measure rise and going over several steps, nosing to nosing, and take the pitch again along the nosings",
        surveyed=surveyed,
        stepped=pitch,
    )
