"""Corners: mitre or cope, the cut of each piece's end there, and the joint gap that the survey's uncertainty will
leave."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, tan

from listel.core.contract.findings import GEOMETRY, PRACTICE, Grounds, Input
from listel.core.survey.job import Corner, Job, Room, Trim, Wall
from listel.core.survey.units import show_angle
from listel.plugins.closure import tolerance
from listel.plugins.setting_out.angles import cut_angle, face_allowance, joint_gap, saw_reading
from listel.plugins.setting_out.compound import rake_turning_corner, sprung_cut
from listel.plugins.setting_out.ends import scarf_end, square_into
from listel.plugins.setting_out.results import CornerCut, PieceEnd, Run
from listel.plugins.setting_out.settings import allowance, allowed

SAME_HEIGHT = 1.0
UNDERCUT = ("scotia", "quirk")


def joint_for(trim: Trim, corner: Corner | None, raking: bool = False) -> tuple[str, str]:
    """Mitre or cope at a corner, and why."""
    if corner is not None and corner.kind == "external":
        return "mitre", "an external corner is mitred"
    if raking:
        return "mitre", "a raking moulding is mitred"
    if trim.internal is not None:
        return trim.internal, "as the survey asks"
    if trim.section.spring:
        return "mitre", "a sprung moulding is mitred"
    if trim.clear:
        return "mitre", "under a clear finish a cope would show end grain"
    if any(element.kind in UNDERCUT for element in trim.profile):
        return "mitre", "its profile is undercut, and a cope would leave a feather edge"
    angle = corner.angle if corner is not None else None
    if angle is not None and not allowance("cope-from") <= angle <= allowance("cope-to"):
        return "mitre", "the corner is too sharp or too blunt to cope"
    if trim.member == "skirting":
        return "cope", "painted skirting is scribed at internal corners, so that the joint stays closed as it dries"
    return "cope", "a painted moulding is coped at internal corners, so that the joint stays closed as it dries"


def corner_end(
    trim: Trim, theta: float | None, external: bool, joint: str, coped: bool, rising_away: float = 0.0
) -> PieceEnd:
    """One piece's end at a corner: ``theta`` through the room, and its pitch rising away from the corner [deg]."""
    if joint == "cope" and not coped:
        return PieceEnd(
            kind="square",
            past=square_into(trim, theta),
            note="runs square into the corner; the next piece is coped over it",
        )
    kind = "cope" if joint == "cope" else "external-mitre" if external else "internal-mitre"
    if theta is None:
        return PieceEnd(
            kind=kind, cut_angle=None, saw_reading=None, note="corner not surveyed: measure it before cutting"
        )
    gives = (
        0.0
        if trim.section.projection is None
        else face_allowance(trim.section.projection, theta) / cos(radians(rising_away))
    )
    mitre, bevel = compound_setting(theta, trim.section.spring or 0.0, rising_away)
    note = (
        f"cut the mitre, then follow its line with an undercut of {show_angle(undercut(theta))}"
        if kind == "cope"
        else ""
    )
    if not trim.section.spring and not rising_away:
        return PieceEnd(
            kind=kind, cut_angle=cut_angle(theta), saw_reading=saw_reading(theta), bevel=0.0, gives=gives, note=note
        )
    return PieceEnd(
        kind=kind,
        cut_angle=90.0 - mitre,
        saw_reading=mitre,
        bevel=bevel,
        gives=gives,
        note="; ".join(filter(None, (how_it_lies(trim), note))),
    )


def plan_setting(trim: Trim, plan: float, pitch: float) -> tuple[float, float, float]:
    """The cut from its length, the saw's reading and its tilt [deg] of an end cut at ``plan`` from its length as seen
    from above. Source: as for a mitre of twice that, derived."""
    if not trim.section.spring and not pitch:
        return plan, abs(90.0 - plan), 0.0
    saw, bevel = rake_turning_corner(abs(pitch), 2 * plan, trim.section.spring or 0.0)
    return 90.0 - saw, saw, bevel


def how_it_lies(trim: Trim) -> str:
    """How a piece that is cut by turning the table and tilting the blade lies on the saw."""
    lies = "lying flat on its back" if trim.section.spring else "back against the fence turned flat: mitre is the pitch"
    return f"{lies}; tilt the blade as given"


def run_on_end(trim: Trim, corner: Corner | None, at_start: bool, pitch: float) -> PieceEnd:
    """The end of a piece that runs on into trim beyond what was surveyed: cut for the corner that stands there, else
    scarfed."""
    if corner is None:
        end = scarf_end(trim, lies_over=at_start)
    else:
        joint, _ = joint_for(trim, corner, bool(pitch))
        end = corner_end(
            trim, corner.through_room, corner.kind == "external", joint, False, pitch if at_start else -pitch
        )
    return replace(end, note="; ".join(filter(None, (end.note, "to trim beyond what was surveyed"))))


def apart(before: Run, after: Run) -> bool:
    """Whether two runs that come to one corner stand at different heights there, as on a landing and on the floor
    below it, or where a rail ends high beside a stair. Two rakes are each counted from a floor of their own."""
    if (before.pitch and after.pitch) or before.top is None or after.top is None:
        return False
    return abs(height_at_corner(before, False) - height_at_corner(after, True)) > SAME_HEIGHT


def height_at_corner(run: Run, at_start: bool) -> float:
    """The top edge of a run at one of its ends, above the floor of the room [mm]; 0 where its height is not known."""
    risen = 0.0 if at_start else (run.end - run.start) * tan(radians(run.pitch))
    return 0.0 if run.top is None else run.base + run.top + risen


def compound_setting(theta: float, spring: float, rising_away: float) -> tuple[float, float]:
    """Mitre and bevel of a moulding lying flat at a corner through the room [deg], sprung or raking or both."""
    if rising_away:
        return rake_turning_corner(rising_away, theta, spring)
    return sprung_cut(spring, min(theta, 360.0 - theta))


def undercut(theta: float) -> float:
    """Undercut of a cope [deg]: what the corner is over square, and a relief. Source: derived; relief an allowance."""
    return max(0.0, theta - 90.0) + allowance("undercut")


def corner_line(
    job: Job,
    room: Room,
    trim: Trim,
    first: Wall,
    second: Wall,
    joint: str,
    why: str,
    coped: str,
    doubted: bool,
    rake: float = 0.0,
) -> CornerCut:
    """The line of one corner for one trim, with both of its angles and the joint gap to expect; ``rake``: the mean
    pitch at which both of its pieces come there, each cut by its own; 0 where one does not rake [deg]."""
    corner = first.corner
    kind = corner.kind if corner is not None else "internal"
    theta = corner.through_room if corner else None
    line = CornerCut(
        room=room.name,
        trim=trim.name,
        first=first.name,
        second=second.name,
        kind=kind,
        joint=joint,
        coped=coped,
        grounds=Grounds((Input("joint", joint, note=why),), sources=(PRACTICE,)),
    )
    if corner is None or theta is None:
        return line
    spring, projection = trim.section.spring or 0.0, trim.section.projection
    mitre, bevel = compound_setting(theta, spring, rake)
    angle = 90.0 - mitre if spring or rake else cut_angle(theta)
    sigma, sigma_shown = tolerance(job, "bevel")
    gap = None if projection is None else joint_gap(projection, theta, sigma)
    most, most_shown, _ = allowed("joint-gap")
    inputs = [
        Input("corner angle", corner.angle or 0.0, "deg", job.line(corner, "angle")),
        Input("joint", joint, note=why),
        sigma_shown,
        most_shown,
    ]
    if projection is not None:
        inputs.insert(1, Input("projection", projection, "mm", job.line(trim.section, "projection")))
    if spring:
        formula = "tan mitre = sin spring / tan(corner / 2); sin bevel = cos spring x cos(corner / 2); lying flat"
        inputs.append(Input("spring angle", spring, "deg", job.line(trim.section, "spring")))
    elif rake:
        formula = "back against the fence turned flat: the table turned by the pitch, the blade tilted 90 - corner / 2"
        inputs.append(Input("pitch on both walls", rake, "deg"))
    else:
        formula = "half of the measured corner; a saw whose scale reads 0 for a square cut shows 90 less that"
    worked = (
        f"{corner.angle:g} / 2 = {cut_angle(theta):.2f}; 90 - {cut_angle(theta):.2f} = {saw_reading(theta):.2f}"
        if not spring and not rake
        else ""
    )
    grounds = Grounds(
        tuple(inputs),
        formula,
        worked,
        f"cut {angle:.2f} deg from the length, {90 - angle:.2f} deg on the saw's scale",
        (GEOMETRY, PRACTICE),
        uncertainty=f"corner +/- {sigma:g} deg" + (f", joint gap {gap:.2f} mm" if gap is not None else ""),
    )
    return replace(
        line,
        angle=corner.angle,
        cut_angle=angle,
        saw_reading=90.0 - angle,
        bevel=bevel if spring or rake else None,
        undercut=undercut(theta) if joint == "cope" else None,
        gap=gap,
        measure_again=doubted or (gap is not None and gap > most),
        grounds=grounds,
    )
