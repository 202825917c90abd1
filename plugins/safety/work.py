"""Hazards of how the work is done and who is there: substances, heat, height, handling, occupants."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from listel.core.contract.findings import (
    GEOMETRY,
    PRACTICE,
    Finding,
    Grounds,
    Input,
    Source,
    Weight,
    Where,
)
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Flight, Job, Room, Trim, Wall
from listel.core.survey.units import show_length
from listel.plugins.bonding import Bonding
from listel.plugins.closure import Closures
from listel.plugins.existing import at_work, stripped_by
from listel.plugins.fixings import FixingSchedule
from listel.plugins.safety.crossings import edges
from listel.plugins.safety.fabric import heat, hollow_walls, rooms_at_work
from listel.plugins.safety.hazards import hazard, named, rooms_of
from listel.plugins.safety.relations import dew_point, ladder_foot, team_filter
from listel.plugins.safety.zones import policy
from listel.plugins.setting_out import SettingOut
from listel.plugins.site import Site, deepest_hole, tables

RULES = load_rules(__package__)

MAGNUS = Source("Improved Magnus form approximation", "Alduchov and Eskridge", "1996", standing="published-from-memory")
LIFTING = Source(
    "Manual handling, INDG143 and L23: lifting filter, and handling in teams", "HSE", standing="published-from-memory"
)
UNKNOWN = "the thickness found out before any hole in"
"""What is said of a party wall of which nothing bounds the holes yet."""
MANY = {2: "two", 3: "three", 4: "four"}
COATINGS = Source(
    "General coatings guidance: surface at least 3 C above the dew point", standing="published-second-hand"
)


def products(job: Job, sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """Product families this job uses, strippers among them, each with the rooms it is used in; chosen ones where no
    choice was worked out."""
    found: dict[str, set[str]] = {}
    bonding = sheet.get(Bonding)
    for bond in bonding.bonds if bonding else ():
        found.setdefault(bond.adhesive, set()).add(bond.room)
    for fill in bonding.fills if bonding else ():
        found.setdefault(fill.filler, set()).update({fill.room} if fill.room else {room.name for room in job.rooms})
    for trim in job.trim:
        if trim.finish == "oil":
            found.setdefault("oil", set()).update(place.room for place in trim.where)
    rooms = {place.room for trim in job.trim for place in trim.where}
    if way := stripped_by(job):
        found[way.name] = set(rooms_at_work(job))
    choices = job.choices
    told = [choices.paint] if bonding else [choices.paint, choices.adhesive, choices.filler, choices.sealant]
    for name in told:
        if name:
            found.setdefault(name, set()).update(rooms)
    return {name: tuple(sorted(where)) for name, where in sorted(found.items())}


def volume(job: Job, sheet: Sheet, room: Room) -> tuple[float, str] | None:
    """Volume of a room in m3 and how its floor was found; None where the survey does not tell.

    From the plan as it closes, else from four walls as a rectangle of their mean lengths.
    """
    if not room.height:
        return None
    height = sum(reading.height for reading in room.height) / len(room.height)
    closures = sheet.get(Closures)
    closure = closures.of(room.name) if closures else None
    if closure and closure.points:
        pairs = zip(closure.points, (*closure.points[1:], closure.points[0]), strict=True)
        area = abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2
        return area * height / 1e9, "from the plan"
    lengths = [wall.length.value for wall in room.walls if wall.length]
    if len(room.walls) == 4 and len(lengths) == 4:
        return (lengths[0] + lengths[2]) / 2 * (
            lengths[1] + lengths[3]
        ) / 2 * height / 1e9, "from four walls, taken square"
    return None


def substances(job: Job, sheet: Sheet) -> Iterator[object]:
    """What adhesives, fillers and paints give off, with the air of the rooms they are used in."""
    table = load_table(__package__, "products")
    said = set()
    for name, rooms in products(job, sheet).items():
        row = table.find(name)
        if row is None:
            continue
        airs = [_air(job, sheet, job.room(room), row.get("solvent"), name) for room in rooms]
        told = " ".join(air.result for air in airs if air.result)
        because = f"{row['called'].capitalize()} is used: {row['gives']}.{' ' + told if told else ''}"
        if because in said:
            continue
        said.add(because)
        inputs = tuple(item for air in airs for item in air.inputs)
        worked = "; ".join(air.worked for air in airs if air.worked)
        formula = "solvent in what is used in a room over its volume, no air changed" if worked else ""
        also = tuple(row["controls"])
        if row.get("flame"):
            also = (*also, "no naked light, heater or spark in the room")
        yield hazard(
            "substances",
            because,
            Grounds(inputs, formula, worked, told, row.sources),
            rooms=rooms,
            also=also,
            wear=row["wear"],
        )


def _air(job: Job, sheet: Sheet, room: Room, solvent: float | None, name: str) -> Grounds:
    """How much solvent one room would hold if none of its air were changed."""
    bonding = sheet.get(Bonding)
    bonds = bonding.bonds if bonding else ()
    used = sum(bond.volume or 0 for bond in bonds if (bond.room, bond.adhesive) == (room.name, name))
    space = volume(job, sheet, room)
    if solvent is None or not used:
        return Grounds()
    if space is None:
        return Grounds(result=f"The volume of the {room.name} was not surveyed, so treat it as small.")
    cubic, how = space
    thick = used * solvent / cubic
    return Grounds(
        (
            Input(f"used in the {room.name}", round(used), "ml"),
            Input("solvent", solvent, "g/ml", assumed=True, note="an allowance; the product's sheet tells"),
            Input("volume of the room", round(cubic, 1), "m3", note=how),
        ),
        worked=f"{used:.0f} x {solvent:g} / {cubic:.1f} = {thick:.1f} g/m3",
        result=f"In the {room.name} ({cubic:.0f} m3) all of it in still air would be {thick:.1f} g/m3.",
    )


def hot_work(job: Job, sheet: Sheet) -> Iterator[object]:
    """Flame or hot air: none over voids, else by permit. Source: Historic England on hot work (published, seen)."""
    planned = heat(job)
    if planned is None:
        return
    words, given = planned
    voids = hollow_walls(job)
    because = f"{words.capitalize()} is planned"
    because += ", which is hot work whatever hot-work says" if job.work.hot_work is False else ""
    because += f", with voids in {named(voids)}." if voids else "."
    fire = hazard("hot-work", because, Grounds((given,)))
    yield fire
    says = f"{because} Fire in a void is not seen until it is too late."
    mend = (
        "Strip by hand, poultice or low heat away from the wall; if there is no other way, only under a permit and "
        "away from every void."
    )
    weight: Weight = "hold" if voids else "caution"
    yield RULES["hot-work"].told(weight, says, Where(line=given.line), fire.grounds, mend)


def highest(job: Job, sheet: Sheet) -> tuple[float, str] | None:
    """The top of the highest member above the floor or the stairs under it, mm, and its name; None if no height is
    known."""
    setting_out = sheet.get(SettingOut)
    runs = setting_out.runs if setting_out else ()
    tops = [(run.top if run.reach is None else run.reach, run.trim) for run in runs if run.top is not None]
    known = edges(sheet)
    for trim in job.trim:
        for place in trim.where:
            span = known.get((place.room, trim.name))
            top = span[1] if span else job.top_asked(trim, place.room)[0]
            if top is not None:
                tops.append((top, trim.name))
    return max(tops, default=None)


def height(job: Job, sheet: Sheet) -> Iterator[object]:
    """Work at height, from the highest member. Source: Work at Height Regulations 2005 (from memory)."""
    top = highest(job, sheet)
    if top is None or top[0] <= policy("reach"):
        return
    reach = show_length(top[0], job.units)
    because = f"The {top[1]} stands {reach} above the floor, out of reach from it."
    out, angle = ladder_foot(top[0])
    grounds = Grounds(
        (Input("highest member", top[0], "mm"),), "out of reach above 2 m", result=reach, sources=(PRACTICE,)
    )
    also: tuple[str, ...] = ()
    access = job.work.access
    where = Where(trim=top[1], line=job.line(job.work, "access"))
    if access == "ladder":
        also = (
            f"a ladder that leans at this height has its foot {show_length(out, job.units)} out ({angle:.0f} degrees)",
        )
        says = f"{because} A ladder is planned: only for short light work, since both hands are wanted here."
        mend = "Use a hop-up, podium or tower."
        yield RULES["work-at-height"].told("caution", says, where, grounds, mend, top=top[0])
    elif access in (None, "floor"):
        yield RULES["work-at-height"].lacking(f"how the {top[1]} at {reach} is reached", "the risk of a fall", where)
    yield hazard("height", because, grounds, also=also)


def over_stairs(job: Job, sheet: Sheet) -> Iterator[object]:
    """Work that stands on a flight of stairs; held until what it stands on was looked over, but for what is low enough
    to be worked on kneeling. Source: Work at Height Regulations 2005 (from memory)."""
    for room, flight, worked in worked_over_stairs(job):
        because = f"Trim on {named(worked)} is worked on over {flight.called}."
        yield hazard("stairs", because, rooms=(room.name,))
    for room, flight, worked in worked_over_stairs(job, low=False):
        line = job.line(job.work, "access")
        given = Input("access", job.work.access or "not surveyed", "", line, job.work.access is None)
        says = f"Trim on {named(worked)} is worked on over {flight.called}: {ON_STAIRS[job.work.access]}."
        mend = "Put up a platform made for stairs, level, tied and with a rail, and have it looked over."
        yield RULES["over-stairs"].told("hold", says, Where(room.name, line=line), Grounds((given,)), mend)


NO_PLATFORM = "nobody works there {} on the treads, but from a platform that was looked over"
NOT_YET = "nobody stands on {} there until it was looked over by somebody competent"
ON_STAIRS = {
    None: "the survey does not say from what (work, access), and nobody works there until it was looked over",
    "floor": NO_PLATFORM.format("standing"),
    "hop-up": NO_PLATFORM.format("from a hop-up"),
    "ladder": NO_PLATFORM.format("from a ladder"),
    "podium": NOT_YET.format("a podium"),
    "tower": NOT_YET.format("a tower"),
}
"""What is said of work over stairs, by how height is reached."""


def worked_over_stairs(job: Job, *, low: bool = True) -> Iterator[tuple[Room, Flight, list[tuple[Room, Wall]]]]:
    """Each flight over which trim is worked at, with its room and the walls of it. ``low``: with what lies along the
    steps themselves."""
    trims = [(trim.member, room.name, wall.name) for trim in job.trim for room, wall, _, _ in job.places(trim)]
    old = [(each.said.member, each.room.name, each.wall.name) for each in job.old_trim() if each.at_work]
    high = {(room, wall) for member, room, wall in (*trims, *old) if low or not _lies_low(member)}
    for room in job.rooms:
        for flight in room.stairs:
            along = {said.wall for said in flight.walls}
            walls = [(room, wall) for wall in room.walls if wall.name in along and (room.name, wall.name) in high]
            if walls:
                yield room, flight, walls


def _lies_low(member: str) -> bool:
    """Whether a member stands on the floor all along the wall."""
    row = tables.member(member)
    return bool(row.get("stands")) and row["goes"] == "along walls"


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """The longest length of a trim: its mass [kg], None where its section is not known, and how many carry it."""

    trim: str
    length: float
    mass: float | None
    hands: int
    grounds: Grounds

    def told(self, job: Job) -> tuple[str, ...]:
        """How many carry it, in words."""
        if self.mass is None:
            return ()
        weighs = f"{self.mass / 0.45359237:.0f} lb" if job.units == "inches" else f"{self.mass:.1f} kg"
        at_once = max(1, floor(team_filter(self.hands) / self.mass))
        lengths = "one length" if at_once == 1 else f"{at_once} lengths"
        carry = "carry" if self.hands > 1 else "carries"
        each = f"of {weighs} a length, with a rest between lifts"
        return (f"{_people(self.hands)} {carry} {lengths} at a time, {each}",)


def carried(job: Job, sheet: Sheet) -> list[Weighed]:
    """The longest length of each trim, where any takes more than one to carry."""
    setting_out = sheet.get(SettingOut)
    pieces = [(piece.overall, piece.trim) for piece in (setting_out.pieces if setting_out else ())]
    lengths = [*pieces, *((board.length, board.trim) for board in (*job.stock, *job.rack))]
    longest = {name: max(length for length, trim in lengths if trim == name) for _, name in lengths}
    weighed = [_weighed(job, sheet, name, length) for name, length in longest.items()]
    return weighed if any(each.hands > 1 for each in weighed) else []


def handling(job: Job, sheet: Sheet) -> Iterator[object]:
    """Long or heavy lengths, and how many carry one. Source: INDG143 and L23, HSE, filter (seen second-hand)."""
    weighed = carried(job, sheet)
    if not weighed:
        return
    worst = max(weighed, key=lambda each: (each.hands, each.mass or 0.0, each.length))
    shown = show_length(worst.length, job.units)
    which = "longest" if worst.length == max(each.length for each in weighed) else "heaviest"
    says = f"The {which} length, of the {worst.trim}, is {shown}."
    yield hazard("handling", says, worst.grounds, also=worst.told(job))
    if job.work.crew is not None and job.work.crew < worst.hands:
        says = (
            f"Crew: {job.work.crew}. A length of the {worst.trim} ({shown}) takes {_people(worst.hands)} to carry and "
            "to offer up."
        )
        mend = "Have more hands there on those days, or shorter lengths."
        where = Where(trim=worst.trim, line=job.line(job.work, "crew"))
        yield RULES["hands-wanted"].told("caution", says, where, worst.grounds, mend)


def _people(count: int) -> str:
    return f"{MANY.get(count, str(count))} people" if count > 1 else "one person"


def _weighed(job: Job, sheet: Sheet, name: str, length: float) -> Weighed:
    long = policy("two-people")
    hands = 2 if length > long else 1
    trim = job.trim_named(name)
    section, density = trim.section, _density(job, trim, sheet)
    given = Input("longest length", length, "mm")
    grounds = Grounds((given,), "over 3 m takes two people", sources=(PRACTICE,))
    if not (section.height and section.thick and density):
        return Weighed(trim=name, length=length, mass=None, hands=hands, grounds=grounds)
    dense = float(density.value)
    mass = length * section.height * section.thick * dense / 1e9
    while team_filter(hands) < mass:
        hands += 1
    worked = (
        f"{length:.0f} mm x {section.height:.0f} mm x {section.thick:.0f} mm x {dense:.0f} kg/m3 = {mass:.1f} kg; "
        f"{_people(hands)} carry {team_filter(hands):.1f} kg"
    )
    inputs = (
        given,
        Input("height", section.height, "mm", job.line(section, "height")),
        Input("thickness", section.thick, "mm", job.line(section, "thickness")),
        density,
    )
    formula = (
        "length by section by density, the section taken as a full rectangle; over 3 m two carry; two carry two thirds "
        "of what each may alone, three half"
    )
    return Weighed(
        trim=name,
        length=length,
        mass=mass,
        hands=hands,
        grounds=Grounds(inputs, formula, worked, f"{mass:.1f} kg a length", (GEOMETRY, LIFTING)),
    )


def _density(job: Job, trim: Trim, sheet: Sheet) -> Input | None:
    """The mean density of a trim, kg/m3: the one its fixings are reckoned with; as surveyed where nothing is fixed."""
    schedule = sheet.get(FixingSchedule)
    reckoned = [line.density for line in (schedule.lines if schedule else ()) if line.trim == trim.name]
    value = next(filter(None, reckoned), trim.density)
    if value is None:
        return None
    if trim.density is not None:
        return Input("mean density", value, "kg/m3", job.line(trim, "density"))
    if trim.timber is not None:
        return Input("mean density", value, "kg/m3", job.line(trim, "timber"), note=f"of {trim.timber}")
    return Input("mean density", value, "kg/m3", assumed=True, note="timber not surveyed; the usual joinery softwood")


def people(job: Job, sheet: Sheet) -> Iterator[object]:
    """The household: who is there while the work goes on."""
    building = job.building
    if building.occupied in ("occupied", "part-occupied"):
        yield hazard("occupied", f"The building is {building.occupied.replace('-', ' ')} during the work.")
    elif building.occupied is None and at_work(job):
        yield RULES["household-not-surveyed"].lacking(
            "who is in the building during the work",
            "how rooms, dust and power are kept apart",
        )
    if building.children:
        yield hazard("children", "Children under six, or someone pregnant, live there.")
    shared = [(room, wall) for room, wall in job.walls_at_work if wall.party]
    if shared:
        depths: dict[str, list[tuple[Room, Wall]]] = {}
        for room, wall in shared:
            most = deepest_hole(job, sheet[Site].wall(room.name, wall.name))
            kept = (
                f"no hole deeper than {show_length(most.depth, job.units)} behind the plaster of" if most else UNKNOWN
            )
            depths.setdefault(kept, []).append((room, wall))
        also = [f"{kept} {named(walls)}" for kept, walls in depths.items()]
        yield hazard("neighbours", f"A neighbour lives behind {named(shared)}.", rooms=rooms_of(shared), also=also)


def paint_climate(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """The dew point of the day's air, and how warm a surface must be to take paint or adhesive."""
    day = job.climate.day
    if day is None or day.temperature is None or not day.humidity:
        return
    point = dew_point(day.temperature, day.humidity)
    grounds = Grounds(
        (
            Input("air", day.temperature, "C", job.line(day, "temperature")),
            Input("humidity", day.humidity, "%", job.line(day, "humidity")),
        ),
        "Magnus formula; a surface takes paint from 3 C above the dew point",
        f"dew point {point:.1f} C, and 3 C more",
        f"{point + 3:.1f} C",
        (MAGNUS, COATINGS),
    )
    says = f"Do not paint or glue a surface below {_warmth(job, point + 3)} (dew point {_warmth(job, point)})."
    yield RULES["dew-point"].told("advice", says, Where(line=job.line(day, "temperature")), grounds, point=point)


def _warmth(job: Job, celsius: float) -> str:
    return f"{celsius * 9 / 5 + 32:.0f} F" if job.units == "inches" else f"{celsius:.1f} C"
