"""What the stage says: sizes out of range, places and why, members out of their time, what was not surveyed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.findings import Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row
from listel.core.survey.job import Job, Room
from listel.core.survey.units import show_length
from listel.plugins.heights import RoomOrders
from listel.plugins.proportions.case import Case, table
from listel.plugins.proportions.placing import DOOR_HEAD, EVIDENCE, WANTED, Place, ceiling_line, gives_way
from listel.plugins.proportions.results import PanelFrame, Suggestion
from listel.plugins.proportions.sizing import outside_all, verdict
from listel.plugins.site import tables

RULES = load_rules(__package__)

BY_ROOM_HEIGHT = ("picture-rail", "frieze", "cornice")
"""Members that the room height places."""


def size_grounds(case: Case, found: Sequence[Suggestion]) -> Grounds:
    """The grounds of a member's size: what each rule gives."""
    sized = [one for one in found if one.low is not None]
    inputs = tuple(Input(one.rule, one.grounds.result) for one in sized)
    sources = tuple(dict.fromkeys(source for one in sized for source in one.grounds.sources))
    return Grounds((case.size_input, *inputs), "the surveyed size against each rule", sources=sources)


def missing_facts(case: Case, place: Place | None) -> Iterator[Finding]:
    """One caution for each fact that was not surveyed, with what it decides."""
    if case.trim is not None and case.size is None:
        yield RULES["section-not-surveyed"].lacking(
            f"the size of {case.trim.name} on the wall",
            f"where its edges come, and how the {case.named} sits with room and period",
            case.where,
        )
    if place is None and case.orders.height is None and case.member in BY_ROOM_HEIGHT:
        yield RULES["room-height-not-surveyed"].lacking(
            f"the height of the {case.room.name} from floor to ceiling",
            f"where the {case.named} goes",
            case.where,
        )
    lacking = [opening.kind for _, opening in case.openings() if opening.height is None]
    if case.member == "architrave" and lacking:
        yield RULES["opening-height-not-surveyed"].lacking(
            f"the height of {len(lacking)} opening{'s' if len(lacking) > 1 else ''} in the {case.room.name}",
            "the length of its architrave, and the rules that measure it by the height",
            case.where,
        )


def panels_not_surveyed(case: Case, frames: Sequence[PanelFrame]) -> Iterator[Finding]:
    """One caution for the walls of a room whose panels were not surveyed, and for those whose height is not known."""
    walls = list(dict.fromkeys(one.wall for one in frames if one.proposed))
    if walls:
        number = sum(one.proposed for one in frames)
        shared = "one is set in the middle" if number == 1 else f"{number} are shared out evenly"
        yield RULES["panels-not-surveyed"].lacking(
            f"the panels of wall {', '.join(walls)} in the {case.room.name}",
            f"the sizes and places of the frames of the {case.trim_name}; {shared} there",
            case.where,
            "give the panels of each wall, their left edge, width, underside and height, or agree those proposed",
        )
    if (
        case.member == "panel-mould"
        and case.trim is not None
        and (not frames or any(one.top is None for one in frames))
    ):
        yield RULES["panel-zone-not-known"].lacking(
            f"the panels in the {case.room.name}, or the skirting and the dado rail they stand between",
            f"every length of the {case.trim_name}; what has no height is not set out",
            case.where,
            "give the panels of each wall, their left edge, width, underside and height",
        )


def size_findings(case: Case, found: Sequence[Suggestion]) -> Iterator[Finding]:
    """Advice where the surveyed size lies outside every rule."""
    if case.trim is None or case.size is None or case.member == "panel-mould" or not outside_all(case, found):
        return
    told = verdict(case, found)
    says = f"The {case.trim.name} in the {case.room.name}: {told[0].lower()}{told[1:]}"
    mend = "Keep it if it matches what survives; otherwise look at the size again."
    yield RULES["size-out-of-range"].told("advice", says, case.where, size_grounds(case, found), mend, size=case.size)


def in_two_pieces(job: Job) -> Iterator[Finding]:
    """Advice, once for each, where a new skirting is too tall for one board and has no mould on it, in some room."""
    row = table("limits").row("one-board")
    moulds = [trim for trim in job.trim if tables.sits_on(trim.member) == "skirting"]
    moulded = {place.room for trim in moulds for place in trim.where}
    for trim in job.trim:
        size = trim.section.height
        bare = dict.fromkeys(place.room for place in trim.where if place.room not in moulded)
        if trim.member != "skirting" or not bare or size is None or size <= row["value"]:
            continue
        line = job.line(trim.section, "height")
        shown, board = (show_length(one, job.units) for one in (size, row["value"]))
        says = (
            f"The {trim.name} of the {' and the '.join(bare)} is {shown} high; over {board} a skirting was usually two "
            "pieces, a plain board with its moulding planted above."
        )
        given = (Input(f"size of {trim.name}", size, "mm", line), Input("one board up to", row["value"], "mm"))
        grounds = Grounds(given, row.note, sources=row.sources)
        yield RULES["skirting-in-two-pieces"].told("advice", says, Where(trim=trim.name, line=line), grounds, size=size)


def place_findings(case: Case, place: Place | None, places: Sequence[Place]) -> Iterator[Finding]:
    """Where a picture rail goes and what gave way; one that does not fit under the ceiling."""
    if case.trim is None:
        says = f"The survey of the {case.room.name} tells of a {case.named}, but none is in this job."
        grounds = case.marks[0].grounds if case.marks else Grounds()
        mend = "Leave the marks as they are, or add it to the survey."
        yield RULES["mark-without-member"].told("advice", says, case.where, grounds, mend)
        return
    yield from _off_the_mark(case, places)
    if case.member != "picture-rail" or place is None:
        return
    shown = case.show(place.top)
    line = ceiling_line(case)
    below = ""
    if line is not None:
        datum = "the ceiling" if line[0] == case.ceiling else "the cornice"
        below = f", {case.show(max(0.0, line[0] - place.top))} below {datum}"
    says = f"The top of the picture rail in the {case.room.name} goes {shown} above the floor{below}: {place.rule}."
    others = [one for one in places if one is not place and abs(one.top - place.top) >= 1]
    if others:
        says += f" Otherwise {'; '.join(f'{case.show(one.top)}, {one.rule}' for one in others)}."
    yield RULES["picture-rail-placed"].told("record", says, case.where, place.grounds, top=place.top)
    wish = next((one for one in places if one.group == WANTED), None)
    if place.group == EVIDENCE and wish is not None and abs(wish.top - place.top) >= 1:
        says = f"The survey asks for the picture rail at {case.show(wish.top)}; {place.rule} puts it at {shown}."
        mend = "Agree which is to be followed; the mark comes first here."
        yield RULES["wanted-height-gives-way"].told(
            "caution", says, case.where, place.grounds, mend, wanted=wish.top, marked=place.top
        )
    if line is not None and place.top > line[0] + 0.5:
        says = f"At {shown} the picture rail in the {case.room.name} does not fit below {case.show(line[0])}."
        mend = "Look again at the room height, the cornice and the mark or height given."
        yield RULES["picture-rail-over-ceiling"].told("hold", says, case.where, place.grounds, mend, top=place.top)
    if place.top < (case.size or 0.0):
        says = f"With its top at {shown} the picture rail in the {case.room.name} would reach below the floor."
        mend = "Look again at the mark or height given, and at the floor there."
        yield RULES["picture-rail-below-floor"].told("hold", says, case.where, place.grounds, mend, top=place.top)
    if place.group == DOOR_HEAD and any(one.kind == "door" and one.architrave is None for _, one in case.openings()):
        yield RULES["casing-not-surveyed"].lacking(
            f"the width of the architrave over a door in the {case.room.name}",
            "the line of the door head that the picture rail follows",
            case.where,
        )


def _off_the_mark(case: Case, places: Sequence[Place]) -> Iterator[Finding]:
    """A cap that is asked for where no mark of the old one is."""
    mark = gives_way(case, places)
    if mark is None:
        return
    wish, row = places[0], table("limits").row("off-the-mark")
    grounds = replace(mark.grounds, sources=(*mark.grounds.sources, *row.sources))
    says = (
        f"The survey asks for the top of the {case.named} in the {case.room.name} at {case.show(wish.top)}; "
        f"{mark.rule} puts it at {case.show(mark.top)}, and is not followed: the panelling is made to what is asked."
    )
    mend = "Make cap and panelling to the mark, or agree that they depart from it."
    yield RULES["mark-gives-way"].told("caution", says, case.where, grounds, mend, wanted=wish.top, marked=mark.top)


def out_of_time(job: Job, room: Room, orders: RoomOrders) -> Iterator[Finding]:
    """A note of each member that was unusual, or whose use is disputed, when the room was trimmed; never a fault."""
    seen = set()
    for trim in job.trims_in(room.name):
        row = _member_row(trim.member, room.use)
        if trim.member in seen or row is None or not orders.spans:
            continue
        seen.add(trim.member)
        standings = {row["spans"].get(span) for span in orders.spans}
        if None in standings or standings & {"normal", "possible"}:
            continue
        named = trim.member.replace("-", " ")
        where = Where(room.name, trim=trim.name, line=job.line(trim))
        period = Input("period", orders.period, line=job.line(room, "period"))
        grounds = Grounds((period,), "the member against the years it was usual", row.note, "", row.sources)
        if "disputed" in standings:
            says = f"Writers disagree whether a {named} was usual in such a room at that time ({orders.period})."
            yield RULES["disputed-for-period"].told("record", says, where, grounds)
        else:
            says = (
                f"A {named} was unusual in such a room at that time ({orders.period}). Later members are part of a "
                "house's history; this is a note, not a fault, and taking one out may need consent."
            )
            yield RULES["unusual-for-period"].told("advice", says, where, grounds)


def _member_row(member: str, use: str | None) -> Row | None:
    rows = [row for row in table("members") if row["member"] == member]
    special = [row for row in rows if use in row.get("uses", ())]
    general = [row for row in rows if not row.get("uses")]
    return next(iter(special or general), None)
