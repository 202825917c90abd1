"""What was not surveyed about a run and its wall, and how to find it out."""

from __future__ import annotations

from collections.abc import Iterator

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.units import show_length
from listel.plugins.fixings.bearing import FRAMED, Bearing, Place, band
from listel.plugins.fixings.load import assumed_load
from listel.plugins.fixings.size import thickness
from listel.plugins.site import tables

RULES = load_rules(__package__)

HOW_TO_FIND_OUT = (
    "Tap along the wall, look behind an existing plate or in a cupboard, and drill one fine trial hole where the "
    "trim will "
    "hide it, after checking for cables and pipes: white dust then nothing is board or lath, red dust brick, grey "
    "or buff "
    "dust stone or mortar, shavings timber. Then survey the wall's substrate."
)


def wall_place(place: Place) -> Where:
    """The wall of a run, with its survey line."""
    return Where(place.room.name, place.wall.name, line=place.job.line(place.wall))


def trim_place(place: Place) -> Where:
    """The trim of a run, with its survey line."""
    return Where(trim=place.trim.name, line=place.job.line(place.trim))


def unknown_substrate(place: Place) -> Finding:
    """The hold on a wall whose make-up is not known."""
    return RULES["substrate-unknown"].told(
        "hold",
        f"What wall {place.wall.name} is made of was not surveyed, so no fixing can be named for it.",
        wall_place(place),
        Grounds(
            (Input("make-up of the wall", "not surveyed"),),
            "the fixing follows from what bears it",
            sources=(PRACTICE,),
        ),
        HOW_TO_FIND_OUT,
    )


def cover_unknown(place: Place, found: Bearing, name: str) -> Finding:
    """The caution on one of the things that cover what bears, by its name among ``found.covers``."""
    wall, units = place.wall.name, place.job.units
    ground, hollow = RULES["ground-not-surveyed"], RULES["hollow-not-surveyed"]
    rule, what, (low, high) = {
        "plaster": (
            RULES["plaster-not-surveyed"],
            f"the thickness of the plaster or board of wall {wall}",
            found.plaster,
        ),
        "plaster over the ground": (
            ground,
            f"how far the ground behind the {place.trim.name} lies behind the face of the plaster of wall {wall}",
            found.plaster,
        ),
        "void": (hollow, f"the hollow behind the board of wall {wall}", found.void),
        "packing": (
            hollow,
            f"how far the {place.trim.name} is packed out from the sides of the {place.run.opening}",
            found.void,
        ),
    }[name]
    usual = f"{show_length(low, units)} to {show_length(high, units)}"
    mend = f"{usual} is usual and the longer figure is used until it is measured through a trial hole."
    if rule is ground:
        mend = (
            f"0 where the plaster stops at it; a plate or noggin that the plaster covers may lie {usual} in: "
            "measure it through a trial hole."
        )
    return rule.lacking(what, "how long the fixings must be", wall_place(place), mend)


def thickness_unknown(place: Place, found: Bearing, thick: Input) -> Iterator[Finding]:
    """The caution on battens or a ground that nobody measured; of old panelling the survey is not asked."""
    taken = f"{show_length(float(thick.value), place.job.units)} is taken until it is measured through a trial hole."
    wall, decides = place.wall.name, "how long the fixings may be"
    if found.kind == "battens":
        what = f"the hollow between the battens of wall {wall}"
        yield RULES["hollow-not-surveyed"].lacking(what, decides, wall_place(place), taken)
    if found.kind == "ground":
        what = f"the thickness of the ground behind the {place.trim.name} of wall {wall}"
        yield RULES["ground-not-surveyed"].lacking(what, decides, wall_place(place), taken)


def missing_facts(place: Place, found: Bearing) -> Iterator[Finding]:
    """A caution for each fact about the wall or the trim that was not surveyed and that the schedule needs."""
    section = place.trim.section
    for given in found.covers:
        if given.assumed:
            yield cover_unknown(place, found, given.name)
    if found.thick is not None and found.thick.assumed:
        yield from thickness_unknown(place, found, found.thick)
    if found.kind in FRAMED and not found.stations and not place.run.upright and not place.face.stud_spacing:
        yield RULES["studs-not-surveyed"].lacking(
            f"where the {found.kind} of wall {place.wall.name} stand",
            "where the fixings land; until then they are shown evenly spaced",
            wall_place(place),
            f"To find them: {found.row['find']}.",
        )
    if thickness(place) is None:
        yield RULES["thickness-not-surveyed"].lacking(
            f"the thickness of the {place.trim.name}",
            "the length of its fixings",
            trim_place(place),
        )
    if section.height is None:
        yield RULES["section-not-surveyed"].lacking(
            f"the height of the {place.trim.name}",
            "its weight and the rows of fixings",
            trim_place(place),
        )
    if place.trim.timber is None and place.trim.density is None:
        yield RULES["timber-not-surveyed"].lacking(
            f"the timber of the {place.trim.name}",
            "its weight, the metal of its fixings and whether it is drilled; redwood is assumed",
            trim_place(place),
        )
    if place.trim.load is None and tables.member(place.trim.member).get("hangs"):
        assumed = (
            f"{assumed_load(place.job.units)[1]} is assumed"
            if place.trim.member == "picture-rail"
            else "nothing is assumed"
        )
        decides = f"what its fixings must carry; {assumed}"
        yield RULES["load-not-surveyed"].lacking(f"what the {place.trim.name} is to carry", decides, trim_place(place))
    if band(place) is None:
        here = Where(place.room.name, trim=place.trim.name, line=place.job.line(place.trim))
        yield RULES["height-unknown"].lacking(
            f"how high the {place.trim.name} stands", "how high its fixings stand", here
        )
