"""What is said of where fixings stand along a run: too few of them, an end beyond the studs, a joint off one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from listel.core.contract.findings import PRACTICE, Finding, Grounds, Input
from listel.core.survey.units import custom, show_length
from listel.plugins.fixings import eurocode
from listel.plugins.fixings.bearing import Place
from listel.plugins.fixings.layout import JOINT_REACH, SLACK
from listel.plugins.fixings.line import (
    Reckoned,
    code,
)
from listel.plugins.fixings.places import RULES, at_start, where
from listel.plugins.fixings.points import Layout
from listel.plugins.fixings.results import loose_end
from listel.plugins.site import tables

STUD_SLACK = 25.0
"""So much farther apart than custom asks studs may stand, mm: our own setting. What was chosen or set has no slack."""
HANGS_ON_ITS_JOINTS = 150.0
"""A run no longer than this is held by the pieces it is joined to, mm: our own setting, no authority."""


def fewer_than_two(reckoned: Reckoned, out: Layout) -> Iterator[Finding]:
    """Each piece of a run, from joint to joint, that cannot take two fixings; one in a joint is of both its pieces. One
    in the foot of a panel's frame is enough, for its head has one over it."""
    least = 1 if tables.goes_round_panels(reckoned.place.run.member) else 2
    for start, end in pairwise((out.start, *out.joints, out.end)):
        number = sum(start - JOINT_REACH <= station <= end + JOINT_REACH for station in out.stations)
        if number < least:
            yield too_few(reckoned, start, end, number)


def too_few(reckoned: Reckoned, start: float, end: float, number: int) -> Finding:
    """A piece that cannot take two fixings: a hold where it is too long to hang on its joints."""
    place, units = reckoned.place, reckoned.place.job.units
    ends = f"{show_length(start, units)} to {show_length(end, units)}{' up' if place.run.upright else ''}"
    nds = code(place) == "nds"
    has = "studs" if reckoned.bearing.stations else "room"
    short = end - start <= HANGS_ON_ITS_JOINTS or place.splice
    return RULES["fewer-than-two"].told(
        "caution" if short else "hold",
        f"The {place.trim.name} from {ends} has {has} for one fixing only."
        if number
        else f"The {place.trim.name} from {ends} has no {'stud' if has == 'studs' else 'room'} to fix to.",
        at_start(place) if place.run.upright else replace(where(place), station=start),
        Grounds(
            (
                Input("length of the piece", round(end - start), "mm"),
                Input("hangs on its joints up to", HANGS_ON_ITS_JOINTS, "mm", assumed=True, note="our own setting"),
            ),
            "two fixings at least, clear of both ends",
            sources=(PRACTICE,) if nds else (eurocode.clause("8.3.1.1"), PRACTICE),
        ),
        "Give it a nogging, a ground or a plug of its own, or shift the joint so that it is one with the next piece.",
        fixings=number,
        length=end - start,
    )


def beyond_studs(reckoned: Reckoned, out: Layout) -> Iterator[Finding]:
    """Studs that stand too far apart for a run, and ends far beyond the last of them."""
    place, units, kind = reckoned.place, reckoned.place.job.units, reckoned.bearing.kind
    gap = out.spacing
    slack = custom(STUD_SLACK, units) if place.job.choices.spacing is None else SLACK
    if gap is not None and gap > reckoned.most + slack:
        yield RULES["studs-too-far-apart"].told(
            "caution",
            f"Where the {place.trim.name} runs, the {kind} stand {show_length(gap, units)} apart at the widest; "
            f"it should be held every {show_length(reckoned.most, units)}.",
            at_start(place),
            Grounds((Input("widest gap", round(gap), "mm"),), sources=reckoned.row.sources),
            "Add noggings between them.",
            gap=gap,
            most=reckoned.most,
        )
    first, last = out.stations[0], out.stations[-1]
    yield from end_beyond_studs(reckoned, out.start, first)
    yield from end_beyond_studs(reckoned, out.end, last)


def end_beyond_studs(reckoned: Reckoned, end: float, station: float) -> Iterator[Finding]:
    """An end of a run that stands farther from its nearest stud than a first fixing may."""
    place, units, kind = reckoned.place, reckoned.place.job.units, reckoned.bearing.kind
    loose = abs(end - station)
    most = loose_end(units)
    if loose <= most:
        return
    yield RULES["end-beyond-studs"].told(
        "advice",
        f"The end of the {place.trim.name} at {show_length(end, units)} stands {show_length(loose, units)} from the "
        f"nearest of the {kind} it is fixed to; it should be held within {show_length(most, units)}.",
        replace(where(place), station=end),
        Grounds(
            (
                Input("nearest fixing from the end", round(loose), "mm"),
                Input("farthest allowed", most, "mm", assumed=True, note="our own setting"),
            ),
            sources=(PRACTICE,),
        ),
        "Look for the corner post or let in a nogging or a ground there; else pin the end to the piece it meets.",
    )


def off_a_fixing(place: Place, joints: list[float]) -> Finding:
    """Joints between pieces with no fixing behind them."""
    units = place.job.units
    at = ", ".join(show_length(joint, units) for joint in joints)
    return RULES["joint-off-a-fixing"].told(
        "advice",
        f"The {place.trim.name} has a joint at {at} with no fixing behind it.",
        where(place),
        Grounds((Input("joint", round(joints[0]), "mm"),), "a joint stands over a fixing", sources=(PRACTICE,)),
        "Shift the joint to a stud, or put a nogging behind it.",
    )
