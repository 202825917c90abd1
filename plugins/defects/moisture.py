"""Moisture content of boards against the band for the building's heating, by both published schemes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row, load_table
from listel.core.quick import dataclass
from listel.core.survey.job import Board, Job, Seasons, Trim
from listel.plugins.site import tables
from listel.plugins.timber import TrimMovement

RULES = load_rules(__package__)

SCHEMES = {"bs-1186": "BS 1186-3", "en-942": "EN 942"}
WARM = 20.0
"""Winter air from which a heated room counts as warm, C."""


@dataclass(frozen=True)
class Parcel:
    """The timber of one trim: its boards by name, and how it will move where that was reckoned."""

    name: str
    trim: Trim | None
    boards: tuple[tuple[str, Board], ...]
    movement: TrimMovement | None = None


@dataclass(frozen=True)
class Reading:
    """A moisture reading: of what, %, and where it stands in the survey."""

    of: str
    moisture: float
    where: Where


def situation(job: Job, seasons: Seasons) -> tuple[Row | None, tuple[Input, ...]]:
    """The row of the moisture table for the heating of rooms, and the inputs it rests on; None where none fits."""
    heating = seasons.heating
    if heating is None:
        return None, ()
    inputs = [Input("heating", heating, line=job.line(seasons, "heating"))]
    if heating != "heated":
        return load_table(__package__, "moisture").find(heating), tuple(inputs)
    winter = seasons.winter
    if winter is not None and winter.temperature is not None:
        inputs.append(Input("winter air", winter.temperature, "C", job.line(winter, "temperature")))
        warm = winter.temperature >= WARM
    else:
        inputs.append(Input("winter air", WARM, "C", assumed=True, note="an ordinary heated room"))
        warm = True
    return load_table(__package__, "moisture").row("heated-warm" if warm else "heated-mild"), tuple(inputs)


def moisture_findings(job: Job, parcels: Sequence[Parcel]) -> Iterator[Finding]:
    """Each board (or the trim as delivered) outside the bands, and the missing facts; what the two schemes disagree
    on is told once.

    Where the air of the rooms was surveyed, the movement tells the reading to wait for: the boards are held to that,
    and the trim as delivered is left to whoever reckoned it.
    """
    held = [
        one
        for one in parcels
        if one.boards and not (one.trim is not None and tables.timber_kind(one.trim.timber) == "board")
    ]
    by_air: dict[Seasons, list[Parcel]] = {}
    for parcel in held:
        wanted = parcel.movement.wait_reading if parcel.movement and not parcel.movement.assumed else None
        if parcel.movement is not None and wanted is not None:
            yield from _against_the_air(job, parcel, parcel.movement, wanted)
            continue
        for seasons in job.seasons(parcel.trim):
            by_air.setdefault(seasons, []).append(parcel)
    read: list[Parcel] = []
    for seasons, parcels in by_air.items():
        row, inputs = situation(job, seasons)
        if row is not None:
            yield from (each for parcel in parcels if parcel not in read for each in _unread(job, parcel))
            read += parcels
            yield from _against([each for parcel in parcels for each in _readings(job, parcel)], row, inputs)
        elif seasons.heating is not None:
            says = f"No scheme known here gives a moisture band for {seasons.heating} heating; agree one."
            yield RULES["no-moisture-band"].told("advice", says, grounds=Grounds(inputs, sources=(PRACTICE,)))


def _readings(job: Job, parcel: Parcel) -> Iterator[Reading]:
    for name, board in parcel.boards:
        if board.moisture is not None:
            where = Where(trim=parcel.name, piece=name, line=job.line(board, "moisture"))
            yield Reading(f"board {name}", board.moisture, where)
    if parcel.trim is not None and parcel.trim.moisture is not None:
        where = Where(trim=parcel.name, line=job.line(parcel.trim, "moisture"))
        yield Reading(f"the {parcel.name} as delivered", parcel.trim.moisture, where)


def _unread(job: Job, parcel: Parcel) -> Iterator[Finding]:
    unread = [name for name, board in parcel.boards if board.moisture is None]
    if unread and (parcel.trim is None or parcel.trim.moisture is None):
        what = f"moisture content of {len(unread)} board{'s' if len(unread) > 1 else ''} for {parcel.name}"
        mend = "read each board with a meter, away from its ends"
        decides = "whether the timber may be fixed yet"
        yield RULES["moisture-not-surveyed"].lacking(what, decides, Where(trim=parcel.name), mend)


def _against_the_air(
    job: Job, parcel: Parcel, movement: TrimMovement, wanted: tuple[float, float]
) -> Iterator[Finding]:
    low, high = wanted
    for name, board in parcel.boards:
        if board.moisture is None or low <= board.moisture <= high:
            continue
        line = job.line(board, "moisture")
        says = f"Board {name} reads {board.moisture:g} %; the air of its rooms calls for {low:.1f} to {high:.1f} %."
        mend = "stack it on stickers in the room, heating as in use, until it reads within that"
        inputs = (Input("moisture", board.moisture, "%", line), *movement.grounds.inputs)
        formula = "the moisture that the surveyed air brings timber to"
        grounds = Grounds(inputs, formula, "", f"{low:.1f} to {high:.1f} %", movement.grounds.sources)
        where = Where(trim=parcel.name, piece=name, line=line)
        yield RULES["moisture-out-of-band"].told("caution", says, where, grounds, mend, moisture=board.moisture)


def _against(readings: Sequence[Reading], row: Row, inputs: tuple[Input, ...]) -> Iterator[Finding]:
    bands = {title: row.get(key) for key, title in SCHEMES.items() if row.get(key)}
    shown = "; ".join(f"{low} to {high} % by {title}" for title, (low, high) in bands.items())
    formula = "within the band of each scheme"
    between: list[Reading] = []
    for one in readings:
        misses = [title for title, (low, high) in bands.items() if not low <= one.moisture <= high]
        if misses and len(misses) < len(bands):
            between.append(one)
        elif misses:
            given = (*inputs, Input("moisture", one.moisture, "% MC", one.where.line))
            grounds = Grounds(given, formula, shown, f"outside {' and '.join(misses)}", row.sources)
            of = f"{one.of[0].upper()}{one.of[1:]}"
            says = f"{of} reads {one.moisture:g} %, outside the band for {row['says']} ({shown})."
            mend = "stack it on stickers in the room, heating as in use, until it reads within the band"
            yield RULES["moisture-out-of-band"].told("caution", says, one.where, grounds, mend, moisture=one.moisture)
    if between:
        named = ", ".join(f"{one.of} ({one.moisture:g} %)" for one in between)
        says = f"The two schemes for moisture disagree ({shown}); between them lie {named}. Say which scheme governs."
        given = (*inputs, *(Input(f"moisture, {one.of}", one.moisture, "% MC", one.where.line) for one in between))
        grounds = Grounds(given, formula, shown, "within one scheme, outside the other", row.sources)
        where = between[0].where if len(between) == 1 else Where()
        yield RULES["moisture-schemes-disagree"].told("advice", says, where, grounds)
