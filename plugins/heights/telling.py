"""What the stage says of a height: why it was chosen, what gave way, what the marks call for, what was not surveyed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from listel.core.contract.findings import (
    GEOMETRY,
    PRACTICE,
    Finding,
    Grounds,
    Input,
    Source,
    Weight,
    Where,
)
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Flight, Job, Room
from listel.plugins.heights.candidates import WANTED, Band, Offer
from listel.plugins.heights.case import Case
from listel.plugins.heights.levels import SHARES, Line, counted_from, readings, visible_error
from listel.plugins.heights.obstacles import clearance_row
from listel.plugins.heights.orders import table
from listel.plugins.heights.results import StairHeight

RULES = load_rules(__package__)


def missing_facts(case: Case) -> Iterator[Finding]:
    """One caution for each fact that was not surveyed, with what it decides."""
    if case.orders.height is None:
        yield RULES["room-height-not-surveyed"].lacking(
            f"the height of the {case.room.name} from floor to ceiling",
            f"every height of the {case.rail} that is a share of the room",
            case.where,
            "Measure it from floor finish to ceiling finish, not to the underside of a cornice.",
        )
    if case.trim is None:
        return
    if case.trim.section.height is None:
        yield RULES["section-not-surveyed"].lacking(
            f"the depth of face of {case.trim.name}",
            "its underside, and what it clears on the walls; a usual depth is assumed meanwhile",
            case.where,
        )
    if not readings(case.room):
        yield RULES["floor-not-levelled"].lacking(
            f"how far the floor of the {case.room.name} is out of level",
            f"whether the {case.rail} lies level, parallel to the floor or split between the two",
            case.where,
            "Read the tape from the floor up to the level line at both ends of every wall.",
        )
    lost = [
        f"{clearance_row(fitting.kind)['printed']} on wall {wall.name}"
        for wall, fitting in case.fittings()
        if fitting.height is None
    ] + [
        f"the window sill on wall {wall.name}"
        for wall, opening in case.openings()
        if opening.kind == "window" and opening.sill is None
    ]
    if lost:
        yield RULES["fitting-height-not-surveyed"].lacking(
            f"the height of {', '.join(lost)}",
            f"whether the {case.rail} clears it",
            case.where,
        )


def undecided(case: Case) -> Iterator[Finding]:
    """Nothing in the survey decides the height: a hold where the rail is to be fixed."""
    if case.trim is not None:
        says = f"Nothing in the survey decides the height of the {case.rail} in the {case.room.name}."
        mend = "Measure the room height, look for marks of the old rail, or write the top that is wanted."
        sources = tuple(dict.fromkeys(source for row in table("precedence") for source in row.sources))
        grounds = Grounds(formula="none of the grounds in the order of precedence was surveyed", sources=sources)
        yield RULES["height-undecided"].told("hold", says, case.where, grounds, mend)


def evidence_findings(case: Case, offers: Sequence[Offer]) -> Iterator[Finding]:
    """What the marks call for: a rail that is not in the job, marks that disagree, plugs to be dated."""
    marks = [offer for offer in offers if offer.group == "room-evidence"]
    if case.trim is None:
        says = f"The survey of the {case.room.name} tells of a {case.rail}, but none is in this job."
        grounds = next(mark.grounds for mark in case.orders.marks if mark.member == case.member)
        mend = "Leave the marks as they are, or add the rail to the survey."
        yield RULES["mark-without-rail"].told("advice", says, case.where, grounds, mend)
    if marks:
        yield from _disagreeing(case, marks)
    if any(evidence.kind == "plugs" and evidence.member == case.member for evidence in case.room.evidence):
        row = table("evidence").row("plugs")
        says = f"The plugs in the {case.room.name} may be later than the house and too high; they are a weak mark."
        grounds = Grounds(formula=row.note, sources=row.sources)
        mend = "Date the plugs before leaning on them."
        yield RULES["plugs-undated"].told("advice", says, case.where, grounds, mend)


def misfits(case: Case, offers: Sequence[Offer]) -> Iterator[Finding]:
    """Marks, wishes and lines of the room that would put the rail outside it: some reading is wrong."""
    for offer in offers:
        why = case.misfit(offer.height)
        if case.trim is None or not why or offer.group not in ("room-evidence", "near-evidence", "wanted", "handrail"):
            continue
        says = (
            f"The {case.rail} in the {case.room.name} cannot stand where {offer.rule} puts it, "
            f"at {case.show(offer.height)} above the floor: {why}."
        )
        sources = tuple(dict.fromkeys((*offer.grounds.sources, GEOMETRY)))
        grounds = replace(offer.grounds, inputs=(*offer.grounds.inputs, case.face), sources=sources)
        mend = "Measure it again, with the floor there, the room height and the depth of the rail."
        yield RULES["outside-the-room"].told("caution", says, case.where, grounds, mend)


def _disagreeing(case: Case, marks: Sequence[Offer]) -> Iterator[Finding]:
    low, high = min(marks, key=_height), max(marks, key=_height)
    limit = table("limits").row("evidence-spread")
    if high.height - low.height <= limit["value"]:
        return
    says = (
        f"The marks of the {case.rail} in the {case.room.name} disagree: {low.rule} gives {case.show(low.height)}, "
        f"{high.rule} {case.show(high.height)}."
    )
    grounds = Grounds(
        tuple(one for offer in marks for one in offer.grounds.inputs),
        "each mark is moved to the rail's top edge by its depth of face",
        result=f"{case.show(high.height - low.height)} apart",
        sources=_sources(*marks) + limit.sources,
    )
    mend = "Look at both again in raking light, note which edge each one is, and date them."
    yield RULES["marks-disagree"].told("caution", says, case.where, grounds, mend, apart=high.height - low.height)


def _height(offer: Offer) -> float:
    return offer.height


def _sources(*offers: Offer) -> tuple[Source, ...]:
    return tuple(dict.fromkeys(one for offer in offers for one in offer.grounds.sources))


def choice_findings(
    case: Case, offers: Sequence[Offer], chosen: Offer, band: Band, grounds: Grounds
) -> Iterator[Finding]:
    """Which height was chosen and on what ground; which rule gave way; a wish that gave way."""
    if case.trim is None:
        return
    shown = case.show(chosen.height)
    reason = table("precedence").row(chosen.group)["says"]
    counted = counted_from(case.room, case.job.units) or "the floor"
    says = (
        f"The top of the {case.rail} in the {case.room.name} goes {shown} above {counted}. "
        f"It follows {chosen.rule}: {reason}."
    )
    for flight in case.room.stairs:
        if flight.handrail is not None and abs(flight.handrail - chosen.height) >= 1:
            plumb = case.show(flight.handrail)
            says += f" On {flight.called} it goes as high over the nosings as the handrail, {plumb} plumb."
    yield RULES["height-chosen"].told("record", says, case.where, grounds, top=chosen.height)
    yield from _fifth_gives_way(case, offers, chosen, band)
    yield from _outside_band(case, chosen, band, grounds)
    wish = next((offer for offer in offers if offer.group == "wanted"), None)
    if wish is not None and chosen.group == "room-evidence" and abs(wish.height - chosen.height) >= 1:
        says = (
            f"The survey asks for the {case.rail} at {case.show(wish.height)}; {chosen.rule} puts it at {shown}. "
            "The mark comes first."
        )
        mend = f"To follow the wish, record a departure from {WANTED} with its reason and who agreed."
        yield RULES["wanted-height-gives-way"].told(
            "caution", says, case.where, grounds, mend, wanted=wish.height, marked=chosen.height
        )


def _fifth_gives_way(case: Case, offers: Sequence[Offer], chosen: Offer, band: Band) -> Iterator[Finding]:
    """A record that the trade's fifth and its band do not meet in this room."""
    rule = table("canons").row("fifth")["says"]
    fifth = next((offer for offer in offers if offer.rule == rule), None)
    miss = band.misses(fifth.height) if fifth is not None else 0.0
    if fifth is None or abs(miss) < 1 or chosen.group != "trade":
        return
    top, gap = case.show(fifth.height), case.show(abs(miss))
    says = (
        f"In the {case.room.name} the trade's own rules disagree: {rule} is {top}, which is {gap} "
        f"{'below' if miss < 0 else 'above'} {band.says}. The fifth gave way"
    )
    if miss < 0:
        says += f": a room must be {case.show(5 * band.low)} high before it reaches the band."
    else:
        says += "."
    inputs = (*fifth.grounds.inputs, Input("band", f"{case.show(band.low)} to {case.show(band.high)}"))
    sources = tuple(dict.fromkeys(fifth.grounds.sources + band.sources))
    grounds = Grounds(inputs, f"{rule} against the band", fifth.grounds.worked, top, sources)
    yield RULES["fifth-gives-way"].told("record", says, case.where, grounds)


def _outside_band(case: Case, chosen: Offer, band: Band, grounds: Grounds) -> Iterator[Finding]:
    """Advice where a wish, or an author the survey names, puts the rail outside the trade's band."""
    miss = band.misses(chosen.height)
    if chosen.group in ("wanted", "named-author") and abs(miss) >= 1:
        side = "below" if miss < 0 else "above"
        says = (
            f"At {case.show(chosen.height)} the {case.rail} in the {case.room.name} is {case.show(abs(miss))} {side} "
            f"{band.says}."
        )
        mend = "See it on the wall with a string line before it is agreed."
        yield RULES["height-outside-band"].told("advice", says, case.where, grounds, mend, outside=abs(miss))


def line_findings(case: Case, line: Line) -> Iterator[Finding]:
    """How the rail lies over a floor that is out of level, with the visible error of each way."""
    if line.fall < 0.5:
        return
    limit = table("limits").row("level-fall")
    given = case.job.choices.line
    ways = " ".join(f"If {kind}: {visible_error(kind, line.fall, 0.0, case.job.units)}" for kind in SHARES)
    fall = case.show(line.fall)
    by = "as the survey chooses" if given else "chosen by the fall of the floor"
    says = f"The floor of the {case.room.name} is {fall} out of level; the rail is {line.kind}, {by}."
    says += f" {visible_error(line.kind, line.fall, 0.0, case.job.units)}" if given else f" {ways}"
    tapes = tuple(
        Input(
            f"floor to datum, wall {wall.name} at {case.show(reading.at)}",
            reading.to_datum,
            "mm",
            case.job.line(reading),
        )
        for wall, reading in readings(case.room)
    )
    grounds = Grounds(
        tapes, "the longest tape from floor to datum less the shortest", ways.rstrip("."), fall, limit.sources
    )
    weight: Weight = "record"
    mend = ""
    if not given and line.fall > limit["value"]:
        weight = "advice"
        mend = "Show the three ways with a string line, agree one, and write it in the survey."
    yield RULES["floor-out-of-level"].told(weight, says, case.where, grounds, mend, fall=line.fall)


def stair_findings(job: Job, room: Room, flight: Flight, line: StairHeight) -> Iterator[Finding]:
    """What a flight lacks, and that a dado rail is no handrail."""
    where = Where(room.name, trim=line.trim, line=job.line(flight))
    if line.pitch is None:
        yield RULES["pitch-not-surveyed"].lacking(
            f"the rise and going, or the pitch, of {flight.called}",
            "the rake of the rail and where its knees fall",
            where,
        )
    if flight.handrail is None:
        yield RULES["handrail-not-surveyed"].lacking(
            f"the height of the handrail of {flight.called}",
            "the height of the rail on the stair, which equals it",
            where,
            "Measure plumb from the pitch line, nosing to nosing, to the top of the handrail.",
        )
    says = (
        f"The dado rail on {flight.called} is not a handrail: it cannot be gripped and must not be counted as one. "
        "Whether a handrail is needed, and how high, is for the building regulations of the place."
    )
    grounds = Grounds(formula="a handrail must be gripped; a dado rail cannot be", sources=(PRACTICE,))
    yield RULES["dado-is-no-handrail"].told("caution", says, where, grounds)
