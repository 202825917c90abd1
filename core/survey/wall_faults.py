"""What a survey says of one wall that cannot be so: places past its end, things that overlap, corners that are none."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from math import radians, tan

from listel.core.survey.nodes import TAPE_SLACK, Node, Told, parsed, past_end, span_faults
from listel.core.survey.units import parse_length, show_angle, show_length


def wall_faults(wall: Node, ceiling: float | None) -> Iterator[Told]:
    """Every fault of sense in what is told of one wall; ``ceiling``: the height of its room [mm], None where it is not
    known, or the wall has another."""
    end = wall_length(wall)
    yield from _openings(wall, end)
    for opening in wall.maps("openings"):
        yield from _over_the_ceiling(opening, ceiling)
    yield from _panels(wall, end)
    for key in ("fittings", "behind"):
        for fitting in wall.maps(key):
            at = fitting.length("at")
            if at is not None:
                yield from past_end(fitting.at("at"), at + (fitting.length("width") or 0.0), end, "it ends", wall.units)
            yield from _in_an_opening(fitting, wall.maps("openings"))
    for key in ("floor", "ceiling"):
        for reading in wall.maps(key):
            yield from past_end(reading.at("at"), reading.length("at"), end, "the reading stands", wall.units)
    yield from _substrate(wall.map("substrate"), end)
    yield from _corner(wall.map("corner"))
    bow = wall.map("bow")
    chord, rise = bow.length("chord"), bow.length("rise")
    if chord is not None and rise is not None and rise > chord / 2:
        yield (
            bow.at("rise"),
            f"a rise of {show_length(rise, wall.units)} is more than half its chord, {show_length(chord, wall.units)}; "
            "the rise is the gap at the middle of the straightedge",
        )


def _in_an_opening(fitting: Node, openings: list[Node]) -> Iterator[Told]:
    """A fitting of the wall that would stand wholly in the clear of an opening; what stands in a fireplace may."""
    across, up = _span(fitting, "at", "width"), _span(fitting, "height", "depth")
    for opening in openings:
        clear, high = _span(opening, "at", "width"), _span(opening, "sill", "height")
        told = None not in (fitting.length("height"), opening.length("height"))
        if told and opening.text("kind") != "fireplace" and _inside(across, clear) and _inside(up, high):
            what = opening.text("name") or opening.text("kind") or "opening"
            ends = " to ".join(show_length(at, fitting.units) for at in clear)
            yield fitting.at("at"), f"it stands in the clear of the {what}, from {ends}, where no wall is"


def _span(node: Node, start: str, size: str) -> tuple[float, float]:
    """Where a thing begins and ends along or up the wall, mm; what is not told of it is taken as 0."""
    low = node.length(start) or 0.0
    return low, low + (node.length(size) or 0.0)


def _inside(own: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether a span lies within another and does not only touch its end."""
    return other[0] <= own[0] < other[1] and own[1] <= other[1]


def _openings(wall: Node, end: float | None) -> Iterator[Told]:
    spans: list[tuple[float, float, Node]] = []
    for opening in wall.maps("openings"):
        at, width = opening.length("at"), opening.length("width")
        if at is None or width is None:
            continue
        for path, says in past_end(opening.at("width"), at + width, end, "it ends", wall.units):
            fits = end is not None and width <= at <= end
            edge = f"; it would fit if at were its right edge: write at: {show_length(at - width, wall.units)}"
            yield path, says + (edge if fits else "")
        reveal, splay = opening.length("reveal"), opening.angle("splay")
        if reveal and splay and (narrow := width - 2 * reveal * tan(radians(splay))) <= 0:
            yield (
                opening.at("splay"),
                f"splayed so far over a reveal of {show_length(reveal, wall.units)} its sides would cross: "
                f"{show_length(width, wall.units)} less {show_length(width - narrow, wall.units)} leaves nothing",
            )
        spans.append((at, at + width, opening))
    spans.sort(key=lambda one: one[:2])
    for (_, before_end, before), (start, _, after) in pairwise(spans):
        if start < before_end and not _one_above_the_other(before, after):
            starts, ends = show_length(start, wall.units), show_length(before_end, wall.units)
            beside = before.text("kind") or "opening"
            yield (
                after.at("at"),
                f"this opening begins at {starts}, before the {beside} beside it ends at {ends}; they overlap",
            )


def _over_the_ceiling(opening: Node, ceiling: float | None) -> Iterator[Told]:
    """An opening whose head would stand over the ceiling by more than two tapes may differ."""
    sill, height = opening.length("sill") or 0.0, opening.length("height")
    if height is None or ceiling is None or sill + height <= ceiling + TAPE_SLACK:
        return
    says = f"its head stands at {show_length(sill + height, opening.units)}, over the ceiling at "
    says += show_length(ceiling, opening.units)
    if sill < height <= ceiling:
        own = show_length(height - sill, opening.units)
        says += f"; its height counts from its sill: if it was read from the floor write {own}"
    yield opening.at("height"), says


def _panels(wall: Node, end: float | None) -> Iterator[Told]:
    """Faults of the panels on a wall: past its end, or one over another."""
    spans: list[tuple[float, float, Node]] = []
    for panel in wall.maps("panels"):
        at, width = panel.length("at"), panel.length("width")
        if at is not None and width is not None:
            yield from past_end(panel.at("width"), at + width, end, "it ends", wall.units)
            spans.append((at, at + width, panel))
    for first, second in combinations(spans, 2):
        (_, left, before), (right, _, after) = sorted((first, second), key=lambda one: one[:2])
        if right < left and not _stands_over(before, after):
            starts, ends = show_length(right, wall.units), show_length(left, wall.units)
            yield (
                after.at("at"),
                f"this panel begins at {starts}, before the one beside it ends at {ends}; they overlap",
            )


def _stands_over(first: Node, second: Node) -> bool:
    """Whether one panel ends below the other's underside."""
    for below, above in ((first, second), (second, first)):
        start, height, over = below.length("underside"), below.length("height"), above.length("underside")
        if start is not None and height is not None and over is not None and start + height <= over:
            return True
    return False


def _one_above_the_other(first: Node, second: Node) -> bool:
    """Whether one opening ends below the other's sill (a hatch over a cupboard)."""
    for below, above in ((first, second), (second, first)):
        height, sill = below.length("height"), above.length("sill")
        if height is not None and sill is not None and (below.length("sill") or 0.0) + height <= sill:
            return True
    return False


def _substrate(substrate: Node, end: float | None) -> Iterator[Told]:
    studs = substrate.map("studs")
    yield from past_end(studs.at("first"), studs.length("first"), end, "the stud stands", substrate.units)
    for holder, key, what in ((studs, "positions", "the stud stands"), (substrate, "plugs", "the plug stands")):
        stations = holder.data.get(key)
        for at, station in enumerate(stations if isinstance(stations, list) else []):
            read = parsed(station, lambda value: parse_length(value, substrate.units))
            yield from past_end((*holder.at(key), at), read, end, what, substrate.units)
    for ground in substrate.maps("grounds"):
        yield from span_faults(ground, end, "the wall")


def _corner(corner: Node) -> Iterator[Told]:
    angle, kind = corner.angle("angle"), corner.text("kind")
    if angle is None or not 180 <= angle <= 340:
        return
    less = show_angle(360 - angle)[:-1]
    if angle == 180:
        yield corner.at("angle"), "180 is straight, which is no corner; write the two walls as one"
    elif kind == "internal":
        mend = f"write kind: external and angle: {less} (360 less it), the angle of the solid that sticks out"
        yield corner.at("angle"), f"an internal corner is under 180, so this one is external; {mend}"
    elif kind == "external":
        mend = f"write {less} (360 less it), or kind: internal if it is the room's own corner"
        yield corner.at("angle"), f"an external corner is the angle of the solid that sticks out, under 180; {mend}"


def wall_length(wall: Node) -> float | None:
    """The greater of a wall's tape readings, mm; None if it has none."""
    readings = wall.map("length")
    lengths = [wall.length("length"), readings.length("first"), readings.length("second")]
    return max((length for length in lengths if length is not None), default=None)


def room_height(room: Node) -> float | None:
    """The greatest height that was read of a room, mm; None if there is none."""
    told = room.data.get("height")
    heights = (
        [read.get("height") if isinstance(read, dict) else read for read in told] if isinstance(told, list) else [told]
    )
    read = [parsed(height, lambda value: parse_length(value, room.units)) for height in heights]
    return max((height for height in read if height is not None), default=None)
