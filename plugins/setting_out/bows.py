"""Trims on bowed walls: can they be drawn in, and what else."""

from __future__ import annotations

from math import radians

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Source, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.contract.tables import Row
from listel.core.quick import dataclass
from listel.core.survey.job import Bow, Job, Room, Trim, Wall
from listel.core.survey.units import show_fine
from listel.plugins.setting_out.curve import (
    bending_stress,
    bow_arc,
    bow_radius,
    drawn_in,
    least_radius,
    stiffness,
)
from listel.plugins.setting_out.results import BowCheck, Run
from listel.plugins.setting_out.settings import allowance, allowed, lengths
from listel.plugins.site import tables

RULES = load_rules(__package__)

SEEN = 0.05
"""A difference of length [mm] under which a board is cut to the wall."""

BEAMS = Source("Beam theory: bent strips and the theorem of three moments", standing="published-from-memory")


def bending_of(timber: Row) -> tuple[float, float]:
    """Modulus of elasticity and bending strength of a timber [N/mm2]: the stiffest against the weakest it may be."""
    return timber["stiffness"] * 1000, timber["strength"]


@dataclass(frozen=True)
class Strip:
    """A strip drawn to a bow: outer-fibre ``stress`` [N/mm2] and its ``share`` of the bending strength, least radius
    that keeps to the safe share [mm], greatest ``pull`` on one fixing [N], its ``stiff``ness E x I [N mm2]."""

    stress: float
    share: float
    least: float
    pull: float
    stiff: float


def strip_on(
    chord: float, rise: float, thickness: float, height: float, modulus: float, strength: float, spacing: float
) -> Strip:
    """A strip of that section [mm] drawn to an even bow, fixed at about that spacing [mm]; modulus and strength in
    N/mm2.

    The stress is the greater of the even curve's and that at the hardest-bent fixing. Source: beam theory, see
    ``curve``.
    """
    stiff = stiffness(modulus, height, thickness)
    pull, moment = drawn_in(chord, rise, stiff, spacing)
    stress = max(bending_stress(modulus, thickness, bow_radius(chord, rise)), moment / (height * thickness**2 / 6))
    least = least_radius(modulus, thickness, strength * allowance("bend-share"))
    return Strip(stress, stress / strength, least, pull, stiff)


def _longer(thickness: float | None, turn: float, hollow: bool | None) -> float:
    """How much longer than the wall the back of a straight board is that is drawn round it [mm]: half its thickness
    x the turn [deg], for it keeps its middle line; shorter in a hollow. Source: geometry of an arc, derived."""
    if thickness is None or hollow is None:
        return 0.0
    return thickness / 2 * radians(turn) * (-1 if hollow else 1)


def spacing_of(job: Job) -> tuple[float, Input]:
    """The spacing of fixings that a bow is judged at [mm]: as chosen, else assumed."""
    spacing, shown, _ = allowed("fixing-spacing")
    if job.choices.spacing is not None:
        spacing = job.choices.spacing
        shown = Input("spacing of fixings", spacing, "mm", job.line(job.choices, "spacing"))
    return spacing, shown


def way_round(chord: float, rise: float, thickness: float, strip: Strip | None, painted: bool) -> tuple[str, str]:
    """What to do with a trim on a bowed wall, and why: bend, thin, kerf, laminate, scribe or pack."""
    radius = bow_radius(chord, rise)
    if rise <= allowance("filled-gap"):
        return "scribe", "the gap behind a straight piece is small enough to scribe or fill"
    if strip is None:
        return "", "the section or the timber is not surveyed, so its bending cannot be reckoned"
    within = strip.share <= allowance("bend-share")
    bump = chord <= allowance("short-bump") and rise <= allowance("bump-rise")
    if bump and not (within and strip.pull <= allowance("short-pull")):
        return "pack", "over so short a bump it would have to be pulled or bent too hard"
    if within and strip.pull > allowance("fixing-pull"):
        return "thin", "it would bend, but the fixings would have to pull too hard: thin or groove its back"
    if within:
        return (
            "bend",
            "it bends cold within a safe share of its strength; where its fixings do not hold the pull, thin it",
        )
    if radius / thickness >= allowance("kerf-ratio") and painted:
        return "kerf", "it would pass a safe share of its strength; kerf the back, and keep the saw short of the face"
    return "laminate", "it would pass a safe share of its strength" + (
        "" if painted else ", and kerfs would show under a clear finish"
    )


def check_bows(job: Job, runs: Lines[Run]) -> tuple[Lines[BowCheck], list[Finding]]:
    """Every trim on every bowed wall; a rise of nothing is a wall found straight."""
    checks: list[BowCheck] = []
    says: list[Finding] = []
    for room in job.rooms:
        for wall in room.walls:
            if wall.bow is None or not wall.bow.rise:
                continue
            for trim in job.trim:
                if any(not run.upright for run in runs.of(room=room.name, wall=wall.name, trim=trim.name)):
                    check, more = _check(job, room, wall, wall.bow, trim)
                    checks.append(check)
                    says += more
    return Lines(checks), says


def _check(job: Job, room: Room, wall: Wall, bow: Bow, trim: Trim) -> tuple[BowCheck, list[Finding]]:
    """One trim on one bowed wall, and what it asks for."""
    where = Where(room.name, wall.name, trim.name, line=job.line(bow))
    section = trim.section
    thickness = section.thick
    row = tables.timber(trim.timber) if trim.timber else None
    modulus, strength = bending_of(row) if row else (0.0, 0.0)
    spacing, spacing_shown = spacing_of(job)
    strip = None
    if thickness is not None and section.height is not None and row is not None:
        strip = strip_on(bow.chord, bow.rise, thickness, section.height, modulus, strength, spacing)
    radius, (arc, turn) = bow_radius(bow.chord, bow.rise), bow_arc(bow.chord, bow.rise)
    face = (
        0.0
        if section.projection is None or bow.hollow is None
        else section.projection * radians(turn) * (-1 if bow.hollow else 1)
    )
    way, why = way_round(bow.chord, bow.rise, thickness or 0.0, strip, not trim.clear)
    inputs = [
        Input("chord", bow.chord, "mm", job.line(bow, "chord")),
        Input("rise", bow.rise, "mm", job.line(bow, "rise")),
        spacing_shown,
    ]
    if thickness is not None:
        inputs.append(
            Input("thickness", thickness, "mm", job.line(section, "thickness") or job.line(section, "projection"))
        )
    if row is not None:
        inputs += [
            Input("modulus of elasticity", modulus, "N/mm2"),
            Input("bending strength", strength, "N/mm2"),
        ]
    grounds = Grounds(
        tuple(inputs),
        "radius: chord squared over 8 rises, and half of the rise; stress: modulus x thickness over twice the "
        "radius, or "
        "the peak at the fixings where that is greater; pull: three moments over evenly spaced fixings",
        f"{bow.chord:g}^2 / (8 x {bow.rise:g}) + {bow.rise:g} / 2 = {radius:.0f}",
        f"radius {radius:.0f} mm",
        (GEOMETRY, BEAMS, *(row.sources if row else ()), PRACTICE),
    )
    check = BowCheck(
        room=room.name,
        wall=wall.name,
        trim=trim.name,
        chord=bow.chord,
        rise=bow.rise,
        radius=radius,
        arc_excess=arc - bow.chord,
        stress=strip.stress if strip else None,
        share=strip.share if strip else None,
        stiff=strip.stiff if strip else None,
        gap=bow.rise,
        way=way,
        why=why,
        face_change=face,
        spacing=spacing,
        longer=_longer(thickness, turn, bow.hollow) if way in ("bend", "thin") else 0.0,
        grounds=grounds,
    )
    if strip is None and not way:
        return check, [
            RULES["bow-section"].lacking(
                f"thickness, height or timber of the {trim.name}",
                "whether it can be bent to the bow",
                where,
            )
        ]
    return check, [
        RULES["bowed-wall"].told(
            "record" if way in ("bend", "scribe") else "advice",
            _words(job, check),
            where,
            grounds,
        )
    ]


def _words(job: Job, check: BowCheck) -> str:
    show = lengths(job)
    what = {
        "bend": "draw it in cold",
        "thin": "thin it",
        "kerf": "kerf its back",
        "laminate": "laminate it to the curve",
        "scribe": "leave it straight and scribe or fill",
        "pack": "pack it out, or scribe it",
    }[check.way]
    longer = (
        f" A straight board keeps its middle line: its back is cut {show_fine(abs(check.longer), job.units)} "
        f"{'longer' if check.longer > 0 else 'shorter'} than the wall."
        if abs(check.longer) >= SEEN
        else ""
    )
    return (
        f"Wall {check.wall} bows {show(check.rise)} in {show(check.chord)}, a radius of {check.radius / 1000:.1f} "
        f"m: for the {check.trim}, {what}, for "
        f"{check.why}.{longer} Left straight, the gap is {show_fine(check.gap, job.units)}."
    )
