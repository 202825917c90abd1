"""What is to be said of old trim: what is not known of it, what is lost with it, and what comes first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Weight, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import open_table
from listel.core.survey.job import Job, OldTrim
from listel.core.survey.units import show_length
from listel.plugins.existing import figures
from listel.plugins.existing.pieces import place, rotten, seen_from
from listel.plugins.existing.results import Mend, OldPiece
from listel.plugins.site import Protection, Site, tables

RULES = load_rules(__package__)
TAPE = 10.0
"""A length may reach so far into an opening as taped [mm]. Our own allowance."""
DRY_ROT = (
    "A surveyor of timber follows it to its end, by as little opening as that takes, and says what made it wet. Then "
    "what is cut out is bagged where it lies and taken out of the house, and what goes back stands clear of that wall, "
    "its ends sealed, with air or a membrane between."
)
"""What is done about dry rot. Common practice, no source, but for the least opening and the cause first."""


def judged(job: Job, site: Site, old: OldTrim, piece: OldPiece, mine: Sequence[Mend]) -> Iterator[Finding]:
    """Everything that is to be said of one piece."""
    where, protection = place(piece), site.protection
    yield from _not_said(job, site, old, piece, where)
    yield from _across(job, old, piece, where)
    yield from _down_the_order(job, protection, old, piece, where)
    yield from _less_than_it_needs(old, piece, where)
    yield from _decay(job, old, piece, where)
    yield from _hides(protection, piece, where)
    if piece.intent == "repair":
        yield from _repair(job, old, piece, mine, where)


def _replaced(job: Job, site: Site, old: OldTrim) -> bool:
    """Whether a trim of its member goes where it comes off; of a lining, from either room."""
    return any(
        there.name == wall.name
        for room, wall in seen_from(site, old)
        for trim in job.trims_in(room.name)
        if trim.member == old.said.member
        for _, there, _, _ in job.places(trim, room.name)
    )


def _not_said(job: Job, site: Site, old: OldTrim, piece: OldPiece, where: Where) -> Iterator[Finding]:
    name = piece.named
    if not piece.state:
        yield RULES["state-not-surveyed"].lacking(
            f"the state of {name}", "whether it can stay as it is, and what it needs", where
        )
    if not piece.intent:
        yield RULES["intent-not-surveyed"].lacking(
            f"what is to happen to {name}",
            "whether anything new is cut there; it stays, and new trim leaves it alone",
            where,
        )
    if piece.length is None:
        what = f"how long {name} is"
        yield RULES["extent-not-surveyed"].lacking(what, "where new trim begins, and the totals", where)
    if piece.intent == "replace" and not _replaced(job, site, old):
        yield RULES["replaced-by-what"].lacking(
            f"which new trim takes the place of {name}", "whether anything stands there when the work is done", where
        )
    if piece.comes_off and piece.stays and not old.said.holes:
        yield RULES["holes-not-surveyed"].lacking(
            f"where {name} was fixed, and which of its holes still bite",
            "how many new holes it takes; until then they are counted as of new trim",
            where,
            "Read them when it is off.",
            "holes",
        )
    if piece.intent == "set-aside" and not piece.kept_at:
        yield RULES["kept-where"].lacking(f"where {name} is kept", "whether it can be found and put back", where)


def _across(job: Job, old: OldTrim, piece: OldPiece, where: Where) -> Iterator[Finding]:
    """A length on a wall that is listed across an opening at its own height."""
    top = piece.height if piece.top is None and tables.member(piece.member).get("stands") else piece.top
    if old.opening or old.flight or piece.end is None or top is None:
        return
    under = top - (piece.height or 0.0)
    for opening in old.wall.openings:
        low = 0.0 if opening.kind != "window" else opening.sill
        high = inf if opening.height is None else (opening.sill or 0.0) + opening.height
        over = min(piece.end, opening.end) - max(piece.start, opening.at)
        if over <= TAPE or low is None or top <= max(low, opening.sill or 0.0) or under >= high:
            continue
        units = job.units
        says = (
            f"{piece.named}, is listed from {show_length(piece.start, units)} to {show_length(piece.end, units)}, "
            f"{show_length(over, units)} of it across the {opening.called}: so long it is drawn and counted."
        )
        inputs = (
            Input("from", piece.start, "mm", piece.line),
            Input("to", piece.end, "mm", piece.line),
            Input("opening from", opening.at, "mm", job.line(opening)),
            Input("opening to", opening.end, "mm", job.line(opening)),
        )
        grounds = Grounds(inputs, "what of it lies between the sides of the opening", sources=(GEOMETRY,))
        mend = (
            "List a length for each side of it; where it does run across, on a door without a frame, depart from this."
        )
        yield RULES["across-an-opening"].told(
            "caution", f"{says[0].upper()}{says[1:]}", where, grounds, mend, over=over
        )


def _down_the_order(job: Job, protection: Protection, old: OldTrim, piece: OldPiece, where: Where) -> Iterator[Finding]:
    """Less than it could keep: a step down that nobody gave a reason for, or original trim that would be lost."""
    if not (piece.state and piece.intent):
        return
    least, row = figures.intent(figures.state(piece.state)["least"]), figures.intent(piece.intent)
    if row["step"] <= least["step"]:
        return
    original = piece.original == "original" and not row.get("stays")
    name, sources = piece.named, (*figures.state(piece.state).sources, *row.sources)
    grounds = Grounds(piece.grounds.inputs, piece.grounds.formula, sources=tuple(dict.fromkeys(sources)))
    if original and protection.asked:
        lost = "" if piece.length is None else f" {show_length(piece.length, job.units)} of"
        says = (
            f"It would lose{lost} original trim: {name}. {row['says'].capitalize()}, and it is {piece.state}: the "
            f"least that it needs is to {least.name} it. {piece.worth.capitalize()}. Whether it may go the authority "
            "decides."
        )
        mend = f"{least.name.capitalize()} it, or apply for its loss by name, with the reason why it cannot stay."
        yield RULES["original-lost"].told("hold", says, where, grounds, mend, length=piece.length or 0.0)
    if not old.said.reason:
        says = (
            f"{name[0].upper()}{name[1:]}, is {piece.state} and {row['says']}; the least that it needs is to "
            f"{least.name} it. What lacks is a reason."
        )
        weight: Weight = "hold" if protection.asked or (original and piece.state == "sound") else "caution"
        mend = "Do no more than it needs, or say why that fails."
        yield RULES["step-down"].told(weight, says, where, grounds, mend, "existing, reason")


def _less_than_it_needs(old: OldTrim, piece: OldPiece, where: Where) -> Iterator[Finding]:
    if not (piece.state and piece.intent):
        return
    least, row = figures.intent(figures.state(piece.state)["least"]), figures.intent(piece.intent)
    if row["step"] < least["step"] and not old.said.reason:
        says = f"{piece.named}, is {piece.state} and {row['says']}; it wants at least to be {_done(least.name)}."
        mend = f"{least.name.capitalize()} it, or say why it may be left."
        yield RULES["less-than-it-needs"].told("advice", says[0].upper() + says[1:], where, piece.grounds, mend)


def _done(intent: str) -> str:
    return {"refix": "refixed", "repair": "repaired"}.get(intent, intent)


def _decay(job: Job, old: OldTrim, piece: OldPiece, where: Where) -> Iterator[Finding]:
    """Decay: its cause first, how far it goes, and its ends probed."""
    if piece.rots_on:
        yield _cause(job, old, piece, where)
    if piece.spreads:
        says = (
            f"{piece.named}, has dry rot, which goes on behind plaster, under floors and through masonry: what shows "
            "is not all of it."
        )
        yield RULES["dry-rot"].told("hold", says[0].upper() + says[1:], where, mend=DRY_ROT)
    if piece.intent == "repair" and any(not each.probed for each in rotten(old.said)):
        yield RULES["decay-not-probed"].lacking(
            f"where sound timber begins past the rot of {piece.named}, found by the pick",
            "where it is cut; until then it is cut by eye",
            where,
            f"Probe every {show_length(25, job.units)} along the grain, {show_length(6, job.units)} deep: sound wood "
            "breaks in long splinters.",
            "damage, probed",
        )


def _cause(job: Job, old: OldTrim, piece: OldPiece, where: Where) -> Finding:
    """Decay whose cause is not gone, or that reads too wet for it to be."""
    live = [each for each in rotten(old.said) if not each.cured]
    read = {"it": old.said.moisture, "its wall": old.wall.moisture}
    wettest = max(read, key=lambda what: read[what] or 0.0)
    moisture, line = read[wettest] or 0.0, figures.value("decay-stops")
    inputs = [
        Input(f"moisture, {what}", reading, "%", job.line(holder, "moisture"))
        for (what, reading), holder in zip(read.items(), (old.said, old.wall), strict=True)
        if reading is not None
    ]
    causes = ", ".join(each.cause for each in live if each.cause)
    told = f"its cause is told as {causes} and is not gone" if causes else "its cause is not found"
    if not live and rotten(old.said):
        told = f"the cause is told to be gone, but {wettest} reads {moisture:g} %, over {line:g} %"
    says = f"{piece.named}, is decayed and {told}: nothing is mended or renewed there before it is."
    sources = figures.figure("decay-stops").sources
    grounds = Grounds((*inputs, figures.shown("decay-stops")), "decay stops where timber dries", sources=sources)
    mend = "Find where the water comes from, end it, and let the wall dry."
    says = says[0].upper() + says[1:]
    record = "damage, cause and cured"
    return RULES["decay-cause"].told("hold", says, where, grounds, mend, record, moisture=moisture)


def _hides(protection: Protection, piece: OldPiece, where: Where) -> Iterator[Finding]:
    for name in piece.hides if piece.opened else ():
        row = open_table(__package__, "finds").row(name)
        says = f"Behind {piece.named}, lie {row['says']}: stop there, cover it, report it. Then {row['then']}."
        weight: Weight = "hold" if protection.asked else "caution"
        yield RULES["hides-something"].told(
            weight, says, where, Grounds(sources=row.sources), "Leave it in place, and have it recorded."
        )


# ---------------------------------------------------------------- repairs


def _repair(job: Job, old: OldTrim, piece: OldPiece, mine: Sequence[Mend], where: Where) -> Iterator[Finding]:
    name = piece.named
    if not old.said.damage:
        yield RULES["damage-not-surveyed"].lacking(
            f"the damage of {name}, by station", "what is cut out, and how little; nothing is", where
        )
        return
    wants = [each for each in old.said.damage if figures.damage(each.kind)["wants"] == "timber"]
    if wants and piece.thick is None:
        yield RULES["thickness-not-surveyed"].lacking(
            f"the thickness of {name}", "the length of its scarfs; no splice is cut", where
        )
    spliced = [each for each in mine if each.kind == "splice"]
    if spliced and not piece.trim:
        yield RULES["timber-for-splice"].lacking(
            f"which trim of the job gives the timber for {name}",
            "what its splices are cut from; they are in no cutting list",
            where,
            "List one under trim, with an empty list as its where if it only mends; where there are several, name it "
            "under for.",
        )
    if spliced and not old.said.timber:
        yield RULES["old-timber-not-surveyed"].lacking(
            f"which timber {name} is of", "what its splices are cut from: like mends like", where
        )
    for each in spliced:
        if each.left.startswith("the old") and each.right.startswith("the old"):
            says = (
                f"{each.label.capitalize()} takes {name} whole: so near its ends no scarf leaves old timber. It is "
                "replaced, not mended."
            )
            mend = "Look for a smaller repair, by pieces let in; or say that it is replaced, and why."
            yield RULES["nothing-left"].told("caution", says, where, each.grounds, mend)
    yield from _much(job, piece, spliced, where)
    yield from _too_wet(job, old, piece, where)
    if any(figures.damage(each.kind).get("decay") or each.kind == "beetle" for each in old.said.damage):
        says = (
            f"On {name}, consolidants come last: a resin hardens at the face, hides rot behind it, and does not come "
            "out again."
        )
        yield RULES["consolidate-last"].told(
            "advice",
            says,
            where,
            Grounds(sources=RULES["consolidate-last"].sources),
            "Cut decayed wood out; a conservator decides on any resin.",
        )


def _much(job: Job, piece: OldPiece, spliced: Sequence[Mend], where: Where) -> Iterator[Finding]:
    taken = sum(each.lost for each in spliced)
    if not piece.length or taken / piece.length * 100 <= figures.value("much"):
        return
    share = taken / piece.length * 100
    says = (
        f"The splices of {piece.named} take {share:.0f} % of it. No body gives a share at which a repair "
        "ends; ask again what is kept by it."
    )
    inputs = (
        Input("cut out, each scarf at half its length", taken, "mm"),
        Input("its length", piece.length, "mm"),
        figures.shown("much"),
    )
    grounds = Grounds(inputs, "cut out over its length", sources=figures.figure("much").sources)
    yield RULES["repair-takes-much"].told("advice", says, where, grounds, share=share)


def _too_wet(job: Job, old: OldTrim, piece: OldPiece, where: Where) -> Iterator[Finding]:
    moisture = old.said.moisture
    if moisture is None:
        yield RULES["moisture-not-surveyed"].lacking(
            f"the moisture of {piece.named}", "how dry the new timber must be, and which glue holds", where
        )
        return
    most = figures.value("glue-wet")
    if moisture > most:
        says = f"{piece.named}, reads {moisture:g} %: over {most:g} % no glue here is held to last. It is dried first."
        inputs = (Input("moisture", moisture, "%", job.line(old.said, "moisture")), figures.shown("glue-wet"))
        grounds = Grounds(
            inputs, "the class of the glue by the moisture of the wood", sources=figures.figure("glue-wet").sources
        )
        yield RULES["too-wet-to-glue"].told("hold", says[0].upper() + says[1:], where, grounds, moisture=moisture)
