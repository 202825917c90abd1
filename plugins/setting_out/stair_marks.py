"""Marks on the wall of a flight: over the nosings on the rake, over the landing above it, never from the floor far
below. All mm."""

from __future__ import annotations

from listel.core.contract.findings import GEOMETRY, Grounds, Input
from listel.core.survey.job import FlightWall
from listel.plugins.setting_out.results import Mark, Run
from listel.plugins.site import FlightSite, RoomSite, straight_nosings

SAME_FLOOR = 1.0


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
