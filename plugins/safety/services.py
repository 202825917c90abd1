"""Services against the rail and every fixing: crossings, what is known wall by wall, and what holds the work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from listel.core.findings import GEOMETRY, Finding, Grounds, Input, Weight, Where, not_surveyed
from listel.core.job import Fitting, Job, Record, Room, Wall
from listel.core.stage import Sheet
from listel.core.tables import load_table
from listel.core.units import show_length
from listel.plugins.fixings import Fixing, FixingPoint
from listel.plugins.safety.crossings import Band, bands, free, holds_point, joined, met
from listel.plugins.safety.fabric import named, walls_of_trim
from listel.plugins.safety.hazards import DEFER, fixing_lines, hazard
from listel.plugins.safety.relations import penetration
from listel.plugins.safety.results import Crossing, Hazard, WallServices, Zone
from listel.plugins.safety.zones import ceilings, extent, in_words, policy, reverse_counts, rise, rule_of, zones_of

GAS = ("gas-pipe", "gas-bracket")


@dataclass(frozen=True, slots=True)
class Face:
    """One wall face that takes trim, with its zones and the crossings found on it."""

    room: Room
    wall: Wall
    zones: tuple[Zone, ...]
    crossings: tuple[Crossing, ...]
    record: Record | None

    @property
    def in_zone(self) -> list[Crossing]:
        """The fixings that stand in a zone, one for each zone they stand in."""
        return [crossing for crossing in self.crossings if crossing.fixing]


def faces(job: Job, sheet: Sheet) -> list[Face]:
    """Every wall that takes trim, with its zones, the rail lines and the fixings tested against each zone."""
    lines, rails = fixing_lines(sheet), bands(job, sheet)
    found = []
    for room, wall in walls_of_trim(job):
        zones = tuple(zones_of(job, room, wall))
        here = (room.name, wall.name)
        crossings = [
            *rail_crossings(zones, [band for band in rails if (band.room, band.wall) == here]),
            *fixing_crossings(zones, wall, [line for line in lines if (line.room, line.wall) == here]),
        ]
        found.append(Face(room, wall, zones, tuple(crossings), job.recorded("detect-services", *here)))
    return found


def rail_crossings(zones: Sequence[Zone], rails: Sequence[Band]) -> Iterator[Crossing]:
    """The stretches of each rail line that lie in each zone."""
    for band in rails:
        for zone in zones:
            for start, end in met(zone, band):
                yield Crossing(band.room, band.wall, band.trim, start, end, in_words(zone))


def fixing_crossings(zones: Sequence[Zone], wall: Wall, lines: Sequence[Fixing]) -> Iterator[Crossing]:
    """Every fixing that stands in a zone."""
    for line in lines:
        for point in line.points:
            level = None if point.height is None else point.height + rise(wall, point.station)
            for zone in zones:
                if holds_point(zone, point.station, level):
                    yield Crossing(
                        line.room,
                        line.wall,
                        line.trim,
                        point.station,
                        point.station,
                        in_words(zone),
                        True,
                        point.height,
                    )


def wall_services(job: Job, face: Face) -> WallServices:
    """What is known of one wall's services."""
    along, _ = extent(face.room, face.wall)
    upright = joined((zone.x0, zone.x1) for zone in face.zones if zone.kind in ("corner", "vertical"))
    clear = tuple(free(upright, *along)) if face.wall.length else ()
    stood = len({(c.trim, c.start, c.height) for c in face.in_zone})
    detected = f"{face.record.by}: {face.record.found}" if face.record else ""
    return WallServices(
        face.room.name,
        face.wall.name,
        bool(face.wall.fittings),
        behind_words(job, face.wall),
        len(face.zones),
        stood,
        detected,
        clear,
    )


def behind_words(job: Job, wall: Wall) -> str:
    """What is known of the other face, in words."""
    if wall.external:
        return "outdoors"
    if not reverse_counts(job, wall):
        return "too thick for the other face to count"
    fitted = "surveyed" if wall.behind else "not surveyed"
    return fitted if wall.thickness is not None else f"{fitted}, thickness not known"


def service_findings(job: Job, sheet: Sheet, found: Sequence[Face]) -> Iterator[Finding]:
    """What the zones say of the rail, the fixings, and what was not surveyed."""
    if not found:
        return
    yield always(job, found)
    yield from moved_told(job, sheet)
    yield from passed_over(job, found)
    for face in found:
        yield from face_findings(job, face)
    yield from deep(job, sheet)
    yield from unknown(job, sheet, found)


def always(job: Job, found: Sequence[Face]) -> Finding:
    """The caution that goes with every set of zones: old wiring may ignore them."""
    rule = rule_of(job)
    region = job.building.region
    inputs = (Input("region", region or "not surveyed", "", job.line(job.building, "region"), region is None),)
    lead = "" if region else "The region was not surveyed. "
    mend = "Search every wall on both faces with the circuits live, then isolate and prove dead, before the first hole."
    return Finding(
        "safety/old-wiring",
        "caution",
        f"{lead}{rule['warning']} {DEFER}",
        grounds=Grounds(inputs, sources=rule.sources),
        mend=mend,
        protects=True,
    )


def moved_told(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Which fixings were moved out of a zone, room by room."""
    for room in job.rooms:
        moved = [(line, p) for line in fixing_lines(sheet) if line.room == room.name for p in line.points if p.moved]
        if not moved:
            continue
        inputs = (
            Input("clear of a zone", policy("clear"), "mm", assumed=True, note="our own setting"),
            Input("farthest first fixing", policy("loose-end"), "mm", assumed=True, note="our own setting"),
        )
        worked = "; ".join(f"{line.trim}, wall {line.wall}: {_stands(job, line, p)} {p.moved}" for line, p in moved)
        formula = "to the nearest place outside every zone that the spacing, the ends and what bears the fixing allow"
        count = "One fixing was" if len(moved) == 1 else f"{len(moved)} fixings were"
        walls = by_trim((line.trim, line.wall) for line, _ in moved)
        says = f"{count} moved out of service zones in {room.name}, within the spacing allowed: {walls}."
        where = Where(room.name, line=job.line(room))
        yield Finding(
            "safety/fixings-moved", "record", says, where, Grounds(inputs, formula, worked, sources=(GEOMETRY,))
        )


def by_trim(pairs: Iterable[tuple[str, str]]) -> str:
    """Trims with their walls in words: "skirting on walls A, B; dado rail on wall C"."""
    walls: dict[str, dict[str, None]] = {}
    for trim, wall in pairs:
        walls.setdefault(trim, {})[wall] = None
    return "; ".join(f"{trim} on {'walls' if len(on) > 1 else 'wall'} {', '.join(on)}" for trim, on in walls.items())


def _stands(job: Job, line: Fixing, point: FixingPoint) -> str:
    if line.upright and point.height is not None:
        return f"{show_length(point.height, job.units)} up"
    return show_length(point.station, job.units)


def face_findings(job: Job, face: Face) -> Iterator[Finding]:
    """A hold for fixings left in a zone, trim by trim, or a record where the wall was searched."""
    room, wall = face.room.name, face.wall.name
    for trim in dict.fromkeys(crossing.trim for crossing in face.in_zone):
        stood = [crossing for crossing in face.in_zone if crossing.trim == trim]
        zones = list(dict.fromkeys(crossing.zone for crossing in stood))
        stations = sorted({crossing.start for crossing in stood})
        at = ", ".join(show_length(x, job.units) for x in stations)
        where = Where(room, wall, trim, station=stations[0], height=stood[0].height, line=job.line(face.wall))
        who = "Fixings" if len(stations) > 1 else "A fixing"
        says = (
            f"{who} of the {trim} on wall {wall} of {room} cannot leave {_and(zones)} within the spacing allowed: "
            f"at {at}. "
        )
        if face.record:
            says += (
                f"The wall was searched by {face.record.by}: {face.record.found.rstrip('.')}. Work by what was found."
            )
            mend = ""
        else:
            says += "No drilling or nailing there until it is searched, isolated and proved dead."
            mend = "Detect, isolate, prove dead; record it under records, step detect-services, with the room and wall."
        weight: Weight = "record" if face.record else "hold"
        grounds = _grounds(face, zones)
        yield Finding("safety/fixing-in-zone", weight, f"{says} {DEFER}", where, grounds, mend, protects=True)


def passed_over(job: Job, found: Sequence[Face]) -> Iterator[Finding]:
    """Where trim passes over zones without a fixing in them, room by room."""
    for room in job.rooms:
        here = [face for face in found if face.room.name == room.name and face.crossings]
        over = by_trim((c.trim, face.wall.name) for face in here for c in face.crossings)
        if not over:
            continue
        says = f"In {room.name} trim passes over service zones: {over}. Add no fixing there on site."
        sources = tuple(dict.fromkeys(s for face in here for zone in face.zones for s in zone.grounds.sources))
        grounds = Grounds(formula="a place lies in a zone within its bounds, the bounds included", sources=sources)
        where = Where(room.name, line=job.line(room))
        yield Finding("safety/rail-crosses-zone", "record", says, where, grounds, protects=True)


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _grounds(face: Face, words: list[str]) -> Grounds:
    zones = [zone for zone in face.zones if in_words(zone) in words]
    inputs = tuple(dict.fromkeys(item for zone in zones for item in zone.grounds.inputs))
    sources = tuple(dict.fromkeys(source for zone in zones for source in zone.grounds.sources))
    worked = "; ".join(f"{in_words(zone)}: {zone.grounds.result}" for zone in zones)
    return Grounds(inputs, "a place lies in a zone within its bounds, the bounds included", worked, sources=sources)


def deep(job: Job, sheet: Sheet) -> Iterator[Finding]:
    """Fixings that reach as deep as cables need no zone: they may meet one anywhere on the wall."""
    rule, trims = rule_of(job), {trim.name: trim for trim in job.trim}
    reaching: dict[str, tuple[float, Grounds]] = {}
    for line in fixing_lines(sheet):
        trim = trims.get(line.trim)
        thick = (trim.section.thickness or trim.section.projection) if trim else None
        if line.length is None or thick is None or not line.points:
            continue
        into = penetration(line.length, thick, policy("punch"))
        if into < rule["deep"] or into <= reaching.get(line.trim, (0.0, Grounds()))[0]:
            continue
        inputs = (
            Input("length of the fixing", line.length, "mm"),
            Input("thickness of the trim", thick, "mm"),
            Input("sunk below the face", policy("punch"), "mm", assumed=True, note="custom"),
        )
        worked = f"{line.length:g} - {thick:g} + {policy('punch'):g} = {into:g} mm"
        reaching[line.trim] = (
            into,
            Grounds(inputs, "length, less the trim, plus the depth sunk", worked, f"{into:g} mm", rule.sources),
        )
    for name, (into, grounds) in reaching.items():
        says = (
            f"Fixings of the {name} go {show_length(into, job.units)} into the wall; from "
            f"{show_length(rule['deep'], job.units)} on {rule['rule']} "
            f"lets a cable run unguarded, so being outside a zone does not clear them. {DEFER}"
        )
        mend = "Use a shorter fixing where the bearing allows, or trace what runs in the wall."
        yield Finding("safety/deep-fixing", "caution", says, Where(trim=name), grounds, mend, protects=True)


def unknown(job: Job, sheet: Sheet, found: Sequence[Face]) -> Iterator[Finding]:
    """What was not surveyed, one finding for each fact: fittings, the other face, heights and lengths."""
    bare = [face for face in found if not face.wall.fittings and not face.record]
    if bare:
        what = f"any fitting on {_walls(bare)} (none were noted, which is not the same as none there)"
        mend = (
            "Note every socket, switch, light and pipe; or search the wall and record it under records, step "
            "detect-services."
        )
        yield not_surveyed("safety/fittings-not-surveyed", what, "where cables may run", _where(job, bare), mend)
    backs = [face for face in found if reverse_counts(job, face.wall) and not face.wall.behind and not face.record]
    if backs:
        what = f"the fittings on the other face of {_walls(backs)}"
        yield not_surveyed(
            "safety/other-face-not-surveyed", what, "whether their cables run in the same wall", _where(job, backs)
        )
    table = load_table(__package__, "fittings")
    low = [f for f in found if any(item.height is None and item.kind in table for item in _near(job, f.wall))]
    if low:
        yield not_surveyed(
            "safety/fitting-height",
            f"the height of some fittings on {_walls(low)}",
            "the zone level with them",
            _where(job, low),
        )
    tall = [face for face in found if not ceilings(face.room, face.wall)]
    if tall and rule_of(job).get("top"):
        yield not_surveyed(
            "safety/wall-height",
            f"the height of {_walls(tall)}",
            "the zone below the top of the wall",
            _where(job, tall),
        )
    long = [face for face in found if face.wall.length is None]
    if long:
        yield not_surveyed(
            "safety/wall-length", f"the length of {_walls(long)}", "the zone at the far corner", _where(job, long)
        )
    unknown_heights = sorted({band.trim for band in bands(job, sheet) if not band.knots})
    if unknown_heights:
        what = f"the height of the {_and(unknown_heights)}"
        yield not_surveyed(
            "safety/rail-height", what, "whether it lies level with a fitting or in the zone below the top of the wall"
        )


def _near(job: Job, wall: Wall) -> tuple[Fitting, ...]:
    return wall.fittings + (wall.behind if reverse_counts(job, wall) else ())


def _walls(some: Sequence[Face]) -> str:
    return named([(face.room, face.wall) for face in some])


def _where(job: Job, some: Sequence[Face]) -> Where:
    if len(some) == 1:
        return Where(some[0].room.name, some[0].wall.name, line=job.line(some[0].wall))
    rooms = {face.room.name for face in some}
    return Where(rooms.pop() if len(rooms) == 1 else "", line=job.line(some[0].wall))


def service_hazards(job: Job, found: Sequence[Face]) -> Iterator[object]:
    """Cables, pipes and gas as hazards, with what makes each apply; an old gas pipe is a hold until it is proved
    dead.
    """
    if not found:
        return
    count = sum(len(face.zones) for face in found)
    because = (
        f"Trim is fixed to {_walls(list(found))}; {count} zones where cables or pipes may run were found on them, "
        "and old wiring may ignore zones."
    )
    yield hazard("services", because, Grounds(sources=rule_of(job).sources))
    gas = [(face, item) for face in found for item in _near(job, face.wall) if item.kind in GAS]
    if gas:
        walls = _walls(list({id(face): face for face, _ in gas}.values()))
        yield hazard(
            "gas", f"Gas pipe or brackets were surveyed on {walls}; old gas pipe has been found live after a century."
        )
    for face, item in gas:
        if face.record:
            continue
        what = item.name or item.kind.replace("-", " ")
        where = Where(face.room.name, face.wall.name, station=item.at, height=item.height, line=job.line(item))
        says = (
            f"The {what} on wall {face.wall.name} of {face.room.name} may still be live. A registered gas engineer "
            f"proves it dead first. {DEFER}"
        )
        mend = "Have it proved dead or capped; record it under records, step detect-services, with the room and wall."
        yield Finding("safety/gas-pipe", "hold", says, where, mend=mend, protects=True)


def prove_first(hazards: Sequence[Hazard]) -> tuple[str, ...]:
    """What to prove before the first hole, in the order of the hazards."""
    return tuple(dict.fromkeys(item.prove for item in hazards if item.prove))
