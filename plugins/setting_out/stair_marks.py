"""Marks on the wall of a flight: over the nosings on the rake, over the landing above it, never from the floor far
below; and whether a board that rakes comes down to the steps. All mm."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians

from listel.core.contract.findings import GEOMETRY, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.survey.job import FlightWall, Job, Trim
from listel.core.survey.units import show_angle
from listel.plugins.setting_out.results import Mark, Run
from listel.plugins.setting_out.settings import lengths
from listel.plugins.site import FlightSite, RoomSite, straight_nosings, tables

RULES = load_rules(__package__)

SAME_FLOOR = 1.0
NO_GAP = 1.0
"""A board that lacks no more than this [mm] reaches: no tape tells."""


def stair_marks(room: RoomSite, run: Run) -> list[Mark] | None:
    """Marks of a run that rakes or stands on the landing; None for a run over the floor of its room.

    Raking: plumb above the first and the top nosing and that of each winder, and above the pitch line at an end that is
    no knee. On the landing, which is taken as level: above the floor at the head of the flight, at one end.
    """
    flight = room.flight_on(run.wall)
    along = flight.on(run.wall) if flight else None
    if flight is None or along is None or run.top is None or run.reach is None:
        return None
    if not run.pitch and abs(run.top - run.reach) < SAME_FLOOR:
        return None
    reach, name = run.reach, flight.flight.called
    if not run.pitch:
        places = {run.end if run.end_at == "knee" else run.start: f"the floor at the head of {name}"}
    else:
        ends = ((run.start, run.start_at), (run.end, run.end_at))
        places = {at: f"the pitch line of {name}" for at, kind in ends if kind != "knee"}
        bends = run.start if run.wall in flight.windings and run.start_at == "knee" else None
        places |= {at: over for at, over in nosings(flight, along) if run.start < at < run.end or at == bends}
    grounds = Grounds(
        (Input("top edge above the pitch line or the landing", reach, "mm"),),
        "plumb above the nosings on the rake, above the floor on the landing",
        sources=(GEOMETRY,),
    )
    return [
        Mark(
            room=run.room,
            wall=run.wall,
            station=station,
            trim=run.trim,
            edge="top",
            above_floor=reach,
            over=over,
            grounds=grounds,
        )
        for station, over in sorted(places.items())
    ]


def nosings(site: FlightSite, along: FlightWall) -> list[tuple[float, str]]:
    """Stations of the first and the top nosing of a flight on a wall, and of each of its winders, with their names."""
    name = site.flight.called
    straight = dict.fromkeys(straight_nosings(site.flight, along))
    if along.foot is not None and site.flight.going and not straight:
        straight = {along.foot: None}
    words = ("the first nosing of", "the top nosing of")
    found = [(at, f"{word} {name}") for at, word in zip(straight, words, strict=False)]
    return [*found, *((at, f"the nosing of a winder of {name}") for at, _ in site.wound(along.wall))]


def knee_floor(room: RoomSite, run: Run, station: float) -> str:
    """The floor that a level run's knee at the foot of a flight is counted from; empty where its end is no knee."""
    flight = room.flight_on(run.wall)
    kind = {run.start: run.start_at, run.end: run.end_at}.get(station)
    return f"the floor at the foot of {flight.flight.called}" if flight and kind == "knee" else ""


def short_of_the_steps(job: Job, site: RoomSite, trim: Trim, runs: Sequence[Run]) -> list[Finding]:
    """A board that stands on a flight and is too narrow to reach the corner between a tread and the riser behind it:
    where it lacks the most in the room."""
    board = trim.section.height
    raking = [run for run in runs if run.pitch and run.reach is not None and tables.member(run.member).get("stands")]
    if board is None or not raking:
        return []
    needs = {run: ((run.reach or 0.0) + _rise(site, run)) * cos(radians(run.pitch)) for run in raking}
    run = max(raking, key=lambda each: needs[each])
    if needs[run] <= board + NO_GAP:
        return []
    show, rise, reach, slope = lengths(job), _rise(site, run), run.reach or 0.0, cos(radians(run.pitch))
    asked = job.top_asked(trim, site.name)[0]
    line, lowered = job.line(trim.section, "height"), board / slope - rise
    grounds = Grounds(
        (
            Input("top edge plumb over the nosings", reach, "mm"),
            Input("rise of a step: how far under them, plumb, its corner lies", rise, "mm"),
            Input("pitch", abs(run.pitch), "deg"),
            Input("height of the board", board, "mm", line),
        ),
        "(top over the nosings + rise) x cos(pitch); where the treads overhang their risers, the overhang x sin(pitch) "
        "more",
        f"({reach:.1f} + {rise:.1f}) x cos {abs(run.pitch):.2f} = {needs[run]:.1f}",
        f"{needs[run]:.1f} mm needed, {board:.1f} mm in hand",
        (GEOMETRY,),
    )
    return [
        RULES["short-of-the-steps"].told(
            "hold",
            f"The {trim.name} on wall {run.wall} of the {site.name} stands {show(reach)} plumb over the nosings, at "
            f"{show_angle(abs(run.pitch))}, and the corners of the steps lie {show(rise)} under them. To reach those "
            f"its board must be {show(needs[run])} wide; it is {show(board)}, and leaves up to "
            f"{show(reach + rise - board / slope)} open, plumb, at every step."
            + ("" if asked else " No top is given, so all its height is taken to show over the nosings."),
            Where(site.name, run.wall, trim.name, line=line),
            grounds,
            f"take or glue up a board {show(needs[run])} wide"
            + ("" if asked else f" and give it top: {show(reach)}, or that rises with it")
            + ", and wider where the treads overhang their risers"
            + (f"; or give it a top of {show(lowered)} or less" if lowered >= NO_GAP else ""),
            needed=needs[run],
        )
    ]


def _rise(site: RoomSite, run: Run) -> float:
    flight = site.flight_on(run.wall)
    return (flight.flight.rise or 0.0) if flight else 0.0
