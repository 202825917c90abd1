"""Plan corners where a raking moulding meets a level one, or climbs through: the raked section and the cuts."""

from __future__ import annotations

from collections.abc import Iterable

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.units import show_angle, show_fine
from listel.plugins.setting_out.compound import HATFIELD, easing_tangent, rake_mismatch, raked_height
from listel.plugins.setting_out.corners import apart
from listel.plugins.setting_out.profile import profile_faults, profile_points
from listel.plugins.setting_out.results import RakedProfile, Run
from listel.plugins.setting_out.settings import allowance, lengths
from listel.plugins.site import corner_pairs

RULES = load_rules(__package__)


def raked_profiles(job: Job, runs: Lines[Run]) -> tuple[list[RakedProfile], list[Finding]]:
    """The raked section of every plan corner that a raking run reaches, and what there is to say about rakes."""
    found: list[RakedProfile] = []
    says: list[Finding] = []
    for trim in job.trim:
        if fault := profile_faults(trim):
            says.append(
                RULES["profile-disagrees"].told(
                    "caution",
                    f"The profile of the {trim.name} disagrees with its section: {fault}.",
                    Where(trim=trim.name, line=job.line(trim, "profile")),
                    Grounds(sources=(GEOMETRY,)),
                    mend="measure the section again",
                )
            )
        for room in job.rooms:
            here = runs.of(room=room.name, trim=trim.name)
            for first, second in corner_pairs(room):
                before = next((run for run in here if run.wall == first.name and run.end_at == "corner"), None)
                after = next((run for run in here if run.wall == second.name and run.start_at == "corner"), None)
                if before is None or after is None or apart(before, after):
                    continue
                if before.pitch or after.pitch:
                    profiles, more = _corner(job, room, trim, first, second, -before.pitch, after.pitch)
                    found += profiles
                    says += more
            says += _knees(job, trim, here)
    return found, says


def _corner(
    job: Job, room: Room, trim: Trim, first: Wall, second: Wall, away_first: float, away_second: float
) -> tuple[list[RakedProfile], list[Finding]]:
    """One corner that a rake reaches; pitches are positive where the moulding rises away from the corner."""
    theta = first.turn
    where = Where(room.name, first.name, trim.name)
    at = f"{first.name}/{second.name}"
    if theta is None:
        return [], []
    projection = trim.section.projection or 0.0
    if away_first and away_second:
        if abs(away_first - away_second) < 0.01:
            return [], [
                RULES["rake-turns-corner"].told(
                    "record",
                    f"At corner {at} the {trim.name} rakes the same way on both walls: equal sections meet there.",
                    where,
                )
            ]
        miss = rake_mismatch(projection, (abs(away_first) + abs(away_second)) / 2, theta)
        return [], [
            RULES["rake-climbs-through"].told(
                "caution",
                f"At corner {at} the {trim.name} climbs through the corner, and equal sections would miss each "
                f"other by {show_fine(miss, job.units)} at the face.",
                where,
                Grounds(sources=(GEOMETRY,)),
                mend="run a short level piece round the corner, with a knee on each wall",
            )
        ]
    pitch = away_first or away_second
    ordinates = tuple((x, y, raked_height(x, y, pitch, theta)) for x, y in _points(trim))
    shift = abs(raked_height(projection, 0.0, pitch, theta))
    grounds = Grounds(
        (
            Input("pitch, rising away from the corner", pitch, "deg"),
            Input("corner through the room", theta, "deg", job.line(first.corner or first, "angle")),
        ),
        "raked height = level height x cos(pitch) - projection x cot(corner / 2) x sin(pitch); projections are kept",
        sources=(GEOMETRY, HATFIELD),
    )
    profile = RakedProfile(
        room=room.name,
        trim=trim.name,
        at=at,
        pitch=abs(pitch),
        angle=theta,
        ordinates=ordinates,
        mismatch=shift,
        grounds=grounds,
    )
    says = (
        f"At corner {at} the {trim.name} goes from level to a rake of {show_angle(abs(pitch))}: the same section "
        "does not meet there. Run a short level piece "
        "round the corner and turn into the rake with a knee, or work the raked piece to the raked profile."
    )
    return [profile], [RULES["raked-profile"].told("advice", says, where, grounds)]


def _points(trim: Trim) -> list[tuple[float, float]]:
    """The points of the level section, underside to top, back edges included; empty where the section is not known."""
    face = profile_points(trim)
    return [(0.0, 0.0), *face, (0.0, face[-1][1])] if face else []


def _knees(job: Job, trim: Trim, runs: Iterable[Run]) -> list[Finding]:
    """A record of each knee: its cut, and the easing that could take its place."""
    show = lengths(job)
    found = []
    for run in runs:
        if not run.pitch:
            continue
        knees = [at for at, kind in ((run.start, run.start_at), (run.end, run.end_at)) if kind == "knee"]
        if knees:
            pitch = abs(run.pitch)
            radius = allowance("easing-radius")
            tangent = easing_tangent(radius, pitch)
            grounds = Grounds(
                (Input("pitch", pitch, "deg"),),
                "a mitre halves the turn: each piece is cut at half of the pitch from square",
                f"{pitch:.2f} / 2 = {pitch / 2:.2f}",
                f"{pitch / 2:.2f} deg from square",
                (GEOMETRY,),
            )
            places = " and ".join(show(at) for at in knees)
            found.append(
                RULES["knee"].told(
                    "record",
                    f"On wall {run.wall} the {trim.name} turns from level to rake at {places}: cut both pieces "
                    f"{show_angle(pitch / 2)} from square, in the plane of the wall. "
                    f"An easing of {show(radius)} radius would start {show(tangent)} from the knee.",
                    Where(run.room, run.wall, trim.name, station=knees[0]),
                    grounds,
                )
            )
    return found
