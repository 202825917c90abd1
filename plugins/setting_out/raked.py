"""Plan corners where a raking moulding meets a level one, or climbs through: the raked section and the cuts."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.lines import Lines
from listel.core.contract.rules import load_rules
from listel.core.survey.job import Job, Room, Trim, Wall
from listel.core.survey.units import show_angle, show_fine
from listel.plugins.proportions import profile_faults, profile_points
from listel.plugins.setting_out.compound import HATFIELD, easing_tangent, rake_mismatch, raked_height
from listel.plugins.setting_out.corners import apart
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
    """A record of the knees on each wall: their cuts, and the easing that could take the place of each."""
    walls: dict[str, list[tuple[float, float]]] = {}
    room = ""
    for before, after in pairwise(sorted(runs, key=lambda run: (run.wall, run.start))):
        if before.wall == after.wall and before.end_at == after.start_at == "knee":
            room = after.room
            walls.setdefault(after.wall, []).append((after.start, abs(after.pitch - before.pitch)))
    return [_knee(job, trim, room, wall, knees) for wall, knees in walls.items()]


def _knee(job: Job, trim: Trim, room: str, wall: str, knees: list[tuple[float, float]]) -> Finding:
    """The knees of one trim on a wall, each as its station and its turn [deg]."""
    show, radius = lengths(job), allowance("easing-radius")
    by_turn: dict[float, list[str]] = {}
    for at, turn in knees:
        by_turn.setdefault(round(turn, 2), []).append(show(at))
    cuts = "; ".join(
        f"at {' and '.join(places)} cut both pieces {show_angle(turn / 2)} from square"
        for turn, places in by_turn.items()
    )
    starts = ", ".join(show(easing_tangent(radius, turn)) for turn in by_turn)
    grounds = Grounds(
        tuple(Input(f"turn at {' and '.join(places)}", turn, "deg") for turn, places in by_turn.items()),
        "a mitre halves the turn: each piece is cut at half of it from square",
        "; ".join(f"{turn:.2f} / 2 = {turn / 2:.2f}" for turn in by_turn),
        " and ".join(f"{turn / 2:.2f}" for turn in by_turn) + " deg from square",
        (GEOMETRY,),
    )
    return RULES["knee"].told(
        "record",
        f"On wall {wall} the {trim.name} turns its pitch: {cuts}, in the plane of the wall. An easing of "
        f"{show(radius)} radius would start {starts} from the knee.",
        Where(room, wall, trim.name, station=knees[0][0]),
        grounds,
    )
