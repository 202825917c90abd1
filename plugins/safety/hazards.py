"""The form of a hazard, and the hazards of tools: laser, saw, nailing, dust."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from listel.core.contract.findings import Grounds, Input, Source, Weight, Where
from listel.core.contract.firms import rooms_covered
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import Row, load_table, open_table
from listel.core.survey.job import Job, Room, ToolUse, Wall
from listel.plugins.fixings import Fixing, FixingSchedule
from listel.plugins.safety.results import Hazard, Sign
from listel.plugins.site import tables

RULES = load_rules(__package__)

DEFER = "Local codes and licensed practice come first."


def hazard(
    name: str,
    because: str,
    grounds: Grounds = Grounds(),
    *,
    rooms: Iterable[str] = (),
    also: Iterable[str] = (),
    wear: Iterable[str] = (),
) -> Hazard:
    """A hazard with what the table ``hazards`` holds for it, and the ``rooms`` it is met in, none for the whole job;
    ``also`` and ``wear`` add controls and clothing of this job.
    """
    row, own = open_table(__package__, "hazards").row(name), load_table(__package__, "hazards")
    return Hazard(
        name=row["title"],
        because=because,
        controls=(*also, *row["controls"]),
        wear=tuple(dict.fromkeys((*row["wear"], *wear))),
        signs=tuple(sign(code, row["title"]) for code in row["signs"]),
        prove=row["prove"],
        law=in_law([own.sources[row["law"]]]) if row.get("law") else "",
        rooms=tuple(dict.fromkeys(rooms)),
        grounds=Grounds(
            grounds.inputs, grounds.formula, grounds.worked, grounds.result, (*grounds.sources, *row.sources)
        ),
    )


def in_law(sources: Iterable[Source]) -> str:
    """The law by its titles and years; what is custom is none."""
    laws = (source for source in sources if source.standing.startswith("published"))
    return "; ".join(" ".join(filter(None, (source.title, source.year))) for source in laws)


def sign(code: str, why: str) -> Sign:
    """A safety sign by its ISO 7010 number; KeyError if its number was not checked. Source: ISO 7010:2019 (seen
    second-hand).
    """
    return Sign(code, open_table(__package__, "signs").row(code)["title"], why.lower())


def rooms_of(pairs: Iterable[tuple[Room, Wall]]) -> Iterator[str]:
    """The names of the rooms of some walls."""
    return (room.name for room, _ in pairs)


def named(pairs: list[tuple[Room, Wall]]) -> str:
    """Walls in words: "walls A, B of the Parlour; wall C of the Hall"."""
    rooms: dict[str, list[str]] = {}
    for room, wall in pairs:
        rooms.setdefault(room.name, []).append(wall.name)
    return "; ".join(
        f"{'walls' if len(walls) > 1 else 'wall'} {', '.join(walls)} of the {room}" for room, walls in rooms.items()
    )


def fixing_lines(sheet: Sheet) -> tuple[Fixing, ...]:
    """The fixing schedule's lines; empty if it is not there."""
    schedule = sheet.get(FixingSchedule)
    return schedule.lines if schedule else ()


def tool_row(tool: ToolUse) -> Row | None:
    """The first row of the table ``tools`` with a word of the tool's name in it; None if it is not known."""
    said = tool.tool.lower()
    return next((row for row in load_table(__package__, "tools") if any(word in said for word in row["words"])), None)


def laser(job: Job, sheet: Sheet) -> Iterator[object]:
    """The laser level by its class. Source: EN/IEC 60825-1 (seen second-hand)."""
    given = job.work.laser_class
    if given is None:
        return
    line = job.line(job.work, "laser-class")
    risky = given in ("3R", "3B", "4")
    words = {"1": "safe in use", "2": "safe for a glance, as the eye blinks away in a quarter of a second"}
    meaning = words.get(
        given, "not safe for the eye" if risky else "safe for the bare eye, but not through a lens or a telescope"
    )
    because = f"The laser level is of class {given}: {meaning}."
    beam = hazard("laser", because, Grounds((Input("laser class", given, "", line),)))
    yield beam
    if risky:
        weight: Weight = "caution" if given == "3R" else "hold"
        says = f"{because} A level of class 1 or 2 does the same work."
        mend = "Use a laser level of class 1 or 2."
        yield RULES["laser-class"].told(weight, says, Where(line=line), beam.grounds, mend)


def saw(job: Job, sheet: Sheet) -> Iterator[object]:
    """The saw, where there is trim to cut."""
    named = [tool.tool for tool in job.work.tools if (row := tool_row(tool)) and row["is"] == "saw"]
    if named:
        yield hazard("saw", f"Lengths are cut with the {' and the '.join(dict.fromkeys(named))}.")
    elif job.trim and not job.work.tools:
        yield hazard("saw", "Which saw cuts the trim was not surveyed; a mitre saw is likely.")


def nailing(job: Job, sheet: Sheet) -> Iterator[object]:
    """Eyes, where anything is nailed or pinned."""
    driven = sorted({line.kind for line in fixing_lines(sheet) if "nail" in line.kind or line.kind == "pin"})
    guns = [tool.tool for tool in job.work.tools if (row := tool_row(tool)) and row["is"] == "nailer"]
    told = [*(kind.replace("-", " ") + "s" for kind in driven), *guns]
    if told:
        yield hazard("nailing", f"The work is fixed with {' and '.join(told)}.")


def silica(job: Job, sheet: Sheet) -> Iterator[object]:
    """Silica, where masonry is drilled."""
    drilled: dict[str, dict[tuple[str, str], tuple[Room, Wall]]] = {}
    for line in fixing_lines(sheet):
        by_drill = line.plug or any(word in line.kind for word in ("plug", "anchor", "wedge", "screw"))
        if line.substrate and by_drill and tables.makeups().row(line.substrate)["dust"] == "silica":
            room = job.room(line.room)
            drilled.setdefault(line.substrate, {})[line.room, line.wall] = room, room.wall(line.wall)
    if drilled:
        told = "; ".join(f"{into.replace('-', ' ')}: {named([*walls.values()])}" for into, walls in drilled.items())
        yield hazard(
            "silica",
            f"Holes are drilled in {told}.{_limit(job, 'silica')}",
            _limit_grounds(job, "silica"),
            rooms=(room for walls in drilled.values() for room, _ in walls),
        )


def wood_dust(job: Job, sheet: Sheet) -> Iterator[object]:
    """Wood dust, where there is trim to cut: hardwood and board by the stricter limit."""
    if not job.trim:
        return
    timbers = sorted({trim.timber for trim in job.trim if trim.timber})
    rows = [tables.timber(timber) for timber in timbers]
    hard = any(row["dust"] == "hardwood" for row in rows) or any(trim.timber is None for trim in job.trim)
    dust = "hardwood" if hard else "softwood"
    named = (
        ", ".join(str(row.get("us", "")) if row["kind"] == "board" else tables.timber_words(row.name) for row in rows)
        or "timber not surveyed"
    )
    harm = "asthma, and of hardwood cancer of the nose" if hard else "asthma"
    because = f"Trim is cut and sanded ({named}): {harm}; the dust is held to the {dust} limit.{_limit(job, dust)}"
    also = tuple(f"{tables.timber_words(row.name)}: {row['breathing']}" for row in rows if row.get("breathing"))
    yield hazard("wood-dust", because, _limit_grounds(job, dust), also=also)


def of_firms(job: Job, sheet: Sheet) -> Iterator[object]:
    """The hazards that firms add, in each room that the row applies to (a JSON Schema over the room's form)."""
    for row in open_table(__package__, "hazards"):
        if row.get("because"):
            for room in rooms_covered(job, row.get("applies", True)):
                yield hazard(row.name, row["because"], rooms=(room.name,))


def _limit_row(job: Job, dust: str) -> Row | None:
    rows = load_table(__package__, "dust")
    return next((row for row in rows if row["dust"] == dust and job.building.region in row["regions"]), None)


def _limit(job: Job, dust: str) -> str:
    row = _limit_row(job, dust)
    return f" Limit in the air: {row['limit']:g} mg/m3 over eight hours." if row else ""


def _limit_grounds(job: Job, dust: str) -> Grounds:
    row = _limit_row(job, dust)
    return Grounds((Input(f"{dust} dust limit", row["limit"], "mg/m3"),), sources=row.sources) if row else Grounds()
