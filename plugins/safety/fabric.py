"""Hazards of the building's own fabric: lead, asbestos, arsenic, wildlife, damp, loose plaster, movement."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.findings import Finding, Grounds, Input, Weight, Where
from listel.core.contract.records import records_on
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Job, Room, Wall
from listel.plugins.existing import Existing, OldPiece, at_work, stripped_by
from listel.plugins.safety.hazards import hazard, named, rooms_of, tool_row
from listel.plugins.safety.results import LeftInPlace
from listel.plugins.site import tables

RULES = load_rules(__package__)

STAYS = {
    "sealed": ("sealed", "Nothing is drilled, nailed, stuck, cut, sanded or stripped there."),
    "by-plan": (
        "in textured coating",
        "It is drilled for the fixings alone, by those trained and by the plan; nothing is sanded, scraped or stripped "
        "there.",
    ),
}
"""By the outcome of its record, how asbestos stays, and what nobody does there."""

DAMP = 20.0
"""From so many per cent on no trim goes on a wall. Source: general guidance on decay (seen second-hand)."""


def regime(job: Job, matter: str) -> Row:
    """The row of the table ``materials`` for lead or asbestos in the job's region; "elsewhere" where that is not
    known.
    """
    table = load_table(__package__, "materials")
    rows = [row for row in table if row["matter"] == matter]
    return next((row for row in rows if job.building.region in row["regions"]), rows[-1])


def earliest(job: Job) -> int | None:
    """The year the building was built; ten years early where that is about, None where it is not known."""
    built = job.building.built
    return built - 10 if built is not None and job.building.built_about else built


def age(job: Job, matter: str) -> str:
    """Whether the material is "presumed", "possible", "unlikely" or "unknown" by the building's year.

    A building later than the year, but never refurbished before it, has none.
    """
    year, row = earliest(job), regime(job, matter)
    if year is None:
        return "unknown"
    return "presumed" if year < row["presume"] else "possible" if year < row["possible"] else "unlikely"


def _age_grounds(job: Job, matter: str) -> Grounds:
    row, building = regime(job, matter), job.building
    built: float | str = building.built if building.built is not None else "not surveyed"
    inputs = (
        Input("built", built, "", job.line(building, "built"), note="about" if building.built_about else ""),
        Input("region", building.region or "not surveyed", "", job.line(building, "region")),
    )
    formula = f"presumed before {row['presume']}, possible before {row['possible']}"
    return Grounds(inputs, formula, result=age(job, matter), sources=row.sources)


def built_words(job: Job) -> str:
    """When the building was built, in words."""
    built = job.building.built
    if built is None:
        return "The year the building was built is not known"
    return f"The building is of {'about ' if job.building.built_about else ''}{built}"


def old_painted(sheet: Sheet) -> tuple[OldPiece, ...]:
    """The old pieces whose paint is disturbed: those that come off or are cut into."""
    return (sheet.get(Existing) or Existing()).disturbed()


def disturbed(job: Job, sheet: Sheet) -> list[str]:
    """What in this job disturbs old paint, in words."""
    old = old_painted(sheet)
    what = "comes off" if any(piece.comes_off for piece in old) else "is cut into"
    found = [f"old trim {what} ({', '.join(piece.label for piece in old)})"] if old else []
    loose = (sheet.get(Existing) or Existing()).loose_paint()
    found += [f"old paint is loose already ({', '.join(f'{p.label}, {p.paint}' for p in loose)})"] if loose else []
    return [*found, *(["old paint is stripped or sanded"] if job.work.strip_paint else [])]


def heat(job: Job) -> tuple[str, Input] | None:
    """The heat that is planned on old work, in words and as it was surveyed: the way by which paint is stripped, or
    else what ``hot-work`` says; None where none is."""
    way = stripped_by(job)
    if way is not None and way.get("heat"):
        return str(way["says"]), Input("strip-method", way.name, line=job.line(job.work, "strip-method"))
    if job.work.hot_work:
        return "a flame or hot air", Input("hot work", "planned", line=job.line(job.work, "hot-work"))
    return None


def rough_ways(job: Job) -> list[str]:
    """Planned ways of working that throw the most lead into the air: machine sanding, flame and hot air."""
    sanders = [tool.tool for tool in job.work.tools if (row := tool_row(tool)) and row["is"] == "sander"]
    return [*(f"the {tool}" for tool in sanders), *([hot[0]] if (hot := heat(job)) else [])]


def lead(job: Job, sheet: Sheet) -> Iterator[object]:
    """Lead in old paint, by the building's year and place."""
    likely = age(job, "lead")
    if likely == "unlikely" or not at_work(job):
        return
    grounds, row = _age_grounds(job, "lead"), regime(job, "lead")
    doing, rough = disturbed(job, sheet), rough_ways(job)
    walls = ["holes are drilled and edges trimmed back through old paint on the walls"] if job.trim else []
    what = "; ".join([*doing, *walls]) or "old painted trim is worked at"
    verdict = {"presumed": "its paint is presumed to hold lead", "possible": "its older paint may hold lead"}.get(
        likely, "so lead is presumed"
    )
    because = f"{built_words(job)}, {'and ' if likely != 'unknown' else ''}{verdict}: {what}."
    also = ("a flame, or a heat gun above 1100 F, is forbidden",) if job.building.region == "united-states" else ()
    yield hazard("lead", because, grounds, also=also, rooms=rooms_at_work(job))
    because = f"{because} Work with it falls under {row['law']}."
    mend = "Have each paint system tested, or treat it as lead."
    weight: Weight = "caution" if doing else "advice"
    if doing and likely != "possible":
        if rough:
            yield _rough_on_lead(job, rough, grounds)
        if job.building.children:
            weight, because = "hold", f"{because} Children under six, or someone pregnant, live there."
    yield RULES["lead-paint"].told(weight, because, grounds=grounds, mend=mend)


def _rough_on_lead(job: Job, rough: list[str], grounds: Grounds) -> Finding:
    """Old paint that would be sanded by machine or heated: no method settles that, only a test."""
    how = " and ".join(rough)
    says = f"Old paint is to be worked with {how}, which fills the house with its dust or fume, whatever the method"
    if job.building.region == "united-states":
        says += (
            "; the federal rule forbids flame, and machine sanding without HEPA exhaust, on paint of those years in "
            "dwellings and schools, whatever the area"
        )
    mend = "Work it wet and by hand, or have each surface tested."
    return RULES["rough-on-lead"].told("hold", f"{says}.", grounds=grounds, mend=mend)


def asbestos(job: Job, sheet: Sheet) -> Iterator[object]:
    """Asbestos, by the building's year and place: held until a survey or sample clears the walls; what stays, sealed,
    is told whatever the year."""
    left = left_in_place(sheet)
    for line in left:
        says = (
            f"Asbestos stays at {line.where}, {line.how}: {line.by}. {line.never} Whoever lives or works there is told."
        )
        yield RULES["asbestos-left"].told("caution", says, Where(line.room, line.wall))
    if planned := [line for line in left if line.plan]:
        because = f"Asbestos is in the textured coating of {' and '.join(line.where for line in planned)}."
        yield hazard("asbestos-by-plan", because, rooms=list(dict.fromkeys(line.room for line in planned)))
    if age(job, "asbestos") == "unlikely" or not at_work(job):
        if left:
            yield hazard(
                "asbestos", f"It stays {_places(left)}.", also=tuple(dict.fromkeys(line.never for line in left))
            )
        return
    grounds, row = _age_grounds(job, "asbestos"), regime(job, "asbestos")
    early = [year for year in job.building.refurbished if year < row["presume"]]
    later = f", and works of {', '.join(str(year) for year in early)} may have brought it in" if early else ""
    because = (
        f"{built_words(job)}{later}. Buildings before {row['presume']} may hold it near trim: boxing and lining "
        "boards, textured coatings, embossed coverings, sheet flooring and its upstand at the wall, floor tiles and "
        f"their black adhesive, pipe lagging.{_suspect(job)}"
    )
    if job.building.built is None:
        because = because.replace(". Buildings", ", so it is presumed. Buildings", 1)
    also = tuple(f"where it stays, {_places([line])}: {line.never[:1].lower()}{line.never[1:-1]}" for line in left)
    rooms = rooms_at_work(job)
    yield hazard("asbestos", because, grounds, also=also, rooms=rooms)
    places = f" in {', '.join(f'the {room}' for room in rooms)}" if rooms else ""
    because = f"{because} It falls under {row['law']}."
    says = f"Whether there is asbestos is to be known{places} before anything is touched. {because}"
    mend = "Have what will be drilled, cut or taken off surveyed for refurbishment, or sampled, before it is touched."
    yield RULES["asbestos"].told("hold", says, Where(line=job.line(job.building, "built")), grounds, mend)


def left_in_place(sheet: Sheet) -> tuple[LeftInPlace, ...]:
    """Asbestos that stays in the building, by its records."""
    records, step = records_on(sheet), "asbestos-check"
    sealed = (record for record in records.against if (record.step, record.outcome) == (step, "sealed"))
    planned = (r for r in records.counting if r.outcome == "by-plan" and records.of(step, r.room, r.wall) == r)
    return tuple(
        LeftInPlace(
            room=record.room,
            wall=record.wall,
            where=f"wall {record.wall} of the {record.room}" if record.wall else record.room or "a place not named",
            how=STAYS[record.outcome][0],
            never=STAYS[record.outcome][1],
            plan=record.outcome == "by-plan",
            by=", ".join(filter(None, (f"by {record.by}", record.on, record.reference))),
            note=record.says,
        )
        for record in (*sealed, *planned)
    )


def _places(left: Sequence[LeftInPlace]) -> str:
    """Where it stays, and how: "at wall A of the Hall, sealed"."""
    return " and ".join(dict.fromkeys(f"at {line.where}, {line.how}" for line in left))


def rooms_at_work(job: Job) -> list[str]:
    """The rooms that take trim or whose old trim is worked at, in survey order."""
    rooms = {place.room for trim in job.trim for place in trim.where} | {room for room, _ in job.old_at_work}
    return [room.name for room in job.rooms if room.name in rooms]


def _suspect(job: Job) -> str:
    """What of this job's own walls may hold it, by the tables ``makeups`` and ``finishes``."""
    found: dict[str, list[tuple[Room, Wall]]] = {}
    for room, wall in job.walls_at_work:
        made = tables.makeup(wall)
        what = [f"{made['says']}, {made['asbestos']}," if made and made.get("asbestos") else ""]
        what += [row["says"] for row in tables.finishes_on(wall) if row.get("asbestos")]
        for says in filter(None, what):
            found.setdefault(says, []).append((room, wall))
    return "".join(f" Here that is {_the(what)} on {named(walls)}." for what, walls in found.items())


def _the(what: str) -> str:
    return what if what.startswith("a ") else f"the {what}"


def arsenic(job: Job, sheet: Sheet) -> Iterator[object]:
    """Arsenic in old papers and paints of any colour, in a building as old as they are: held where such a paper itself
    is drilled, cut or laid open. Source: the table ``finishes``."""
    last, year = tables.finishes().row("old-paper"), earliest(job)
    if year is not None and year >= last["to"]:
        return
    opened = [piece for piece in (sheet.get(Existing) or Existing()).pieces if piece.arsenic and piece.opened]
    doubted, papers = [], dict[tuple[str, str], list[str]]()
    for room, wall in job.walls_at_work:
        rows = [row for row in tables.finishes_on(wall) if row.get("arsenic")]
        here = [piece.label for piece in opened if (piece.room, piece.wall) == (room.name, wall.name)]
        what = [row["says"] for row in rows if row.get("to")]
        what += [f"old paper behind {' and '.join(here)}"] if here else []
        doubted += [(room, wall)] if rows or what else []
        if what:
            papers[room.name, wall.name] = what
    if not doubted:
        return
    because = (
        f"{built_words(job)}{' and' if year is not None else ','} there is old paper or paint on {named(doubted)}; of "
        "any colour, it may hold arsenic, and later paper may lie over it."
    )
    grounds = Grounds(sources=last.sources)
    yield hazard("arsenic", because, grounds, rooms=rooms_of(doubted))
    for (name, on), what in papers.items():
        says = (
            f"Wall {on} of the {name} has {' and '.join(what)}, of any colour, which may hold arsenic: it is drilled, "
        )
        mend = "Have it tested, layer by layer; or keep the work off it."
        where = Where(name, on, line=job.line(job.room(name).wall(on)))
        yield RULES["arsenic"].told("hold", f"{says}cut or laid open only once it is known.", where, grounds, mend)


def wildlife(job: Job, sheet: Sheet) -> Iterator[object]:
    """Bats and birds, where a void that they may reach is opened. Source: Habitats Regulations 2017, reg. 43
    (published, seen); whom to ask is in the table ``emergencies``."""
    if opened := voids_opened(job, sheet):
        rows = load_table(__package__, "emergencies")
        body = next((row.get("bats") for row in rows if job.building.region in row["regions"]), None)
        because = f"Voids that bats may reach are opened: {named(opened)}."
        found = hazard("wildlife", because, rooms=rooms_of(opened))
        yield replace(found, controls=(*found.controls, f"whom to ask: {body}")) if body else found


def voids_opened(job: Job, sheet: Sheet) -> list[tuple[Room, Wall]]:
    """The walls with a void behind them that the roof or the open air may reach, and that old work comes off; in a roof
    those that are worked at. A wall that is not told to be inside may be an outer one."""
    off = {(piece.room, piece.wall) for piece in (sheet.get(Existing) or Existing()).pieces if piece.comes_off}
    return [
        (room, wall)
        for room, wall in job.walls_at_work
        if tables.is_hollow(wall)
        and (in_roof(room) or ((room.name, wall.name) in off and wall.external is not False and _is_old(wall)))
    ]


def in_roof(room: Room) -> bool:
    """Whether a room lies under the roof, by the storey it is said to be on."""
    return (room.storey or "").strip().casefold() in ("attic", "loft", "roof", "garret")


def _is_old(wall: Wall) -> bool:
    """Whether its make-up was in use before 1919, or is not known."""
    row = tables.makeup(wall)
    return row is None or not row.get("late")


def damp(job: Job, sheet: Sheet) -> Iterator[object]:
    """Damp walls: read at 20 % or more, or called damp. Source: general guidance on decay, rot possible from 20 %
    (seen second-hand).
    """
    wet = [
        (room, wall)
        for room, wall in job.walls_at_work
        if (wall.moisture is not None and wall.moisture >= DAMP)
        or (wall.substrate and wall.substrate.condition == "damp")
    ]
    if not wet:
        return
    inputs = tuple(
        Input(f"moisture, wall {wall.name}", wall.moisture, "%", job.line(wall, "moisture"))
        for _, wall in wet
        if wall.moisture is not None
    )
    yield hazard(
        "damp",
        f"The survey found damp in {named(wet)}.",
        Grounds(inputs, "rot is possible from 20 %"),
        rooms=rooms_of(wet),
    )


def dry_rot(job: Job, sheet: Sheet) -> Iterator[object]:
    """Spores and carried strands, where old trim with dry rot is taken off or cut into."""
    pieces = [piece for piece in (sheet.get(Existing) or Existing()).pieces if piece.spreads and piece.opened]
    if pieces:
        because = f"Dry rot is on {', '.join(piece.label for piece in pieces)}, which is taken off or cut into."
        yield hazard("dry-rot", because, rooms=[piece.room for piece in pieces])


def loose_plaster(job: Job, sheet: Sheet) -> Iterator[object]:
    """Loose, hollow or crumbling plaster on walls that take trim."""
    loose = [(r, w) for r, w in job.walls_at_work if w.substrate and w.substrate.condition in tables.UNSOUND]
    if loose:
        because = f"The plaster is loose, hollow or crumbling on {named(loose)}."
        yield hazard("loose-plaster", because, rooms=rooms_of(loose))


def structure(job: Job, sheet: Sheet) -> Iterator[object]:
    """Signs of movement: walls out of plumb or bowed by more than a hundredth."""
    moved = [
        (room, wall)
        for room, wall in job.walls_at_work
        if (wall.lean is not None and abs(wall.lean) >= 1.0)
        or (wall.bow is not None and wall.bow.rise / wall.bow.chord >= 0.01)
    ]
    if moved:
        because = (
            f"The survey found {named(moved)} leaning a degree or more, or bowed by a hundredth of the chord or "
            "more (our own marks)."
        )
        signs = hazard("structure", because, rooms=rooms_of(moved))
        yield signs
        for room, wall in moved:
            says = (
                f"Wall {wall.name} of the {room.name} leans or bows as a wall does that has moved, and may still move."
            )
            where = Where(room.name, wall.name, line=job.line(wall))
            yield RULES["structure"].told("caution", says, where, signs.grounds, "Have a structural engineer look.")


def _smoulders(wall: Wall) -> bool:
    row = tables.makeup(wall)
    return row is not None and bool(row.get("smoulders"))


def hollow_walls(job: Job) -> list[tuple[Room, Wall]]:
    """Walls that take trim and have a void behind their face, as far as the survey tells."""
    return [(room, wall) for room, wall in job.walls_at_work if tables.is_hollow(wall) or _smoulders(wall)]
