"""Where a member goes on the wall: the picture rail by precedence, the others by floor and ceiling."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from listel.core.contract.findings import GEOMETRY, PRACTICE, Grounds, Input
from listel.core.quick import dataclass
from listel.plugins.proportions.case import Case, limit, table
from listel.plugins.proportions.results import Suggestion
from listel.plugins.proportions.sizing import applies


@dataclass(frozen=True)
class Place:
    """Where a member's top goes, mm above the floor, and by which rule. ``group`` decides precedence, lowest first."""

    rule: str
    top: float
    grounds: Grounds
    group: int = 0


EVIDENCE, WANTED, FIRM, NEAR, DOOR_HEAD, RULE = range(6)
"""Grounds for a picture rail's height, first to last: a mark in the room; the height the survey asks for; a firm's own
rule; a mark elsewhere; the door head where the period took it; the order followed, held to the trade's habit."""


def ceiling_line(case: Case) -> tuple[float, Input] | None:
    """The line that drops are measured from, mm above the floor: the underside of the cornice, or the ceiling."""
    height = case.ceiling
    if height is None:
        return None
    if case.room.cornice is not None:
        depth, line = case.room.cornice, case.job.line(case.room, "cornice")
        return height - depth, Input("depth of the cornice", depth, "mm", line)
    cornice = case.other("cornice")
    if cornice is not None and cornice.section.height is not None:
        line = case.job.line(cornice.section, "height")
        return height - cornice.section.height, Input(f"depth of {cornice.name}", cornice.section.height, "mm", line)
    return height, Input("cornice", "none in the survey")


def picture_rail_places(case: Case) -> list[Place]:
    """Every ground that places a picture rail, in order of precedence."""
    found = [*_marks(case), *_wanted(case)]
    found += _firms(case)
    found += _door_head(case)
    found += _by_rule(case)
    return sorted(found, key=lambda place: place.group)


def capping_places(case: Case) -> list[Place]:
    """Every ground that places the cap of panelling, in order of precedence: the top asked for first, for the frames
    are made to it; then a firm's own rule, and the marks."""
    return [*_wanted(case), *_firms(case), *sorted(_marks(case), key=lambda place: place.group)]


def gives_way(case: Case, places: Sequence[Place]) -> Place | None:
    """The mark of a cap that the top asked for is set before, too far from it to be the same; None where none is."""
    mark = next((one for one in places if one.group == EVIDENCE), None)
    if case.member != "wainscot-cap" or mark is None or places[0].group != WANTED:
        return None
    return mark if abs(places[0].top - mark.top) > limit("off-the-mark") else None


def _marks(case: Case) -> Iterator[Place]:
    for mark in case.marks:
        yield Place(mark.says, mark.top, mark.grounds, EVIDENCE if mark.here else NEAR)


def _wanted(case: Case) -> Iterator[Place]:
    if case.trim is None:
        return
    top, line = case.job.top_asked(case.trim, case.room.name)
    if top is not None:
        given = Input(f"top asked for {case.trim.name}", top, "mm", line)
        grounds = Grounds((given,), "as the survey asks", "", case.show(top), (PRACTICE,))
        yield Place("the height the survey asks for", top, grounds, WANTED)


def _firms(case: Case) -> Iterator[Place]:
    for offer in case.firms:
        found = offer.reckoned(case.orders.height, case.room.cornice, case.height_input, case.show)
        if found is not None:
            yield Place(offer.says, *found, FIRM)


def _door_head(case: Case) -> Iterator[Place]:
    """The top of the highest door casing, where the period lined the rail with it."""
    row = table("picture_rails").row("door-head")
    doors = [opening for _, opening in case.openings() if opening.kind == "door" and opening.height is not None]
    if not doors or not applies(row, case):
        return
    door = max(doors, key=lambda one: (one.height or 0.0) + (one.architrave or 0.0))
    height, casing = door.height or 0.0, door.architrave or 0.0
    inputs = (
        Input("height of the door", height, "mm", case.job.line(door, "height")),
        Input("width of its architrave", casing, "mm", case.job.line(door, "architrave"), door.architrave is None),
    )
    shown = case.show(height + casing)
    worked = f"{case.show(height)} + {case.show(casing)} = {shown}"
    yield Place(row["says"], height + casing, Grounds(inputs, row["says"], worked, shown, row.sources), DOOR_HEAD)


def _by_rule(case: Case) -> Iterator[Place]:
    """The underside of the entablature of the order followed, held to the trade's habit below ceiling or cornice; the
    middle of the habit where the period followed no order, or its author gives no column."""
    followed, line = case.orders.followed, ceiling_line(case)
    if line is None:
        return
    row = table("picture_rails").row("habit")
    low, high = line[0] - row["high"], line[0] - row["low"]
    pedestal, column = (followed.part("pedestal"), followed.part("column")) if followed else (None, None)
    if followed is None or pedestal is None or column is None:
        top, says, sources = (low + high) / 2, f"the middle of {row['says']}", row.sources
        worked = f"{case.show(low)} to {case.show(high)}"
    else:
        raw = pedestal + column + (case.size or 0.0)
        top = min(max(raw, low), high)
        held = "within the habit" if top == raw else f"held to the habit: {case.show(top)}"
        worked = f"pedestal {case.show(pedestal)} + column {case.show(column)} + the rail = {case.show(raw)}; {held}"
        says = f"the entablature of the {followed.order.title()} order after {followed.printed}, held to {row['says']}"
        sources = followed.grounds.sources[:1] + row.sources
    yield Place(says, top, Grounds((case.ceiling_input, line[1]), says, worked, case.show(top), sources), RULE)


def picture_rail_suggestions(case: Case) -> Iterator[Suggestion]:
    """Every rule's place for a picture rail: the drop below ceiling or cornice, the authors' entablatures."""
    line = ceiling_line(case)
    if line is None:
        return
    height = case.orders.height or 0.0
    for row in table("picture_rails"):
        fits = height >= row.get("over", 0.0) and height < row.get("under", 1e9)
        if row.get("low") is not None and applies(row, case) and fits:
            low, high = line[0] - row["high"], line[0] - row["low"]
            shown = f"{case.show(low)} to {case.show(high)} above the floor"
            grounds = Grounds((case.ceiling_input, line[1]), row["says"], "", shown, row.sources)
            yield Suggestion(rule=row["says"], top_low=low, top_high=high, grounds=grounds)
    tops = [
        (order.part("pedestal") or 0.0) + (order.part("column") or 0.0)
        for order in case.orders.orders
        if order.part("column") is not None
    ]
    if tops:
        says = "the underside of the entablature over all authors, where the rail begins"
        shown = f"{case.show(min(tops))} to {case.show(max(tops))} above the floor"
        sources = tuple(dict.fromkeys(source for order in case.orders.orders for source in order.grounds.sources[:1]))
        grounds = Grounds((case.height_input,), says, "", shown, sources)
        yield Suggestion(rule=says, underside=min(tops), top_low=min(tops), top_high=max(tops), grounds=grounds)


def standing_place(case: Case) -> Place | None:
    """A skirting or plinth block stands on the floor, a level skirting on the lowest; the survey may ask for a
    skirting's top, above the highest floor, where its board is deep enough."""
    asked = next(_wanted(case), None)
    if case.member == "skirting" and asked is not None and 0 < asked.top <= (inf if case.size is None else case.size):
        return asked
    marks = [Place(mark.says, mark.top, mark.grounds) for mark in case.marks if mark.here and mark.top > 0]
    if case.size is not None:
        says = "it stands on the floor" + (", at its lowest where that falls" if case.member == "skirting" else "")
        grounds = Grounds((case.size_input,), says, "", case.show(case.size), (GEOMETRY,))
        return Place(says, case.size, grounds)
    return marks[0] if marks else None


def hanging_place(case: Case) -> Place | None:
    """A cornice hangs from the ceiling, a frieze from the cornice."""
    line = ceiling_line(case)
    if line is None or case.ceiling is None:
        return None
    top = case.ceiling if case.member == "cornice" else line[0]
    says = "it lies against the ceiling" if case.member == "cornice" else "it lies under the cornice, or the ceiling"
    return Place(says, top, Grounds((case.ceiling_input, line[1]), says, "", case.show(top), (GEOMETRY,)))
