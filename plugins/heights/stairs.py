"""A rail on a flight of stairs: plumb above the pitch line, with knees where it meets the level rails."""

from __future__ import annotations

from functools import partial
from math import cos, radians, tan

from listel.core.contract.findings import GEOMETRY, PRACTICE, Grounds, Input
from listel.core.survey.job import Flight, Job
from listel.core.survey.units import show_angle, show_length
from listel.plugins.heights.results import StairHeight
from listel.plugins.site import FlightSite


def square_offset(plumb: float, pitch: float) -> float:
    """Distance of a line square to the pitch line, mm, from its plumb height above it, mm, and the pitch, degrees.

    Source: geometry.
    """
    return plumb * cos(radians(pitch))


def plumb_face(face: float, pitch: float) -> float:
    """Depth of a raked rail's face measured plumb, mm, from its depth, mm, and the pitch, degrees. Source: geometry."""
    return face / cos(radians(pitch))


def foot_knee(rise: float, pitch: float, plumb: float, level: float) -> float:
    """How far in front of the first nosing the raked top edge meets the level one, mm.

    ``rise`` of one step, mm; ``pitch``, degrees, above 0; ``plumb``: top above the pitch line; ``level``: top of
    the level rail above the lower floor. Negative: beyond the first nosing, over the flight.
    u = (R + h - hL) / tan(pitch). Source: geometry.
    """
    return (rise + plumb - level) / tan(radians(pitch))


def head_knee(pitch: float, plumb: float, level: float) -> float:
    """How far beyond the top nosing, on to the landing, the raked top edge meets the level one, mm.

    As :func:`foot_knee`, with the level rail above the upper floor: u = (hL - h) / tan(pitch). Source: geometry.
    """
    return (level - plumb) / tan(radians(pitch))


def stair_height(
    job: Job, room: str, site: FlightSite, *, trim: str, face: float | None, level: float | None
) -> StairHeight:
    """The rail on one flight, as far as the survey goes: the handrail's height, else that of the level rail.

    ``trim``: its name; ``face``: its depth of face, mm, None where not surveyed; ``level``: top of the level rail
    above its floor, mm, None where nothing decides it.
    """
    flight, pitch = site.flight, site.pitch
    plumb = flight.handrail if flight.handrail is not None else level
    if plumb is None or not pitch:
        return StairHeight(room=room, flight=flight.name, trim=trim, pitch=pitch, plumb=plumb)
    hall = level if level is not None else plumb
    square = square_offset(plumb, pitch)
    return StairHeight(
        room=room,
        flight=flight.name,
        trim=trim,
        pitch=pitch,
        plumb=plumb,
        square=square,
        plumb_face=plumb_face(face, pitch) if face is not None else None,
        knee_cut=pitch / 2,
        foot_knee=foot_knee(flight.rise, pitch, plumb, hall) if flight.rise is not None else None,
        head_knee=head_knee(pitch, plumb, hall),
        grounds=_grounds(job, flight, pitch=pitch, plumb=plumb, hall=hall, square=square),
    )


def _grounds(job: Job, flight: Flight, *, pitch: float, plumb: float, hall: float, square: float) -> Grounds:
    given = [
        Input(f"{name} of one step", value, "mm", job.line(flight, name))
        for name, value in (("rise", flight.rise), ("going", flight.going))
        if value is not None
    ]
    given.append(Input("pitch", pitch, "deg", job.line(flight, "pitch")))
    if flight.handrail is not None:
        given.append(Input("top of the handrail above the pitch line", plumb, "mm", job.line(flight, "handrail")))
    else:
        note = "the handrail was not surveyed; the level rail's height is taken"
        given.append(Input("top of the rail above the pitch line", plumb, "mm", assumed=True, note=note))
    given.append(Input("top of the level rail", hall, "mm"))
    length = partial(show_length, units=job.units)
    return Grounds(
        tuple(given),
        "on a flight the rail follows the pitch line, as high above it, measured plumb, as the handrail",
        f"square to the pitch line {length(plumb)} x cos {show_angle(pitch)} = {length(square)}; each piece at a knee "
        f"is cut at half of {show_angle(pitch)}",
        f"{length(plumb)} plumb above the pitch line",
        (PRACTICE, GEOMETRY),
    )
