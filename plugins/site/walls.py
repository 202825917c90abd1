"""What a wall itself forbids: holes deeper than it bears, work before a flue, work on a board that may be asbestos."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from listel.core.contract.findings import Finding, Grounds, Input, Source, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.units import show_length, show_load
from listel.plugins.site import tables
from listel.plugins.site.plan import corner_pairs
from listel.plugins.site.results import WallSite

RULES = load_rules(__package__)
SAMPLED = "records, of that very wall, outcome clear, which shows: what make-up the sample finds it to be"
"""How the survey is told that a wall is not what it was feared to be."""

PARTY_MOST, PARTY_KEPT = 75.0, 25.0
"""A hole in a party wall: 75 mm at most, and 25 mm short of its middle. Our own allowance."""
PARTY = Source("Holes in a party wall stay 25 mm short of its middle and under 75 mm", standing="allowance")


@dataclass(frozen=True, kw_only=True)
class DeepestHole:
    """The greatest depth of a hole in what bears, behind the plaster [mm], why, and by what."""

    depth: float
    why: str
    sources: tuple[Source, ...]


def arrises(room: Room, wall: Wall) -> tuple[float, float]:
    """How far a fixing stands from the left and from the right end of a wall, where that is an external corner, so that
    its arris does not break [mm]; 0 at other ends, and where the make-up was not surveyed."""
    row = tables.makeup(wall)
    kept = float(row.get("arris", 0.0)) if row else 0.0
    before = next((first.corner for first, second in corner_pairs(room) if second is wall), None)
    left, right = (kept if each is not None and each.kind == "external" else 0.0 for each in (before, wall.corner))
    return left, right


def flue_row(region: str | None) -> Row:
    """The distances from a flue that hold in a region."""
    rows = load_table(__package__, "flues")
    return next((row for row in rows if region in row.get("regions", ())), rows.row("elsewhere"))


BEFORE_A_FLUE = {"yes": "a flue runs behind it", "unknown": "a flue behind it is not ruled out"}


def no_blows(face: WallSite) -> str:
    """Why a wall may not be drilled with blows, in words; empty where it may."""
    row, substrate = tables.makeup(face.wall), face.wall.substrate
    if row is not None and (row.get("fragile") or row.get("drill") == "rotary"):
        return f"it is {row['says']}"
    if substrate is not None and substrate.condition in tables.UNSOUND:
        return f"its plaster is {substrate.condition}"
    return BEFORE_A_FLUE.get(face.flue, "")


def deepest_hole(job: Job, face: WallSite) -> DeepestHole | None:
    """The greatest hole that a wall allows; None where nothing bounds it. A flue not ruled out counts as one."""
    found = []
    wall, flue = face.wall, face.flue
    row = tables.makeup(wall)
    if row is not None and "deepest" in row.values:
        found.append(DeepestHole(depth=float(row["deepest"]), why=f"it is {row['says']}", sources=row.sources))
    if flue != "no":
        by = flue_row(job.building.region)
        found.append(DeepestHole(depth=float(by["deepest"]), why=BEFORE_A_FLUE[flue], sources=by.sources))
    if wall.party and wall.thickness is not None:
        depth = min(PARTY_MOST, wall.thickness / 2 - PARTY_KEPT)
        found.append(DeepestHole(depth=max(0.0, depth), why="it is a party wall", sources=(PARTY,)))
    return min(found, key=lambda one: one.depth, default=None)


def wall_findings(job: Job, room: Room, face: WallSite, trims: Sequence[Trim]) -> Iterator[Finding]:
    """What is to be said of one wall, with the trims that go to it."""
    wall = face.wall
    where = Where(room.name, wall.name, line=job.line(wall, "substrate"))
    row = tables.makeup(wall)
    if row is not None and (why := tables.left_alone(wall)):
        known = Input("make-up of the wall", row.name, line=where.line)
        says = f"Nothing is done to wall {wall.name}: {why}."
        grounds = Grounds((known,), row["recognise"], sources=row.sources)
        yield RULES["wall-on-hold"].told("hold", says, where, grounds, f"To go on: {row['find']}.", SAMPLED)
    if row is not None and wall.substrate is not None and (was := wall.substrate.read_as):
        shown = next(r for r in job.records if (r.room, r.wall, r.shows) == (room.name, wall.name, row.name))
        paper = ", ".join(filter(None, (shown.by, shown.on, shown.reference)))
        says = f"Wall {wall.name} was read as {tables.makeups().row(was)['says']}, and is shown to be {row['says']}"
        yield RULES["shown-to-be"].told("record", f"{says} ({paper}), by which it is reckoned.", where)
    for trim in trims:
        if row is not None and row.get("light") and trim.load:
            inputs = (
                Input("make-up of the wall", row.name, line=where.line),
                Input("load", trim.load, "N/m", job.line(trim, "load")),
            )
            says = (
                f"The {trim.name} is to carry {show_load(trim.load, job.units)}, and wall {wall.name} is {row['says']}."
            )
            mend = f"Hang nothing from it, or carry it on what bears: {row['find']}."
            at = Where(room.name, wall.name, trim.name, line=where.line)
            yield RULES["light-wall"].told("hold", says, at, Grounds(inputs, sources=row.sources), mend, load=trim.load)
    if wall.party and wall.thickness is None:
        what, decides = f"the thickness of the party wall {wall.name}", "how deep a hole in it may go"
        yield RULES["party-wall-thickness"].lacking(what, decides, where)
    yield from _flue(job, room, face)


def _flue(job: Job, room: Room, face: WallSite) -> Iterator[Finding]:
    wall, flue, row = face.wall, face.flue, flue_row(job.building.region)
    if flue == "no":
        return
    where = Where(room.name, wall.name, line=job.line(wall, "flue") or job.line(wall))

    def far(column: str) -> str:
        return show_length(row[column], job.units)

    if flue == "unknown":
        what = f"whether a flue runs up in wall {wall.name}"
        decides = "how deep a hole in it may go, and how near timber may come"
        mend = "ask a sweep, look up the chimney and on the roof; until then it counts as one"
        yield RULES["flue-unknown"].lacking(what, decides, where, mend)
    says = (
        f"Wall {wall.name} {'stands before a flue' if flue == 'yes' else 'may stand before a flue'}: no hole deeper "
        f"than {far('deepest')} in the masonry, without blows, and no metal that touches timber within "
        f"{far('metal')} of the flue. Soot or a draught in a hole: stop, close it, and have the flue tested."
    )
    facts: dict[str, Any] = {"deepest": float(row["deepest"]), "metal": float(row["metal"])}
    if row.get("lining"):
        facts["lining"] = float(row["lining"])
        says += (
            f" Combustible trim stays {far('lining')} from the lining of the flue, and comes at most {far('corner')} "
            "round the corner of the chimney."
        )
    grounds = Grounds((Input("flue", flue, line=where.line),), sources=row.sources)
    yield RULES["before-a-flue"].told("caution", says + " Local codes rule.", where, grounds, **facts)
