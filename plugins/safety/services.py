"""Services against the rail and every fixing: crossings, what is known wall by wall, and what holds the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.contract.findings import PRACTICE, Grounds, Where
from listel.core.contract.lines import Lines
from listel.core.contract.records import records_on
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.quick import dataclass
from listel.core.survey.job import UK, Fitting, Job, Record, Room, Wall
from listel.plugins.fixings import Fixing
from listel.plugins.safety.crossings import Band, bands, free, holds_point, joined, met
from listel.plugins.safety.hazards import fixing_lines, hazard, named
from listel.plugins.safety.results import Crossing, Hazard, WallServices, Zone
from listel.plugins.safety.zones import extent, in_words, reverse_counts, rule_of, zones_of
from listel.plugins.site import Site, WallSite

RULES = load_rules(__package__)


def gassy(fitting: Fitting) -> bool:
    """Whether a fitting brings gas."""
    row = load_table(__package__, "fittings").find(fitting.kind)
    return row is not None and bool(row.get("gas"))


@dataclass(frozen=True, kw_only=True)
class Face:
    """One wall face that takes trim, with its zones and the crossings found on it."""

    room: Room
    site: WallSite
    zones: tuple[Zone, ...]
    crossings: tuple[Crossing, ...]
    record: Record | None

    @property
    def wall(self) -> Wall:
        """The wall as surveyed."""
        return self.site.wall

    @property
    def in_zone(self) -> list[Crossing]:
        """The fixings that stand in a zone, one for each zone they stand in."""
        return [crossing for crossing in self.crossings if crossing.fixing]


def faces(job: Job, sheet: Sheet) -> list[Face]:
    """Every wall that takes trim, with its zones, the rail lines and the fixings tested against each zone."""
    lines, rails, records = Lines(fixing_lines(sheet)), Lines(bands(job, sheet)), records_on(sheet)
    found = []
    for room, wall in job.walls_at_work:
        here = (room.name, wall.name)
        site = sheet[Site].wall(*here)
        zones = tuple(zones_of(job, room, site))
        crossings = [
            *rail_crossings(zones, rails.of(room=room.name, wall=wall.name)),
            *fixing_crossings(zones, site, lines.of(room=room.name, wall=wall.name)),
        ]
        record = records.of("detect-services", *here)
        found.append(Face(room=room, site=site, zones=zones, crossings=tuple(crossings), record=record))
    return found


def rail_crossings(zones: Sequence[Zone], rails: Sequence[Band]) -> Iterator[Crossing]:
    """The stretches of each rail line that lie in each zone."""
    for band in rails:
        for zone in zones:
            for start, end in met(zone, band):
                yield Crossing(
                    room=band.room,
                    wall=band.wall,
                    trim=band.trim,
                    start=start,
                    end=end,
                    zone=in_words(zone),
                    kind=zone.kind,
                )


def fixing_crossings(zones: Sequence[Zone], wall: WallSite, lines: Sequence[Fixing]) -> Iterator[Crossing]:
    """Every fixing that stands in a zone."""
    for line in lines:
        for point in line.points:
            level = None if point.height is None else point.height + wall.rise(point.station)
            for zone in zones:
                if holds_point(zone, point.station, level):
                    yield Crossing(
                        room=line.room,
                        wall=line.wall,
                        trim=line.trim,
                        start=point.station,
                        end=point.station,
                        zone=in_words(zone),
                        kind=zone.kind,
                        fixing=True,
                        height=point.height,
                    )


def wall_services(job: Job, face: Face) -> WallServices:
    """What is known of one wall's services."""
    along, _ = extent(face.room, face.site)
    upright = joined((zone.x0, zone.x1) for zone in face.zones if zone.kind in ("corner", "vertical"))
    clear = tuple(free(upright, *along)) if face.wall.length else ()
    stood = len({(c.trim, c.start, c.height) for c in face.in_zone})
    record = face.record
    detected = f"{record.by}: {(record.says or record.outcome.replace('-', ' ')).rstrip('.')}" if record else ""
    return WallServices(
        room=face.room.name,
        wall=face.wall.name,
        fittings=bool(face.wall.fittings),
        behind=behind_words(job, face.wall),
        zones=len(face.zones),
        in_zone=stood,
        detected=detected,
        free=clear,
    )


def behind_words(job: Job, wall: Wall) -> str:
    """What is known of the other face, in words."""
    if wall.external:
        return "outdoors"
    if not reverse_counts(job, wall):
        return "too thick for the other face to count"
    fitted = "surveyed" if wall.behind else "not surveyed"
    return fitted if wall.thickness is not None else f"{fitted}, thickness not known"


def near(job: Job, wall: Wall) -> tuple[Fitting, ...]:
    """The fittings of a wall, and those of its other face where they count."""
    return wall.fittings + (wall.behind if reverse_counts(job, wall) else ())


def walls_in_words(some: Sequence[Face]) -> str:
    """Wall faces in words, with their rooms."""
    return named([(face.room, face.wall) for face in some])


def service_hazards(job: Job, found: Sequence[Face]) -> Iterator[object]:
    """Cables, pipes and gas as hazards, with what makes each apply; an old gas pipe is a hold until it is proved
    dead.
    """
    if not found:
        return
    count = sum(len(face.zones) for face in found)
    because = f"Trim is fixed to {walls_in_words(list(found))}; cables or pipes may run in {count} zones on them."
    rooms = (face.room.name for face in found)
    yield hazard("services", because, Grounds(sources=rule_of(job).sources), rooms=rooms)
    gas = [(face, item) for face in found for item in near(job, face.wall) if gassy(item)]
    if gas:
        walls = walls_in_words(list({id(face): face for face, _ in gas}.values()))
        yield hazard(
            "gas",
            f"Gas pipe or brackets were surveyed on {walls}; old gas pipe has been found live after a century.",
            rooms=(face.room.name for face, _ in gas),
        )
    for face, item in gas:
        what = item.name or item.kind.replace("-", " ")
        where = Where(face.room.name, face.wall.name, station=item.at, height=item.height, line=job.line(item))
        says = (
            f"The {what} on wall {face.wall.name} of the {face.room.name} may still be live. A registered gas engineer "
            "proves it dead first."
        )
        mend = "Have it proved dead, or capped and tested."
        sure = "law" if job.building.region in UK else "custom"
        yield RULES["gas-pipe"].told("hold", says, where, Grounds(sources=(PRACTICE,)), mend, sure=sure)


def prove_first(hazards: Sequence[Hazard]) -> tuple[str, ...]:
    """What to prove before the first hole, in the order of the hazards."""
    return tuple(dict.fromkeys(item.prove for item in hazards if item.prove))
