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


def missing_facts(place: Place, found: Bearing) -> Iterator[Finding]:
    """A caution for each fact about the wall or the trim that was not surveyed and that the schedule needs."""
    units = place.job.units
    substrate, section = place.wall.substrate, place.trim.section
    assert substrate is not None
    for name, rule, (low, high) in (
        ("plaster", RULES["plaster-not-surveyed"], found.plaster),
        ("void", RULES["hollow-not-surveyed"], found.void),
    ):
        if getattr(substrate, name) is None and high > 0:
            what = "the thickness of the plaster or board" if name == "plaster" else "the hollow behind the board"
            usual = f"{show_length(low, units)} to {show_length(high, units)}"
            what = f"{what} of wall {place.wall.name}"
            if tables.goes_through_openings(place.trim.member):
                what = f"how far the {place.trim.name} is packed out from the sides of the {place.run.opening}"
            mend = f"{usual} is usual and the longer figure is used until it is measured through a trial hole."
            yield rule.lacking(what, "how long the fixings must be", wall_place(place), mend)
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
        assumed = f"{assumed_load()[1]} is assumed" if place.trim.member == "picture-rail" else "nothing is assumed"
        decides = f"what its fixings must carry; {assumed}"
        yield RULES["load-not-surveyed"].lacking(f"what the {place.trim.name} is to carry", decides, trim_place(place))
    if band(place) is None:
        here = Where(place.room.name, trim=place.trim.name, line=place.job.line(place.trim))
        yield RULES["height-unknown"].lacking(
            f"how high the {place.trim.name} stands", "how high its fixings stand", here
        )
