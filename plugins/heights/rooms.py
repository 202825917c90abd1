"""What a room is measured against: its height, its period, the author and order followed there."""

from __future__ import annotations

from dataclasses import replace

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.contract.tables import Row
from listel.core.survey.job import HeightReading, Job, Room
from listel.core.survey.units import show_length
from listel.plugins.heights.levels import readings
from listel.plugins.heights.marks import room_marks
from listel.plugins.heights.orders import authors, nearest_order, order_on_wall, table
from listel.plugins.heights.results import RoomOrders, WallOrder
from listel.plugins.site import RoomSite, tables


def room_height(job: Job, room: Room) -> tuple[float | None, Grounds]:
    """Floor finish to ceiling finish, mm: the mean of the readings, or of floor and ceiling tapes to the datum
    at one station; None where neither was taken. A cornice does not shorten it."""
    inputs = tuple(_reading_input(job, reading) for reading in room.height)
    readings = [reading.height for reading in room.height]
    formula = "the mean of the heights taken" if len(readings) > 1 else "the height as taken"
    if not readings:
        inputs, readings = _from_datum(job, room)
        formula = "tape from floor up to the datum plus tape from ceiling down to it, at one station; their mean"
    if not readings:
        return None, Grounds()
    height = sum(readings) / len(readings)
    low, high = show_length(min(readings), job.units), show_length(max(readings), job.units)
    spread = f"readings from {low} to {high}" if low != high else ""
    shown = show_length(height, job.units)
    worked = f"mean of {len(readings)} readings = {shown}" if len(readings) > 1 else shown
    return height, Grounds(inputs, formula, worked, shown, (GEOMETRY,), uncertainty=spread)


def ceiling_at_reference(site: RoomSite) -> float | None:
    """The ceiling above the floor that the room's heights are counted from, mm: by the mean of the ceiling tapes from
    the level line; else by the heights taken, each over its own floor; None where no floor, or no height, was read.
    Source: geometry."""
    room = site.room
    found = readings(room)
    if not found or room.reference is None:
        return None
    tapes = [each.to_datum for one in room.walls for each in one.ceiling]
    if tapes:
        return room.reference + sum(tapes) / len(tapes)
    mean = sum(each.to_datum for _, each in found) / len(found)
    over = []
    for each in room.height:
        wall = site.walls.get(each.wall or "")
        under = wall.floor(each.at) if wall is not None and each.at is not None else None
        over.append(each.height - (mean if under is None else under))
    return room.reference + sum(over) / len(over) if over else None


def _reading_input(job: Job, reading: HeightReading) -> Input:
    at = f" at {reading.wall} {show_length(reading.at, job.units)}" if reading.at is not None else ""
    return Input(f"room height{at}", reading.height, "mm", job.line(reading))


def _from_datum(job: Job, room: Room) -> tuple[tuple[Input, ...], list[float]]:
    pairs = [
        (floor, ceiling)
        for wall in room.walls
        for floor in wall.floor
        for ceiling in wall.ceiling
        if floor.at == ceiling.at
    ]
    inputs = tuple(
        Input(f"{name} to datum", reading.to_datum, "mm", job.line(reading))
        for pair in pairs
        for name, reading in zip(("floor", "ceiling"), pair, strict=True)
    )
    return inputs, [floor.to_datum + ceiling.to_datum for floor, ceiling in pairs]


def spans_of(period: str | int | None, lag: bool = False, about: bool = False) -> tuple[str, ...]:
    """The spans of years (rows of the table ``spans``) that a year or a period name falls in, earliest first.

    ``about``: a year known only about may fall in the neighbouring span; ``lag``: where fashions ran late, the
    span before counts too. Empty where the name is not known.
    """
    if period is None:
        return ()
    if not str(period).isdigit():
        named = tables.periods().find(str(period))
        return () if named is None else tuple(row.name for row in table("spans") if _belongs(named, row))
    limits, year = table("limits"), int(period)
    years = {year}
    if about:
        years |= {year - limits.row("about")["value"], year + limits.row("about")["value"]}
    if lag:
        years.add(year - limits.row("lag")["value"])
    return tuple(row.name for row in table("spans") if any(row["from"] <= one < row["to"] for one in years))


def _belongs(period: Row, span: Row) -> bool:
    """Whether a period is of a span: it fills half of it, or spends a quarter of its own years there. Our setting."""
    shared = min(period["to"], span["to"]) - max(period["from"], span["from"])
    return bool(shared * 2 >= span["to"] - span["from"] or shared * 4 >= period["to"] - period["from"])


def room_spans(job: Job, room: Room) -> tuple[tuple[str, ...], str, Input]:
    """The spans a room's trim is of, the period in words, and where it was taken from."""
    lag = job.building.region == "united-states"
    if room.period is not None:
        return (
            spans_of(room.period, lag),
            str(room.period),
            Input("period of the trim", str(room.period), line=job.line(room, "period")),
        )
    if job.building.built is not None:
        note = "the room's own period was not surveyed; the building's year is taken"
        given = Input("year built", str(job.building.built), "", job.line(job.building, "built"), True, note=note)
        about = "about " if job.building.built_about else ""
        words = f"{about}{job.building.built}, the building's year"
        return spans_of(job.building.built, lag, job.building.built_about), words, given
    return (), "", Input("period of the trim", "not surveyed", assumed=True, note="no period rule can be used")


def followed(job: Job, room: Room, spans: tuple[str, ...]) -> tuple[str, str, tuple[Input, ...]] | None:
    """The author and the order followed in a room, and why: as the survey chooses, else by period and use; None in a
    period that followed none."""
    table_of = table("followed")
    choices, inputs = job.choices, []
    if choices.author:
        author = choices.author
        inputs.append(Input("author followed", author, line=job.line(choices, "author")))
    else:
        row = table_of.find(spans[0] if spans else "unknown-period")
        if row is None:
            return None
        author = row["author"]
        inputs.append(
            Input("author followed", author, assumed=True, note=f"none chosen; by period. {row.note}".strip())
        )
    if choices.order:
        order = choices.order
        inputs.append(Input("order followed", order, line=job.line(choices, "order")))
    else:
        order = table_of.row(room.use or "unknown-use")["order"]
        inputs.append(Input("order followed", order, assumed=True, note="none chosen; by the use of the room"))
    near = nearest_order(author, order)
    if near != order:
        inputs.append(Input("nearest order the author gives", near, assumed=True, note=f"he gives no {order}"))
    return author, near, tuple(inputs)


def room_orders(job: Job, site: RoomSite) -> RoomOrders:
    """The room against the orders: every author's, at the order followed or the nearest he gives; none where none is
    followed."""
    room = site.room
    height, grounds = room_height(job, room)
    spans, words, period_input = room_spans(job, room)
    follows = followed(job, room, spans)
    told = replace(grounds, inputs=(*grounds.inputs, period_input, *(follows[2] if follows else ())))
    marks = room_marks(job, site)
    if height is None:
        return RoomOrders(room=room.name, spans=spans, period=words, marks=marks, grounds=told)
    given = Input("room height", height, "mm", grounds.inputs[0].line)
    orders: tuple[WallOrder, ...] = ()
    if follows is not None:
        author, order, _ = follows
        orders = tuple(
            order_on_wall(one, nearest_order(one, order), height, given, followed=one == author, units=job.units)
            for one in authors()
        )
    return RoomOrders(
        room=room.name,
        height=height,
        spans=spans,
        period=words,
        orders=orders,
        marks=marks,
        grounds=told,
        ceiling=ceiling_at_reference(site),
    )
