"""Is the timber dry enough for its room, and is the wall?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.records import Records
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.plugins.timber.climate import RoomAir
from listel.plugins.timber.results import TrimMovement
from listel.plugins.timber.sorption import HANDBOOK_SORPTION, moisture_in_room
from listel.plugins.timber.species import limit

RULES = load_rules(__package__)


def delivery_findings(job: Job, trim: Trim, line: TrimMovement, airs: tuple[RoomAir, ...]) -> Iterator[Finding]:
    """The delivered moisture against the reading to wait for."""
    where = Where(trim=trim.name, line=job.line(trim, "moisture") or job.line(trim))
    if line.delivered is None:
        yield RULES["moisture-not-surveyed"].lacking(
            f"the moisture of {trim.name} as delivered",
            "how long it lies in its rooms before it is cut, and how far it will move once fixed",
            where,
            "Read several pieces with a meter, on the face and a hand's breadth from the ends.",
        )
        return
    if not line.known:
        lows, highs = [low for _, low, _ in line.waits], [high for _, _, high in line.waits]
        if not min(lows) <= line.delivered <= max(highs):
            yield _off(job, trim, line, (min(lows), max(highs)), airs, where)
        return
    readings = [line.wait_reading] if line.wait_reading else [(low, high) for _, low, high in line.waits]
    for air, (low, high) in zip(airs, readings, strict=True):
        if not low <= line.delivered <= high:
            yield _off(
                job, trim, line, (low, high), (air,), replace(where, room="" if len(airs) == 1 else air.rooms[0])
            )


def _off(
    job: Job, trim: Trim, line: TrimMovement, reading: tuple[float, float], airs: tuple[RoomAir, ...], where: Where
) -> Finding:
    assert line.delivered is not None
    low, high = reading
    wet = line.delivered > high
    days = line.wait_days or (0, 0)
    records = Records(tuple(record for record in job.records if record.outcome == "done"))
    rooms = sorted({room for air in airs for room in air.rooms})
    done = records.of("acclimatise")
    if done is None and rooms and all(records.of("acclimatise", room) for room in rooms):
        done = records.of("acclimatise", rooms[0])
    grounds = Grounds(
        inputs=(
            Input("moisture as delivered", line.delivered, "%", job.line(trim, "moisture")),
            *(given for air in airs for given in air.inputs),
        ),
        formula="mean of the winter and summer moisture the room brings it to, 2 points either side",
        worked="; ".join(_bands(air) for air in airs if air.usual is not None),
        result=f"{low:.1f} to {high:.1f} %",
        sources=(
            HANDBOOK_SORPTION,
            *limit("reading-tolerance").sources,
            *(airs[0].usual.sources if airs[0].usual else ()),
        ),
    )
    whose = (
        "its rooms call" if line.wait_reading or not line.known else f"in the {' and the '.join(rooms)} the air calls"
    )
    says = f"The {trim.name} came at {line.delivered:g} % moisture; {whose} for {low:.1f} to {high:.1f} %. " + (
        "It would shrink after fixing: joints open, and a deep board may split between its fixings."
        if wet
        else "It would swell after fixing: joints are forced, and tight pieces buckle off the wall."
    )
    if done is not None:
        what = (done.says or done.on or "done").rstrip(".")
        says = f"{says} Acclimatising is recorded: {what} ({done.by})."
    return (RULES["too-wet"] if wet else RULES["too-dry"]).told(
        "record" if done is not None else "hold",
        says,
        where,
        grounds,
        "Lay it on sticks in its own rooms, at the air they will be lived in, all faces open,"
        f" usually {days[0]:g} to {days[1]:g} days; cut when the meter reads {low:.1f} to {high:.1f} %,"
        " and record it as the step acclimatise.",
    )


def _bands(air: RoomAir) -> str:
    bands = [(name, air.usual.get(key)) for name, key in (("BS 1186-3", "bs_band"), ("EN 942", "en_band")) if air.usual]
    told = ", ".join(f"{name} {band[0]:g} to {band[1]:g} %" for name, band in bands if band)
    return f"{air.heating}: {told}"


def day_findings(job: Job, lines: tuple[TrimMovement, ...]) -> Iterator[Finding]:
    """A caution where the air of the day would bring the timber past the reading to wait for."""
    day = job.climate.day
    if day is None or day.temperature is None or day.humidity is None:
        return
    now = moisture_in_room(day.temperature, day.humidity)
    off = [line for line in lines if line.wait_reading and not line.wait_reading[0] <= now <= line.wait_reading[1]]
    off = [line for line in off if line.kind != "board"]
    if not off:
        return
    where = Where(line=job.line(day))
    low, high = off[0].wait_reading or (0.0, 0.0)
    yield RULES["room-not-ready"].told(
        "caution",
        f"The air of the day would bring timber to {now:.1f} %, outside the {low:.1f} to {high:.1f} % it will live at:"
        " lying in such a room takes it the wrong way.",
        where,
        Grounds(
            inputs=(
                Input("temperature", day.temperature, "C", job.line(day, "temperature")),
                Input("humidity", day.humidity, "%", job.line(day, "humidity")),
            ),
            formula="moisture in equilibrium with that air",
            result=f"{now:.1f} %",
            sources=(HANDBOOK_SORPTION,),
        ),
        "Heat or air the rooms as they will be lived in before the timber comes, and until it is painted.",
    )


def wall_findings(job: Job) -> Iterator[Finding]:
    """Holds and cautions for damp walls; one caution a room for walls with trim that nobody read."""
    for room in job.rooms:
        for wall in room.walls:
            yield from _wall(job, room, wall)
        trimmed = {wall.name for trim in job.trims_in(room.name) for _, wall, _, _ in job.places(trim, room.name)}
        unread = [wall.name for wall in room.walls if wall.name in trimmed and wall.moisture is None]
        if unread:
            yield RULES["wall-moisture-not-surveyed"].lacking(
                f"the moisture of wall{'s' if len(unread) > 1 else ''} {', '.join(unread)}",
                "whether damp must be found and cured before anything is fixed, and which adhesive may be used",
                Where(room.name, line=job.line(room)),
                "Read each wall low and high with a meter, and note what is behind it.",
            )


def _wall(job: Job, room: Room, wall: Wall) -> Iterator[Finding]:
    hold, caution = limit("wall-hold"), limit("wall-caution")
    damp = wall.substrate is not None and wall.substrate.condition == "damp"
    reads = wall.moisture
    if not damp and (reads is None or reads < caution["value"]):
        return
    holds = damp or (reads is not None and reads >= hold["value"])
    told = f"reads {reads:g} %" if reads is not None else "was surveyed as damp"
    line = job.line(wall, "moisture") or job.line(wall)
    yield (RULES["damp-wall"] if holds else RULES["wall-near-damp"]).told(
        "hold" if holds else "caution",
        f"Wall {wall.name} {told}: "
        + (
            "find the damp first. Timber fixed to it would rot behind, and paint and adhesive would let go."
            if holds
            else "dry enough to work on but not dry. Look for the cause before it is covered."
        ),
        Where(room.name, wall.name, line=line),
        Grounds(
            inputs=(
                Input(
                    "moisture of the wall",
                    reads if reads is not None else "damp",
                    "%" if reads is not None else "",
                    line,
                ),
            ),
            formula=f"{caution['value']:g} % and over is watched, {hold['value']:g} % and over holds the work",
            worked=f"{reads:g} against {hold['value']:g} %" if reads is not None else "condition: damp",
            result="held" if holds else "watched",
            sources=hold.sources,
            uncertainty="a meter reads plaster as if it were timber, and salts raise the reading",
        ),
        "Find and cure the cause (gutter, ground level, pipe, bridging, condensation), let the wall dry, read it again."
        if holds
        else "Look for the cause, and read it again before fixing.",
    )
