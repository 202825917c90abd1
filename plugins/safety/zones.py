"""Service zones: the parts of a wall face in which a concealed cable or pipe may be expected.

Stations run along the wall face. Heights are above the floor at the wall's start, level along the wall: where the floor
was levelled, a height above the floor elsewhere is brought to that line by the rise of the floor.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import UK, Fitting, Job, Room, Wall
from listel.plugins.safety.results import Zone
from listel.plugins.site import WallSite

Span = tuple[float, float]
PIPES = ("pipe", "gas")
"""The kinds of zone that a pipe makes; one of gas has another to make it safe."""


def policy(name: str) -> float:
    """A margin or choice of ours, by name (mm unless its note says otherwise). Source: the table ``policy``,
    allowances.
    """
    return float(load_table(__package__, "policy").row(name)["value"])


def rule_of(job: Job) -> Row:
    """The row of the table ``zones`` that governs the job's region; "elsewhere" where the region is not known or
    checked.
    """
    region = job.building.region
    name = "united-kingdom" if region in UK else region
    table = load_table(__package__, "zones")
    return table.find(name or "") or table.row("elsewhere")


def ceilings(room: Room, wall: WallSite) -> tuple[float, ...]:
    """Every known height of the top of the wall, mm above the floor at its start; empty where none was surveyed: over a
    floor that is raised a height must have been taken there."""
    start = wall.floor(0.0)
    if start is not None and wall.wall.ceiling:
        return tuple(start + above for _, above in wall.ceilings.readings)
    here = tuple(reading.height for reading in room.height if reading.wall == wall.name)
    return here if here or wall.wall.raised else tuple(reading.height for reading in room.height)


def extent(room: Room, wall: WallSite) -> tuple[Span, Span]:
    """The stations and heights a wall face reaches over, mm; what was not measured is taken far enough to miss
    nothing.
    """
    far = policy("unmeasured")
    length = far if wall.length is None else wall.length
    low = min([0.0, *(wall.rise(at) for at, _ in wall.floors.readings)])
    return (0.0, length), (low, max(ceilings(room, wall), default=far))


@dataclass(frozen=True, kw_only=True)
class Box:
    """A fitting's plate as zones are drawn from it. ``y0``/``y1`` None: its height was not surveyed."""

    fitting: Fitting
    x0: float
    x1: float
    y0: float | None
    y1: float | None
    inputs: tuple[Input, ...]


def box_of(job: Job, wall: WallSite, fitting: Fitting, row: Row) -> Box:
    """A fitting as a box on its wall; a width or depth that was not measured is taken from the table, and marked
    assumed.
    """
    width = fitting.width if fitting.width is not None else float(row["width"])
    depth = fitting.depth if fitting.depth is not None else float(row["depth"])
    note = "usual size; not surveyed"
    inputs: tuple[Input, ...] = (
        Input("at", fitting.at, "mm", job.line(fitting, "at")),
        Input(
            "width",
            width,
            "mm",
            job.line(fitting, "width"),
            fitting.width is None,
            note=note if fitting.width is None else "",
        ),
        Input(
            "depth",
            depth,
            "mm",
            job.line(fitting, "depth"),
            fitting.depth is None,
            note=note if fitting.depth is None else "",
        ),
    )
    if fitting.height is None:
        return Box(fitting=fitting, x0=fitting.at, x1=fitting.at + width, y0=None, y1=None, inputs=inputs)
    foot = fitting.height + wall.rise(fitting.at)
    inputs += (Input("height", fitting.height, "mm", job.line(fitting, "height")),)
    return Box(fitting=fitting, x0=fitting.at, x1=fitting.at + width, y0=foot, y1=foot + depth, inputs=inputs)


def zones_of(job: Job, room: Room, wall: WallSite) -> list[Zone]:
    """Every zone on one wall face: top, corners, and what the fittings on this face and the other make.

    Distances come from the region's row of the table ``zones``; the margin each side of a plate is our own (table
    ``policy``). Bounds belong to the zone. Source: BS 7671:2018, 522.6.202 (seen second-hand) in the United Kingdom.
    """
    rule = rule_of(job)
    tops = ceilings(room, wall)
    along, up = extent(room, wall)
    found: list[Zone] = []
    if rule.get("top") and tops:
        found.append(_zone(room, wall, "top", along, (min(tops) - rule["top"], max(tops)), "top of the wall", rule))
    if rule.get("corner"):
        if corner_at(wall.wall, left=True):
            found.append(_zone(room, wall, "corner", (0.0, rule["corner"]), up, "corner where the wall starts", rule))
        if wall.length is not None and corner_at(wall.wall, left=False):
            near = (along[1] - rule["corner"], along[1])
            found.append(_zone(room, wall, "corner", near, up, "corner where the wall ends", rule))
    for fitting in wall.fittings:
        found += fitting_zones(job, room, wall, fitting, "")
    if reverse_counts(job, wall.wall):
        for fitting in wall.behind:
            found += fitting_zones(job, room, wall, fitting, " on the other face")
    return found


def corner_at(wall: Wall, *, left: bool) -> bool:
    """Whether another wall may stand at an end of this one: not where it comes to a newel or runs on."""
    return wall.ends is None or wall.ends.at(left) not in ("newel", "run-on")


def reverse_counts(job: Job, wall: Wall) -> bool:
    """Whether fittings on the other face make zones on this one: the wall is thin enough, or its thickness is not
    known.
    """
    return not wall.external and (wall.thickness is None or wall.thickness <= rule_of(job)["reverse"])


def fitting_zones(job: Job, room: Room, wall: WallSite, fitting: Fitting, side: str) -> Iterator[Zone]:
    """The zones one fitting makes; none for what brings no service (a mantel, a shelf)."""
    row = load_table(__package__, "fittings").find(fitting.kind)
    if row is None:
        return
    box = box_of(job, wall, fitting, row)
    by = (fitting.name or fitting.kind.replace("-", " ")) + side
    along, whole = extent(room, wall)
    if row["makes"] == "cable":
        rule, margin = rule_of(job), policy("margin")
        across = bay_of(wall, box) if rule["upright"] == "bay" else (box.x0 - margin, box.x1 + margin)
        yield _fitting_zone(room, wall, "vertical", across, whole, by, box, rule)
        if rule["level"] and box.y0 is not None and box.y1 is not None:
            yield _fitting_zone(room, wall, "horizontal", along, (box.y0 - margin, box.y1 + margin), by, box, rule)
    elif row["makes"] == "tails":
        yield from _tail_zones(job, room, wall, box, by)
    else:
        margin = policy("pipe-margin")
        known = box.y0 is not None and box.y1 is not None and row["makes"] == "pipe"
        up = (box.y0 - margin, box.y1 + margin) if known and box.y0 is not None and box.y1 is not None else whole
        kind = "gas" if row.get("gas") else "pipe"
        yield _fitting_zone(room, wall, kind, (box.x0 - margin, box.x1 + margin), up, by, box, row)


def _tail_zones(job: Job, room: Room, wall: WallSite, box: Box, by: str) -> Iterator[Zone]:
    """Where a radiator's tails are looked for: about both its ends, from the floor to its top.

    A tail that was surveyed by itself makes a zone of its own as a pipe.
    """
    reach = policy("tail-reach")
    row = load_table(__package__, "fittings").row("radiator")
    low, high = extent(room, wall)[1]
    top = high if box.y1 is None else box.y1
    for end in (box.x0, box.x1):
        yield _fitting_zone(room, wall, "pipe", (end - reach, end + reach), (low, top), f"tail of the {by}", box, row)


def bay_of(wall: WallSite, box: Box) -> Span:
    """The stud bay that holds a box, face to face of its studs; a bay's width to either side where studs were not
    surveyed.

    A box that stands over a stud has both bays beside it.
    """
    half = (wall.stud_width or policy("stud")) / 2
    if not wall.studs:
        wide = wall.stud_spacing or policy("bay")
        return box.x0 - wide, box.x1 + wide
    left = [c + half for c in wall.studs if c + half <= box.x0]
    right = [c - half for c in wall.studs if c - half >= box.x1]
    end = box.x1 + policy("bay") if wall.length is None else wall.length
    return max(left, default=0.0), min(right, default=max(end, box.x1))


def _fitting_zone(room: Room, wall: WallSite, kind: str, across: Span, up: Span, by: str, box: Box, row: Row) -> Zone:
    margin = policy("pipe-margin" if kind in PIPES else "margin")
    inputs = (*box.inputs, Input("margin", margin, "mm", assumed=True, note="our own setting"))
    zone = _zone(room, wall, kind, across, up, by, row)
    return replace(zone, grounds=replace(zone.grounds, inputs=inputs))


_FORMULA = {
    "top": "band below the top of the wall, from its lowest reading",
    "corner": "band beside the corner",
    "vertical": "straight up and down from the plate, with the margin each side; in the United States its stud bay",
    "horizontal": "straight along the wall from the plate, with the margin above and below",
    **dict.fromkeys(PIPES, "the pipe with a margin round it"),
}


def _zone(room: Room, wall: WallSite, kind: str, across: Span, up: Span, by: str, row: Row) -> Zone:
    result = f"stations {across[0]:.0f} to {across[1]:.0f} mm, heights {up[0]:z.0f} to {up[1]:z.0f} mm"
    grounds = Grounds((), _FORMULA[kind], result=result, sources=(*row.sources, GEOMETRY))
    (x0, x1), (y0, y1) = across, up
    return Zone(room=room.name, wall=wall.name, kind=kind, x0=x0, x1=x1, y0=y0, y1=y1, by=by, grounds=grounds)


def in_words(zone: Zone) -> str:
    """A zone in a few words: its kind and what makes it."""
    if zone.kind == "top":
        return "the zone below the top of the wall"
    if zone.kind == "corner":
        return f"the zone of the {zone.by}"
    kinds = {
        "vertical": "the zone above and below the",
        "horizontal": "the zone level with the",
        **dict.fromkeys(PIPES, "the run of the"),
    }
    return f"{kinds[zone.kind]} {zone.by}"
