"""Moisture content of boards against the band for the building's heating, by both published schemes."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Where, not_surveyed
from listel.core.contract.tables import Row, load_table
from listel.core.survey.job import Board, Job, Trim
from listel.plugins.timber import TrimMovement

SCHEMES = {"bs-1186": "BS 1186-3", "en-942": "EN 942"}
WARM = 20.0
"""Winter air from which a heated room counts as warm, C."""


def situation(job: Job) -> tuple[Row | None, tuple[Input, ...]]:
    """The row of the moisture table for the building's heating, and the inputs it rests on; None where none fits."""
    heating = job.climate.heating
    if heating is None:
        return None, ()
    inputs = [Input("heating", heating, line=job.line(job.climate, "heating"))]
    if heating != "heated":
        return load_table(__package__, "moisture").find(heating), tuple(inputs)
    winter = job.climate.winter
    if winter is not None and winter.temperature is not None:
        inputs.append(Input("winter air", winter.temperature, "C", job.line(winter, "temperature")))
        warm = winter.temperature >= WARM
    else:
        inputs.append(Input("winter air", WARM, "C", assumed=True, note="an ordinary heated room"))
        warm = True
    return load_table(__package__, "moisture").row("heated-warm" if warm else "heated-mild"), tuple(inputs)


def moisture_findings(
    job: Job, trim: Trim | None, trim_name: str, boards: list[tuple[str, Board]], movement: TrimMovement | None = None
) -> Iterator[Finding]:
    """Each board (or the trim as delivered) outside the bands, and the missing facts.

    Where the air of the rooms was surveyed, ``movement`` tells the reading to wait for: the boards are held to that,
    and the trim as delivered is left to whoever reckoned it.
    """
    if not boards or (trim is not None and trim.timber == "mdf"):
        return
    if movement is not None and movement.wait_reading is not None and not movement.assumed:
        yield from _against_the_air(job, trim_name, boards, movement, movement.wait_reading)
        return
    row, inputs = situation(job)
    if row is None:
        if job.climate.heating is not None:
            says = f"No scheme known here gives a moisture band for {job.climate.heating} heating; agree one."
            grounds = Grounds(inputs, sources=(PRACTICE,))
            yield Finding("defects/no-moisture-band", "advice", says, Where(trim=trim_name), grounds)
        return
    unread = []
    for name, board in boards:
        if board.moisture is not None:
            where = Where(trim=trim_name, piece=name, line=job.line(board, "moisture"))
            yield from _against(f"Board {name}", board.moisture, row, inputs, where)
        elif trim is None or trim.moisture is None:
            unread.append(name)
    if trim is not None and trim.moisture is not None:
        where = Where(trim=trim_name, line=job.line(trim, "moisture"))
        yield from _against(f"The {trim_name} as delivered", trim.moisture, row, inputs, where)
    if unread:
        what = f"moisture content of {len(unread)} board{'s' if len(unread) > 1 else ''} for {trim_name}"
        mend = "read each board with a meter, away from its ends"
        yield not_surveyed(
            "defects/moisture-not-surveyed", what, "whether the timber may be fixed yet", Where(trim=trim_name), mend
        )


def _against_the_air(
    job: Job, trim_name: str, boards: list[tuple[str, Board]], movement: TrimMovement, wanted: tuple[float, float]
) -> Iterator[Finding]:
    low, high = wanted
    for name, board in boards:
        if board.moisture is None or low <= board.moisture <= high:
            continue
        line = job.line(board, "moisture")
        says = f"Board {name} reads {board.moisture:g} %; the air of its rooms calls for {low:.1f} to {high:.1f} %."
        mend = "stack it on stickers in the room, heating as in use, until it reads within that"
        inputs = (Input("moisture", board.moisture, "%", line), *movement.grounds.inputs)
        formula = "the moisture that the surveyed air brings timber to"
        grounds = Grounds(inputs, formula, "", f"{low:.1f} to {high:.1f} %", movement.grounds.sources)
        where = Where(trim=trim_name, piece=name, line=line)
        yield Finding("defects/moisture-out-of-band", "caution", says, where, grounds, mend)


def _against(what: str, moisture: float, row: Row, inputs: tuple[Input, ...], where: Where) -> Iterator[Finding]:
    bands = {title: row.get(key) for key, title in SCHEMES.items() if row.get(key)}
    misses = [title for title, (low, high) in bands.items() if not low <= moisture <= high]
    if not misses:
        return
    shown = "; ".join(f"{low} to {high} % by {title}" for title, (low, high) in bands.items())
    grounds = Grounds(
        (*inputs, Input("moisture", moisture, "% MC", where.line)),
        "within the band of each scheme",
        shown,
        f"outside {' and '.join(misses)}",
        row.sources,
    )
    if len(misses) < len(bands):
        says = f"{what} reads {moisture:g} %: the two schemes disagree ({shown}); say which one governs."
        yield Finding("defects/moisture-schemes-disagree", "advice", says, where, grounds)
        return
    says = f"{what} reads {moisture:g} %, outside the band for {row['says']} ({shown})."
    mend = "stack it on stickers in the room, heating as in use, until it reads within the band"
    yield Finding("defects/moisture-out-of-band", "caution", says, where, grounds, mend)
